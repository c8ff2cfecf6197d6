//! What is left of earlier meetings of a session: how each ended for a rider, and children who are not checked out of
//! one. Changes nothing.

use chrono::{NaiveDate, NaiveTime};

use super::Line;
use super::opened::Opened;
use crate::domain::acts::Act;
use crate::domain::curriculum::Curriculum;
use crate::domain::day::Day;
use crate::domain::meeting::Meeting;
use crate::domain::registration::Outcome;

/// One rider at a meeting before the one that is shown.
#[derive(Clone, Debug)]
pub struct Earlier {
    /// Which.
    pub meeting: Meeting,
    /// How it ended, as far as it is known.
    pub outcome: Option<Outcome>,
    /// Whether the child is not checked out of it.
    pub is_here: bool,
    /// Who took the child, and when on the wall.
    pub left_with: Option<(String, NaiveTime)>,
}

/// A child who is not checked out of an earlier meeting.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOver {
    /// Reference of the registration.
    pub registration: String,
    /// Whole name.
    pub name: String,
    /// The day of the meeting.
    pub on: NaiveDate,
}

/// How the meetings before the one that is shown ended for a rider.
pub(super) fn of_rider(opened: &Opened, acts: &[Act], curriculum: &Curriculum) -> Vec<Earlier> {
    let earlier = |meeting: Meeting| {
        let day = Day::of(acts, curriculum, meeting.ordinal);
        Earlier {
            meeting,
            outcome: day.outcome(),
            is_here: day.is_here(),
            left_with: day.left_with.map(|(who, at)| (who, opened.clock(at))),
        }
    };
    opened.meetings.before(opened.meeting.ordinal).map(earlier).collect()
}

/// The earlier meetings that a child is not checked out of.
pub(super) fn left_over(earlier: &[Earlier], line: &Line) -> Vec<LeftOver> {
    let left = |earlier: &Earlier| LeftOver {
        registration: line.reference.clone(),
        name: line.name.clone(),
        on: earlier.meeting.on,
    };
    earlier.iter().filter(|earlier| earlier.is_here).map(left).collect()
}
