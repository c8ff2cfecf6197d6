//! Who may be entered twice. Each entry is compared when it or an adult of it changed, by a job that comes round; the list
//! compares at once what the job has not come to.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use crate::domain::access::{Action, Caller, Subject};
use crate::domain::ids::RiderId;
use crate::domain::same_child::{Known, Likeness, days_alike, likeness};
use crate::domain::words::full_name;
use crate::services::families::{Found, in_one};
use crate::services::{App, Failure, ask};
use crate::store::AnyConn;
use crate::store::alike::{
    EntryRow, all_alike, compare_again, compared_with, count_to_compare, set_alike, set_compared, to_compare,
};
use crate::store::families::{GuardianRow, RiderOfAdult, RiderRow, riders_with_adults};
use crate::store::merges::all_apart;

/// The most pairs that are shown.
pub const MOST: usize = 200;
/// Entries that the list compares itself.
const BY_THE_LIST: i64 = 50;
/// Entries that one turn of the job compares, and how many of them in one transaction.
const IN_A_TURN: i64 = 2_000;
const AT_ONCE: usize = 50;

/// Two entries that may be one child.
#[derive(Clone, Debug)]
pub struct Pair {
    /// The older entry.
    pub one: Found,
    /// The newer one.
    pub other: Found,
    /// Why.
    pub likeness: Likeness,
}

/// Who may be entered twice.
#[derive(Clone, Debug)]
pub struct Twice {
    /// Those that were entered first, at most [`MOST`], by name.
    pub pairs: Vec<Pair>,
    /// How many there are.
    pub count: usize,
    /// Entries that are yet to be compared.
    pub to_compare: i64,
}

/// What tells the adults of a child: their rows, telephones and addresses.
fn marks<'a>(adults: impl Iterator<Item = &'a GuardianRow>) -> BTreeSet<String> {
    let of_one = |adult: &GuardianRow| {
        [Some(format!("adult {}", adult.id.raw())), Some(adult.phone.clone()), adult.email.clone()]
    };
    adults.flat_map(of_one).flatten().filter(|mark| !mark.is_empty()).collect()
}

/// A child as it is compared.
pub(super) fn known<'a>(rider: &RiderRow, adults: impl Iterator<Item = &'a GuardianRow>) -> Known {
    Known::new(&full_name(&rider.given_name, &rider.family_name), rider.birth_date, marks(adults))
}

fn of_rows(rows: &[RiderOfAdult]) -> Known {
    known(&rows[0].rider, rows.iter().map(|row| &row.adult))
}

/// An entry beside the others.
struct Beside {
    /// The entry, a row for each of its adults.
    own: Vec<RiderOfAdult>,
    /// Those that may be the same child.
    alike: Vec<RiderId>,
}

/// Compares an entry. One without adults went into another, or was removed: it is like none.
fn compared(conn: &mut AnyConn, rider: RiderId) -> Result<Beside, Failure> {
    let own = riders_with_adults(conn, &[rider])?;
    let Some(first) = own.first() else { return Ok(Beside { own, alike: Vec::new() }) };
    let this = of_rows(&own);
    let adults: Vec<&GuardianRow> = own.iter().map(|row| &row.adult).collect();
    let near = compared_with(conn, rider, &days_alike(first.rider.birth_date), &adults)?;
    let may_be = |entry: &EntryRow| {
        let words = entry.words.split_whitespace().map(str::to_owned).collect();
        this.may_be(&Known::of_words(words, entry.birth_date, BTreeSet::new()))
    };
    let near: Vec<RiderId> = near.iter().filter(|entry| may_be(entry)).map(|entry| entry.id).collect();
    let rows = riders_with_adults(conn, &near)?;
    let entries = rows.chunk_by(|one, other| one.rider.id == other.rider.id);
    let same = entries.filter(|rows| likeness(&this, &of_rows(rows)).is_some());
    let alike = same.map(|rows| rows[0].rider.id).collect();
    Ok(Beside { own, alike })
}

/// Entries that may be one child, two by two, of which nobody said that they are two.
pub fn list(app: &App, caller: &Caller) -> Result<Twice, Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    app.store.read(|conn| {
        let due = to_compare(conn, BY_THE_LIST)?;
        let left = count_to_compare(conn)? - due.len() as i64;
        let is_due = |rider: &RiderId| due.binary_search(rider).is_ok();
        let mut pairs: BTreeSet<(RiderId, RiderId)> = all_alike(conn)?.into_iter().collect();
        pairs.retain(|(one, other)| !is_due(one) && !is_due(other));
        for rider in &due {
            let alike = compared(conn, *rider)?.alike;
            pairs.extend(alike.into_iter().map(|other| (other.min(*rider), other.max(*rider))));
        }
        all_apart(conn)?.iter().for_each(|two| {
            pairs.remove(two);
        });
        let count = pairs.len();
        let first: Vec<(RiderId, RiderId)> = pairs.into_iter().take(MOST).collect();
        Ok(Twice { pairs: shown(conn, &first)?, count, to_compare: left })
    })
}

/// The two of each pair as they are now, by name.
fn shown(conn: &mut AnyConn, pairs: &[(RiderId, RiderId)]) -> Result<Vec<Pair>, Failure> {
    let ids: BTreeSet<RiderId> = pairs.iter().flat_map(|(one, other)| [*one, *other]).collect();
    let rows = riders_with_adults(conn, &ids.into_iter().collect::<Vec<_>>())?;
    let entries = rows.chunk_by(|one, other| one.rider.id == other.rider.id);
    let entries: BTreeMap<RiderId, &[RiderOfAdult]> = entries.map(|rows| (rows[0].rider.id, rows)).collect();
    let pair = |(one, other): &(RiderId, RiderId)| {
        let (one, other) = (entries.get(one)?, entries.get(other)?);
        let likeness = likeness(&of_rows(one), &of_rows(other))?;
        Some(Pair { one: in_one(one), other: in_one(other), likeness })
    };
    let mut found: Vec<Pair> = pairs.iter().filter_map(pair).collect();
    found.sort_by(|one, other| one.one.name.cmp(&other.one.name));
    Ok(found)
}

/// Compares entries that changed, a turn's worth of them, and keeps what is found.
pub fn compare_changed(app: &App) -> Result<(), Failure> {
    let (due, now) = (app.store.read(|conn| to_compare(conn, IN_A_TURN))?, app.clock.now());
    for some in due.chunks(AT_ONCE) {
        let mut found = Vec::new();
        for rider in some {
            found.push((*rider, app.store.read(|conn| compared(conn, *rider))?));
        }
        let found = Arc::new(found);
        app.store.write("compare entries", move |conn| -> Result<(), Failure> {
            for (rider, beside) in found.iter() {
                if !set_compared(conn, *rider, now)? {
                    continue;
                }
                match riders_with_adults(conn, &[*rider])? == beside.own {
                    true => set_alike(conn, *rider, &beside.alike)?,
                    // It changed since it was compared: the next turn's.
                    false => compare_again(conn, *rider)?,
                }
            }
            Ok(())
        })?;
    }
    Ok(())
}
