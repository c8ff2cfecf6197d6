//! One lesson of a session: every rider's mark at one of its checks, and why a rider cannot be marked yet.

use std::collections::BTreeMap;

use chrono::NaiveTime;

use super::super::field_act::hex;
use super::super::{App, Failure};
use super::area::Area;
use super::opened::{Opened, counted_by_rider, open};
use super::{Head, LessonCount, Line, lesson_counts};
use crate::domain::access::Caller;
use crate::domain::acts::{Act, Body};
use crate::domain::cautions::CautionKey;
pub use crate::domain::curriculum::CheckShown;
use crate::domain::curriculum::{CheckCode, Curriculum, Lesson};
use crate::domain::day::Day;
use crate::domain::gate::Before;
use crate::domain::refusal::Refusal;
use crate::domain::registration::RegistrationState;
use crate::domain::skill::{Mark, Standing, standing};
use crate::domain::words::Lang;
use crate::store::AnyConn;
use crate::store::acts::KeptAct;

/// One lesson as the roster shows it.
#[derive(Clone, Debug)]
pub struct LessonPage {
    /// The session.
    pub head: Head,
    /// The lesson's number.
    pub number: u16,
    /// The version of the curriculum.
    pub version: i64,
    /// Its name.
    pub title: String,
    /// How the area is laid out.
    pub setup: String,
    /// What the instructor is warned of.
    pub warning: String,
    /// Names of the lessons that come first.
    pub needs: Vec<String>,
    /// The check being marked; none while the whole lesson is.
    pub check: Option<CheckShown>,
    /// Whether one tap may mark the whole lesson.
    pub takes_whole: bool,
    /// The lesson's checks.
    pub checks: Vec<CheckCount>,
    /// Every rider who came, and those still to come.
    pub lines: Vec<MarkLine>,
    /// All lessons.
    pub lessons: Vec<LessonCount>,
    /// The lesson that the reader's riders were marked in last and after which their heads were not counted.
    pub uncounted: Option<u16>,
    /// Whether the reader's riders were marked in this lesson, and their heads are to be counted before the next.
    pub counts_next: bool,
    /// Lessons before and after.
    pub before: Option<u16>,
    /// The next lesson.
    pub after: Option<u16>,
}

/// How far one check has come.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CheckCount {
    /// The check.
    pub check: CheckShown,
    /// Riders who meet it.
    pub met: usize,
}

/// One rider at the check.
#[derive(Clone, Debug)]
pub struct MarkLine {
    /// The rider.
    pub line: Line,
    /// What stands now.
    pub mark: Mark,
    /// Safety stops that nobody cleared.
    pub stops: Vec<Stop>,
    /// Why the rider cannot be marked yet.
    pub why_not: Option<Refusal>,
}

/// A safety stop that nobody cleared.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stop {
    /// The act, as a form names it.
    pub act: String,
    /// The check that was stopped.
    pub check: CheckCode,
    /// On the wall at the site.
    pub at: NaiveTime,
}

/// One lesson with one check, or the whole of it.
///
/// # Errors
/// `NotFound` for a lesson or check that the session's curriculum does not have.
pub fn show(
    app: &App,
    caller: &Caller,
    reference: &str,
    number: u16,
    check: Option<&str>,
) -> Result<LessonPage, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let curriculum = opened.curriculum(conn)?;
        let lesson = curriculum.lesson(number).ok_or(Failure::NotFound)?;
        let check = chosen(lesson, check)?;
        let acts = opened.acts(conn)?;
        let head = opened.head(conn, caller, &acts, CautionKey::Skills)?;
        let lines = mark_lines(app, conn, &opened, curriculum, lesson, check, &acts, head.reads_health)?;
        let taught = opened.taught(&acts);
        let own = taught.scope_of(head.area.as_ref().and_then(Area::me).map(|me| me.reference.as_str()));
        let uncounted = taught.uncounted_before(number, &own);
        let counts_next =
            curriculum.next(number).is_some_and(|next| taught.uncounted_before(next.number, &own).is_some());
        Ok(LessonPage { uncounted, counts_next, ..page(head, curriculum, lesson, check, lines) })
    })
}

/// The check that an address names; `all` is the whole lesson, nothing is its first check.
fn chosen(lesson: &Lesson, asked: Option<&str>) -> Result<Option<CheckCode>, Failure> {
    match asked {
        None => lesson.checks.first().map(|check| Some(check.code)).ok_or(Failure::NotFound),
        Some("all") if lesson.whole_lesson_marks => Ok(None),
        Some(text) => {
            let code = CheckCode::parse(text).map_err(|_| Failure::NotFound)?;
            let known = lesson.checks.iter().any(|check| check.code == code);
            if known { Ok(Some(code)) } else { Err(Failure::NotFound) }
        }
    }
}

