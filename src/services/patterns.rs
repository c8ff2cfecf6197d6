//! Patterns: what a session is made of, kept under a name, so that more can be planned like it. A pattern holds no day and
//! promises nothing: whatever is planned from it is looked at like any other session.

use chrono::{Days, NaiveDate, NaiveTime};

use super::people::members;
use super::plan_session::{Choices, Wish, WishedMeeting, offered};
use super::season::{Lookout, SeasonRow, rows};
use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Duty, Subject};
use crate::domain::ids::StaffId;
use crate::domain::refusal::Refusal;
use crate::domain::seen::Seen;
use crate::domain::words::Lang;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::courses::find_course;
use crate::store::patterns::{
    NewPattern, PatternMeetingRow, PatternRow, add_pattern, find_pattern, list_patterns, pattern_meetings_of,
    pattern_team_of, remove_pattern, sessions_of_pattern, set_pattern,
};
use crate::store::sessions::find_session_by_id;
use crate::store::sites::find_site;
use crate::store::{AnyConn, Key, StoreError};

/// How a wall time is written in tables.
const CLOCK: &str = "%H:%M";

/// A meeting of a pattern.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PatternMeeting {
    /// Days after the first meeting; 0 for the first.
    pub day: u64,
    /// On the clocks of the site.
    pub starts: NaiveTime,
    /// Length in minutes.
    pub minutes: i64,
}

/// Somebody of a pattern's team.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wanted {
    /// The account's reference.
    pub reference: String,
    /// Name in one line.
    pub name: String,
    /// What they do.
    pub duty: Duty,
}

/// A pattern with its words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pattern {
    /// The row, with the words of its course and site.
    pub row: PatternRow,
    /// Its meetings in order.
    pub meetings: Vec<PatternMeeting>,
    /// Its team, lead first.
    pub team: Vec<Wanted>,
}

impl Pattern {
    /// The account reference of who leads; empty when nobody is wanted as lead.
    pub fn lead(&self) -> &str {
        self.team.iter().find(|one| one.duty == Duty::Lead).map_or("", |lead| &lead.reference)
    }

    /// A session of this pattern whose first meeting is on a day; none where the calendar ends.
    pub fn wish_on(&self, on: NaiveDate) -> Option<Wish> {
        let meeting = |part: &PatternMeeting| {
            let day = on.checked_add_days(Days::new(part.day))?;
            Some(WishedMeeting { wall: day.and_time(part.starts), minutes: part.minutes })
        };
        let others = self.team.iter().filter(|one| one.duty != Duty::Lead);
        Some(Wish {
            course: self.row.course.clone(),
            site: self.row.site.clone(),
            meetings: self.meetings.iter().map(meeting).collect::<Option<_>>()?,
            language: self.row.language,
            lead: self.lead().to_owned(),
            others: others.map(|one| (one.reference.clone(), one.duty)).collect(),
            choice: self.row.choice,
        })
    }
}

/// A pattern as the office wants it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PatternWish {
    /// What it is called.
    pub name: String,
    /// The course's code.
    pub course: String,
    /// The site's reference.
    pub site: String,
    /// Language of teaching.
    pub language: Lang,
    /// Its meetings in order, the first on day 0.
    pub meetings: Vec<PatternMeeting>,
    /// The account reference of who leads.
    pub lead: String,
    /// Account references and duties of the others.
    pub others: Vec<(String, Duty)>,
    /// The most seats wanted.
    pub choice: Option<i64>,
}

/// A pattern with the sessions that were planned from it.
#[derive(Clone, Debug)]
pub struct PatternSheet {
    /// The pattern.
    pub pattern: Pattern,
    /// The sessions, by day.
    pub sessions: Vec<SeasonRow>,
}

/// Every pattern by name.
pub fn list(app: &App, caller: &Caller) -> Result<Vec<Pattern>, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    app.store.read(|conn| list_patterns(conn)?.into_iter().map(|row| pattern(conn, row)).collect())
}

/// One pattern with the sessions planned from it.
pub fn find(app: &App, caller: &Caller, reference: &str) -> Result<PatternSheet, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    app.store.read(|conn| {
        let pattern = by_reference(conn, reference)?;
        let today = app.clock.today(program::load(conn)?.zone);
        let mut views = Vec::new();
        for id in sessions_of_pattern(conn, pattern.row.id)? {
            views.push(find_session_by_id(conn, id)?);
        }
        let lookout = Lookout::take(conn, today)?;
        let mut sessions = rows(conn, views, &lookout)?;
        sessions.sort_by_key(|row| row.view.session.held_on);
        Ok(PatternSheet { pattern, sessions })
    })
}

/// One pattern with everything that a form offers.
pub fn with_choices(app: &App, caller: &Caller, reference: &str) -> Result<(Pattern, Choices), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    app.store.read(|conn| Ok((by_reference(conn, reference)?, offered(conn)?)))
}

/// The pattern of a reference, on an open connection.
pub(super) fn by_reference(conn: &mut AnyConn, reference: &str) -> Result<Pattern, Failure> {
    let row = find_pattern(conn, reference)?.ok_or(Failure::NotFound)?;
    pattern(conn, row)
}

