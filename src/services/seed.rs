//! Fills an empty database with the program's data and no people: the program, counties, rules, texts, courses.

use sha2::{Digest, Sha256};

use super::{App, Failure};
use crate::domain::cautions::Cautions;
use crate::domain::consent::ConsentText;
use crate::domain::county::{CountySet, parse_counties, parse_states};
use crate::domain::curriculum::Curriculum;
use crate::domain::fit::FitRules;
use crate::domain::point_list::{PointList, PointListKind};
use crate::domain::program::ProgramSettings;
use crate::domain::talk::{Talk, Talks};
use crate::domain::words::{Phone, Word};
use crate::store::audit::hex;
use crate::store::consents::{NewConsentText, add_consent_text};
use crate::store::counties::{CountyRow, add_counties};
use crate::store::courses::{NewCourse, add_course};
use crate::store::point_lists::{add_point_list, list_point_lists};
use crate::store::programs::{ProgramRow, add_program, find_program};
use crate::store::rulebooks::add_rulebook;
use crate::store::{AnyConn, StoreError};

/// The program file that ships.
pub const SHIPPED_PROGRAM: &str = include_str!("../../seed/program.toml");
pub(super) const CURRICULUM: &str = include_str!("../../seed/curriculum.toml");
pub(super) const FIT: &str = include_str!("../../seed/fit.toml");
const TALKS: &str = include_str!("../../seed/talks.toml");
const DAY_LIST: &str = include_str!("../../seed/day_list.toml");
const LOOK_OVER: &str = include_str!("../../seed/look_over.toml");
const HELMET_CHECK: &str = include_str!("../../seed/helmet_check.toml");
pub(super) const CAUTIONS: &str = include_str!("../../seed/cautions.toml");
pub(super) const CONSENTS: [&str; 4] = [
    include_str!("../../seed/consents/ride.en.toml"),
    include_str!("../../seed/consents/ride.es.toml"),
    include_str!("../../seed/consents/photo.en.toml"),
    include_str!("../../seed/consents/photo.es.toml"),
];
pub(super) const STATES: &str = include_str!("../../seed/counties/states.csv");
const COUNTIES_2017: &str = include_str!("../../seed/counties/2017.csv");
const COUNTIES_2023: &str = include_str!("../../seed/counties/2023.csv");

/// What a program file says.
#[derive(Clone, Debug, serde::Deserialize)]
struct ProgramFile {
    program: ProgramPart,
    settings: ProgramSettings,
    courses: Vec<NewCourse>,
}

#[derive(Clone, Debug, serde::Deserialize)]
struct ProgramPart {
    name: String,
    state: String,
    county_set: String,
    time_zone: String,
    office_phone: String,
    office_email: String,
}

/// What is wrong with a program file, in words for the one who wrote it.
#[derive(Debug, thiserror::Error)]
pub enum SeedFault {
    /// Not the TOML that is wanted.
    #[error("the program file cannot be read: {0}")]
    Unreadable(#[from] toml::de::Error),
    /// No such state.
    #[error("`{0}` is no state's two letters")]
    State(String),
    /// No such county set.
    #[error("`{0}` is no county set; write 2017 or 2023")]
    CountySet(String),
    /// No such time zone.
    #[error("`{0}` is no time zone; write one like America/Denver")]
    Zone(String),
    /// Not a telephone number.
    #[error("`{0}` is no telephone number")]
    Phone(String),
}

/// What seeding came to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Seeded {
    /// The database was empty and now has the program's data.
    Filled,
    /// There is a program already; nothing was changed.
    AlreadyThere,
}

