//! Whom to call about a child in one session, who takes it home, and who must not.

use crate::domain::access::Caller;
use crate::domain::registration::DayAdult;
use crate::services::places::Side;
use crate::services::register::answers::AdultsAnswers;
use crate::services::register::{adults_of_before, reading};
use crate::services::{App, Failure, program};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::registrations::{add_contact, contacts_of, remove_contacts};

use super::{Changed, place};

/// The people of a registration.
#[derive(Clone, Debug)]
pub struct PeopleNow {
    /// The child's given name.
    pub given: String,
    /// As the form asks for them.
    pub answers: AdultsAnswers,
    /// Whether the program wants an adult for the day.
    pub day_adult: DayAdult,
}

/// The people of a registration.
///
/// # Errors
/// `NotFound` for a registration that this side may not change; `WorldMoved` when there is no place any more.
pub fn find_people(app: &App, caller: &Caller, side: Side, reference: &str) -> Result<PeopleNow, Failure> {
    app.store.read(|conn| {
        let (row, rider) = place(conn, caller, side, reference)?;
        Ok(PeopleNow {
            answers: adults_of_before(&contacts_of(conn, row.id)?),
            day_adult: program::load(conn)?.settings.day_adult,
            given: rider.given_name,
        })
    })
}

/// Puts other people in their place.
///
/// # Errors
/// As [`find_people`].
pub fn set_people(
    app: &App,
    caller: &Caller,
    side: Side,
    reference: &str,
    answers: &AdultsAnswers,
) -> Result<Changed, Failure> {
    let now = find_people(app, caller, side, reference)?;
    let contacts = match reading::contacts(answers, now.day_adult) {
        Ok(contacts) => contacts,
        Err(faults) => return Ok(Changed::Faulty(faults)),
    };
    let (caller, reference, at) = (caller.clone(), reference.to_owned(), app.clock.now());
    app.store.write("change people", move |conn| -> Result<Changed, Failure> {
        let (row, _) = place(conn, &caller, side, &reference)?;
        remove_contacts(conn, row.id)?;
        for contact in &contacts {
            add_contact(conn, row.id, contact.kind, contact.ordinal, &contact.name, &contact.phone)?;
        }
        let subject = format!("registration {reference}");
        add_audit_row(conn, &AuditRow::by(&caller, at, "registration.people", subject, ""))?;
        Ok(Changed::Kept)
    })
}
