//! The county map as a drawing: paths, shades with a pattern each, words where they have room. A wide page gets names
//! and numbers, a phone numbers alone; the table under the map has all of them.

use crate::domain::county::labels::{LEADING, Label, Wish, place};
use crate::domain::county::shapes::{Shape, WIDE};
use crate::services::report::Report;
use crate::services::report::map::{CountedBy, CountyMap, MapCounty};

use super::grouped;

/// The size of words on a wide page and of numbers on a phone, in the map's units.
const WIDE_SIZE: i64 = 15;
const NARROW_SIZE: i64 = 34;
/// From the middle of a line to the foot of its letters, in hundredths of the size.
const FOOT: i64 = 36;

/// A map ready to be drawn.
pub(super) struct MapView {
    pub heading: &'static str,
    pub view_box: String,
    pub areas: Vec<Area>,
    pub wide: Vec<Line>,
    pub narrow: Vec<Line>,
    pub legend: Vec<(usize, String)>,
    pub title: String,
    pub about: String,
}

/// One county's outline.
pub(super) struct Area {
    pub path: String,
    pub shade: usize,
}

/// One line of words.
pub(super) struct Line {
    pub x: i64,
    pub y: i64,
    pub words: String,
    pub is_count: bool,
}

impl MapView {
    /// Draws a map.
    pub(super) fn of(report: &Report, map: CountyMap, by: CountedBy) -> Self {
        let area = |county: &MapCounty| Area { path: path(&county.shape), shade: map.shades.of(county.count) };
        let reached = map.counties.iter().filter(|county| county.count > 0).count();
        let (heading, counted) = match by {
            CountedBy::Home => ("Where the riders live", "home county"),
            CountedBy::Site => ("Where the riders rode", "county of the site"),
        };
        let most = map.counties.iter().filter(|county| county.count > 0).max_by_key(|county| county.count);
        let most = most.map(|county| format!(" Most: {}, {}.", county.name, grouped(county.count)));
        Self {
            heading,
            view_box: format!("0 0 {WIDE} {}", map.height),
            areas: map.counties.iter().map(area).collect(),
            wide: lines(&map, names_and_counts, WIDE_SIZE),
            narrow: lines(&map, counts_alone, NARROW_SIZE),
            legend: legend(&map),
            title: format!("Map of {}: took part, by {counted}", report.state),
            about: format!(
                "{reached} of {} counties reached.{} The table below gives the same numbers.",
                map.counties.len(),
                most.unwrap_or_default()
            ),
        }
    }
}

/// The outlines as one path, in steps from point to point.
fn path(shape: &Shape) -> String {
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

fn counts_alone(county: &MapCounty) -> Wish {
    Wish { forms: if county.count > 0 { vec![vec![grouped(county.count)]] } else { Vec::new() } }
}

/// The name over the count, in one line or two; the count alone when the name has no room; the bare name where nobody
/// was reached.
fn names_and_counts(county: &MapCounty) -> Wish {
    let words: Vec<&str> = county.name.split(' ').collect();
    let folded = (1..words.len()).map(|at| vec![words[..at].join(" "), words[at..].join(" ")]);
    let folded = folded.min_by_key(|lines| lines.iter().map(|line| line.chars().count()).max());
    let names = [Some(vec![county.name.clone()]), folded];
    let mut forms: Vec<Vec<String>> = names.into_iter().flatten().collect();
    if county.count > 0 {
        forms.iter_mut().for_each(|lines| lines.push(grouped(county.count)));
        forms.push(vec![grouped(county.count)]);
    }
    Wish { forms }
}

fn lines(map: &CountyMap, wish: fn(&MapCounty) -> Wish, size: i64) -> Vec<Line> {
    let labels = map.counties.iter().filter_map(|county| Some((county, place(&county.shape, &wish(county), size)?)));
    labels.flat_map(|(county, label)| set(label, size, &grouped(county.count))).collect()
}

/// A label's lines with the foot of each.
fn set(label: Label, size: i64, count: &str) -> Vec<Line> {
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

fn legend(map: &CountyMap) -> Vec<(usize, String)> {
    let words = |shade| match map.shades.range(shade)? {
        (least, None) => Some((shade, format!("{} and more", grouped(least)))),
        (least, Some(most)) if least == most => Some((shade, grouped(least))),
        (least, Some(most)) if least + 1 == most => Some((shade, format!("{least} or {most}"))),
        (least, Some(most)) => Some((shade, format!("{} to {}", grouped(least), grouped(most)))),
    };
    std::iter::once((0, "nobody".to_owned())).chain((1..).map_while(words)).collect()
}
