//! The sessions to come as files for other programs: a calendar that one subscribes to, and a list. They say nothing that
//! the page of sessions does not, and the same sessions give the same bytes.

use chrono::TimeZone;
use serde::Serialize;

use super::{Announced, Sitting};
use crate::domain::session::SessionState;
use crate::domain::time::LocalTime;
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::outside::calendar::{self, Entry};
use crate::services::App;

/// The media type of the calendar.
pub const CALENDAR_MEDIA: &str = calendar::MEDIA;

/// One entry a meeting, in the site's wall time. A session that is called off stays in it as such, so that the calendars
/// of subscribers take it away.
pub fn calendar(app: &App, sessions: &[Announced], lang: Lang) -> String {
    let entries: Vec<Entry> = sessions.iter().flat_map(|session| entries(app, session, lang)).collect();
    calendar::file(&entries)
}

fn entries(app: &App, session: &Announced, lang: Lang) -> Vec<Entry> {
    let host = app.settings.server.public_host();
    let cancelled = session.state == SessionState::Cancelled;
    let change = session.change.as_ref();
    let say = |key: &str, values: &[(&str, language::Value<'_>)]| language::say(lang, key, values);
    let ages = say("session-ages", &[("least", session.least_age.into()), ("most", session.most_age.into())]);
    let taught =
        say("session-taught", &[("language", say(&format!("language-{}", session.language.as_str()), &[]).into())]);
    let entry = |sitting: &Sitting| Entry {
        uid: format!("session-{}-{}@{host}", session.reference, sitting.ordinal),
        sequence: change.map_or(u32::from(cancelled), |change| change.sequence),
        stamp: change.map_or(session.made_at, |change| change.at),
        start: LocalTime { wall: sitting.start, zone: sitting.zone },
        ends_at: sitting.ends_at,
        summary: session.title(lang).to_owned(),
        description: format!("{ages}. {taught}."),
        location: format!("{}, {}, {} {}", session.site, session.street, session.city, session.zip),
        url: address(app, session),
        cancelled,
    };
    session.sittings.iter().map(entry).collect()
}

fn address(app: &App, session: &Announced) -> String {
    format!("{}/sessions/{}", app.settings.server.public_url, session.reference)
}

/// The list. Times are of RFC 3339, with the offset of the site on that day.
#[derive(Serialize)]
struct List<'a> {
    sessions: Vec<Listed<'a>>,
}

#[derive(Serialize)]
struct Listed<'a> {
    reference: &'a str,
    address: String,
    /// `announced` or `cancelled`.
    state: &'static str,
    course: [Named<'a>; 2],
    ages: Ages,
    language: &'static str,
    site: &'a str,
    city: &'a str,
    zip: &'a str,
    county: County<'a>,
    /// Miles from the county that was asked for, in steps of five; 0 when less. Absent when none was.
    #[serde(skip_serializing_if = "Option::is_none")]
    miles: Option<i64>,
    meetings: Vec<Meeting<'a>>,
    seats_left: i64,
    waiting: i64,
    takes_registrations: bool,
}

#[derive(Serialize)]
struct Named<'a> {
    language: &'static str,
    title: &'a str,
}

#[derive(Serialize)]
struct Ages {
    least: i64,
    most: i64,
}

#[derive(Serialize)]
struct County<'a> {
    code: &'a str,
    name: &'a str,
}

#[derive(Serialize)]
struct Meeting<'a> {
    starts: String,
    ends: String,
    zone: &'a str,
}

/// The sessions as JSON.
pub fn json(app: &App, sessions: &[Announced]) -> String {
    let list = List { sessions: sessions.iter().map(|session| listed(app, session)).collect() };
    serde_json::to_string(&list).expect("texts and numbers")
}

fn listed<'a>(app: &App, session: &'a Announced) -> Listed<'a> {
    let meeting = |sitting: &'a Sitting| {
        let at = |utc| sitting.zone.from_utc_datetime(&utc).to_rfc3339();
        let starts = LocalTime { wall: sitting.start, zone: sitting.zone }.to_utc();
        Meeting { starts: starts.map(at).unwrap_or_default(), ends: at(sitting.ends_at), zone: sitting.zone.name() }
    };
    let named = |lang: Lang| Named { language: lang.as_str(), title: session.title(lang) };
    Listed {
        reference: &session.reference,
        address: address(app, session),
        state: session.state.as_str(),
        course: [named(Lang::En), named(Lang::Es)],
        ages: Ages { least: session.least_age, most: session.most_age },
        language: session.language.as_str(),
        site: &session.site,
        city: &session.city,
        zip: &session.zip,
        county: County { code: &session.fips, name: &session.county },
        miles: session.distance.map(|distance| distance.miles().count()),
        meetings: session.sittings.iter().map(meeting).collect(),
        seats_left: session.seats_left,
        waiting: session.waiting,
        takes_registrations: session.open,
    }
}
