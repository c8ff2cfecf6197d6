//! Letters to be sent: asked for in the business transaction, claimed by one runner at a time, kept until they are out.
//! A row holds what the letter is about, never its words.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{accounts, outbox};
use crate::domain::ids::{AccountId, OutboxId};
use crate::domain::words::Lang;

/// A letter somebody is owed.
#[derive(Clone, Debug, PartialEq, Eq, Queryable, Selectable)]
#[diesel(table_name = outbox)]
pub struct OutboxRow {
    /// The row.
    pub id: OutboxId,
    /// The same on every attempt.
    pub message_id: String,
    /// Which letter, by the name in `jobs/letters/`.
    pub kind: String,
    /// The row the letter is about; the kind says of which table.
    pub subject_id: i64,
    /// Who gets it.
    pub account_id: AccountId,
    /// In which language.
    pub language: Lang,
    /// How often it was tried in vain.
    pub tries: i64,
    /// When it was asked for, UTC.
    pub created_at: NaiveDateTime,
    /// Why it did not go out the last time.
    pub fault: Option<String>,
}

impl OutboxRow {
    /// Whether a relay had the whole letter before and did not answer: the letter may be out.
    pub fn may_be_out(&self) -> bool {
        is_in_doubt(self.fault.as_deref())
    }
}

fn is_in_doubt(fault: Option<&str>) -> bool {
    fault.is_some_and(|fault| fault.contains(UNANSWERED))
}

/// In the fault of a letter that a relay had and did not answer for; it stays there while the letter is tried.
pub const UNANSWERED: &str = "unanswered";
/// The fault of a letter that nobody is owed any more.
pub const MOOT: &str = "moot";

/// A letter about to be asked for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewLetter {
    /// Drawn once; see `outside::mail::message_id`.
    pub message_id: String,
    /// Which letter, by the name in `jobs/letters/`.
    pub kind: &'static str,
    /// The row the letter is about.
    pub subject_id: i64,
    /// Who gets it.
    pub account_id: AccountId,
    /// In which language.
    pub language: Lang,
    /// Now, UTC.
    pub at: NaiveDateTime,
}

/// How far a claim reaches.
#[derive(Clone, Debug)]
pub struct Claim {
    /// Who claims: one name per running process.
    pub holder: String,
    /// Now, UTC.
    pub now: NaiveDateTime,
    /// When the claim ends by itself, should the holder die.
    pub until: NaiveDateTime,
    /// At most so many letters.
    pub most: i64,
    /// Also letters that are put off because none went out: the probe of a relay that was down.
    pub early: bool,
}

/// Asks for a letter, inside the transaction that gives the reason for it. Due at once.
pub fn add_letter(conn: &mut AnyConn, new: &NewLetter) -> Result<OutboxId, StoreError> {
    Ok(diesel::insert_into(outbox::table)
        .values((
            outbox::message_id.eq(&new.message_id),
            outbox::kind.eq(new.kind),
            outbox::subject_id.eq(new.subject_id),
            outbox::account_id.eq(new.account_id),
            outbox::language.eq(new.language),
            outbox::state.eq("due"),
            outbox::tries.eq(0),
            outbox::due_at.eq(new.at),
            outbox::created_at.eq(new.at),
        ))
        .returning(outbox::id)
        .get_result(conn)?)
}

/// Claims due letters, oldest first. Two runners never get the same one: each claim is a guarded update.
pub fn claim_letters(conn: &mut AnyConn, claim: &Claim) -> Result<Vec<OutboxRow>, StoreError> {
    let free = outbox::leased_until.is_null().or(outbox::leased_until.le(claim.now));
    let mut due = outbox::table.filter(outbox::state.eq("due")).filter(free).into_boxed();
    due = match claim.early {
        true => due.filter(outbox::due_at.le(claim.now).or(outbox::fault.like("down %"))),
        false => due.filter(outbox::due_at.le(claim.now)),
    };
    let wanted: Vec<OutboxRow> =
        due.order((outbox::due_at, outbox::id)).limit(claim.most).select(OutboxRow::as_select()).load(conn)?;
    let mut claimed = Vec::with_capacity(wanted.len());
    for row in wanted {
        let free = outbox::leased_until.is_null().or(outbox::leased_until.le(claim.now));
        let changed = diesel::update(outbox::table.filter(outbox::id.eq(row.id)))
            .filter(outbox::state.eq("due"))
            .filter(free)
            .set((outbox::leased_until.eq(claim.until), outbox::leased_by.eq(&claim.holder)))
            .execute(conn)?;
        if changed == 1 {
            claimed.push(row);
        }
    }
    Ok(claimed)
}

