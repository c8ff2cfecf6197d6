//! What an act was, whole: its few words with the numbers, reasons and words that it keeps. For the log of the weather and the
//! file of a session, which are read when somebody asks what was known.

use crate::domain::acts::Body;
use crate::domain::fit::{About, FitRules, Reason, Verdict, number_text};
use crate::domain::point_list::PointList;
use crate::domain::session_day::Looked;
use crate::domain::weather::{Finding, Matter, Reading};
use crate::domain::words::Lang;

use super::act_words::in_words;
use super::refusal_words;

/// One act, without the rider's name: criteria and points are named by the rules and the list of the session.
pub fn whole(body: &Body, fit: &FitRules, list: &PointList) -> String {
    let said = in_words(body);
    match body {
        Body::Weather { reading, findings } => format!("{said}: {}", weather(reading, findings)),
        Body::Fit { verdict, .. } => format!("{said}. {}", judged(verdict, fit)),
        Body::DayList { points, .. } => points.iter().fold(said, |said, (key, looked)| match looked {
            Looked::Right => said,
            Looked::NotRight { words } => {
                let point = list.point(key).map_or(key.0.as_str(), |point| point.title.in_lang(Lang::En));
                format!("{said}. {point}: {words}")
            }
        }),
        Body::LookOver { wrong, .. } => wrong.values().fold(said, |said, what| format!("{said}. {what}")),
        Body::Fault { what: more, .. }
        | Body::GoOn { reason: more, .. }
        | Body::Mark { reason: Some(more), .. }
        | Body::NearMiss { note: Some(more), .. } => format!("{said}: {more}"),
        _ => said,
    }
}

/// The numbers as typed, and those that were worked out from them.
pub fn weather(reading: &Reading, findings: &[Finding]) -> String {
    let with = |number: Option<i64>, before: &str, after: &str| {
        number.map(|number| format!("{before}{}{after}", number.to_string().replace('-', "\u{2212}")))
    };
    let degrees = |tenths: i64| {
        let (sign, size) = (if tenths < 0 { "\u{2212}" } else { "" }, tenths.abs());
        let part = if size % 10 == 0 { String::new() } else { format!(".{}", size % 10) };
        format!("{sign}{}{part} °F in the shade", size / 10)
    };
    let typed = [
        reading.temperature_tenths.map(degrees),
        with(reading.humidity, "humidity ", " %"),
        with(reading.wind, "wind ", " mph"),
        with(reading.gusts, "gusts ", " mph"),
        with(reading.sight, "one sees ", " feet"),
        with(reading.air, "air-quality index ", ""),
    ];
    let is_worked_out = |one: &&Finding| matches!(one.matter, Matter::Heat | Matter::Chill);
    let worked_out = findings.iter().filter(is_worked_out).map(|one| refusal_words::weather_finding(Lang::En, one));
    typed.into_iter().flatten().chain(worked_out).collect::<Vec<_>>().join(", ")
}

/// Each number of a fit check with its limit, what holds the rider back, and what the lead decided.
fn judged(verdict: &Verdict, fit: &FitRules) -> String {
    let said: Vec<String> = verdict.reasons.iter().filter_map(|reason| told(reason, fit)).collect();
    format!("Rules of version {}. {}", verdict.rules_version, said.join("; "))
}

fn told(reason: &Reason, fit: &FitRules) -> Option<String> {
    let name = match &reason.about {
        About::Criterion(key) => fit.criterion(key).map_or(key.as_str(), |one| one.label.in_lang(Lang::En)).to_owned(),
        About::LeastAge(_) => "Age".to_owned(),
        About::EngineSize => "Engine size".to_owned(),
        About::Limiter(_) => "Speed limiter".to_owned(),
        About::MachineState(_) => "Machine ready".to_owned(),
    };
    let number = reason.number.zip(reason.unit).map(|(number, unit)| number_text(number, unit));
    let limit = reason.limit.zip(reason.unit).map(|(limit, unit)| format!("limit {}", limit.text(unit)));
    let decided = [
        reason.adaptation.as_ref().map(|note| format!("adaptation: {note}")),
        reason.overridden.as_ref().map(|why| format!("the lead lets the rider start: {why}")),
    ];
    let held = reason.holds_back().then(|| "holds back".to_owned());
    if number.is_none() && held.is_none() && decided.iter().all(Option::is_none) {
        return None;
    }
    let limit = limit.filter(|_| number.is_some());
    let parts: Vec<String> = [number, limit, held].into_iter().chain(decided).flatten().collect();
    Some(format!("{name}: {}", parts.join(", ")))
}
