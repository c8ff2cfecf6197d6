//! What becomes of a place after registration: the address is confirmed, the place is given up, a seat that came free is
//! offered to the first in line, answers come in or the time for them runs out. Seats and line change only here and at
//! registration, each step with its letter in the same transaction.

mod address;
mod coming;
mod elsewhere;
mod line;
mod office;
mod question;

use super::ties::speaker;
use chrono::NaiveDateTime;

pub(super) use address::{confirm_places, show_address};
pub use coming::{answer_coming, remind};
pub(super) use elsewhere::not_at_once;
pub use elsewhere::{choices, move_to};
pub use office::{Called, Sheet, give_seat, sheet};
pub use question::{Answer, Asked, QuestionLetter, answer, for_letter, look};

use super::{App, Failure, ask, program, texts};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::hold::{HoldRule, Start};
use crate::domain::ids::{AccountId, RegistrationId, SessionId};
use crate::domain::place::{Ask, PlaceReason};
use crate::domain::refusal::Refusal;
use crate::domain::registration::RegistrationState;
use crate::domain::session::SessionState;
use crate::domain::sign_in::{LINK_LETTERS, TRIES_WINDOW};
use crate::domain::text_message::TextKind;
use crate::outside::mail::message_id;
use crate::store::accounts::is_shown;
use crate::store::acts::acts_about;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::families::{GuardianRow, find_guardianship};
use crate::store::outbox::{NewLetter, add_letter};
use crate::store::places::{
    count_in_line, line_of, overdue_places, sessions_with_a_seat_for_the_line, set_line_wishes,
};
use crate::store::questions::{add_question, count_questions_since};
use crate::store::registrations::{RegistrationRow, find_registration, find_registration_by_id};
use crate::store::sessions::{find_session_by_id, meetings_of};
use crate::store::{AnyConn, StoreError};

/// One transaction's share of what it writes: the moment, who asked, and a stem for the ids of its letters.
#[derive(Clone)]
pub(super) struct Turn {
    at: NaiveDateTime,
    stem: String,
    letters: usize,
    account: Option<AccountId>,
    request: String,
    /// Whether there are text messages.
    texts: bool,
}

impl Turn {
    /// Drawn before the transaction, and cloned by it: one that runs again owes the same letters.
    pub(super) fn new(app: &App, account: Option<AccountId>, request: &str) -> Self {
        let at = app.clock.now();
        let stem = message_id(app.random.uuid_v7(at), app.settings.server.public_host());
        Self { at, stem, letters: 0, account, request: request.to_owned(), texts: texts::are_there(app) }
    }

    pub(super) fn of(app: &App, caller: &Caller) -> Self {
        Self::new(app, caller.account(), &caller.request)
    }

    /// The moment of all that it writes, UTC.
    pub(super) fn now(&self) -> NaiveDateTime {
        self.at
    }

    /// Owes the family of a place a letter; families without an account are called by the office.
    pub(super) fn owe(
        &mut self,
        conn: &mut AnyConn,
        row: &RegistrationRow,
        kind: &'static str,
        subject_id: i64,
    ) -> Result<(), StoreError> {
        match addressee(conn, row)? {
            Some(adult) => self.owe_to(conn, &adult, kind, subject_id),
            None => Ok(()),
        }
    }

    /// Owes the family of a place a text message beside the letter, when its adult agreed to texts.
    pub(super) fn text(&self, conn: &mut AnyConn, row: &RegistrationRow, kind: TextKind) -> Result<(), StoreError> {
        match addressee(conn, row)?.filter(|_| self.texts) {
            Some(adult) => texts::owe_place(conn, &adult, kind, row, self.at),
            None => Ok(()),
        }
    }

    /// Owes an adult a letter in the language they read; nothing without an account.
    pub(super) fn owe_to(
        &mut self,
        conn: &mut AnyConn,
        adult: &GuardianRow,
        kind: &'static str,
        subject_id: i64,
    ) -> Result<(), StoreError> {
        let (Some(account_id), language) = (adult.account_id, adult.language) else { return Ok(()) };
        self.letters += 1;
        let message_id = format!("{}.{}", self.letters, self.stem);
        add_letter(conn, &NewLetter { message_id, kind, subject_id, account_id, language, at: self.at })?;
        Ok(())
    }

    /// Tells the family what its place is now.
    pub(super) fn tell(
        &mut self,
        conn: &mut AnyConn,
        row: &RegistrationRow,
        state: RegistrationState,
    ) -> Result<(), StoreError> {
        self.owe(conn, row, if state.takes_a_seat() { "registered" } else { "waitlisted" }, row.id.raw())
    }

