//! A child that another adult entered too, so that the office has something to look at.

use chrono::{Datelike, NaiveDate};

use super::Family;
use crate::domain::words::Lang;
use crate::services::{App, Failure};
use crate::store::AnyConn;
use crate::store::accounts::find_credentials;
use crate::store::deletions::ask_deletion;

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

/// The same family wants its data deleted.
pub(super) fn ask_for_deletion(conn: &mut AnyConn, app: &App, family: &Family) -> Result<(), Failure> {
    let account = find_credentials(conn, &family.email)?.ok_or(Failure::NotFound)?.id;
    Ok(ask_deletion(conn, account, &app.random.reference(), app.clock.now())?)
}
