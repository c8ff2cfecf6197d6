//! Helmet lots, and the helmets that went to riders. Where the others are stands in `gear_stock`, who paid in `grants`.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{gear_issues, gear_lots, registrations, riders};
use crate::domain::gear::{CameBack, HeadRange, SizeFinding, Way};
use crate::domain::ids::{GrantId, LotId, RegistrationId, RiderId, SessionId, StoragePlaceId};
use crate::domain::measures::Length;

/// Helmets of one model and size, bought at once. Head range in micrometres, cost in cents.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = gear_lots)]
pub struct LotRow {
    /// The row.
    pub id: LotId,
    /// Public reference.
    pub reference: String,
    /// A short code, as written on the box.
    pub code: String,
    /// Which grant paid.
    pub grant_id: GrantId,
    /// Make and model.
    pub model: String,
    /// The maker's size word.
    pub size_label: String,
    /// Smallest head.
    pub least_head_um: i64,
    /// Largest head.
    pub most_head_um: i64,
    /// Standard on the label.
    pub standard: String,
    /// First day of the month it was made.
    pub made_month: NaiveDate,
    /// Cost of one.
    pub unit_cost_cents: i64,
    /// How many came.
    pub received: i64,
    /// On which day; none for lots of before days were noted.
    pub received_on: Option<NaiveDate>,
}

impl LotRow {
    /// The heads for which its helmets are made.
    #[must_use]
    pub fn heads(&self) -> HeadRange {
        HeadRange { least: Length::from_um(self.least_head_um), most: Length::from_um(self.most_head_um) }
    }

    /// Whether they are made for a head of this circumference in micrometres, ends included.
    #[must_use]
    pub fn holds(&self, head_um: i64) -> bool {
        self.heads().finding(Length::from_um(head_um)) == SizeFinding::InRange
    }
}

/// A lot about to be received.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = gear_lots)]
pub struct NewLot {
    /// Public reference.
    pub reference: String,
    /// A short code.
    pub code: String,
    /// Which grant paid.
    pub grant_id: GrantId,
    /// Make and model.
    pub model: String,
    /// The maker's size word.
    pub size_label: String,
    /// Smallest head.
    pub least_head_um: i64,
    /// Largest head.
    pub most_head_um: i64,
    /// Standard on the label.
    pub standard: String,
    /// First day of the month it was made.
    pub made_month: NaiveDate,
    /// Cost of one.
    pub unit_cost_cents: i64,
    /// How many came.
    pub received: i64,
    /// On which day; none for lots of before days were noted.
    pub received_on: Option<NaiveDate>,
}

/// Receives a lot.
pub fn add_lot(conn: &mut AnyConn, new: &NewLot) -> Result<LotId, StoreError> {
    Ok(diesel::insert_into(gear_lots::table).values(new).returning(gear_lots::id).get_result(conn)?)
}

/// All lots, smallest heads first.
pub fn list_lots(conn: &mut AnyConn) -> Result<Vec<LotRow>, StoreError> {
    Ok(gear_lots::table.order((gear_lots::least_head_um, gear_lots::code)).select(LotRow::as_select()).load(conn)?)
}

/// The lot of a code.
pub fn find_lot(conn: &mut AnyConn, code: &str) -> Result<Option<LotRow>, StoreError> {
    Ok(gear_lots::table.filter(gear_lots::code.eq(code)).select(LotRow::as_select()).first(conn).optional()?)
}

/// The lot of a public reference.
pub fn find_lot_by_reference(conn: &mut AnyConn, reference: &str) -> Result<Option<LotRow>, StoreError> {
    let own = gear_lots::table.filter(gear_lots::reference.eq(reference));
    Ok(own.select(LotRow::as_select()).first(conn).optional()?)
}

/// The same; nobody moves its helmets until this transaction ends.
pub fn hold_lot(conn: &mut AnyConn, id: LotId) -> Result<LotRow, StoreError> {
    let own = gear_lots::table.filter(gear_lots::id.eq(id));
    diesel::update(own).set(gear_lots::code.eq(gear_lots::code)).execute(conn)?;
    Ok(own.select(LotRow::as_select()).first(conn)?)
}

/// A helmet that is about to go to a rider, by an act.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = gear_issues)]
pub struct NewIssue {
    /// Of which lot.
    pub lot_id: LotId,
    /// To whom.
    pub registration_id: RegistrationId,
    /// By which act.
    pub act_id: Vec<u8>,
    /// Lent or given.
    pub way: Way,
    /// When, in UTC.
    pub issued_at: NaiveDateTime,
    /// From the shelf of which place; none from what is out with the session.
    pub place_id: Option<StoragePlaceId>,
}

