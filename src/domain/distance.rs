//! How far two places on the earth lie apart, and how a family is told. Knows no roads: a straight way over the ground.

/// A position on the earth in degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// Degrees north, -90 to 90.
    pub north: f64,
    /// Degrees east, -180 to 180.
    pub east: f64,
}

/// The mean radius of the earth in metres, (2a + b) / 3 of its ellipsoid.
/// Source: Moritz, Geodetic Reference System 1980, where it is 6,371,008.7714.
const EARTH_RADIUS: f64 = 6_371_008.771_4;

/// Millimetres in a mile, exact since 1959. Source: NIST Handbook 44, appendix C.
const MILE: i64 = 1_609_344;

/// Miles to which a distance is told.
const STEP: i64 = 5;

/// A way over the ground in metres.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Distance(i64);

/// A distance as it is told: whole miles in steps of five, as a place that stands for a county is no closer to the
/// truth. None are less than five.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Miles(i64);

impl Distance {
    /// The great-circle distance between two positions, on a sphere; the earth's flattening changes it by 0.6 % at most.
    /// Source: the haversine formula, Sinnott, Virtues of the Haversine, Sky and Telescope 68 (1984), 159.
    #[must_use]
    pub fn between(one: Position, other: Position) -> Self {
        let [north, other_north] = [one.north, other.north].map(f64::to_radians);
        let half = |angle: f64| (angle / 2.0).sin().powi(2);
        let turn = (other.east - one.east).to_radians();
        let haversine = half(other_north - north) + north.cos() * other_north.cos() * half(turn);
        // A rounding error may lift it over 1 where places lie opposite each other.
        let way = 2.0 * EARTH_RADIUS * haversine.min(1.0).sqrt().asin();
        #[expect(clippy::cast_possible_truncation, reason = "half the earth's girth is 20 million metres")]
        Self(way.round() as i64)
    }

    /// Whole metres.
    #[must_use]
    pub fn metres(self) -> i64 {
        self.0
    }

    /// As it is told.
    #[must_use]
    pub fn miles(self) -> Miles {
        let (way, step) = (self.0 * 1000, STEP * MILE);
        Miles(if way < step { 0 } else { (way + step / 2) / step * STEP })
    }
}

impl Miles {
    /// A number of miles within which somebody looks. What is told as so many lies within it.
    #[must_use]
    pub fn within(miles: i64) -> Self {
        Self(miles)
    }

    /// How many; 0 stands for less than five.
    #[must_use]
    pub fn count(self) -> i64 {
        self.0
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const POLE: Position = Position { north: 90.0, east: 0.0 };
    const NULL: Position = Position { north: 0.0, east: 0.0 };

    fn position() -> impl Strategy<Value = Position> {
        (-90.0..=90.0, -180.0..=180.0).prop_map(|(north, east)| Position { north, east })
    }

    fn metres(one: Position, other: Position) -> i64 {
        Distance::between(one, other).metres()
    }

    /// A quarter and half of the girth that the radius has, and one degree of it. `tests/it/county_points.rs` asks a
    /// geodesic library.
    #[test]
    fn family_1_a_distance_is_a_share_of_the_girth_along_a_great_circle() {
        let east = |east| Position { north: 0.0, east };
        for (one, other, expected) in [
            (NULL, NULL, 0),
            (POLE, Position { east: 123.0, ..POLE }, 0),
            (NULL, POLE, 10_007_557),
            (NULL, east(90.0), 10_007_557),
            (NULL, east(180.0), 20_015_114),
            (NULL, east(-180.0), 20_015_114),
            (POLE, Position { north: -90.0, east: 77.0 }, 20_015_114),
            (NULL, east(1.0), 111_195),
            (east(179.5), east(-179.5), 111_195),
            // On the 60th parallel a degree is half as long, less the little that the straighter way saves.
            (Position { north: 60.0, east: 0.0 }, Position { north: 60.0, east: 1.0 }, 55_597),
        ] {
            assert_eq!(metres(one, other), expected, "{one:?} to {other:?}");
        }
    }

    #[test]
    fn family_1_miles_are_told_in_steps_of_five_and_below_five_as_such() {
        // 5 miles are 8,046.72 m, 7.5 are 12,070.08, 40 are 64,373.76, 42.5 are 68,397.12.
        for (metres, told) in [
            (0, 0),
            (8_046, 0),
            (8_047, 5),
            (12_070, 5),
            (12_071, 10),
            (64_374, 40),
            (68_397, 40),
            (68_398, 45),
            (804_672, 500),
        ] {
            assert_eq!(Distance(metres).miles().count(), told, "{metres} m");
        }
        assert!(Distance(68_397).miles() <= Miles::within(40) && Distance(68_398).miles() > Miles::within(40));
    }

    proptest! {
        #[test]
        fn family_1_distance_is_none_to_itself_the_same_both_ways_and_never_shorter_by_a_third_place(
            a in position(), b in position(), c in position()
        ) {
            prop_assert_eq!(metres(a, a), 0);
            prop_assert_eq!(metres(a, b), metres(b, a));
            // Each is rounded to a metre.
            prop_assert!(metres(a, c) <= metres(a, b) + metres(b, c) + 2);
            prop_assert!((0..=20_015_115).contains(&metres(a, b)));
        }

        #[test]
        fn family_1_from_a_place_to_the_opposite_one_is_half_the_girth_by_any_way(a in position(), by in position()) {
            let opposite = Position { north: -a.north, east: if a.east > 0.0 { a.east - 180.0 } else { a.east + 180.0 } };
            prop_assert!((metres(a, opposite) - 20_015_114).abs() <= 1);
            prop_assert!((metres(a, by) + metres(by, opposite) - 20_015_114).abs() <= 2);
        }

        #[test]
        fn family_1_who_is_told_more_miles_is_farther(a in 0..20_015_114_i64, b in 0..20_015_114_i64) {
            let (near, far) = (Distance(a.min(b)), Distance(a.max(b)));
            prop_assert!(near.miles() <= far.miles());
            prop_assert!(near.miles().count() == 0 || (near.miles().count() * MILE - near.0 * 1000).abs() <= 5 * MILE / 2);
        }
    }
}
