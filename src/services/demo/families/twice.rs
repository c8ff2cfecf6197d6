//! A child that another adult entered too, so that the office has something to look at.

use chrono::{Datelike, NaiveDate};

use super::Family;
use crate::domain::words::Lang;

/// The family of a child of the list as somebody else enters it: in capitals, the day and the month swapped where they
/// can be.
pub(super) fn entered_again(families: &[Family]) -> Option<Family> {
    let can_be_swapped = |born: &NaiveDate| born.day() <= 12 && born.day() != born.month();
    let mut children =
        families.iter().skip(1).flat_map(|family| family.children.iter().map(move |child| (family, child)));
    let (family, (given, born)) = children.find(|(_, (_, born))| can_be_swapped(born))?;
    let swapped = NaiveDate::from_ymd_opt(born.year(), born.day(), born.month())?;
    Some(Family {
        given: "Lowell".into(),
        name: family.name.to_uppercase(),
        children: vec![(given.to_uppercase(), swapped)],
        email: "lowell@example.org".into(),
        language: Lang::En,
        other: None,
        asks: None,
        keeps_health: false,
        county: family.county.clone(),
    })
}