/// Records that a helmet went to a rider. A second one of the same way is `Duplicate(Key::HelmetOnce)`.
pub fn add_issue(conn: &mut AnyConn, new: &NewIssue) -> Result<(), StoreError> {
    diesel::insert_into(gear_issues::table).values(new).execute(conn)?;
    Ok(())
}

/// Forgets an issue whose act was undone: the lot, and where the helmet goes back to. The acts keep the story.
pub fn remove_issue(conn: &mut AnyConn, act_id: &[u8]) -> Result<Option<(LotId, Option<StoragePlaceId>)>, StoreError> {
    let issue = gear_issues::table.filter(gear_issues::act_id.eq(act_id));
    let found = issue.select((gear_issues::lot_id, gear_issues::place_id)).first(conn).optional()?;
    diesel::delete(issue).execute(conn)?;
    Ok(found)
}

/// Notes how a lent helmet came back. None: it is back already, or was never lent; else where it was handed out.
pub fn end_issue(
    conn: &mut AnyConn,
    lot: LotId,
    registration: RegistrationId,
    how: CameBack,
    at: NaiveDateTime,
) -> Result<Option<Option<StoragePlaceId>>, StoreError> {
    let open = gear_issues::table
        .filter(gear_issues::lot_id.eq(lot))
        .filter(gear_issues::registration_id.eq(registration))
        .filter(gear_issues::way.eq(Way::Lent))
        .filter(gear_issues::returned_at.is_null());
    let Some((act, place)) = open
        .select((gear_issues::act_id, gear_issues::place_id))
        .first::<(Vec<u8>, Option<StoragePlaceId>)>(conn)
        .optional()?
    else {
        return Ok(None);
    };
    let own = gear_issues::table.filter(gear_issues::act_id.eq(act)).filter(gear_issues::returned_at.is_null());
    let now = (gear_issues::returned_at.eq(at), gear_issues::came_back.eq(how));
    Ok((diesel::update(own).set(now).execute(conn)? == 1).then_some(place))
}

/// A helmet that a rider has.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct HeldRow {
    /// Of which lot.
    pub lot_id: LotId,
    /// In which session it went out.
    pub session_id: SessionId,
    /// The place's public reference.
    pub registration: String,
    /// The rider's given name.
    pub given_name: String,
    /// The rider's family name.
    pub family_name: String,
    /// Lent or given.
    pub way: Way,
    /// When, in UTC.
    pub issued_at: NaiveDateTime,
}

/// Every helmet that riders have, of one lot or of all, the oldest issue first.
pub fn held_helmets(conn: &mut AnyConn, lot: Option<LotId>) -> Result<Vec<HeldRow>, StoreError> {
    let mut rows = gear_issues::table
        .inner_join(registrations::table.inner_join(riders::table))
        .filter(gear_issues::returned_at.is_null())
        .order((gear_issues::issued_at, gear_issues::id))
        .select((
            gear_issues::lot_id,
            registrations::session_id,
            registrations::reference,
            riders::given_name,
            riders::family_name,
            gear_issues::way,
            gear_issues::issued_at,
        ))
        .into_boxed();
    if let Some(lot) = lot {
        rows = rows.filter(gear_issues::lot_id.eq(lot));
    }
    Ok(rows.load(conn)?)
}

/// How many helmets of each lot went to riders for good.
pub fn given_counts(conn: &mut AnyConn) -> Result<Vec<(LotId, i64)>, StoreError> {
    Ok(gear_issues::table
        .filter(gear_issues::way.eq(Way::Given))
        .filter(gear_issues::returned_at.is_null())
        .group_by(gear_issues::lot_id)
        .select((gear_issues::lot_id, diesel::dsl::count_star()))
        .load(conn)?)
}

/// The helmet given to a rider at a session, with its lot.
pub fn given_to(conn: &mut AnyConn, registration: RegistrationId) -> Result<Option<LotRow>, StoreError> {
    Ok(gear_issues::table
        .inner_join(gear_lots::table)
        .filter(gear_issues::registration_id.eq(registration))
        .filter(gear_issues::way.eq(Way::Given))
        .filter(gear_issues::returned_at.is_null())
        .select(LotRow::as_select())
        .first(conn)
        .optional()?)
}

/// When the program last gave a child a helmet for good, in UTC.
pub fn last_given(conn: &mut AnyConn, rider: RiderId) -> Result<Option<NaiveDateTime>, StoreError> {
    Ok(gear_issues::table
        .inner_join(registrations::table)
        .filter(registrations::rider_id.eq(rider))
        .filter(gear_issues::way.eq(Way::Given))
        .filter(gear_issues::returned_at.is_null())
        .select(diesel::dsl::max(gear_issues::issued_at))
        .first(conn)?)
}
