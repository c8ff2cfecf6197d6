//! A wall time at a place and the instant it means. Daylight saving makes an hour twice in autumn and skips one in
//! spring; both are answered here and nowhere else. Must not ask what time it is now.

use chrono::{DurationRound, LocalResult, NaiveDateTime, TimeDelta, TimeZone};
use chrono_tz::Tz;

/// A time as the clock on the wall shows it at a place, kept as text and zone name in tables.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LocalTime {
    /// Date and time on the wall.
    pub wall: NaiveDateTime,
    /// The place's time zone.
    pub zone: Tz,
}

/// Why a wall time means no instant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum NoSuchTime {
    /// The clocks jump over this wall time; `next` is the first wall time after the jump.
    #[error("the clocks in {zone} go forward and skip {wall}; the next time is {next}")]
    Skipped {
        /// The wall time that was asked for.
        wall: NaiveDateTime,
        /// The place's time zone.
        zone: Tz,
        /// The first wall time that exists after the jump.
        next: NaiveDateTime,
    },
}

impl LocalTime {
    /// The wall time `zone` shows at the instant `utc`.
    pub fn from_utc(utc: NaiveDateTime, zone: Tz) -> Self {
        let wall = zone.from_utc_datetime(&utc).naive_local();
        Self { wall, zone }
    }

    /// The instant (UTC) of this wall time. A wall time that comes twice means the first of the two.
    pub fn to_utc(self) -> Result<NaiveDateTime, NoSuchTime> {
        match self.zone.from_local_datetime(&self.wall) {
            LocalResult::Single(at) | LocalResult::Ambiguous(at, _) => Ok(at.naive_utc()),
            LocalResult::None => {
                Err(NoSuchTime::Skipped { wall: self.wall, zone: self.zone, next: self.after_the_jump() })
            }
        }
    }

    /// The first wall time at or after this one that exists. Jumps happen on whole minutes and last under a day,
    /// except where a place crossed the date line, which skips one day.
    fn after_the_jump(self) -> NaiveDateTime {
        let whole = self.wall.duration_trunc(TimeDelta::minutes(1)).unwrap_or(self.wall);
        (0..=2 * 24 * 60)
            .map(|minutes| whole + TimeDelta::minutes(minutes))
            .find(|wall| self.zone.from_local_datetime(wall).earliest().is_some())
            .unwrap_or(self.wall)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono_tz::America;
    use proptest::prelude::*;

    fn at(text: &str) -> NaiveDateTime {
        text.parse().unwrap()
    }

    fn denver(wall: &str) -> Result<NaiveDateTime, NoSuchTime> {
        let zone = America::Denver;
        LocalTime { wall: at(wall), zone }.to_utc()
    }

    /// Rules of 15 U.S.C. 260a: from 2 a.m. on the second Sunday of March to 2 a.m. on the first Sunday of November.
    #[test]
    fn r35_wall_times_around_both_changes_of_2026() {
        let table = [
            ("2026-03-08T01:59:59", "2026-03-08T08:59:59"),
            ("2026-03-08T03:00:00", "2026-03-08T09:00:00"),
            ("2026-07-04T09:00:00", "2026-07-04T15:00:00"),
            ("2026-11-01T00:59:59", "2026-11-01T06:59:59"),
            ("2026-11-01T01:30:00", "2026-11-01T07:30:00"),
            ("2026-11-01T02:00:00", "2026-11-01T09:00:00"),
            ("2026-12-01T09:00:00", "2026-12-01T16:00:00"),
        ];
        for (wall, utc) in table {
            assert_eq!(denver(wall), Ok(at(utc)), "{wall}");
        }
    }

    #[test]
    fn r35_a_skipped_time_is_refused_and_names_the_next_one() {
        for wall in ["2026-03-08T02:00:00", "2026-03-08T02:30:00", "2026-03-08T02:59:59"] {
            let NoSuchTime::Skipped { next, .. } = denver(wall).unwrap_err();
            assert_eq!(next, at("2026-03-08T03:00:00"), "{wall}");
        }
        let words = denver("2026-03-08T02:30:00").unwrap_err().to_string();
        assert!(words.contains("America/Denver") && words.contains("03:00"), "{words}");
    }

    #[test]
    fn r35_a_session_over_the_change_has_its_true_length() {
        let length = |from, to| denver(to).unwrap() - denver(from).unwrap();
        assert_eq!(length("2026-11-01T00:30:00", "2026-11-01T04:30:00"), TimeDelta::hours(5));
        assert_eq!(length("2026-03-08T00:30:00", "2026-03-08T04:30:00"), TimeDelta::hours(3));
        assert_eq!(length("2026-06-06T08:00:00", "2026-06-06T12:00:00"), TimeDelta::hours(4));
    }

    #[test]
    fn house_3_a_place_without_daylight_saving_skips_nothing() {
        let wall = at("2026-03-08T02:30:00");
        let utc = LocalTime { wall, zone: America::Phoenix }.to_utc();
        assert_eq!(utc, Ok(at("2026-03-08T09:30:00")));
    }

    proptest! {
        #[test]
        fn house_3_an_instant_comes_back_from_its_wall_time_but_for_the_second_of_a_pair(seconds in 1_700_000_000i64..1_900_000_000) {
            let utc = chrono::DateTime::from_timestamp(seconds, 0).unwrap().naive_utc();
            let back = LocalTime::from_utc(utc, America::Denver).to_utc().unwrap();
            prop_assert!(back == utc || back == utc - TimeDelta::hours(1));
        }
    }
}
