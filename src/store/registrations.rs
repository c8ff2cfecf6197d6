//! Registrations with what belongs to one: contacts, sealed health notes, measures.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::dialect::both;
use super::error::StoreError;
use super::families::RiderRow;
use super::schema::{consents, contacts, health_notes, measures, registrations, riders};
use crate::domain::ids::{GuardianId, RegistrationId, RiderId, SessionId};
use crate::domain::place::PlaceNow;
use crate::domain::registration::{Outcome, RegistrationState, Ridden};
use crate::domain::session::SessionState;
use crate::domain::words::Lang;

/// A registration.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = registrations)]
pub struct RegistrationRow {
    /// The row.
    pub id: RegistrationId,
    /// Public reference.
    pub reference: String,
    /// Which session.
    pub session_id: SessionId,
    /// Which rider.
    pub rider_id: RiderId,
    /// Who registered the rider.
    pub guardian_id: GuardianId,
    /// Where it stands.
    pub state: RegistrationState,
    /// Place in line, while waitlisted.
    pub place: Option<i64>,
    /// Until when it waits for an answer, UTC; none when nothing is asked.
    pub held_until: Option<NaiveDateTime>,
    /// How the day ended.
    pub outcome: Option<Outcome>,
    /// Language of the family.
    pub language: Lang,
    /// How much the child has ridden.
    pub ridden: Ridden,
    /// When it was made, in UTC.
    pub created_at: NaiveDateTime,
    /// When the family said last that the child comes, in UTC.
    pub comes_at: Option<NaiveDateTime>,
    /// Whether the child can come at short notice, while waitlisted.
    pub standby: bool,
    /// Whether brothers and sisters in line want seats together or none.
    pub together: bool,
}

impl RegistrationRow {
    /// How the place stands in a session that stands so.
    pub fn now(&self, session: SessionState) -> PlaceNow {
        PlaceNow {
            state: self.state,
            waits_for_address: self.held_until.is_some() && self.state != RegistrationState::Offered,
            has_outcome: self.outcome.is_some(),
            session,
        }
    }
}

/// A registration about to be made.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = registrations)]
pub struct NewRegistration {
    /// Public reference.
    pub reference: String,
    /// Which session.
    pub session_id: SessionId,
    /// Which rider.
    pub rider_id: RiderId,
    /// Who registers the rider.
    pub guardian_id: GuardianId,
    /// Where it stands.
    pub state: RegistrationState,
    /// Place in line, when waitlisted.
    pub place: Option<i64>,
    /// Until when it waits for an answer, UTC.
    pub held_until: Option<NaiveDateTime>,
    /// Language of the family.
    pub language: Lang,
    /// How much the child has ridden.
    pub ridden: Ridden,
    /// When, in UTC.
    pub created_at: NaiveDateTime,
}

/// Adds a registration. A second one of the same rider is `Duplicate(Key::RegistrationRider)`.
pub fn add_registration(conn: &mut AnyConn, new: &NewRegistration) -> Result<RegistrationId, StoreError> {
    Ok(diesel::insert_into(registrations::table).values(new).returning(registrations::id).get_result(conn)?)
}

/// Makes a registration that was over into one that is not: under the same reference, with new answers to come. What
/// was told for it before goes, but for what was signed. `false`: it is not over.
pub fn renew_registration(conn: &mut AnyConn, id: RegistrationId, new: &NewRegistration) -> Result<bool, StoreError> {
    let over = registrations::table
        .filter(registrations::id.eq(id))
        .filter(registrations::state.eq_any(vec![RegistrationState::Lapsed, RegistrationState::Cancelled]));
    let values = (
        registrations::guardian_id.eq(new.guardian_id),
        registrations::state.eq(new.state),
        registrations::place.eq(new.place),
        registrations::held_until.eq(new.held_until),
        registrations::language.eq(new.language),
        registrations::ridden.eq(new.ridden),
        registrations::comes_at.eq(None::<NaiveDateTime>),
        registrations::standby.eq(false),
        registrations::together.eq(false),
    );
    if diesel::update(over).set(values).execute(conn)? == 0 {
        return Ok(false);
    }
    remove_contacts(conn, id)?;
    diesel::delete(measures::table.filter(measures::registration_id.eq(id))).execute(conn)?;
    Ok(true)
}

