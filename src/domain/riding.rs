//! The physics that the teaching pages show: stopping, tipping, slopes. Textbook formulas; the grip of the ground is a setting, and
//! a number of this file never says that anything is without danger.

use serde::{Deserialize, Serialize};

use super::words::word_list;

/// Standard gravity, in m/s².
pub const G: f64 = 9.806_65;
/// One mile an hour, in m/s.
pub const MPH: f64 = 0.447_04;
/// One foot, in m.
pub const FOOT: f64 = 0.304_8;

word_list! {
    /// A kind of ground for which a grip is set.
    Ground {
        /// Packed dirt.
        PackedDirt = "packed_dirt",
        /// Dry grass.
        DryGrass = "dry_grass",
        /// Wet grass.
        WetGrass = "wet_grass",
    }
}

/// How the ground grips and how long a novice takes to begin to brake. All of it settings: the shipped grips are from memory of a
/// handbook, but wet grass, which a review quotes; the time is common practice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct RidingRule {
    /// Packed dirt, in thousandths.
    pub packed_dirt_permille: i64,
    /// Dry grass, in thousandths.
    pub dry_grass_permille: i64,
    /// Wet grass, in thousandths.
    pub wet_grass_permille: i64,
    /// From seeing to braking, in tenths of a second.
    pub reaction_tenths: i64,
}

impl Default for RidingRule {
    fn default() -> Self {
        Self { packed_dirt_permille: 500, dry_grass_permille: 350, wet_grass_permille: 200, reaction_tenths: 15 }
    }
}

impl RidingRule {
    /// The coefficient of friction of a ground.
    #[must_use]
    pub fn grip(&self, ground: Ground) -> f64 {
        let permille = match ground {
            Ground::PackedDirt => self.packed_dirt_permille,
            Ground::DryGrass => self.dry_grass_permille,
            Ground::WetGrass => self.wet_grass_permille,
        };
        permille as f64 / 1000.0
    }

    /// From seeing to braking, in seconds.
    #[must_use]
    pub fn reaction(&self) -> f64 {
        self.reaction_tenths as f64 / 10.0
    }
}

/// The braking distance in m at a speed in m/s on ground of a grip, on a slope in degrees (uphill above 0):
/// v² / (2 g (μ cos a + sin a)). `None` where the brakes cannot hold the slope.
#[must_use]
pub fn braking(speed: f64, grip: f64, slope: f64) -> Option<f64> {
    let slope = slope.to_radians();
    let holds = grip * slope.cos() + slope.sin();
    (holds > 0.0).then(|| speed * speed / (2.0 * G * holds))
}

/// The whole stopping distance in m: what is ridden before the brake is pulled, and the braking distance.
#[must_use]
pub fn stopping(speed: f64, reaction: f64, grip: f64, slope: f64) -> Option<f64> {
    braking(speed, grip, slope).map(|distance| reaction * speed + distance)
}

/// The speed in m/s from which a skid of a length in m on level ground comes.
#[must_use]
pub fn skidded(distance: f64, grip: f64) -> f64 {
    (2.0 * G * grip * distance).sqrt()
}

/// The static side-tip ratio of a track and a height of the centre of mass, in one unit: track / (2 h).
#[must_use]
pub fn tip_ratio(track: f64, height: f64) -> f64 {
    track / (2.0 * height)
}

/// The slope in degrees on which a machine of a side-tip ratio tips sideways, without rider and bumps.
#[must_use]
pub fn tip_angle(ratio: f64) -> f64 {
    ratio.atan().to_degrees()
}

/// A slope in degrees as a percentage.
#[must_use]
pub fn percent(slope: f64) -> f64 {
    slope.to_radians().tan() * 100.0
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn near(found: f64, expected: f64, within: f64) {
        assert!((found - expected).abs() <= within, "{found} for {expected}");
    }

    /// Rows 64 to 67, 70 and 72 of the check values: recomputed from the stated formula; 1 mph is 0.44704 m/s by definition.
    #[test]
    fn day_8_stopping_distances_equal_the_worked_examples() {
        near(10.0 * MPH, 4.4704, 1e-9);
        for (mph, grip, metres, feet) in
            [(10.0, 0.5, 2.04, 6.69), (15.0, 0.5, 4.59, 15.04), (15.0, 0.35, 6.55, 21.49), (38.0, 0.6, 24.52, 80.45)]
        {
            let distance = braking(mph * MPH, grip, 0.0).expect("level ground");
            near(distance, metres, 0.005);
            near(distance / FOOT, feet, 0.005);
        }
        near(stopping(10.0 * MPH, 1.5, 0.5, 0.0).expect("level ground"), 8.744, 0.001);
        for (mph, kmh) in [(10.0, 16.09), (15.0, 24.14), (20.0, 32.19), (30.0, 48.28), (38.0, 61.16)] {
            near(mph * MPH * 3.6, kmh, 0.005);
        }
    }

    /// Row 73: a skid of 5 m on 0.5 comes from 15.66 mph. It is the braking distance read backwards.
    #[test]
    fn day_8_a_skid_tells_the_speed_that_it_came_from() {
        near(skidded(5.0, 0.5) / MPH, 15.66, 0.005);
        near(braking(skidded(5.0, 0.5), 0.5, 0.0).expect("level ground"), 5.0, 1e-9);
    }

    /// Rows 74 to 76 and 78; 0.89 from a test report of 2007 on four machines without a rider.
    #[test]
    fn day_8_tipping_and_slopes_equal_the_worked_examples() {
        near(tip_angle(0.89), 41.67, 0.005);
        near(tip_ratio(0.80, 0.50), 0.80, 1e-9);
        near(tip_angle(tip_ratio(0.80, 0.50)), 38.66, 0.005);
        near(tip_ratio(1.00, 0.55), 0.9091, 0.00005);
        near(tip_angle(tip_ratio(1.00, 0.55)), 42.27, 0.005);
        near(percent(15.0), 26.79, 0.005);
    }

    #[test]
    fn day_8_brakes_that_cannot_hold_a_slope_give_no_distance() {
        assert_eq!(braking(4.0, 0.2, -15.0), None, "wet grass, 15 degrees down");
        assert!(braking(4.0, 0.5, -15.0).is_some());
    }

    proptest! {
        #[test]
        fn day_8_faster_slicker_and_downhill_all_take_longer(
            speed in 1.0_f64..15.0, grip in 0.15_f64..0.9, slope in -10.0_f64..10.0,
        ) {
            let here = braking(speed, grip, slope);
            let longer = |other: Option<f64>| match (here, other) {
                (Some(here), Some(other)) => other >= here,
                (Some(_), None) => true,
                (None, other) => other.is_none(),
            };
            prop_assert!(longer(braking(speed * 1.1, grip, slope)));
            prop_assert!(longer(braking(speed, grip * 0.9, slope)));
            prop_assert!(longer(braking(speed, grip, slope - 1.0)));
            prop_assert!(stopping(speed, 1.5, grip, slope) >= here);
        }
    }
}
