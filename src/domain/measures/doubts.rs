//! Typing slips: measures that deserve the question "is this right?".
//! Must not refuse anything. The growth charts narrow the same windows when the guardian chose a chart.

use super::growth::GrowthCheck;
use super::{Length, Mass, Measures};
use serde::{Deserialize, Serialize};

/// The flat windows, editable by the program. Common practice or memory of a source; they only ever ask.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Windows {
    /// Head circumference, least (common practice, no source found).
    pub head_least: Length,
    /// Head circumference, most (common practice, no source found).
    pub head_most: Length,
    /// Inseam in thousandths of height, least (from memory of body tables).
    pub inseam_least_per_mille: i64,
    /// Inseam in thousandths of height, most (from memory of body tables).
    pub inseam_most_per_mille: i64,
    /// Height, least (common practice).
    pub height_least: Length,
    /// Height, most (common practice).
    pub height_most: Length,
    /// Weight, least (common practice).
    pub weight_least: Mass,
    /// Weight, most (common practice).
    pub weight_most: Mass,
    /// Weight over height squared in tenths of kg/m2, least; only to tell pounds from kilograms (common practice).
    pub build_least_tenths: i64,
    /// The same, most.
    pub build_most_tenths: i64,
}

impl Default for Windows {
    fn default() -> Self {
        Self {
            head_least: Length::from_cm(46),
            head_most: Length::from_cm(64),
            inseam_least_per_mille: 380,
            inseam_most_per_mille: 540,
            height_least: Length::from_cm(90),
            height_most: Length::from_cm(210),
            weight_least: Mass::from_g(12_000),
            weight_most: Mass::from_g(130_000),
            build_least_tenths: 110,
            build_most_tenths: 320,
        }
    }
}

/// Which measure a doubt is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum DoubtAbout {
    /// Standing height.
    Height,
    /// Body mass.
    Weight,
    /// Floor to crotch.
    Inseam,
    /// Around the head.
    Head,
}

/// A question for the person who typed the measure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Doubt {
    /// Outside its window, and no other unit explains it.
    OutsideWindow(DoubtAbout),
    /// Would fit if the number meant inches and was taken as centimetres; holds the likely length.
    InchesTakenAsCentimetres(DoubtAbout, Length),
    /// Would fit if the number meant centimetres and was taken as inches; holds the likely length.
    CentimetresTakenAsInches(DoubtAbout, Length),
    /// Would fit if the number meant pounds and was taken as kilograms; holds the likely mass.
    PoundsTakenAsKilograms(Mass),
    /// Would fit if the number meant kilograms and was taken as pounds; holds the likely mass.
    KilogramsTakenAsPounds(Mass),
}

/// Everything about these measures that deserves a second look, in the order height, weight, inseam, head.
/// Without a growth check only the flat windows are asked.
#[must_use]
pub fn doubts(measures: &Measures, windows: &Windows, growth: Option<&GrowthCheck>) -> Vec<Doubt> {
    [
        height_doubt(measures, windows, growth),
        weight_doubt(measures, windows, growth),
        inseam_doubt(measures, windows),
        head_doubt(measures, windows),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn height_doubt(measures: &Measures, windows: &Windows, growth: Option<&GrowthCheck>) -> Option<Doubt> {
    length_doubt(DoubtAbout::Height, measures.height?, |length| {
        (windows.height_least..=windows.height_most).contains(&length)
            && growth.is_none_or(|check| check.takes_height(length))
    })
}

fn head_doubt(measures: &Measures, windows: &Windows) -> Option<Doubt> {
    length_doubt(DoubtAbout::Head, measures.head?, |length| (windows.head_least..=windows.head_most).contains(&length))
}

fn inseam_doubt(measures: &Measures, windows: &Windows) -> Option<Doubt> {
    let height = measures.height?;
    length_doubt(DoubtAbout::Inseam, measures.inseam?, |length| {
        let thousandfold = length.um() * 1000;
        thousandfold >= height.um() * windows.inseam_least_per_mille
            && thousandfold <= height.um() * windows.inseam_most_per_mille
    })
}

fn length_doubt(about: DoubtAbout, length: Length, is_usual: impl Fn(Length) -> bool) -> Option<Doubt> {
    if is_usual(length) {
        return None;
    }
    let as_inches = Length::from_um(super::divide_rounded(length.um() * 254, 100));
    let as_centimetres = Length::from_um(super::divide_rounded(length.um() * 100, 254));
    Some(if is_usual(as_inches) {
        Doubt::InchesTakenAsCentimetres(about, as_inches)
    } else if is_usual(as_centimetres) {
        Doubt::CentimetresTakenAsInches(about, as_centimetres)
    } else {
        Doubt::OutsideWindow(about)
    })
}

fn weight_doubt(measures: &Measures, windows: &Windows, growth: Option<&GrowthCheck>) -> Option<Doubt> {
    let weight = measures.weight?;
    let is_usual = |mass: Mass| {
        mass_is_usual(mass, measures.height, windows) && growth.is_none_or(|check| check.takes_weight(mass))
    };
    let pound = super::POUND_IN_HUNDRED_THOUSANDTHS_OF_GRAM;
    let as_pounds = Mass::from_g(super::divide_rounded(weight.g() * pound, 100_000_000));
    let as_kilograms = Mass::from_g(super::divide_rounded(weight.g() * 100_000_000, pound));
    // A number that is everyday in the other unit alone looks like a slip before it leaves the limits.
    let is_slip = |other: Mass| {
        growth.is_some_and(|check| !check.is_everyday(weight) && check.is_everyday(other)) && is_usual(other)
    };
    if is_usual(weight) && !is_slip(as_pounds) && !is_slip(as_kilograms) {
        return None;
    }
    Some(if is_usual(as_pounds) {
        Doubt::PoundsTakenAsKilograms(as_pounds)
    } else if is_usual(as_kilograms) {
        Doubt::KilogramsTakenAsPounds(as_kilograms)
    } else {
        Doubt::OutsideWindow(DoubtAbout::Weight)
    })
}

/// Inside the flat window and, where a usual height is known, of a build in the window.
fn mass_is_usual(mass: Mass, height: Option<Length>, windows: &Windows) -> bool {
    if !(windows.weight_least..=windows.weight_most).contains(&mass) {
        return false;
    }
    let Some(height) = height.filter(|length| (windows.height_least..=windows.height_most).contains(length)) else {
        return true;
    };
    let square = i128::from(height.um()).pow(2);
    let build_tenths = i128::from(mass.g()) * 10_000_000_000 / square;
    (i128::from(windows.build_least_tenths)..=i128::from(windows.build_most_tenths)).contains(&build_tenths)
}
