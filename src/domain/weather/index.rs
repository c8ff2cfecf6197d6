//! Two published formulas: the heat index and the wind chill of the National Weather Service, in °F and miles an hour.

/// Wind chill is defined up to this temperature, in °F.
pub const CHILL_UP_TO: f64 = 50.0;

/// And in winds above this, in miles an hour.
const CHILL_FROM_WIND: f64 = 3.0;

/// Heat index in °F from the air temperature in °F and the relative humidity in percent: the simple formula averaged with the
/// temperature, and from 80 °F on the regression of Rothfusz (NWS Technical Attachment SR 90-23, 1990) with its two
/// adjustments, as the Weather Prediction Center's page "The Heat Index Equation" gives them. Shade values.
#[must_use]
pub fn heat_index(t: f64, rh: f64) -> f64 {
    let simple = 0.5 * (t + 61.0 + (t - 68.0) * 1.2 + rh * 0.094);
    let average = f64::midpoint(simple, t);
    if average < 80.0 {
        return average;
    }
    let regression = -42.379 + 2.049_015_23 * t + 10.143_331_27 * rh
        - 0.224_755_41 * t * rh
        - 0.006_837_83 * t * t
        - 0.054_817_17 * rh * rh
        + 0.001_228_74 * t * t * rh
        + 0.000_852_82 * t * rh * rh
        - 0.000_001_99 * t * t * rh * rh;
    if rh < 13.0 && (80.0..=112.0).contains(&t) {
        return regression - ((13.0 - rh) / 4.0) * ((17.0 - (t - 95.0).abs()) / 17.0).sqrt();
    }
    if rh > 85.0 && (80.0..=87.0).contains(&t) {
        return regression + ((rh - 85.0) / 10.0) * ((87.0 - t) / 5.0);
    }
    regression
}

/// Wind chill in °F from the air temperature in °F and the wind in miles an hour (NWS, in use since 1 November 2001). Where it is
/// not defined, the temperature itself.
#[must_use]
pub fn wind_chill(t: f64, v: f64) -> f64 {
    if t > CHILL_UP_TO || v <= CHILL_FROM_WIND {
        return t;
    }
    let wind = v.powf(0.16);
    35.74 + 0.6215 * t - 35.75 * wind + 0.4275 * t * wind
}

/// To the nearest whole degree, as the charts print it.
#[must_use]
#[expect(clippy::cast_possible_truncation, reason = "a temperature")]
pub fn whole(degrees: f64) -> i64 {
    degrees.round() as i64
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The NWS heat-index chart (as printed by the Tulsa office) and the WPC formula. At 82 °F and 95 % the chart prints 93 where
    /// the formula gives 94.
    #[test]
    fn day_7_heat_indexes_equal_the_published_chart_to_the_degree() {
        for (t, rh, value, printed) in [
            (80.0, 40.0, 79.79, 80),
            (80.0, 60.0, 81.81, 82),
            (84.0, 50.0, 85.13, 85),
            (86.0, 90.0, 105.39, 105),
            (82.0, 95.0, 93.97, 94),
            (88.0, 100.0, 121.21, 121),
            (90.0, 50.0, 94.60, 95),
            (90.0, 60.0, 99.68, 100),
            (90.0, 70.0, 105.92, 106),
            (94.0, 65.0, 114.39, 114),
            (96.0, 50.0, 107.64, 108),
            (100.0, 50.0, 118.32, 118),
            (104.0, 40.0, 118.88, 119),
            // Low and high humidity: the two adjustments.
            (95.0, 10.0, 89.45, 89),
            (100.0, 5.0, 92.50, 93),
            (86.0, 88.0, 104.20, 104),
            (70.0, 50.0, 69.525, 70),
        ] {
            let found = heat_index(t, rh);
            assert!((found - value).abs() < 0.01, "{t} {rh}: {found}");
            assert_eq!(whole(found), printed, "{t} {rh}: {found}");
        }
    }

    /// The NWS wind-chill chart.
    #[test]
    fn day_7_wind_chills_equal_the_published_chart_to_the_degree() {
        for (t, v, printed) in [
            (40.0, 5.0, 36),
            (40.0, 10.0, 34),
            (35.0, 10.0, 27),
            (30.0, 20.0, 17),
            (20.0, 15.0, 6),
            (0.0, 15.0, -19),
            (0.0, 30.0, -26),
            (-45.0, 25.0, -84),
            // Not defined: the temperature stands.
            (55.0, 20.0, 55),
            (30.0, 3.0, 30),
        ] {
            assert_eq!(whole(wind_chill(t, v)), printed, "{t} {v}");
        }
    }
}
