//! The steps of a place in a session: what a letter may ask a family, why a place changed, and which steps are possible.

use chrono::TimeDelta;

use super::registration::RegistrationState;
use super::words::word_list;

word_list! {
    /// What a letter asks, to be answered by one press.
    Ask {
        /// Whether the address is the family's own.
        Address = "address",
        /// Whether the family takes the seat that came free.
        Offer = "offer",
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

#[cfg(test)]
mod tests {
    use super::super::words::Word;
    use super::*;

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