fn page(
    head: Head,
    curriculum: &Curriculum,
    lesson: &Lesson,
    check: Option<CheckCode>,
    lines: Vec<MarkLine>,
) -> LessonPage {
    let plain: Vec<Line> = lines.iter().map(|mark| mark.line.clone()).collect();
    let standings: Vec<_> = plain.iter().map(|line| standing(&line.day.attempts)).collect();
    let met = |code: CheckCode| standings.iter().filter(|s| s.get(&code) == Some(&Standing::Meets)).count();
    let name = |number: &u16| {
        let needed = curriculum.lesson(*number)?;
        Some(format!("{}. {}", needed.number, needed.title.in_lang(Lang::En)))
    };
    let checks: Vec<CheckCount> = lesson
        .checks
        .iter()
        .map(|check| CheckCount { met: met(check.code), check: curriculum.check_shown(check, Lang::En) })
        .collect();
    LessonPage {
        head,
        number: lesson.number,
        version: curriculum.version(),
        title: lesson.title.in_lang(Lang::En).to_owned(),
        setup: curriculum.words(&lesson.setup, Lang::En),
        warning: curriculum.words(&lesson.caution, Lang::En),
        needs: curriculum.prerequisites(lesson).iter().filter_map(name).collect(),
        check: check.and_then(|code| checks.iter().find(|count| count.check.code == code)).map(|c| c.check.clone()),
        takes_whole: lesson.whole_lesson_marks,
        checks,
        lines,
        lessons: lesson_counts(curriculum, &plain),
        uncounted: None,
        counts_next: false,
        before: curriculum.previous(lesson.number).map(|lesson| lesson.number),
        after: curriculum.next(lesson.number).map(|lesson| lesson.number),
    }
}

#[expect(clippy::too_many_arguments, reason = "one step of `show`, with what it has read")]
fn mark_lines(
    app: &App,
    conn: &mut AnyConn,
    opened: &Opened,
    curriculum: &Curriculum,
    lesson: &Lesson,
    check: Option<CheckCode>,
    acts: &[KeptAct],
    reads_health: bool,
) -> Result<Vec<MarkLine>, Failure> {
    let mut by_rider = counted_by_rider(acts);
    let codes: Vec<CheckCode> = match check {
        Some(code) => vec![code],
        None => lesson.checks.iter().map(|check| check.code).collect(),
    };
    let machines = opened.machines_today(conn, acts, opened.meeting.ordinal)?;
    let mut lines = Vec::new();
    for row in opened.riders(conn, &by_rider)? {
        let own = by_rider.remove(&row.0.id).unwrap_or_default();
        let day = Day::of(&own, curriculum, opened.meeting.ordinal);
        let before = Before {
            has_seat: row.0.state == RegistrationState::Confirmed,
            has_consent: opened.has_consent(conn, &row.0)?,
            day: &day,
            curriculum,
            not_release: &[],
            proof: opened.proof(conn, row.0.id, &day)?,
            parked: opened.parked(&machines, &day, opened.meeting.ordinal),
        };
        let why_not = codes.iter().find_map(|code| before.why_not(*code));
        let standing = standing(&day.attempts);
        let (mark, stops) = (mark_of(&standing, &codes), stops_of(opened, &standing, &codes, &own));
        lines.push(MarkLine { line: opened.line(app, conn, &row, day, reads_health)?, mark, stops, why_not });
    }
    Ok(lines)
}

/// What stands at one check, or at all of them together.
fn mark_of(standing: &BTreeMap<CheckCode, Standing>, codes: &[CheckCode]) -> Mark {
    let marks: Vec<Mark> = codes
        .iter()
        .map(|code| match standing.get(code) {
            Some(Standing::Meets) => Mark::Meets,
            Some(Standing::NeedsPractice) => Mark::NeedsPractice,
            Some(Standing::Stopped { .. }) => Mark::StoppedForSafety,
            Some(Standing::NotTried) | None => Mark::NotTried,
        })
        .collect();
    match marks.first() {
        _ if marks.contains(&Mark::StoppedForSafety) => Mark::StoppedForSafety,
        Some(first) if marks.iter().all(|mark| mark == first) => *first,
        _ => Mark::NotTried,
    }
}

fn stops_of(opened: &Opened, standing: &BTreeMap<CheckCode, Standing>, codes: &[CheckCode], acts: &[Act]) -> Vec<Stop> {
    let mut stops = Vec::new();
    for code in codes {
        let Some(Standing::Stopped { open }) = standing.get(code) else { continue };
        for act in acts.iter().filter(|act| open.contains(&act.id) && is_mark(&act.body)) {
            stops.push(Stop { act: hex(&act.id), check: *code, at: opened.clock(act.at) });
        }
    }
    stops
}

fn is_mark(body: &Body) -> bool {
    matches!(body, Body::Mark { .. } | Body::LessonMarks { .. })
}