/// Puts a registration, with what was signed and measured for it, into another family's hands.
pub fn set_family(
    conn: &mut AnyConn,
    id: RegistrationId,
    guardian: GuardianId,
    rider: RiderId,
) -> Result<(), StoreError> {
    diesel::update(registrations::table.filter(registrations::id.eq(id)))
        .set((registrations::guardian_id.eq(guardian), registrations::rider_id.eq(rider)))
        .execute(conn)?;
    diesel::update(consents::table.filter(consents::registration_id.eq(id)))
        .set(consents::guardian_id.eq(guardian))
        .execute(conn)?;
    diesel::update(measures::table.filter(measures::registration_id.eq(id)))
        .set(measures::rider_id.eq(rider))
        .execute(conn)?;
    Ok(())
}

/// The registrations that a guardian made and that wait for an answer.
pub fn waiting_for_an_answer(conn: &mut AnyConn, of: GuardianId) -> Result<Vec<RegistrationRow>, StoreError> {
    Ok(registrations::table
        .filter(registrations::guardian_id.eq(of))
        .filter(registrations::held_until.is_not_null())
        .order(registrations::id)
        .select(RegistrationRow::as_select())
        .load(conn)?)
}

/// The registration of a public reference, with its rider.
pub fn find_registration(
    conn: &mut AnyConn,
    reference: &str,
) -> Result<Option<(RegistrationRow, RiderRow)>, StoreError> {
    Ok(registrations::table
        .inner_join(riders::table)
        .filter(registrations::reference.eq(reference))
        .select((RegistrationRow::as_select(), RiderRow::as_select()))
        .first(conn)
        .optional()?)
}

/// The registration of a row, with its rider.
pub fn find_registration_by_id(
    conn: &mut AnyConn,
    id: RegistrationId,
) -> Result<(RegistrationRow, RiderRow), StoreError> {
    Ok(registrations::table
        .inner_join(riders::table)
        .filter(registrations::id.eq(id))
        .select((RegistrationRow::as_select(), RiderRow::as_select()))
        .first(conn)?)
}

/// A rider's registration for a session.
pub fn find_registration_of(
    conn: &mut AnyConn,
    session: SessionId,
    rider: RiderId,
) -> Result<Option<RegistrationRow>, StoreError> {
    Ok(registrations::table
        .filter(registrations::session_id.eq(session))
        .filter(registrations::rider_id.eq(rider))
        .select(RegistrationRow::as_select())
        .first(conn)
        .optional()?)
}

/// The registrations of a session with their riders, by name.
pub fn registrations_of(
    conn: &mut AnyConn,
    session: SessionId,
) -> Result<Vec<(RegistrationRow, RiderRow)>, StoreError> {
    Ok(registrations::table
        .inner_join(riders::table)
        .filter(registrations::session_id.eq(session))
        .order((riders::given_name, riders::family_name, registrations::id))
        .select((RegistrationRow::as_select(), RiderRow::as_select()))
        .load(conn)?)
}

/// Registrations of riders for whom somebody answers, newest first.
pub fn registrations_of_riders(conn: &mut AnyConn, of: &[RiderId]) -> Result<Vec<RegistrationRow>, StoreError> {
    Ok(registrations::table
        .filter(registrations::rider_id.eq_any(of))
        .order((registrations::created_at.desc(), registrations::id.desc()))
        .select(RegistrationRow::as_select())
        .load(conn)?)
}

/// Sets how a rider's day ended.
pub fn set_outcome(conn: &mut AnyConn, id: RegistrationId, outcome: Option<Outcome>) -> Result<(), StoreError> {
    diesel::update(registrations::table.filter(registrations::id.eq(id)))
        .set(registrations::outcome.eq(outcome))
        .execute(conn)?;
    Ok(())
}

