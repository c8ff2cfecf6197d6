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

/// A look at a machine that found nothing wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RightLook {
    /// When.
    pub at: NaiveDateTime,
    /// How often the machine had been found faulty or mended by then.
    pub troubles: i64,
}

/// Whether a machine stays parked. `state` is none when there is no such machine; `troubles` is how often it was found faulty
/// or mended so far, anywhere. Whatever was found or mended since the last look asks for another one, by no clock.
#[must_use]
pub fn parked(state: Option<MachineState>, look: Option<RightLook>, troubles: i64) -> Option<Parked> {
    match state {
        Some(state) if state.may_be_ridden() => {
            let holds = look.is_some_and(|look| look.troubles == troubles);
            (!holds).then_some(Parked::NotLookedOver)
        }
        _ => Some(Parked::OutOfUse),
    }
}

/// The kinds of acts that say how machines stand.
pub const MACHINE_KINDS: &[&str] = &["look_over", "fault"];

/// When each machine was looked over with nothing wrong, by the number painted on it, from acts of one day in their order;
/// none when a fault was found since. Such a fault asks for another look: who mends a machine looks it over again.
#[must_use]
pub fn looked_over(ordered: &[&Act]) -> BTreeMap<String, Option<RightLook>> {
    let mut all = BTreeMap::new();
    for act in ordered {
        let (machine, right) = match &act.body {
            Body::LookOver { machine, wrong, troubles, .. } => {
                (machine, wrong.is_empty().then_some(RightLook { at: act.at, troubles: *troubles }))
            }
            Body::Fault { machine, .. } => (machine, None),
            _ => continue,
        };
        all.insert(machine.clone(), right);
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
        Body::LookOver { machine: machine.into(), version: 1, wrong, troubles: 0 }
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
        let looked = |troubles| Some(RightLook { at: "2026-06-13T14:00:00".parse().expect("an instant"), troubles });
        for (state, look, troubles, found) in [
            (Some(Ready), looked(0), 0, None),
            (Some(Ready), looked(4), 4, None),
            (Some(Ready), None, 0, Some(Parked::NotLookedOver)),
            // Found faulty in the yard, or mended there, since the look.
            (Some(Ready), looked(0), 2, Some(Parked::NotLookedOver)),
            (Some(Ready), looked(1), 2, Some(Parked::NotLookedOver)),
            (Some(OutOfUse), looked(1), 1, Some(Parked::OutOfUse)),
            (Some(OutOfUse), None, 1, Some(Parked::OutOfUse)),
            (Some(Retired), looked(0), 0, Some(Parked::OutOfUse)),
            (None, looked(0), 0, Some(Parked::OutOfUse)),
        ] {
            assert_eq!(parked(state, look, troubles), found, "{state:?} {look:?} {troubles}");
        }
    }
}
