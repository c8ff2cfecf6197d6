//! A family asks for its data to be deleted. The office sees what stands in the way, and deletes what may go; what was
//! signed stays as long as the law asks, and what was counted is counted without a name.

use std::collections::BTreeSet;

use chrono::{NaiveDate, NaiveDateTime};

use super::places::Turn;
use super::ties::{self, other_adults};
use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Guardianship, Subject};
use crate::domain::ids::{AccountId, GuardianId, RegistrationId, SessionId};
use crate::domain::refusal::Refusal;
use crate::domain::words::{Phone, full_name};
use crate::store::AnyConn;
use crate::store::accounts::sides_of;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::deletions::{
    DeletionRow, ask_deletion, blank_adult, blank_rider, empty_account, end_deletions, open_deletions, remove_measures,
};
use crate::store::families::{RiderRow, adults_of, find_guardian, riders_of};
use crate::store::kept_health::remove_kept_health;
use crate::store::merges::hold_ties;
use crate::store::registrations::{RegistrationRow, registrations_of_riders};
use crate::store::retention::{lines_before, remove_contacts, remove_health, remove_lines, sessions_on_hold};
use crate::store::sessions::find_session_by_id;
use crate::store::sign_ins::end_sign_ins;

/// A day after every session, which both engines can write.
const LAST_DAY: NaiveDate = NaiveDate::from_ymd_opt(9999, 12, 31).expect("a day of the calendar");

/// When the caller asked, while the wish stands.
pub fn asked(app: &App, caller: &Caller) -> Result<Option<NaiveDateTime>, Failure> {
    let account = caller.account().ok_or(Failure::NotAllowed)?;
    let open = app.store.read(open_deletions)?;
    Ok(open.into_iter().find(|wish| wish.account == account).map(|wish| wish.asked_at))
}

/// Asks for deletion, or takes the wish back.
///
/// # Errors
/// `NotAllowed` for who is no family.
pub fn set_asked(app: &App, caller: &Caller, wants: bool) -> Result<(), Failure> {
    let (Some(account), Some(_)) = (caller.account(), caller.guardian()) else { return Err(Failure::NotAllowed) };
    let (now, reference, caller) = (app.clock.now(), app.random.reference(), caller.clone());
    app.store.write("ask deletion", move |conn| -> Result<(), Failure> {
        match wants {
            true => ask_deletion(conn, account, &reference, now)?,
            false => end_deletions(conn, account, now)?,
        }
        let action = if wants { "data.ask_deletion" } else { "data.keep" };
        let subject = format!("account {}", account.raw());
        Ok(add_audit_row(conn, &AuditRow::by(&caller, now, action, subject, String::new()))?)
    })
}

/// What stands in the way of a deletion.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Obstacle {
    /// A child has a place that is not over.
    Place {
        /// The child.
        child: String,
        /// The site.
        site: String,
        /// The session's reference.
        session: String,
        /// The registration's reference.
        registration: String,
    },
    /// A session is under a legal hold.
    Hold {
        /// The site.
        site: String,
        /// The session's reference.
        session: String,
    },
}

/// A wish as the office sees it.
#[derive(Clone, Debug)]
pub struct Wish {
    /// Public reference.
    pub reference: String,
    /// Who asks.
    pub name: String,
    /// Telephone as people read it, and as dialled.
    pub phone: (String, String),
    /// When, in UTC.
    pub asked_at: NaiveDateTime,
    /// The children for whom nobody else answers: what is kept of them goes.
    pub children: Vec<String>,
    /// The children for whom somebody else answers too: they stay, without this adult.
    pub shared: Vec<String>,
    /// What has to be settled first.
    pub obstacles: Vec<Obstacle>,
}

/// The children of an adult: those that nobody else answers for, and the others.
fn children(conn: &mut AnyConn, guardian: GuardianId) -> Result<(Vec<RiderRow>, Vec<RiderRow>), Failure> {
    let (mut alone, mut shared) = (Vec::new(), Vec::new());
    for rider in riders_of(conn, guardian)? {
        let others = other_adults(conn, rider.id, guardian)?;
        if others.is_empty() { alone.push(rider) } else { shared.push(rider) }
    }
    Ok((alone, shared))
}

fn given(riders: &[RiderRow]) -> Vec<String> {
    riders.iter().map(|rider| full_name(&rider.given_name, &rider.family_name)).collect()
}

