//! Weather on the riding area: what the numbers that somebody read and typed come to, by the program's own limits, and whether
//! riding stops. A weather stop is never overridden; a lead may always stop earlier.

pub mod index;
pub mod today;

use serde::{Deserialize, Serialize};

use super::words::word_list;

word_list! {
    /// One of two risk scales of the heat index that are in circulation.
    HeatScale {
        /// 80, 90, 105, 130 °F, as the National Weather Service office at Tulsa prints it.
        Older = "older",
        /// 80, 91, 104, 125 °F.
        Newer = "newer",
    }
}

word_list! {
    /// A band of a heat scale.
    HeatBand {
        /// Below the scale.
        None = "none",
        /// Caution.
        Caution = "caution",
        /// Extreme caution.
        ExtremeCaution = "extreme_caution",
        /// Danger.
        Danger = "danger",
        /// Extreme danger.
        ExtremeDanger = "extreme_danger",
    }
}

impl HeatScale {
    /// The band of a heat index in whole °F.
    #[must_use]
    pub fn band(self, index: i64) -> HeatBand {
        let from = match self {
            Self::Older => [80, 90, 105, 130],
            Self::Newer => [80, 91, 104, 125],
        };
        let bands =
            [HeatBand::None, HeatBand::Caution, HeatBand::ExtremeCaution, HeatBand::Danger, HeatBand::ExtremeDanger];
        bands[from.iter().filter(|least| index >= **least).count()]
    }
}

/// The program's limits. Each is a setting; the shipped ones are common practice but for the thirty minutes after thunder,
/// which the National Weather Service advises (read on pages that quote it).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct WeatherRule {
    /// By which scale a heat index is named.
    pub heat_scale: HeatScale,
    /// Care from this heat index on, in °F.
    pub heat_care: i64,
    /// No riding from this heat index on, in °F.
    pub heat_stop: i64,
    /// Care below this wind chill, in °F.
    pub chill_care: i64,
    /// No riding below this wind chill, in °F.
    pub chill_stop: i64,
    /// No riding in gusts above so many miles an hour.
    pub gust_stop: i64,
    /// No riding when one sees less far than this, in feet.
    pub sight_stop: i64,
    /// Care above this air-quality index.
    pub air_care: i64,
    /// No riding above this air-quality index.
    pub air_stop: i64,
    /// Minutes after the last thunder or flash.
    pub thunder_minutes: i64,
}

impl Default for WeatherRule {
    fn default() -> Self {
        Self {
            heat_scale: HeatScale::Newer,
            heat_care: 80,
            heat_stop: 103,
            chill_care: 20,
            chill_stop: 0,
            gust_stop: 40,
            sight_stop: 330,
            air_care: 100,
            air_stop: 150,
            thunder_minutes: 30,
        }
    }
}

/// What somebody read off instruments or a forecast and typed. Every part may be missing; not all of them.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Reading {
    /// Air temperature in the shade, in tenths of °F.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub temperature_tenths: Option<i64>,
    /// Relative humidity in percent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub humidity: Option<i64>,
    /// Wind in miles an hour.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wind: Option<i64>,
    /// Gusts in miles an hour.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gusts: Option<i64>,
    /// How far one sees, in feet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sight: Option<i64>,
    /// Air-quality index.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub air: Option<i64>,
}

word_list! {
    /// Whether riding goes on.
    Go {
        /// Within every limit.
        Go = "go",
        /// With care.
        Care = "care",
        /// Not.
        NoGo = "no_go",
    }
}

word_list! {
    /// What a number is about.
    Matter {
        /// Heat index, in °F.
        Heat = "heat",
        /// Wind chill, in °F.
        Chill = "chill",
        /// Gusts, in miles an hour.
        Gusts = "gusts",
        /// How far one sees, in feet.
        Sight = "sight",
        /// Air-quality index.
        Air = "air",
    }
}

/// One number held against its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Finding {
    /// What it is about.
    pub matter: Matter,
    /// The number, in whole units.
    pub number: i64,
    /// What it means.
    pub go: Go,
    /// The limit that it passed, or the next one that it did not.
    pub limit: i64,
}

