//! Guardians, riders and how they stand to each other.

use chrono::{NaiveDate, NaiveDateTime};
use diesel::prelude::*;

use super::alike::{compare_again, compare_children_again, forget_alike};
use super::connection::AnyConn;
use super::error::StoreError;
use super::merges::standing;
use super::name_words::words;
use super::schema::{accounts, children_apart, guardians, guardianships, kept_health, riders};
use crate::domain::access::Guardianship;
use crate::domain::ids::{AccountId, GuardianId, RiderId};
use crate::domain::people::Child;
use crate::domain::words::Lang;

/// A guardian.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = guardians)]
pub struct GuardianRow {
    /// The row.
    pub id: GuardianId,
    /// Their account, if they have one.
    pub account_id: Option<AccountId>,
    /// Given name.
    pub given_name: String,
    /// Family name.
    pub family_name: String,
    /// Telephone as dialled.
    pub phone: String,
    /// Address for letters.
    pub email: Option<String>,
    /// Language they read.
    pub language: Lang,
    /// Since when they agree to text messages, in UTC.
    pub texts_agreed_at: Option<NaiveDateTime>,
}

impl GuardianRow {
    /// Whether letters reach them.
    pub fn has_letters(&self) -> bool {
        self.account_id.is_some() && self.email.is_some()
    }
}

/// A guardian about to be added.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = guardians)]
pub struct NewGuardian {
    /// Their account, if they have one.
    pub account_id: Option<AccountId>,
    /// Given name.
    pub given_name: String,
    /// Family name.
    pub family_name: String,
    /// Telephone as dialled.
    pub phone: String,
    /// Address for letters.
    pub email: Option<String>,
    /// Language they read.
    pub language: Lang,
    /// When, in UTC.
    pub created_at: NaiveDateTime,
    /// Since when they agree to text messages, in UTC.
    pub texts_agreed_at: Option<NaiveDateTime>,
}

/// A rider.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = riders)]
pub struct RiderRow {
    /// The row.
    pub id: RiderId,
    /// Public reference.
    pub reference: String,
    /// Pseudonym for reports; outlives erasure.
    pub report_key: String,
    /// Given name.
    pub given_name: String,
    /// Family name.
    pub family_name: String,
    /// Birth date.
    pub birth_date: NaiveDate,
    /// County set of the home.
    pub county_set: i64,
    /// Home county, five characters.
    pub county: String,
    /// The name on the certificate; empty when it is the child's own.
    pub paper_name: String,
}

impl RiderRow {
    /// What tells the rider from the others of the family.
    pub fn child(&self) -> Child<'_> {
        Child { given: &self.given_name, family: &self.family_name, born: self.birth_date }
    }
}

/// A rider about to be added.
#[derive(Clone, Debug, PartialEq, Eq, Insertable)]
#[diesel(table_name = riders)]
pub struct NewRider {
    /// Public reference.
    pub reference: String,
    /// Pseudonym for reports.
    pub report_key: String,
    /// Given name.
    pub given_name: String,
    /// Family name.
    pub family_name: String,
    /// Birth date.
    pub birth_date: NaiveDate,
    /// County set of the home.
    pub county_set: i64,
    /// Home county, five characters.
    pub county: String,
    /// The name on the certificate; empty when it is the child's own.
    pub paper_name: String,
    /// When, in UTC.
    pub created_at: NaiveDateTime,
}

/// Adds a guardian.
pub fn add_guardian(conn: &mut AnyConn, new: &NewGuardian) -> Result<GuardianId, StoreError> {
    let words = guardians::words.eq(words(&new.given_name, &new.family_name));
    Ok(diesel::insert_into(guardians::table).values((new, words)).returning(guardians::id).get_result(conn)?)
}

/// Gives the guardian of an account another address for letters.
pub fn set_guardian_email(conn: &mut AnyConn, account: AccountId, email: &str) -> Result<(), StoreError> {
    let changed: Vec<GuardianId> = diesel::update(guardians::table.filter(guardians::account_id.eq(account)))
        .set(guardians::email.eq(email))
        .returning(guardians::id)
        .get_results(conn)?;
    changed.into_iter().try_for_each(|guardian| compare_children_again(conn, guardian))
}

/// Gives a guardian another account.
pub fn set_guardian_account(conn: &mut AnyConn, id: GuardianId, account: AccountId) -> Result<(), StoreError> {
    diesel::update(guardians::table.filter(guardians::id.eq(id)))
        .set(guardians::account_id.eq(account))
        .execute(conn)?;
    Ok(())
}

/// Takes account and address away from a guardian: they are somebody else's.
pub fn forget_address(conn: &mut AnyConn, id: GuardianId) -> Result<(), StoreError> {
    diesel::update(guardians::table.filter(guardians::id.eq(id)))
        .set((guardians::account_id.eq(None::<AccountId>), guardians::email.eq(None::<String>)))
        .execute(conn)?;
    compare_children_again(conn, id)
}

