//! The shapes of a state's counties, as the shipped file draws them. Reads text; draws nothing itself.

use super::{CountySet, Fips, NotACounty, StateFips};

/// A place on a state's map, in units of which the map is [`WIDE`] wide. Down is south.
pub type Point = (i64, i64);

/// The width of every map in units, also where the state is narrower.
pub const WIDE: i64 = 1000;

/// The counties of one state as shapes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StateShapes {
    /// How high the map is.
    pub height: i64,
    /// One shape a county, by code.
    pub counties: Vec<Shape>,
}

/// One county as a shape.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shape {
    /// Its code.
    pub fips: Fips,
    /// The place farthest from every border.
    pub middle: Point,
    /// Its outlines; one inside another is a hole.
    pub rings: Vec<Vec<Point>>,
}

const STATE: &str = "state CODE SET WIDTH HEIGHT";
const BORDER: &str = "a border of whole numbers";
const COUNTY: &str = "=CODE x y ring;ring";

/// The shapes of a state in a county set. A state whose codes are the same in both sets is drawn once.
///
/// # Errors
/// [`NotACounty::Line`] with the first line that does not read so, or line 0 when the file has no such state.
pub fn shapes_of(file: &str, state: StateFips, set: CountySet) -> Result<StateShapes, NotACounty> {
    let mut found = None;
    let mut lines = (1..).zip(file.lines()).filter(|(_, line)| !line.starts_with('#')).peekable();
    while let Some((number, head)) = lines.next() {
        let Some(words) = head.strip_prefix("state ") else { continue };
        let words: Vec<&str> = words.split(' ').collect();
        let [code, year, _, height] = words[..] else { return Err(fault(number, STATE)) };
        if code != state.as_str() || (year != set.as_str() && found.is_some()) {
            continue;
        }
        let height = height.parse().map_err(|_| fault(number, STATE))?;
        let body = std::iter::from_fn(|| lines.next_if(|(_, line)| !line.starts_with("state ")));
        found = Some(StateShapes { height, counties: counties(body)? });
        if year == set.as_str() {
            break;
        }
    }
    found.ok_or(fault(0, STATE))
}

fn fault(line: usize, expected: &'static str) -> NotACounty {
    NotACounty::Line { line, expected }
}

fn counties<'a>(lines: impl Iterator<Item = (usize, &'a str)>) -> Result<Vec<Shape>, NotACounty> {
    let (mut borders, mut shapes) = (Vec::new(), Vec::new());
    for (number, line) in lines {
        match line.strip_prefix('=') {
            Some(county) => shapes.push(shape(county, &borders).ok_or(fault(number, COUNTY))?),
            None => borders.push(border(line).ok_or(fault(number, BORDER))?),
        }
    }
    Ok(shapes)
}

/// Numbers with a space or a minus sign before each.
fn border(line: &str) -> Option<Vec<Point>> {
    let spaced = line.replace('-', " -");
    let numbers: Vec<i64> = spaced.split_whitespace().map(|word| word.parse().ok()).collect::<Option<_>>()?;
    let (mut x, mut y) = (0, 0);
    let steps = numbers.chunks(2).map(|step| {
        let [dx, dy] = *step else { return None };
        (x, y) = (x + dx, y + dy);
        Some((x, y))
    });
    steps.collect()
}

fn shape(line: &str, borders: &[Vec<Point>]) -> Option<Shape> {
    let mut words = line.splitn(4, ' ');
    let fips = words.next()?.parse().ok()?;
    let middle = (words.next()?.parse().ok()?, words.next()?.parse().ok()?);
    let rings = words.next()?.split(';').map(|ring| outline(ring, borders)).collect::<Option<_>>()?;
    Some(Shape { fips, middle, rings })
}

/// The points of a ring, without the last one, which is the first again.
fn outline(ring: &str, borders: &[Vec<Point>]) -> Option<Vec<Point>> {
    let mut points: Vec<Point> = Vec::new();
    for word in ring.split(' ') {
        let (number, backward) = word.strip_prefix('~').map_or((word, false), |rest| (rest, true));
        let border = borders.get(number.parse::<usize>().ok()?)?;
        let skipped = usize::from(!points.is_empty());
        if backward {
            points.extend(border.iter().rev().skip(skipped));
        } else {
            points.extend(border.iter().skip(skipped));
        }
    }
    if points.len() > 1 && points.first() == points.last() {
        points.pop();
    }
    Some(points)
}
