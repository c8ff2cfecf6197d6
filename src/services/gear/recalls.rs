//! Helmets that a maker or an agency calls back: from the press on none is handed out, every family that has one is written
//! to, and what became of each is noted by the family or the office.

mod letter;

use chrono::NaiveDateTime;

use super::lot::{AtSession, Sessions};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::gear::{RecallAnswer, Way};
use crate::domain::ids::{AccountId, LotId};
use crate::domain::refusal::{GearRefusal, Refusal};
use crate::domain::time::LocalTime;
use crate::domain::words::{Line, Phone, full_name};
use crate::outside::mail::message_id;
use crate::services::ties::{own_child, speaker};
use crate::services::{App, Failure, ask, program};
use crate::store::AnyConn;
use crate::store::accounts::names_of;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::families::GuardianRow;
use crate::store::gear::{LotRow, find_lot_by_reference, list_lots};
use crate::store::outbox::{NewLetter, add_letter};
use crate::store::recalls::{
    HolderRow, NewRecall, add_holders, add_recall, end_recall, find_holder, find_recall, holders_of, list_recalls,
    open_holders, set_answer,
};
use crate::store::registrations::find_registration_by_id;

pub use crate::store::recalls::RecallRow;
pub use letter::{ForLetter, for_letter};

/// The kind of letter that tells a family.
pub const LETTER: &str = "helmet_recall";

/// A recall in the list.
#[derive(Clone, Debug)]
pub struct Listed {
    /// Its record.
    pub row: RecallRow,
    /// What is called back, in words.
    pub what: String,
    /// How many riders have one.
    pub holders: usize,
    /// Of how many nobody has said what became.
    pub open: usize,
}

/// Somebody from whom a helmet is wanted back.
#[derive(Clone, Debug)]
pub struct Holder {
    /// The row, as addresses of its form carry it.
    pub number: i64,
    /// The rider.
    pub name: String,
    /// The place's reference.
    pub registration: String,
    /// Where it was handed out.
    pub session: AtSession,
    /// The lot's code.
    pub lot: String,
    /// Lent or given.
    pub way: Way,
    /// The adult who speaks for the child; empty when nobody does.
    pub adult: String,
    /// The adult's telephone as people read it.
    pub phone: String,
    /// The same as dialled.
    pub dial: String,
    /// Whether the adult gets letters.
    pub has_letters: bool,
    /// What became of it.
    pub answer: Option<RecallAnswer>,
    /// When and by whom that was said, on the clocks of the program.
    pub answered: Option<(NaiveDateTime, String)>,
}

/// One recall.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Its record.
    pub row: RecallRow,
    /// What is called back, in words.
    pub what: String,
    /// When it started, on the clocks of the program.
    pub started: NaiveDateTime,
    /// The codes of its lots.
    pub lots: Vec<String>,
    /// Everybody who has one, those without an answer first.
    pub holders: Vec<Holder>,
}

/// What a new recall calls back.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Wanted {
    /// Every lot of a make and model.
    Model(String),
    /// One lot, by its reference.
    Lot(String),
}

/// Every recall, and what could be called back.
#[derive(Clone, Debug)]
pub struct Recalls {
    /// The newest first.
    pub all: Vec<Listed>,
    /// The models of the lots.
    pub models: Vec<String>,
    /// The lots, as reference and words.
    pub lots: Vec<(String, String)>,
}

/// Every recall.
pub fn list(app: &App, caller: &Caller) -> Result<Recalls, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    app.store.read(|conn| {
        let lots = list_lots(conn)?;
        let mut all = Vec::new();
        for row in list_recalls(conn)? {
            let holders = holders_of(conn, row.id)?;
            let open = holders.iter().filter(|holder| is_open(holder)).count();
            all.push(Listed { what: what(&row, &lots), holders: holders.len(), open, row });
        }
        let mut models: Vec<String> = lots.iter().map(|lot| lot.model.clone()).collect();
        models.sort();
        models.dedup();
        let words = |lot: &LotRow| (lot.reference.clone(), format!("{}, {} {}", lot.code, lot.model, lot.size_label));
        Ok(Recalls { all, models, lots: lots.iter().map(words).collect() })
    })
}

/// Whether somebody still has to say what became of it.
fn is_open(holder: &HolderRow) -> bool {
    matches!(holder.answer, None | Some(RecallAnswer::NotReached))
}

fn what(row: &RecallRow, lots: &[LotRow]) -> String {
    let lot = row.lot_id.and_then(|id| lots.iter().find(|lot| lot.id == id));
    match lot {
        Some(lot) => format!("{}, lot {}", lot.model, lot.code),
        None => format!("{}, every lot", row.model),
    }
}