/// Everything that is written, read and checked before the first row.
#[derive(Clone)]
struct Plan {
    program: ProgramRow,
    counties: Vec<CountyRow>,
    rulebooks: Vec<(&'static str, i64, chrono::NaiveDate, String)>,
    consents: Vec<NewConsentText>,
    courses: Vec<NewCourse>,
}

/// Writes the program's data. `approval` names who approved the consent texts and when; without it registration
/// stays closed until an administrator has entered it.
pub fn program(app: &App, file: &str, approval: Option<(&str, chrono::NaiveDate)>) -> Result<Seeded, Failure> {
    let plan = plan(file, app.settings.demo, approval).map_err(Failure::broken)?;
    let now = app.clock.now();
    app.store.write("seed program", move |conn| -> Result<Seeded, Failure> {
        if find_program(conn)?.is_some() {
            return Ok(Seeded::AlreadyThere);
        }
        add_counties(conn, &plan.counties)?;
        add_program(conn, &plan.program)?;
        for (kind, version, starts_on, body) in &plan.rulebooks {
            add_rulebook(conn, kind, *version, *starts_on, body, now)?;
        }
        add_missing_lists(conn, now)?;
        for text in &plan.consents {
            add_consent_text(conn, text)?;
        }
        for course in &plan.courses {
            add_course(conn, course)?;
        }
        Ok(Seeded::Filled)
    })
}

/// Tells what is wrong with a program file before anything is written.
pub fn check(file: &str) -> Result<(), SeedFault> {
    plan(file, false, None).map(|_| ())
}

fn plan(file: &str, demo: bool, approval: Option<(&str, chrono::NaiveDate)>) -> Result<Plan, SeedFault> {
    let read: ProgramFile = toml::from_str(file)?;
    Ok(Plan {
        program: program_row(&read, demo)?,
        counties: county_rows(),
        rulebooks: rulebooks(),
        consents: CONSENTS.iter().map(|text| consent_text(text, approval)).collect(),
        courses: read.courses,
    })
}

fn program_row(read: &ProgramFile, demo: bool) -> Result<ProgramRow, SeedFault> {
    let part = &read.program;
    let states = parse_states(STATES).expect("the shipped states are sound");
    let state = states.iter().find(|s| s.letters == part.state).ok_or_else(|| SeedFault::State(part.state.clone()))?;
    let set = CountySet::ALL.into_iter().find(|set| set.as_str() == part.county_set);
    let set = set.ok_or_else(|| SeedFault::CountySet(part.county_set.clone()))?;
    let phone = Phone::parse(&part.office_phone).map_err(|_| SeedFault::Phone(part.office_phone.clone()))?;
    let zone: chrono_tz::Tz = part.time_zone.parse().map_err(|_| SeedFault::Zone(part.time_zone.clone()))?;
    Ok(ProgramRow {
        id: 1,
        name: part.name.clone(),
        state_fips: state.fips.as_str().to_owned(),
        county_set: year(set),
        time_zone: zone.name().to_owned(),
        office_phone: phone.as_str().to_owned(),
        office_email: part.office_email.clone(),
        demonstration: demo,
        settings: serde_json::to_string(&read.settings).expect("settings are plain values"),
        revision: 1,
    })
}

/// The year by which a county set is stored.
fn year(set: CountySet) -> i64 {
    set.as_str().parse().expect("a set is named by its year")
}

fn county_rows() -> Vec<CountyRow> {
    let mut rows = Vec::new();
    for (set, csv) in [(CountySet::Y2017, COUNTIES_2017), (CountySet::Y2023, COUNTIES_2023)] {
        let counties = parse_counties(csv).expect("the shipped counties are sound");
        rows.extend(counties.into_iter().map(|county| CountyRow {
            county_set: year(set),
            state_fips: county.fips.state().as_str().to_owned(),
            fips: county.fips.as_str().to_owned(),
            name: county.name,
        }));
    }
    rows
}

fn rulebooks() -> Vec<(&'static str, i64, chrono::NaiveDate, String)> {
    let curriculum: Curriculum = toml::from_str(CURRICULUM).expect("the shipped curriculum is sound");
    let fit: FitRules = toml::from_str(FIT).expect("the shipped fit rules are sound");
    let cautions: Cautions = toml::from_str(CAUTIONS).expect("the shipped cautions are sound");
    let starts_on = curriculum.starts_on();
    vec![
        ("curriculum", curriculum.version(), starts_on, json(&curriculum)),
        ("fit", fit.version.into(), starts_on, json(&fit)),
        ("cautions", 1, starts_on, json(&cautions)),
    ]
}

/// The list of points of a kind that ships.
pub(super) fn point_list(kind: PointListKind) -> PointList {
    let shipped = match kind {
        PointListKind::DayList => DAY_LIST,
        PointListKind::LookOver => LOOK_OVER,
        PointListKind::HelmetCheck => HELMET_CHECK,
    };
    toml::from_str(shipped).expect("the shipped lists are sound")
}

/// Adds the list that ships where there is none of its kind.
fn add_missing_lists(conn: &mut AnyConn, now: chrono::NaiveDateTime) -> Result<(), StoreError> {
    for kind in PointListKind::ALL {
        if list_point_lists(conn, *kind)?.is_empty() {
            let list = point_list(*kind);
            add_point_list(conn, *kind, list.version(), list.starts_on(), &json(&list), now)?;
        }
    }
    Ok(())
}

/// Gives a program that was made before there was a list of some kind the one that ships.
pub fn complete(app: &App) -> Result<(), Failure> {
    let now = app.clock.now();
    app.store.write("complete program", move |conn| match find_program(conn)? {
        Some(_) => add_missing_lists(conn, now),
        None => Ok(()),
    })?;
    Ok(())
}

fn json(rules: &impl serde::Serialize) -> String {
    serde_json::to_string(rules).expect("rules are plain values")
}

fn consent_text(text: &str, approval: Option<(&str, chrono::NaiveDate)>) -> NewConsentText {
    let read: ConsentText = toml::from_str(text).expect("the shipped texts are sound");
    NewConsentText {
        kind: read.kind.as_str().to_owned(),
        version: read.version,
        language: read.language,
        shown_hash: hex(&Sha256::digest(read.shown_text().as_bytes())),
        body: json(&read),
        sample: read.sample,
        approved_by: approval.map(|(who, _)| who.to_owned()),
        approved_on: approval.map(|(_, day)| day),
    }
}

/// The talks that ship.
pub(super) fn talks() -> Vec<Talk> {
    toml::from_str::<Talks>(TALKS).expect("the shipped talks are sound").talks
}
