//! Reading what people type for a length or a mass: `23 5/8`, `23,5`, `5 ft 2`, `4'10"`, `58 cm`, `70 lb`.
//! Must not guess between units: a bare number is in the unit that the form shows.

use super::{FOOT_UM, INCH_UM, Length, Mass, POUND_IN_HUNDRED_THOUSANDTHS_OF_GRAM};
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// The units that a form shows; a bare number is in these.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum UnitSystem {
    /// Inches and pounds. The shipped default.
    #[default]
    Us,
    /// Centimetres and kilograms.
    Metric,
}

/// Why a typed measure was not understood.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Error)]
pub enum MeasureFault {
    /// Nothing was typed.
    #[error("nothing was typed")]
    Empty,
    /// Not a number with a known unit.
    #[error("not a number with a known unit")]
    NotUnderstood,
    /// Twelve inches or more beside feet.
    #[error("twelve inches or more beside feet")]
    InchesBesideFeet,
    /// Zero, or more than anything measured here can be.
    #[error("out of range")]
    OutOfRange,
}

/// No length here reaches ten metres, no mass a metric ton.
const MOST_UM: i64 = 10_000_000;
const MOST_G: i64 = 1_000_000;

/// Reads a length; a bare number is inches or centimetres by `units`. Exact to the micrometre.
///
/// # Errors
/// [`MeasureFault`] when it is empty, not understood, or out of range.
pub fn read_length(text: &str, units: UnitSystem) -> Result<Length, MeasureFault> {
    let bare = if units == UnitSystem::Us { INCH_UM } else { 10_000 };
    let um = micrometres(text, Some(bare))?;
    if (1..MOST_UM).contains(&um) { Ok(Length::from_um(um)) } else { Err(MeasureFault::OutOfRange) }
}

/// Reads a distance on the ground, in micrometres, with its unit: a bare number could be feet or metres. Exact.
///
/// # Errors
/// [`MeasureFault`] when it is empty or not understood. The caller holds it to its bounds.
pub fn read_distance(text: &str) -> Result<i64, MeasureFault> {
    micrometres(text, None)
}

/// The length of a text; a number without a unit counts `bare` micrometres, or is not understood.
fn micrometres(text: &str, bare: Option<i64>) -> Result<i64, MeasureFault> {
    let parts = parts(text)?;
    match parts.as_slice() {
        [(number, unit)] => {
            let each = if unit.is_empty() { bare } else { length_unit(unit) };
            Ok(number.times(each.ok_or(MeasureFault::NotUnderstood)?, 1))
        }
        [(feet, foot), (inches, inch)] if length_unit(foot) == Some(FOOT_UM) => {
            if !inch.is_empty() && length_unit(inch) != Some(INCH_UM) {
                return Err(MeasureFault::NotUnderstood);
            }
            let inches = inches.times(INCH_UM, 1);
            if inches >= FOOT_UM {
                return Err(MeasureFault::InchesBesideFeet);
            }
            Ok(feet.times(FOOT_UM, 1) + inches)
        }
        _ => Err(MeasureFault::NotUnderstood),
    }
}

/// Reads a mass; a bare number is pounds or kilograms by `units`. To the nearest gram.
///
/// # Errors
/// [`MeasureFault`] when it is empty, not understood, or out of range.
pub fn read_mass(text: &str, units: UnitSystem) -> Result<Mass, MeasureFault> {
    let parts = parts(text)?;
    let [(number, unit)] = parts.as_slice() else {
        return Err(MeasureFault::NotUnderstood);
    };
    let in_pounds = match unit.as_str() {
        "" => units == UnitSystem::Us,
        "lb" | "lbs" | "pound" | "pounds" | "libra" | "libras" => true,
        "kg" | "kgs" | "kilo" | "kilos" | "kilogram" | "kilograms" | "kilogramo" | "kilogramos" => false,
        _ => return Err(MeasureFault::NotUnderstood),
    };
    let g = if in_pounds { number.times(POUND_IN_HUNDRED_THOUSANDTHS_OF_GRAM, 100_000) } else { number.times(1000, 1) };
    if (1..MOST_G).contains(&g) { Ok(Mass::from_g(g)) } else { Err(MeasureFault::OutOfRange) }
}

