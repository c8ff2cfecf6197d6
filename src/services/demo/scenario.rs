//! What `seed/demo/scenario.toml` says, and the rows of people, places, machines and gear that it makes.

use std::collections::BTreeMap;

use chrono::{Datelike, Days, NaiveDate, TimeDelta};
use serde::Deserialize;

use super::gear::{self, GrantPart, LotPart};
use super::{Member, SignIn};
use crate::domain::access::{Caller, Duty, Role};
use crate::domain::emergency_plan::{EmergencyPlan, GateCode};
use crate::domain::machine::MachineState;
use crate::domain::machine::record::{LabelSeen, PlaceKind, Riders};
use crate::domain::measures::{INCH_UM, Mass};
use crate::domain::site_paper::{SitePaper, SitePaperKind};
use crate::domain::words::{Lang, Phone, Word, full_name};
use crate::services::{App, Failure};
use crate::store::accounts::{NewAccount, add_account};
use crate::store::emergency_plans::set_emergency_plan;
use crate::store::machine_log::add_defect;
use crate::store::machines::{
    MachineFacts, add_machine, add_place, list_places, set_hours, set_machine_state, set_place,
};
use crate::store::programs::find_program;
use crate::store::site_papers::add_site_paper;
use crate::store::sites::{NewSite, add_site};
use crate::store::staff::{add_certification, add_staff};
use crate::store::{AnyConn, StoreError};

const TEXT: &str = include_str!("../../../seed/demo/scenario.toml");

/// The whole scenario.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct Scenario {
    staff: Vec<StaffPart>,
    sites: Vec<SitePart>,
    machines: Vec<MachinePart>,
    grants: Vec<GrantPart>,
    lots: Vec<LotPart>,
    sessions: SessionsPart,
    names: Names,
}

#[derive(Clone, Debug, Deserialize)]
struct StaffPart {
    given: String,
    family: String,
    roles: Vec<Role>,
    phone: String,
    #[serde(default)]
    provisional: bool,
    papers: BTreeMap<String, u64>,
}

#[derive(Clone, Debug, Deserialize)]
struct SitePart {
    name: String,
    street: String,
    city: String,
    zip: String,
    county: String,
    most_riders: i64,
    papers: BTreeMap<SitePaperKind, i64>,
    latitude: f64,
    longitude: f64,
}

#[derive(Clone, Debug, Deserialize)]
struct MachinePart {
    make_model: String,
    category: String,
    count: u32,
    engine_cc: i64,
    dry_pounds: i64,
    seat_inches: i64,
    rest_inches: i64,
    limiter_mph: i64,
    /// The fault for which the last of them is out of use.
    last_stands_for: Option<String>,
}

#[derive(Clone, Debug, Deserialize)]
struct SessionsPart {
    held_weeks: Vec<i64>,
    coming_weeks: Vec<i64>,
    cancelled_week: i64,
    moved_week: i64,
    series_weeks: Vec<i64>,
    full_week: i64,
    two_mornings_week: i64,
}

/// Names from which chance puts people together.
#[derive(Clone, Debug, Deserialize)]
pub(super) struct Names {
    /// Given names of riders.
    pub riders: Vec<String>,
    /// Given names of guardians.
    pub guardians: Vec<String>,
    /// Family names.
    pub families: Vec<String>,
}

/// The staff of the scenario, by what they do in it.
pub(super) struct Members(Vec<Member>);

impl Members {
    /// The coordinator, as somebody who asks.
    pub(super) fn coordinator(&self) -> Caller {
        self.first(Role::Coordinator).caller(Role::Coordinator)
    }

    /// Two instructors for a session; the first of the list leads most often. The last but one is provisional.
    pub(super) fn pair(&self, place: usize) -> (&Member, &Member) {
        let teachers: Vec<&Member> = self.0.iter().filter(|member| member.role == Role::Instructor).collect();
        let leads = if place.is_multiple_of(3) { 0 } else { 1 + place % 3 };
        (teachers[leads], teachers[1 - leads.min(1)])
    }

