//! English words about the work of staff: days away, and hours taught.

use crate::domain::absence::Absence;
use crate::domain::access::Duty;
use crate::domain::words::Lang;
use crate::language;

/// "June 10, 2026 to June 13, 2026", or the one day.
pub fn away(absence: &Absence) -> String {
    let (from, through) =
        (language::date_short(Lang::En, absence.from), language::date_short(Lang::En, absence.through));
    if absence.from == absence.through { from } else { format!("{from} to {through}") }
}

/// "4.5 hours".
pub fn hours(minutes: &i64) -> String {
    let tenths = (minutes * 10 + 30) / 60;
    match (tenths / 10, tenths % 10) {
        (1, 0) => "1 hour".to_owned(),
        (whole, 0) => format!("{whole} hours"),
        (whole, tenth) => format!("{whole}.{tenth} hours"),
    }
}

/// What somebody did at a session.
pub fn duty(duty: &Duty) -> &'static str {
    match duty {
        Duty::Lead => "led",
        Duty::Instructor => "taught",
        Duty::Helper => "helped",
        Duty::FirstAid => "first aid",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn day_5_minutes_read_as_hours_to_one_decimal() {
        for (minutes, words) in
            [(60, "1 hour"), (270, "4.5 hours"), (0, "0 hours"), (50, "0.8 hours"), (540, "9 hours")]
        {
            assert_eq!(hours(&minutes), words, "{minutes}");
        }
    }
}
