//! Body measures: exact lengths and masses, and the typing slips worth a second look.
//! Must not judge a child's body: a doubt is a question to the person who typed, never a finding.

mod doubts;
pub mod growth;
mod reading;
#[cfg(test)]
mod tests;

pub use doubts::{Doubt, DoubtAbout, Windows, doubts};
pub use reading::{MeasureFault, UnitSystem, read_distance, read_length, read_mass};

use chrono::NaiveDate;
use serde::{Deserialize, Serialize};
use std::ops::Sub;

/// Micrometres in one inch: 25.4 mm by definition.
pub const INCH_UM: i64 = 25_400;
/// Micrometres in one foot of twelve inches.
pub const FOOT_UM: i64 = 12 * INCH_UM;
/// Hundred-thousandths of a gram in one pound: 0.45359237 kg by definition.
pub const POUND_IN_HUNDRED_THOUSANDTHS_OF_GRAM: i64 = 45_359_237;

/// A length in whole micrometres. May be negative where it is a difference.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Length(i64);

impl Length {
    /// From micrometres.
    #[must_use]
    pub const fn from_um(um: i64) -> Self {
        Self(um)
    }

    /// From whole millimetres.
    #[must_use]
    pub const fn from_mm(mm: i64) -> Self {
        Self(mm * 1000)
    }

    /// From whole centimetres.
    #[must_use]
    pub const fn from_cm(cm: i64) -> Self {
        Self(cm * 10_000)
    }

    /// From tenths of an inch, exactly: 30 is 76.2 mm.
    #[must_use]
    pub const fn from_tenth_inches(tenths: i64) -> Self {
        Self(tenths * (INCH_UM / 10))
    }

    /// In micrometres, as stored.
    #[must_use]
    pub const fn um(self) -> i64 {
        self.0
    }

    /// For people: inches to the nearest eighth, such as `23 5/8 in`. Never used to compare.
    #[must_use]
    pub fn inches_text(self) -> String {
        let eighths = divide_rounded(self.0.abs() * 8, INCH_UM);
        format!("{}{} in", sign(self.0, eighths), mixed_eighths(eighths))
    }

    /// For people: feet and inches to the nearest eighth, such as `4 ft 10 1/2 in`.
    #[must_use]
    pub fn feet_inches_text(self) -> String {
        let eighths = divide_rounded(self.0.abs() * 8, INCH_UM);
        let (feet, rest) = (eighths / 96, eighths % 96);
        let sign = sign(self.0, eighths);
        if feet == 0 {
            format!("{sign}{} in", mixed_eighths(rest))
        } else {
            format!("{sign}{feet} ft {} in", mixed_eighths(rest))
        }
    }

    /// For people: centimetres to the nearest tenth, such as `60.0 cm`.
    #[must_use]
    pub fn cm_text(self) -> String {
        format!("{} cm", tenths(self.0, 1_000))
    }

    /// For people who need the exact side of a limit: millimetres to the nearest tenth, such as `76.2 mm`.
    #[must_use]
    pub fn mm_text(self) -> String {
        format!("{} mm", tenths(self.0, 100))
    }
}

impl Sub for Length {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

/// A mass in whole grams.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Mass(i64);

impl Mass {
    /// From grams.
    #[must_use]
    pub const fn from_g(g: i64) -> Self {
        Self(g)
    }

    /// From whole pounds, to the nearest gram.
    #[must_use]
    pub fn from_pounds(pounds: i64) -> Self {
        Self(divide_rounded(pounds * POUND_IN_HUNDRED_THOUSANDTHS_OF_GRAM, 100_000))
    }

    /// In grams, as stored.
    #[must_use]
    pub const fn g(self) -> i64 {
        self.0
    }

    /// For people: pounds to the nearest tenth, such as `70.0 lb`.
    #[must_use]
    pub fn pounds_text(self) -> String {
        let tenths = divide_rounded(self.0.abs() * 1_000_000, POUND_IN_HUNDRED_THOUSANDTHS_OF_GRAM);
        format!("{}{}.{} lb", sign(self.0, tenths), tenths / 10, tenths % 10)
    }

    /// For people: kilograms to the nearest tenth, such as `31.8 kg`.
    #[must_use]
    pub fn kg_text(self) -> String {
        format!("{} kg", tenths(self.0, 100))
    }

    /// This mass as thousandths of another, to the nearest one; nothing when the other is not positive.
    #[must_use]
    pub fn per_mille_of(self, other: Self) -> Option<i64> {
        (other.0 > 0).then(|| divide_rounded(self.0 * 1000, other.0))
    }
}

/// What was measured of a rider on a day. What was not measured is absent, never zero.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Measures {
    /// Standing height, shoes off.
    pub height: Option<Length>,
    /// Body mass in riding clothes.
    pub weight: Option<Mass>,
    /// Floor to crotch, in boots.
    pub inseam: Option<Length>,
    /// Back against a wall, to the middle of the closed fist.
    pub reach: Option<Length>,
    /// From where the grip rests in the hand to the first joint from the tip of the middle finger.
    pub hand: Option<Length>,
    /// Heel to toe, in boots.
    pub foot: Option<Length>,
    /// Around the head, about an inch above the brows.
    pub head: Option<Length>,
    /// The day of measuring.
    pub taken_on: NaiveDate,
}

impl Measures {
    /// Nothing measured yet on this day.
    #[must_use]
    pub const fn none_on(taken_on: NaiveDate) -> Self {
        Self { height: None, weight: None, inseam: None, reach: None, hand: None, foot: None, head: None, taken_on }
    }
}

/// Half goes away from zero; `by` is positive.
pub(crate) fn divide_rounded(value: i64, by: i64) -> i64 {
    let half = by / 2;
    if value >= 0 { (value + half) / by } else { (value - half) / by }
}

/// `value` in tenths of a unit that has `per_tenth` parts to the tenth.
fn tenths(value: i64, per_tenth: i64) -> String {
    let tenths = divide_rounded(value.abs(), per_tenth);
    format!("{}{}.{}", sign(value, tenths), tenths / 10, tenths % 10)
}

fn sign(value: i64, shown: i64) -> &'static str {
    if value < 0 && shown != 0 { "-" } else { "" }
}

fn mixed_eighths(eighths: i64) -> String {
    let (whole, part) = (eighths / 8, eighths % 8);
    let fraction = match part {
        0 => return whole.to_string(),
        2 => "1/4".to_owned(),
        4 => "1/2".to_owned(),
        6 => "3/4".to_owned(),
        odd => format!("{odd}/8"),
    };
    if whole == 0 { fraction } else { format!("{whole} {fraction}") }
}
