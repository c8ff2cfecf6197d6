//! How long a seat is kept for somebody who has to answer: until the address is confirmed, or while a freed seat is
//! offered. The clock stands still at night in the site's zone, and nothing is kept past two hours before the start.

use chrono::{Days, NaiveDateTime, NaiveTime, TimeDelta};
use chrono_tz::Tz;
use serde::{Deserialize, Serialize};

use super::time::{LocalTime, NoSuchTime};

/// The numbers behind the times. Common practice, no source: each program sets its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct HoldRule {
    /// Hours that a seat waits for a new family to confirm its address.
    pub confirm_hours: i64,
    /// Hours that a freed seat is offered.
    pub offer_hours: i64,
    /// Hours that it is offered on the last day before the start.
    pub last_day_hours: i64,
    /// The hour of the day at which the night begins, 0 to 23.
    pub night_from: i64,
    /// The hour of the day at which the night ends, 0 to 23.
    pub night_until: i64,
}

impl Default for HoldRule {
    fn default() -> Self {
        Self { confirm_hours: 2, offer_hours: 24, last_day_hours: 2, night_from: 21, night_until: 8 }
    }
}

/// Nothing is kept for anybody from here to the start of the session.
pub const BEFORE_START: TimeDelta = TimeDelta::hours(2);
/// The last day before the start.
const LAST_DAY: TimeDelta = TimeDelta::hours(24);

/// Where and when the session begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Start {
    /// The first meeting's instant, UTC.
    pub at: NaiveDateTime,
    /// The site's zone.
    pub zone: Tz,
}

impl HoldRule {
    /// Until when a seat waits for a new family's address, UTC. `None`: the start is too near to wait for an answer.
    #[must_use]
    pub fn confirm_until(&self, now: NaiveDateTime, start: Start) -> Option<NaiveDateTime> {
        self.until(now, TimeDelta::hours(self.confirm_hours), start)
    }

    /// Until when a seat that comes free now is offered, UTC. `None`: the start is too near.
    #[must_use]
    pub fn offer_until(&self, now: NaiveDateTime, start: Start) -> Option<NaiveDateTime> {
        let is_last_day = start.at - now <= LAST_DAY;
        self.until(now, TimeDelta::hours(if is_last_day { self.last_day_hours } else { self.offer_hours }), start)
    }

    fn until(&self, now: NaiveDateTime, length: TimeDelta, start: Start) -> Option<NaiveDateTime> {
        let last = start.at - BEFORE_START;
        (now < last).then(|| self.awake_after(now, length, start.zone).min(last))
    }

    /// The instant at which so much time has passed, nights not counted.
    fn awake_after(&self, from: NaiveDateTime, length: TimeDelta, zone: Tz) -> NaiveDateTime {
        let (Some(night), Some(morning)) = (hour(self.night_from), hour(self.night_until)) else {
            return from + length;
        };
        if night == morning {
            return from + length;
        }
        let (mut now, mut left) = (from, length);
        loop {
            let wall = LocalTime::from_utc(now, zone).wall;
            if is_night(wall.time(), night, morning) {
                now = next(wall, morning, zone);
                continue;
            }
            let evening = next(wall, night, zone);
            if now + left <= evening {
                return now + left;
            }
            left -= evening - now;
            now = evening;
        }
    }
}

fn hour(hour: i64) -> Option<NaiveTime> {
    u32::try_from(hour).ok().and_then(|hour| NaiveTime::from_hms_opt(hour, 0, 0))
}

/// Whether the clock shows night. A night may go over midnight.
fn is_night(time: NaiveTime, night: NaiveTime, morning: NaiveTime) -> bool {
    if night > morning { time >= night || time < morning } else { time >= night && time < morning }
}

