//! The sessions of one member of the staff, and what is most due at each. Changes nothing.

use chrono::{Days, NaiveDate, NaiveDateTime, NaiveTime};

use super::head::start_of;
use super::opened::{counted_by_rider, zone_of};
use crate::domain::access::{Action, Caller, Duty, Permission, Subject, may};
use crate::domain::acts::{Act, Body};
use crate::domain::meeting::{Meeting, Meetings};
use crate::domain::session::SessionState;
use crate::domain::time::LocalTime;
use crate::domain::words::Lang;
use crate::services::{App, Failure, program};
use crate::store::AnyConn;
use crate::store::acts::{KeptAct, acts_of};
use crate::store::sessions::{SessionView, duty_of, list_sessions_of_staff, meeting_days_of};

/// A session in the list of those who work at it.
#[derive(Clone, Debug)]
pub struct MySession {
    /// Public reference.
    pub reference: String,
    /// Its course.
    pub course: String,
    /// Its site and county.
    pub site: String,
    /// The meeting of today, else the next one, else the last.
    pub meeting: Meeting,
    /// How many meetings it has.
    pub meetings: usize,
    /// Start of that meeting on the wall at the site.
    pub starts: Option<NaiveTime>,
    /// What the reader does there.
    pub duty: Duty,
    /// Whether it is today.
    pub is_today: bool,
    /// What is due.
    pub due: Due,
}

/// What is due at a session, the most pressing thing only.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Due {
    /// Called off.
    Nothing,
    /// Its day has not come.
    Prepare {
        /// Riders with a seat.
        riders: usize,
    },
    /// Riders are to be checked in.
    CheckIn {
        /// How many.
        riders: usize,
    },
    /// Children are not home.
    NotHome {
        /// How many.
        riders: usize,
    },
    /// Everybody is home until the next meeting.
    NextMeeting {
        /// Its day.
        on: NaiveDate,
    },
    /// Everybody is home.
    Close,
    /// It is closed.
    Done,
}

impl Due {
    /// Whether nothing is left to do: called off or closed.
    pub fn is_over(&self) -> bool {
        matches!(self, Self::Nothing | Self::Done)
    }
}

/// The sessions of the caller, today's first, and for how many days before and after its day each is seen. Empty for people
/// who are not staff.
pub fn my_sessions(app: &App, caller: &Caller) -> Result<(Vec<MySession>, i64), Failure> {
    let now = app.clock.now();
    app.store.read(|conn| Ok((mine(conn, caller, now)?, program::load(conn)?.staff_window())))
}

/// The same, on an open connection.
pub(in crate::services) fn mine(
    conn: &mut AnyConn,
    caller: &Caller,
    now: NaiveDateTime,
) -> Result<Vec<MySession>, Failure> {
    let Some(member) = caller.staff() else { return Ok(Vec::new()) };
    let window = program::load(conn)?.staff_window();
    // One day more on each side: the window is held in each site's own zone below.
    let span = Days::new(window.unsigned_abs() + 1);
    let (from, through) = (now.date() - span, now.date() + span);
    let mut mine = Vec::new();
    for view in list_sessions_of_staff(conn, member, from, through)? {
        let today = LocalTime::from_utc(now, zone_of(&view)).wall.date();
        let Some(duty) = duty_of(conn, view.session.id, member)? else { continue };
        let (held_on, last_on) = (view.session.held_on, view.session.last_on);
        let subject = Subject::Session { duty: Some(duty), held_on, last_on, today, window };
        if may(caller, Action::RunSession, subject) == Permission::Granted {
            mine.push(my_session(conn, view, duty, today)?);
        }
    }
    mine.sort_by_key(|session| (!session.is_today, session.meeting.on, session.starts));
    Ok(mine)
}

fn my_session(conn: &mut AnyConn, view: SessionView, duty: Duty, today: NaiveDate) -> Result<MySession, Failure> {
    let meetings = meeting_days_of(conn, view.session.id)?;
    let next = meetings.all().iter().copied().find(|meeting| meeting.on >= today);
    let meeting = next.unwrap_or(meetings.last());
    let starts = start_of(conn, &view, meeting.ordinal)?;
    Ok(MySession {
        due: due(conn, &view, &meetings, today)?,
        reference: view.session.reference,
        course: view.course.title(Lang::En).to_owned(),
        site: format!("{}, {}", view.site.name, view.county_name),
        meeting,
        meetings: meetings.count(),
        starts,
        duty,
        is_today: meeting.on == today,
    })
}

fn due(conn: &mut AnyConn, view: &SessionView, meetings: &Meetings, today: NaiveDate) -> Result<Due, Failure> {
    let riders = usize::try_from(view.session.seats_taken).unwrap_or(0);
    Ok(match view.session.state {
        SessionState::Cancelled => Due::Nothing,
        SessionState::Closed => Due::Done,
        _ if today < view.session.held_on => Due::Prepare { riders },
        _ => {
            let acts = acts_of(conn, view.session.id)?;
            let meeting = meetings.of_day(today);
            let of = |ordinal| came_and_here(&acts, ordinal);
            let left_over: usize = meetings.before(meeting.ordinal).map(|earlier| of(earlier.ordinal).1).sum();
            let (came, here) = of(meeting.ordinal);
            match (here, came) {
                _ if left_over > 0 => Due::NotHome { riders: left_over },
                (0, 0) => Due::CheckIn { riders },
                (0, _) if meeting == meetings.last() => Due::Close,
                (0, _) => Due::NextMeeting { on: next_after(meetings, meeting).on },
                _ if came < riders && meeting.on == today => Due::CheckIn { riders: riders - came },
                _ => Due::NotHome { riders: here },
            }
        }
    })
}

fn next_after(meetings: &Meetings, meeting: Meeting) -> Meeting {
    meetings.find(meeting.ordinal + 1).unwrap_or(meetings.last())
}

/// How many came to a meeting, and how many of them are here; needs no curriculum.
fn came_and_here(acts: &[KeptAct], meeting: i64) -> (usize, usize) {
    let by_rider = counted_by_rider(acts);
    let came_or_left = |acts: &Vec<Act>| {
        let mut ordered: Vec<&Act> = acts.iter().filter(|act| act.meeting == meeting).collect();
        ordered.sort_by_key(|act| (act.order(), act.id));
        ordered.iter().rev().find_map(|act| match act.body {
            Body::CheckIn { .. } => Some(true),
            Body::CheckOut { .. } => Some(false),
            _ => None,
        })
    };
    let last: Vec<bool> = by_rider.values().filter_map(came_or_left).collect();
    (last.len(), last.iter().filter(|is_here| **is_here).count())
}
