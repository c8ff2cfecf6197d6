//! One lot of helmets: where they are, who has one, what happened to them; moving, retiring and counting them. Every press
//! carries what its page showed, so that the second press of one finger moves nothing.

use chrono::{NaiveDate, NaiveDateTime};

use super::{Listed, StoragePlaceRow, listed, place_of};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::gear::{MoveKind, Way};
use crate::domain::ids::{AccountId, SessionId, StoragePlaceId};
use crate::domain::refusal::{GearRefusal, Refusal};
use crate::domain::seen::Seen;
use crate::domain::time::LocalTime;
use crate::domain::words::{Line, full_name};
use crate::services::{App, Failure, ask, program};
use crate::store::AnyConn;
use crate::store::accounts::names_of;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::gear::{LotRow, find_lot_by_reference, held_helmets, hold_lot};
use crate::store::gear_stock::{MoveRow, Spot, SpotCount, add_move, count_in, list_stock, moves_of, put, take};
use crate::store::grants::list_grants;
use crate::store::machines::list_places;
use crate::store::sessions::find_session_by_id;

/// One lot.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Its record, and how many are where.
    pub lot: Listed,
    /// Shelves that have some: the place and how many.
    pub shelves: Vec<(StoragePlaceRow, i64)>,
    /// Sessions that have some.
    pub out: Vec<(AtSession, i64)>,
    /// Riders who have one, the newest last.
    pub held: Vec<Held>,
    /// What happened, the newest first.
    pub history: Vec<Happened>,
    /// Every place.
    pub places: Vec<StoragePlaceRow>,
    /// What the forms are drawn from.
    pub seen: Seen,
}

/// A session, as a line of a list names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AtSession {
    /// Its reference.
    pub reference: String,
    /// Its site.
    pub site: String,
    /// Its first day.
    pub on: NaiveDate,
}

/// A helmet that a rider has.
#[derive(Clone, Debug)]
pub struct Held {
    /// The rider.
    pub name: String,
    /// The place's reference.
    pub registration: String,
    /// The session's reference.
    pub session: String,
    /// Lent or given.
    pub way: Way,
    /// The day at the program.
    pub on: NaiveDate,
}

/// Something that happened, as a page tells it.
#[derive(Clone, Debug)]
pub struct Happened {
    /// What.
    pub kind: MoveKind,
    /// How many.
    pub count: i64,
    /// From which shelf.
    pub from: Option<String>,
    /// To which shelf.
    pub to: Option<String>,
    /// At which session.
    pub session: Option<AtSession>,
    /// Why.
    pub note: String,
    /// When, on the clocks of the program; none when nobody noted it.
    pub at: Option<NaiveDateTime>,
    /// By whom; empty when nobody noted it.
    pub by: String,
}

/// One lot by its reference.
///
/// # Errors
/// `NotFound` when there is none.
pub fn find(app: &App, caller: &Caller, reference: &str) -> Result<Sheet, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    let clock = app.clock.clone();
    app.store.read(|conn| {
        let row = find_lot_by_reference(conn, reference)?.ok_or(Failure::NotFound)?;
        let zone = program::load(conn)?.zone;
        let local = |at: NaiveDateTime| LocalTime::from_utc(at, zone).wall;
        let (grants, places) = (list_grants(conn)?, list_places(conn)?);
        let lot = listed(conn, &grants, &places, clock.today(zone))?.into_iter().find(|one| one.row.id == row.id);
        let lot = lot.ok_or(Failure::NotFound)?;
        let stock = own_stock(conn, &row)?;
        let mut sessions = Sessions::default();
        let (mut shelves, mut out) = (Vec::new(), Vec::new());
        for one in &stock {
            match one.spot {
                Spot::Place(id) => {
                    shelves.extend(places.iter().find(|place| place.id == id).map(|place| (place.clone(), one.count)));
                }
                Spot::Session(id) => out.push((sessions.find(conn, id)?, one.count)),
            }
        }
        let mut held = Vec::new();
        for one in held_helmets(conn, Some(row.id))? {
            held.push(Held {
                name: full_name(&one.given_name, &one.family_name),
                registration: one.registration,
                session: sessions.find(conn, one.session_id)?.reference,
                way: one.way,
                on: local(one.issued_at).date(),
            });
        }
        let moves = moves_of(conn, row.id)?;
        let people: Vec<AccountId> = moves.iter().filter_map(|one| one.account_id).collect();
        let names = names_of(conn, &people)?;
        let place = |id: Option<StoragePlaceId>| {
            id.and_then(|id| places.iter().find(|place| place.id == id)).map(|place| place.name.clone())
        };
        let mut history = Vec::new();
        for one in moves {
            history.push(Happened {
                kind: one.kind,
                count: one.count,
                from: place(one.from_place_id),
                to: place(one.to_place_id),
                session: one.session_id.map(|id| sessions.find(conn, id)).transpose()?,
                note: one.note,
                at: one.at.map(local),
                by: one.account_id.and_then(|id| names.get(&id).cloned()).unwrap_or_default(),
            });
        }
        Ok(Sheet { lot, shelves, out, held, history, places, seen: Seen::of(&stock) })
    })
}

