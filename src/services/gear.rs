//! The helmets that came and where they are: the list, and receiving a lot. One lot stands in `lot`, what goes to a session and
//! comes back in `loads`, who pays in `grants`, what is called back in `recalls`, what will be needed in `needs`.

pub mod grants;
pub(super) mod handing;
pub mod loads;
pub mod lot;
pub mod needs;
pub mod property;
pub mod recalls;

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};

use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::gear::{HelmetFacts, HelmetFault, MoveKind, Way, helmet_fault};
use crate::domain::ids::{LotId, StoragePlaceId};
use crate::domain::measures::Length;
use crate::domain::refusal::{GearRefusal, Refusal};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::gear::{NewLot, add_lot as keep_lot, given_counts, held_helmets, list_lots};
use crate::store::gear_stock::{MoveRow, Spot, add_move, last_counts, list_stock, put};
use crate::store::grants::list_grants;
use crate::store::machines::list_places;
use crate::store::recalls::recalled_lots;
use crate::store::{AnyConn, StoreError};

pub use crate::store::gear::LotRow;
pub use crate::store::grants::GrantRow;
pub use crate::store::machines::StoragePlaceRow;

/// The grants and the lots of the program.
#[derive(Clone, Debug, Default)]
pub struct Gear {
    /// Who pays, by code.
    pub grants: Vec<GrantRow>,
    /// Helmets, smallest heads first.
    pub lots: Vec<Listed>,
    /// Where gear is kept, by name.
    pub places: Vec<StoragePlaceRow>,
}

/// A lot in the list.
#[derive(Clone, Debug)]
pub struct Listed {
    /// Its record.
    pub row: LotRow,
    /// The code of the grant that paid.
    pub grant: String,
    /// On shelves: the place's name and how many.
    pub shelves: Vec<(String, i64)>,
    /// Out with sessions.
    pub out: i64,
    /// Lent to riders and not back.
    pub lent: i64,
    /// Given to riders.
    pub given: i64,
    /// Why none of it is handed out today.
    pub fault: Option<HelmetFault>,
    /// When it was last counted, in UTC.
    pub counted_at: Option<NaiveDateTime>,
}

impl Listed {
    /// Where its helmets are and how many: "Store 12", "out with sessions 3".
    #[must_use]
    pub fn spots(&self) -> Vec<String> {
        let shelves = self.shelves.iter().map(|(place, count)| format!("{place} {count}"));
        shelves.chain((self.out > 0).then(|| format!("out with sessions {}", self.out))).collect()
    }

    /// On shelves and out with sessions.
    #[must_use]
    pub fn on_hand(&self) -> i64 {
        self.shelves.iter().map(|(_, count)| count).sum::<i64>() + self.out
    }
}

/// Helmets of one model and size that came at once.
#[derive(Clone, Debug)]
pub struct NewHelmets {
    /// A short code, as written on the box.
    pub code: String,
    /// The code of the grant that paid.
    pub grant: String,
    /// Make and model.
    pub model: String,
    /// The maker's size word.
    pub size_label: String,
    /// Smallest head.
    pub least_head: Length,
    /// Largest head; not smaller.
    pub most_head: Length,
    /// Standard on the label.
    pub standard: String,
    /// First day of the month they were made.
    pub made_month: NaiveDate,
    /// Cost of one, in cents.
    pub unit_cost_cents: i64,
    /// How many came.
    pub received: i64,
    /// Where they are kept, by the place's row.
    pub place: i64,
}

/// Grants and lots.
pub fn list(app: &App, caller: &Caller) -> Result<Gear, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    let clock = app.clock.clone();
    app.store.read(|conn| {
        let today = clock.today(program::load(conn)?.zone);
        let (grants, places) = (list_grants(conn)?, list_places(conn)?);
        Ok(Gear { lots: listed(conn, &grants, &places, today)?, grants, places })
    })
}

/// Every lot with where its helmets are.
pub(super) fn listed(
    conn: &mut AnyConn,
    grants: &[GrantRow],
    places: &[StoragePlaceRow],
    today: NaiveDate,
) -> Result<Vec<Listed>, Failure> {
    let rules = LotRules::load(conn)?;
    let (stock, held) = (list_stock(conn)?, held_helmets(conn, None)?);
    let given: BTreeMap<LotId, i64> = given_counts(conn)?.into_iter().collect();
    let counted: BTreeMap<LotId, Option<NaiveDateTime>> = last_counts(conn)?.into_iter().collect();
    let one = |row: LotRow| {
        let own = || stock.iter().filter(|one| one.lot == row.id);
        let shelf = |place: &StoragePlaceRow| {
            let found = own().find(|one| one.spot == Spot::Place(place.id));
            found.map(|one| (place.name.clone(), one.count))
        };
        let lent = held.iter().filter(|one| one.lot_id == row.id && one.way == Way::Lent).count();
        Listed {
            grant: grants
                .iter()
                .find(|grant| grant.id == row.grant_id)
                .map(|grant| grant.code.clone())
                .unwrap_or_default(),
            shelves: places.iter().filter_map(shelf).collect(),
            out: own().filter(|one| matches!(one.spot, Spot::Session(_))).map(|one| one.count).sum(),
            lent: i64::try_from(lent).unwrap_or(i64::MAX),
            given: given.get(&row.id).copied().unwrap_or(0),
            fault: rules.fault(&row, today),
            counted_at: counted.get(&row.id).copied().flatten(),
            row,
        }
    };
    Ok(list_lots(conn)?.into_iter().map(one).collect())
}

