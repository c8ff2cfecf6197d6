//! The weather of one meeting, worked out from its acts: the latest reading, the last thunder, and what the lead said. The same
//! acts in any order of arrival give the same weather.

use std::collections::BTreeMap;

use chrono::{NaiveDateTime, TimeDelta};

use super::{Finding, Go, Matter, WeatherRule};
use crate::domain::acts::{Act, Body};

/// Kinds of acts that say how the weather is.
pub const WEATHER_KINDS: &[&str] = &["weather", "thunder", "weather_call"];

/// The weather so far.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Weather {
    /// The latest finding on each matter, and when it was read: what nobody read again still stands.
    pub standing: BTreeMap<Matter, (Finding, NaiveDateTime)>,
    /// The latest thunder or flash.
    pub thunder: Option<NaiveDateTime>,
    /// Why the lead stopped riding, while the stop stands.
    pub called: Option<String>,
}

/// Why nobody rides for now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum WeatherStop {
    /// It thundered or flashed.
    Thunder {
        /// The earliest moment at which riding may go on, UTC.
        until: NaiveDateTime,
    },
    /// Numbers that stand are beyond their limits.
    Numbers {
        /// The numbers that are.
        findings: Vec<Finding>,
    },
    /// The lead stopped riding.
    Called {
        /// Why.
        why: String,
    },
}

impl Weather {
    /// Reads the acts of one meeting in their order.
    #[must_use]
    pub fn of(ordered: &[&Act]) -> Self {
        let mut weather = Self::default();
        for act in ordered {
            match &act.body {
                Body::Weather { findings, .. } => weather.read(findings, act.at),
                // Of two phones the later thunder counts, whichever act came first.
                Body::Thunder => weather.thunder = weather.thunder.max(Some(act.at)),
                Body::WeatherCall { stop, why } => weather.called = stop.then(|| why.clone()),
                _ => {}
            }
        }
        weather
    }

    /// It is either warm or cold: a heat index ends a wind chill, and the other way round.
    fn read(&mut self, findings: &[Finding], at: NaiveDateTime) {
        for finding in findings {
            match finding.matter {
                Matter::Heat => drop(self.standing.remove(&Matter::Chill)),
                Matter::Chill => drop(self.standing.remove(&Matter::Heat)),
                Matter::Gusts | Matter::Sight | Matter::Air => {}
            }
            self.standing.insert(finding.matter, (*finding, at));
        }
    }