    /// Asks the family of a place something by letter.
    pub(super) fn put(&mut self, conn: &mut AnyConn, row: &RegistrationRow, what: Ask) -> Result<(), StoreError> {
        let id = add_question(conn, what, row.id, self.at)?;
        let kind = match what {
            Ask::Address => "address_asked",
            Ask::Offer => "seat_offered",
            Ask::Coming => "still_coming",
        };
        if what == Ask::Offer {
            self.text(conn, row, TextKind::Offered)?;
        }
        self.owe(conn, row, kind, id.raw())
    }

    fn note(&self, conn: &mut AnyConn, row: &RegistrationRow, action: &'static str) -> Result<(), StoreError> {
        let (at, account, request) = (self.at, self.account, self.request.clone());
        let subject = format!("registration {}", row.reference);
        add_audit_row(conn, &AuditRow { at, account, action, subject, request, detail: String::new() })
    }
}

/// The adult who is written to about a place, in the language they read it in.
fn addressee(conn: &mut AnyConn, row: &RegistrationRow) -> Result<Option<GuardianRow>, StoreError> {
    let adult = speaker(conn, row)?;
    Ok(adult.map(|adult| match adult.id == row.guardian_id {
        // The language in which the child was registered.
        true => GuardianRow { language: row.language, ..adult },
        false => adult,
    }))
}

/// When and where a session begins.
pub(super) fn start_of(conn: &mut AnyConn, session: SessionId) -> Result<Start, Failure> {
    let first = meetings_of(conn, session)?.into_iter().next().ok_or(StoreError::Missing)?;
    let zone = first.zone.parse().map_err(|_| StoreError::Unreadable("meetings.zone"))?;
    Ok(Start { at: first.starts_at, zone })
}

fn rule(conn: &mut AnyConn) -> Result<HoldRule, Failure> {
    Ok(program::load(conn)?.settings.holds)
}

/// Until when a new family's place waits for its address. `None`: the start is too near to wait.
pub(super) fn confirm_until(
    conn: &mut AnyConn,
    session: SessionId,
    now: NaiveDateTime,
) -> Result<Option<NaiveDateTime>, Failure> {
    Ok(rule(conn)?.confirm_until(now, start_of(conn, session)?))
}

/// On whose side somebody acts for a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Its own family.
    Family,
    /// The office, for a family that called.
    Office,
}

/// A registration for whoever may act for it on this side.
pub(super) fn find(
    conn: &mut AnyConn,
    caller: &Caller,
    side: Side,
    reference: &str,
) -> Result<RegistrationRow, Failure> {
    if side == Side::Office {
        ask(caller, Action::Plan, Subject::Program)?;
    }
    let (row, rider) = find_registration(conn, reference)?.ok_or(Failure::NotFound)?;
    if side == Side::Family {
        let guardian = caller.guardian().ok_or(Failure::NotFound)?;
        let tie = find_guardianship(conn, guardian, rider.id)?;
        ask(caller, Action::AnswerForRider, Subject::Rider { tie })?;
    }
    Ok(row)
}

/// Gives up a place. A seat goes to the first in line at once. The office may do so also on the day, for a child of whom
/// nothing has been written down.
///
/// # Errors
/// `SessionHasBegun` from the start on; `WorldMoved` when there is no place any more.
pub fn give_up(app: &App, caller: &Caller, side: Side, reference: &str) -> Result<(), Failure> {
    let (turn, caller, reference) = (Turn::of(app, caller), caller.clone(), reference.to_owned());
    app.store.write("give up place", move |conn| -> Result<(), Failure> {
        let mut turn = turn.clone();
        let row = find(conn, &caller, side, &reference)?;
        match side {
            Side::Family => still_before(conn, &turn, &row)?,
            Side::Office => nothing_done_yet(conn, &row)?,
        }
        if !row.state.is_open() || row.outcome.is_some() {
            return Err(Refusal::WorldMoved.into());
        }
        let reason = if side == Side::Office { PlaceReason::OfficeGaveUp } else { PlaceReason::GivenUp };
        line::vacate(conn, &mut turn, &row, RegistrationState::Cancelled, reason)?;
        turn.note(conn, &row, "place.give_up")?;
        turn.owe(conn, &row, "place_given_up", row.id.raw())?;
        Ok(())
    })
}

/// Whether the session still stands and has not begun.
fn still_before(conn: &mut AnyConn, turn: &Turn, row: &RegistrationRow) -> Result<(), Failure> {
    let view = find_session_by_id(conn, row.session_id)?;
    if view.session.state != SessionState::Announced || start_of(conn, row.session_id)?.at <= turn.at {
        return Err(Refusal::SessionHasBegun.into());
    }
    Ok(())
}

