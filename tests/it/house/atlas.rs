//! The shapes of the atlas packages, read by themselves: nothing that ships is asked.

use std::collections::BTreeMap;
use std::path::Path;

use serde_json::Value;

/// One point of a ring.
pub type Point = (f64, f64);
/// One piece of a county: its outline and then its holes.
pub type Polygon = Vec<Vec<Point>>;

/// The pieces of each county in a file of a package, by code, in the units of the file.
pub fn shapes(package: &str, file: &str) -> BTreeMap<String, Vec<Polygon>> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/browser/node_modules").join(package);
    let text = std::fs::read_to_string(folder.join(file)).expect("tests/run installs it");
    let topology: Value = serde_json::from_str(&text).unwrap();
    let number = |value: &Value| value.as_f64().unwrap();
    let pair = |name: &str| [0, 1].map(|axis| number(&topology["transform"][name][axis]));
    let (scale, translate) = (pair("scale"), pair("translate"));
    let arc = |arc: &Value| {
        let (mut x, mut y) = (0.0, 0.0);
        let steps = arc.as_array().unwrap().iter();
        let point = |step: &Value| {
            (x, y) = (x + number(&step[0]), y + number(&step[1]));
            (x * scale[0] + translate[0], y * scale[1] + translate[1])
        };
        steps.map(point).collect::<Vec<_>>()
    };
    let arcs: Vec<Vec<Point>> = topology["arcs"].as_array().unwrap().iter().map(arc).collect();
    let ring = |ring: &Value| {
        let numbers = ring.as_array().unwrap().iter().map(|number| number.as_i64().unwrap());
        numbers
            .flat_map(|number| match usize::try_from(number) {
                Ok(at) => arcs[at].clone(),
                Err(_) => arcs[usize::try_from(!number).unwrap()].iter().rev().copied().collect(),
            })
            .collect::<Vec<_>>()
    };
    let polygon = |rings: &Value| rings.as_array().unwrap().iter().map(ring).collect::<Polygon>();
    let shapes = topology["objects"]["counties"]["geometries"].as_array().unwrap().iter();
    let pieces = shapes.filter_map(|shape| {
        let polygons = match shape["type"].as_str()? {
            "Polygon" => vec![polygon(&shape["arcs"])],
            _ => shape["arcs"].as_array().unwrap().iter().map(polygon).collect(),
        };
        Some((shape["id"].as_str()?.to_owned(), polygons))
    });
    pieces.collect()
}