/// Which lots are handed out: those that are young enough and that nobody calls back.
pub(super) struct LotRules {
    years: u32,
    recalled: Vec<LotId>,
}

impl LotRules {
    /// As they hold now.
    pub(super) fn load(conn: &mut AnyConn) -> Result<Self, Failure> {
        Ok(Self { years: program::load(conn)?.settings.helmet_years, recalled: recalled_lots(conn)? })
    }

    /// Why none of a lot is handed out on a day.
    pub(super) fn fault(&self, lot: &LotRow, day: NaiveDate) -> Option<HelmetFault> {
        let recalled = self.recalled.contains(&lot.id);
        helmet_fault(HelmetFacts { made_in: Some(lot.made_month), damaged: false, recalled }, day, self.years)
    }

    /// Refuses a lot of which none is handed out on a day.
    ///
    /// # Errors
    /// `Recalled`, `HelmetTooOld`.
    pub(super) fn must_serve(&self, lot: &LotRow, day: NaiveDate) -> Result<(), Failure> {
        match self.fault(lot, day) {
            None => Ok(()),
            Some(HelmetFault::Recalled) => Err(Refusal::Gear(GearRefusal::Recalled).into()),
            Some(_) => Err(Refusal::Gear(GearRefusal::HelmetTooOld).into()),
        }
    }
}

/// Helmets that could be handed out on a day, wherever they are.
pub(super) fn usable_on(conn: &mut AnyConn, day: NaiveDate) -> Result<i64, Failure> {
    let rules = LotRules::load(conn)?;
    let usable: Vec<LotId> =
        list_lots(conn)?.into_iter().filter(|lot| rules.fault(lot, day).is_none()).map(|lot| lot.id).collect();
    Ok(list_stock(conn)?.iter().filter(|one| usable.contains(&one.lot)).map(|one| one.count).sum())
}

/// Receives helmets: they stand on the shelf of a place from then on. Gives the lot's reference.
///
/// # Errors
/// `CodeTaken` when another lot has the code; `MadeToCome` for a month that has not begun; `NotFound` when no grant has its code, or for a place that there is not.
pub fn add_lot(app: &App, caller: &Caller, new: NewHelmets) -> Result<String, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller, clock, reference) = (app.clock.now(), caller.clone(), app.clock.clone(), app.random.reference());
    app.store.write("add helmet lot", move |conn| {
        let grant = list_grants(conn)?.into_iter().find(|grant| grant.code == new.grant).ok_or(Failure::NotFound)?;
        let place = place_of(conn, new.place)?;
        let today = clock.today(program::load(conn)?.zone);
        if new.made_month > today {
            return Err(Refusal::Gear(GearRefusal::MadeToCome).into());
        }
        let lot = NewLot {
            reference: reference.clone(),
            code: new.code.clone(),
            grant_id: grant.id,
            model: new.model.clone(),
            size_label: new.size_label.clone(),
            least_head_um: new.least_head.um(),
            most_head_um: new.most_head.um(),
            standard: new.standard.clone(),
            made_month: new.made_month,
            unit_cost_cents: new.unit_cost_cents,
            received: new.received,
            received_on: Some(today),
        };
        let id = once(keep_lot(conn, &lot), &new.code)?;
        receive(conn, id, (place, new.received), &caller, now)?;
        let detail = format!("{} helmets", new.received);
        add_audit_row(conn, &AuditRow::by(&caller, now, "lot.add", format!("lot {}", new.code), detail))?;
        Ok(reference.clone())
    })
}

/// Puts the helmets of a new lot on a shelf.
pub(super) fn receive(
    conn: &mut AnyConn,
    lot_id: LotId,
    (place, count): (StoragePlaceId, i64),
    caller: &Caller,
    now: NaiveDateTime,
) -> Result<(), StoreError> {
    put(conn, lot_id, Spot::Place(place), count)?;
    let (kind, account_id) = (MoveKind::Received, caller.account());
    let to_place_id = Some(place);
    let (at, note) = (Some(now), String::new());
    add_move(
        conn,
        &MoveRow { lot_id, kind, count, from_place_id: None, to_place_id, session_id: None, note, at, account_id },
    )
}

/// A place where gear is kept, by its row.
fn place_of(conn: &mut AnyConn, raw: i64) -> Result<StoragePlaceId, Failure> {
    let id = StoragePlaceId::new(raw);
    if list_places(conn)?.iter().any(|place| place.id == id) { Ok(id) } else { Err(Failure::NotFound) }
}

fn once<T>(kept: Result<T, StoreError>, code: &str) -> Result<T, Failure> {
    match kept {
        Err(StoreError::Duplicate(_)) => Err(Refusal::CodeTaken { code: code.to_owned() }.into()),
        other => Ok(other?),
    }
}
