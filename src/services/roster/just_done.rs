//! What the reader has entered just now at this session, while the page says so and offers to undo it. Reads only.

use super::super::Failure;
use super::super::field_act::{hex, press};
use super::opened::Opened;
use crate::domain::access::Caller;
use crate::domain::acts::{Act, Body, Taking};
use crate::domain::undo::OFFERED_SECONDS;
use crate::store::AnyConn;
use crate::store::acts::KeptAct;
use crate::store::registrations::find_registration_by_id;

/// One press of the reader, of a few seconds ago.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct JustDone {
    /// What was done; of several acts the newest.
    pub body: Body,
    /// The rider's given name; empty for what is about the whole group.
    pub rider: String,
    /// The acts of the press, newest first, as a form names them.
    pub acts: Vec<String>,
    /// Whether the press itself was an undo: then `body` is what was taken back.
    pub is_undo: bool,
    /// Seconds for which the page still offers to undo.
    pub left: i64,
}

/// The reader's newest press, while it is on offer.
pub(super) fn just_done(
    opened: &Opened,
    conn: &mut AnyConn,
    caller: &Caller,
    acts: &[KeptAct],
) -> Result<Option<JustDone>, Failure> {
    let Some(account) = caller.account() else { return Ok(None) };
    let own = || acts.iter().filter(|kept| kept.account == account && kept.taking != Taking::Quarantine);
    let Some(newest) = own().max_by_key(|kept| kept.act.order()) else { return Ok(None) };
    let left = OFFERED_SECONDS - (opened.now - newest.received_at).num_seconds();
    let is_offered = !matches!(newest.act.body, Body::HandOver { .. } | Body::HelmetBack { .. });
    if !is_offered || !(1..=OFFERED_SECONDS).contains(&left) {
        return Ok(None);
    }
    let shown = shown_of(&newest.act, acts).unwrap_or(newest);
    let rider = match shown.registration {
        Some(id) => find_registration_by_id(conn, id)?.1.given_name,
        None => String::new(),
    };
    let mut press: Vec<&KeptAct> = own().filter(|kept| is_one_press(kept, newest)).collect();
    press.sort_by_key(|kept| std::cmp::Reverse(kept.act.order()));
    Ok(Some(JustDone {
        body: shown.act.body.clone(),
        rider,
        acts: press.iter().map(|kept| hex(&kept.act.id)).collect(),
        is_undo: matches!(newest.act.body, Body::Undo { .. }),
        left,
    }))
}

/// The act that an undo took back.
fn shown_of<'a>(act: &Act, acts: &'a [KeptAct]) -> Option<&'a KeptAct> {
    let Body::Undo { of } = act.body else { return None };
    acts.iter().find(|kept| kept.act.id == of)
}

fn is_one_press(kept: &KeptAct, newest: &KeptAct) -> bool {
    press(&kept.act.id) == press(&newest.act.id) && kept.act.body.kind() == newest.act.body.kind()
}
