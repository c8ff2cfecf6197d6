//! Which helmet suits a head, and for how long one is used.
//! Must not size by letter: makers differ, so each helmet model brings its own range.

use chrono::{Datelike, NaiveDate};
use serde::{Deserialize, Serialize};

use crate::domain::certification::months_after;
use crate::domain::measures::{INCH_UM, Length};

/// The heads one size of one helmet model is made for, both ends included.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub struct HeadRange {
    /// Smallest circumference.
    pub least: Length,
    /// Largest circumference.
    pub most: Length,
}

/// How a head compares with the range of a helmet.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum SizeFinding {
    /// Inside the range of the model.
    InRange,
    /// The head is too large for it.
    TooSmall,
    /// The head is too small for it.
    TooLarge,
}

impl HeadRange {
    /// "51 to 52 cm".
    #[must_use]
    pub fn cm_text(&self) -> String {
        let plain = |length: Length| length.cm_text().replace(" cm", "").trim_end_matches(".0").to_owned();
        format!("{} to {} cm", plain(self.least), plain(self.most))
    }

    /// Compares exactly, in micrometres.
    #[must_use]
    pub fn finding(self, head: Length) -> SizeFinding {
        if head < self.least {
            SizeFinding::TooLarge
        } else if head > self.most {
            SizeFinding::TooSmall
        } else {
            SizeFinding::InRange
        }
    }
}

/// Hat size, for display only: head circumference in inches divided by pi.
#[must_use]
#[expect(clippy::cast_precision_loss, reason = "a circumference in micrometres is far below 2^52")]
pub fn hat_size(head: Length) -> f64 {
    head.um() as f64 / INCH_UM as f64 / std::f64::consts::PI
}

/// The last day of use of a helmet made in a month, `years` after it: the end of that month.
///
/// Common practice; there is no federal rule. The number of years is a setting, shipped as [`HELMET_YEARS`].
#[must_use]
pub fn usable_through(made_in: NaiveDate, years: u32) -> NaiveDate {
    let first = made_in.with_day(1).unwrap_or(made_in);
    months_after(first, years.saturating_mul(12).saturating_add(1)).pred_opt().unwrap_or(NaiveDate::MIN)
}

/// Years from manufacture after which a helmet is retired, as shipped (common practice).
pub const HELMET_YEARS: u32 = 5;

/// Why a helmet is not handed out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum HelmetFault {
    /// It took a blow or shows damage.
    Damaged,
    /// Its maker or an agency calls it back.
    Recalled,
    /// Its last day of use was this.
    PastItsLife(NaiveDate),
    /// Nobody knows when it was made.
    AgeUnknown,
}

/// What is known of a helmet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct HelmetFacts {
    /// The month in which it was made.
    pub made_in: Option<NaiveDate>,
    /// Whether it took a blow or shows damage.
    pub damaged: bool,
    /// Whether its maker or an agency calls it back.
    pub recalled: bool,
}

/// What keeps a helmet from being handed out on `day`; a missing month of manufacture is never a pass.
#[must_use]
pub fn helmet_fault(helmet: HelmetFacts, day: NaiveDate, years: u32) -> Option<HelmetFault> {
    if helmet.damaged {
        return Some(HelmetFault::Damaged);
    }
    if helmet.recalled {
        return Some(HelmetFault::Recalled);
    }
    let Some(made_in) = helmet.made_in else {
        return Some(HelmetFault::AgeUnknown);
    };
    let last = usable_through(made_in, years);
    (day > last).then_some(HelmetFault::PastItsLife(last))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).expect("a day of the calendar")
    }

    /// Design: the range printed on the model decides, ends included (shipped behaviour).
    #[test]
    fn house_4_a_head_at_the_end_of_the_range_fits() {
        let range = HeadRange { least: Length::from_cm(57), most: Length::from_cm(58) };
        for (mm, finding) in [
            (569, SizeFinding::TooLarge),
            (570, SizeFinding::InRange),
            (580, SizeFinding::InRange),
            (581, SizeFinding::TooSmall),
        ] {
            assert_eq!(range.finding(Length::from_mm(mm)), finding, "{mm} mm");
        }
    }

    /// Computed: inches over pi.
    #[test]
    fn house_4_hat_sizes_agree_with_the_formula() {
        for (cm, expected) in [(54, "6.77"), (57, "7.14"), (59, "7.39"), (60, "7.52")] {
            assert_eq!(format!("{:.2}", hat_size(Length::from_cm(cm))), expected, "{cm} cm");
        }
    }

    /// Common practice, a setting: five years from manufacture, to the end of the month.
    #[test]
    fn house_4_a_helmet_is_retired_after_its_month_ends() {
        let made = HelmetFacts { made_in: Some(day(2021, 3, 17)), damaged: false, recalled: false };
        assert_eq!(usable_through(day(2021, 3, 1), 5), day(2026, 3, 31));
        assert_eq!(helmet_fault(made, day(2026, 3, 31), HELMET_YEARS), None);
        let past = HelmetFault::PastItsLife(day(2026, 3, 31));
        assert_eq!(helmet_fault(made, day(2026, 4, 1), HELMET_YEARS), Some(past));
        assert_eq!(helmet_fault(made, day(2026, 4, 1), 7), None);
        let new = day(2022, 1, 1);
        let damaged = HelmetFacts { damaged: true, ..made };
        assert_eq!(helmet_fault(damaged, new, HELMET_YEARS), Some(HelmetFault::Damaged));
        let recalled = HelmetFacts { recalled: true, ..made };
        assert_eq!(helmet_fault(recalled, new, HELMET_YEARS), Some(HelmetFault::Recalled));
        let unknown = HelmetFacts { made_in: None, ..made };
        assert_eq!(helmet_fault(unknown, new, HELMET_YEARS), Some(HelmetFault::AgeUnknown));
        assert_eq!(usable_through(day(2019, 2, 1), 5), day(2024, 2, 29));
    }
}
