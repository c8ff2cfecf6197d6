//! Where helmets are: on the shelf of a place, or out with a session; and what happened to them. A count goes down by one
//! guarded update and never below nothing.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::dialect::both;
use super::error::StoreError;
use super::schema::{gear_loads, gear_moves, gear_stock};
use crate::domain::gear::MoveKind;
use crate::domain::ids::{AccountId, LotId, SessionId, StoragePlaceId};

/// Where helmets are.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Spot {
    /// On the shelf of a place.
    Place(StoragePlaceId),
    /// Out with a session.
    Session(SessionId),
}

/// Helmets of a lot in one spot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SpotCount {
    /// The lot.
    pub lot: LotId,
    /// Where.
    pub spot: Spot,
    /// How many; more than none.
    pub count: i64,
}

/// Every spot that has helmets.
pub fn list_stock(conn: &mut AnyConn) -> Result<Vec<SpotCount>, StoreError> {
    let shelves: Vec<(LotId, StoragePlaceId, i64)> = gear_stock::table
        .filter(gear_stock::count.gt(0))
        .order((gear_stock::lot_id, gear_stock::place_id))
        .select((gear_stock::lot_id, gear_stock::place_id, gear_stock::count))
        .load(conn)?;
    let out: Vec<(LotId, SessionId, i64)> = gear_loads::table
        .filter(gear_loads::count.gt(0))
        .order((gear_loads::lot_id, gear_loads::session_id))
        .select((gear_loads::lot_id, gear_loads::session_id, gear_loads::count))
        .load(conn)?;
    let shelves = shelves.into_iter().map(|(lot, place, count)| SpotCount { lot, spot: Spot::Place(place), count });
    let out = out.into_iter().map(|(lot, session, count)| SpotCount { lot, spot: Spot::Session(session), count });
    Ok(shelves.chain(out).collect())
}

/// How many of a lot are in a spot.
pub fn count_in(conn: &mut AnyConn, lot: LotId, spot: Spot) -> Result<i64, StoreError> {
    let found = list_stock(conn)?.into_iter().find(|one| one.lot == lot && one.spot == spot);
    Ok(found.map_or(0, |one| one.count))
}

/// Whether helmets were ever loaded for a session.
pub fn was_loaded(conn: &mut AnyConn, session: SessionId) -> Result<bool, StoreError> {
    let loads = gear_loads::table.filter(gear_loads::session_id.eq(session));
    Ok(diesel::select(diesel::dsl::exists(loads)).get_result(conn)?)
}

/// Puts helmets there.
pub fn put(conn: &mut AnyConn, lot: LotId, spot: Spot, count: i64) -> Result<(), StoreError> {
    match spot {
        Spot::Place(place) => {
            let row = (gear_stock::lot_id.eq(lot), gear_stock::place_id.eq(place), gear_stock::count.eq(count));
            both!(conn, |c| diesel::insert_into(gear_stock::table)
                .values(row)
                .on_conflict((gear_stock::lot_id, gear_stock::place_id))
                .do_update()
                .set(gear_stock::count.eq(gear_stock::count + count))
                .execute(c))?;
        }
        Spot::Session(session) => {
            let row = (gear_loads::lot_id.eq(lot), gear_loads::session_id.eq(session), gear_loads::count.eq(count));
            both!(conn, |c| diesel::insert_into(gear_loads::table)
                .values(row)
                .on_conflict((gear_loads::session_id, gear_loads::lot_id))
                .do_update()
                .set(gear_loads::count.eq(gear_loads::count + count))
                .execute(c))?;
        }
    }
    Ok(())
}

/// Takes helmets from there. `false`: so many are not there, and none was taken.
pub fn take(conn: &mut AnyConn, lot: LotId, spot: Spot, count: i64) -> Result<bool, StoreError> {
    let taken = match spot {
        Spot::Place(place) => {
            let enough = gear_stock::table
                .filter(gear_stock::lot_id.eq(lot))
                .filter(gear_stock::place_id.eq(place))
                .filter(gear_stock::count.ge(count));
            diesel::update(enough).set(gear_stock::count.eq(gear_stock::count - count)).execute(conn)?
        }
        Spot::Session(session) => {
            let enough = gear_loads::table
                .filter(gear_loads::lot_id.eq(lot))
                .filter(gear_loads::session_id.eq(session))
                .filter(gear_loads::count.ge(count));
            diesel::update(enough).set(gear_loads::count.eq(gear_loads::count - count)).execute(conn)?
        }
    };
    Ok(taken == 1)
}

/// Something that happened to helmets of a lot. Without a place on one side, and with a session, that side is what is out
/// with the session; else it is a rider, the maker, or nowhere.
#[derive(Clone, Debug, PartialEq, Eq, Insertable, Queryable, Selectable)]
#[diesel(table_name = gear_moves)]
pub struct MoveRow {
    /// The lot.
    pub lot_id: LotId,
    /// What.
    pub kind: MoveKind,
    /// How many.
    pub count: i64,
    /// From the shelf of which place.
    pub from_place_id: Option<StoragePlaceId>,
    /// To the shelf of which place.
    pub to_place_id: Option<StoragePlaceId>,
    /// At which session.
    pub session_id: Option<SessionId>,
    /// Why, in somebody's words; may be empty.
    pub note: String,
    /// When, in UTC; none for what happened before it was noted.
    pub at: Option<NaiveDateTime>,
    /// By whom.
    pub account_id: Option<AccountId>,
}

/// Notes what happened.
pub fn add_move(conn: &mut AnyConn, new: &MoveRow) -> Result<(), StoreError> {
    diesel::insert_into(gear_moves::table).values(new).execute(conn)?;
    Ok(())
}

/// What happened to the helmets of a lot, the newest first.
pub fn moves_of(conn: &mut AnyConn, lot: LotId) -> Result<Vec<MoveRow>, StoreError> {
    Ok(gear_moves::table
        .filter(gear_moves::lot_id.eq(lot))
        .order(gear_moves::id.desc())
        .select(MoveRow::as_select())
        .load(conn)?)
}

/// When helmets of each lot were last counted, in UTC.
pub fn last_counts(conn: &mut AnyConn) -> Result<Vec<(LotId, Option<NaiveDateTime>)>, StoreError> {
    Ok(gear_moves::table
        .filter(gear_moves::kind.eq(MoveKind::Counted))
        .group_by(gear_moves::lot_id)
        .select((gear_moves::lot_id, diesel::dsl::max(gear_moves::at)))
        .load(conn)?)
}
