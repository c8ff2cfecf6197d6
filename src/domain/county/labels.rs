//! Where words stand on a county map: each label lies whole inside its own county, so that no two can collide and none
//! can be read as a neighbour's. A label that finds no room is left out; the table beside the map has every figure.

use super::shapes::{Point, Shape};

/// Words for one county, from the fullest to the shortest form; each form is its lines from the top.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wish {
    /// The forms.
    pub forms: Vec<Vec<String>>,
}

/// A label that found its place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Label {
    /// The middle of the label.
    pub at: Point,
    /// Its lines from the top.
    pub lines: Vec<String>,
}

/// How high a line is, in hundredths of the type's size.
pub const LEADING: i64 = 128;

/// Half the width and half the height that lines take, in the map's units. Wide letters count as wide; the numbers
/// are measured from common system faces and a little generous.
#[must_use]
pub fn half_size(lines: &[String], size: i64) -> Point {
    let width = |line: &String| line.chars().map(hundredths).sum::<i64>();
    let widest = lines.iter().map(width).max().unwrap_or(0);
    let count = i64::try_from(lines.len()).unwrap_or(i64::MAX / LEADING);
    (widest * size / 200 + 1, count * LEADING * size / 200 + 1)
}

fn hundredths(letter: char) -> i64 {
    match letter {
        'i' | 'j' | 'l' | 'I' | '.' | ',' | '\'' | ' ' => 34,
        'f' | 'r' | 't' | '-' => 44,
        'm' | 'w' | 'M' | 'W' => 92,
        'A'..='Z' | '0'..='9' => 66,
        _ => 60,
    }
}

/// The fullest form that fits, as near to the county's middle as it can stand.
#[must_use]
pub fn place(shape: &Shape, wish: &Wish, size: i64) -> Option<Label> {
    place_clear(shape, wish, size, &|_, _| true)
}

/// The same, where something else stands on the map: `is_clear` says whether a box, by its middle and half its size,
/// leaves that free.
#[must_use]
pub fn place_clear(shape: &Shape, wish: &Wish, size: i64, is_clear: &dyn Fn(Point, Point) -> bool) -> Option<Label> {
    let places = places(shape, size);
    wish.forms.iter().find_map(|lines| {
        let half = half_size(lines, size);
        let at = places.iter().find(|at| is_clear(**at, half) && is_inside(shape, **at, half))?;
        Some(Label { at: *at, lines: lines.clone() })
    })
}

/// Places to try: the middle, then a grid over the county, the nearest to the middle first.
fn places(shape: &Shape, size: i64) -> Vec<Point> {
    let points = || shape.rings.iter().flatten();
    let step = (size / 3).max(2);
    let reach = |pick: fn(&Point) -> i64| {
        (points().map(pick).min().unwrap_or(0)..=points().map(pick).max().unwrap_or(0))
            .step_by(usize::try_from(step).unwrap_or(1))
    };
    let (mx, my) = shape.middle;
    let mut grid: Vec<Point> = reach(|p| p.0).flat_map(|x| reach(|p| p.1).map(move |y| (x, y))).collect();
    grid.sort_by_key(|(x, y)| ((x - mx).pow(2) + (y - my).pow(2), *x, *y));
    grid.insert(0, shape.middle);
    grid
}

/// Whether a box lies whole inside a shape: its middle does, and no border comes into it.
#[must_use]
pub fn is_inside(shape: &Shape, (x, y): Point, half: Point) -> bool {
    let (low, high) = ((x - half.0, y - half.1), (x + half.0, y + half.1));
    borders(shape).all(|(from, to)| !meets(from, to, low, high)) && holds(shape, (x, y))
}

fn borders(shape: &Shape) -> impl Iterator<Item = (Point, Point)> + '_ {
    shape.rings.iter().flat_map(|ring| ring.iter().copied().zip(ring.iter().copied().cycle().skip(1)))
}

/// Whether a place lies inside a shape, holes taken out: a ray to the east crosses its borders an odd number of times.
#[must_use]
pub fn holds(shape: &Shape, (x, y): Point) -> bool {
    let crosses = |&((x1, y1), (x2, y2)): &(Point, Point)| {
        // The crossing lies east when (x - x1) * (y2 - y1) is on the west side of (x2 - x1) * (y - y1).
        (y1 > y) != (y2 > y) && ((x - x1) * (y2 - y1) < (x2 - x1) * (y - y1)) == (y2 > y1)
    };
    borders(shape).filter(crosses).count() % 2 == 1
}

/// Whether a stretch of border and an upright box share a point: neither lies wholly on one side of the other.
fn meets((x1, y1): Point, (x2, y2): Point, low: Point, high: Point) -> bool {
    if x1.max(x2) < low.0 || x1.min(x2) > high.0 || y1.max(y2) < low.1 || y1.min(y2) > high.1 {
        return false;
    }
    let side = |x: i64, y: i64| ((x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)).signum();
    let sides = [side(low.0, low.1), side(high.0, low.1), side(low.0, high.1), side(high.0, high.1)];
    !(sides.iter().all(|side| *side > 0) || sides.iter().all(|side| *side < 0))
}
