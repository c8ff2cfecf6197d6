//! Gear: the six pieces without which nobody starts, how a helmet goes to a rider and comes back, and what can happen to
//! one. Which helmet suits a head, and for how long, stands in `helmet`.

mod helmet;
pub mod need;

use std::collections::BTreeSet;

use super::point_list::PointKey;
use super::words::{Word, word_list};

pub use helmet::{
    HELMET_YEARS, HeadRange, HelmetFacts, HelmetFault, SizeFinding, hat_size, helmet_fault, usable_through,
};

word_list! {
    /// A piece that every rider wears (federal consumer pages: helmet, eyes, gloves, long sleeves, long trousers, boots).
    GearPiece {
        /// A helmet for motor vehicles.
        Helmet = "helmet",
        /// Goggles or a face shield.
        EyeProtection = "eye_protection",
        /// Gloves over all fingers.
        Gloves = "gloves",
        /// Sleeves to the wrist.
        LongSleeves = "long_sleeves",
        /// Trousers to the ankle.
        LongTrousers = "long_trousers",
        /// Boots over the ankle.
        Boots = "boots",
    }
}

impl GearPiece {
    /// The English words of staff pages.
    pub fn words(self) -> &'static str {
        match self {
            Self::Helmet => "helmet",
            Self::EyeProtection => "goggles or face shield",
            Self::Gloves => "gloves",
            Self::LongSleeves => "long sleeves",
            Self::LongTrousers => "long trousers",
            Self::Boots => "boots over the ankle",
        }
    }
}

/// What is missing of the six pieces; the rider starts only when nothing is. Never overridden.
#[must_use]
pub fn missing(worn: &BTreeSet<GearPiece>) -> Vec<GearPiece> {
    GearPiece::ALL.iter().copied().filter(|piece| !worn.contains(piece)).collect()
}

word_list! {
    /// How a piece of the program's gear went to a rider.
    Way {
        /// Comes back at the end of the day.
        Lent = "lent",
        /// Goes home with the child.
        Given = "given",
    }
}

word_list! {
    /// How a lent piece came back.
    CameBack {
        /// It can be lent again.
        InOrder = "in_order",
        /// It took a blow or shows damage: nobody wears it again.
        Damaged = "damaged",
        /// It did not.
        Lost = "lost",
    }
}

word_list! {
    /// What became of a helmet that was called back, as the family or the office says.
    RecallAnswer {
        /// Nobody wears it any more.
        Stopped = "stopped",
        /// It came back to the program.
        HandedIn = "handed_in",
        /// It is no longer with the family.
        Gone = "gone",
        /// The office tried and reached nobody.
        NotReached = "not_reached",
    }
}

word_list! {
    /// Where an adult signed for a helmet.
    SignedOn {
        /// On the screen.
        Screen = "screen",
        /// On the sheet of the session.
        Paper = "paper",
    }
}

word_list! {
    /// What happened to helmets of a lot.
    MoveKind {
        /// They came from the maker, to a place.
        Received = "received",
        /// From one place to another.
        Moved = "moved",
        /// From a place out with a session.
        Loaded = "loaded",
        /// From a session back to a place.
        Unloaded = "unloaded",
        /// To a rider, for the day.
        Lent = "lent",
        /// To a rider, for good.
        Given = "given",
        /// From a rider, back to where it was.
        Returned = "returned",
        /// To a rider by a slip: it never left.
        TakenBack = "taken_back",
        /// Nobody wears it again.
        Retired = "retired",
        /// A rider did not bring it back.
        Lost = "lost",
        /// More were there than were written down.
        Found = "found",
        /// Fewer were there than were written down.
        Missing = "missing",
        /// Somebody counted.
        Counted = "counted",
    }
}

/// What a look at the helmet on a rider's head came to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct HelmetCheck {
    /// The lot of a helmet of the program's; none for the rider's own.
    pub lot: Option<String>,
    /// Whether its size is the one for this head.
    pub size: bool,
    /// Points that are not right.
    pub wrong: BTreeSet<PointKey>,
    /// Whether the child says that it is comfortable.
    pub comfortable: bool,
}

impl HelmetCheck {
    /// Whether the rider may ride in it: size, every point, and the child's own word.
    #[must_use]
    pub fn is_right(&self) -> bool {
        self.size && self.wrong.is_empty() && self.comfortable
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Federal and HSE pages name the six pieces.
    #[test]
    fn house_3_each_missing_piece_keeps_the_rider_back() {
        let all: BTreeSet<_> = GearPiece::ALL.iter().copied().collect();
        assert!(missing(&all).is_empty());
        for &piece in GearPiece::ALL {
            let mut worn = all.clone();
            worn.remove(&piece);
            assert_eq!(missing(&worn), [piece]);
            assert_eq!(GearPiece::from_word(piece.as_str()), Some(piece));
        }
        assert_eq!(missing(&BTreeSet::new()), GearPiece::ALL);
        assert_eq!(Way::from_word("given"), Some(Way::Given));
    }

    /// Common practice, no source: size, each point and the child's own word, all of them.
    #[test]
    fn day_4_one_thing_that_is_not_right_keeps_a_helmet_off_the_ride() {
        let right = HelmetCheck { lot: None, size: true, wrong: BTreeSet::new(), comfortable: true };
        assert!(right.is_right());
        for wrong in [
            HelmetCheck { size: false, ..right.clone() },
            HelmetCheck { comfortable: false, ..right.clone() },
            HelmetCheck { wrong: BTreeSet::from([PointKey("strap".into())]), ..right.clone() },
            HelmetCheck::default(),
        ] {
            assert!(!wrong.is_right(), "{wrong:?}");
        }
    }
}
