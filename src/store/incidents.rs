//! Reports of what hurt a person or broke a machine, sealed above; addenda and photos, which are only added.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{incident_addenda, incident_photos, incidents, programs, registrations, riders};
use crate::domain::ids::{AccountId, DefectId, FileId, IncidentId, RegistrationId, SessionId};
use crate::domain::incident::{IncidentKind, Standing};

/// A report as it lies in the table.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = incidents)]
pub struct IncidentRow {
    /// The row.
    pub id: IncidentId,
    /// Public reference.
    pub reference: String,
    /// Its number among all reports, from 1.
    pub case_number: i64,
    /// At which session.
    pub session_id: SessionId,
    /// To which rider; none when it was somebody else, or nobody.
    pub registration_id: Option<RegistrationId>,
    /// The fault that keeps the machine standing.
    pub defect_id: Option<DefectId>,
    /// Of what kind.
    pub kind: IncidentKind,
    /// Whether an ambulance came.
    pub ambulance: bool,
    /// The key that is bound into the seal.
    pub row_key: Vec<u8>,
    /// The sealed report.
    pub body: Vec<u8>,
    /// The day of it, at the site.
    pub happened_on: NaiveDate,
    /// When the program learned of it, in UTC.
    pub learned_at: NaiveDateTime,
    /// Who opened it.
    pub opened_by: AccountId,
    /// When the first person signed, in UTC.
    pub signed_at: Option<NaiveDateTime>,
    /// Who signed first.
    pub signed_by: Option<AccountId>,
    /// When it was closed, in UTC.
    pub closed_at: Option<NaiveDateTime>,
    /// Who closed it.
    pub closed_by: Option<AccountId>,
    /// When the insurer was told, in UTC.
    pub insurer_told_at: Option<NaiveDateTime>,
    /// Who told the insurer.
    pub insurer_told_by: Option<AccountId>,
}

impl IncidentRow {
    /// Where it stands.
    pub fn standing(&self) -> Standing {
        match (self.closed_at, self.signed_by) {
            (Some(_), _) => Standing::Closed,
            (None, Some(by)) => Standing::Signed { by },
            (None, None) => Standing::Open,
        }
    }
}

/// A report about to be kept.
#[derive(Clone, Debug, Insertable)]
#[diesel(table_name = incidents)]
pub struct NewIncident {
    /// Public reference.
    pub reference: String,
    /// Its number.
    pub case_number: i64,
    /// At which session.
    pub session_id: SessionId,
    /// To which rider.
    pub registration_id: Option<RegistrationId>,
    /// The fault that keeps the machine standing.
    pub defect_id: Option<DefectId>,
    /// Of what kind.
    pub kind: IncidentKind,
    /// Whether an ambulance came.
    pub ambulance: bool,
    /// The key that is bound into the seal.
    pub row_key: Vec<u8>,
    /// The sealed report.
    pub body: Vec<u8>,
    /// The day of it, at the site.
    pub happened_on: NaiveDate,
    /// When the program learned of it, in UTC.
    pub learned_at: NaiveDateTime,
    /// Who opened it.
    pub opened_by: AccountId,
}

/// The next number of a report. Whoever draws one waits for the other who does.
pub fn next_case(conn: &mut AnyConn) -> Result<i64, StoreError> {
    Ok(diesel::update(programs::table)
        .set(programs::last_case.eq(programs::last_case + 1))
        .returning(programs::last_case)
        .get_result(conn)?)
}

/// Keeps a report.
pub fn add_incident(conn: &mut AnyConn, new: &NewIncident) -> Result<IncidentId, StoreError> {
    Ok(diesel::insert_into(incidents::table).values(new).returning(incidents::id).get_result(conn)?)
}

/// One report.
pub fn find_incident(conn: &mut AnyConn, reference: &str) -> Result<Option<IncidentRow>, StoreError> {
    let found = incidents::table.filter(incidents::reference.eq(reference));
    Ok(found.select(IncidentRow::as_select()).first(conn).optional()?)
}

/// One report by its row.
pub fn find_incident_by_id(conn: &mut AnyConn, id: IncidentId) -> Result<Option<IncidentRow>, StoreError> {
    let found = incidents::table.filter(incidents::id.eq(id));
    Ok(found.select(IncidentRow::as_select()).first(conn).optional()?)
}

