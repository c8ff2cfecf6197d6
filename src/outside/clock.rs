//! What time it is. The only file that may ask the machine for the time; everything else takes a `Clock` or a value.
//! Must not convert local wall times: that is `domain/time.rs`.

use std::sync::{Arc, Mutex, PoisonError};

use chrono::{NaiveDate, NaiveDateTime, SubsecRound, TimeDelta, TimeZone, Utc};
use chrono_tz::Tz;

/// The program's clock. Clones share one hand: setting a fixed clock moves it for every holder.
#[derive(Clone, Debug)]
pub struct Clock(Hand);

#[derive(Clone, Debug)]
enum Hand {
    System,
    Fixed(Arc<Mutex<NaiveDateTime>>),
}

impl Clock {
    /// The machine's clock.
    pub fn system() -> Self {
        Self(Hand::System)
    }

    /// A clock that stands at `now` (UTC) until a test moves it.
    pub fn fixed(now: NaiveDateTime) -> Self {
        Self(Hand::Fixed(Arc::new(Mutex::new(now.trunc_subsecs(6)))))
    }

    /// The present instant in UTC, cut to microseconds because both databases keep no more.
    pub fn now(&self) -> NaiveDateTime {
        match &self.0 {
            Hand::System => machine_time().trunc_subsecs(6),
            Hand::Fixed(at) => *at.lock().unwrap_or_else(PoisonError::into_inner),
        }
    }

    /// The calendar day it is now in `zone`.
    pub fn today(&self, zone: Tz) -> NaiveDate {
        zone.from_utc_datetime(&self.now()).date_naive()
    }

    /// Moves a fixed clock to `now` (UTC). Panics on the system clock, which no test may move.
    pub fn set(&self, now: NaiveDateTime) {
        self.turn(|_| now.trunc_subsecs(6));
    }

    /// Moves a fixed clock on by `span` (or back, if negative). Panics on the system clock.
    pub fn advance(&self, span: TimeDelta) {
        self.turn(|at| at + span);
    }

    fn turn(&self, to: impl FnOnce(NaiveDateTime) -> NaiveDateTime) {
        let Hand::Fixed(at) = &self.0 else {
            panic!("only a fixed clock can be set");
        };
        let mut at = at.lock().unwrap_or_else(PoisonError::into_inner);
        *at = to(*at);
    }
}

#[expect(clippy::disallowed_methods, reason = "the one place that asks the machine")]
fn machine_time() -> NaiveDateTime {
    Utc::now().naive_utc()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(text: &str) -> NaiveDateTime {
        text.parse().unwrap()
    }

    #[test]
    fn house_1_a_fixed_clock_moves_for_all_who_hold_it() {
        let clock = Clock::fixed(at("2026-11-25T06:30:00"));
        let other = clock.clone();
        clock.advance(TimeDelta::minutes(90));
        assert_eq!(other.now(), at("2026-11-25T08:00:00"));
        other.set(at("2027-01-01T00:00:00"));
        assert_eq!(clock.now(), at("2027-01-01T00:00:00"));
    }

    #[test]
    fn house_1_the_day_is_the_day_at_the_place() {
        let clock = Clock::fixed(at("2026-11-25T06:30:00"));
        let day = |text: &str| text.parse::<NaiveDate>().unwrap();
        assert_eq!(clock.today(chrono_tz::America::Denver), day("2026-11-24"));
        assert_eq!(clock.today(chrono_tz::UTC), day("2026-11-25"));
    }

    #[test]
    fn house_1_an_instant_keeps_microseconds_and_no_more() {
        let clock = Clock::fixed(at("2026-11-25T06:30:00.123456789"));
        assert_eq!(clock.now(), at("2026-11-25T06:30:00.123456"));
        let now = Clock::system().now();
        assert_eq!(now, now.trunc_subsecs(6));
    }
}
