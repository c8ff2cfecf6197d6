//! Two entries of one child become one: which may be the entry that stays, and how its adults stand afterwards.

use super::access::Guardianship;
use super::registration::{Outcome, RegistrationState};

/// Whether a registration counts where both entries of a child are in one session: it took part, or holds a place still.
#[must_use]
pub fn counts(state: RegistrationState, outcome: Option<Outcome>) -> bool {
    outcome.map_or(state.is_open(), Outcome::participated)
}

/// What keeps two entries from becoming one, in one session.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Clash {
    /// Both count: one of them is given up first, or they are two children.
    BothCount,
    /// Only the entry that would go counts: the other one is to stay.
    StaysWithOther,
}

/// What is wrong in a session in which both entries are, by whether the one that stays and the one that goes count.
#[must_use]
pub fn clash(stays: bool, goes: bool) -> Option<Clash> {
    match (stays, goes) {
        (true, true) => Some(Clash::BothCount),
        (false, true) => Some(Clash::StaysWithOther),
        (_, false) => None,
    }
}

/// How an adult stands to the child by how they stood to its two entries: what was decided against them holds.
#[must_use]
pub fn strictest(one: Option<Guardianship>, other: Option<Guardianship>) -> Option<Guardianship> {
    let severity = |state: &Guardianship| match state {
        Guardianship::Active => 0,
        Guardianship::Revoked => 1,
        Guardianship::Restricted => 2,
    };
    [one, other].into_iter().flatten().max_by_key(severity)
}

/// Whether an adult may see and decide, for the child that two entries become, what they could not for one of them.
#[must_use]
pub fn gains(one: Option<Guardianship>, other: Option<Guardianship>) -> bool {
    strictest(one, other) == Some(Guardianship::Active) && (one.is_none() || other.is_none())
}

/// Whether an adult may no longer decide for one of the two entries.
#[must_use]
pub fn loses(one: Option<Guardianship>, other: Option<Guardianship>) -> bool {
    strictest(one, other) != Some(Guardianship::Active) && [one, other].contains(&Some(Guardianship::Active))
}

/// Whether an adult stands to an entry that parts as before the two became one. When the office decided otherwise since,
/// its decision stays.
#[must_use]
pub fn stands_as_before(merged: Guardianship, now: Guardianship) -> bool {
    merged == now
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn u37_what_was_decided_against_an_adult_holds_for_the_child_that_two_entries_become() {
        use Guardianship::{Active, Restricted, Revoked};
        for (one, other, then) in [
            (None, None, None),
            (Some(Active), None, Some(Active)),
            (Some(Active), Some(Active), Some(Active)),
            (Some(Active), Some(Revoked), Some(Revoked)),
            (Some(Active), Some(Restricted), Some(Restricted)),
            (Some(Revoked), Some(Restricted), Some(Restricted)),
            (None, Some(Restricted), Some(Restricted)),
        ] {
            assert_eq!(strictest(one, other), then, "{one:?} {other:?}");
            assert_eq!(strictest(other, one), then, "{other:?} {one:?}");
        }
    }

    #[test]
    fn u37_an_adult_gains_who_knew_one_entry_only_and_loses_who_was_restricted_for_the_other() {
        use Guardianship::{Active, Restricted, Revoked};
        for (one, other, wins, is_shut_out) in [
            (Some(Active), Some(Active), false, false),
            (Some(Active), None, true, false),
            (Some(Active), Some(Restricted), false, true),
            (Some(Active), Some(Revoked), false, true),
            (Some(Restricted), None, false, false),
            (Some(Restricted), Some(Revoked), false, false),
            (None, None, false, false),
        ] {
            assert_eq!((gains(one, other), loses(one, other)), (wins, is_shut_out), "{one:?} {other:?}");
            assert_eq!((gains(other, one), loses(other, one)), (wins, is_shut_out), "{other:?} {one:?}");
        }
        assert!(stands_as_before(Active, Active) && !stands_as_before(Active, Restricted));
    }

    #[test]
    fn u37_in_one_session_the_entry_that_stays_is_the_one_that_counts() {
        assert_eq!(clash(true, true), Some(Clash::BothCount));
        assert_eq!(clash(false, true), Some(Clash::StaysWithOther));
        assert_eq!((clash(true, false), clash(false, false)), (None, None));
        use RegistrationState::{Cancelled, Confirmed, Held, Lapsed, Offered, Waitlisted};
        for (state, outcome, expected) in [
            (Confirmed, None, true),
            (Held, None, true),
            (Offered, None, true),
            (Waitlisted, None, true),
            (Cancelled, None, false),
            (Lapsed, None, false),
            (Confirmed, Some(Outcome::Attended), true),
            (Confirmed, Some(Outcome::LeftEarly), true),
            (Confirmed, Some(Outcome::Absent), false),
            (Confirmed, Some(Outcome::TurnedAway), false),
        ] {
            assert_eq!(counts(state, outcome), expected, "{state:?} {outcome:?}");
        }
    }
}
