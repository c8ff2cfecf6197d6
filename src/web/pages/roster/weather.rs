//! The weather of the day: thunder by one press, numbers read off and typed, the lead's own stop, and what was entered.

use askama::Template;

use crate::domain::acts::Body;
use crate::domain::weather::{Finding, Go, HeatBand, HeatScale, Matter, Reading};
use crate::domain::words::Lang;
use crate::services::field_act::{ActIds, Wish};
use crate::services::roster::weather::{WeatherPage, show};
use crate::web::answer::Answer;
use crate::web::form::FieldErrors;
use crate::web::page::Page;
use crate::web::{kept_words, refusal_words};

use super::acts::asked;
use super::words::{State, degrees};
use super::{Ask, Fields, Said, answered, clock, said};

#[derive(Template)]
#[template(path = "roster/weather.html")]
struct Show {
    page: Page,
    view: WeatherPage,
    ids: ActIds,
    errors: FieldErrors,
    typed: Fields,
}

impl Show {
    /// "18 minutes to go, at 2:51 PM."
    fn wait(&self) -> Option<String> {
        let now = clock(&self.view.now);
        self.view.minutes_left.map(|left| match left {
            1 => format!("1 minute to go, at {now}."),
            left => format!("{left} minutes to go, at {now}."),
        })
    }
    fn state(&self, finding: &Finding) -> State {
        let number = refusal_words::weather_finding(Lang::En, finding);
        match finding.go {
            Go::Go => State { kind: "met", shape: "met", words: format!("Goes: {number}") },
            Go::Care => State { kind: "practice", shape: "practice", words: format!("With care: {number}") },
            Go::NoGo => State { kind: "stopped", shape: "stopped", words: format!("Nobody rides: {number}") },
        }
    }
    /// Whether the lead's reason is asked for; one that was typed is shown in any case.
    fn asks_why(&self) -> bool {
        let is_asked = self.view.may_call && !self.view.is_called && self.view.head.takes_acts;
        is_asked || self.errors.of("why").is_some() || !self.typed.of("why").is_empty()
    }
    /// What was entered, with the numbers as typed.
    fn entry(&self, body: &Body) -> String {
        let said = said::in_words(body);
        match body {
            Body::Weather { reading, findings } => format!("{said}: {}", kept_words::weather(reading, findings)),
            _ => said,
        }
    }
    /// The program's table: what is looked at, from where on with care, and where nobody rides.
    fn limits(&self) -> [[String; 3]; 5] {
        let (rule, minus) = (&self.view.rule, |number: i64| degrees(&number));
        [
            ["Heat index".into(), format!("{} °F or more", rule.heat_care), format!("{} °F or more", rule.heat_stop)],
            [
                "Wind chill".into(),
                format!("below {} °F", minus(rule.chill_care)),
                format!("below {} °F", minus(rule.chill_stop)),
            ],
            ["Wind or gusts".into(), "no limit".into(), format!("above {} mph", rule.gust_stop)],
            ["How far one sees".into(), "no limit".into(), format!("below {} feet", rule.sight_stop)],
            ["Air-quality index".into(), format!("above {}", rule.air_care), format!("above {}", rule.air_stop)],
        ]
    }
    /// The name of a heat index on the scale that the program chose.
    fn band(&self, finding: &Finding) -> Option<&'static str> {
        if finding.matter != Matter::Heat {
            return None;
        }
        match self.view.rule.heat_scale.band(finding.number) {
            HeatBand::None => None,
            HeatBand::Caution => Some("The chart calls it “caution”."),
            HeatBand::ExtremeCaution => Some("The chart calls it “extreme caution”."),
            HeatBand::Danger => Some("The chart calls it “danger”."),
            HeatBand::ExtremeDanger => Some("The chart calls it “extreme danger”."),
        }
    }
    /// Which chart of the National Weather Service names the heat.
    fn scale(&self) -> &'static str {
        match self.view.rule.heat_scale {
            HeatScale::Older => "its older chart (80, 90, 105 and 130 °F)",
            HeatScale::Newer => "its newer chart (80, 91, 104 and 125 °F)",
        }
    }
}