    /// Everybody beside the lead.
    pub(super) fn others(&self, second: &Member) -> Vec<(String, Duty)> {
        vec![
            second.with_duty(Duty::Instructor),
            self.first(Role::FirstAid).with_duty(Duty::FirstAid),
            self.first(Role::Helper).with_duty(Duty::Helper),
        ]
    }

    /// Somebody by name.
    pub(super) fn find(&self, name: &str) -> Option<&Member> {
        self.0.iter().find(|member| member.name == name)
    }

    pub(super) fn first(&self, role: Role) -> &Member {
        self.0.iter().find(|member| member.role == role).expect("the scenario has each role")
    }
}

impl Scenario {
    /// The scenario that ships.
    pub(super) fn read() -> Self {
        toml::from_str(TEXT).expect("the shipped scenario is sound")
    }

    pub(super) fn held_weeks(&self) -> &[i64] {
        &self.sessions.held_weeks
    }

    pub(super) fn coming_weeks(&self) -> &[i64] {
        &self.sessions.coming_weeks
    }

    pub(super) fn cancelled_week(&self) -> i64 {
        self.sessions.cancelled_week
    }

    pub(super) fn moved_week(&self) -> i64 {
        self.sessions.moved_week
    }

    pub(super) fn series_weeks(&self) -> &[i64] {
        &self.sessions.series_weeks
    }

    pub(super) fn full_week(&self) -> i64 {
        self.sessions.full_week
    }

    pub(super) fn two_mornings_week(&self) -> i64 {
        self.sessions.two_mornings_week
    }

    pub(super) fn names(&self) -> &Names {
        &self.names
    }

    /// Counties of the scenario's sites.
    pub(super) fn counties(&self) -> Vec<&str> {
        self.sites.iter().map(|site| site.county.as_str()).collect()
    }

    /// A password for the first holder of each role, drawn anew.
    pub(super) fn sign_ins(&self, app: &App) -> Vec<SignIn> {
        let mut drawn: Vec<SignIn> = Vec::new();
        for part in &self.staff {
            let role = part.roles[0];
            if !drawn.iter().any(|known| known.role == role) {
                drawn.push(SignIn { role, email: part.email(), password: app.random.reference() });
            }
        }
        drawn
    }

    /// Writes people, places, machines and gear; gives the staff and the references of the sites.
    pub(super) fn add(
        &self,
        app: &App,
        today: NaiveDate,
        sign_ins: &[SignIn],
    ) -> Result<(Members, Vec<String>), Failure> {
        let (plan, app) = (self.clone(), app.clone());
        let hashed: Result<BTreeMap<String, String>, Failure> = sign_ins
            .iter()
            .map(|one| Ok((one.email.clone(), app.passwords.hash(&one.password).map_err(|_| Failure::Busy(None))?)))
            .collect();
        let hashed = hashed?;
        app.store.clone().write("demo scenery", move |conn| -> Result<(Members, Vec<String>), Failure> {
            let members =
                plan.staff.iter().map(|part| part.add(conn, &app, today, &hashed)).collect::<Result<_, _>>()?;
            let sites = plan.sites.iter().map(|part| part.add(conn, &app, today)).collect::<Result<_, _>>()?;
            plan.add_fleet(&app, conn, today)?;
            gear::add(&plan.grants, &plan.lots, &app, conn, today)?;
            Ok((Members(members), sites))
        })
    }

    fn add_fleet(&self, app: &App, conn: &mut AnyConn, today: NaiveDate) -> Result<(), StoreError> {
        add_place(conn, "Trailer 1", PlaceKind::Trailer)?;
        add_place(conn, "Trailer 2", PlaceKind::Trailer)?;
        let (places, mut number) = (list_places(conn)?, 0);
        for part in &self.machines {
            for nth in 0..part.count {
                number += 1;
                let reference = app.random.reference();
                let ready = MachineState::Ready.as_str();
                let id = add_machine(conn, &part.row(number, today), &reference, ready)?;
                set_place(conn, id, places.get(usize::from(number > 12)).map(|place| place.id))?;
                set_hours(conn, id, 400 + number * 37)?;
                if let Some(fault) = &part.last_stands_for
                    && nth + 1 == part.count
                {
                    add_defect(conn, id, fault, None, app.clock.now())?;
                    set_machine_state(conn, id, MachineState::OutOfUse.as_str())?;
                }
            }
        }
        Ok(())
    }
}

