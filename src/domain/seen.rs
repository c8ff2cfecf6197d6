//! What a form was drawn from, in short. The form carries it back; when what is kept by then gives another one, somebody
//! changed it in between, and nothing is written over their change. It proves nothing and hides nothing.

use std::fmt::{self, Debug, Display};
use std::hash::{BuildHasher, BuildHasherDefault, DefaultHasher};

use serde::Deserialize;

use super::refusal::Refusal;

/// The short form: 16 hexadecimal digits, or nothing for a form that was drawn from nothing.
#[derive(Clone, Debug, Default, PartialEq, Eq, Deserialize)]
#[serde(transparent)]
pub struct Seen(String);

impl Seen {
    /// Of what is kept.
    pub fn of(kept: &impl Debug) -> Self {
        let hash = BuildHasherDefault::<DefaultHasher>::default().hash_one(format!("{kept:?}"));
        Self(format!("{hash:016x}"))
    }

    /// As a form sent it back.
    pub fn sent(text: &str) -> Self {
        Self(text.to_owned())
    }

    /// Whether the form still speaks of what is kept.
    ///
    /// # Errors
    /// `DraftMoved` when that was changed since.
    pub fn holds_for(&self, kept: &impl Debug) -> Result<(), Refusal> {
        if *self == Self::of(kept) { Ok(()) } else { Err(Refusal::DraftMoved) }
    }
}

impl Display for Seen {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn saturday_7_a_form_holds_for_what_it_was_drawn_from_and_for_nothing_else() {
        let seen = Seen::of(&("Alder Flat", Some(8)));
        assert_eq!(seen.to_string().len(), 16);
        assert_eq!(seen.holds_for(&("Alder Flat", Some(8))), Ok(()));
        for other in [("Alder Flat", Some(9)), ("Alder flat", Some(8)), ("Alder Flat", None)] {
            assert_eq!(seen.holds_for(&other), Err(Refusal::DraftMoved), "{other:?}");
        }
        assert_eq!(Seen::default().holds_for(&()), Err(Refusal::DraftMoved), "a form that says nothing");
    }
}
