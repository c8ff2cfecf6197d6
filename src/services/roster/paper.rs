//! The session on paper: everything that an instructor needs for the day without a phone. Opening it is noted in the
//! audit log. Health stands on it only for readers who may, and the code on it carries the session's reference alone.

use crate::services::ties::speaker;
use std::collections::BTreeMap;

use chrono::NaiveDateTime;

use super::super::{App, Failure};
use super::alarms::Teacher;
use super::health::{Place, place};
use super::opened::{Opened, counted_by_rider, open};
use super::{Head, Line};
use crate::domain::access::{Caller, Duty};
use crate::domain::cautions::CautionKey;
use crate::domain::curriculum::{CheckCode, Curriculum};
use crate::domain::day::Day;
use crate::domain::skill::{Standing, standing};
use crate::domain::time::LocalTime;
use crate::domain::words::{Lang, Phone, full_name};
use crate::outside::pdf::qr::{Symbol, symbol};
use crate::store::AnyConn;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::sessions::staff_of;

/// The session as it goes on paper.
#[derive(Clone, Debug)]
pub struct Paper {
    /// The session.
    pub head: Head,
    /// Everybody who works there, the lead first.
    pub staff: Vec<(String, Duty)>,
    /// The riders.
    pub riders: Vec<PaperRider>,
    /// The lessons with their checks.
    pub lessons: Vec<PaperLesson>,
    /// Where everybody is.
    pub place: Place,
    /// When it was made, on the wall at the site.
    pub made_at: NaiveDateTime,
    /// The number of the session's last entry: newer ones are not on this paper.
    pub version: i64,
    /// The code that leads back to the record.
    pub code: Option<Symbol>,
}

/// One rider on paper.
#[derive(Clone, Debug)]
pub struct PaperRider {
    /// The rider.
    pub line: Line,
    /// The guardian and a telephone, as people read it.
    pub call: (String, String),
    /// The letters of the instructor whose group the rider is in; empty without one.
    pub group: String,
    /// What stands at each check that was tried.
    pub standing: BTreeMap<CheckCode, Standing>,
}

/// One lesson on paper.
#[derive(Clone, Debug)]
pub struct PaperLesson {
    /// Its number.
    pub number: u16,
    /// Its name.
    pub title: String,
    /// Its checks with a few words each.
    pub checks: Vec<(CheckCode, String)>,
}

/// Makes the paper of a session.
///
/// # Errors
/// `NotFound` when the caller may not know of the session.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<Paper, Failure> {
    let (app_too, caller, reference, now) = (app.clone(), caller.clone(), reference.to_owned(), app.clock.now());
    app.store.write("print roster", move |conn| {
        let opened = open(conn, &caller, &reference, now)?;
        noted(&app_too, conn, &caller, &opened, "roster.print")
    })
}

/// Makes the paper and notes under an action's name that it was made.
pub(super) fn noted(
    app: &App,
    conn: &mut AnyConn,
    caller: &Caller,
    opened: &Opened,
    action: &'static str,
) -> Result<Paper, Failure> {
    let paper = paper(app, conn, caller, opened)?;
    let detail = if paper.head.reads_health { "with health flags" } else { "without health flags" };
    let subject = format!("session {}", opened.view.session.reference);
    add_audit_row(conn, &AuditRow::by(caller, opened.now, action, subject, detail))?;
    Ok(paper)
}

fn paper(app: &App, conn: &mut AnyConn, caller: &Caller, opened: &Opened) -> Result<Paper, Failure> {
    let acts = opened.acts(conn)?;
    let head = opened.head(conn, caller, &acts, CautionKey::Riding)?;
    let curriculum = opened.curriculum(conn)?;
    let by_rider = counted_by_rider(&acts);
    let (_, session_day) = opened.session_day(conn, &acts, opened.meeting.ordinal)?;
    let teachers = opened.teachers(conn)?;
    let mut riders = Vec::new();
    for row in opened.riders(conn, &by_rider)? {
        let own = by_rider.get(&row.0.id).map_or(&[][..], Vec::as_slice);
        let day = Day::of(own, curriculum, opened.meeting.ordinal);
        let called = speaker(conn, &row.0)?;
        riders.push(PaperRider {
            group: session_day.groups.get(&row.0.id).map_or_else(String::new, |with| letters(&teachers, with)),
            standing: standing(&day.attempts),
            line: opened.line(app, conn, &row, day, head.reads_health)?,
            call: called.map_or_else(Default::default, |adult| {
                (full_name(&adult.given_name, &adult.family_name), Phone::shown(&adult.phone))
            }),
        });
    }
    let team = staff_of(conn, opened.view.session.id)?;
    let address = format!("{}/roster/{}", app.settings.server.public_url, head.reference);
    Ok(Paper {
        staff: team.iter().map(|one| (full_name(&one.given_name, &one.family_name), one.duty)).collect(),
        riders,
        lessons: lessons(curriculum),
        place: place(&opened.view.site),
        made_at: LocalTime::from_utc(opened.now, opened.zone).wall,
        version: acts.iter().map(|kept| kept.act.counter).max().unwrap_or(0),
        code: symbol(&address),
        head,
    })
}

/// The first letters of an instructor's names, as a box of the sheet has room for.
fn letters(teachers: &[Teacher], reference: &str) -> String {
    let teacher = teachers.iter().find(|one| one.reference == reference);
    let names = teacher.map_or("", |one| one.name.as_str()).split_whitespace();
    let all: Vec<char> = names.filter_map(|name| name.chars().next()).collect();
    match all.as_slice() {
        [first, .., last] => [*first, *last].iter().collect(),
        few => few.iter().collect(),
    }
}

fn lessons(curriculum: &Curriculum) -> Vec<PaperLesson> {
    let lesson = |lesson: &crate::domain::curriculum::Lesson| PaperLesson {
        number: lesson.number,
        title: lesson.title.in_lang(Lang::En).to_owned(),
        checks: lesson.checks.iter().map(|check| (check.code, curriculum.words(&check.title, Lang::En))).collect(),
    };
    curriculum.lessons().iter().map(lesson).collect()
}
