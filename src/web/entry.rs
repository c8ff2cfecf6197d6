//! A session in words, as lists and session pages show it. Formats only; counts and decides nothing.

use chrono::{Datelike, TimeDelta};

use crate::domain::distance::Distance;
use crate::domain::registration::RegistrationState;
use crate::domain::session::SessionState;
use crate::domain::session_change::{ChangeKind, EarlierMeeting};
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::browse::{Announced, Sitting};
use crate::services::changed::Change;

use super::page::Page;

/// A state word with the class that gives its color and shape.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Badge {
    /// `free`, `waitlist` or `off`.
    pub kind: &'static str,
    /// The symbol.
    pub shape: &'static str,
    /// What it says.
    pub words: String,
}

/// One session in a list.
#[derive(Debug, Clone)]
pub struct Entry {
    /// Where it leads.
    pub href: String,
    /// The weekday in short.
    pub weekday: String,
    /// The day of the month.
    pub day: u32,
    /// The month's name.
    pub month: String,
    /// The whole day, for people who hear the page.
    pub date: String,
    /// The site.
    pub site: String,
    /// County and town.
    pub place: String,
    /// How far it is from where the reader looks; nothing when nobody chose a county.
    pub distance: String,
    /// From when to when on the first day.
    pub times: String,
    /// How many meetings and on which days; nothing when there is one.
    pub meetings: String,
    /// Ages and language.
    pub who: String,
    /// Seats left, line or state.
    pub badge: Badge,
    /// Whether it is called off.
    pub called_off: bool,
}

impl Entry {
    /// A session in the page's language.
    #[must_use]
    pub fn new(page: &Page, one: &Announced) -> Self {
        let lang = page.lang;
        Self {
            href: format!("/sessions/{}", one.reference),
            weekday: language::weekday_short(lang, one.held_on),
            day: one.held_on.day(),
            month: language::month_short(lang, one.held_on.month()),
            date: language::date_long(lang, one.held_on),
            site: one.site.clone(),
            place: format!("{}, {}", one.city, page.t1("session-county", "county", &one.county)),
            distance: one.distance.map(|away| distance(page, away)).unwrap_or_default(),
            times: one.sittings.first().map(|sitting| times(page, sitting)).unwrap_or_default(),
            meetings: meetings(page, one),
            who: format!("{}. {}.", ages(page, one), taught(page, one.language)),
            badge: badge(page, one),
            called_off: one.state == SessionState::Cancelled,
        }
    }
}

/// "About 40 miles away".
#[must_use]
pub fn distance(page: &Page, away: Distance) -> String {
    match away.miles().count() {
        0 => page.t("session-away-under"),
        miles => page.t1("session-away", "miles", miles),
    }
}

/// "Ages 6 to 9".
#[must_use]
pub fn ages(page: &Page, one: &Announced) -> String {
    page.t2("session-ages", "least", one.least_age, "most", one.most_age)
}

/// "Taught in English".
#[must_use]
pub fn taught(page: &Page, lang: Lang) -> String {
    page.t1("session-taught", "language", language_name(page, lang))
}

/// The name of a language in the page's own.
#[must_use]
pub fn language_name(page: &Page, lang: Lang) -> String {
    page.t(&format!("language-{}", lang.as_str()))
}

/// "8:30 AM to 1:00 PM, MDT".
#[must_use]
pub fn times(page: &Page, sitting: &Sitting) -> String {
    let (from, to) = sitting.times();
    page.t2("session-zone", "times", language::time_range(page.lang, from, to), "zone", &sitting.zone_words)
}

/// "Saturday, June 13, 2026, 8:30 AM to 1:00 PM, MDT", one line a meeting.
#[must_use]
pub fn when(page: &Page, one: &Announced) -> Vec<String> {
    let line = |sitting: &Sitting| {
        format!("{}, {}", language::date_long(page.lang, sitting.start.date()), times(page, sitting))
    };
    one.sittings.iter().map(line).collect()
}

/// "2 mornings: Saturday, June 13; Saturday, June 20"; nothing for a single meeting.
#[must_use]
pub fn meetings(page: &Page, one: &Announced) -> String {
    if one.sittings.len() < 2 {
        return String::new();
    }
    let key = if one.are_mornings() { "session-mornings" } else { "session-meetings" };
    let days = one.sittings.iter().map(|sitting| language::date_in_year(page.lang, sitting.start.date()));
    page.n1(key, one.sittings.len(), "days", days.collect::<Vec<_>>().join("; "))
}

/// What the family does before the session; empty when the course asks for no earlier part.
#[must_use]
pub fn earlier_part(page: &Page, one: &Announced) -> String {
    let key = if one.needs_proof { "session-earlier-needed" } else { "session-earlier-asked" };
    one.earlier_part(page.lang).map(|part| page.t1(key, "part", part)).unwrap_or_default()
}

/// Seats left, the line, or that it is called off.
#[must_use]
pub fn badge(page: &Page, one: &Announced) -> Badge {
    let (kind, shape, words) = match one.state {
        SessionState::Cancelled => ("off", "notmet", page.t("session-called-off")),
        SessionState::Closed | SessionState::Reopened => ("off", "none", page.t("session-over")),
        SessionState::Announced if !one.open => ("off", "none", page.t("session-over")),
        SessionState::Announced if one.is_full() => ("waitlist", "adapted", page.n("session-full", one.waiting)),
        SessionState::Announced => ("free", "free", page.n("session-seats-free", one.seats_left)),
    };
    Badge { kind, shape, words }
}

/// What changed of a session: a first sentence that can stand alone, and more. Nothing for a move once the session is
/// closed.
#[must_use]
pub fn change_words(page: &Page, change: &Change) -> (String, String) {
    let reason = page.t(&format!("change-reason-{}", change.reason.as_str().replace('_', "-")));
    let (first, mut more) = match change.kind {
        ChangeKind::Cancelled => ("change-cancelled", page.t1("change-cancelled-more", "reason", reason)),
        ChangeKind::Moved => {
            let when = |meeting: &EarlierMeeting| {
                let until = meeting.wall + TimeDelta::minutes(meeting.minutes);
                let times = language::time_range(page.lang, meeting.wall.time(), until.time());
                format!("{}, {times}", language::date_long(page.lang, meeting.wall.date()))
            };
            let earlier: Vec<String> = change.earlier.meetings.iter().map(when).collect();
            let (when, site) = (earlier.join("; "), &change.earlier.site);
            ("change-moved", page.t3("change-moved-more", "reason", reason, "when", when, "site", site))
        }
    };
    if !change.words.is_empty() {
        let key = if change.words_language == page.lang { "change-office" } else { "change-office-other" };
        let language = language_name(page, change.words_language);
        more.push(' ');
        more.push_str(&page.t2(key, "words", &change.words, "language", language));
    }
    (page.t(first), more)
}

/// Where a place stands: "Seat held", "Place 3 in line".
#[must_use]
pub fn place(page: &Page, state: RegistrationState, place: Option<i64>) -> String {
    match place {
        Some(place) => page.t1("registration-state-waitlisted", "place", place),
        None => page.t(&format!("registration-state-{}", state.as_str())),
    }
}

/// Which place in line a newcomer would get, and what that is worth.
#[must_use]
pub fn place_words(page: &Page, one: &Announced) -> String {
    language::say(page.lang, "session-waitlist-more", &[("place", language::Value::from(one.next_place()))])
}
