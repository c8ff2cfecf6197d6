//! What a letter asks and one press answers, without signing in: is this your address, do you take the seat. The letter
//! carries a token of 256 random bits; the database keeps its hash. Looking at a question answers nothing.

use crate::services::ties::speaker;
use chrono::NaiveDateTime;

use super::line::{self, vacate};
use super::{Turn, coming, show_address};
use crate::domain::ids::{AccountId, QuestionId, RegistrationId};
use crate::domain::place::{Ask, PlaceReason, QUESTION_LASTS};
use crate::domain::refusal::Refusal;
use crate::domain::registration::RegistrationState;
use crate::services::family::{Addressed, Receipt, addressed, receipt};
use crate::services::sign_in::Token;
use crate::services::{App, Failure};
use crate::store::AnyConn;
use crate::store::accounts::{find_addressee, find_credentials, is_shown, set_disabled};
use crate::store::families::{find_guardian, forget_address};
use crate::store::places::place_changes_of;
use crate::store::questions::{QuestionRow, add_question_token, find_question, find_question_of_token, set_answered};
use crate::store::registrations::{RegistrationRow, find_registration_by_id, waiting_for_an_answer};
use crate::store::sign_ins::end_sign_ins;

/// What somebody answers.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// It is mine; we take it.
    Yes,
    /// It is not; we leave it.
    No,
}

impl Answer {
    /// As the buttons say it; `None` when no button was pressed.
    #[must_use]
    pub fn from_word(word: &str) -> Option<Self> {
        match word {
            "yes" => Some(Self::Yes),
            "no" => Some(Self::No),
            _ => None,
        }
    }
}

/// A question that can be answered now.
#[derive(Clone, Debug)]
pub struct Asked {
    /// What is asked.
    pub kind: Ask,
    /// About which place.
    pub receipt: Receipt,
    /// Whether the address opens an account already, into which the place then goes.
    pub joins: bool,
}

/// A question with its place and the account that is asked.
struct Open {
    question: QuestionRow,
    row: RegistrationRow,
    account: AccountId,
}

/// The question, unless it was answered or nobody waits for the answer any more.
fn open(conn: &mut AnyConn, question: Option<QuestionRow>, now: NaiveDateTime) -> Result<Open, Failure> {
    let too_late = || Failure::from(Refusal::AnswerTooLate);
    let question =
        question.filter(|q| q.answered_at.is_none() && now - q.asked_at < QUESTION_LASTS).ok_or_else(too_late)?;
    let (row, _) = find_registration_by_id(conn, question.registration_id)?;
    let asked = match question.kind {
        // The address is that of who registered, whoever speaks for the child by now.
        Ask::Address => Some(find_guardian(conn, row.guardian_id)?),
        Ask::Offer | Ask::Coming => speaker(conn, &row)?,
    };
    let account = asked.and_then(|adult| adult.account_id).ok_or_else(too_late)?;
    let is_awaited = match question.kind {
        // An address may still be shown when the place is over: then the family signs in and registers again.
        Ask::Address => {
            !is_shown(conn, account)? && find_addressee(conn, account)?.is_some_and(|a| a.disabled_at.is_none())
        }
        // An offer whose time is over is over, also before the job that ends it has come round.
        Ask::Offer => row.state == RegistrationState::Offered && row.held_until.is_some_and(|until| until > now),
        Ask::Coming => coming::is_awaited(conn, &row, now)?,
    };
    if is_awaited { Ok(Open { question, row, account }) } else { Err(too_late()) }
}

/// What a token asks.
///
/// # Errors
/// `AnswerTooLate` when it is unknown or answered, or nobody waits for the answer any more.
pub fn look(app: &App, token: &str) -> Result<Asked, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let question = find_question_of_token(conn, &Token::hash_of(token))?;
        let open = open(conn, question, now)?;
        let (row, rider) = find_registration_by_id(conn, open.row.id)?;
        let email = find_addressee(conn, open.account)?.ok_or(Failure::NotFound)?.email;
        let joins = open.question.kind == Ask::Address && find_credentials(conn, &email)?.is_some();
        Ok(Asked { kind: open.question.kind, receipt: receipt(app, conn, row, &rider)?, joins })
    })
}

