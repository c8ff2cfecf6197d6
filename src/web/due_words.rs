//! English words of what is due: at a session, of papers, of letters. Decides nothing about them.

use chrono::NaiveDate;

use crate::domain::certification::{BlockingPaper, CertificationKind};
use crate::domain::site_paper::{BlockingSitePaper, SitePaperKind};
use crate::domain::text_message::TextKind;
use crate::domain::words::Lang;
use crate::language;
use crate::services::due::{IncidentDue, Running, StoppedLetter};
use crate::services::roster::Due;
use crate::services::texts::{Missed, NotArrived};

use super::paper_words;

/// What is due at a session, in one sentence.
pub fn field_due(due: &Due) -> String {
    let children = |count: usize| if count == 1 { "1 child".to_owned() } else { format!("{count} children") };
    match due {
        Due::Nothing => "It is called off.".to_owned(),
        Due::Prepare { riders } => format!("{} registered.", children(*riders)),
        Due::CheckIn { riders } => format!("{} to check in.", children(*riders)),
        Due::NotHome { riders } => format!("{} not home.", children(*riders)),
        Due::NextMeeting { on } => {
            format!("Everybody is home. The next meeting is on {}.", language::date_in_year(Lang::En, *on))
        }
        Due::Close => "Everybody is home. Close the session.".to_owned(),
        Due::Done => "It is closed.".to_owned(),
    }
}

/// A paper of a person: class, shape and words of its state, and what it is.
pub fn paper(kind: CertificationKind, holds: Running) -> (&'static str, &'static str, &'static str, String) {
    match holds {
        Ok(through) => {
            let name = paper_words::kind(Lang::En, kind);
            ("practice", "practice", "runs out", runs_out(&name, through))
        }
        Err(fault) => {
            let words = paper_words::blocking(Lang::En, BlockingPaper { kind, fault });
            ("not-met", "notmet", "does not hold", capital(&words))
        }
    }
}

/// A paper of a site, in the same way.
pub fn site_paper(kind: SitePaperKind, holds: Running) -> (&'static str, &'static str, &'static str, String) {
    match holds {
        Ok(through) => {
            let name = paper_words::site_kind(Lang::En, kind);
            ("practice", "practice", "runs out", runs_out(&name, through))
        }
        Err(fault) => {
            let words = paper_words::blocking_site(Lang::En, BlockingSitePaper { kind, fault });
            ("not-met", "notmet", "does not hold", capital(&words))
        }
    }
}

fn runs_out(name: &str, through: NaiveDate) -> String {
    format!("{} (holds through {})", capital(name), language::date_short(Lang::En, through))
}

/// The same words as the beginning of a sentence.
pub fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// A report in which something is due: its title, and where it is.
pub fn incident_place(one: &IncidentDue) -> (String, String) {
    let (row, session) = (&one.listed.row, &one.listed.session);
    let day = language::date_short(Lang::En, row.happened_on);
    (format!("Report {}, {}, {day}", row.case_number, session.site.name), format!("/incidents/{}", row.reference))
}

/// Where a report that is open stands, in a few words.
pub fn incident_stands(one: &IncidentDue) -> &'static str {
    if one.listed.row.signed_by.is_some() { "second signature" } else { "being written" }
}

/// What a letter that came back was about, and what to do.
pub fn letter(stopped: &StoppedLetter) -> String {
    let about = match stopped.kind.as_str() {
        "registered" => "The confirmation of a registration",
        "waitlisted" => "The letter about a place in line",
        "address_asked" => "The letter that asks a family to confirm its address",
        "seat_offered" => "The offer of a seat",
        "still_coming" => "The question whether a child is still coming",
        "reminder_week" | "reminder_day" => "A reminder of a session",
        "consent_signed" | "consent_withdrawn" => "The letter about a consent",
        "place_moved" => "The letter that a place was moved",
        "concern_written" => "The letter to one of those who read concerns",
        "incident_opened" => "The letter to the office that a report was opened",
        "helmet_recall" => "The letter that a helmet is called back",
        "hold_ran_out" | "offer_ran_out" | "place_given_up" => "The letter that a place is over",
        "certificate" => "The letter with a certificate",
        "practice" => "The letter about what to practice",
        _ => "A letter",
    };
    if stopped.may_be_out() {
        return format!(
            "{about} may not have reached the family: the mail server took it twice and gave no answer. Call them."
        );
    }
    format!("{about} did not reach the family. Call them, and ask for another address.")
}

/// How a text that did not arrive stands, and what it was about.
pub fn missed_text(one: &NotArrived) -> (&'static str, String) {
    let about = match one.kind {
        TextKind::CalledOff => "The text that the session is called off",
        TextKind::Moved => "The text that the session has moved",
        TextKind::Offered => "The text about a free seat",
        TextKind::Reminder => "The reminder by text",
    };
    let (state, how) = match one.why {
        Missed::Refused => ("refused", "was refused by the gateway. Call them, and ask for another number."),
        Missed::GivenUp => ("given up", "could not be sent for a day. Call them."),
        Missed::Unsure => {
            ("not sure", "may not have arrived: the gateway gave no answer. It is not sent again. Call them.")
        }
        Missed::Waits => {
            ("waits", "is not out yet: the gateway does not take it. It is tried again. If it is urgent, call them.")
        }
    };
    (state, format!("{about} {how}"))
}
