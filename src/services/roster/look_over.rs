//! The machines of the day as the staff of a session see them: looked over before the ride or not, kept standing by a fault
//! or not, and who starts on which. Reads only.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{NaiveDateTime, NaiveTime};

use super::super::field_act::state_of;
use super::super::{App, Failure};
use super::Head;
use super::opened::{Opened, counted_by_rider, open};
use crate::domain::access::Caller;
use crate::domain::acts::Act;
use crate::domain::cautions::CautionKey;
use crate::domain::day::Day;
use crate::domain::ids::{MachineId, RegistrationId};
use crate::domain::machine::record::number_order;
use crate::domain::machine::today::{MACHINE_KINDS, Parked, RightLook, looked_over, parked};
use crate::domain::machine::{MachineState, speed_text};
use crate::domain::point_list::PointListKind;
use crate::domain::words::{Lang, full_name};
use crate::store::AnyConn;
use crate::store::acts::{KeptAct, acts_of_kinds};
use crate::store::machine_log::{open_defects, troubles};
use crate::store::machines::{MachineRow, list_machines};
use crate::store::session_machines::machines_of_session;

/// How every machine stands at a meeting of a session.
pub(in crate::services) struct MachinesToday {
    rows: Vec<MachineRow>,
    /// When each was looked over with nothing wrong, by number.
    looked_over: BTreeMap<String, Option<RightLook>>,
    /// How often each was found faulty or mended so far.
    troubles: BTreeMap<MachineId, i64>,
}

impl MachinesToday {
    /// Why a machine stays parked.
    pub fn parked(&self, number: &str) -> Option<Parked> {
        let row = self.rows.iter().find(|row| row.number == number);
        let troubles = row.and_then(|row| self.troubles.get(&row.id)).copied().unwrap_or(0);
        parked(row.and_then(|row| state_of(row).ok()), self.looked_over.get(number).copied().flatten(), troubles)
    }

    /// When a machine that may be ridden was looked over.
    fn looked_over_at(&self, number: &str) -> Option<NaiveDateTime> {
        let look = self.looked_over.get(number).copied().flatten()?;
        self.parked(number).is_none().then_some(look.at)
    }
}

/// A rider who is here and may start, and the number of the machine.
pub(super) struct Starter {
    pub registration: RegistrationId,
    pub name: String,
    pub machine: String,
}

impl Opened {
    /// How the machines stand, from acts that say so.
    pub(in crate::services) fn machines_today(
        &self,
        conn: &mut AnyConn,
        acts: &[KeptAct],
        meeting: i64,
    ) -> Result<MachinesToday, Failure> {
        let of_meeting = acts.iter().filter(|kept| kept.counts() && kept.act.meeting == meeting);
        let mut ordered: Vec<&Act> = of_meeting.map(|kept| &kept.act).collect();
        ordered.sort_by_key(|act| (act.order(), act.id));
        let (rows, troubles) = (list_machines(conn)?, troubles(conn)?);
        Ok(MachinesToday { rows, looked_over: looked_over(&ordered), troubles })
    }

    /// Why the machine of a rider's fit check stays parked at the meeting that is shown; read once, however many ask.
    pub(super) fn parked_now(&self, conn: &mut AnyConn, day: &Day) -> Result<Option<Parked>, Failure> {
        if day.fit.is_none() {
            return Ok(None);
        }
        let meeting = self.meeting.ordinal;
        let machines = match self.machines.get() {
            Some(read) => read,
            None => {
                let acts = acts_of_kinds(conn, self.view.session.id, MACHINE_KINDS)?;
                let read = self.machines_today(conn, &acts, meeting)?;
                self.machines.get_or_init(|| read)
            }
        };
        Ok(self.parked(machines, day, meeting))
    }

    /// Why the machine of a rider's fit check stays parked. Nothing once the meeting's day is over: what is keyed in then is
    /// about engines that have stopped.
    pub(in crate::services) fn parked(&self, machines: &MachinesToday, day: &Day, meeting: i64) -> Option<Parked> {
        let (number, _) = day.fit.as_ref()?;
        if self.is_over(meeting) { None } else { machines.parked(number) }
    }

    /// The machines that go to the session; none while nobody has said which.
    pub(super) fn going(&self, conn: &mut AnyConn) -> Result<BTreeSet<MachineId>, Failure> {
        Ok(machines_of_session(conn, self.view.session.id)?)
    }

