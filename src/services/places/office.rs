//! A place as the office sees it: for families that call, and for those whom no letter reaches.

use super::{Side, Turn, find};
use crate::domain::access::Caller;
use crate::domain::place::PlaceReason;
use crate::domain::refusal::Refusal;
use crate::domain::registration::RegistrationState;
use crate::domain::session::SessionState;
use crate::domain::words::{Lang, Phone, full_name};
use crate::services::family::{Receipt, receipt};
use crate::services::ties::speaker;
use crate::services::{App, Failure, texts};
use crate::store::places::{Step, leave_line, move_place, take_freed_seat};
use crate::store::registrations::find_registration_by_id;
use crate::store::sessions::find_session_by_id;

/// One place with what the office needs to call its family. No health notes, ever.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// The registration.
    pub receipt: Receipt,
    /// Public reference of the rider.
    pub rider: String,
    /// The adult who speaks for the place; nobody when none may decide for the child.
    pub adult: Option<Called>,
}

/// An adult whom the office calls.
#[derive(Clone, Debug)]
pub struct Called {
    /// Name in one line.
    pub name: String,
    /// Telephone as people read it.
    pub phone: String,
    /// The same as dialled.
    pub dial: String,
    /// The language the adult reads.
    pub language: Lang,
    /// Whether letters reach the adult.
    pub has_letters: bool,
    /// Whether the adult gets text messages; nothing where there are none.
    pub texts: Option<bool>,
}

/// One place of a session.
///
/// # Errors
/// `NotFound` when the registration is none of that session.
pub fn sheet(app: &App, caller: &Caller, session: &str, reference: &str) -> Result<Sheet, Failure> {
    app.store.read(|conn| {
        let row = find(conn, caller, Side::Office, reference)?;
        if find_session_by_id(conn, row.session_id)?.session.reference != session {
            return Err(Failure::NotFound);
        }
        let adult = speaker(conn, &row)?;
        let (row, rider) = find_registration_by_id(conn, row.id)?;
        Ok(Sheet {
            rider: rider.reference.clone(),
            receipt: receipt(app, conn, row, &rider)?,
            adult: adult.map(|adult| Called {
                has_letters: adult.has_letters(),
                texts: texts::are_there(app).then_some(adult.texts_agreed_at.is_some()),
                name: full_name(&adult.given_name, &adult.family_name),
                phone: Phone::shown(&adult.phone),
                dial: adult.phone,
                language: adult.language,
            }),
        })
    })
}

/// Gives a child a seat for good: one that waits, out of turn because somebody can come at once, or one whose seat is held
/// until a letter is answered that the family does not get.
///
/// # Errors
/// `NoSeatFree` when every seat is taken; `WorldMoved` when the child neither waits nor is asked.
pub fn give_seat(app: &App, caller: &Caller, reference: &str) -> Result<(), Failure> {
    let (turn, caller, reference) = (Turn::of(app, caller), caller.clone(), reference.to_owned());
    app.store.write("give seat", move |conn| -> Result<(), Failure> {
        let mut turn = turn.clone();
        let row = find(conn, &caller, Side::Office, &reference)?;
        let waits = row.state == RegistrationState::Waitlisted;
        let view = find_session_by_id(conn, row.session_id)?;
        if view.session.state != SessionState::Announced || !(waits || row.state == RegistrationState::Held) {
            return Err(Refusal::WorldMoved.into());
        }
        if waits && !take_freed_seat(conn, row.session_id)? {
            return Err(Refusal::NoSeatFree.into());
        }
        let step = Step {
            from: row.state,
            to: RegistrationState::Confirmed,
            place: None,
            held_until: None,
            reason: PlaceReason::OfficeSeated,
            at: turn.at,
        };
        if !move_place(conn, row.id, &step)? {
            return Err(Refusal::WorldMoved.into());
        }
        if waits {
            leave_line(conn, row.session_id)?;
        }
        turn.note(conn, &row, "place.seat")?;
        turn.tell(conn, &row, RegistrationState::Confirmed)?;
        Ok(())
    })
}