/// Every number that the reading gives, held against the program's limits: temperature with humidity makes a heat index,
/// with wind a wind chill.
#[must_use]
pub fn findings(reading: &Reading, rule: &WeatherRule) -> Vec<Finding> {
    let mut found = Vec::new();
    // Above a limit: care and stop rise.
    let mut above = |matter, number: i64, care: Option<i64>, stop: i64, from: bool| {
        let passed = |limit: i64| if from { number >= limit } else { number > limit };
        let (go, limit) = match care {
            _ if passed(stop) => (Go::NoGo, stop),
            Some(care) if passed(care) => (Go::Care, care),
            Some(care) => (Go::Go, care),
            None => (Go::Go, stop),
        };
        found.push(Finding { matter, number, go, limit });
    };
    if let Some(number) = reading.heat_index() {
        above(Matter::Heat, number, Some(rule.heat_care), rule.heat_stop, true);
    }
    // A steady wind is no weaker than its gusts.
    if let Some(number) = reading.gusts.max(reading.wind) {
        above(Matter::Gusts, number, None, rule.gust_stop, false);
    }
    if let Some(number) = reading.air {
        above(Matter::Air, number, Some(rule.air_care), rule.air_stop, false);
    }
    if let Some(number) = reading.wind_chill() {
        let (go, limit) = match number {
            number if number < rule.chill_stop => (Go::NoGo, rule.chill_stop),
            number if number < rule.chill_care => (Go::Care, rule.chill_care),
            _ => (Go::Go, rule.chill_care),
        };
        found.push(Finding { matter: Matter::Chill, number, go, limit });
    }
    if let Some(number) = reading.sight {
        let go = if number < rule.sight_stop { Go::NoGo } else { Go::Go };
        found.push(Finding { matter: Matter::Sight, number, go, limit: rule.sight_stop });
    }
    found.sort_by_key(|one| one.matter);
    found
}

/// What findings come to together: the gravest of them; none of nothing.
#[must_use]
pub fn together(findings: &[Finding]) -> Option<Go> {
    findings.iter().map(|one| one.go).max()
}

impl Reading {
    /// The least and the most of each number that is no slip of the finger. Common practice, no source.
    pub const TEMPERATURE: (i64, i64) = (-60, 130);
    /// In percent.
    pub const HUMIDITY: (i64, i64) = (0, 100);
    /// In miles an hour.
    pub const WIND: (i64, i64) = (0, 150);
    /// In miles an hour.
    pub const GUSTS: (i64, i64) = (0, 200);
    /// In feet.
    pub const SIGHT: (i64, i64) = (0, 60_000);
    /// As an index; its scale ends there.
    pub const AIR: (i64, i64) = (0, 500);

    /// Whether nothing was read.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    #[expect(clippy::cast_precision_loss, reason = "a temperature in tenths is far below 2^52")]
    fn temperature(&self) -> Option<f64> {
        self.temperature_tenths.map(|tenths| tenths as f64 / 10.0)
    }

    /// The heat index in whole °F; none without temperature and humidity, or where it is cold enough for a wind chill.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "a percentage")]
    pub fn heat_index(&self) -> Option<i64> {
        let (temperature, humidity) = self.temperature().zip(self.humidity)?;
        (temperature > index::CHILL_UP_TO).then(|| index::whole(index::heat_index(temperature, humidity as f64)))
    }

