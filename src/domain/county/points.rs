//! A position within each county, as the shipped file gives it. Reads text; measures nothing itself.

use std::collections::BTreeMap;

use super::{Fips, NotACounty};
use crate::domain::distance::Position;

const HEADING: &str = "fips,north,east";

/// The position of each code of both county sets: the point of the county's biggest piece that is farthest from its
/// borders, to a thousandth of a degree.
///
/// # Errors
/// [`NotACounty::Line`] with the first line that does not read so.
pub fn parse_points(csv: &str) -> Result<BTreeMap<Fips, Position>, NotACounty> {
    let fault = |line| NotACounty::Line { line, expected: HEADING };
    let mut lines = (1..).zip(csv.lines());
    if lines.next().is_none_or(|(_, heading)| heading != HEADING) {
        return Err(fault(1));
    }
    lines.map(|(number, line)| point(line).ok_or(fault(number))).collect()
}

fn point(line: &str) -> Option<(Fips, Position)> {
    let columns: Vec<&str> = line.split(',').collect();
    let [fips, north, east] = columns[..] else { return None };
    let degrees = |text: &str, most: f64| text.parse().ok().filter(|read: &f64| read.abs() <= most);
    Some((fips.parse().ok()?, Position { north: degrees(north, 90.0)?, east: degrees(east, 180.0)? }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn house_4_a_position_of_a_county_reads_and_a_broken_line_is_named() {
        let read = parse_points("fips,north,east\n30067,45.500,-110.500\n").expect("a sound file");
        assert_eq!(read[&"30067".parse().unwrap()], Position { north: 45.5, east: -110.5 });
        for (csv, line) in [
            ("", 1),
            ("fips,east,north\n", 1),
            ("fips,north,east\n30067,45.5\n", 2),
            ("fips,north,east\n30067,45.5,-110.5\n3067,45.5,-110.5\n", 3),
            ("fips,north,east\n30067,91,-110.5\n", 2),
            ("fips,north,east\n30067,45,-180.5\n", 2),
            ("fips,north,east\n30067,NaN,1\n", 2),
            ("fips,north,east\n30067,45,1,2\n", 2),
        ] {
            assert_eq!(parse_points(csv), Err(NotACounty::Line { line, expected: HEADING }), "{csv:?}");
        }
    }
}