    /// Riders who are here and may start by their fit checks.
    pub(super) fn starters(&self, conn: &mut AnyConn, acts: &[KeptAct]) -> Result<Vec<Starter>, Failure> {
        let by_rider = counted_by_rider(acts);
        let mut starters = Vec::new();
        for (registration, rider) in self.riders(conn, &by_rider)? {
            let own = by_rider.get(&registration.id).map_or(&[][..], Vec::as_slice);
            let day = Day::of(own, self.curriculum(conn)?, self.meeting.ordinal);
            if let (true, true, Some((machine, _))) = (day.is_here(), day.fit_lets_start(), &day.fit) {
                let name = full_name(&rider.given_name, &rider.family_name);
                starters.push(Starter { registration: registration.id, name, machine: machine.clone() });
            }
        }
        Ok(starters)
    }
}

/// One machine as it stands now.
#[derive(Clone, Debug)]
pub struct Standing {
    /// Its record.
    pub row: MachineRow,
    /// Why nobody may ride it; none when somebody may.
    pub parked: Option<Parked>,
    /// When it was looked over with nothing wrong, on the wall at the site.
    pub looked_over_at: Option<NaiveTime>,
    /// Faults that are not mended.
    pub faults: Vec<String>,
    /// Riders who start on it.
    pub riders: Vec<String>,
}

/// The machines of a session today.
#[derive(Clone, Debug)]
pub struct MachinesPage {
    /// The session.
    pub head: Head,
    /// The machines by number.
    pub machines: Vec<Standing>,
}

/// One point of the list.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PointAsked {
    /// Its name in forms.
    pub key: String,
    /// A few words.
    pub title: String,
    /// What is looked for.
    pub look_for: String,
}

/// One machine with what is looked at.
#[derive(Clone, Debug)]
pub struct LookOverPage {
    /// The session.
    pub head: Head,
    /// The machine.
    pub machine: Standing,
    /// Its limiter as the record says.
    pub limiter: String,
    /// The points in order.
    pub points: Vec<PointAsked>,
}

/// The machines of a session.
///
/// # Errors
/// `NotFound` when the caller may not know of the session.
pub fn list(app: &App, caller: &Caller, reference: &str) -> Result<MachinesPage, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let acts = opened.acts(conn)?;
        let machines = standings(conn, &opened, &acts)?;
        Ok(MachinesPage { head: opened.head(conn, caller, &acts, CautionKey::Machine)?, machines })
    })
}

/// One machine.
///
/// # Errors
/// `NotFound` for a machine that there is not, or when the caller may not know of the session.
pub fn show(app: &App, caller: &Caller, reference: &str, machine: &str) -> Result<LookOverPage, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let acts = opened.acts(conn)?;
        let found = standings(conn, &opened, &acts)?.into_iter().find(|one| one.row.reference == machine);
        let machine = found.ok_or(Failure::NotFound)?;
        let list = opened.points(conn, PointListKind::LookOver)?;
        let asked = |point: &crate::domain::point_list::Point| PointAsked {
            key: point.key.0.clone(),
            title: point.title.in_lang(Lang::En).to_owned(),
            look_for: point.look_for.in_lang(Lang::En).to_owned(),
        };
        Ok(LookOverPage {
            head: opened.head(conn, caller, &acts, CautionKey::Machine)?,
            limiter: machine.row.limiter_tenths_mph.map_or_else(|| "none".to_owned(), speed_text),
            machine,
            points: list.points().iter().map(asked).collect(),
        })
    })
}

/// The machines that go to the session, once the office has said which, and whatever is used there all the same; before
/// that the whole fleet. 2 before 10.
fn standings(conn: &mut AnyConn, opened: &Opened, acts: &[KeptAct]) -> Result<Vec<Standing>, Failure> {
    let machines = opened.machines_today(conn, acts, opened.meeting.ordinal)?;
    let (starters, defects) = (opened.starters(conn, acts)?, open_defects(conn)?);
    let going = opened.going(conn)?;
    let mut found = Vec::new();
    for row in &machines.rows {
        let is_used = machines.looked_over.contains_key(&row.number)
            || starters.iter().any(|starter| starter.machine == row.number);
        let belongs = going.is_empty() || going.contains(&row.id) || is_used;
        if state_of(row)? == MachineState::Retired || !belongs {
            continue;
        }
        let riders = starters.iter().filter(|starter| starter.machine == row.number);
        let faults = defects.iter().filter(|defect| defect.machine_id == row.id);
        found.push(Standing {
            parked: machines.parked(&row.number),
            looked_over_at: machines.looked_over_at(&row.number).map(|at| opened.clock(at)),
            faults: faults.map(|defect| defect.what.clone()).collect(),
            riders: riders.map(|starter| starter.name.clone()).collect(),
            row: row.clone(),
        });
    }
    found.sort_by_key(|one| number_order(&one.row.number));
    Ok(found)
}