/// One recall by its reference.
///
/// # Errors
/// `NotFound` when there is none.
pub fn find(app: &App, caller: &Caller, reference: &str) -> Result<Sheet, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    app.store.read(|conn| {
        let row = find_recall(conn, reference)?.ok_or(Failure::NotFound)?;
        let zone = program::load(conn)?.zone;
        let local = |at: NaiveDateTime| LocalTime::from_utc(at, zone).wall;
        let lots = list_lots(conn)?;
        let rows = holders_of(conn, row.id)?;
        let people: Vec<AccountId> = rows.iter().filter_map(|one| one.answered_by).collect();
        let names = names_of(conn, &people)?;
        let mut sessions = Sessions::default();
        let mut holders = Vec::new();
        for one in rows {
            let (registration, rider) = find_registration_by_id(conn, one.registration_id)?;
            let adult = speaker(conn, &registration)?;
            let phone = adult.as_ref().map(|adult| adult.phone.clone()).unwrap_or_default();
            let by = one.answered_by.and_then(|id| names.get(&id).cloned()).unwrap_or_default();
            holders.push(Holder {
                number: one.id,
                name: full_name(&rider.given_name, &rider.family_name),
                session: sessions.find(conn, registration.session_id)?,
                registration: registration.reference,
                lot: code_of(&lots, one.lot_id),
                way: one.way,
                adult: adult.as_ref().map(name_of).unwrap_or_default(),
                phone: Phone::shown(&phone),
                dial: phone,
                has_letters: adult.as_ref().is_some_and(GuardianRow::has_letters),
                answer: one.answer,
                answered: one.answered_at.map(|at| (local(at), by)),
            });
        }
        holders.sort_by_key(|one| (one.answer.is_some(), one.number));
        let own = lots.iter().filter(|lot| row.lot_id.map_or(lot.model == row.model, |id| lot.id == id));
        let codes = own.map(|lot| lot.code.clone()).collect();
        Ok(Sheet { what: what(&row, &lots), started: local(row.started_at), lots: codes, holders, row })
    })
}

fn name_of(adult: &GuardianRow) -> String {
    full_name(&adult.given_name, &adult.family_name)
}

fn code_of(lots: &[LotRow], id: LotId) -> String {
    lots.iter().find(|lot| lot.id == id).map(|lot| lot.code.clone()).unwrap_or_default()
}

/// Starts a recall: nothing of it is handed out from now on, and every family that has one is owed a letter. Gives its
/// reference.
///
/// # Errors
/// `NotFound` for a model or a lot that there is not; `RecallStands` when the same is called back already.
pub fn start(app: &App, caller: &Caller, wanted: Wanted, why: Line, source: Line) -> Result<String, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller, reference) = (app.clock.now(), caller.clone(), app.random.reference());
    let base = message_id(app.random.uuid_v7(now), app.settings.server.public_host());
    app.store.write("recall", move |conn| -> Result<String, Failure> {
        let lots = list_lots(conn)?;
        let (model, lot_id, own): (String, Option<LotId>, Vec<LotId>) = match &wanted {
            Wanted::Model(model) => {
                let own = lots.iter().filter(|lot| lot.model == *model).map(|lot| lot.id).collect();
                (model.clone(), None, own)
            }
            Wanted::Lot(reference) => {
                let lot = find_lot_by_reference(conn, reference)?.ok_or(Failure::NotFound)?;
                (String::new(), Some(lot.id), vec![lot.id])
            }
        };
        if own.is_empty() {
            return Err(Failure::NotFound);
        }
        let stands = |row: &RecallRow| row.ended_at.is_none() && (&row.model, row.lot_id) == (&model, lot_id);
        if list_recalls(conn)?.iter().any(stands) {
            return Err(Refusal::Gear(GearRefusal::RecallStands).into());
        }
        let id = add_recall(
            conn,
            &NewRecall {
                reference: reference.clone(),
                model,
                lot_id,
                why: why.as_str().to_owned(),
                source: source.as_str().to_owned(),
                started_at: now,
                started_by: caller.account(),
            },
        )?;
        let holders = add_holders(conn, id, &own)?;
        for (nth, holder) in holders.iter().enumerate() {
            tell(conn, holder, format!("{}.{base}", nth + 1), now)?;
        }
        let (subject, detail) = (format!("recall {reference}"), format!("{} helmets with riders", holders.len()));
        add_audit_row(conn, &AuditRow::by(&caller, now, "recall.start", subject, detail))?;
        Ok(reference.clone())
    })
}

/// One letter to the adult who speaks for the child, if there is one with an account.
fn tell(conn: &mut AnyConn, holder: &HolderRow, message_id: String, at: NaiveDateTime) -> Result<(), Failure> {
    let (registration, _) = find_registration_by_id(conn, holder.registration_id)?;
    let Some(adult) = speaker(conn, &registration)? else { return Ok(()) };
    let Some(account_id) = adult.account_id.filter(|_| adult.has_letters()) else { return Ok(()) };
    let language = registration.language;
    add_letter(conn, &NewLetter { message_id, kind: LETTER, subject_id: holder.id, account_id, language, at })?;
    Ok(())
}