/// Sessions that a page names, each read once.
#[derive(Default)]
pub(super) struct Sessions(std::collections::BTreeMap<SessionId, AtSession>);

impl Sessions {
    pub(super) fn find(&mut self, conn: &mut AnyConn, id: SessionId) -> Result<AtSession, Failure> {
        if let Some(known) = self.0.get(&id) {
            return Ok(known.clone());
        }
        let view = find_session_by_id(conn, id)?;
        let found = AtSession { reference: view.session.reference, site: view.site.name, on: view.session.held_on };
        self.0.insert(id, found.clone());
        Ok(found)
    }
}

fn own_stock(conn: &mut AnyConn, lot: &LotRow) -> Result<Vec<SpotCount>, Failure> {
    Ok(list_stock(conn)?.into_iter().filter(|one| one.lot == lot.id).collect())
}

/// What is done to the helmets on a shelf.
#[derive(Clone, Debug)]
pub enum Deed {
    /// So many go from one place to another, by the places' rows.
    Move {
        /// From.
        from: i64,
        /// To.
        to: i64,
        /// How many.
        count: i64,
    },
    /// So many leave for good.
    Retire {
        /// From which place.
        from: i64,
        /// How many.
        count: i64,
        /// Why.
        why: Line,
    },
    /// Somebody counted a shelf.
    Count {
        /// Of which place.
        at: i64,
        /// How many are there.
        count: i64,
    },
}

/// Does something to the helmets of a lot.
///
/// # Errors
/// `NotFound` for a lot or a place that there is not; `DraftMoved` when helmets moved since; `Short`.
pub fn act(app: &App, caller: &Caller, reference: &str, deed: Deed, seen: &Seen) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller, reference, seen) = (app.clock.now(), caller.clone(), reference.to_owned(), seen.clone());
    app.store.write("helmet stock", move |conn| -> Result<(), Failure> {
        let lot = find_lot_by_reference(conn, &reference)?.ok_or(Failure::NotFound)?;
        let lot = hold_lot(conn, lot.id)?;
        seen.holds_for(&own_stock(conn, &lot)?)?;
        let subject = format!("lot {}", lot.code);
        let account_id = caller.account();
        let note = |kind, count, from_place_id, to_place_id, note: &str| MoveRow {
            lot_id: lot.id,
            kind,
            count,
            from_place_id,
            to_place_id,
            session_id: None,
            note: note.to_owned(),
            at: Some(now),
            account_id,
        };
        let (action, count) = match &deed {
            Deed::Move { from, to, count } => {
                let (from, to) = (place_of(conn, *from)?, place_of(conn, *to)?);
                take_all(conn, &lot, from, *count)?;
                put(conn, lot.id, Spot::Place(to), *count)?;
                add_move(conn, &note(MoveKind::Moved, *count, Some(from), Some(to), ""))?;
                ("lot.move", *count)
            }
            Deed::Retire { from, count, why } => {
                let from = place_of(conn, *from)?;
                take_all(conn, &lot, from, *count)?;
                add_move(conn, &note(MoveKind::Retired, *count, Some(from), None, why.as_str()))?;
                ("lot.retire", *count)
            }
            Deed::Count { at, count } => {
                let at = place_of(conn, *at)?;
                let there = count_in(conn, lot.id, Spot::Place(at))?;
                let differs = *count - there;
                if differs > 0 {
                    put(conn, lot.id, Spot::Place(at), differs)?;
                    add_move(conn, &note(MoveKind::Found, differs, None, Some(at), ""))?;
                } else if differs < 0 {
                    take_all(conn, &lot, at, -differs)?;
                    add_move(conn, &note(MoveKind::Missing, -differs, Some(at), None, ""))?;
                }
                let place = name_of(conn, at)?;
                add_move(conn, &note(MoveKind::Counted, *count, None, None, &place))?;
                ("lot.count", *count)
            }
        };
        Ok(add_audit_row(conn, &AuditRow::by(&caller, now, action, subject, format!("{count} helmets")))?)
    })
}

fn name_of(conn: &mut AnyConn, id: StoragePlaceId) -> Result<String, Failure> {
    let place = list_places(conn)?.into_iter().find(|place| place.id == id);
    Ok(place.map(|place| place.name).unwrap_or_default())
}

fn take_all(conn: &mut AnyConn, lot: &LotRow, place: StoragePlaceId, count: i64) -> Result<(), Failure> {
    if take(conn, lot.id, Spot::Place(place), count)? {
        return Ok(());
    }
    let left = count_in(conn, lot.id, Spot::Place(place))?;
    Err(Refusal::Gear(GearRefusal::Short { left }).into())
}
