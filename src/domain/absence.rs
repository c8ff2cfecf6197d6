//! Days on which somebody of the staff is away: said by the person, looked at when a session is planned and while it is announced.

use chrono::NaiveDate;

/// From one day through another, both of them away.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Absence {
    /// The first day away.
    pub from: NaiveDate,
    /// The last day away.
    pub through: NaiveDate,
}

/// The most days of one absence: longer ones are a change of the team.
pub const MOST_DAYS: i64 = 366;

impl Absence {
    /// Whether the person is away on a day.
    #[must_use]
    pub fn holds_on(&self, on: NaiveDate) -> bool {
        (self.from..=self.through).contains(&on)
    }

    /// Whether it is over.
    #[must_use]
    pub fn is_over(&self, today: NaiveDate) -> bool {
        self.through < today
    }
}

/// The absence of somebody on a day, if there is one.
#[must_use]
pub fn away_on(absences: &[Absence], on: NaiveDate) -> Option<Absence> {
    absences.iter().copied().find(|absence| absence.holds_on(on))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn day_5_an_absence_holds_on_both_its_ends_and_on_no_day_beside_them() {
        let day = |day| NaiveDate::from_ymd_opt(2026, 6, day).expect("a day");
        let away = [Absence { from: day(10), through: day(13) }, Absence { from: day(20), through: day(20) }];
        for (on, is_away) in [(9, false), (10, true), (13, true), (14, false), (19, false), (20, true), (21, false)] {
            assert_eq!(away_on(&away, day(on)).is_some(), is_away, "June {on}");
        }
        assert!(away[0].is_over(day(14)) && !away[0].is_over(day(13)));
        assert_eq!(away_on(&[], day(10)), None);
    }
}
