//! The office hears at once that a report was opened. The letter names nobody and nothing that happened.

use chrono::{NaiveDate, NaiveDateTime};

use crate::domain::access::Role;
use crate::domain::certification::InstructorState;
use crate::domain::ids::{AccountId, IncidentId};
use crate::services::people::members;
use crate::services::{App, Failure};
use crate::store::AnyConn;
use crate::store::accounts::find_addressee;
use crate::store::incidents::find_incident_by_id;
use crate::store::outbox::{NewLetter, add_letter};
use crate::store::sessions::find_session_by_id;

/// The kind of letter.
pub const LETTER: &str = "incident_opened";

/// Owes everybody of the office a letter. `message_id` is made different for each.
pub(in crate::services) fn tell_office(
    conn: &mut AnyConn,
    id: IncidentId,
    message_id: &str,
    at: NaiveDateTime,
) -> Result<(), Failure> {
    let office = |roles: &[Role]| roles.iter().any(|role| matches!(role, Role::Coordinator | Role::Administrator));
    for (nth, member) in members(conn)?.into_iter().enumerate() {
        if !office(&member.roles) || member.state == InstructorState::Suspended {
            continue;
        }
        let Some(addressee) = find_addressee(conn, member.account)? else { continue };
        let (message_id, account_id, language) = (format!("{nth}.{message_id}"), member.account, addressee.language);
        let subject_id = id.raw();
        add_letter(conn, &NewLetter { message_id, kind: LETTER, subject_id, account_id, language, at })?;
    }
    Ok(())
}

/// What the letter tells.
#[derive(Clone, Debug)]
pub struct ForLetter {
    /// The reader's name.
    pub to_name: String,
    /// The reader's address.
    pub to_address: String,
    /// The number of the report.
    pub case: i64,
    /// Its reference.
    pub reference: String,
    /// The site.
    pub site: String,
    /// The day.
    pub on: NaiveDate,
    /// Whether an ambulance came.
    pub ambulance: bool,
}

/// A letter by the report's row; `None` when the report is gone or closed, or the reader is.
///
/// # Errors
/// When the database does not answer.
pub fn for_letter(app: &App, id: i64, account: AccountId) -> Result<Option<ForLetter>, Failure> {
    app.store.read(|conn| {
        let Some(row) = find_incident_by_id(conn, IncidentId::new(id))? else { return Ok(None) };
        let Some(reader) = find_addressee(conn, account)? else { return Ok(None) };
        if row.closed_at.is_some() || reader.disabled_at.is_some() {
            return Ok(None);
        }
        let session = find_session_by_id(conn, row.session_id)?;
        Ok(Some(ForLetter {
            to_name: crate::domain::words::full_name(&reader.given_name, &reader.family_name),
            to_address: reader.email,
            case: row.case_number,
            reference: row.reference,
            site: session.site.name,
            on: row.happened_on,
            ambulance: row.ambulance,
        }))
    })
}
