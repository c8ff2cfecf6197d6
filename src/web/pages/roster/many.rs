//! Forms that carry several acts at once: an undo of one press, a roll call. Reads them into wishes.

use crate::services::field_act::{Wish, Wished, derived_id, read_id};
use crate::web::form::FieldErrors;

use super::Fields;

/// An act of a form, with the field that a fault is told at.
pub(super) type Named = (String, Wished);

/// The acts of a press, newest first, each taken back by an act of its own.
pub(super) fn undo(typed: &Fields) -> Option<Vec<Named>> {
    let form = read_id(typed.of("act_id"))?;
    let one = |text: &str| {
        let wish = Wish::Undo { of: read_id(text)? };
        Some(("just-done".to_owned(), Wished { id: derived_id(&form, text), rider: None, meeting: None, wish }))
    };
    typed.of("of").split('.').map(one).collect()
}

/// One check-in for each rider who is ticked.
pub(super) fn roll_call(typed: &Fields, errors: &mut FieldErrors) -> Option<Vec<Named>> {
    let form = read_id(typed.of("act_id"))?;
    let named: Vec<Named> = typed
        .0
        .keys()
        .filter_map(|name| Some((name, name.strip_prefix("here_")?)))
        .map(|(name, rider)| {
            let wish = Wish::CheckIn { late: false };
            (name.clone(), Wished { id: derived_id(&form, rider), rider: Some(rider.to_owned()), meeting: None, wish })
        })
        .collect();
    if named.is_empty() {
        errors.add("content", "Nobody is ticked. Tick the children who are here.");
    }
    Some(named)
}
