//! The sessions to come on a map: a ring with a number in each county that has any, and the same counties as a table.
//! Draws what the service counted.

use super::filter::Filter;
use crate::domain::county::labels::{Wish, place_clear};
use crate::domain::county::shapes::Point;
use crate::services::browse::map::{MapCounty, SessionMap, Tally, map, tallies};
use crate::services::browse::{Coming, Near};
use crate::web::county_map::{Line, NARROW_SIZE, WIDE_SIZE, foot, name_forms, path, set, view_box};
use crate::web::entry;
use crate::web::page::Page;

/// The radius of a ring on a wide page, where there is room; on a phone it is as big as the numbers are.
const WIDE_RING: i64 = 19;
/// The least radius of a ring: rings of small counties may touch.
const LEAST_RING: i64 = 9;

/// The map and the table.
pub(super) struct MapView {
    pub drawing: Option<Drawing>,
    pub rows: Vec<Row>,
    /// All rows added up: sessions and seats.
    pub totals: (usize, i64),
}

/// The map as a drawing.
pub(super) struct Drawing {
    pub view_box: String,
    pub title: String,
    pub about: String,
    /// The outlines of all counties without a session, as one path.
    pub empty: String,
    pub spots: Vec<Spot>,
    /// The outline of the county that the reader looks from.
    pub near: Option<String>,
    pub names: Vec<Line>,
    pub wide: Vec<Ring>,
    pub narrow: Vec<Ring>,
    /// Whether some county has seats free, and whether some has none.
    pub kinds: (bool, bool),
}

/// A county with sessions: its outline is the way to them.
pub(super) struct Spot {
    pub href: String,
    pub words: String,
    pub path: String,
    pub middle: Point,
    pub reach: i64,
    pub is_free: bool,
}

/// A ring with the number of sessions.
pub(super) struct Ring {
    pub at: Point,
    pub radius: i64,
    pub number: usize,
    pub size: i64,
    pub foot: i64,
    pub is_free: bool,
}

/// A county in the table.
pub(super) struct Row {
    pub name: String,
    pub href: String,
    pub sessions: usize,
    pub seats: i64,
    pub distance: String,
}

impl MapView {
    /// Draws what was found.
    pub(super) fn of(page: &Page, coming: &Coming, filter: &Filter) -> Self {
        let tallies = tallies(&coming.sessions);
        let row = |tally: &Tally| Row {
            name: tally.name.clone(),
            href: way(filter, tally),
            sessions: tally.sessions,
            seats: tally.seats,
            distance: tally.nearest.map(|nearest| entry::distance(page, nearest)).unwrap_or_default(),
        };
        Self {
            drawing: map(coming, &tallies).map(|map| Drawing::of(page, coming, filter, &map)),
            rows: tallies.iter().map(row).collect(),
            totals: tallies.iter().fold((0, 0), |(sessions, seats), one| (sessions + one.sessions, seats + one.seats)),
        }
    }
}

/// The list of the same search in one county.
fn way(filter: &Filter, tally: &Tally) -> String {
    filter.at("/sessions", &[("county", &tally.code), ("view", "")])
}

impl Drawing {
    fn of(page: &Page, coming: &Coming, filter: &Filter, map: &SessionMap) -> Self {
        let (wide, narrow) = (rings(map, WIDE_RING), rings(map, NARROW_SIZE));
        let spot = |(county, tally): (&MapCounty, &Tally)| Spot {
            href: way(filter, tally),
            words: page.t3(
                "sessions-map-county",
                "county",
                &county.name,
                "sessions",
                page.n("sessions-map-count", tally.sessions),
                "seats",
                page.n("session-seats-free", tally.seats),
            ),
            path: path(&county.shape),
            middle: county.shape.middle,
            reach: narrow.first().map_or(0, |ring| ring.radius),
            is_free: tally.seats > 0,
        };
        let near = map.counties.iter().find(|county| county.is_near);
        let about = match &coming.near {
            Near::From(home) => page.t1("sessions-map-about-near", "county", &home.name),
            _ => page.t("sessions-map-about"),
        };
        Self {
            view_box: view_box(map.height),
            title: page.t("sessions-map-title"),
            about,
            empty: map.counties.iter().filter(|one| one.tally.is_none()).map(|one| path(&one.shape)).collect(),
            spots: taken(map).map(spot).collect(),
            near: near.map(|county| path(&county.shape)),
            names: names(map, &wide),
            kinds: (taken(map).any(|(_, tally)| tally.seats > 0), taken(map).any(|(_, tally)| tally.seats == 0)),
            wide,
            narrow,
        }
    }
}

fn taken(map: &SessionMap) -> impl Iterator<Item = (&MapCounty, &Tally)> {
    map.counties.iter().filter_map(|county| Some((county, county.tally.as_ref()?)))
}

/// A ring in the middle of each county that has sessions, all of one size: as big as wished, unless two would meet.
fn rings(map: &SessionMap, wished: i64) -> Vec<Ring> {
    let middles: Vec<Point> = taken(map).map(|(county, _)| county.shape.middle).collect();
    let between = |(at, one): (usize, &Point)| {
        let apart = |other: &Point| (one.0 - other.0).pow(2) + (one.1 - other.1).pow(2);
        middles[at + 1..].iter().map(apart).min()
    };
    let closest = middles.iter().enumerate().filter_map(between).min();
    let room = closest.map_or(wished, |square| square.isqrt() / 2 - 1);
    let radius = wished.min(room).max(LEAST_RING);
    let ring = |(county, tally): (&MapCounty, &Tally)| {
        // The number fits in the ring, however many digits it has.
        let share = match tally.sessions {
            0..=9 => 120,
            10..=99 => 100,
            _ => 70,
        };
        let (at, size) = (county.shape.middle, radius * share / 100);
        Ring { at, radius, number: tally.sessions, size, foot: foot(at.1, size), is_free: tally.seats > 0 }
    };
    taken(map).map(ring).collect()
}

/// The names that have room beside the rings of a wide page.
fn names(map: &SessionMap, rings: &[Ring]) -> Vec<Line> {
    let is_clear = |at: Point, half: Point| {
        let apart = |ring: &Ring| {
            let (dx, dy) = ((ring.at.0 - at.0).abs(), (ring.at.1 - at.1).abs());
            dx > half.0 + ring.radius || dy > half.1 + ring.radius
        };
        rings.iter().all(apart)
    };
    let label = |county: &MapCounty| {
        let wish = Wish { forms: name_forms(&county.name) };
        Some(set(place_clear(&county.shape, &wish, WIDE_SIZE, &is_clear)?, WIDE_SIZE, ""))
    };
    map.counties.iter().filter_map(label).flatten().collect()
}
