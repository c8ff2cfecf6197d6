//! How long papers about a child are kept: until a claim can no longer be made, and a margin. Local counsel decides; the
//! numbers are the program's own settings. Deletes nothing itself.

use chrono::{Datelike, Days, Months, NaiveDate, NaiveDateTime, NaiveTime, Timelike};
use serde::{Deserialize, Serialize};

use super::people::{LeapRule, reaches_age};

/// The numbers behind the dates. Common practice and state law differ; counsel enters the program's own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct RetentionRule {
    /// The age at which a child becomes an adult: 18 in most states.
    pub majority_age: u32,
    /// Years within which the grown child may still bring a claim.
    pub limitation_years: u32,
    /// Years kept beyond that.
    pub margin_years: u32,
    /// Days after somebody learned of an incident within which its report is due (29 CFR 1904: seven).
    pub report_days: u32,
    /// Years after the year of an incident for which its report is kept (29 CFR 1904: five).
    pub report_years: u32,
    /// Days after a session for which health answers are kept.
    pub health_days: u32,
    /// Days after a session for which a registration that came to no seat is kept.
    pub line_days: u32,
    /// Days after a session for which people to call and measures are kept.
    pub contact_days: u32,
    /// Days for which health answers are kept for the next registration.
    pub kept_health_days: u32,
}

impl Default for RetentionRule {
    fn default() -> Self {
        Self {
            majority_age: 18,
            limitation_years: 3,
            margin_years: 1,
            report_days: 7,
            report_years: 5,
            health_days: 30,
            line_days: 90,
            contact_days: 400,
            kept_health_days: 550,
        }
    }
}

impl RetentionRule {
    /// The last day for which a signed text about a rider is kept: from the day the rider comes of age, or from the
    /// session when that is later, for the limitation period and the margin.
    #[must_use]
    pub fn consent_until(&self, born: NaiveDate, session: NaiveDate) -> NaiveDate {
        let of_age = reaches_age(born, i64::from(self.majority_age), LeapRule::default());
        let years = i64::from(self.limitation_years) + i64::from(self.margin_years);
        reaches_age(of_age.max(session), years, LeapRule::default())
    }

    /// Health answers of sessions that ended before this day are removed.
    #[must_use]
    pub fn health_before(&self, today: NaiveDate) -> NaiveDate {
        days_before(today, self.health_days)
    }

    /// Registrations without a seat, of sessions that ended before this day, are removed.
    #[must_use]
    pub fn lines_before(&self, today: NaiveDate) -> NaiveDate {
        days_before(today, self.line_days)
    }

    /// Signed texts of sessions that began before this day may be old enough; none of later ones is.
    #[must_use]
    pub fn signed_before(&self, today: NaiveDate) -> NaiveDate {
        let months = self.limitation_years.saturating_add(self.margin_years).saturating_mul(12);
        today.checked_sub_months(Months::new(months)).unwrap_or(NaiveDate::MIN)
    }

    /// Signed texts about children born before this day may be old enough; none about a younger one is.
    #[must_use]
    pub fn signed_born_before(&self, today: NaiveDate) -> NaiveDate {
        let years = self.majority_age.saturating_add(self.limitation_years).saturating_add(self.margin_years);
        let day = today.checked_sub_months(Months::new(years.saturating_mul(12)));
        // A leap day has no birthday in common years: a day more takes in whichever counts.
        day.and_then(|day| day.checked_add_days(Days::new(1))).unwrap_or(NaiveDate::MIN)
    }

    /// People to call and measures, of sessions that ended before this day, are removed.
    #[must_use]
    pub fn contacts_before(&self, today: NaiveDate) -> NaiveDate {
        days_before(today, self.contact_days)
    }

    /// Health answers that a family has kept since before this instant are removed.
    #[must_use]
    pub fn kept_health_before(&self, now: NaiveDateTime) -> NaiveDateTime {
        now.checked_sub_days(Days::new(self.kept_health_days.into())).unwrap_or(NaiveDateTime::MIN)
    }

    /// The day on which the report of an incident is due.
    #[must_use]
    pub fn report_due(&self, learned: NaiveDate) -> NaiveDate {
        learned.checked_add_days(Days::new(u64::from(self.report_days))).unwrap_or(NaiveDate::MAX)
    }

