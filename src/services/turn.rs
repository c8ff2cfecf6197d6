//! From one season to the next: last year's sessions as plans for the same weekdays of the year after, what is left open, and which
//! rules and texts want another look. Every plan is looked at as planning looks at it; one press plans those that were chosen, all of
//! them or none.

use chrono::{Datelike, NaiveDate, NaiveDateTime};

use super::due::{PersonsPaper, Running, SitesPaper, papers_on, site_papers_on};
use super::once::{Press, once};
use super::people::members;
use super::plan_session::{Around, WALL, Wish, WishedMeeting, add_planned, plan};
use super::program::{self, Program};
use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Duty, Permission, Subject, may};
use crate::domain::refusal::Refusal;
use crate::domain::rulebook::Book;
use crate::domain::season_turn::{Review, a_year_on, season_to_copy, wants_a_look};
use crate::domain::session::{Seats, SessionState};
use crate::domain::words::Word;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::consents::list_consent_texts;
use crate::store::grants::list_grants;
use crate::store::point_lists::list_point_lists;
use crate::store::rule_reviews::{reviews, set_review};
use crate::store::rulebooks::list_rulebooks;
use crate::store::sessions::{SessionView, list_sessions, meetings_of, staff_of};
use crate::store::staff::list_references;
use crate::store::{AnyConn, StoreError};

/// One session of last season as a plan.
#[derive(Clone, Debug)]
pub struct Copied {
    /// The session.
    pub view: SessionView,
    /// The day of the plan.
    pub on: NaiveDate,
    /// Its seats and what binds them, or why it cannot be planned.
    pub outcome: Result<Seats, Refusal>,
}

/// A paper that does not hold when the next season begins.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Ending {
    /// Of somebody of the staff.
    Person(PersonsPaper),
    /// Of a site.
    Site(SitesPaper),
    /// A grant whose period is over: its reference, its name, its last day.
    Grant(String, String, NaiveDate),
}

/// What of a season is over.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Archived {
    /// Sessions that are closed.
    pub closed: usize,
    /// Sessions that were called off.
    pub cancelled: usize,
}

/// Something that is read anew once a year, and when somebody last had a look.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Looked {
    /// Which.
    pub review: Review,
    /// The day of the newest version, or of the look after it.
    pub on: Option<NaiveDate>,
    /// Whether it wants another look.
    pub is_due: bool,
}

/// The turn of a season.
#[derive(Clone, Debug)]
pub struct Turn {
    /// The season that is copied.
    pub year: i32,
    /// Its sessions as plans, by day.
    pub plans: Vec<Copied>,
    /// Its sessions that are not closed.
    pub open: Vec<SessionView>,
    /// Its sessions that are over and stay under their year.
    pub archived: Archived,
    /// The first day of the next season: that of its first plan, else the first of the year.
    pub begins: NaiveDate,
    /// What runs out before that day.
    pub ending: Vec<Ending>,
    /// Rules, settings and texts; empty for who does not run the program.
    pub books: Vec<Looked>,
    /// A one-time key for the button.
    pub key: String,
}

/// How the season of a year turns into the next, as it would be planned now; without a year the one that is to copy today.
pub fn look(app: &App, caller: &Caller, year: Option<i32>) -> Result<Turn, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, key) = (app.clock.now(), app.random.reference());
    let runs = may(caller, Action::RunProgram, Subject::Program) == Permission::Granted;
    app.store.read(|conn| {
        let program = program::load(conn)?;
        let today = app.clock.today(program.zone);
        let year = year.unwrap_or_else(|| season_to_copy(today));
        let views = of_year(conn, year)?;
        let open = |view: &&SessionView| {
            let is_open = matches!(view.session.state, SessionState::Announced | SessionState::Reopened);
            is_open && view.session.last_on < today
        };
        let left = views.iter().filter(open).cloned().collect();
        let in_state = |state| views.iter().filter(|view| view.session.state == state).count();
        let archived =
            Archived { closed: in_state(SessionState::Closed), cancelled: in_state(SessionState::Cancelled) };
        let mut around = Around::default();
        let mut plans = Vec::new();
        for view in views.into_iter().filter(|view| view.session.state != SessionState::Cancelled) {
            let on = a_year_on(view.session.held_on);
            let planned = one(conn, &program, &view, now, &around);
            let outcome = around.take(planned)?;
            plans.push(Copied { view, on, outcome });
        }
        let books = if runs { looked(conn, today)? } else { Vec::new() };
        let first = plans.iter().map(|plan| plan.on).min().or(NaiveDate::from_ymd_opt(year + 1, 1, 1));
        let begins = first.ok_or(Failure::NotFound)?.max(today);
        let ending = ending(conn, &program, begins)?;
        Ok(Turn { year, plans, open: left, archived, begins, ending, books, key: key.clone() })
    })
}

/// Papers of people and of sites that do not hold on the first day of a season, and grants that ended since the year before.
fn ending(conn: &mut AnyConn, program: &Program, begins: NaiveDate) -> Result<Vec<Ending>, Failure> {
    let lapsed = |holds: &Running| holds.is_err();
    let persons = papers_on(program, &members(conn)?, begins).into_iter().filter(|paper| lapsed(&paper.holds));
    let sites = site_papers_on(conn, program, begins)?.into_iter().filter(|paper| lapsed(&paper.holds));
    let mut ending: Vec<Ending> = persons.map(Ending::Person).chain(sites.map(Ending::Site)).collect();
    for grant in list_grants(conn)? {
        if grant.ends_on < begins && grant.ends_on.year() >= begins.year() - 1 {
            ending.push(Ending::Grant(grant.reference, grant.name, grant.ends_on));
        }
    }
    Ok(ending)
}

