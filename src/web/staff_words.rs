//! Days and moments as staff pages say them, in English.

use chrono::{NaiveDate, NaiveDateTime};

use crate::domain::words::Lang;
use crate::language;

/// "June 13, 2026".
#[must_use]
pub fn day(on: &NaiveDate) -> String {
    language::date_short(Lang::En, *on)
}

/// "June 13, 2026 at 10:20 AM".
#[must_use]
pub fn instant(at: &NaiveDateTime) -> String {
    format!("{} at {}", day(&at.date()), language::time(Lang::En, at.time()))
}
