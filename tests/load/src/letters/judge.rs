//! Judges what a mail server has against what the outbox says. A pure function; it proves on planted faults that it sees
//! them, and shares no code with the service.

use std::collections::{BTreeMap, BTreeSet};

use anyhow::ensure;
use serde::Deserialize;

use crate::relay::Copy;

/// A letter as the outbox has it at the end.
#[derive(Clone, Debug, Deserialize)]
pub struct Letter {
    pub id: String,
    pub kind: String,
    pub state: String,
    pub fault: String,
}

/// All copies that a mail server has, by Message-ID.
pub type Copies = BTreeMap<String, Vec<Copy>>;

/// What kind of promise was broken.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Somebody is owed a letter that no mail server has.
    Lost,
    /// There is a letter under an id that the outbox does not know.
    Stranger,
    /// Copies of one letter, or the confirmation of a place, do not name the same calendar entries.
    Uid,
    /// Copies of one letter have entries of different states.
    Sequence,
}

/// Everything that is wrong.
pub fn judge(letters: &[Letter], copies: &Copies) -> Vec<(Kind, String)> {
    let mut faults = Vec::new();
    for letter in letters.iter().filter(|letter| letter.fault != "moot") {
        if letter.state != "sent" || !copies.contains_key(&letter.id) {
            faults.push((Kind::Lost, format!("{} {} is {} {}", letter.kind, letter.id, letter.state, letter.fault)));
        }
    }
    let known: BTreeMap<&str, &str> = letters.iter().map(|letter| (letter.id.as_str(), letter.kind.as_str())).collect();
    for (id, copies) in copies {
        let Some(kind) = known.get(id.as_str()) else {
            faults.push((Kind::Stranger, format!("nobody asked for {id}")));
            continue;
        };
        let uids: BTreeSet<Vec<&str>> =
            copies.iter().map(|copy| copy.entries.iter().map(|(uid, _)| uid.as_str()).collect()).collect();
        let states: BTreeSet<_> = copies.iter().map(|copy| &copy.entries).collect();
        if uids.len() > 1 || *kind == "registered" && uids.iter().any(Vec::is_empty) {
            faults.push((Kind::Uid, format!("{kind} {id}: {uids:?}")));
        } else if states.len() > 1 {
            faults.push((Kind::Sequence, format!("{kind} {id}: {states:?}")));
        }
    }
    faults
}

/// Three letters: one without a calendar, one that went out at once, one that went out twice.
fn sound() -> (Vec<Letter>, Copies) {
    let letter =
        |id: &str, kind: &str| Letter { id: id.into(), kind: kind.into(), state: "sent".into(), fault: String::new() };
    let copy = |id: &str, entries: &[(&str, i64)]| Copy {
        id: id.into(),
        entries: entries.iter().map(|(uid, sequence)| ((*uid).to_owned(), *sequence)).collect(),
    };
    let letters = vec![letter("a", "address_asked"), letter("b", "registered"), letter("c", "registered")];
    let twice = copy("c", &[("u2", 0), ("u3", 0)]);
    let copies = [("a", vec![copy("a", &[])]), ("b", vec![copy("b", &[("u1", 0)])]), ("c", vec![twice.clone(), twice])];
    (letters, copies.into_iter().map(|(id, copies)| (id.to_owned(), copies)).collect())
}

type Plant = fn(&mut Vec<Letter>, &mut Copies);

fn planted() -> [(&'static str, Kind, Plant); 8] {
    fn second(copies: &mut Copies) -> &mut Copy {
        copies.get_mut("c").and_then(|copies| copies.get_mut(1)).expect("the second copy")
    }
    [
        ("a lost letter that counts as sent", Kind::Lost, |_, copies| drop(copies.remove("b"))),
        ("a letter that still waits", Kind::Lost, |letters, _| letters[1].state = "due".into()),
        ("a letter that was given up", Kind::Lost, |letters, _| letters[2].state = "stopped".into()),
        ("a changed Message-ID", Kind::Stranger, |_, copies| {
            let copy = Copy { id: "d".into(), ..second(copies).clone() };
            copies.insert("d".into(), vec![copy]);
        }),
        ("a changed UID", Kind::Uid, |_, copies| second(copies).entries[0].0 = "u9".into()),
        ("an entry that is missing in one copy", Kind::Uid, |_, copies| drop(second(copies).entries.pop())),
        ("a confirmation without a calendar", Kind::Uid, |_, copies| {
            copies.get_mut("b").expect("the copy")[0].entries.clear();
        }),
        ("a changed SEQUENCE", Kind::Sequence, |_, copies| second(copies).entries[1].1 = 1),
    ]
}

/// Judges the sound story and every planted fault; gives the number of faults that were found.
///
/// # Errors
/// The sound story is not passed, or a fault is not found.
pub fn prove() -> anyhow::Result<usize> {
    let (letters, copies) = sound();
    let faults = judge(&letters, &copies);
    ensure!(faults.is_empty(), "the judge finds faults in a sound story: {faults:?}");
    let all = planted();
    for (name, kind, plant) in &all {
        let (mut letters, mut copies) = sound();
        plant(&mut letters, &mut copies);
        let faults = judge(&letters, &copies);
        ensure!(faults.iter().any(|fault| fault.0 == *kind), "the judge does not see {name}: {faults:?}");
    }
    Ok(all.len())
}

#[cfg(test)]
mod tests {
    #[test]
    fn r11_the_judge_of_letters_finds_every_planted_fault() {
        assert_eq!(super::prove().expect("a judge that sees"), 8);
    }
}
