//! Numbers of a fit check as people type and read them, in the criterion's unit. Must not compare or round a stored number.

use super::rules::{Limit, Unit};
use crate::domain::measures::{Length, MeasureFault, UnitSystem, read_length};

/// Reads what was typed for a criterion: inches or a length with its unit, degrees, percent. Minus signs are taken,
/// because a finger may end short of the lever. Nothing typed is no number.
///
/// # Errors
/// [`MeasureFault`] when it is not understood or out of range.
pub fn read_number(text: &str, unit: Unit) -> Result<Option<i64>, MeasureFault> {
    let text = text.trim();
    if text.is_empty() {
        return Ok(None);
    }
    let (sign, size) = match text.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1, rest.trim()),
        None => (1, text),
    };
    let number = match unit {
        Unit::Micrometre => length(size)?,
        Unit::TenthDegree | Unit::PerMille | Unit::TenthCc | Unit::TenthMph => {
            tenths(size.trim_end_matches(['°', '%']))?
        }
        Unit::Year => size.parse().map_err(|_| MeasureFault::NotUnderstood)?,
    };
    Ok(Some(sign * number))
}

fn length(text: &str) -> Result<i64, MeasureFault> {
    let is_zero = text.trim_start_matches(['0', '.', ',']).trim_start();
    if is_zero.chars().all(|c| c.is_alphabetic() || c == '"') && text.starts_with('0') {
        return Ok(0);
    }
    read_length(text, UnitSystem::Us).map(Length::um)
}

/// A number with at most one decimal, as tenths.
fn tenths(text: &str) -> Result<i64, MeasureFault> {
    let (whole, part) = text.trim().split_once(['.', ',']).unwrap_or((text.trim(), "0"));
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if whole.is_empty() || whole.len() > 4 || part.len() != 1 || !digits(whole) || !digits(part) {
        return Err(MeasureFault::NotUnderstood);
    }
    let number = |text: &str| text.parse::<i64>().map_err(|_| MeasureFault::NotUnderstood);
    Ok(number(whole)? * 10 + number(part)?)
}

/// A number for people: US units first, then the exact metric figure.
#[must_use]
pub fn number_text(number: i64, unit: Unit) -> String {
    match unit {
        Unit::Micrometre => {
            format!("{} ({})", Length::from_um(number).inches_text(), Length::from_um(number).mm_text())
        }
        Unit::TenthDegree => format!("{}°", in_tenths(number)),
        Unit::PerMille => format!("{} %", in_tenths(number)),
        Unit::Year => number.to_string(),
        Unit::TenthCc => format!("{} cc", in_tenths(number)),
        Unit::TenthMph => format!("{} mph", in_tenths(number)),
    }
}

fn in_tenths(number: i64) -> String {
    let sign = if number < 0 { "-" } else { "" };
    let (whole, part) = (number.abs() / 10, number.abs() % 10);
    if part == 0 { format!("{sign}{whole}") } else { format!("{sign}{whole}.{part}") }
}

impl Limit {
    /// The limit for people.
    #[must_use]
    pub fn text(self, unit: Unit) -> String {
        match self {
            Self::AtLeast(least) => format!("at least {}", number_text(least, unit)),
            Self::AtMost(most) => format!("at most {}", number_text(most, unit)),
            Self::Band(least, most) => format!("{} to {}", number_text(least, unit), number_text(most, unit)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An inch is 25.4 mm by definition.
    #[test]
    fn house_4_typed_numbers_are_read_exactly_in_their_unit() {
        for (typed, unit, expected) in [
            ("3", Unit::Micrometre, Some(76_200)),
            ("76 mm", Unit::Micrometre, Some(76_000)),
            ("76.2 mm", Unit::Micrometre, Some(76_200)),
            ("-1/4", Unit::Micrometre, Some(-6_350)),
            ("0", Unit::Micrometre, Some(0)),
            ("0.0 in", Unit::Micrometre, Some(0)),
            ("0.5", Unit::Micrometre, Some(12_700)),
            ("129°", Unit::TenthDegree, Some(1_290)),
            ("-23,5", Unit::TenthDegree, Some(-235)),
            ("", Unit::TenthDegree, None),
        ] {
            assert_eq!(read_number(typed, unit), Ok(expected), "{typed:?}");
        }
        for (typed, unit) in [("tall", Unit::Micrometre), ("1.25", Unit::TenthDegree), ("--3", Unit::Micrometre)] {
            assert!(read_number(typed, unit).is_err(), "{typed:?}");
        }
    }

    #[test]
    fn house_4_numbers_are_told_in_us_units_first() {
        assert_eq!(number_text(76_200, Unit::Micrometre), "3 in (76.2 mm)");
        assert_eq!(Limit::Band(900, 1350).text(Unit::TenthDegree), "90° to 135°");
        assert_eq!(number_text(-235, Unit::TenthDegree), "-23.5°");
    }
}
