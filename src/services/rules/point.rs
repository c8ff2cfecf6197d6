//! The points of a day list's draft: one more, another order, one fewer. Their words are settings.

use super::draft::Change;
use crate::domain::curriculum::Step;
use crate::domain::point_list::PointKey;
use crate::domain::rulebook::OpenBook;
use crate::services::Failure;

/// A change of the list of points.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Points {
    /// An empty one at the end.
    Add,
    /// One place on.
    Move(PointKey, Step),
    /// Out.
    Remove(PointKey),
}

impl Change for Points {
    /// The key of a new point.
    type Made = Option<PointKey>;

    fn detail(&self) -> String {
        match self {
            Points::Add => "point added".to_owned(),
            Points::Move(key, _) => format!("point {} moved", key.0),
            Points::Remove(key) => format!("point {} removed", key.0),
        }
    }

    fn make(&self, book: &mut OpenBook) -> Result<Option<PointKey>, Failure> {
        let OpenBook::Points(list) = book else { return Err(Failure::NotFound) };
        let is_done = match self {
            Points::Add => return list.add_point().map(Some).ok_or(Failure::NotFound),
            Points::Move(key, step) => list.move_point(key, *step),
            Points::Remove(key) => list.remove_point(key),
        };
        if is_done { Ok(None) } else { Err(Failure::NotFound) }
    }
}