/// A person to call, or who may or must not take the child.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = contacts)]
pub struct ContactRow {
    /// For which registration.
    pub registration_id: RegistrationId,
    /// `emergency`, `pick_up` or `not_release`.
    pub kind: String,
    /// In this order.
    pub ordinal: i64,
    /// Name.
    pub name: String,
    /// Telephone as dialled; may be empty for `not_release`.
    pub phone: String,
}

/// Adds a contact.
pub fn add_contact(
    conn: &mut AnyConn,
    registration: RegistrationId,
    kind: &str,
    ordinal: i64,
    name: &str,
    phone: &str,
) -> Result<(), StoreError> {
    diesel::insert_into(contacts::table)
        .values((
            contacts::registration_id.eq(registration),
            contacts::kind.eq(kind),
            contacts::ordinal.eq(ordinal),
            contacts::name.eq(name),
            contacts::phone.eq(phone),
        ))
        .execute(conn)?;
    Ok(())
}

/// Forgets the contacts of a registration.
pub fn remove_contacts(conn: &mut AnyConn, registration: RegistrationId) -> Result<(), StoreError> {
    diesel::delete(contacts::table.filter(contacts::registration_id.eq(registration))).execute(conn)?;
    Ok(())
}

/// The contacts of a registration by kind and order.
pub fn contacts_of(conn: &mut AnyConn, registration: RegistrationId) -> Result<Vec<ContactRow>, StoreError> {
    Ok(contacts::table
        .filter(contacts::registration_id.eq(registration))
        .order((contacts::kind, contacts::ordinal))
        .select(ContactRow::as_select())
        .load(conn)?)
}

/// A sealed text with the key of its row: `(row key, sealed body)`.
pub type SealedRow = (Vec<u8>, Vec<u8>);

/// A sealed health note.
pub fn find_health(conn: &mut AnyConn, id: RegistrationId) -> Result<Option<SealedRow>, StoreError> {
    Ok(health_notes::table
        .filter(health_notes::registration_id.eq(id))
        .select((health_notes::row_key, health_notes::body))
        .first(conn)
        .optional()?)
}

/// Keeps a sealed health note, in place of an older one.
pub fn set_health(
    conn: &mut AnyConn,
    id: RegistrationId,
    row_key: &[u8],
    body: &[u8],
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    let values = (
        health_notes::registration_id.eq(id),
        health_notes::row_key.eq(row_key),
        health_notes::body.eq(body),
        health_notes::changed_at.eq(now),
    );
    both!(conn, |c| diesel::insert_into(health_notes::table)
        .values(values)
        .on_conflict(health_notes::registration_id)
        .do_update()
        .set(values)
        .execute(c))?;
    Ok(())
}

/// Body measures; lengths in micrometres, mass in grams.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable, Insertable)]
#[diesel(table_name = measures)]
pub struct MeasuresRow {
    /// Whose.
    pub rider_id: RiderId,
    /// Taken for which registration.
    pub registration_id: Option<RegistrationId>,
    /// `guardian` or `staff`.
    pub measured_by: String,
    /// When.
    pub taken_on: NaiveDate,
    /// Standing height.
    pub height_um: Option<i64>,
    /// Weight.
    pub weight_g: Option<i64>,
    /// Crotch to floor.
    pub inseam_um: Option<i64>,
    /// Arm's reach.
    pub reach_um: Option<i64>,
    /// Hand length.
    pub hand_um: Option<i64>,
    /// Foot length.
    pub foot_um: Option<i64>,
    /// Head circumference.
    pub head_um: Option<i64>,
}

/// Keeps a set of measures.
pub fn add_measures(conn: &mut AnyConn, row: &MeasuresRow) -> Result<(), StoreError> {
    diesel::insert_into(measures::table).values(row).execute(conn)?;
    Ok(())
}

/// The newest measures of a rider.
pub fn find_newest_measures(conn: &mut AnyConn, rider: RiderId) -> Result<Option<MeasuresRow>, StoreError> {
    Ok(measures::table
        .filter(measures::rider_id.eq(rider))
        .order((measures::taken_on.desc(), measures::id.desc()))
        .select(MeasuresRow::as_select())
        .first(conn)
        .optional()?)
}
