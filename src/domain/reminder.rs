//! When a family hears of its child's session again: a reminder a week and a day before, and between them the question
//! whether the child is still coming. Each goes out once, by day, at an hour of the site's clock.

use chrono::{Days, NaiveDateTime, NaiveTime, TimeDelta, Timelike};
use serde::{Deserialize, Serialize};

use super::hold::Start;
use super::time::{LocalTime, NoSuchTime};
use super::words::word_list;

word_list! {
    /// A letter that goes out by itself before a session.
    Reminder {
        /// What to bring and how to get there.
        Week = "week",
        /// Is the child still coming?
        Ask = "ask",
        /// The same again, for who has not said so.
        AskAgain = "ask_again",
        /// Tomorrow.
        Day = "day",
    }
}

/// On which days before the first meeting letters go out. Common practice, no source: each program sets its own; with 0
/// the letter does not go out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct ReminderRule {
    /// Days before, for the first reminder.
    pub week_days: i64,
    /// Days before, for the question whether the child is still coming.
    pub ask_days: i64,
    /// Days before, for asking once more.
    pub ask_again_days: i64,
    /// Days before, for the last reminder.
    pub last_days: i64,
    /// The hour of the site's clock at which they go out, 0 to 23.
    pub hour: i64,
}

impl Default for ReminderRule {
    fn default() -> Self {
        Self { week_days: 7, ask_days: 5, ask_again_days: 2, last_days: 1, hour: 9 }
    }
}

/// A letter that could not go out at its hour goes out later that day; after so long it does not go out any more.
const LATE: TimeDelta = TimeDelta::hours(10);
/// Whoever heard of the place so lately is not reminded yet.
const LATELY: TimeDelta = TimeDelta::hours(36);

/// What is known of a confirmed place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Standing {
    /// When the place took its last step, UTC.
    pub stepped_at: NaiveDateTime,
    /// When the family said last that the child comes, UTC.
    pub comes_at: Option<NaiveDateTime>,
}

impl ReminderRule {
    /// How many days ahead the first letter goes out.
    #[must_use]
    pub fn farthest(&self) -> i64 {
        [self.week_days, self.ask_days, self.ask_again_days, self.last_days].into_iter().max().unwrap_or(0).max(0)
    }

    /// From how many days before the start families have been asked whether they come.
    #[must_use]
    pub fn asks_from(&self) -> i64 {
        self.ask_days.max(self.ask_again_days).max(0)
    }

    /// Whether families have been asked by now whether they come, so many days before the session.
    #[must_use]
    pub fn has_asked(&self, days: i64) -> bool {
        (0..=self.asks_from()).contains(&days)
    }

    /// Whether the office calls a family that has not said whether it comes: after the last letter, or instead of letters.
    #[must_use]
    pub fn calls_for(&self, days: i64, has_letters: bool) -> bool {
        self.has_asked(days) && (days < self.ask_again_days || !has_letters)
    }

    /// Whether letters go out at a time of the day: from the program's hour on, never at night.
    #[must_use]
    pub fn is_hour(&self, wall: NaiveTime) -> bool {
        let hour = i64::from(wall.hour());
        (self.hour..self.hour + LATE.num_hours()).contains(&hour)
    }

    fn days(&self, kind: Reminder) -> i64 {
        match kind {
            Reminder::Week => self.week_days,
            Reminder::Ask => self.ask_days,
            Reminder::AskAgain => self.ask_again_days,
            Reminder::Day => self.last_days,
        }
    }

    /// The instant at which a letter goes out, UTC. `None`: it does not.
    #[must_use]
    pub fn moment(&self, kind: Reminder, start: Start) -> Option<NaiveDateTime> {
        let days = u64::try_from(self.days(kind)).ok().filter(|days| *days > 0)?;
        let hour = u32::try_from(self.hour).ok().and_then(|hour| NaiveTime::from_hms_opt(hour, 0, 0))?;
        let day = LocalTime::from_utc(start.at, start.zone).wall.date().checked_sub_days(Days::new(days))?;
        let zone = start.zone;
        Some(match (LocalTime { wall: day.and_time(hour), zone }).to_utc() {
            Ok(at) => at,
            Err(NoSuchTime::Skipped { next, .. }) => LocalTime { wall: next, zone }.to_utc().ok()?,
        })
    }

    /// Whether now is the time of a letter.
    #[must_use]
    pub fn is_time(&self, kind: Reminder, now: NaiveDateTime, start: Start) -> bool {
        self.moment(kind, start).is_some_and(|moment| (moment..moment + LATE).contains(&now)) && now < start.at
    }

    /// Whether a letter is due now for a place.
    #[must_use]
    pub fn is_due(&self, kind: Reminder, now: NaiveDateTime, start: Start, place: Standing) -> bool {
        let Some(moment) = self.moment(kind, start) else { return false };
        self.is_time(kind, now, start)
            && match kind {
                Reminder::Day => true,
                Reminder::Week | Reminder::Ask => place.stepped_at + LATELY <= moment,
                Reminder::AskAgain => place.stepped_at + LATELY <= moment && place.comes_at.is_none(),
            }
    }
}

#[cfg(test)]
mod tests {
    use super::super::words::Word;
    use super::*;
    use chrono_tz::America::{Denver, New_York};
    use chrono_tz::Tz;
    use proptest::prelude::*;

    fn at(text: &str, zone: Tz) -> NaiveDateTime {
        LocalTime { wall: text.parse().expect("a time"), zone }.to_utc().expect("a time that exists")
    }

    fn start(text: &str, zone: Tz) -> Start {
        Start { at: at(text, zone), zone }
    }