impl StaffPart {
    fn email(&self) -> String {
        format!("{}@example.org", self.given.to_lowercase())
    }

    fn add(
        &self,
        conn: &mut AnyConn,
        app: &App,
        today: NaiveDate,
        hashed: &BTreeMap<String, String>,
    ) -> Result<Member, Failure> {
        let (now, reference) = (app.clock.now(), app.random.reference());
        let account = NewAccount {
            reference: reference.clone(),
            email: self.email(),
            is_shown: true,
            password_hash: hashed.get(&self.email()).cloned(),
            given_name: self.given.clone(),
            family_name: self.family.clone(),
            language: Lang::En,
            created_at: now,
        };
        let phone = Phone::parse(&self.phone).expect("the scenario's telephones are sound");
        let account = add_account(conn, &account, &self.roles)?;
        let staff = add_staff(conn, account, phone.as_str(), self.provisional, now)?;
        for (kind, days) in &self.papers {
            add_certification(conn, staff, kind, today - Days::new(900), today + Days::new(*days))?;
        }
        let name = full_name(&self.given, &self.family);
        Ok(Member { account, staff, reference, name, role: self.roles[0] })
    }
}

impl SitePart {
    fn add(&self, conn: &mut AnyConn, app: &App, today: NaiveDate) -> Result<String, Failure> {
        let program = find_program(conn)?.ok_or(Failure::NotFound)?;
        let reference = app.random.reference();
        let site = NewSite {
            reference: reference.clone(),
            name: self.name.clone(),
            street: self.street.clone(),
            city: self.city.clone(),
            zip: self.zip.clone(),
            county_set: program.county_set,
            county: self.county.clone(),
            time_zone: program.time_zone,
            latitude: Some(self.latitude),
            longitude: Some(self.longitude),
            most_riders: self.most_riders,
            hospital: format!("{} Community Hospital, (406) 555-0190", self.city),
            emergency_notes: "The caretaker lives in the yellow house by the road.".into(),
            directions: format!("From {} take {} to the gravel lot.", self.city, self.street),
        };
        let id = add_site(conn, &site)?;
        for (kind, days) in &self.papers {
            let valid_through = today + TimeDelta::days(*days);
            let valid_from = today - Days::new(900);
            add_site_paper(conn, id, &SitePaper { kind: *kind, valid_from, valid_through, taken_back_on: None })?;
        }
        set_emergency_plan(conn, id, &plan(), app.clock.now())?;
        Ok(reference)
    }
}

/// The emergency plan of every invented site.
fn plan() -> EmergencyPlan {
    EmergencyPlan {
        signal_spot: "At the gate post, two minutes on foot. One bar or more.".into(),
        device: "Satellite messenger in the red box on the trailer. Hold the side key for three seconds.".into(),
        gate_code: GateCode::new("4455"),
        landing_place: "The north field, mown, no wires.".into(),
        meets_ambulance: "The helper of the day, at the county road.".into(),
    }
}

impl MachinePart {
    fn row(&self, number: i64, today: NaiveDate) -> MachineFacts {
        let built_on = NaiveDate::from_ymd_opt(today.year() - 3, 3, 1).expect("a first of March");
        MachineFacts {
            number: number.to_string(),
            make_model: self.make_model.clone(),
            category: self.category.clone(),
            serial: format!("WMK{:02}00000000{number:04}", today.year() % 100),
            seats: Some(Riders::One),
            built_on,
            engine_cc_tenths: self.engine_cc * 10,
            dry_weight_g: Mass::from_pounds(self.dry_pounds).g(),
            seat_height_um: self.seat_inches * INCH_UM,
            seat_to_rest_um: self.rest_inches * INCH_UM,
            grip_to_lever_um: None,
            rest_to_pedal_um: None,
            limiter_tenths_mph: Some(self.limiter_mph * 10),
            limiter_set_on: Some(today - Days::new(60)),
            limiter_set_by: "Rafael Tso".into(),
            tire_front_tenths_psi: Some(40),
            tire_rear_tenths_psi: Some(35),
            label: LabelSeen::There,
        }
    }
}
