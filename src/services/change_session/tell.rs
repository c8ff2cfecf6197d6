//! Who is told of a change: each family with a seat or a place in line once, however many children come, and each member
//! of the team once. Who has no address for letters stays on the list of those to call.

use std::collections::BTreeSet;

use chrono::NaiveDateTime;

use crate::domain::ids::{AccountId, ChangeId, GuardianId, SessionId};
use crate::domain::session_change::{ChangeKind, concerns};
use crate::domain::words::Lang;
use crate::services::ties::speaker;
use crate::services::{Failure, texts};
use crate::store::AnyConn;
use crate::store::families::find_guardian;
use crate::store::outbox::{NewLetter, add_letter};
use crate::store::registrations::registrations_of;
use crate::store::session_changes::{Told, accounts_of_team, add_telling, set_telling_letter, tellings_of};

/// Whom a change reaches, in numbers.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Reach {
    /// Riders with a seat.
    pub seats: usize,
    /// Riders in line.
    pub waiting: usize,
    /// Families of both.
    pub families: usize,
    /// Families who get a letter.
    pub by_mail: usize,
    /// Riders for whom nobody answers now.
    pub without_adult: usize,
    /// Members of the team.
    pub team: usize,
}

impl Reach {
    /// Families who must be called.
    pub fn to_call(&self) -> usize {
        self.families - self.by_mail
    }

    /// Whether any family waits for this session.
    pub fn concerns_families(&self) -> bool {
        self.seats + self.waiting > 0
    }
}

/// The families to tell, each once: the adult who speaks for the child.
fn families(conn: &mut AnyConn, session: SessionId) -> Result<(BTreeSet<GuardianId>, Reach), Failure> {
    let (mut found, mut reach) = (BTreeSet::new(), Reach::default());
    for (registration, _) in registrations_of(conn, session)? {
        if !concerns(registration.state) {
            continue;
        }
        match registration.place {
            Some(_) => reach.waiting += 1,
            None => reach.seats += 1,
        }
        let adult = speaker(conn, &registration)?;
        reach.without_adult += usize::from(adult.is_none());
        found.extend(adult.map(|adult| adult.id));
    }
    reach.families = found.len();
    Ok((found, reach))
}

/// How a family is written to: account and language; none without an address.
fn address(conn: &mut AnyConn, guardian: GuardianId) -> Result<Option<(AccountId, Lang)>, Failure> {
    let found = find_guardian(conn, guardian)?;
    Ok(found.account_id.filter(|_| found.email.is_some()).map(|account| (account, found.language)))
}

/// Whom a change of this session would reach now.
pub(super) fn reach(conn: &mut AnyConn, session: SessionId) -> Result<Reach, Failure> {
    let (families, mut reach) = families(conn, session)?;
    for guardian in families {
        reach.by_mail += usize::from(address(conn, guardian)?.is_some());
    }
    reach.team = accounts_of_team(conn, session)?.len();
    Ok(reach)
}

/// Puts everybody on the list of the change, with a letter for those who have an address. Gives how many.
pub(super) fn everybody(
    conn: &mut AnyConn,
    session: SessionId,
    change: ChangeId,
    kind: ChangeKind,
    message_id: &str,
    now: NaiveDateTime,
) -> Result<usize, Failure> {
    let (families, _) = families(conn, session)?;
    let mut told: Vec<(Told, Option<(AccountId, Lang)>)> = Vec::new();
    for guardian in families {
        told.push((Told::Family(guardian), address(conn, guardian)?));
    }
    let team = accounts_of_team(conn, session)?;
    told.extend(team.into_iter().map(|(member, account, lang)| (Told::Team(member), Some((account, lang)))));
    for (number, (whom, address)) in told.iter().enumerate() {
        let telling = add_telling(conn, change, *whom)?;
        if let Some((account_id, language)) = address {
            let new = NewLetter {
                message_id: format!("{number}.{message_id}"),
                kind: letter_kind(kind, *whom),
                subject_id: telling.raw(),
                account_id: *account_id,
                language: *language,
                at: now,
            };
            let letter = add_letter(conn, &new)?;
            set_telling_letter(conn, telling, letter)?;
        }
    }
    Ok(told.len())
}

/// Owes a text to each family on the list of the change that agreed to texts.
pub(super) fn text_families(
    conn: &mut AnyConn,
    change: ChangeId,
    kind: ChangeKind,
    now: NaiveDateTime,
) -> Result<(), Failure> {
    for telling in tellings_of(conn, &[change])? {
        if let Some(guardian) = telling.guardian_id {
            texts::owe_change(conn, guardian, kind, telling.id, now)?;
        }
    }
    Ok(())
}

fn letter_kind(kind: ChangeKind, whom: Told) -> &'static str {
    match (kind, whom) {
        (ChangeKind::Moved, Told::Family(_)) => "session_moved",
        (ChangeKind::Cancelled, Told::Family(_)) => "session_cancelled",
        (ChangeKind::Moved, Told::Team(_)) => "session_moved_team",
        (ChangeKind::Cancelled, Told::Team(_)) => "session_cancelled_team",
    }
}
