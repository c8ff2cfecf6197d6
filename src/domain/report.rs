//! What a report is asked for: a period of whole days, perhaps one course or grant, one of the figures that it opens to
//! its rows, and the shades of its map.
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

/// What a report looks at: a period, and within it perhaps one course or one grant.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Scope {
    /// The days.
    pub period: Period,
    /// Only this course, by its code.
    pub course: Option<String>,
    /// Only riders whose helmet this grant paid for, by its code, and the sessions at which they got it.
    pub grant: Option<String>,
}

/// How many shades a map has beside the blank one.
pub const SHADES: usize = 3;

/// The least count of each shade of a map, the lightest first. Fewer than [`SHADES`] when the counts are low.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shades(pub Vec<i64>);

impl Shades {
    /// Round limits for counts up to `most`: the darkest shade begins at about half of it.
    #[must_use]
    pub fn up_to(most: i64) -> Self {
        let round = |limit: i64| {
            let steps = (0..12).flat_map(|power| [1, 2, 3, 5].map(|step| step * 10_i64.pow(power)));
            steps.take_while(|step| *step <= limit).last().unwrap_or(1)
        };
        let dark = round(most / 2).max(3);
        let middle = round(dark * 3 / 5).max(2);
        Self([1, middle, dark].into_iter().filter(|least| *least <= most).collect())
    }

    /// The shade of a count: 0 for none.
    #[must_use]
    pub fn of(&self, count: i64) -> usize {
        self.0.iter().filter(|least| **least <= count).count()
    }

    /// The counts of a shade from its least to its most; the darkest has no most.
    #[must_use]
    pub fn range(&self, shade: usize) -> Option<(i64, Option<i64>)> {
        let least = *self.0.get(shade.checked_sub(1)?)?;
        Some((least, self.0.get(shade).map(|next| next - 1)))
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

word_list! {
    /// By what the rows behind a figure are ordered; within it by day.
    RowOrder {
        /// By day alone.
        Day = "day",
        /// By the code of the site's county.
        Site = "site",
        /// By the code of the home's county.
        Home = "home",
        /// By how the day ended.
        Ended = "ended",
    }
}

word_list! {
    /// By what the county table is ordered: by name, or by one of its figures with the highest first.
    TableOrder {
        /// By the county's name.
        Name = "name",
        /// By sessions.
        Sessions = "sessions",
        /// By participations at sites there.
        BySite = "by_site",
        /// By participations of riders who live there.
        ByHome = "by_home",
        /// By completions.
        Completions = "completions",
        /// By helmets.
        Helmets = "helmets",
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
    fn saturday_5_the_shades_of_a_map_are_round_whole_and_hold_every_count() {
        for (most, limits) in [
            (0, vec![]),
            (1, vec![1]),
            (2, vec![1, 2]),
            (3, vec![1, 2, 3]),
            (9, vec![1, 2, 3]),
            (12, vec![1, 3, 5]),
            (40, vec![1, 10, 20]),
            (250, vec![1, 50, 100]),
        ] {
            assert_eq!(Shades::up_to(most), Shades(limits), "{most}");
        }
        for most in 0..3000 {
            let shades = Shades::up_to(most);
            assert!(shades.0.is_sorted_by(|a, b| a < b) && shades.0.len() <= SHADES, "{most}: {shades:?}");
            assert_eq!(shades.of(0), 0);
            for shade in 1..=shades.0.len() {
                let (least, last) = shades.range(shade).expect("a range");
                assert_eq!((shades.of(least), shades.of(last.unwrap_or(most))), (shade, shade), "{most}");
            }
        }
    }

    #[test]
    fn house_3_the_year_of_a_day_holds_its_first_and_last_day() {
        for of in [day(2028, 1, 1), day(2028, 2, 29), day(2028, 12, 31)] {
            assert_eq!(Period::year_of(of), Period { from: day(2028, 1, 1), to: day(2028, 12, 31) });
        }
    }
}