/// Puts one guardian of a rider in the place of another.
pub fn hand_over_rider(conn: &mut AnyConn, rider: RiderId, from: GuardianId, to: GuardianId) -> Result<(), StoreError> {
    let tie =
        guardianships::table.filter(guardianships::rider_id.eq(rider)).filter(guardianships::guardian_id.eq(from));
    diesel::update(tie).set(guardianships::guardian_id.eq(to)).execute(conn)?;
    compare_again(conn, rider)
}

/// Forgets a rider of whom nothing is kept.
pub fn remove_rider(conn: &mut AnyConn, id: RiderId) -> Result<(), StoreError> {
    diesel::delete(guardianships::table.filter(guardianships::rider_id.eq(id))).execute(conn)?;
    diesel::delete(kept_health::table.filter(kept_health::rider_id.eq(id))).execute(conn)?;
    let apart = children_apart::one_id.eq(id).or(children_apart::other_id.eq(id));
    diesel::delete(children_apart::table.filter(apart)).execute(conn)?;
    forget_alike(conn, id)?;
    diesel::delete(riders::table.filter(riders::id.eq(id))).execute(conn)?;
    Ok(())
}

/// Adds a rider with one active guardian.
pub fn add_rider(conn: &mut AnyConn, new: &NewRider, guardian: GuardianId) -> Result<RiderId, StoreError> {
    let row = (new, riders::words.eq(words(&new.given_name, &new.family_name)));
    let rider: RiderId = diesel::insert_into(riders::table).values(row).returning(riders::id).get_result(conn)?;
    add_guardianship(conn, guardian, rider, Guardianship::Active, new.created_at)?;
    Ok(rider)
}

/// Changes a rider: given, family and paper name, birth date, county with its set.
pub fn set_rider(
    conn: &mut AnyConn,
    id: RiderId,
    (given, family, paper): (&str, &str, &str),
    birth_date: NaiveDate,
    (county_set, county): (i64, &str),
) -> Result<(), StoreError> {
    diesel::update(riders::table.filter(riders::id.eq(id)))
        .set((
            riders::given_name.eq(given),
            riders::family_name.eq(family),
            riders::words.eq(words(given, family)),
            riders::paper_name.eq(paper),
            riders::birth_date.eq(birth_date),
            riders::county_set.eq(county_set),
            riders::county.eq(county),
        ))
        .execute(conn)?;
    compare_again(conn, id)
}

/// Changes a guardian's name, which is also that of the account, and the telephone.
pub fn set_guardian(
    conn: &mut AnyConn,
    of: &GuardianRow,
    (given, family): (&str, &str),
    phone: &str,
) -> Result<(), StoreError> {
    diesel::update(guardians::table.filter(guardians::id.eq(of.id)))
        .set((
            guardians::given_name.eq(given),
            guardians::family_name.eq(family),
            guardians::words.eq(words(given, family)),
            guardians::phone.eq(phone),
        ))
        .execute(conn)?;
    compare_children_again(conn, of.id)?;
    if let Some(account) = of.account_id {
        diesel::update(accounts::table.filter(accounts::id.eq(account)))
            .set((accounts::given_name.eq(given), accounts::family_name.eq(family)))
            .execute(conn)?;
    }
    Ok(())
}

/// Ties a guardian to a rider.
pub fn add_guardianship(
    conn: &mut AnyConn,
    guardian: GuardianId,
    rider: RiderId,
    state: Guardianship,
    since: NaiveDateTime,
) -> Result<(), StoreError> {
    diesel::insert_into(guardianships::table)
        .values((
            guardianships::guardian_id.eq(guardian),
            guardianships::rider_id.eq(rider),
            guardianships::state.eq(state),
            guardianships::since.eq(since),
        ))
        .execute(conn)?;
    compare_again(conn, rider)
}

/// How a guardian stands to a rider now.
pub fn find_guardianship(
    conn: &mut AnyConn,
    guardian: GuardianId,
    rider: RiderId,
) -> Result<Option<Guardianship>, StoreError> {
    Ok(guardianships::table
        .filter(guardianships::guardian_id.eq(guardian))
        .filter(guardianships::rider_id.eq(rider))
        .select(guardianships::state)
        .first(conn)
        .optional()?)
}

/// The same; nobody changes it until this transaction ends.
pub fn hold_guardianship(
    conn: &mut AnyConn,
    guardian: GuardianId,
    rider: RiderId,
) -> Result<Option<Guardianship>, StoreError> {
    let tie =
        guardianships::table.filter(guardianships::guardian_id.eq(guardian)).filter(guardianships::rider_id.eq(rider));
    let held = diesel::update(tie).set(guardianships::state.eq(guardianships::state));
    Ok(held.returning(guardianships::state).get_result(conn).optional()?)
}

