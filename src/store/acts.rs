//! Acts: plain inserts into one append-only table.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{act_kinds, acts, registrations};
use crate::domain::acts::{Act, Body, Taking};
use crate::domain::ids::{AccountId, RegistrationId, RiderId, SessionId};
use crate::domain::undo::undone;

/// An act with what the server adds to it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptAct {
    /// The act.
    pub act: Act,
    /// About which rider; none for head counts.
    pub registration: Option<RegistrationId>,
    /// By which account.
    pub account: AccountId,
    /// When it reached the server, in UTC.
    pub received_at: NaiveDateTime,
    /// How it was taken.
    pub taking: Taking,
    /// Whether another act takes it back.
    pub undone: bool,
}

impl KeptAct {
    /// Whether it counts for the state of the day; undone ones do not, late and quarantined ones wait for a person.
    pub fn counts(&self) -> bool {
        !self.undone && matches!(self.taking, Taking::Taken | Taking::Conflict)
    }

    /// Whether it came after closing and waits for a reopening.
    pub fn waits(&self) -> bool {
        !self.undone && self.taking == Taking::Late && !matches!(self.act.body, Body::Undo { .. })
    }
}

/// Keeps an act. The very same act again is `Duplicate(Key::Act)`.
pub fn add_act(conn: &mut AnyConn, session: SessionId, kept: &KeptAct) -> Result<(), StoreError> {
    let body = serde_json::to_string(&kept.act.body).map_err(|_| StoreError::Unreadable("acts.body"))?;
    diesel::insert_into(acts::table)
        .values((
            acts::act_id.eq(&kept.act.id[..]),
            acts::session_id.eq(session),
            acts::meeting.eq(kept.act.meeting),
            acts::registration_id.eq(kept.registration),
            acts::device.eq(&kept.act.device),
            acts::seq.eq(kept.act.seq),
            acts::counter.eq(kept.act.counter),
            acts::seen.eq(kept.act.seen),
            acts::kind.eq(kept.act.body.kind()),
            acts::body.eq(body),
            acts::at.eq(kept.act.at),
            acts::received_at.eq(kept.received_at),
            acts::account_id.eq(kept.account),
            acts::by_lead.eq(kept.act.by_lead),
            acts::standing.eq(kept.taking),
        ))
        .execute(conn)?;
    Ok(())
}

#[derive(Queryable, Selectable)]
#[diesel(table_name = acts)]
struct ActRow {
    act_id: Vec<u8>,
    meeting: i64,
    registration_id: Option<RegistrationId>,
    device: String,
    seq: i64,
    counter: i64,
    seen: i64,
    body: String,
    at: NaiveDateTime,
    received_at: NaiveDateTime,
    account_id: AccountId,
    by_lead: bool,
    standing: Taking,
}

fn kept(row: ActRow) -> Result<KeptAct, StoreError> {
    let body: Body = serde_json::from_str(&row.body).map_err(|_| StoreError::Unreadable("acts.body"))?;
    let id = row.act_id.try_into().map_err(|_| StoreError::Unreadable("acts.act_id"))?;
    let (meeting, device, seq, counter, seen) = (row.meeting, row.device, row.seq, row.counter, row.seen);
    let (at, by_lead) = (row.at, row.by_lead);
    Ok(KeptAct {
        act: Act { id, meeting, device, seq, counter, seen, at, by_lead, body },
        registration: row.registration_id,
        account: row.account_id,
        received_at: row.received_at,
        taking: row.standing,
        undone: false,
    })
}

/// Reads rows and says of each act whether another of them takes it back. An undo from a pass that no longer holds
/// takes nothing back before a person accepts it.
fn read(rows: Vec<ActRow>) -> Result<Vec<KeptAct>, StoreError> {
    let mut acts = rows.into_iter().map(kept).collect::<Result<Vec<_>, _>>()?;
    let stands = |kept: &&KeptAct| kept.taking != Taking::Quarantine;
    let undone = undone(acts.iter().filter(stands).map(|kept| &kept.act));
    for kept in &mut acts {
        kept.undone = undone.contains(&kept.act.id);
    }
    Ok(acts)
}

