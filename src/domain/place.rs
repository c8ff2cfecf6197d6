//! The steps of a place in a session: what a letter may ask a family, why a place changed, and which steps are possible.

use chrono::TimeDelta;

use super::ids::GuardianId;
use super::refusal::Refusal;
use super::registration::RegistrationState;
use super::session::SessionState;
use super::words::word_list;

word_list! {
    /// What a letter asks, to be answered by one press.
    Ask {
        /// Whether the address is the family's own.
        Address = "address",
        /// Whether the family takes the seat that came free.
        Offer = "offer",
        /// Whether the child is still coming.
        Coming = "coming",
    }
}

word_list! {
    /// Why a place stands as it does.
    PlaceReason {
        /// The child was registered.
        Registered = "registered",
        /// The family showed that the address is its own.
        AddressShown = "address_shown",
        /// A seat came free and is offered.
        SeatFreed = "seat_freed",
        /// The family took the offered seat.
        OfferTaken = "offer_taken",
        /// The family left the offered seat to others.
        OfferLeft = "offer_left",
        /// The time to answer ran out.
        RanOut = "ran_out",
        /// The family gave the place up.
        GivenUp = "given_up",
        /// The family has a place for this child already.
        KnownAlready = "known_already",
        /// The place was moved here from another session.
        Moved = "moved",
        /// The family said that the child comes.
        Comes = "comes",
        /// The family said that the child does not come.
        StaysAway = "stays_away",
        /// The office gave the place up for the family.
        OfficeGaveUp = "office_gave_up",
        /// The office gave the seat to the family.
        OfficeSeated = "office_seated",
        /// Staff registered the child, with the adult before them or on the telephone.
        StaffRegistered = "staff_registered",
    }
}

/// For how long a question can be answered, whatever it is about.
pub const QUESTION_LASTS: TimeDelta = TimeDelta::days(14);

impl RegistrationState {
    /// Whether there is a place that can be given up.
    #[must_use]
    pub fn is_open(self) -> bool {
        self.takes_a_seat() || self == Self::Waitlisted
    }

    /// Whether what was told for it may still be changed: there is a place, and the day has not ended for the child.
    #[must_use]
    pub fn may_be_corrected(self, has_outcome: bool) -> bool {
        self.is_open() && !has_outcome
    }

    /// What becomes of a place whose family has shown its address. `None`: there is nothing to confirm.
    #[must_use]
    pub fn once_shown(self) -> Option<Self> {
        match self {
            Self::Held => Some(Self::Confirmed),
            Self::Waitlisted => Some(Self::Waitlisted),
            Self::Confirmed | Self::Offered | Self::Lapsed | Self::Cancelled => None,
        }
    }
}

/// How a place stands, as far as it decides what can still be done with it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlaceNow {
    /// Where it stands.
    pub state: RegistrationState,
    /// Whether it waits for the family to show its address.
    pub waits_for_address: bool,
    /// Whether the day ended for the child.
    pub has_outcome: bool,
    /// Where its session stands.
    pub session: SessionState,
}

impl PlaceNow {
    /// Whether the child still has a place in a session that is to be held; `over` says that its time has passed.
    #[must_use]
    pub fn stands(&self, over: bool) -> bool {
        self.state.is_open() && !self.has_outcome && self.session == SessionState::Announced && !over
    }

    /// Whether it can be moved to another session: until its own begins, or when that one was called off.
    ///
    /// # Errors
    /// `WorldMoved` when there is no place that counts; `SessionHasBegun`.
    pub fn may_move(&self, has_begun: bool) -> Result<(), Refusal> {
        if !self.state.is_open() || self.has_outcome || self.waits_for_address {
            return Err(Refusal::WorldMoved);
        }
        match self.session {
            SessionState::Announced if !has_begun => Ok(()),
            SessionState::Cancelled => Ok(()),
            _ => Err(Refusal::SessionHasBegun),
        }
    }
}

/// One place in line, as the order of seats needs it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct InLine {
    /// Whose child waits.
    pub family: GuardianId,
    /// Whether the family wants seats together for its children in line.
    pub together: bool,
}

/// Who gets seats when so many are free, as places in a line that stands in order of arrival: the first, and with
/// brothers and sisters whose family wants seats together all of them or none. Who cannot be seated so is passed over and
/// keeps the place in line.
#[must_use]
pub fn next_in_line(line: &[InLine], free: usize) -> Option<Vec<usize>> {
    let is_group = |first: &InLine, other: &InLine| first.together && other.together && first.family == other.family;
    (0..line.len()).find_map(|at| {
        let group: Vec<usize> =
            (0..line.len()).filter(|other| *other == at || is_group(&line[at], &line[*other])).collect();
        (group.len() <= free).then_some(group)
    })
}

