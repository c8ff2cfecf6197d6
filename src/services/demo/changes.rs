//! What a season brings: one session is called off, one moves, and the office plans a series from a pattern. Everybody is
//! told as in a real program.

use chrono::{Days, NaiveDate, NaiveDateTime};

use super::{Announced, Builder, START};
use crate::domain::access::Duty;
use crate::domain::session_change::ChangeReason;
use crate::domain::words::Lang;
use crate::services::change_session::{self, Destination, Pressed, Why};
use crate::services::patterns::{self, PatternMeeting, PatternWish};
use crate::services::plan_session::WishedMeeting;
use crate::services::{Failure, series};
use crate::store::outbox::set_letter_stopped;
use crate::store::session_changes::{changes_of, tellings_of};
use crate::store::sessions::{find_session, list_sessions, meetings_of};
use crate::store::team::add_to_team;

/// Smoke from a ridge fire calls a session off.
pub(super) fn call_off(builder: &Builder, session: &Announced) -> Result<(), Failure> {
    let why = why(ChangeReason::Air, "The fire on the ridge may burn for two weeks.");
    let caller = builder.members.coordinator();
    change_session::cancel(&builder.app, &caller, &session.reference, why, &press(builder))?;
    one_letter_comes_back(builder, session)
}

/// The last family's address takes no letters any more, so the office has somebody to call.
fn one_letter_comes_back(builder: &Builder, session: &Announced) -> Result<(), Failure> {
    let id = session.id;
    builder.app.store.write("letter comes back", move |conn| {
        let changes: Vec<_> = changes_of(conn, id)?.iter().map(|change| change.id).collect();
        let families = tellings_of(conn, &changes)?.into_iter().filter(|telling| telling.guardian_id.is_some());
        let letter = families.filter_map(|telling| telling.outbox_id).next_back();
        letter.map_or(Ok(()), |letter| Ok(set_letter_stopped(conn, letter, "550 no such mailbox")?))
    })
}

/// The owner needs the field on Saturday, so the session is held the day after.
pub(super) fn move_to_sunday(builder: &Builder, session: &Announced) -> Result<(), Failure> {
    let (site, meetings) = builder.app.store.read(|conn| -> Result<_, Failure> {
        let view = find_session(conn, &session.reference)?.ok_or(Failure::NotFound)?;
        Ok((view.site.reference, meetings_of(conn, view.session.id)?))
    })?;
    let later = |row: &crate::store::sessions::MeetingRow| {
        let wall: Result<NaiveDateTime, _> = NaiveDateTime::parse_from_str(&row.local_start, "%Y-%m-%dT%H:%M");
        let wall = wall.map_err(Failure::broken)? + Days::new(1);
        Ok(WishedMeeting { wall, minutes: row.minutes })
    };
    let to = Destination { site, meetings: meetings.iter().map(later).collect::<Result<_, Failure>>()? };
    let why = why(ChangeReason::Site, "The owner brings in the hay on Saturday.");
    let caller = builder.members.coordinator();
    change_session::move_to(&builder.app, &caller, &session.reference, to, why, &press(builder))
}

fn why(reason: ChangeReason, words: &str) -> Why {
    Why { reason, words: words.into(), language: Lang::En }
}

/// A press on a page that shows a session that was never changed.
fn press(builder: &Builder) -> Pressed {
    Pressed { key: builder.app.random.reference(), seen: 0 }
}

/// Somebody steps in at a coming session whose riding certification lapses before it: the season's page says so.
pub(super) fn put_without_papers(builder: &Builder) -> Result<(), Failure> {
    let (from, through) = (builder.saturday(5), builder.saturday(6));
    let Some(member) = builder.members.find("Silas Thornquist").map(|member| member.staff) else { return Ok(()) };
    builder.app.store.write("step in", move |conn| {
        let Some(view) = list_sessions(conn, from, through)?.into_iter().next() else { return Ok(()) };
        add_to_team(conn, view.session.id, member, Duty::Instructor)?;
        Ok(())
    })
}

/// A pattern of Saturday mornings, and a series from it.
pub(super) fn plan_series(builder: &Builder) -> Result<(), Failure> {
    let caller = builder.members.coordinator();
    let (lead, second) = builder.members.pair(0);
    let wish = PatternWish {
        name: "Alder Flat, Saturday mornings".into(),
        course: "young".into(),
        site: builder.sites[0].clone(),
        language: Lang::En,
        meetings: vec![PatternMeeting { day: 0, starts: START, minutes: 180 }],
        lead: lead.reference.clone(),
        others: builder.members.others(second),
        choice: Some(6),
    };
    let pattern = patterns::add(&builder.app, &caller, wish)?;
    let days: Vec<NaiveDate> = builder.scenario.series_weeks().iter().map(|week| builder.saturday(*week)).collect();
    let looked = series::look(&builder.app, &caller, &pattern, &days)?;
    series::announce(&builder.app, &caller, &pattern, &looked.plannable(), &looked.key)
}
