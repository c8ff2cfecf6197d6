//! The county map as a drawing: paths, shades with a pattern each, words where they have room. A wide page gets names
//! and numbers, a phone numbers alone; the table under the map has all of them.

use crate::domain::county::labels::{Wish, place};
use crate::services::report::Report;
use crate::services::report::map::{CountedBy, CountyMap, MapCounty};
use crate::web::county_map::{Line, NARROW_SIZE, WIDE_SIZE, name_forms, path, set, view_box};

use super::grouped;

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
            view_box: view_box(map.height),
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

fn counts_alone(county: &MapCounty) -> Wish {
    Wish { forms: if county.count > 0 { vec![vec![grouped(county.count)]] } else { Vec::new() } }
}

/// The name over the count, in one line or two; the count alone when the name has no room; the bare name where nobody
/// was reached.
fn names_and_counts(county: &MapCounty) -> Wish {
    let mut forms = name_forms(&county.name);
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

fn legend(map: &CountyMap) -> Vec<(usize, String)> {
    let words = |shade| match map.shades.range(shade)? {
        (least, None) => Some((shade, format!("{} and more", grouped(least)))),
        (least, Some(most)) if least == most => Some((shade, grouped(least))),
        (least, Some(most)) if least + 1 == most => Some((shade, format!("{least} or {most}"))),
        (least, Some(most)) => Some((shade, format!("{} to {}", grouped(least), grouped(most)))),
    };
    std::iter::once((0, "nobody".to_owned())).chain((1..).map_while(words)).collect()
}
