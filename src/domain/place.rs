//! The steps of a place in a session: what a letter may ask a family, why a place changed, and which steps are possible.

use chrono::TimeDelta;

use super::ids::GuardianId;
use super::registration::RegistrationState;
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
