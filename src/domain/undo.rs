//! Taking back what was just entered: an undo is an act of its own that names another. Nothing is erased; whatever is
//! worked out from the acts passes over those that were undone. Decides from values alone.

use std::collections::BTreeSet;

use chrono::{NaiveDateTime, TimeDelta};

use super::acts::{Act, Body, Taking};
use super::refusal::Refusal;
use super::session::SessionState;
use super::skill::ActId;

/// How long a page offers to undo an act.
pub const OFFERED_SECONDS: i64 = 10;

/// How much later an undo may still arrive. A press at the last moment crosses a slow line, and a page without scripts
/// keeps its button: neither may lose a correction that the person saw on offer.
pub const GRACE_SECONDS: i64 = 20;

/// An act that somebody asks to undo, with what decides about it.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// The act.
    pub act: &'a Act,
    /// When it reached the server.
    pub received_at: NaiveDateTime,
    /// How it was taken.
    pub taking: Taking,
    /// Whether the one who asks did it.
    pub is_own: bool,
    /// Whether a newer act about the same rider, or the same count, stands.
    pub has_newer: bool,
    /// Where the session stands now.
    pub session: SessionState,
    /// Now.
    pub now: NaiveDateTime,
}

/// Whether an act may be undone: by the person who did it, in time, while nothing stands on it and no closing counted
/// it. A stop for safety is an act like others: a slip of the thumb is taken back, later only the lead clears it.
///
/// # Errors
/// The first rule that says no.
pub fn may_undo(asked: &Asked<'_>) -> Result<(), Refusal> {
    if !asked.is_own {
        return Err(Refusal::UndoNotYours);
    }
    // What came after closing has not been counted yet, so it may still be taken back.
    if asked.session == SessionState::Closed && asked.taking != Taking::Late {
        return Err(Refusal::AlreadyClosed);
    }
    let last = TimeDelta::seconds(OFFERED_SECONDS + GRACE_SECONDS);
    // Who leads is a matter of the session's team; a slip there is handed back, not undone. A helmet that came back may be on
    // another head by now: it is lent again, or found by counting. A report of what happened is added to, never taken back.
    let is_final = matches!(
        asked.act.body,
        Body::Undo { .. } | Body::HandOver { .. } | Body::HelmetBack { .. } | Body::Incident { .. }
    );
    if asked.now - asked.received_at > last || is_final {
        return Err(Refusal::UndoTooLate);
    }
    if asked.has_newer { Err(Refusal::WorldMoved) } else { Ok(()) }
}

/// The acts that others of the same list undo. The order of arrival plays no part.
pub fn undone<'a>(acts: impl IntoIterator<Item = &'a Act>) -> BTreeSet<ActId> {
    let undoes = |act: &Act| match act.body {
        Body::Undo { of } => Some(of),
        _ => None,
    };
    acts.into_iter().filter_map(undoes).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(seconds: i64) -> NaiveDateTime {
        "2026-06-13T14:40:00".parse::<NaiveDateTime>().expect("an instant") + TimeDelta::seconds(seconds)
    }

    fn act(body: Body) -> Act {
        let (id, device) = ([7; 16], "web:1".to_owned());
        Act { id, meeting: 1, device, seq: 1, counter: 1, seen: 0, at: at(0), by_lead: false, body }
    }

    #[test]
    fn u21_an_undo_is_for_the_one_who_did_it_in_time_and_before_anything_stands_on_it() {
        let act = act(Body::CheckIn { late: false });
        let own = Asked {
            act: &act,
            received_at: at(0),
            taking: Taking::Taken,
            is_own: true,
            has_newer: false,
            session: SessionState::Announced,
            now: at(9),
        };
        let closed = SessionState::Closed;
        // Ten seconds on offer: bar U21 of the program. Twenty more on the way: common practice, no source.
        for (asked, answer) in [
            (own, Ok(())),
            (Asked { now: at(30), ..own }, Ok(())),
            (Asked { now: at(31), ..own }, Err(Refusal::UndoTooLate)),
            (Asked { is_own: false, ..own }, Err(Refusal::UndoNotYours)),
            (Asked { has_newer: true, ..own }, Err(Refusal::WorldMoved)),
            (Asked { session: closed, ..own }, Err(Refusal::AlreadyClosed)),
            (Asked { session: closed, taking: Taking::Late, ..own }, Ok(())),
            (Asked { session: SessionState::Reopened, ..own }, Ok(())),
        ] {
            assert_eq!(may_undo(&asked), answer, "{asked:?}");
        }
    }

    #[test]
    fn u21_an_undo_is_not_undone_itself() {
        let undo = act(Body::Undo { of: [1; 16] });
        let asked = Asked {
            act: &undo,
            received_at: at(0),
            taking: Taking::Taken,
            is_own: true,
            has_newer: false,
            session: SessionState::Announced,
            now: at(1),
        };
        assert_eq!(may_undo(&asked), Err(Refusal::UndoTooLate));
    }
}