/// All acts of a session that count or may count, in order.
pub fn acts_of(conn: &mut AnyConn, session: SessionId) -> Result<Vec<KeptAct>, StoreError> {
    let rows: Vec<ActRow> = acts::table
        .filter(acts::session_id.eq(session))
        .order((acts::counter, acts::device, acts::seq))
        .select(ActRow::as_select())
        .load(conn)?;
    read(rows)
}

/// The acts of some kinds of a session, in order, with what takes any of them back.
pub fn acts_of_kinds(conn: &mut AnyConn, session: SessionId, kinds: &[&str]) -> Result<Vec<KeptAct>, StoreError> {
    let kinds: Vec<&str> = kinds.iter().copied().chain(["undo"]).collect();
    let rows: Vec<ActRow> = acts::table
        .filter(acts::session_id.eq(session))
        .filter(acts::kind.eq_any(kinds))
        .order((acts::counter, acts::device, acts::seq))
        .select(ActRow::as_select())
        .load(conn)?;
    read(rows)
}

/// The acts of one kind that reached the server since an instant and were not undone, of every session, in the order in which
/// they came.
pub fn acts_of_kind_since(
    conn: &mut AnyConn,
    kind: &str,
    since: NaiveDateTime,
) -> Result<Vec<(SessionId, KeptAct)>, StoreError> {
    let sessions: Vec<SessionId> = acts::table
        .filter(acts::kind.eq(kind))
        .filter(acts::received_at.ge(since))
        .select(acts::session_id)
        .distinct()
        .load(conn)?;
    let mut found = Vec::new();
    for session in sessions {
        let all = acts_of_kinds(conn, session, &[kind])?;
        let own = all.into_iter().filter(|kept| kept.act.body.kind() == kind && !kept.undone);
        found.extend(own.filter(|kept| kept.received_at >= since).map(|kept| (session, kept)));
    }
    found.sort_by_key(|(_, kept)| kept.received_at);
    Ok(found)
}

/// The acts about one rider, in order.
pub fn acts_about(conn: &mut AnyConn, registration: RegistrationId) -> Result<Vec<KeptAct>, StoreError> {
    let rows: Vec<ActRow> = acts::table
        .filter(acts::registration_id.eq(registration))
        .order((acts::counter, acts::device, acts::seq))
        .select(ActRow::as_select())
        .load(conn)?;
    read(rows)
}

/// The fit checks of a child under its other registrations, in the order in which they came.
pub fn fit_checks_elsewhere(
    conn: &mut AnyConn,
    rider: RiderId,
    except: RegistrationId,
) -> Result<Vec<KeptAct>, StoreError> {
    let rows: Vec<ActRow> = acts::table
        .inner_join(registrations::table)
        .filter(registrations::rider_id.eq(rider))
        .filter(registrations::id.ne(except))
        .filter(acts::kind.eq_any(["fit", "undo"]))
        .order(acts::received_at)
        .select(ActRow::as_select())
        .load(conn)?;
    read(rows)
}

/// Whether an act is kept already.
pub fn has_act(conn: &mut AnyConn, id: &[u8; 16]) -> Result<bool, StoreError> {
    Ok(diesel::select(diesel::dsl::exists(acts::table.filter(acts::act_id.eq(&id[..])))).get_result(conn)?)
}

/// The next number of a device in a session.
pub fn next_seq(conn: &mut AnyConn, session: SessionId, device: &str) -> Result<i64, StoreError> {
    let last: Option<i64> = acts::table
        .filter(acts::session_id.eq(session))
        .filter(acts::device.eq(device))
        .select(diesel::dsl::max(acts::seq))
        .first(conn)?;
    Ok(last.unwrap_or(0) + 1)
}

/// Acts that came after closing and wait for a reopening become ordinary ones; says how many.
pub fn take_late_acts(conn: &mut AnyConn, session: SessionId) -> Result<usize, StoreError> {
    let late = acts::table.filter(acts::session_id.eq(session)).filter(acts::standing.eq(Taking::Late));
    Ok(diesel::update(late).set(acts::standing.eq(Taking::Taken)).execute(conn)?)
}

/// The words under which acts are stored.
pub fn list_act_kinds(conn: &mut AnyConn) -> Result<Vec<String>, StoreError> {
    Ok(act_kinds::table.select(act_kinds::word).order(act_kinds::word).load(conn)?)
}