/// What a number asks of the team.
fn advice(finding: &Finding) -> &'static str {
    match (finding.go, finding.matter) {
        (Go::Go, _) => "",
        (Go::Care, Matter::Heat) => "Water every 20 minutes, shade, short turns, gear off in the breaks.",
        (Go::NoGo, Matter::Heat) => "Engines off, into the shade, gear off, water. Watch each child.",
        (Go::Care, Matter::Chill) => {
            "Short turns and warm-up breaks. Riding makes wind of its own. Look at fingers and faces."
        }
        (Go::NoGo, Matter::Chill) => "Engines off, everybody into a warm room.",
        (Go::Care, Matter::Air) => "Short turns. A child who coughs or wheezes stops. Look at the health notes.",
        (Go::NoGo, Matter::Air) => "Engines off, everybody indoors or home.",
        (_, Matter::Gusts) => "Engines off, away from trees and tents.",
        (_, Matter::Sight) => "Engines off. Bring everybody in and count heads.",
    }
}

pub(super) async fn draw(ask: &Ask, said: Said) -> Answer {
    let view = ask.read(show).await?;
    let page = ask.page("Weather", &view.head, &said);
    let Said { errors, typed } = said;
    answered(&errors.clone(), &Show { page, view, ids: ActIds::of(&ask.app), errors, typed })
}

/// The numbers of a form, each with the least and the most that is no slip.
pub(super) fn reading(typed: &Fields, errors: &mut FieldErrors) -> Reading {
    let mut read = |field: &str, (least, most): (i64, i64), tenths: i64, such_as: &str| {
        let text = typed.of(field).trim().replace('\u{2212}', "-");
        if text.is_empty() {
            return None;
        }
        let value = number(&text, tenths).filter(|value| (least * tenths..=most * tenths).contains(value));
        if value.is_none() {
            let least = least.to_string().replace('-', "\u{2212}");
            errors.add(field, format!("Write a number from {least} to {most}, such as {such_as}."));
        }
        value
    };
    let reading = Reading {
        temperature_tenths: read("temperature", Reading::TEMPERATURE, 10, "84"),
        humidity: read("humidity", Reading::HUMIDITY, 1, "55"),
        wind: read("wind", Reading::WIND, 1, "8"),
        gusts: read("gusts", Reading::GUSTS, 1, "15"),
        sight: read("sight", Reading::SIGHT, 1, "1200"),
        air: read("air", Reading::AIR, 1, "62"),
    };
    if errors.is_empty() && reading.is_empty() {
        errors.add("temperature", "Write at least one number.");
    }
    reading
}

/// A number in parts of a whole: "84.5" with ten parts is 845. Whole numbers where a whole has one part.
fn number(text: &str, parts: i64) -> Option<i64> {
    let (whole, rest) = match text.split_once('.') {
        Some((whole, rest)) if parts == 10 && rest.len() == 1 => (whole, rest.parse::<u8>().ok()?),
        Some(_) => return None,
        None => (text, 0),
    };
    let is_digits = |text: &str| !text.is_empty() && text.len() <= 6 && text.bytes().all(|byte| byte.is_ascii_digit());
    let digits = whole.strip_prefix('-').unwrap_or(whole);
    if !is_digits(digits) {
        return None;
    }
    let value = digits.parse::<i64>().ok()? * parts + i64::from(rest);
    Some(if whole.starts_with('-') { -value } else { value })
}

/// The lead's own stop, or its end; `None` for what no page of ours sends.
pub(super) fn call(typed: &Fields, errors: &mut FieldErrors) -> Option<Wish> {
    match typed.of("stop") {
        "yes" => Some(Wish::WeatherCall { stop: true, why: asked(typed, "why", "Write why riding stops.", errors) }),
        "no" => Some(Wish::WeatherCall { stop: false, why: String::new() }),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn day_7_numbers_are_read_as_people_write_them_and_nothing_else_is() {
        for (text, parts, value) in [
            ("84", 10, Some(840)),
            ("84.5", 10, Some(845)),
            ("-0.5", 10, Some(-5)),
            ("-12", 10, Some(-120)),
            ("15", 1, Some(15)),
            ("15.5", 1, None),
            ("84.55", 10, None),
            ("", 1, None),
            ("-", 10, None),
            ("+5", 1, None),
            ("9999999999", 1, None),
            ("1e3", 1, None),
        ] {
            assert_eq!(number(text, parts), value, "{text}");
        }
    }
}
