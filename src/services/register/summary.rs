//! The answers of a draft read once more, for the page on which they are checked before signing.

use chrono::NaiveDate;

use super::answers::Step;
use super::desk::Desk;
use super::reading::{self, Contact};
use super::whose;
use crate::domain::health_note::HealthNote;
use crate::domain::measures::Measures;
use crate::domain::people::age_on;
use crate::domain::registration::Ridden;
use crate::domain::words::full_name;

/// What the guardian checks.
#[derive(Clone, Debug)]
pub struct Summary {
    /// The child's given name.
    pub rider_given: String,
    /// The child's name in one line.
    pub rider_name: String,
    /// The name on the certificate, where it is another; empty otherwise.
    pub paper_name: String,
    /// Birth date.
    pub birth_date: NaiveDate,
    /// Completed years on the session's first day.
    pub age_on_the_day: i64,
    /// The home county's name.
    pub county: String,
    /// How much the child has ridden.
    pub ridden: Ridden,
    /// The health answers.
    pub health: HealthNote,
    /// Body measures.
    pub measures: Measures,
    /// People to call, pick-up, not release.
    pub contacts: Vec<Contact>,
    /// The guardian's name, with which they sign.
    pub guardian_name: String,
    /// Telephone as dialled.
    pub guardian_phone: String,
    /// Address for letters.
    pub guardian_email: String,
}

/// The answers of a draft, or the first step whose answers can no longer be used.
pub fn summary(desk: &Desk) -> Result<Summary, Step> {
    let draft = &desk.draft;
    let rider = draft.rider.as_ref().ok_or(Step::Rider)?;
    let Ok(Ok((known, birth_date))) = whose(desk, rider) else { return Err(Step::Rider) };
    let (rider_given, rider_name, paper_name, code) = match known {
        Some(row) => {
            let name = full_name(&row.given_name, &row.family_name);
            (row.given_name, name, row.paper_name, row.county)
        }
        None => {
            let read = reading::rider(rider, &desk.counties, desk.today).map_err(|_| Step::Rider)?;
            (read.name.given().to_owned(), read.name.to_string(), read.paper_name, read.county)
        }
    };
    let adults = draft.adults.as_ref().ok_or(Step::Adults)?;
    let (guardian_name, guardian_phone, guardian_email) = match &desk.guardian {
        Some(known) => (known.name.clone(), known.phone.clone(), known.email.clone()),
        None => {
            let read = reading::guardian(adults).map_err(|_| Step::Adults)?;
            (read.name.to_string(), read.phone, read.email)
        }
    };
    let sizes = draft.sizes.as_ref().ok_or(Step::Sizes)?;
    let health = draft.health.as_ref().ok_or(Step::Health)?;
    Ok(Summary {
        age_on_the_day: age_on(birth_date, desk.session.held_on, desk.leap_rule),
        county: desk.county_name(&code).to_owned(),
        ridden: reading::ridden(rider).map_err(|_| Step::Rider)?,
        health: reading::health(health).map_err(|_| Step::Health)?,
        measures: reading::sizes(sizes, desk.today, None).map_err(|_| Step::Sizes)?.0,
        contacts: reading::contacts(adults, desk.day_adult).map_err(|_| Step::Adults)?,
        rider_given,
        rider_name,
        paper_name,
        birth_date,
        guardian_name,
        guardian_phone,
        guardian_email,
    })
}