/// How an adult stands to a rider.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AdultRow {
    /// The adult.
    pub guardian: GuardianRow,
    /// How they stand.
    pub state: Guardianship,
    /// Since when, in UTC.
    pub since: NaiveDateTime,
    /// How it came to stand so, in the office's words.
    pub note: String,
}

/// Every adult who stands or stood to a rider, in the order in which the program came to know them.
pub fn adults_of(conn: &mut AnyConn, rider: RiderId) -> Result<Vec<AdultRow>, StoreError> {
    let found: Vec<(GuardianRow, Guardianship, NaiveDateTime, String)> = guardianships::table
        .inner_join(guardians::table)
        .filter(guardianships::rider_id.eq(rider))
        .order(guardianships::guardian_id)
        .select((GuardianRow::as_select(), guardianships::state, guardianships::since, guardianships::note))
        .load(conn)?;
    Ok(found.into_iter().map(|(guardian, state, since, note)| AdultRow { guardian, state, since, note }).collect())
}

/// A rider with one of its adults.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RiderOfAdult {
    /// The rider.
    pub rider: RiderRow,
    /// The adult.
    pub adult: GuardianRow,
}

/// These riders with each of their adults, by the rider's name.
pub fn riders_with_adults(conn: &mut AnyConn, ids: &[RiderId]) -> Result<Vec<RiderOfAdult>, StoreError> {
    let rows: Vec<(RiderRow, GuardianRow)> = guardianships::table
        .inner_join(guardians::table)
        .inner_join(riders::table)
        .filter(riders::id.eq_any(ids))
        .order((riders::given_name, riders::family_name, riders::id, guardians::id))
        .select((RiderRow::as_select(), GuardianRow::as_select()))
        .load(conn)?;
    Ok(rows.into_iter().map(|(rider, adult)| RiderOfAdult { rider, adult }).collect())
}

/// Lets an adult stand otherwise to a rider. `false`: they stood so already, with the same words.
pub fn set_guardianship(
    conn: &mut AnyConn,
    guardian: GuardianId,
    rider: RiderId,
    (state, note): (Guardianship, &str),
    since: NaiveDateTime,
) -> Result<bool, StoreError> {
    let tie = guardianships::table
        .filter(guardianships::guardian_id.eq(guardian))
        .filter(guardianships::rider_id.eq(rider))
        .filter(guardianships::state.ne(state).or(guardianships::note.ne(note)));
    let now = (guardianships::state.eq(state), guardianships::note.eq(note), guardianships::since.eq(since));
    Ok(diesel::update(tie).set(now).execute(conn)? == 1)
}

/// The adults who may decide for a rider now, in the order in which the program came to know them.
pub fn active_adults_of(conn: &mut AnyConn, rider: RiderId) -> Result<Vec<GuardianRow>, StoreError> {
    let found = active_adults_of_all(conn, &[rider])?;
    Ok(found.into_iter().map(|(_, adult)| adult).collect())
}

/// The same for several riders, each adult beside the rider.
pub fn active_adults_of_all(conn: &mut AnyConn, of: &[RiderId]) -> Result<Vec<(RiderId, GuardianRow)>, StoreError> {
    Ok(guardianships::table
        .inner_join(guardians::table)
        .filter(guardianships::rider_id.eq_any(of))
        .filter(guardianships::state.eq(Guardianship::Active))
        .order((guardianships::rider_id, guardianships::guardian_id))
        .select((guardianships::rider_id, GuardianRow::as_select()))
        .load(conn)?)
}

/// The guardian of a row.
pub fn find_guardian(conn: &mut AnyConn, id: GuardianId) -> Result<GuardianRow, StoreError> {
    Ok(guardians::table.filter(guardians::id.eq(id)).select(GuardianRow::as_select()).first(conn)?)
}

/// The rider of a row.
pub fn find_rider(conn: &mut AnyConn, id: RiderId) -> Result<RiderRow, StoreError> {
    Ok(riders::table.filter(riders::id.eq(id)).select(RiderRow::as_select()).first(conn)?)
}

/// The rider of a public reference; of an entry that went into another, the child that they are now.
pub fn find_rider_by_reference(conn: &mut AnyConn, reference: &str) -> Result<Option<RiderRow>, StoreError> {
    let found = riders::table.filter(riders::reference.eq(reference)).select(riders::id).first(conn).optional()?;
    match found {
        Some(id) => {
            let now = standing(conn, id)?;
            Ok(Some(find_rider(conn, now)?))
        }
        None => Ok(None),
    }
}

/// The riders for whom a guardian answers now, by name.
pub fn riders_of(conn: &mut AnyConn, guardian: GuardianId) -> Result<Vec<RiderRow>, StoreError> {
    Ok(riders::table
        .inner_join(guardianships::table)
        .filter(guardianships::guardian_id.eq(guardian))
        .filter(guardianships::state.eq(Guardianship::Active))
        .order((riders::given_name, riders::id))
        .select(RiderRow::as_select())
        .load(conn)?)
}