    /// Why nobody rides at a moment; the thunder clock first, because it runs out by itself.
    #[must_use]
    pub fn stop(&self, now: NaiveDateTime, rule: &WeatherRule) -> Option<WeatherStop> {
        let until = self.thunder.map(|at| at + TimeDelta::minutes(rule.thunder_minutes));
        if let Some(until) = until.filter(|until| now < *until) {
            return Some(WeatherStop::Thunder { until });
        }
        let beyond: Vec<Finding> =
            self.standing.values().map(|(finding, _)| *finding).filter(|finding| finding.go == Go::NoGo).collect();
        if !beyond.is_empty() {
            return Some(WeatherStop::Numbers { findings: beyond });
        }
        self.called.clone().map(|why| WeatherStop::Called { why })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::weather::{Reading, findings};

    fn at(text: &str) -> NaiveDateTime {
        format!("2026-06-13T{text}:00").parse().expect("an instant")
    }

    fn act(counter: i64, time: &str, body: Body) -> Act {
        let id = [u8::try_from(counter).expect("few acts"); 16];
        Act {
            id,
            meeting: 1,
            device: "web:1".into(),
            seq: counter,
            counter,
            seen: 0,
            at: at(time),
            by_lead: true,
            body,
        }
    }

    fn weather(bodies: Vec<(&str, Body)>) -> Weather {
        let acts: Vec<Act> = (1..).zip(bodies).map(|(counter, (time, body))| act(counter, time, body)).collect();
        Weather::of(&acts.iter().collect::<Vec<_>>())
    }

    fn read(reading: Reading) -> Body {
        Body::Weather { findings: findings(&reading, &WeatherRule::default()), reading }
    }

    fn gusts(gusts: i64) -> Body {
        read(Reading { gusts: Some(gusts), ..Reading::default() })
    }

    /// NWS advice: thirty minutes after the last thunder or flash; every new one restarts the clock.
    #[test]
    fn day_7_the_clock_starts_anew_with_every_thunder_and_ends_on_the_minute() {
        let rule = WeatherRule::default();
        let twice = weather(vec![("14:10", Body::Thunder), ("14:25", Body::Thunder)]);
        for (now, stops) in [("14:25", true), ("14:54", true), ("14:55", false), ("15:10", false)] {
            let stop = twice.stop(at(now), &rule);
            assert_eq!(stop, stops.then(|| WeatherStop::Thunder { until: at("14:55") }), "{now}");
        }
        let again = weather(vec![("14:10", Body::Thunder), ("14:39", Body::Thunder)]);
        assert_eq!(again.stop(at("14:40"), &rule), Some(WeatherStop::Thunder { until: at("15:09") }));
        // A phone that tells of an earlier thunder afterwards does not turn the clock back.
        let late = weather(vec![("14:39", Body::Thunder), ("14:10", Body::Thunder)]);
        assert_eq!(late.stop(at("14:45"), &rule), Some(WeatherStop::Thunder { until: at("15:09") }));
        let longer = WeatherRule { thunder_minutes: 45, ..rule };
        assert_eq!(again.stop(at("15:10"), &longer), Some(WeatherStop::Thunder { until: at("15:24") }));
    }

    #[test]
    fn day_7_numbers_stop_riding_until_better_ones_are_read_and_the_lead_may_stop_in_any_weather() {
        let rule = WeatherRule::default();
        let none: [i64; 0] = [];
        let numbers = |weather: &Weather| match weather.stop(at("15:00"), &rule) {
            Some(WeatherStop::Numbers { findings }) => findings.iter().map(|one| one.number).collect(),
            _ => Vec::new(),
        };
        assert_eq!(numbers(&weather(vec![("14:00", gusts(45))])), [45]);
        assert_eq!(numbers(&weather(vec![("14:00", gusts(45)), ("14:30", gusts(20))])), none);
        // What nobody read again still stands.
        let air = read(Reading { air: Some(50), ..Reading::default() });
        assert_eq!(numbers(&weather(vec![("14:00", gusts(45)), ("14:30", air)])), [45]);
        // NWS charts: 90 °F at 70 % is 106; 45 °F is never hot.
        let degrees = |degrees: i64| Reading { temperature_tenths: Some(degrees * 10), ..Reading::default() };
        let hot = read(Reading { humidity: Some(70), ..degrees(90) });
        let cool = read(Reading { wind: Some(10), ..degrees(45) });
        assert_eq!(numbers(&weather(vec![("14:00", hot.clone())])), [106]);
        assert_eq!(numbers(&weather(vec![("14:00", hot), ("14:30", cool)])), none);
        let call = |stop| Body::WeatherCall { stop, why: "Smoke".into() };
        let called = weather(vec![("14:00", gusts(20)), ("14:10", call(true))]);
        assert_eq!(called.stop(at("15:00"), &rule), Some(WeatherStop::Called { why: "Smoke".into() }));
        let lifted = weather(vec![("14:00", call(true)), ("14:10", call(false))]);
        assert_eq!(lifted.stop(at("15:00"), &rule), None);
        // What the lead lifts is the lead's own stop, never a limit or the clock.
        let still = weather(vec![("14:00", gusts(45)), ("14:10", call(false))]);
        assert_eq!(numbers(&still), [45]);
        let clock = weather(vec![("14:50", Body::Thunder), ("14:55", call(false))]);
        assert!(clock.stop(at("15:00"), &rule).is_some());
        assert_eq!(weather(vec![]).stop(at("15:00"), &rule), None);
    }
}
