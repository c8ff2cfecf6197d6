//! What a report is asked for: a period of whole days, and one of the figures that it opens to its rows.
//! Counts nothing and knows no page.

use chrono::{Datelike, NaiveDate};

use super::words::word_list;

/// Whole days from the first to the last, both counted.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Period {
    /// First day.
    pub from: NaiveDate,
    /// Last day.
    pub to: NaiveDate,
}

/// Why two typed days make no period.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct PeriodFaults {
    /// The first text is no day.
    pub from: bool,
    /// The last text is no day.
    pub to: bool,
    /// The last day comes before the first.
    pub turned_round: bool,
}

impl Period {
    /// The calendar year of a day.
    #[must_use]
    pub fn year_of(day: NaiveDate) -> Self {
        let in_year = |month, last| NaiveDate::from_ymd_opt(day.year(), month, last).expect("every year has this day");
        Self { from: in_year(1, 1), to: in_year(12, 31) }
    }

    /// Reads two typed days.
    ///
    /// # Errors
    /// [`PeriodFaults`] names every text that cannot be used.
    pub fn read(from: &str, to: &str) -> Result<Self, PeriodFaults> {
        match (read_day(from), read_day(to)) {
            (Some(from), Some(to)) if from <= to => Ok(Self { from, to }),
            (Some(_), Some(_)) => Err(PeriodFaults { turned_round: true, ..PeriodFaults::default() }),
            (first, last) => Err(PeriodFaults { from: first.is_none(), to: last.is_none(), turned_round: false }),
        }
    }
}

/// A day as people type it: `2026-05-01`, `5/1/2026` or `May 1, 2026`, in years of four digits.
#[must_use]
pub fn read_day(typed: &str) -> Option<NaiveDate> {
    let text = typed.trim().replace(',', " ");
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    let day = ["%Y-%m-%d", "%m/%d/%Y", "%B %d %Y"].iter().find_map(|form| NaiveDate::parse_from_str(&text, form).ok());
    day.filter(|day| (1000..=9999).contains(&day.year()))
}

word_list! {
    /// A figure of a report, as addresses name it.
    Figure {
        /// Sessions held and closed.
        Sessions = "sessions",
        /// Participations.
        Participations = "participations",
        /// Participations by the county of the site.
        BySite = "by_site",
        /// Participations by the county of the home.
        ByHome = "by_home",
        /// Different riders.
        Riders = "riders",
        /// Completions.
        Completions = "completions",
        /// Helmets given.
        Helmets = "helmets",
        /// Riders who were not let start.
        TurnedAway = "turned_away",
        /// Riders who did not come.
        Absent = "absent",
        /// Counties in which somebody took part.
        CountiesBySite = "counties_by_site",
        /// Counties from which somebody came who took part.
        CountiesByHome = "counties_by_home",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).unwrap()
    }

    #[test]
    fn house_3_a_day_is_read_in_the_forms_that_people_type() {
        for typed in ["2026-05-01", " 2026-5-1 ", "5/1/2026", "05/01/2026", "May 1, 2026", "May 1 2026", "may  01 2026"]
        {
            assert_eq!(read_day(typed), Some(day(2026, 5, 1)), "{typed}");
        }
        for typed in ["", "2026", "2026-02-30", "13/1/2026", "1/5/26", "yesterday", "2026-05-01x", "99999-01-01"] {
            assert_eq!(read_day(typed), None, "{typed}");
        }
    }

    #[test]
    fn house_3_a_period_names_each_day_that_cannot_be_used() {
        assert_eq!(Period::read("2026-05-01", "2026-05-01").map(|p| p.to), Ok(day(2026, 5, 1)));
        let faults = |from, to, turned_round| Err(PeriodFaults { from, to, turned_round });
        assert_eq!(Period::read("x", "2026-05-01"), faults(true, false, false));
        assert_eq!(Period::read("x", "y"), faults(true, true, false));
        assert_eq!(Period::read("2026-05-02", "2026-05-01"), faults(false, false, true));
    }

    #[test]
    fn house_3_the_year_of_a_day_holds_its_first_and_last_day() {
        for of in [day(2028, 1, 1), day(2028, 2, 29), day(2028, 12, 31)] {
            assert_eq!(Period::year_of(of), Period { from: day(2028, 1, 1), to: day(2028, 12, 31) });
        }
    }
}
