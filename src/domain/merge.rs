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