/// Holds a report: whoever writes it waits for the other who does, and reads what stands then.
pub fn hold_incident(conn: &mut AnyConn, reference: &str) -> Result<Option<IncidentRow>, StoreError> {
    let own = incidents::table.filter(incidents::reference.eq(reference));
    diesel::update(own).set(incidents::case_number.eq(incidents::case_number)).execute(conn)?;
    find_incident(conn, reference)
}

/// Every report, the newest first.
pub fn list_incidents(conn: &mut AnyConn) -> Result<Vec<IncidentRow>, StoreError> {
    Ok(incidents::table.order(incidents::case_number.desc()).select(IncidentRow::as_select()).load(conn)?)
}

/// The reports of a session, the newest first.
pub fn incidents_of(conn: &mut AnyConn, session: SessionId) -> Result<Vec<IncidentRow>, StoreError> {
    Ok(incidents::table
        .filter(incidents::session_id.eq(session))
        .order(incidents::case_number.desc())
        .select(IncidentRow::as_select())
        .load(conn)?)
}

/// Reports that are not closed, or of which the insurer has not been told, the oldest first.
pub fn open_incidents(conn: &mut AnyConn) -> Result<Vec<IncidentRow>, StoreError> {
    Ok(incidents::table
        .filter(incidents::closed_at.is_null().or(incidents::insurer_told_at.is_null()))
        .order(incidents::case_number)
        .select(IncidentRow::as_select())
        .load(conn)?)
}

/// The number of the open report that keeps a fault as it is.
pub fn case_that_keeps(conn: &mut AnyConn, defect: DefectId) -> Result<Option<i64>, StoreError> {
    Ok(incidents::table
        .filter(incidents::defect_id.eq(defect))
        .filter(incidents::closed_at.is_null())
        .select(incidents::case_number)
        .first(conn)
        .optional()?)
}

/// Writes what a report says now. What was signed before is not signed any more.
pub fn set_report(conn: &mut AnyConn, id: IncidentId, body: &[u8], ambulance: bool) -> Result<(), StoreError> {
    diesel::update(incidents::table.filter(incidents::id.eq(id)).filter(incidents::closed_at.is_null()))
        .set((
            incidents::body.eq(body),
            incidents::ambulance.eq(ambulance),
            incidents::signed_at.eq(None::<NaiveDateTime>),
            incidents::signed_by.eq(None::<AccountId>),
        ))
        .execute(conn)?;
    Ok(())
}

/// Notes the first signature.
pub fn sign_incident(conn: &mut AnyConn, id: IncidentId, by: AccountId, at: NaiveDateTime) -> Result<(), StoreError> {
    diesel::update(incidents::table.filter(incidents::id.eq(id)).filter(incidents::closed_at.is_null()))
        .set((incidents::signed_at.eq(at), incidents::signed_by.eq(by)))
        .execute(conn)?;
    Ok(())
}

/// Notes the second signature, which closes the report.
pub fn close_incident(conn: &mut AnyConn, id: IncidentId, by: AccountId, at: NaiveDateTime) -> Result<(), StoreError> {
    diesel::update(incidents::table.filter(incidents::id.eq(id)).filter(incidents::closed_at.is_null()))
        .set((incidents::closed_at.eq(at), incidents::closed_by.eq(by)))
        .execute(conn)?;
    Ok(())
}

/// Notes that the insurer was told. `false`: somebody had told the insurer.
pub fn set_insurer_told(
    conn: &mut AnyConn,
    id: IncidentId,
    by: AccountId,
    at: NaiveDateTime,
) -> Result<bool, StoreError> {
    let own = incidents::table.filter(incidents::id.eq(id)).filter(incidents::insurer_told_at.is_null());
    let told = (incidents::insurer_told_at.eq(at), incidents::insurer_told_by.eq(by));
    Ok(diesel::update(own).set(told).execute(conn)? == 1)
}

