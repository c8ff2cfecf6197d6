//! Pieces of which the pages' county maps are drawn: outlines, and words where they have room. A wide page gets names, a
//! phone numbers alone. Counts nothing.

use crate::domain::county::labels::{LEADING, Label};
use crate::domain::county::shapes::{Shape, WIDE};

/// The size of words on a wide page, in the map's units.
pub const WIDE_SIZE: i64 = 15;
/// The size of numbers on a phone.
pub const NARROW_SIZE: i64 = 34;
/// From the middle of a line to the foot of its letters, in hundredths of the size.
const FOOT: i64 = 36;

/// One line of words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// Its middle.
    pub x: i64,
    /// The foot of its letters.
    pub y: i64,
    /// The words.
    pub words: String,
    /// Whether they are the county's count.
    pub is_count: bool,
}

/// The part of the plane that a map of this height fills.
#[must_use]
pub fn view_box(height: i64) -> String {
    format!("0 0 {WIDE} {height}")
}

/// The outlines as one path, in steps from point to point.
#[must_use]
pub fn path(shape: &Shape) -> String {
    let mut path = String::new();
    for ring in &shape.rings {
        let mut last = None;
        for (x, y) in ring {
            match last {
                None => path.push_str(&format!("M{x} {y}l")),
                Some((before_x, before_y)) => path.push_str(&format!("{} {} ", x - before_x, y - before_y)),
            }
            last = Some((x, y));
        }
        path.truncate(path.trim_end().len());
        path.push('z');
    }
    path
}

/// A name in one line, and in two where it has several words.
#[must_use]
pub fn name_forms(name: &str) -> Vec<Vec<String>> {
    let words: Vec<&str> = name.split(' ').collect();
    let folded = (1..words.len()).map(|at| vec![words[..at].join(" "), words[at..].join(" ")]);
    let folded = folded.min_by_key(|lines| lines.iter().map(|line| line.chars().count()).max());
    [Some(vec![name.to_owned()]), folded].into_iter().flatten().collect()
}

/// The foot of letters of this size whose middle is at `y`.
#[must_use]
pub fn foot(y: i64, size: i64) -> i64 {
    y + FOOT * size / 100
}

/// A label's lines with the foot of each.
#[must_use]
pub fn set(label: Label, size: i64, count: &str) -> Vec<Line> {
    let rows = i64::try_from(label.lines.len()).unwrap_or(1);
    let numbered = (0..).zip(label.lines);
    numbered
        .map(|(row, words)| Line {
            x: label.at.0,
            y: label.at.1 + ((2 * row + 1 - rows) * LEADING / 2 + FOOT) * size / 100,
            is_count: words == count,
            words,
        })
        .collect()
}
