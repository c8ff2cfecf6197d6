//! Acts about machines: looked over before the ride, and faults found. A fault takes its machine out of use in the act's
//! own transaction, however the act was taken: whoever finds one is believed at once.

use std::collections::BTreeMap;

use super::{About, Hand, state_of};
use crate::domain::acts::{Act, Body};
use crate::domain::machine::MachineState;
use crate::domain::machine::today::{MACHINE_KINDS, Parked};
use crate::domain::point_list::{PointKey, PointListKind};
use crate::domain::refusal::Refusal;
use crate::domain::words::Lang;
use crate::services::Failure;
use crate::services::fleet::{note_fault, take_back_faults};
use crate::store::AnyConn;
use crate::store::acts::acts_of_kinds;
use crate::store::machine_log::troubles;
use crate::store::machines::{MachineRow, find_machine, find_machine_by_reference};

impl Hand {
    /// A machine looked over by the list of this session; every point that is not named was right.
    pub(super) fn look_over(
        &self,
        conn: &mut AnyConn,
        machine: &str,
        wrong: BTreeMap<PointKey, String>,
    ) -> Result<Body, Failure> {
        let machine = of_the_fleet(conn, machine)?;
        let list = self.opened.points(conn, PointListKind::LookOver)?;
        if !wrong.keys().all(|key| list.has(key)) {
            return Err(Failure::NotFound);
        }
        // The web form reads the database, so whoever looks knows of everything that was found and mended before.
        let troubles = troubles(conn)?.get(&machine.id).copied().unwrap_or(0);
        Ok(Body::LookOver { machine: machine.number, version: list.version(), wrong, troubles })
    }

    /// A machine that the rider is to ride; only the fit check lets a rider start on it.
    pub(super) fn assign(&self, conn: &mut AnyConn, machine: Option<String>) -> Result<Body, Failure> {
        if let Some(number) = &machine {
            let found = find_machine(conn, number)?.ok_or(Failure::NotFound)?;
            of_the_fleet(conn, &found.reference)?;
        }
        Ok(Body::Assign { machine })
    }

    /// A fault of a machine.
    pub(super) fn fault(&self, conn: &mut AnyConn, machine: &str, what: String) -> Result<Body, Failure> {
        if what.trim().is_empty() {
            return Err(Refusal::NoteNeeded.into());
        }
        Ok(Body::Fault { machine: of_the_fleet(conn, machine)?.number, what })
    }

    /// Why the rider's machine stays parked, for acts that say that the rider rode.
    pub(super) fn parked(&self, conn: &mut AnyConn, about: &About, act: &Act) -> Result<Option<Parked>, Failure> {
        if !matches!(act.body, Body::Mark { .. } | Body::LessonMarks { .. }) {
            return Ok(None);
        }
        let acts = acts_of_kinds(conn, self.opened.view.session.id, MACHINE_KINDS)?;
        let machines = self.opened.machines_today(conn, &acts, act.meeting)?;
        Ok(self.opened.parked(&machines, &about.day, act.meeting))
    }

    /// Writes down the faults that an act tells of.
    pub(super) fn keep_faults(&self, conn: &mut AnyConn, act: &Act) -> Result<(), Failure> {
        let Some((machine, faults)) = self.faults(conn, act)? else { return Ok(()) };
        faults.iter().try_for_each(|what| note_fault(conn, &machine, what, Some(self.person.account), act.at))
    }

    /// Takes back the faults of an act that is undone.
    pub(super) fn forget_faults(&self, conn: &mut AnyConn, act: &Act) -> Result<(), Failure> {
        let Some((machine, faults)) = self.faults(conn, act)? else { return Ok(()) };
        take_back_faults(conn, &machine, &faults, self.person.account, (act.at, self.now))
    }

    /// The machine that an act is about, and each fault in words.
    fn faults(&self, conn: &mut AnyConn, act: &Act) -> Result<Option<(MachineRow, Vec<String>)>, Failure> {
        let (number, faults) = match &act.body {
            Body::LookOver { machine, wrong, .. } if !wrong.is_empty() => {
                let list = self.opened.points(conn, PointListKind::LookOver)?;
                let title = |key: &PointKey| list.point(key).map_or("", |point| point.title.in_lang(Lang::En));
                (machine, wrong.iter().map(|(key, words)| format!("{}: {words}", title(key))).collect())
            }
            Body::Fault { machine, what } => (machine, vec![what.clone()]),
            _ => return Ok(None),
        };
        Ok(find_machine(conn, number)?.map(|machine| (machine, faults)))
    }
}

/// A machine that has not left the fleet.
fn of_the_fleet(conn: &mut AnyConn, reference: &str) -> Result<MachineRow, Failure> {
    let machine = find_machine_by_reference(conn, reference)?.ok_or(Failure::NotFound)?;
    match state_of(&machine)? {
        MachineState::Retired => Err(Refusal::MachineRetired { number: machine.number }.into()),
        MachineState::Ready | MachineState::OutOfUse => Ok(machine),
    }
}