/// Something added to a report, sealed.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = incident_addenda)]
pub struct AddendumRow {
    /// The key that is bound into the seal.
    pub row_key: Vec<u8>,
    /// The sealed words.
    pub body: Vec<u8>,
    /// When, in UTC.
    pub at: NaiveDateTime,
    /// By whom.
    pub account_id: AccountId,
}

/// Adds to a report.
pub fn add_addendum(conn: &mut AnyConn, id: IncidentId, row: &AddendumRow) -> Result<(), StoreError> {
    diesel::insert_into(incident_addenda::table)
        .values((
            incident_addenda::incident_id.eq(id),
            incident_addenda::row_key.eq(&row.row_key),
            incident_addenda::body.eq(&row.body),
            incident_addenda::at.eq(row.at),
            incident_addenda::account_id.eq(row.account_id),
        ))
        .execute(conn)?;
    Ok(())
}

/// What was added to a report, the oldest first.
pub fn addenda_of(conn: &mut AnyConn, id: IncidentId) -> Result<Vec<AddendumRow>, StoreError> {
    Ok(incident_addenda::table
        .filter(incident_addenda::incident_id.eq(id))
        .order(incident_addenda::id)
        .select(AddendumRow::as_select())
        .load(conn)?)
}

/// A photo of a report.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = incident_photos)]
pub struct PhotoRow {
    /// Its number in the report, from 1.
    pub ordinal: i64,
    /// Where it is kept.
    pub file_id: FileId,
    /// When it came, in UTC.
    pub at: NaiveDateTime,
    /// From whom.
    pub account_id: AccountId,
}

/// Adds a photo.
pub fn add_photo(conn: &mut AnyConn, id: IncidentId, row: &PhotoRow) -> Result<(), StoreError> {
    diesel::insert_into(incident_photos::table)
        .values((
            incident_photos::incident_id.eq(id),
            incident_photos::ordinal.eq(row.ordinal),
            incident_photos::file_id.eq(row.file_id),
            incident_photos::at.eq(row.at),
            incident_photos::account_id.eq(row.account_id),
        ))
        .execute(conn)?;
    Ok(())
}

/// The photos of a report in their order.
pub fn photos_of(conn: &mut AnyConn, id: IncidentId) -> Result<Vec<PhotoRow>, StoreError> {
    Ok(incident_photos::table
        .filter(incident_photos::incident_id.eq(id))
        .order(incident_photos::ordinal)
        .select(PhotoRow::as_select())
        .load(conn)?)
}

/// A report as keeping looks at it: the row, the session, the day, and the birth date of the rider.
pub type Kept = (IncidentId, SessionId, NaiveDate, Option<NaiveDate>);

/// Closed reports of things that happened before a day.
pub fn closed_before(conn: &mut AnyConn, day: NaiveDate) -> Result<Vec<Kept>, StoreError> {
    let closed = incidents::table.filter(incidents::closed_at.is_not_null()).filter(incidents::happened_on.lt(day));
    let rows: Vec<(IncidentId, SessionId, NaiveDate, Option<RegistrationId>)> = closed
        .order(incidents::id)
        .select((incidents::id, incidents::session_id, incidents::happened_on, incidents::registration_id))
        .load(conn)?;
    let mut found = Vec::new();
    for (id, session, on, registration) in rows {
        let born: Option<NaiveDate> = match registration {
            Some(registration) => registrations::table
                .inner_join(riders::table)
                .filter(registrations::id.eq(registration))
                .select(riders::birth_date)
                .first(conn)
                .optional()?,
            None => None,
        };
        found.push((id, session, on, born));
    }
    Ok(found)
}

/// Removes reports with all that belongs to them. Gives the files of their photos, which nothing leads to any more.
pub fn remove_incidents(conn: &mut AnyConn, ids: &[IncidentId]) -> Result<Vec<FileId>, StoreError> {
    let photos = || incident_photos::table.filter(incident_photos::incident_id.eq_any(ids));
    let files: Vec<FileId> = photos().select(incident_photos::file_id).load(conn)?;
    diesel::delete(photos()).execute(conn)?;
    diesel::delete(incident_addenda::table.filter(incident_addenda::incident_id.eq_any(ids))).execute(conn)?;
    diesel::delete(incidents::table.filter(incidents::id.eq_any(ids))).execute(conn)?;
    Ok(files)
}
