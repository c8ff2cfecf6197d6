//! The caution of each kind of page, as the data has it and in the reader's language, at the foot of every page.

use waymark::domain::access::Role;
use waymark::domain::cautions::{CautionKey, Cautions};
use waymark::domain::words::{Lang, Word};
use waymark::web::routes::LINES;

use crate::house::app::TestApp;
use crate::house::browser::Browser;
use crate::house::crawl::{Found, Visitor};

/// The kind of the pages below a path; the longest that fits counts. Every other page is of the kind "riding".
const KINDS: [(&str, CautionKey); 22] = [
    ("/roster/{reference}/riders/{rider}/fit", CautionKey::Fit),
    ("/roster/{reference}/riders/{rider}/health", CautionKey::FirstAid),
    ("/roster/{reference}/lessons", CautionKey::Skills),
    ("/roster/{reference}/grid", CautionKey::Skills),
    ("/roster/{reference}/weather", CautionKey::Weather),
    ("/roster/{reference}/emergency", CautionKey::FirstAid),
    ("/roster/{reference}/incident", CautionKey::Incident),
    ("/roster/{reference}/assignment", CautionKey::Fit),
    ("/roster/{reference}/machines", CautionKey::Machine),
    ("/machines", CautionKey::Machine),
    ("/teaching", CautionKey::Skills),
    ("/incidents", CautionKey::Incident),
    ("/sessions/{reference}", CautionKey::Registration),
    ("/sessions/{reference}/register", CautionKey::Registration),
    ("/sessions/{reference}/register/check", CautionKey::Registration),
    ("/registrations/{reference}/consent", CautionKey::Consent),
    ("/registrations/{reference}/sign", CautionKey::Consent),
    ("/walk-up/{session}", CautionKey::Registration),
    ("/walk-up/{session}/{registration}", CautionKey::Riding),
    ("/certificates", CautionKey::Certificate),
    ("/c/{code}", CautionKey::Certificate),
    ("/reports", CautionKey::Report),
];

fn kind(path: &str) -> CautionKey {
    let fits = KINDS.iter().filter(|(below, _)| path.starts_with(below));
    fits.max_by_key(|(below, _)| below.len()).map_or(CautionKey::Riding, |(_, key)| *key)
}

fn shipped() -> Cautions {
    toml::from_str(include_str!("../../seed/cautions.toml")).expect("the shipped cautions are whole")
}

/// What a page lacks of the caution of its kind.
fn lacking(browser: &Browser, address: &str, words: &str) -> Option<String> {
    let answered = browser.get(address);
    let is_page = answered.header("content-type").is_some_and(|media| media.starts_with("text/html"));
    (answered.status == 200 && is_page && !answered.says(words)).then(|| format!("{address} does not say {words:?}"))
}

#[test]
fn saturday_8_every_page_shows_the_caution_of_its_kind_in_the_language_it_speaks() {
    let house = TestApp::populated();
    let cautions = shipped();
    let (mut lacks, mut kinds) = (Vec::new(), std::collections::BTreeSet::new());
    for role in Role::ALL.iter().filter(|role| **role != Role::Partner) {
        let visitor = Visitor::arrive(&house, *role);
        let found = Found::by(&visitor);
        for (line, pages) in &found.pages {
            let key = kind(LINES[*line].path);
            kinds.insert(key);
            let Some(address) = pages.first() else { continue };
            for lang in [Lang::En, Lang::Es] {
                // Staff pages speak English whatever the reader chose.
                let speaks = matches!(role, Role::Public | Role::Guardian) && !LINES[*line].path.starts_with("/help/");
                if lang == Lang::Es && !speaks {
                    continue;
                }
                visitor.browser.get(&format!("/sign-in?lang={}", lang.as_str()));
                lacks.extend(lacking(&visitor.browser, address, cautions.of(key).in_lang(lang)));
            }
        }
        visitor.browser.get("/sign-in?lang=en");
    }
    assert!(lacks.is_empty(), "{lacks:#?}");
    for key in [
        CautionKey::Fit,
        CautionKey::Machine,
        CautionKey::Registration,
        CautionKey::Consent,
        CautionKey::Certificate,
        CautionKey::FirstAid,
        CautionKey::Skills,
        CautionKey::Report,
        CautionKey::Riding,
    ] {
        assert!(kinds.contains(&key), "nobody came to a page of the kind {key:?}");
    }
}
