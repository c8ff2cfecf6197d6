//! Helmets that a session hands out and takes back, as steps of a transaction. A session for which helmets were loaded hands
//! out those; another one takes them from the shelves.

use std::cmp::Reverse;
use std::collections::BTreeMap;

use chrono::NaiveDateTime;

use crate::domain::gear::{CameBack, MoveKind, Way};
use crate::domain::ids::{AccountId, LotId, RegistrationId, SessionId, StoragePlaceId};
use crate::domain::refusal::{GearRefusal, Refusal};
use crate::services::Failure;
use crate::store::error::Key;
use crate::store::gear::{NewIssue, add_issue, end_issue, remove_issue};
use crate::store::gear_stock::{MoveRow, Spot, add_move, list_stock, put, take, was_loaded};
use crate::store::recalls::forget_holder;
use crate::store::{AnyConn, StoreError};

/// At which session, by whom and when helmets are handed out and taken back.
#[derive(Clone, Copy)]
pub(in crate::services) struct Hands {
    pub session: SessionId,
    pub account: AccountId,
    pub at: NaiveDateTime,
}

/// How many helmets of each lot a session can hand out.
pub(in crate::services) fn in_reach(
    conn: &mut AnyConn,
    session: SessionId,
) -> Result<BTreeMap<LotId, i64>, StoreError> {
    let loaded = was_loaded(conn, session)?;
    let mut reach = BTreeMap::new();
    for one in list_stock(conn)? {
        let counts = match one.spot {
            Spot::Place(_) => !loaded,
            Spot::Session(other) => other == session,
        };
        if counts {
            *reach.entry(one.lot).or_insert(0) += one.count;
        }
    }
    Ok(reach)
}

/// Where a session would take a helmet of a lot from, the fullest shelf first.
fn spots(conn: &mut AnyConn, session: SessionId, lot: LotId) -> Result<Vec<Spot>, StoreError> {
    if was_loaded(conn, session)? {
        return Ok(vec![Spot::Session(session)]);
    }
    let mut shelves: Vec<_> = list_stock(conn)?.into_iter().filter(|one| one.lot == lot).collect();
    shelves.retain(|one| matches!(one.spot, Spot::Place(_)));
    shelves.sort_by_key(|one| (Reverse(one.count), one.spot));
    Ok(shelves.into_iter().map(|one| one.spot).collect())
}

impl Hands {
    /// Hands a helmet to a rider by an act.
    ///
    /// # Errors
    /// `NoHelmetLeft`; `HelmetAlready` when the rider has one of the same way.
    pub fn hand_out(
        self,
        conn: &mut AnyConn,
        lot: LotId,
        registration_id: RegistrationId,
        act_id: &[u8],
        way: Way,
    ) -> Result<(), Failure> {
        let mut from = None;
        for spot in spots(conn, self.session, lot)? {
            if take(conn, lot, spot, 1)? {
                from = Some(spot);
                break;
            }
        }
        let place_id = match from.ok_or(Refusal::Gear(GearRefusal::NoHelmetLeft))? {
            Spot::Place(place) => Some(place),
            Spot::Session(_) => None,
        };
        let issue =
            NewIssue { lot_id: lot, registration_id, act_id: act_id.to_vec(), way, issued_at: self.at, place_id };
        match add_issue(conn, &issue) {
            Err(StoreError::Duplicate(Key::HelmetOnce)) => return Err(Refusal::Gear(GearRefusal::HelmetAlready).into()),
            other => other?,
        }
        let kind = match way {
            Way::Lent => MoveKind::Lent,
            Way::Given => MoveKind::Given,
        };
        Ok(self.note(conn, lot, kind, (place_id, None))?)
    }

    /// Takes back what an act handed out that was undone.
    pub fn take_back(self, conn: &mut AnyConn, act_id: &[u8]) -> Result<(), StoreError> {
        forget_holder(conn, act_id)?;
        let Some((lot, place)) = remove_issue(conn, act_id)? else { return Ok(()) };
        self.put_back(conn, lot, place)?;
        self.note(conn, lot, MoveKind::TakenBack, (None, place))
    }

    /// A lent helmet came back, or will not. One in order can be lent again; nobody wears a damaged one.
    ///
    /// # Errors
    /// `BackAlready`.
    pub fn came_back(
        self,
        conn: &mut AnyConn,
        lot: LotId,
        registration: RegistrationId,
        how: CameBack,
    ) -> Result<(), Failure> {
        let Some(place) = end_issue(conn, lot, registration, how, self.at)? else {
            return Err(Refusal::Gear(GearRefusal::BackAlready).into());
        };
        match how {
            CameBack::Lost => self.note(conn, lot, MoveKind::Lost, (None, None))?,
            CameBack::InOrder => {
                self.put_back(conn, lot, place)?;
                self.note(conn, lot, MoveKind::Returned, (None, place))?;
            }
            // It passes the shelf on paper, so that what came and what went still add up.
            CameBack::Damaged => {
                self.note(conn, lot, MoveKind::Returned, (None, place))?;
                self.note(conn, lot, MoveKind::Retired, (place, None))?;
            }
        }
        Ok(())
    }

    fn put_back(self, conn: &mut AnyConn, lot: LotId, place: Option<StoragePlaceId>) -> Result<(), StoreError> {
        put(conn, lot, place.map_or(Spot::Session(self.session), Spot::Place), 1)
    }

    fn note(
        self,
        conn: &mut AnyConn,
        lot_id: LotId,
        kind: MoveKind,
        (from_place_id, to_place_id): (Option<StoragePlaceId>, Option<StoragePlaceId>),
    ) -> Result<(), StoreError> {
        let (session_id, at, account_id) = (Some(self.session), Some(self.at), Some(self.account));
        let note = String::new();
        add_move(
            conn,
            &MoveRow { lot_id, kind, count: 1, from_place_id, to_place_id, session_id, note, at, account_id },
        )
    }
}