fn pattern(conn: &mut AnyConn, row: PatternRow) -> Result<Pattern, Failure> {
    let meeting = |part: PatternMeetingRow| {
        let unreadable = StoreError::Unreadable("pattern_meetings");
        let starts = NaiveTime::parse_from_str(&part.starts, CLOCK);
        match (u64::try_from(part.day), starts) {
            (Ok(day), Ok(starts)) => Ok(PatternMeeting { day, starts, minutes: part.minutes }),
            _ => Err(unreadable),
        }
    };
    let meetings = pattern_meetings_of(conn, row.id)?.into_iter().map(meeting).collect::<Result<_, _>>()?;
    let people = members(conn)?;
    let wanted = |(id, duty): (StaffId, Duty)| {
        let member = people.iter().find(|member| member.id == id)?;
        Some(Wanted { reference: member.reference.clone(), name: member.name.clone(), duty })
    };
    let team = pattern_team_of(conn, row.id)?.into_iter().filter_map(wanted).collect();
    Ok(Pattern { row, meetings, team })
}

/// Keeps a new pattern and gives its reference.
///
/// # Errors
/// `PatternNameTaken`; `NotFound` for a course, a site or a person that is not there.
pub fn add(app: &App, caller: &Caller, wish: PatternWish) -> Result<String, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (reference, now, caller) = (app.random.reference(), app.clock.now(), caller.clone());
    app.store.write("add pattern", move |conn| {
        let parts = Parts::of(conn, &wish)?;
        let new = parts.row(&wish, reference.clone(), now);
        add_pattern(conn, &new, &parts.meetings, &parts.team).map_err(|error| taken(error, &wish))?;
        let subject = format!("pattern {reference}");
        add_audit_row(conn, &AuditRow::by(&caller, now, "pattern.add", subject, wish.name.clone()))?;
        Ok(reference.clone())
    })
}

/// Puts other answers in a pattern's place. Sessions planned from it stay as they are.
///
/// # Errors
/// As `add`; `DraftMoved` when it was changed since it was seen.
pub fn update(app: &App, caller: &Caller, reference: &str, seen: &Seen, wish: PatternWish) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (reference, seen, now, caller) = (reference.to_owned(), seen.clone(), app.clock.now(), caller.clone());
    app.store.write("edit pattern", move |conn| {
        let row = find_pattern(conn, &reference)?.ok_or(Failure::NotFound)?;
        seen.holds_for(&pattern(conn, row.clone())?)?;
        let parts = Parts::of(conn, &wish)?;
        let new = parts.row(&wish, reference.clone(), now);
        set_pattern(conn, row.id, &new, &parts.meetings, &parts.team).map_err(|error| taken(error, &wish))?;
        let subject = format!("pattern {reference}");
        add_audit_row(conn, &AuditRow::by(&caller, now, "pattern.edit", subject, wish.name.clone()))?;
        Ok(())
    })
}

/// Forgets a pattern. Sessions planned from it stay.
pub fn remove(app: &App, caller: &Caller, reference: &str) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (reference, now, caller) = (reference.to_owned(), app.clock.now(), caller.clone());
    app.store.write("remove pattern", move |conn| {
        let row = find_pattern(conn, &reference)?.ok_or(Failure::NotFound)?;
        remove_pattern(conn, row.id)?;
        let subject = format!("pattern {reference}");
        add_audit_row(conn, &AuditRow::by(&caller, now, "pattern.remove", subject, row.name))?;
        Ok(())
    })
}

fn taken(error: StoreError, wish: &PatternWish) -> Failure {
    match error {
        StoreError::Duplicate(Key::PatternName) => Refusal::PatternNameTaken { name: wish.name.clone() }.into(),
        other => other.into(),
    }
}

/// The rows that a wish asks for.
struct Parts {
    course: crate::domain::ids::CourseId,
    site: crate::domain::ids::SiteId,
    meetings: Vec<PatternMeetingRow>,
    team: Vec<(StaffId, Duty)>,
}

impl Parts {
    fn of(conn: &mut AnyConn, wish: &PatternWish) -> Result<Self, Failure> {
        let course = find_course(conn, &wish.course)?.ok_or(Failure::NotFound)?.id;
        let site = find_site(conn, &wish.site)?.ok_or(Failure::NotFound)?.id;
        let meeting = |part: &PatternMeeting| {
            let day = i64::try_from(part.day).map_err(Failure::broken)?;
            Ok(PatternMeetingRow { day, starts: part.starts.format(CLOCK).to_string(), minutes: part.minutes })
        };
        let people = members(conn)?;
        let lead = (wish.lead.clone(), Duty::Lead);
        let mut team: Vec<(StaffId, Duty)> = Vec::new();
        for (reference, duty) in std::iter::once(&lead).chain(&wish.others) {
            let member = people.iter().find(|member| member.reference == *reference).ok_or(Failure::NotFound)?;
            if team.iter().all(|(id, _)| *id != member.id) {
                team.push((member.id, *duty));
            }
        }
        let meetings = wish.meetings.iter().map(meeting).collect::<Result<_, Failure>>()?;
        Ok(Self { course, site, meetings, team })
    }

    fn row(&self, wish: &PatternWish, reference: String, now: chrono::NaiveDateTime) -> NewPattern {
        NewPattern {
            reference,
            name: wish.name.clone(),
            course_id: self.course,
            site_id: self.site,
            language: wish.language,
            choice: wish.choice,
            created_at: now,
        }
    }
}