/// Notes that a letter is out.
pub fn set_letter_sent(conn: &mut AnyConn, id: OutboxId, now: NaiveDateTime) -> Result<(), StoreError> {
    diesel::update(outbox::table.filter(outbox::id.eq(id)))
        .set((
            outbox::state.eq("sent"),
            outbox::sent_at.eq(now),
            outbox::fault.eq(None::<String>),
            outbox::leased_until.eq(None::<NaiveDateTime>),
            outbox::leased_by.eq(None::<String>),
        ))
        .execute(conn)?;
    Ok(())
}

/// Puts a letter off until `due_at` and frees it.
pub fn set_letter_put_off(
    conn: &mut AnyConn,
    id: OutboxId,
    due_at: NaiveDateTime,
    fault: &str,
) -> Result<(), StoreError> {
    diesel::update(outbox::table.filter(outbox::id.eq(id)).filter(outbox::state.eq("due")))
        .set((
            outbox::due_at.eq(due_at),
            outbox::tries.eq(outbox::tries + 1),
            outbox::fault.eq(fault),
            outbox::leased_until.eq(None::<NaiveDateTime>),
            outbox::leased_by.eq(None::<String>),
        ))
        .execute(conn)?;
    Ok(())
}

/// Stops a letter for good; a person must look.
pub fn set_letter_stopped(conn: &mut AnyConn, id: OutboxId, fault: &str) -> Result<(), StoreError> {
    diesel::update(outbox::table.filter(outbox::id.eq(id)).filter(outbox::state.eq("due")))
        .set((
            outbox::state.eq("stopped"),
            outbox::tries.eq(outbox::tries + 1),
            outbox::fault.eq(fault),
            outbox::leased_until.eq(None::<NaiveDateTime>),
            outbox::leased_by.eq(None::<String>),
        ))
        .execute(conn)?;
    Ok(())
}

/// Makes every letter due now that was put off while no letter went out: its fault begins with `down `.
pub fn set_held_letters_due(conn: &mut AnyConn, now: NaiveDateTime) -> Result<usize, StoreError> {
    Ok(diesel::update(outbox::table.filter(outbox::state.eq("due")).filter(outbox::due_at.gt(now)))
        .filter(outbox::fault.like("down %"))
        .set(outbox::due_at.eq(now))
        .execute(conn)?)
}

/// How many letters wait, and how many are stopped and need a person.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Backlog {
    /// Not out yet.
    pub due: i64,
    /// Given up.
    pub stopped: i64,
}

/// The letters that are not out and that somebody is owed.
pub fn backlog(conn: &mut AnyConn) -> Result<Backlog, StoreError> {
    let owed = outbox::fault.is_null().or(outbox::fault.ne(MOOT));
    let mut count = |state: &str| outbox::table.filter(outbox::state.eq(state).and(owed)).count().get_result(conn);
    Ok(Backlog { due: count("due")?, stopped: count("stopped")? })
}

/// A letter that was given up, and whom it should have reached.
#[derive(Clone, Debug, PartialEq, Eq, Queryable)]
pub struct StoppedLetter {
    /// Which letter.
    pub kind: String,
    /// The person's given name.
    pub given_name: String,
    /// The family name.
    pub family_name: String,
    /// The address that failed.
    pub email: String,
    /// Why.
    pub fault: Option<String>,
}

impl StoppedLetter {
    /// Whether the relay had the letter and never said that it took it.
    pub fn may_be_out(&self) -> bool {
        is_in_doubt(self.fault.as_deref())
    }
}

/// Letters asked for since an instant and given up, the newest first; not those about a change of a session, which have
/// a list of their own.
pub fn stopped_letters(conn: &mut AnyConn, since: NaiveDateTime) -> Result<Vec<StoppedLetter>, StoreError> {
    Ok(outbox::table
        .inner_join(accounts::table)
        .filter(outbox::state.eq("stopped"))
        .filter(outbox::created_at.ge(since))
        .filter(outbox::kind.not_like("session_%"))
        .filter(outbox::fault.is_null().or(outbox::fault.ne(MOOT)))
        .order(outbox::id.desc())
        .select((outbox::kind, accounts::given_name, accounts::family_name, accounts::email, outbox::fault))
        .load(conn)?)
}

/// Whether a letter of this kind about this row was ever asked for.
pub fn has_letter(conn: &mut AnyConn, kind: &str, subject_id: i64) -> Result<bool, StoreError> {
    let asked = outbox::table.filter(outbox::kind.eq(kind)).filter(outbox::subject_id.eq(subject_id));
    Ok(diesel::select(diesel::dsl::exists(asked)).get_result(conn)?)
}