    /// The last day for which the report of an incident is kept: the end of the last year counted, and never before the
    /// signed text of the rider who was in it.
    #[must_use]
    pub fn report_until(&self, happened: NaiveDate, born: Option<NaiveDate>) -> NaiveDate {
        let year = happened.year().saturating_add(i32::try_from(self.report_years).unwrap_or(i32::MAX));
        let report = NaiveDate::from_ymd_opt(year, 12, 31).unwrap_or(NaiveDate::MAX);
        born.map_or(report, |born| report.max(self.consent_until(born, happened)))
    }
}

/// Whether it is time to remove what is old: from 1 to 5 in the morning. Common practice, no source.
#[must_use]
pub fn is_night(wall: NaiveTime) -> bool {
    (1..5).contains(&wall.hour())
}

fn days_before(today: NaiveDate, days: u32) -> NaiveDate {
    today.checked_sub_days(Days::new(days.into())).unwrap_or(NaiveDate::MIN)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).expect("a day")
    }

    /// Common practice (majority, limitation period, margin); the shipped numbers are settings.
    #[test]
    fn saturday_6_row_91_a_consent_is_kept_until_the_grown_child_can_bring_no_claim() {
        let shipped = RetentionRule::default();
        assert_eq!(shipped.consent_until(day(2014, 5, 10), day(2026, 6, 1)), day(2036, 5, 10));
        let state = RetentionRule { majority_age: 21, limitation_years: 2, margin_years: 0, ..shipped };
        assert_eq!(state.consent_until(day(2014, 5, 10), day(2026, 6, 1)), day(2037, 5, 10));
        // Who is of age already counts from the session.
        assert_eq!(shipped.consent_until(day(2007, 5, 10), day(2026, 6, 1)), day(2030, 6, 1));
        // A leap day: of age on 1 March 2026 (the shipped convention), and four years on.
        assert_eq!(shipped.consent_until(day(2008, 2, 29), day(2020, 6, 1)), day(2030, 3, 1));
    }

    /// 29 CFR 1904: seven calendar days to report, five years to keep. An incident with a child is kept as long as the
    /// child's consent (common practice).
    #[test]
    fn saturday_6_rows_95_and_96_an_incident_is_reported_in_seven_days_and_kept_five_years() {
        let shipped = RetentionRule::default();
        assert_eq!(shipped.report_due(day(2026, 7, 4)), day(2026, 7, 11));
        assert_eq!(shipped.report_until(day(2026, 7, 4), None), day(2031, 12, 31));
        assert_eq!(shipped.report_until(day(2026, 1, 1), None), day(2031, 12, 31));
        assert_eq!(shipped.report_until(day(2026, 7, 4), Some(day(2014, 5, 10))), day(2036, 5, 10));
    }

    #[test]
    fn s56_no_signed_text_that_is_old_enough_lies_outside_the_days_that_are_looked_at() {
        let shipped = RetentionRule::default();
        let today = day(2030, 3, 1);
        for back in 0..3000 {
            let session = today - Days::new(back);
            // Of age long ago, so the session alone decides.
            let is_old = shipped.consent_until(day(1990, 5, 10), session) < today;
            assert!(!is_old || session < shipped.signed_before(today), "{session}");
        }
        assert_eq!(shipped.signed_before(today), day(2026, 3, 1));
        let mut old = 0;
        for today in [day(2030, 2, 28), day(2030, 3, 1), day(2030, 3, 2), day(2032, 2, 29), day(2032, 3, 1)] {
            for back in 21 * 365..23 * 366 {
                let born = today - Days::new(back);
                let is_old = shipped.consent_until(born, born) < today;
                assert!(!is_old || born < shipped.signed_born_before(today), "{born} on {today}");
                old += u32::from(is_old);
            }
        }
        assert!(old > 1_000, "only {old} are old enough");
    }

    #[test]
    fn saturday_6_a_setting_that_leaves_the_calendar_keeps_for_ever_and_does_not_fail() {
        let far = RetentionRule {
            limitation_years: u32::MAX,
            report_years: u32::MAX,
            report_days: u32::MAX,
            ..RetentionRule::default()
        };
        assert_eq!(far.consent_until(day(2014, 5, 10), day(2026, 6, 1)), NaiveDate::MAX);
        assert_eq!(far.report_until(day(2026, 7, 4), None), NaiveDate::MAX);
        assert_eq!(far.report_due(day(2026, 7, 4)), NaiveDate::MAX);
    }
}