fn obstacles(app: &App, conn: &mut AnyConn, riders: &[RiderRow]) -> Result<Vec<Obstacle>, Failure> {
    let today = app.clock.today(program::load(conn)?.zone);
    let on_hold: BTreeSet<SessionId> = sessions_on_hold(conn)?.into_iter().collect();
    let mut found = Vec::new();
    for rider in riders {
        for row in registrations_of_riders(conn, &[rider.id])? {
            let view = find_session_by_id(conn, row.session_id)?;
            let (site, session) = (view.site.name, view.session.reference);
            if on_hold.contains(&row.session_id) {
                found.push(Obstacle::Hold { site, session });
            } else if row.state.is_open() && row.outcome.is_none() && view.session.last_on >= today {
                let child = full_name(&rider.given_name, &rider.family_name);
                found.push(Obstacle::Place { child, site, session, registration: row.reference });
            }
        }
    }
    Ok(found)
}

/// The wishes that stand, for the office.
pub fn list(app: &App, caller: &Caller) -> Result<Vec<Wish>, Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    app.store.read(|conn| {
        let mut wishes = Vec::new();
        for row in open_deletions(conn)? {
            let Some(guardian) = sides_of(conn, row.account)?.0 else { continue };
            let (alone, shared) = children(conn, guardian)?;
            let adult = find_guardian(conn, guardian)?;
            wishes.push(Wish {
                reference: row.reference,
                name: full_name(&adult.given_name, &adult.family_name),
                phone: (Phone::shown(&adult.phone), adult.phone),
                asked_at: row.asked_at,
                obstacles: obstacles(app, conn, &alone)?,
                children: given(&alone),
                shared: given(&shared),
            });
        }
        Ok(wishes)
    })
}

/// Deletes what may go of a family that asked.
///
/// # Errors
/// `NotFound` for a wish that does not stand any more; `WorldMoved` while something stands in the way.
pub fn delete(app: &App, caller: &Caller, reference: &str) -> Result<(), Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    let (turn, own, caller, reference) = (Turn::of(app, caller), app.clone(), caller.clone(), reference.to_owned());
    app.store.write("delete family", move |conn| -> Result<(), Failure> {
        let found: Option<DeletionRow> = open_deletions(conn)?.into_iter().find(|wish| wish.reference == reference);
        let account: AccountId = found.ok_or(Failure::NotFound)?.account;
        let mut turn = turn.clone();
        let now = turn.now();
        let sides = sides_of(conn, account)?;
        let guardian = sides.0.ok_or(Failure::NotFound)?;
        // A registration under way ends first, and then stands in the way.
        for rider in riders_of(conn, guardian)? {
            hold_ties(conn, rider.id)?;
        }
        let (alone, shared) = children(conn, guardian)?;
        if !obstacles(&own, conn, &alone)?.is_empty() {
            return Err(Refusal::WorldMoved.into());
        }
        let riders: Vec<_> = alone.iter().map(|rider| rider.id).collect();
        let rows: Vec<RegistrationRow> = registrations_of_riders(conn, &riders)?;
        let all: Vec<RegistrationId> = rows.iter().map(|row| row.id).collect();
        remove_health(conn, &all)?;
        remove_contacts(conn, &all)?;
        // Whenever its session is: nothing of the family's has a place any more.
        let without_seat: BTreeSet<RegistrationId> =
            lines_before(conn, LAST_DAY)?.into_iter().map(|(row, _)| row).collect();
        let lines: Vec<RegistrationId> = all.iter().filter(|row| without_seat.contains(row)).copied().collect();
        remove_lines(conn, &lines)?;
        for rider in &riders {
            remove_kept_health(conn, *rider)?;
            remove_measures(conn, *rider)?;
            blank_rider(conn, *rider)?;
        }
        for rider in &shared {
            let adults = adults_of(conn, rider.id)?;
            let own = adults.iter().find(|adult| adult.guardian.id == guardian).ok_or(Failure::NotFound)?;
            ties::set(conn, &mut turn, &caller, rider, own, (Guardianship::Revoked, "Asked for deletion"))?;
        }
        end_deletions(conn, account, now)?;
        // Who works for the program keeps the account, without a family's side to it.
        if sides.1.is_none() {
            empty_account(conn, account, guardian, &reference, now)?;
            end_sign_ins(conn, account, None, now)?;
            blank_adult(conn, account, guardian)?;
        }
        let detail = format!("{} children, {} registrations", riders.len(), all.len());
        let subject = format!("account {}", account.raw());
        Ok(add_audit_row(conn, &AuditRow::by(&caller, now, "data.delete", subject, detail))?)
    })
}
