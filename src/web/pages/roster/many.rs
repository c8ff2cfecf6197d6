//! Forms that carry several acts at once: an undo of one press, a roll call, a grid of marks. Reads them into wishes.

use crate::domain::curriculum::CheckCode;
use crate::domain::skill::{ActId, Mark};
use crate::domain::words::Word;
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

/// One check-in for each rider who answered; or, by the button for all, for each rider on the list who was not said to be
/// missing. That button says how many, and the number must be true.
pub(super) fn roll_call(typed: &Fields, errors: &mut FieldErrors) -> Option<Vec<Named>> {
    let form = read_id(typed.of("act_id"))?;
    let all = typed.of("all");
    let is_here = |rider: &&str| match typed.of(&format!("answer_{rider}")) {
        "here" => true,
        "" => !all.is_empty(),
        _ => false,
    };
    let called = typed.0.keys().filter_map(|name| name.strip_prefix("called_"));
    let here: Vec<&str> = called.filter(is_here).collect();
    if here.is_empty() {
        errors.add("content", "Nobody is said to be here. Press “Here” for each child who answers.");
    } else if !all.is_empty() && all.parse() != Ok(here.len()) {
        let words =
            "Nobody is checked in yet. The button now names how many are left. Press it when you counted as many.";
        errors.add("all", words);
    }
    let named = |rider: &str| {
        let wish = Wish::CheckIn { late: false, returned: false };
        let wished = Wished { id: derived_id(&form, rider), rider: Some(rider.to_owned()), meeting: None, wish };
        (format!("answer_{rider}"), wished)
    };
    Some(here.into_iter().map(named).collect())
}

/// A machine for each rider whom the plan names: `plan_<rider>` holds its number, or nothing.
pub(super) fn assign(typed: &Fields) -> Option<Vec<Named>> {
    let form = read_id(typed.of("act_id"))?;
    let one = |(name, number): (&String, &String)| {
        let rider = name.strip_prefix("plan_")?;
        let machine = Some(number.clone()).filter(|number| !number.is_empty());
        let wish = Wish::Assign { machine };
        let wished = Wished { id: derived_id(&form, rider), rider: Some(rider.to_owned()), meeting: None, wish };
        Some((name.clone(), wished))
    };
    Some(typed.0.iter().filter_map(one).collect())
}

/// One mark for each cell of the grid that was changed. A cell is called `m.<rider>.<check>.<mark as shown>`, so that a
/// cell nobody touched says nothing, also when somebody else marked it meanwhile.
pub(super) fn grid(typed: &Fields) -> Option<Vec<Named>> {
    let form = read_id(typed.of("act_id"))?;
    let mut named = Vec::new();
    for (name, value) in &typed.0 {
        let Some(cell) = name.strip_prefix("m.") else { continue };
        named.extend(changed(&form, name, cell, value)?);
    }
    Some(named)
}

/// The outer `None` is a cell that no page of ours makes, the inner one a cell that was not changed.
fn changed(form: &ActId, name: &str, cell: &str, value: &str) -> Option<Option<Named>> {
    let (rider, rest) = cell.split_once('.')?;
    let (check, shown) = rest.rsplit_once('.')?;
    let (check, shown, mark) = (CheckCode::parse(check).ok()?, Mark::from_word(shown)?, Mark::from_word(value)?);
    if shown == mark {
        return Some(None);
    }
    let wish = Wish::Mark { check, mark, reason: None, clears: None };
    Some(Some((
        name.to_owned(),
        Wished { id: derived_id(form, cell), rider: Some(rider.to_owned()), meeting: None, wish },
    )))
}
