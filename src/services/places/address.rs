//! A family shows that its address is its own: then the address opens the account, and its places count. When the address
//! opens an account already, what was registered goes there; who registers does not learn of it beforehand.

use super::Turn;
use super::line::vacate;
use crate::domain::access::Role;
use crate::domain::ids::{AccountId, GuardianId};
use crate::domain::place::PlaceReason;
use crate::domain::refusal::Refusal;
use crate::domain::registration::RegistrationState;
use crate::services::Failure;
use crate::store::AnyConn;
use crate::store::accounts::{
    add_role, find_addressee, find_credentials, hold_and_see_shown, set_disabled, set_email_shown, sides_of,
};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::families::{RiderRow, hand_over_rider, remove_rider, riders_of, set_guardian_account};
use crate::store::places::{Step, move_place};
use crate::store::registrations::{find_registration_of, registrations_of_riders, set_family, waiting_for_an_answer};
use crate::store::sign_ins::end_sign_ins;

/// Takes an account's address as shown. Gives the account that the address opens from now on.
///
/// # Errors
/// `LinkOver` when that account is shut.
pub(in crate::services) fn show_address(
    conn: &mut AnyConn,
    turn: &mut Turn,
    account: AccountId,
) -> Result<AccountId, Failure> {
    if hold_and_see_shown(conn, account)? {
        set_email_shown(conn, account, turn.at)?;
        return Ok(account);
    }
    let reader = find_addressee(conn, account)?.ok_or(Failure::NotFound)?;
    let owner = match find_credentials(conn, &reader.email)? {
        _ if reader.disabled_at.is_some() => return Err(Refusal::LinkOver.into()),
        Some(owner) if owner.disabled_at.is_some() => return Err(Refusal::LinkOver.into()),
        Some(owner) => {
            join(conn, turn, account, owner.id)?;
            owner.id
        }
        None => {
            set_email_shown(conn, account, turn.at)?;
            account
        }
    };
    confirm_places(conn, turn, owner)?;
    Ok(owner)
}

/// Confirms the places of an account whose address has just been shown.
pub(in crate::services) fn confirm_places(
    conn: &mut AnyConn,
    turn: &mut Turn,
    account: AccountId,
) -> Result<(), Failure> {
    let (Some(guardian), _) = sides_of(conn, account)? else { return Ok(()) };
    for row in waiting_for_an_answer(conn, guardian)? {
        // A place whose time is over is over, also before the job that ends it has come round.
        if row.held_until.is_some_and(|until| until <= turn.at) {
            continue;
        }
        let Some(to) = row.state.once_shown() else { continue };
        let (from, place, reason, at) = (row.state, row.place, PlaceReason::AddressShown, turn.at);
        if move_place(conn, row.id, &Step { from, to, place, held_until: None, reason, at })? {
            turn.note(conn, &row, "place.confirm")?;
            turn.tell(conn, &row, to)?;
        }
    }
    Ok(())
}

/// Puts what a new account holds into the one that its address opens, and closes it.
fn join(conn: &mut AnyConn, turn: &mut Turn, account: AccountId, owner: AccountId) -> Result<(), Failure> {
    let (from, to) = (sides_of(conn, account)?.0, sides_of(conn, owner)?.0);
    match (from, to) {
        (Some(from), Some(to)) => {
            for rider in riders_of(conn, from)? {
                hand_over(conn, turn, &rider, from, to)?;
            }
        }
        (Some(from), None) => {
            set_guardian_account(conn, from, owner)?;
            add_role(conn, owner, Role::Guardian)?;
            // Another role, another login (bar S19).
            end_sign_ins(conn, owner, None, turn.at)?;
        }
        (None, _) => {}
    }
    set_disabled(conn, account, Some(turn.at))?;
    end_sign_ins(conn, account, None, turn.at)?;
    let (subject, detail) = (format!("account {}", owner.raw()), format!("from account {}", account.raw()));
    let row = AuditRow {
        at: turn.at,
        account: Some(owner),
        action: "account.join",
        subject,
        request: turn.request.clone(),
        detail,
    };
    add_audit_row(conn, &row)?;
    Ok(())
}

/// Hands a child over. A child that the family has already is the same child; its second place in a session is given up.
fn hand_over(
    conn: &mut AnyConn,
    turn: &mut Turn,
    rider: &RiderRow,
    from: GuardianId,
    to: GuardianId,
) -> Result<(), Failure> {
    let twin = riders_of(conn, to)?.into_iter().find(|known| known.child().is_same(&rider.child()));
    let mut is_needed = twin.is_none();
    for row in registrations_of_riders(conn, &[rider.id])? {
        let Some(twin) = &twin else {
            set_family(conn, row.id, to, rider.id)?;
            continue;
        };
        match find_registration_of(conn, row.session_id, twin.id)? {
            None => set_family(conn, row.id, to, twin.id)?,
            Some(known) => {
                if known.state.is_open() && row.state.is_open() {
                    vacate(conn, turn, &row, RegistrationState::Cancelled, PlaceReason::KnownAlready)?;
                }
                // Two rows of one child in one session cannot be one: the second child stays for the office to join.
                set_family(conn, row.id, to, rider.id)?;
                is_needed = true;
            }
        }
    }
    if is_needed {
        hand_over_rider(conn, rider.id, from, to)?;
    } else {
        remove_rider(conn, rider.id)?;
    }
    Ok(())
}
