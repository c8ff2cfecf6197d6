//! The settings of the weather: by which scale a heat index is named, and in which weather nobody rides.

use super::declared::{Declared, number, text};
use super::holds::PRACTICE;
use crate::domain::curriculum::SourceMark;
use crate::domain::rule_setting::{RuleUnit, RuleValue};
use crate::domain::weather::{HeatScale, WeatherRule};
use crate::domain::words::Word;

const WEATHER: &str = "Weather";
const DEGREES: RuleUnit = RuleUnit::Count("°F", "°F");
const INDEX: RuleUnit = RuleUnit::Count("", "");
const HEAT: Option<(SourceMark, &str)> = Some((
    SourceMark::C,
    "Common practice; the index itself by the Weather Prediction Center. A proposed federal rule for workers names 80 and 90",
));
const THUNDER: Option<(SourceMark, &str)> =
    Some((SourceMark::R2, "Advice of the National Weather Service, as other pages quote it"));
const SCALE: RuleUnit =
    RuleUnit::Choice(&[("older", "Older chart: 80, 90, 105, 130 °F"), ("newer", "Newer chart: 80, 91, 104, 125 °F")]);

/// Every setting, in the order of the page.
pub(super) const LINES: &[Declared] = &[
    Declared {
        key: "weather_heat_scale",
        group: WEATHER,
        label: "Risk scale by which a heat index is named",
        hint: "Both are charts of the National Weather Service. Choose the one that your people know.",
        unit: SCALE,
        bounds: (0, 0),
        source: Some((SourceMark::R2, "The older one read on a page of the Tulsa office; the newer one second-hand")),
        shipped: Some(|| RuleValue::Text(WeatherRule::default().heat_scale.to_string())),
        get: |file| RuleValue::Text(file.settings.weather.heat_scale.to_string()),
        set: |file, value| {
            let scale = text(value).and_then(|word| HeatScale::from_word(&word));
            scale.map(|scale| file.settings.weather.heat_scale = scale)
        },
    },
    Declared {
        key: "weather_heat_care",
        group: WEATHER,
        label: "Care from this heat index on",
        hint: "Water every twenty minutes, shade, short turns.",
        unit: DEGREES,
        bounds: (70, 110),
        source: HEAT,
        shipped: Some(|| RuleValue::Number(WeatherRule::default().heat_care)),
        get: |file| RuleValue::Number(file.settings.weather.heat_care),
        set: |file, value| number(value).map(|limit| file.settings.weather.heat_care = limit),
    },
    Declared {
        key: "weather_heat_stop",
        group: WEATHER,
        label: "No riding from this heat index on",
        hint: "Full gear adds to the heat; full sun adds up to 15 °F.",
        unit: DEGREES,
        bounds: (85, 130),
        source: HEAT,
        shipped: Some(|| RuleValue::Number(WeatherRule::default().heat_stop)),
        get: |file| RuleValue::Number(file.settings.weather.heat_stop),
        set: |file, value| number(value).map(|limit| file.settings.weather.heat_stop = limit),
    },
    Declared {
        key: "weather_chill_care",
        group: WEATHER,
        label: "Care below this wind chill",
        hint: "Short turns, warm-up breaks. Riding makes wind of its own.",
        unit: DEGREES,
        bounds: (-20, 50),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(WeatherRule::default().chill_care)),
        get: |file| RuleValue::Number(file.settings.weather.chill_care),
        set: |file, value| number(value).map(|limit| file.settings.weather.chill_care = limit),
    },
    Declared {
        key: "weather_chill_stop",
        group: WEATHER,
        label: "No riding below this wind chill",
        hint: "",
        unit: DEGREES,
        bounds: (-40, 40),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(WeatherRule::default().chill_stop)),
        get: |file| RuleValue::Number(file.settings.weather.chill_stop),
        set: |file, value| number(value).map(|limit| file.settings.weather.chill_stop = limit),
    },
    Declared {
        key: "weather_gust_stop",
        group: WEATHER,
        label: "No riding in gusts above",
        hint: "",
        unit: RuleUnit::MilesPerHour,
        bounds: (15, 60),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(WeatherRule::default().gust_stop)),
        get: |file| RuleValue::Number(file.settings.weather.gust_stop),
        set: |file, value| number(value).map(|limit| file.settings.weather.gust_stop = limit),
    },
    Declared {
        key: "weather_sight_stop",
        group: WEATHER,
        label: "No riding when one sees less far than",
        hint: "",
        unit: RuleUnit::Count("foot", "feet"),
        bounds: (100, 2000),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(WeatherRule::default().sight_stop)),
        get: |file| RuleValue::Number(file.settings.weather.sight_stop),
        set: |file, value| number(value).map(|limit| file.settings.weather.sight_stop = limit),
    },
    Declared {
        key: "weather_air_care",
        group: WEATHER,
        label: "Care above this air-quality index",
        hint: "",
        unit: INDEX,
        bounds: (50, 200),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(WeatherRule::default().air_care)),
        get: |file| RuleValue::Number(file.settings.weather.air_care),
        set: |file, value| number(value).map(|limit| file.settings.weather.air_care = limit),
    },
    Declared {
        key: "weather_air_stop",
        group: WEATHER,
        label: "No riding above this air-quality index",
        hint: "Smoke counts by this number, too.",
        unit: INDEX,
        bounds: (50, 300),
        source: PRACTICE,
        shipped: Some(|| RuleValue::Number(WeatherRule::default().air_stop)),
        get: |file| RuleValue::Number(file.settings.weather.air_stop),
        set: |file, value| number(value).map(|limit| file.settings.weather.air_stop = limit),
    },
    Declared {
        key: "weather_thunder",
        group: WEATHER,
        label: "Wait after the last thunder or flash",
        hint: "Every new one starts the wait anew.",
        unit: RuleUnit::Count("minute", "minutes"),
        bounds: (30, 60),
        source: THUNDER,
        shipped: Some(|| RuleValue::Number(WeatherRule::default().thunder_minutes)),
        get: |file| RuleValue::Number(file.settings.weather.thunder_minutes),
        set: |file, value| number(value).map(|limit| file.settings.weather.thunder_minutes = limit),
    },
];
