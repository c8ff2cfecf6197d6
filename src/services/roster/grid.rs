//! The marks of a session as a table, riders by skill checks, for entering at a desk what was written on paper. Reads only.

use super::super::{App, Failure};
use super::opened::{counted_by_rider, open};
use super::{Head, LessonCount, Line, lesson_counts};
use crate::domain::access::Caller;
use crate::domain::cautions::CautionKey;
use crate::domain::curriculum::{CheckCode, Lesson};
use crate::domain::day::Day;
use crate::domain::skill::{Mark, Standing, standing};
use crate::domain::words::Lang;

/// The table of one lesson, or of all.
#[derive(Clone, Debug)]
pub struct Grid {
    /// The session.
    pub head: Head,
    /// The lesson shown; none for all.
    pub lesson: Option<u16>,
    /// The checks across, with a few words each.
    pub checks: Vec<(CheckCode, String)>,
    /// The riders down, those here now; the others cannot be marked.
    pub rows: Vec<GridRow>,
    /// How many riders are not here.
    pub not_here: usize,
    /// All lessons.
    pub lessons: Vec<LessonCount>,
}

/// One rider's marks.
#[derive(Clone, Debug)]
pub struct GridRow {
    /// The rider.
    pub line: Line,
    /// What stands at each check across.
    pub marks: Vec<(CheckCode, Mark)>,
}

/// The table of a lesson of one session.
///
/// # Errors
/// `NotFound` for a lesson that the session's curriculum does not have, or when the caller may not know of the session.
pub fn show(app: &App, caller: &Caller, reference: &str, lesson: Option<u16>) -> Result<Grid, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let curriculum = opened.curriculum(conn)?;
        let shown: Vec<&Lesson> = match lesson {
            Some(number) => vec![curriculum.lesson(number).ok_or(Failure::NotFound)?],
            None => curriculum.lessons().iter().collect(),
        };
        let checks: Vec<_> = shown
            .iter()
            .flat_map(|lesson| &lesson.checks)
            .map(|check| (check.code, curriculum.words(&check.title, Lang::En)))
            .collect();
        let acts = opened.acts(conn)?;
        let head = opened.head(conn, caller, &acts, CautionKey::Skills)?;
        let by_rider = counted_by_rider(&acts);
        let mut lines = Vec::new();
        for row in opened.riders(conn, &by_rider)? {
            let own = by_rider.get(&row.0.id).map_or(&[][..], Vec::as_slice);
            let day = Day::of(own, curriculum, opened.meeting.ordinal);
            lines.push(opened.line(app, conn, &row, day, false)?);
        }
        let lessons = lesson_counts(curriculum, &lines);
        let (here, away): (Vec<Line>, Vec<Line>) = lines.into_iter().partition(|line| line.day.is_here());
        let rows = here.into_iter().map(|line| row(line, &checks)).collect();
        Ok(Grid { head, lesson, checks, rows, not_here: away.len(), lessons })
    })
}

fn row(line: Line, checks: &[(CheckCode, String)]) -> GridRow {
    let standing = standing(&line.day.attempts);
    let mark = |code: &CheckCode| match standing.get(code) {
        Some(Standing::Meets) => Mark::Meets,
        Some(Standing::NeedsPractice) => Mark::NeedsPractice,
        Some(Standing::Stopped { .. }) => Mark::StoppedForSafety,
        Some(Standing::NotTried) | None => Mark::NotTried,
    };
    GridRow { marks: checks.iter().map(|(code, _)| (*code, mark(code))).collect(), line }
}