/// Ends a recall: what is left may be handed out again.
///
/// # Errors
/// `NotFound`; `WorldMoved` when it was ended already.
pub fn end(app: &App, caller: &Caller, reference: &str) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller, reference) = (app.clock.now(), caller.clone(), reference.to_owned());
    app.store.write("end recall", move |conn| -> Result<(), Failure> {
        let row = find_recall(conn, &reference)?.ok_or(Failure::NotFound)?;
        if !end_recall(conn, row.id, now)? {
            return Err(Refusal::WorldMoved.into());
        }
        let subject = format!("recall {reference}");
        Ok(add_audit_row(conn, &AuditRow::by(&caller, now, "recall.end", subject, ""))?)
    })
}

/// Notes what became of a helmet, as the office heard.
///
/// # Errors
/// `NotFound`.
pub fn answer(app: &App, caller: &Caller, reference: &str, number: i64, answer: RecallAnswer) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller, reference) = (app.clock.now(), caller.clone(), reference.to_owned());
    app.store.write("recall answer", move |conn| -> Result<(), Failure> {
        let row = find_recall(conn, &reference)?.ok_or(Failure::NotFound)?;
        let holder = find_holder(conn, number)?.filter(|one| one.recall_id == row.id).ok_or(Failure::NotFound)?;
        keep(conn, &caller, &holder, answer, now)
    })
}

fn keep(
    conn: &mut AnyConn,
    caller: &Caller,
    holder: &HolderRow,
    answer: RecallAnswer,
    now: NaiveDateTime,
) -> Result<(), Failure> {
    set_answer(conn, holder.id, answer, caller.account(), now)?;
    let (registration, _) = find_registration_by_id(conn, holder.registration_id)?;
    let subject = format!("registration {}", registration.reference);
    Ok(add_audit_row(conn, &AuditRow::by(caller, now, "recall.answer", subject, answer.to_string()))?)
}

/// A helmet of a child that is called back, as its family reads it.
#[derive(Clone, Debug)]
pub struct OfChild {
    /// The row, as the address of its form carries it.
    pub number: i64,
    /// The make and model.
    pub model: String,
    /// The maker's size word.
    pub size: String,
    /// What is wrong.
    pub why: String,
    /// Who says so.
    pub source: String,
}

/// Helmets of a child that are called back and of which nobody has said what became of them.
///
/// # Errors
/// `NotFound` for a child that is not there or that the caller does not answer for.
pub fn of_child(app: &App, caller: &Caller, rider: &str) -> Result<Vec<OfChild>, Failure> {
    app.store.read(|conn| {
        let (_, child) = own_child(conn, caller, rider)?;
        let lots = list_lots(conn)?;
        let mut found = Vec::new();
        for (recall, holder) in open_holders(conn, &[child.id])? {
            found.extend(told(&lots, &recall, &holder));
        }
        Ok(found)
    })
}

fn told(lots: &[LotRow], recall: &RecallRow, holder: &HolderRow) -> Option<OfChild> {
    let lot = lots.iter().find(|lot| lot.id == holder.lot_id)?;
    let (why, source) = (recall.why.clone(), recall.source.clone());
    Some(OfChild { number: holder.id, model: lot.model.clone(), size: lot.size_label.clone(), why, source })
}

/// Notes what became of a helmet, as the family says.
///
/// # Errors
/// `NotFound` for a child that the caller does not answer for, or a helmet that is not the child's.
pub fn answer_by_family(
    app: &App,
    caller: &Caller,
    rider: &str,
    number: i64,
    answer: RecallAnswer,
) -> Result<(), Failure> {
    let (now, caller, rider) = (app.clock.now(), caller.clone(), rider.to_owned());
    app.store.write("recall answer", move |conn| -> Result<(), Failure> {
        let (_, child) = own_child(conn, &caller, &rider)?;
        let holder = find_holder(conn, number)?.ok_or(Failure::NotFound)?;
        let (registration, _) = find_registration_by_id(conn, holder.registration_id)?;
        if registration.rider_id != child.id {
            return Err(Failure::NotFound);
        }
        keep(conn, &caller, &holder, answer, now)
    })
}

/// Standing recalls with helmets of which nobody has said what became: reference, words, how many.
pub(in crate::services) fn unanswered(conn: &mut AnyConn) -> Result<Vec<(String, String, usize)>, Failure> {
    let lots = list_lots(conn)?;
    let mut found = Vec::new();
    for row in list_recalls(conn)?.into_iter().filter(|row| row.ended_at.is_none()) {
        let open = holders_of(conn, row.id)?.iter().filter(|holder| is_open(holder)).count();
        if open > 0 {
            found.push((row.reference.clone(), what(&row, &lots), open));
        }
    }
    Ok(found)
}