/// Answers a question, once. Gives what was asked.
///
/// # Errors
/// `AnswerTooLate`, as [`look`].
pub fn answer(app: &App, token: &str, answer: Answer, request: &str) -> Result<Ask, Failure> {
    let (turn, hash) = (Turn::new(app, None, request), Token::hash_of(token));
    app.store.write("answer question", move |conn| -> Result<Ask, Failure> {
        let question = find_question_of_token(conn, &hash)?;
        let open = open(conn, question, turn.at)?;
        if !set_answered(conn, open.question.id, turn.at)? {
            return Err(Refusal::AnswerTooLate.into());
        }
        let mut turn = Turn { account: Some(open.account), ..turn.clone() };
        match (open.question.kind, answer) {
            (Ask::Address, Answer::Yes) => {
                show_address(conn, &mut turn, open.account)?;
            }
            (Ask::Address, Answer::No) => disown(conn, &mut turn, &open)?,
            (Ask::Offer, answer) => line::answer_offer(conn, &mut turn, &open.row, answer)?,
            (Ask::Coming, answer) => coming::answered(conn, &mut turn, &open.row, answer)?,
        }
        Ok(open.question.kind)
    })
}

/// Somebody wrote down an address that is not theirs: its owner says so, and all that was made with it ends. A family
/// that staff wrote down keeps its places and is called from then on.
fn disown(conn: &mut AnyConn, turn: &mut Turn, open: &Open) -> Result<(), Failure> {
    if is_by_staff(conn, open.row.id)? {
        forget_address(conn, open.row.guardian_id)?;
        turn.note(conn, &open.row, "place.disown")?;
        return close(conn, turn, open.account);
    }
    let mut rows = waiting_for_an_answer(conn, open.row.guardian_id)?;
    if rows.iter().all(|row| row.id != open.row.id) {
        rows.push(open.row.clone());
    }
    for row in rows {
        vacate(conn, turn, &row, RegistrationState::Cancelled, PlaceReason::GivenUp)?;
        turn.note(conn, &row, "place.disown")?;
    }
    close(conn, turn, open.account)
}

/// Shuts an account whose address is somebody else's.
fn close(conn: &mut AnyConn, turn: &Turn, account: AccountId) -> Result<(), Failure> {
    set_disabled(conn, account, Some(turn.at))?;
    end_sign_ins(conn, account, None, turn.at)?;
    Ok(())
}

/// Whether staff registered the child, the last time that it was.
fn is_by_staff(conn: &mut AnyConn, id: RegistrationId) -> Result<bool, Failure> {
    let steps = place_changes_of(conn, id)?;
    let made = [PlaceReason::Registered, PlaceReason::StaffRegistered];
    let last = steps.iter().rev().find(|step| made.contains(&step.reason));
    Ok(last.is_some_and(|step| step.reason == PlaceReason::StaffRegistered))
}

/// What a letter with a question needs.
pub struct QuestionLetter {
    /// What is asked.
    pub kind: Ask,
    /// The place and its family.
    pub addressed: Addressed,
    /// The whole address of the page that takes the answer.
    pub href: String,
}

/// Draws a token for a letter that is about to be sent. A letter that is sent twice carries two that both serve.
/// `None`: nobody waits for the answer any more.
pub fn for_letter(app: &App, id: QuestionId) -> Result<Option<QuestionLetter>, Failure> {
    let token = Token::draw(&app.random);
    let (hash, now) = (token.hash(), app.clock.now());
    let drawn = app.store.write("draw question", move |conn| -> Result<_, Failure> {
        let question = find_question(conn, id)?;
        let open = open(conn, question, now)?;
        add_question_token(conn, id, &hash, now)?;
        Ok((open.question.kind, open.row.id))
    });
    let (kind, registration) = match drawn {
        Ok(drawn) => drawn,
        Err(Failure::Refused(_)) => return Ok(None),
        Err(failure) => return Err(failure),
    };
    let href = format!("{}/answers/{}", app.settings.server.public_url, token.as_str());
    Ok(addressed(app, registration)?.map(|addressed| QuestionLetter { kind, addressed, href }))
}