/// Whether nothing has been written down about this child in a session that still stands.
fn nothing_done_yet(conn: &mut AnyConn, row: &RegistrationRow) -> Result<(), Failure> {
    let view = find_session_by_id(conn, row.session_id)?;
    if view.session.state != SessionState::Announced || !acts_about(conn, row.id)?.is_empty() {
        return Err(Refusal::SessionHasBegun.into());
    }
    Ok(())
}

/// Takes the seat that is offered, or leaves it to the next family.
///
/// # Errors
/// `AnswerTooLate` when it is offered no more.
pub fn answer_offer(app: &App, caller: &Caller, side: Side, reference: &str, answer: Answer) -> Result<(), Failure> {
    let (turn, caller, reference) = (Turn::of(app, caller), caller.clone(), reference.to_owned());
    app.store.write("answer offer", move |conn| -> Result<(), Failure> {
        let row = find(conn, &caller, side, &reference)?;
        line::answer_offer(conn, &mut turn.clone(), &row, answer)
    })
}

/// Keeps what a family wishes while its child waits: to come at short notice, and seats together with a brother or sister.
///
/// # Errors
/// `WorldMoved` when the child waits no more.
pub fn wish_in_line(app: &App, caller: &Caller, reference: &str, standby: bool, together: bool) -> Result<(), Failure> {
    let (turn, caller, reference) = (Turn::of(app, caller), caller.clone(), reference.to_owned());
    app.store.write("wish in line", move |conn| -> Result<(), Failure> {
        let row = find(conn, &caller, Side::Family, &reference)?;
        let is_group = count_in_line(conn, row.session_id, row.guardian_id)? > 1;
        if !set_line_wishes(conn, row.id, standby, together && is_group)? {
            return Err(Refusal::WorldMoved.into());
        }
        if together != row.together && is_group {
            // The wish is the family's: it holds for all of its children in this line.
            let line = line_of(conn, row.session_id)?;
            for other in line.iter().filter(|other| other.guardian_id == row.guardian_id && other.id != row.id) {
                set_line_wishes(conn, other.id, other.standby, together)?;
            }
        }
        turn.note(conn, &row, "place.wish")?;
        Ok(())
    })
}

/// Sends the letter once more that asks whether the address is the family's own.
///
/// # Errors
/// `WorldMoved` when the address is known already; `TooManyTries` after five letters in a quarter of an hour.
pub fn ask_again(app: &App, caller: &Caller, reference: &str) -> Result<(), Failure> {
    let (turn, caller, reference) = (Turn::of(app, caller), caller.clone(), reference.to_owned());
    app.store.write("ask for address again", move |conn| -> Result<(), Failure> {
        let row = find(conn, &caller, Side::Family, &reference)?;
        let account = caller.account().ok_or(Failure::NotAllowed)?;
        if is_shown(conn, account)? || !row.state.is_open() {
            return Err(Refusal::WorldMoved.into());
        }
        let lately = count_questions_since(conn, row.id, Ask::Address, turn.at - TRIES_WINDOW)?;
        if usize::try_from(lately).is_ok_and(|lately| lately >= LINK_LETTERS) {
            return Err(Refusal::TooManyTries { minutes: TRIES_WINDOW.num_minutes() }.into());
        }
        turn.clone().put(conn, &row, Ask::Address)?;
        Ok(())
    })
}

/// The most places that one turn of the job looks at.
const MOST: i64 = 500;

/// Ends what waited too long for an answer, and offers every free seat to whoever is first in line. Comes round.
pub fn run(app: &App) -> Result<(), Failure> {
    let now = app.clock.now();
    for id in app.store.read(|conn| overdue_places(conn, now, MOST))? {
        let turn = Turn::new(app, None, "job places");
        app.store.write("let place run out", move |conn| run_out(conn, &mut turn.clone(), id))?;
    }
    for session in app.store.read(sessions_with_a_seat_for_the_line)? {
        let turn = Turn::new(app, None, "job places");
        app.store.write("offer seats", move |conn| line::offer_free_seats(conn, &mut turn.clone(), session))?;
    }
    Ok(())
}

fn run_out(conn: &mut AnyConn, turn: &mut Turn, id: RegistrationId) -> Result<(), Failure> {
    let (row, _) = find_registration_by_id(conn, id)?;
    if row.held_until.is_none_or(|until| until > turn.at) {
        return Ok(());
    }
    let kind = if row.state == RegistrationState::Offered { "offer_ran_out" } else { "hold_ran_out" };
    if line::vacate(conn, turn, &row, RegistrationState::Lapsed, PlaceReason::RanOut)? {
        turn.note(conn, &row, "place.run_out")?;
        turn.owe(conn, &row, kind, row.id.raw())?;
    }
    Ok(())
}
