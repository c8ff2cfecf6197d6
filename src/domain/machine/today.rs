//! How a machine stands on the day of a session: looked over before the ride or not, and kept standing by a fault. Worked
//! out from the acts of the session in their one order and the machine's state; must not know who rides it.

use std::collections::BTreeMap;

use chrono::NaiveDateTime;

use super::MachineState;
use crate::domain::acts::{Act, Body};

/// Why nobody may ride a machine now.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Parked {
    /// A fault keeps it standing, or it is not of the fleet.
    OutOfUse,
    /// Nobody looked it over today, or a fault was found since.
    NotLookedOver,
}

/// Whether a machine stays parked. `state` is none when there is no such machine.
#[must_use]
pub fn parked(state: Option<MachineState>, looked_over: bool) -> Option<Parked> {
    match state {
        Some(state) if state.may_be_ridden() => (!looked_over).then_some(Parked::NotLookedOver),
        _ => Some(Parked::OutOfUse),
    }
}

/// The kinds of acts that say how machines stand.
pub const MACHINE_KINDS: &[&str] = &["look_over", "fault"];

/// When each machine was looked over with nothing wrong, by the number painted on it, from acts of one day in their order;
/// none when a fault was found since. Such a fault asks for another look: who mends a machine looks it over again.
#[must_use]
pub fn looked_over(ordered: &[&Act]) -> BTreeMap<String, Option<NaiveDateTime>> {
    let mut all = BTreeMap::new();
    for act in ordered {
        let (machine, right_at) = match &act.body {
            Body::LookOver { machine, wrong, .. } => (machine, wrong.is_empty().then_some(act.at)),
            Body::Fault { machine, .. } => (machine, None),
            _ => continue,
        };
        all.insert(machine.clone(), right_at);
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::point_list::PointKey;

    fn act(counter: i64, body: Body) -> Act {
        let at = "2026-06-13T14:00:00".parse().expect("an instant");
        let id = [u8::try_from(counter).expect("few acts"); 16];
        Act { id, meeting: 1, device: "web:1".into(), seq: counter, counter, seen: 0, at, by_lead: false, body }
    }

    fn look(machine: &str, wrong: &[&str]) -> Body {
        let wrong = wrong.iter().map(|key| (PointKey((*key).into()), "worn".to_owned())).collect();
        Body::LookOver { machine: machine.into(), version: 1, wrong }
    }

    fn fault(machine: &str) -> Body {
        Body::Fault { machine: machine.into(), what: "it smokes".into() }
    }

    #[test]
    fn day_1_a_machine_is_ridden_only_when_it_was_looked_over_with_nothing_wrong_since_its_last_fault() {
        for (said, is_right) in [
            (vec![], None),
            (vec![look("4", &[])], Some(true)),
            (vec![look("4", &["brakes"])], Some(false)),
            (vec![look("4", &["brakes"]), look("4", &[])], Some(true)),
            (vec![look("4", &[]), fault("4")], Some(false)),
            (vec![fault("4"), look("4", &[])], Some(true)),
            (vec![look("4", &[]), fault("7")], Some(true)),
            (vec![look("7", &[])], None),
        ] {
            let acts: Vec<Act> = (1..).zip(said).map(|(counter, body)| act(counter, body)).collect();
            let found = looked_over(&acts.iter().collect::<Vec<_>>());
            assert_eq!(found.get("4").map(Option::is_some), is_right, "{acts:?}");
        }
    }

    #[test]
    fn day_1_what_keeps_a_machine_standing_comes_before_whether_it_was_looked_over() {
        use MachineState::{OutOfUse, Ready, Retired};
        for (state, looked, found) in [
            (Some(Ready), true, None),
            (Some(Ready), false, Some(Parked::NotLookedOver)),
            (Some(OutOfUse), true, Some(Parked::OutOfUse)),
            (Some(OutOfUse), false, Some(Parked::OutOfUse)),
            (Some(Retired), true, Some(Parked::OutOfUse)),
            (None, true, Some(Parked::OutOfUse)),
        ] {
            assert_eq!(parked(state, looked), found, "{state:?} {looked}");
        }
    }
}
