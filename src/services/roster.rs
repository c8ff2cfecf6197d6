//! What the staff of a session see: their sessions, the roster, its riders, lessons, fit checks and health notes.
//! Reads only; everything that is done comes through `field_act`.

pub mod alarms;
pub mod area;
pub mod assignment;
mod counts;
pub mod day_list;
pub mod earlier;
pub mod fit;
pub mod grid;
pub mod groups;
mod head;
pub mod health;
pub mod helmet;
pub mod history;
mod just_done;
pub mod lesson;
pub mod let_through;
mod line;
pub mod look_over;
pub(in crate::services) mod mine;
pub(in crate::services) mod opened;
pub mod packet;
pub mod paper;
pub mod rider;
pub mod roll_call;
pub mod weather;

use super::{App, Failure};
use crate::domain::access::Caller;
use crate::domain::cautions::CautionKey;
use crate::domain::day::Day;
use crate::store::AnyConn;
use earlier::LeftOver;
use opened::{Opened, counted_by_rider, open};

use counts::lesson_counts;
pub use counts::{Counts, HeadCount, LessonCount};
pub use head::Head;
pub use just_done::JustDone;
pub use line::Line;
pub use mine::{Due, MySession, my_sessions};

/// The roster of a session.
#[derive(Clone, Debug)]
pub struct Roster {
    /// The session.
    pub head: Head,
    /// Every rider with a seat.
    pub lines: Vec<Line>,
    /// How far each lesson has come.
    pub lessons: Vec<LessonCount>,
    /// Children who are not checked out of an earlier meeting.
    pub left_over: Vec<LeftOver>,
}

/// The roster of one session.
///
/// # Errors
/// `NotFound` when the caller may not know of the session.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<Roster, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        roster(app, conn, caller, &opened)
    })
}

fn roster(app: &App, conn: &mut AnyConn, caller: &Caller, opened: &Opened) -> Result<Roster, Failure> {
    let acts = opened.acts(conn)?;
    let curriculum = opened.curriculum(conn)?;
    let head = opened.head(conn, caller, &acts, CautionKey::Riding)?;
    let mut by_rider = counted_by_rider(&acts);
    let (mut lines, mut left_over) = (Vec::new(), Vec::new());
    for row in opened.riders(conn, &by_rider)? {
        let own = by_rider.remove(&row.0.id).unwrap_or_default();
        let day = Day::of(&own, curriculum, opened.meeting.ordinal);
        let line = opened.line(app, conn, &row, day, head.reads_health)?;
        left_over.extend(earlier::left_over(&earlier::of_rider(opened, &own, curriculum), &line));
        lines.push(line);
    }
    let lessons = lesson_counts(curriculum, &lines);
    Ok(Roster { head, lines, lessons, left_over })
}