    /// The wind chill in whole °F; none without temperature and wind, or where it is not defined.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "a wind")]
    pub fn wind_chill(&self) -> Option<i64> {
        let (temperature, wind) = self.temperature().zip(self.wind)?;
        (temperature <= index::CHILL_UP_TO).then(|| index::whole(index::wind_chill(temperature, wind as f64)))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::domain::words::Word;

    fn rule() -> WeatherRule {
        WeatherRule::default()
    }

    /// The two scales in circulation: NWS Tulsa's chart (read), and the newer chart (read on pages that quote it).
    #[test]
    fn day_7_a_heat_index_is_named_by_the_scale_that_the_program_chose() {
        use HeatBand::{Caution, Danger, ExtremeCaution, ExtremeDanger, None};
        for (index, older, newer) in [
            (79, None, None),
            (80, Caution, Caution),
            (89, Caution, Caution),
            (90, ExtremeCaution, Caution),
            (91, ExtremeCaution, ExtremeCaution),
            (103, ExtremeCaution, ExtremeCaution),
            (104, ExtremeCaution, Danger),
            (105, Danger, Danger),
            (124, Danger, Danger),
            (125, Danger, ExtremeDanger),
            (129, Danger, ExtremeDanger),
            (130, ExtremeDanger, ExtremeDanger),
        ] {
            assert_eq!((HeatScale::Older.band(index), HeatScale::Newer.band(index)), (older, newer), "{index}");
        }
    }

    /// Shipped limits, common practice: each at its edge.
    #[test]
    fn day_7_each_number_goes_with_care_or_not_at_all_exactly_at_its_limit() {
        let air = |air| Reading { air: Some(air), ..Reading::default() };
        let gusts = |gusts| Reading { gusts: Some(gusts), ..Reading::default() };
        let sight = |sight| Reading { sight: Some(sight), ..Reading::default() };
        let cold = |temperature: i64, wind| Reading {
            temperature_tenths: Some(temperature * 10),
            wind: Some(wind),
            ..Reading::default()
        };
        let hot = |temperature: i64, humidity| Reading {
            temperature_tenths: Some(temperature * 10),
            humidity: Some(humidity),
            ..Reading::default()
        };
        for (reading, matter, number, go) in [
            (air(100), Matter::Air, 100, Go::Go),
            (air(101), Matter::Air, 101, Go::Care),
            (air(150), Matter::Air, 150, Go::Care),
            (air(151), Matter::Air, 151, Go::NoGo),
            (gusts(40), Matter::Gusts, 40, Go::Go),
            (gusts(41), Matter::Gusts, 41, Go::NoGo),
            (Reading { wind: Some(41), gusts: Some(12), ..Reading::default() }, Matter::Gusts, 41, Go::NoGo),
            (sight(330), Matter::Sight, 330, Go::Go),
            (sight(329), Matter::Sight, 329, Go::NoGo),
            // NWS wind-chill chart: 20 °F at 15 mph is 6, 0 °F at 15 mph is -19.
            (cold(40, 10), Matter::Chill, 34, Go::Go),
            (cold(20, 15), Matter::Chill, 6, Go::Care),
            (cold(0, 15), Matter::Chill, -19, Go::NoGo),
            // NWS heat-index chart: 80 °F at 40 % is 80, 90 °F at 60 % is 100, 90 °F at 70 % is 106.
            // The Weather Prediction Center's simple formula: 74.54.
            (hot(75, 40), Matter::Heat, 75, Go::Go),
            (hot(80, 40), Matter::Heat, 80, Go::Care),
            (hot(90, 60), Matter::Heat, 100, Go::Care),
            (hot(90, 70), Matter::Heat, 106, Go::NoGo),
        ] {
            let found = findings(&reading, &rule());
            let one = found.first().expect("a number");
            assert_eq!((one.matter, one.number, one.go), (matter, number, go), "{reading:?}");
        }
    }

    #[test]
    fn day_7_the_gravest_number_decides_and_nothing_read_decides_nothing() {
        let reading = Reading {
            temperature_tenths: Some(850),
            humidity: Some(40),
            gusts: Some(45),
            air: Some(50),
            ..Reading::default()
        };
        let found = findings(&reading, &rule());
        assert_eq!(found.iter().map(|one| one.matter).collect::<Vec<_>>(), [Matter::Heat, Matter::Gusts, Matter::Air]);
        assert_eq!(together(&found), Some(Go::NoGo));
        assert_eq!(together(&findings(&Reading::default(), &rule())), None);
        assert!(Reading::default().is_empty());
        // A temperature alone makes neither index.
        let alone = Reading { temperature_tenths: Some(950), ..Reading::default() };
        assert_eq!(findings(&alone, &rule()), []);
    }

    proptest! {
        /// Damper, colder, windier, thicker air never turns a no into a yes; but for the seam of the published equation from 80.5
        /// to 81 °F, where its two formulas meet and somewhat damper air can come out just under 80.
        #[test]
        fn day_7_worse_weather_is_never_judged_better(
            temperature in -300..1200_i64, humidity in 0..=100_i64, wind in 0..70_i64,
            gusts in 0..90_i64, sight in 0..3000_i64, air in 0..400_i64, step in 1..40_i64,
        ) {
            let reading = Reading {
                temperature_tenths: Some(temperature),
                humidity: Some(humidity),
                wind: Some(wind),
                gusts: Some(gusts),
                sight: Some(sight),
                air: Some(air),
            };
            let go = |reading: Reading, matter: Matter| {
                findings(&reading, &rule()).iter().find(|one| one.matter == matter).map(|one| one.go)
            };
            let worse = [
                (Matter::Gusts, Reading { gusts: Some(gusts + step), ..reading }),
                (Matter::Gusts, Reading { wind: Some(wind + step), ..reading }),
                (Matter::Air, Reading { air: Some(air + step), ..reading }),
                (Matter::Sight, Reading { sight: Some((sight - step).max(0)), ..reading }),
                (Matter::Chill, Reading { wind: Some(wind + step), ..reading }),
                (Matter::Heat, Reading { humidity: Some((humidity + step).min(100)), ..reading }),
            ];
            let is_seam = (805..=810).contains(&temperature);
            for (matter, worse) in worse.into_iter().filter(|(matter, _)| !is_seam || *matter != Matter::Heat) {
                prop_assert!(go(worse, matter) >= go(reading, matter), "{worse:?}");
            }
            for matter in Matter::ALL {
                let one = go(reading, *matter);
                prop_assert!(one.is_none_or(|one| Some(one) <= together(&findings(&reading, &rule()))));
            }
        }
    }
}