fn of_year(conn: &mut AnyConn, year: i32) -> Result<Vec<SessionView>, Failure> {
    let day = |month, day| NaiveDate::from_ymd_opt(year, month, day).ok_or(Failure::NotFound);
    let mut views = list_sessions(conn, day(1, 1)?, day(12, 31)?)?;
    views.sort_by_key(|view| (view.session.held_on, view.session.id));
    Ok(views)
}

/// A session of last season planned anew, with its team, site and course.
fn one(
    conn: &mut AnyConn,
    program: &Program,
    view: &SessionView,
    now: NaiveDateTime,
    around: &Around,
) -> Result<super::plan_session::Plan, Failure> {
    let references = list_references(conn)?;
    let named = |id| references.iter().find(|(other, _)| *other == id).map(|(_, reference)| reference.clone());
    let (mut lead, mut others) = (String::new(), Vec::new());
    for member in staff_of(conn, view.session.id)? {
        let reference = named(member.staff_id).ok_or(StoreError::Missing)?;
        match member.duty {
            Duty::Lead => lead = reference,
            duty => others.push((reference, duty)),
        }
    }
    if lead.is_empty() {
        return Err(Refusal::NoLead.into());
    }
    let meeting = |row: crate::store::sessions::MeetingRow| {
        let wall = NaiveDateTime::parse_from_str(&row.local_start, WALL);
        let wall = wall.map_err(|_| StoreError::Unreadable("meetings.local_start"))?;
        Ok::<_, StoreError>(WishedMeeting { wall: a_year_on(wall), minutes: row.minutes })
    };
    let wish = Wish {
        course: view.course.code.clone(),
        site: view.site.reference.clone(),
        meetings: meetings_of(conn, view.session.id)?.into_iter().map(meeting).collect::<Result<_, _>>()?,
        language: view.session.language,
        lead,
        others,
        choice: None,
    };
    plan(conn, program, &wish, now, around)
}

/// Plans these sessions of a year for the next, all of them or none.
///
/// # Errors
/// `NotFound` for a session that is not of that year; `SeriesMoved`'s reasons as planning gives them; `KeyReused`.
pub fn announce(app: &App, caller: &Caller, year: i32, chosen: &[String], key: &str) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let press = Press::of(caller, key, &("turn", year, chosen))?;
    let planned: Vec<(String, String)> = chosen.iter().map(|old| (old.clone(), app.random.reference())).collect();
    let (caller, now) = (caller.clone(), app.clock.now());
    once(app, "turn season", press, year.to_string(), move |conn| {
        let program = program::load(conn)?;
        let views = of_year(conn, year)?;
        for (old, session) in &planned {
            let view = views.iter().find(|view| view.session.reference == *old).ok_or(Failure::NotFound)?;
            let plan = one(conn, &program, view, now, &Around::default())?;
            add_planned(conn, &plan, session, &caller, now)?;
        }
        Ok(())
    })?;
    Ok(())
}

/// When each rule and text was last changed as a whole or looked over.
pub(super) fn looked(conn: &mut AnyConn, today: NaiveDate) -> Result<Vec<Looked>, Failure> {
    let seen = reviews(conn)?;
    let texts = list_consent_texts(conn)?;
    let mut books = Vec::new();
    for review in Review::all() {
        let made = match review {
            Review::Book(book @ (Book::Curriculum | Book::Fit | Book::Cautions)) => {
                list_rulebooks(conn, book.as_str())?.first().map(|row| row.starts_on)
            }
            Review::Book(book @ (Book::DayList | Book::LookOver | Book::HelmetCheck)) => newest_list(conn, book)?,
            Review::Book(book @ (Book::ConsentRide | Book::ConsentPhoto)) => {
                let kind = if book == Book::ConsentRide { "ride" } else { "photo" };
                texts.iter().filter(|text| text.kind == kind).filter_map(|text| text.approved_on).max()
            }
            // To change one setting or one plan is no look at all of them.
            Review::Settings | Review::EmergencyPlans => None,
        };
        let on = made.into_iter().chain(seen.get(review.as_str()).copied()).max();
        books.push(Looked { review, on, is_due: wants_a_look(on, today) });
    }
    Ok(books)
}

fn newest_list(conn: &mut AnyConn, book: Book) -> Result<Option<NaiveDate>, Failure> {
    let kind = crate::domain::point_list::PointListKind::from_word(book.as_str()).ok_or(Failure::NotFound)?;
    Ok(list_point_lists(conn, kind)?.into_iter().map(|row| row.starts_on).max())
}

/// Notes that something was looked over and stays as it is.
pub fn look_over(app: &App, caller: &Caller, review: Review) -> Result<(), Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    let by = caller.account().ok_or(Failure::NotAllowed)?;
    let (clock, caller) = (app.clock.clone(), caller.clone());
    app.store.write("look over rules", move |conn| -> Result<(), Failure> {
        let today = clock.today(program::load(conn)?.zone);
        set_review(conn, review.as_str(), today, by)?;
        Ok(add_audit_row(conn, &AuditRow::by(&caller, clock.now(), "rules.look_over", review.as_str(), ""))?)
    })
}