/// The next instant after `wall` at which the clock shows `time`; where it is skipped, the first time after it.
fn next(wall: NaiveDateTime, time: NaiveTime, zone: Tz) -> NaiveDateTime {
    let day = if wall.time() < time { wall.date() } else { wall.date() + Days::new(1) };
    let wall = day.and_time(time);
    match (LocalTime { wall, zone }).to_utc() {
        Ok(at) => at,
        Err(NoSuchTime::Skipped { next, .. }) => LocalTime { wall: next, zone }.to_utc().unwrap_or(next),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono_tz::America::Denver;
    use proptest::prelude::*;

    fn at(text: &str) -> NaiveDateTime {
        LocalTime { wall: text.parse().expect("a time"), zone: Denver }.to_utc().expect("a time that exists")
    }
    fn start(text: &str) -> Start {
        Start { at: at(text), zone: Denver }
    }
    fn wall(utc: NaiveDateTime) -> String {
        LocalTime::from_utc(utc, Denver).wall.format("%d %H:%M").to_string()
    }

    /// The times that the product decided (a family's two hours, 24 and 2 hours of an offer, nights from 21 to 8, two
    /// hours before the start), worked out by hand. The session begins on Saturday the 13th at 8:30.
    #[test]
    fn family_6_hold_times_are_those_worked_out_by_hand() {
        let rule = HoldRule::default();
        let saturday = start("2026-06-13T08:30:00");
        for (now, confirm, offer) in [
            ("2026-06-08T10:00:00", Some("08 12:00"), Some("09 21:00")),
            ("2026-06-08T20:00:00", Some("09 09:00"), Some("10 18:00")),
            ("2026-06-08T23:30:00", Some("09 10:00"), Some("10 19:00")),
            ("2026-06-09T05:00:00", Some("09 10:00"), Some("10 19:00")),
            ("2026-06-12T08:29:00", Some("12 10:29"), Some("13 06:30")),
            ("2026-06-12T08:30:00", Some("12 10:30"), Some("12 10:30")),
            ("2026-06-12T18:59:00", Some("12 20:59"), Some("12 20:59")),
            ("2026-06-12T19:00:00", Some("12 21:00"), Some("12 21:00")),
            ("2026-06-12T19:01:00", Some("13 06:30"), Some("13 06:30")),
            ("2026-06-13T06:29:00", Some("13 06:30"), Some("13 06:30")),
            ("2026-06-13T06:30:00", None, None),
            ("2026-06-13T09:00:00", None, None),
        ] {
            let told = |until: Option<NaiveDateTime>| until.map(wall);
            assert_eq!(told(rule.confirm_until(at(now), saturday)).as_deref(), confirm, "confirm from {now}");
            assert_eq!(told(rule.offer_until(at(now), saturday)).as_deref(), offer, "offer from {now}");
        }
    }

    /// Clocks change at 2 a.m. on 8 March and on 1 November 2026 (15 U.S.C. 260a): the night is an hour shorter or longer,
    /// the day's hours are the same.
    #[test]
    fn family_6_hold_clocks_pause_over_a_night_in_which_the_clocks_change() {
        let rule = HoldRule::default();
        for (now, begins, expected) in [
            ("2026-03-07T20:00:00", "2026-03-14T08:30:00", "08 09:00"),
            ("2026-10-31T20:00:00", "2026-11-07T08:30:00", "01 09:00"),
        ] {
            assert_eq!(wall(rule.confirm_until(at(now), start(begins)).expect("a time")), expected);
        }
        let odd = HoldRule { night_from: 22, night_until: 2, ..rule };
        assert_eq!(
            wall(odd.confirm_until(at("2026-03-07T21:30:00"), start("2026-03-14T08:30:00")).unwrap()),
            "08 04:30"
        );
    }

    #[test]
    fn family_6_hold_times_without_a_night_run_through() {
        let rule = HoldRule { night_from: 8, night_until: 8, ..HoldRule::default() };
        let until = rule.offer_until(at("2026-06-08T20:00:00"), start("2026-06-13T08:30:00"));
        assert_eq!(until.map(wall).as_deref(), Some("09 20:00"));
    }

    /// Counted minute by minute, by the tests' own eyes.
    fn minutes_awake(rule: HoldRule, from: NaiveDateTime, until: NaiveDateTime) -> i64 {
        let hours = |minute: i64| {
            let hour: i64 = LocalTime::from_utc(from + TimeDelta::minutes(minute), Denver)
                .wall
                .format("%H")
                .to_string()
                .parse()
                .unwrap();
            if rule.night_from > rule.night_until {
                !(hour >= rule.night_from || hour < rule.night_until)
            } else {
                !(hour >= rule.night_from && hour < rule.night_until)
            }
        };
        (0..(until - from).num_minutes()).filter(|minute| hours(*minute)).count().try_into().unwrap()
    }

    proptest! {
        #[test]
        fn family_6_a_hold_lasts_as_many_waking_minutes_as_the_rule_says_and_ends_by_day(
            minute in 0i64..600_000, hours in 1i64..49, night_from in 0i64..24, night_until in 0i64..24,
        ) {
            let from = at("2026-01-05T00:00:00") + TimeDelta::minutes(minute);
            let rule = HoldRule { offer_hours: hours, night_from, night_until, ..HoldRule::default() };
            let far = Start { at: from + TimeDelta::days(400), zone: Denver };
            let until = rule.offer_until(from, far).expect("the start is far");
            let awake = if night_from == night_until { (until - from).num_minutes() } else { minutes_awake(rule, from, until) };
            prop_assert_eq!(awake, hours * 60);
            let near = Start { at: from + TimeDelta::hours(hours), zone: Denver };
            if let Some(until) = rule.confirm_until(from, near) {
                prop_assert!(until > from && until <= near.at - BEFORE_START);
            } else {
                prop_assert!(hours <= 2);
            }
        }
    }
}