/// Micrometres in one of a named unit.
fn length_unit(word: &str) -> Option<i64> {
    Some(match word {
        "in" | "inch" | "inches" | "\"" | "''" | "pulg" | "pulgada" | "pulgadas" => INCH_UM,
        "ft" | "foot" | "feet" | "'" | "pie" | "pies" => FOOT_UM,
        "mm" | "millimeter" | "millimeters" | "milímetro" | "milímetros" => 1_000,
        "cm" | "centimeter" | "centimeters" | "centímetro" | "centímetros" => 10_000,
        "m" | "meter" | "meters" | "metro" | "metros" => 1_000_000,
        _ => return None,
    })
}

/// A typed number as an exact fraction.
#[derive(Debug, Clone, Copy)]
struct Fraction {
    top: i64,
    bottom: i64,
}

impl Fraction {
    /// The fraction times `each / per`, half rounded up.
    fn times(self, each: i64, per: i64) -> i64 {
        let (top, bottom) = (i128::from(self.top) * i128::from(each), i128::from(self.bottom) * i128::from(per));
        i64::try_from((top * 2 + bottom) / (bottom * 2)).unwrap_or(i64::MAX / 4)
    }
}

/// Splits `5 ft 2 1/2 in` into numbers with the unit word that follows each.
fn parts(text: &str) -> Result<Vec<(Fraction, String)>, MeasureFault> {
    let plain = plain(text);
    let mut rest = plain.trim();
    if rest.is_empty() {
        return Err(MeasureFault::Empty);
    }
    let mut found = Vec::new();
    while !rest.is_empty() {
        let number_end = rest.find(|c: char| !is_of_number(c)).unwrap_or(rest.len());
        let number = fraction(rest[..number_end].trim()).ok_or(MeasureFault::NotUnderstood)?;
        rest = &rest[number_end..];
        let unit_end = rest.find(is_of_number).unwrap_or(rest.len());
        found.push((number, rest[..unit_end].to_owned()));
        rest = rest[unit_end..].trim_start_matches([' ', '.', ',']);
    }
    Ok(found)
}

fn is_of_number(c: char) -> bool {
    c.is_ascii_digit() || matches!(c, '.' | ',' | '/' | ' ')
}

/// Lower case, straight quotes, and written-out fraction signs.
fn plain(text: &str) -> String {
    let mut plain = String::with_capacity(text.len() + 4);
    for c in text.chars().flat_map(char::to_lowercase) {
        match c {
            '’' | '′' | '‘' => plain.push('\''),
            '”' | '″' | '“' => plain.push('"'),
            '½' => plain.push_str(" 1/2"),
            '¼' => plain.push_str(" 1/4"),
            '¾' => plain.push_str(" 3/4"),
            '⅛' => plain.push_str(" 1/8"),
            '⅜' => plain.push_str(" 3/8"),
            '⅝' => plain.push_str(" 5/8"),
            '⅞' => plain.push_str(" 7/8"),
            c if c.is_whitespace() => plain.push(' '),
            c => plain.push(c),
        }
    }
    plain
}

/// `23`, `23.5`, `23,5`, `5/8` or `23 5/8`.
fn fraction(text: &str) -> Option<Fraction> {
    let words: Vec<&str> = text.split(' ').filter(|word| !word.is_empty()).collect();
    match words.as_slice() {
        [one] if one.contains('/') => proper(one),
        [one] => decimal(one),
        [whole, part] => {
            let (whole, part) = (digits(whole)?, proper(part)?);
            Some(Fraction { top: whole * part.bottom + part.top, bottom: part.bottom })
        }
        _ => None,
    }
}

fn proper(text: &str) -> Option<Fraction> {
    let (top, bottom) = text.split_once('/')?;
    let (top, bottom) = (digits(top)?, digits(bottom)?);
    (top < bottom).then_some(Fraction { top, bottom })
}

fn decimal(text: &str) -> Option<Fraction> {
    let text = text.strip_suffix('.').unwrap_or(text);
    let Some((whole, part)) = text.split_once(['.', ',']) else {
        return Some(Fraction { top: digits(text)?, bottom: 1 });
    };
    let bottom = 10_i64.pow(u32::try_from(part.len()).ok()?.min(6));
    let whole = if whole.is_empty() { 0 } else { digits(whole)? };
    Some(Fraction { top: whole * bottom + digits(part)?, bottom })
}

/// One to six ASCII digits.
fn digits(text: &str) -> Option<i64> {
    let right = (1..=6).contains(&text.len()) && text.bytes().all(|byte| byte.is_ascii_digit());
    right.then(|| text.parse().ok()).flatten()
}