    fn wall(utc: NaiveDateTime, zone: Tz) -> String {
        LocalTime::from_utc(utc, zone).wall.format("%m-%d %H:%M").to_string()
    }

    /// The days that the product decided (7, 5, 2 and 1), worked out by hand. Clocks go back on 1 November 2026 and
    /// forward on 8 March (15 U.S.C. 260a): nine o'clock stays nine o'clock.
    #[test]
    fn r35_reminders_go_out_at_the_same_hour_of_the_sites_clock_in_every_season_and_zone() {
        let rule = ReminderRule::default();
        for (begins, zone, expected) in [
            ("2026-06-13T08:30:00", Denver, ["06-06 09:00", "06-08 09:00", "06-11 09:00", "06-12 09:00"]),
            ("2026-11-02T08:30:00", Denver, ["10-26 09:00", "10-28 09:00", "10-31 09:00", "11-01 09:00"]),
            ("2026-03-09T08:30:00", New_York, ["03-02 09:00", "03-04 09:00", "03-07 09:00", "03-08 09:00"]),
        ] {
            let told = Reminder::ALL.iter().map(|kind| rule.moment(*kind, start(begins, zone)).expect("a moment"));
            assert_eq!(told.map(|at| wall(at, zone)).collect::<Vec<_>>(), expected, "{begins}");
        }
        let hours = |begins| rule.moment(Reminder::Day, start(begins, Denver)).map(|at| start(begins, Denver).at - at);
        assert_eq!(hours("2026-11-01T08:30:00"), Some(TimeDelta::minutes(24 * 60 + 30)), "an hour comes twice");
        assert_eq!(hours("2026-06-13T08:30:00"), Some(TimeDelta::minutes(23 * 60 + 30)));
        let at_two = ReminderRule { hour: 2, last_days: 6, ..rule };
        let skipped = at_two.moment(Reminder::Day, start("2026-03-14T08:30:00", Denver)).expect("a moment");
        assert_eq!(wall(skipped, Denver), "03-08 03:00", "two o'clock is skipped that night");
    }

    #[test]
    fn family_7_who_heard_lately_or_said_so_is_not_asked_again() {
        let rule = ReminderRule::default();
        let saturday = start("2026-06-13T08:30:00", Denver);
        let old = Standing { stepped_at: at("2026-05-01T10:00:00", Denver), comes_at: None };
        let said = Standing { comes_at: Some(at("2026-06-08T10:00:00", Denver)), ..old };
        let late = Standing { stepped_at: at("2026-06-10T12:00:00", Denver), ..old };
        let due = |now: &str, place| -> Vec<&str> {
            let kinds = Reminder::ALL.iter().filter(|kind| rule.is_due(**kind, at(now, Denver), saturday, place));
            kinds.map(|kind| kind.as_str()).collect()
        };
        for (now, place, expected) in [
            ("2026-06-06T08:59:59", old, &[][..]),
            ("2026-06-06T09:00:00", old, &["week"]),
            ("2026-06-06T18:59:59", old, &["week"]),
            ("2026-06-06T19:00:00", old, &[]),
            ("2026-06-08T09:00:00", old, &["ask"]),
            ("2026-06-11T09:00:00", old, &["ask_again"]),
            ("2026-06-11T09:00:00", said, &[]),
            ("2026-06-11T09:00:00", late, &[]),
            ("2026-06-12T09:00:00", late, &["day"]),
            ("2026-06-12T09:00:00", said, &["day"]),
            ("2026-06-13T09:00:00", old, &[]),
        ] {
            assert_eq!(due(now, place), expected, "{now}");
        }
        let none = ReminderRule { week_days: 0, ask_days: 0, ask_again_days: 0, last_days: 0, ..rule };
        assert!(Reminder::ALL.iter().all(|kind| none.moment(*kind, saturday).is_none()));
        assert_eq!((none.farthest(), none.asks_from()), (0, 0));
    }

    #[test]
    fn family_7_the_office_calls_after_the_last_letter_and_whom_no_letter_reaches_from_the_first() {
        let rule = ReminderRule::default();
        for (days, asked, with_letters, without) in [
            (6, false, false, false),
            (5, true, false, true),
            (2, true, false, true),
            (1, true, true, true),
            (0, true, true, true),
            (-1, false, false, false),
        ] {
            let found = (rule.has_asked(days), rule.calls_for(days, true), rule.calls_for(days, false));
            assert_eq!(found, (asked, with_letters, without), "{days}");
        }
    }

    proptest! {
        /// Whatever the hour and the season: on its own day by the site's calendar, before the start, and so near its
        /// hour that nobody is written to at night.
        #[test]
        fn r35_a_reminder_is_due_on_its_own_day_only(day in 0i64..900, hour in 6i64..13, minute in 0i64..(9 * 24 * 60)) {
            let rule = ReminderRule { hour, ..ReminderRule::default() };
            let begins = at("2026-01-05T08:30:00", Denver) + TimeDelta::days(day);
            let start = Start { at: begins, zone: Denver };
            let now = begins - TimeDelta::minutes(minute);
            let place = Standing { stepped_at: begins - TimeDelta::days(90), comes_at: None };
            let due: Vec<Reminder> =
                Reminder::ALL.iter().copied().filter(|kind| rule.is_due(*kind, now, start, place)).collect();
            prop_assert!(due.len() < 2);
            for kind in due {
                let wall = LocalTime::from_utc(now, Denver).wall;
                let first = LocalTime::from_utc(begins, Denver).wall.date();
                prop_assert_eq!((first - wall.date()).num_days(), rule.days(kind));
                prop_assert!(wall.time() >= NaiveTime::from_hms_opt(u32::try_from(hour).unwrap(), 0, 0).unwrap());
            }
        }
    }
}
