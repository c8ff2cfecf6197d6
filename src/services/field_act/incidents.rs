//! Acts about what happened: a near miss by one press, and an incident that opens a report. With the report its session comes under
//! a legal hold, its machine is kept as it is, a helmet that took a blow is worn by nobody, and the office is written to: all in the
//! act's own transaction, however the act was taken.

use chrono::NaiveTime;

use super::{About, Hand, Wish, Wished, derived_id};
use crate::domain::acts::{Act, Body};
use crate::domain::gear::{CameBack, Way};
use crate::domain::ids::DefectId;
use crate::domain::incident::{Circumstances, IncidentKind, MachineThen, Report};
use crate::domain::refusal::Refusal;
use crate::services::Failure;
use crate::services::fleet::note_fault;
use crate::services::incidents::{sealed, tell_office};
use crate::store::AnyConn;
use crate::store::incidents::{NewIncident, add_incident, next_case};
use crate::store::machine_log::defects_of;
use crate::store::machines::{MachineRow, find_machine};
use crate::store::retention::{add_hold, find_hold};

/// An incident as the field says it first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IncidentWish {
    /// Of what kind.
    pub kind: IncidentKind,
    /// Whether an ambulance came or was called.
    pub ambulance: bool,
    /// The time of it, on the wall; none when nobody said it yet.
    pub time: Option<NaiveTime>,
    /// What happened.
    pub happened: String,
    /// Who it happened to, when it is no rider of the session.
    pub person: String,
    /// The machine, by its number.
    pub machine: Option<String>,
    /// Whether the helmet took a blow.
    pub helmet_hit: bool,
}

impl Hand {
    /// The act of an incident: its number, and nothing that anybody typed.
    pub(super) fn incident(&self, conn: &mut AnyConn, wish: &IncidentWish) -> Result<Body, Failure> {
        if wish.happened.trim().is_empty() {
            return Err(Refusal::NoteNeeded.into());
        }
        if let Some(number) = &wish.machine {
            find_machine(conn, number)?.ok_or(Failure::NotFound)?;
        }
        let (what, ambulance, helmet_hit) = (wish.kind, wish.ambulance, wish.helmet_hit);
        Ok(Body::Incident { case: next_case(conn)?, what, ambulance, machine: wish.machine.clone(), helmet_hit })
    }

    /// Opens the report of an incident, with all that follows from it.
    pub(super) fn open_report(
        &self,
        conn: &mut AnyConn,
        about: Option<&About>,
        wished: &Wished,
        act: &Act,
    ) -> Result<(), Failure> {
        let (Wish::Incident(wish), Body::Incident { case, .. }) = (&wished.wish, &act.body) else { return Ok(()) };
        let machine = wish.machine.as_ref().map(|number| find_machine(conn, number)).transpose()?.flatten();
        let report = Report {
            person: wish.person.clone(),
            time: wish.time,
            happened: wish.happened.clone(),
            circumstances: self.circumstances(conn, about, act.meeting, machine.as_ref())?,
            ..Report::default()
        };
        let defect_id = machine.map(|machine| self.keep_as_it_is(conn, &machine, *case, act)).transpose()?.flatten();
        let happened_on = self.opened.meetings.find(act.meeting).ok_or(Failure::NotFound)?.on;
        let session_id = self.opened.view.session.id;
        let id = add_incident(
            conn,
            &NewIncident {
                reference: self.drawn.reference.clone(),
                case_number: *case,
                session_id,
                registration_id: about.map(|about| about.id),
                defect_id,
                kind: wish.kind,
                ambulance: wish.ambulance,
                row_key: self.drawn.row_key.to_vec(),
                body: sealed(&self.app, &self.drawn.row_key, &report)?,
                happened_on,
                learned_at: self.now,
                opened_by: self.person.account,
            },
        )?;
        if find_hold(conn, session_id)?.is_none() {
            add_hold(conn, session_id, &format!("Report {case}"), self.now)?;
        }
        tell_office(conn, id, &self.drawn.letter, self.now)?;
        self.set_helmets_aside(conn, about, wished, wish)
    }

    /// Takes the machine out of use until its report is closed. Gives the fault that says so.
    fn keep_as_it_is(
        &self,
        conn: &mut AnyConn,
        machine: &MachineRow,
        case: i64,
        act: &Act,
    ) -> Result<Option<DefectId>, Failure> {
        let words = format!("Kept as it is for report {case}: nobody rides, cleans or mends it");
        note_fault(conn, machine, &words, Some(self.person.account), act.at)?;
        Ok(defects_of(conn, machine.id)?.into_iter().find(|one| one.what == words).map(|one| one.id))
    }

    /// A lent helmet that took a blow comes back as one that nobody wears again.
    fn set_helmets_aside(
        &self,
        conn: &mut AnyConn,
        about: Option<&About>,
        wished: &Wished,
        wish: &IncidentWish,
    ) -> Result<(), Failure> {
        let Some(about) = about.filter(|_| wish.helmet_hit) else { return Ok(()) };
        for (lot, _) in about.day.helmets.iter().filter(|(_, way)| *way == Way::Lent) {
            let back = Wish::HelmetBack { lot: lot.clone(), how: CameBack::Damaged };
            let id = derived_id(&wished.id, lot);
            self.keep(conn, &Wished { id, rider: wished.rider.clone(), meeting: wished.meeting, wish: back })?;
        }
        Ok(())
    }

    /// What the program knows by itself at that moment.
    fn circumstances(
        &self,
        conn: &mut AnyConn,
        about: Option<&About>,
        meeting: i64,
        machine: Option<&MachineRow>,
    ) -> Result<Circumstances, Failure> {
        let acts = self.opened.acts(conn)?;
        let area = self.opened.area(conn, &self.caller, &acts)?;
        let on_the_area = area.map(|area| area.team).unwrap_or_default();
        let worn = about.and_then(|about| about.day.worn.as_ref());
        Ok(Circumstances {
            machine: machine.map(|machine| MachineThen {
                number: machine.number.clone(),
                make_model: machine.make_model.clone(),
                limiter_tenths_mph: machine.limiter_tenths_mph,
            }),
            worn: worn.map(|worn| worn.iter().copied().collect()),
            weather: self.opened.weather(&acts, meeting).standing.into_values().map(|(finding, _)| finding).collect(),
            on_the_area: on_the_area.into_iter().filter(|one| one.is_on).map(|one| one.name).collect(),
            helmets: about
                .map(|about| about.day.helmets.iter().map(|(lot, _)| lot.clone()).collect())
                .unwrap_or_default(),
        })
    }
}
