//! How each person uses the program, in short steps. Pages of words; they ask and decide nothing.

use actix_web::{HttpRequest, web};
use askama::Template;

use crate::services::{App, texts};
use crate::web::answer::{Answer, shown};
use crate::web::context;
use crate::web::page::Page;

#[derive(Template)]
#[template(path = "help/index.html")]
struct Index {
    page: Page,
}

/// Whose day the reader wants to see.
pub async fn index(request: HttpRequest) -> Answer {
    shown(&Index { page: context::page(&request, "help-title") })
}

/// One part of a family's way: its heading and how many sentences say it.
struct Part {
    key: &'static str,
    sentences: u8,
}

const FAMILY: [Part; 7] = [
    Part { key: "find", sentences: 3 },
    Part { key: "register", sentences: 5 },
    Part { key: "wait", sentences: 3 },
    Part { key: "bring", sentences: 4 },
    Part { key: "day", sentences: 4 },
    Part { key: "after", sentences: 4 },
    Part { key: "home", sentences: 4 },
];

/// Only where there are text messages.
const TEXTS: [Part; 1] = [Part { key: "texts", sentences: 3 }];

const BRIEFING: [Part; 7] = [
    Part { key: "knows", sentences: 2 },
    Part { key: "keys", sentences: 2 },
    Part { key: "passengers", sentences: 2 },
    Part { key: "roads", sentences: 2 },
    Part { key: "watching", sentences: 3 },
    Part { key: "machine", sentences: 4 },
    Part { key: "gear", sentences: 3 },
];

const AGREEMENT: [Part; 2] = [Part { key: "child", sentences: 8 }, Part { key: "adult", sentences: 7 }];

/// Headings with their sentences, as a page shows them: anchor, heading, sentences.
type Shown = Vec<(&'static str, String, Vec<String>)>;

fn parts(page: &Page, stem: &str, parts: &'static [Part]) -> Shown {
    let words = |part: &'static Part| {
        let sentence = |number| page.t(&format!("{stem}-{}-{number}", part.key));
        let heading = page.t(&format!("{stem}-{}", part.key));
        (part.key, heading, (1..=part.sentences).map(sentence).collect())
    };
    parts.iter().map(words).collect()
}

#[derive(Template)]
#[template(path = "help/family.html")]
struct Family {
    page: Page,
    parts: Shown,
}

/// From finding a session to the certificate, for parents and guardians.
pub async fn family(request: HttpRequest, app: web::Data<App>) -> Answer {
    let page = context::page(&request, "help-family");
    let mut shown_parts = parts(&page, "help-family", &FAMILY);
    if texts::are_there(&app) {
        shown_parts.extend(parts(&page, "help-family", &TEXTS));
    }
    shown(&Family { parts: shown_parts, page })
}

#[derive(Template)]
#[template(path = "help/briefing.html")]
struct Briefing {
    page: Page,
    parts: Shown,
}

/// What an adult reads in ten minutes before a child rides: keys, passengers, roads, watching, the right machine.
pub async fn briefing(request: HttpRequest) -> Answer {
    let page = context::page(&request, "briefing-title");
    shown(&Briefing { parts: parts(&page, "briefing", &BRIEFING), page })
}

#[derive(Template)]
#[template(path = "help/agreement.html")]
struct Agreement {
    page: Page,
    parts: Shown,
}

/// What a child and an adult promise each other about riding at home, to be printed and signed on paper.
pub async fn agreement(request: HttpRequest) -> Answer {
    let page = context::page(&request, "agreement-title");
    shown(&Agreement { parts: parts(&page, "agreement", &AGREEMENT), page })
}

#[derive(Template)]
#[template(path = "help/field.html")]
struct Field {
    page: Page,
}

/// One day on the field, for instructors, helpers and first aid.
pub async fn field(request: HttpRequest) -> Answer {
    shown(&Field { page: context::staff_page(&request, "A day on the field") })
}

#[derive(Template)]
#[template(path = "help/office.html")]
struct Office {
    page: Page,
    /// Whether there are text messages.
    texts: bool,
}

/// From the first site to the report, for coordinators and administrators.
pub async fn office(request: HttpRequest, app: web::Data<App>) -> Answer {
    let page = context::staff_page(&request, "A season in the office");
    shown(&Office { page, texts: texts::are_there(&app) })
}