#[cfg(test)]
mod tests {
    use super::super::words::Word;
    use super::*;
    use proptest::prelude::*;

    fn line(waits: &[(i64, bool)]) -> Vec<InLine> {
        waits
            .iter()
            .map(|(family, together)| InLine { family: GuardianId::new(*family), together: *together })
            .collect()
    }

    #[test]
    fn family_6_brothers_and_sisters_who_want_it_get_seats_together_or_none() {
        for (waits, free, expected) in [
            (&[][..], 1, None),
            (&[(1, false), (2, false)][..], 1, Some(vec![0])),
            (&[(1, true), (1, true), (2, false)], 1, Some(vec![2])),
            (&[(1, true), (1, true), (2, false)], 2, Some(vec![0, 1])),
            (&[(1, true), (2, false), (1, true)], 3, Some(vec![0, 2])),
            (&[(1, true), (2, true)], 1, Some(vec![0])),
            (&[(1, true), (1, false)], 1, Some(vec![0])),
            (&[(1, true), (1, true)], 1, None),
            (&[(1, false)], 0, None),
        ] {
            assert_eq!(next_in_line(&line(waits), free), expected, "{waits:?} {free}");
        }
    }

    #[test]
    fn family_6_a_place_moves_until_its_session_begins_or_out_of_one_that_was_called_off() {
        let seat = PlaceNow {
            state: RegistrationState::Confirmed,
            waits_for_address: false,
            has_outcome: false,
            session: SessionState::Announced,
        };
        for (place, begun, moves, stands) in [
            (seat, false, Ok(()), true),
            (seat, true, Err(Refusal::SessionHasBegun), false),
            (PlaceNow { state: RegistrationState::Waitlisted, ..seat }, false, Ok(()), true),
            (PlaceNow { state: RegistrationState::Offered, ..seat }, false, Ok(()), true),
            (PlaceNow { state: RegistrationState::Cancelled, ..seat }, false, Err(Refusal::WorldMoved), false),
            (PlaceNow { state: RegistrationState::Lapsed, ..seat }, false, Err(Refusal::WorldMoved), false),
            (PlaceNow { waits_for_address: true, ..seat }, false, Err(Refusal::WorldMoved), true),
            (PlaceNow { has_outcome: true, ..seat }, false, Err(Refusal::WorldMoved), false),
            (PlaceNow { session: SessionState::Cancelled, ..seat }, true, Ok(()), false),
            (PlaceNow { session: SessionState::Closed, ..seat }, false, Err(Refusal::SessionHasBegun), false),
        ] {
            assert_eq!((place.may_move(begun), place.stands(begun)), (moves, stands), "{place:?} {begun}");
        }
    }

    proptest! {
        /// Nobody is passed over who could have been seated, and nobody gets more seats than are free.
        #[test]
        fn family_6_seats_go_in_order_of_arrival(waits in prop::collection::vec((0i64..4, any::<bool>()), 0..9), free in 0usize..5) {
            let line = line(&waits);
            let got = next_in_line(&line, free);
            let size = |at: usize| match line[at].together {
                true => line.iter().filter(|other| other.together && other.family == line[at].family).count(),
                false => 1,
            };
            match got {
                None => prop_assert!((0..line.len()).all(|at| size(at) > free)),
                Some(group) => {
                    prop_assert!(group.len() <= free && group.len() == size(group[0]));
                    prop_assert!((0..group[0]).all(|before| size(before) > free));
                    prop_assert!(group.iter().all(|at| line[*at].family == line[group[0]].family));
                }
            }
        }
    }

    #[test]
    fn family_6_every_state_either_is_a_place_or_is_over_and_only_held_ones_are_confirmed_by_an_address() {
        let open: Vec<_> = RegistrationState::ALL.iter().filter(|state| state.is_open()).map(|s| s.as_str()).collect();
        assert_eq!(open, ["held", "confirmed", "waitlisted", "offered"]);
        for state in RegistrationState::ALL {
            let shown = state.once_shown();
            assert!(shown.is_none_or(|to| to.is_open() && to.takes_a_seat() == state.takes_a_seat()), "{state}");
        }
        assert_eq!(RegistrationState::Held.once_shown(), Some(RegistrationState::Confirmed));
    }
}
