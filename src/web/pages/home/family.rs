//! The words of what is due for a family, in the family's language. Only first names, and nothing medical.

use super::part::{Line, Part, group};
use crate::domain::proof::Proof;
use crate::language;
use crate::services::due::{ChildDue, FamilyDue, ReadyCertificate};
use crate::services::family::Receipt;
use crate::web::entry;
use crate::web::page::Page;

/// What is due for a family.
pub fn part(page: &Page, due: &FamilyDue) -> Part {
    let all = page.t("nav-registrations");
    let ways = ("/registrations", all.as_str());
    let children = due.children.iter().map(|child| line(page, child)).collect();
    let asked = due.asked.iter().map(|receipt| answer_due(page, receipt)).collect();
    let gone = due.called_off.iter().map(|receipt| called_off(page, receipt)).collect();
    let ready = due.certificates.iter().map(|one| certificate(page, one)).collect();
    let groups = [
        group("family-asked", &page.t("due-family-asked"), asked, ways),
        group("family-off", &page.t("due-family-off"), gone, ways),
        group("family-next", &page.t("due-family-next"), children, ways),
        group("family-certificates", &page.t("due-family-certificates"), ready, ways),
    ];
    let missing =
        due.children.iter().any(ChildDue::is_missing_something) || !due.called_off.is_empty() || !due.asked.is_empty();
    let quiet = match (missing, due.children.first()) {
        (true, _) => None,
        (false, Some(child)) => {
            let day = language::date_long(page.lang, child.on);
            Some((
                page.t("due-family-nothing"),
                page.t2("due-family-nothing-next", "name", &child.receipt.given, "day", day),
            ))
        }
        (false, None) => Some((page.t("due-family-nothing"), page.t("due-family-none"))),
    };
    Part { quiet, groups: groups.into_iter().flatten().collect() }
}

fn address(receipt: &Receipt) -> String {
    format!("/registrations/{}", receipt.reference)
}

fn line(page: &Page, child: &ChildDue) -> Line {
    let receipt = &child.receipt;
    let day = language::date_long(page.lang, child.on);
    let first = receipt.session.sittings.iter().find(|sitting| sitting.start.date() == child.on);
    let starts = first.map(|sitting| language::time(page.lang, sitting.start.time())).unwrap_or_default();
    let title = format!("{}: {day}, {starts}", receipt.given);
    let line = Line::new(title, address(receipt)).say(format!("{}, {}.", receipt.session.site, receipt.session.city));
    let line = match (receipt.place(), child.is_missing_something()) {
        (Some(place), _) => line.state("waitlist", "adapted", page.t1("registration-state-waitlisted", "place", place)),
        (None, true) => line.state("not-met", "notmet", page.t("due-family-missing")),
        (None, false) => line.state("met", "met", page.t("due-family-whole")),
    };
    let sign = format!("{}/sign", address(receipt));
    let line = match (child.consent_missing, child.is_text_new) {
        (true, true) => line.say(page.t1("due-family-unsigned", "name", &receipt.given)).way(sign, page.t("sign-way")),
        (true, false) if child.misses_other => line.say(page.t1("due-family-other", "name", &receipt.given)),
        (true, false) => line.say(page.t1("due-family-consent", "name", &receipt.given)),
        (false, true) => line.say(page.t("due-family-new-text")).way(sign, page.t("sign-way")),
        (false, false) => line,
    };
    let line = match earlier(page, receipt, child.proof) {
        Some(words) => line.say(words),
        None => line,
    };
    let adults = child.pick_up.join(", ");
    match adults.is_empty() {
        true => line.say(page.t1("due-family-adult", "name", &receipt.given)),
        false => line.say(page.t2("due-family-adults", "name", &receipt.given, "adults", adults)),
    }
}

/// What is known of the earlier part, while nobody of the staff saw its proof.
fn earlier(page: &Page, receipt: &Receipt, proof: Proof) -> Option<String> {
    let part = receipt.session.earlier_part(page.lang)?;
    let key = match (proof.is_missing(), proof.holds_back()) {
        (false, _) => return None,
        (true, true) => "due-family-proof-needed",
        (true, false) => "due-family-proof",
    };
    Some(page.t1(key, "part", part))
}

/// A place that waits for an answer: until when, and for which.
fn answer_due(page: &Page, receipt: &Receipt) -> Line {
    let day = language::date_long(page.lang, receipt.session.held_on);
    let until = receipt.held_until.map(|until| language::moment(page.lang, receipt.wall(until))).unwrap_or_default();
    let key = match (receipt.is_asked_coming, receipt.waits_for_address()) {
        (true, _) => "due-family-coming",
        (false, true) => "due-family-address",
        (false, false) => "due-family-offer",
    };
    Line::new(format!("{}: {day}", receipt.given), address(receipt))
        .state("free", "free", entry::place(page, receipt.state, receipt.place()))
        .say(page.t1(key, "until", until))
}

fn called_off(page: &Page, receipt: &Receipt) -> Line {
    let day = language::date_long(page.lang, receipt.session.held_on);
    let words = receipt.session.change.as_ref().map(|change| entry::change_words(page, change));
    let line = Line::new(format!("{}: {day}", receipt.given), address(receipt)).state(
        "off",
        "notmet",
        page.t("session-called-off"),
    );
    match words {
        Some((_, more)) => line.say(more),
        None => line,
    }
    .way(format!("{}/move", address(receipt)), page.t("move-off-button"))
}

fn certificate(page: &Page, one: &ReadyCertificate) -> Line {
    let day = language::date_short(page.lang, one.on);
    let line = Line::new(
        page.t2("due-family-certificate", "name", &one.given, "day", day),
        format!("/registrations/{}", one.registration),
    )
    .state("met", "met", page.t("due-family-ready"));
    match one.has_paper {
        true => line.way(format!("/certificates/{}/paper.pdf", one.code), page.t("registration-certificate-paper")),
        false => line,
    }
}
