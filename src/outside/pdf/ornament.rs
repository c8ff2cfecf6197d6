//! What is drawn on every certificate: the double border, the trail blazes in the corners, and the ridge with its
//! trees. All shapes come from the numbers in this file. Writes no words.

use super::pen::{HEIGHT, Ink, Pen, WIDTH, rectangle};

/// Deep pine: borders, blazes and titles.
pub(super) const PINE: Ink = [0x1f, 0x4a, 0x38];
/// The farther ridge.
const FAR_GROUND: Ink = [0xee, 0xf2, 0xea];
/// The nearer ridge, on which the caution stands.
const NEAR_GROUND: Ink = [0xe1, 0xe9, 0xdc];
/// The trees: pine seen through air.
const TREE: Ink = [0x6d, 0x8b, 0x79];

/// From the edge of the paper to the middle of the outer border.
const OUTER: f32 = 28.0;
/// From the edge of the paper to the middle of the inner border.
const INNER: f32 = 34.0;
/// The width of the picture between the inner borders.
const SPAN: f32 = WIDTH - 2.0 * INNER;
/// The foot of the picture.
const FOOT: f32 = HEIGHT - INNER;

/// Draws the ridge, then the borders over its ends, then the blazes.
pub(super) fn draw(pen: &mut Pen) {
    ground(pen, FAR_GROUND, 64, far_ridge);
    trees(pen);
    ground(pen, NEAR_GROUND, 28, near_ridge);
    for (inset, thickness) in [(OUTER, 2.4), (INNER, 0.7)] {
        let frame = rectangle(inset, inset, WIDTH - 2.0 * inset, HEIGHT - 2.0 * inset);
        pen.outline(PINE, thickness, frame);
    }
    blazes(pen);
}

/// Two blazes, the second one raised and set out: the mark of a turn on a trail. Left and right mirror each other.
fn blazes(pen: &mut Pen) {
    let (width, height, gap, rise) = (7.5, 13.5, 2.5, 6.5);
    let (left, top) = (INNER + 15.0, INNER + 15.0);
    let inward = left + width + gap;
    let marks = [(left, top), (inward, top + rise)];
    let rings = marks
        .iter()
        .flat_map(|&(x, y)| [(x, y), (WIDTH - x - width, y)])
        .map(|(x, y)| rectangle(x, y, width, height))
        .collect();
    pen.fill(PINE, rings);
}

/// A ground from its ridge line, in so many straight steps, down to the foot of the picture.
fn ground(pen: &mut Pen, ink: Ink, steps: u8, ridge: fn(f32) -> f32) {
    let crest = (0..=steps).map(|step| {
        let across = f32::from(step) / f32::from(steps);
        (INNER + across * SPAN, ridge(across))
    });
    let ring = crest.chain([(INNER + SPAN, FOOT), (INNER, FOOT)]).collect();
    pen.fill(ink, vec![ring]);
}

/// The farther ridge: long swells with a broken edge, in points from the top, at a share of the way across.
fn far_ridge(across: f32) -> f32 {
    let turn = across * std::f32::consts::TAU;
    FOOT - 84.0 - 15.0 * (turn * 0.92 + 2.3).sin() - 8.0 * (turn * 2.3 + 0.6).sin() - 2.2 * (turn * 7.1).sin()
}

/// The nearer ridge: one low saddle under the caution.
fn near_ridge(across: f32) -> f32 {
    let turn = across * std::f32::consts::TAU;
    FOOT - 56.0 - 7.0 * (turn + 1.35).cos() - 2.6 * (turn * 2.6 + 1.1).sin()
}

/// Where trees stand, as groups: share of the way across, and height in points.
const TREES: [(f32, f32); 26] = [
    (0.016, 27.0),
    (0.034, 38.0),
    (0.050, 31.0),
    (0.071, 44.0),
    (0.092, 33.0),
    (0.108, 22.0),
    (0.149, 18.0),
    (0.171, 25.0),
    (0.262, 15.0),
    (0.281, 21.0),
    (0.297, 16.0),
    (0.448, 13.0),
    (0.463, 17.0),
    (0.602, 16.0),
    (0.618, 22.0),
    (0.637, 17.0),
    (0.741, 19.0),
    (0.758, 27.0),
    (0.777, 21.0),
    (0.866, 24.0),
    (0.883, 34.0),
    (0.903, 29.0),
    (0.925, 42.0),
    (0.946, 32.0),
    (0.965, 39.0),
    (0.985, 26.0),
];

/// Every tree, standing on the nearer ridge.
fn trees(pen: &mut Pen) {
    let places: Vec<(f32, f32, f32)> = TREES
        .iter()
        .map(|&(across, height)| (INNER + across * SPAN, near_ridge(across) + 2.0, height / TREE_UNITS as f32))
        .collect();
    pen.stamp(TREE, 2.6, &tree(), &places);
}

/// The height of the tree in the units that it is drawn in.
const TREE_UNITS: i64 = 100;

/// A spruce in line: boughs in pairs that hang and grow shorter towards the tip, and a trunk.
fn tree() -> Vec<Vec<[i64; 2]>> {
    let boughs = [(20, 24), (33, 21), (46, 17), (58, 14), (69, 11), (79, 8), (88, 5)];
    let pairs = boughs.iter().map(|&(joint, reach)| {
        let tip = joint - reach * 6 / 10;
        vec![[-reach, tip], [0, joint], [reach, tip]]
    });
    pairs.chain([vec![[0, 0], [0, TREE_UNITS]]]).collect()
}
