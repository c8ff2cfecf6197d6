//! The words for every "no" of the weather, and of each number that is held against a limit. The tables have no rest arm.

use super::Values;
use crate::domain::refusal::WeatherRefusal;
use crate::domain::weather::{Finding, Matter};
use crate::domain::words::Lang;
use crate::language::{self, Value};

pub(super) fn message(refusal: &WeatherRefusal) -> &'static str {
    match refusal {
        WeatherRefusal::Thunder { .. } => "refusal-weather-thunder",
        WeatherRefusal::Numbers { .. } => "refusal-weather-numbers",
        WeatherRefusal::Called { .. } => "refusal-weather-called",
        WeatherRefusal::NothingCalled => "refusal-weather-nothing-called",
    }
}

pub(super) fn values(lang: Lang, refusal: &WeatherRefusal) -> Values {
    match refusal {
        WeatherRefusal::Thunder { until } => vec![("until", Value::from(language::time(lang, *until)))],
        WeatherRefusal::Numbers { findings } => {
            let told: Vec<String> = findings.iter().map(|one| finding(lang, one)).collect();
            vec![("numbers", Value::from(told.join(", ")))]
        }
        WeatherRefusal::Called { why } => vec![("why", Value::from(why.clone()))],
        WeatherRefusal::NothingCalled => Vec::new(),
    }
}

/// "heat index 106 \u{b0}F, limit 103 \u{b0}F".
#[must_use]
pub fn finding(lang: Lang, finding: &Finding) -> String {
    let key = match finding.matter {
        Matter::Heat => "weather-heat",
        Matter::Chill => "weather-chill",
        Matter::Gusts => "weather-gusts",
        Matter::Sight => "weather-sight",
        Matter::Air => "weather-air",
    };
    let number = |number: i64| Value::from(number.to_string().replace('-', "\u{2212}"));
    language::say(lang, key, &[("number", number(finding.number)), ("limit", number(finding.limit))])
}

#[cfg(test)]
mod tests {
    use chrono::NaiveTime;

    use super::*;
    use crate::domain::refusal::Refusal;
    use crate::domain::weather::Go;
    use crate::domain::words::Word;
    use crate::web::refusal_words::words;

    #[test]
    fn day_7_every_no_of_the_weather_says_what_and_until_when_in_both_languages() {
        let finding = |matter| Finding { matter, number: -19, go: Go::NoGo, limit: 7 };
        let until = NaiveTime::from_hms_opt(15, 9, 0).unwrap();
        let all = Matter::ALL.iter().map(|matter| finding(*matter)).collect::<Vec<_>>();
        for (refusal, parts) in [
            (WeatherRefusal::Thunder { until }, &["3:09"][..]),
            (WeatherRefusal::Numbers { findings: all }, &["\u{2212}19", "7"]),
            (WeatherRefusal::Called { why: "Smoke".into() }, &["Smoke"]),
            (WeatherRefusal::NothingCalled, &[]),
        ] {
            let told = |lang| words(lang, &Refusal::Weather(refusal.clone()));
            assert_ne!(told(Lang::En), told(Lang::Es));
            for part in parts {
                assert!(Lang::ALL.iter().all(|lang| told(*lang).contains(part)), "{}", told(Lang::En));
            }
        }
    }
}
