//! Staff register a child whose adult stands before them or is on the telephone. They write health answers and never read
//! them back. The adult signs afterwards, on a screen that is turned round, or at home where letters reach.

mod registered;

use chrono::NaiveDate;
pub use registered::{Registered, registered};
use sha2::{Digest, Sha256};

use super::answers::{AdultsAnswers, HealthAnswers, RiderAnswers};
use super::earlier;
use super::entry::{self, Stop};
use super::faults::Faults;
use super::plan::{Plan, Rides, Who};
use super::reading;
use crate::domain::access::{Action, Caller, Permission, Subject, may};
use crate::domain::cautions::{Caution, CautionKey};
use crate::domain::ids::GuardianId;
use crate::domain::people::{LeapRule, age_on};
use crate::domain::refusal::Refusal;
use crate::domain::registration::DayAdult;
use crate::domain::words::{Lang, PersonName, Phone, full_name};
use crate::services::browse::{self, Announced, coming, find_announced};
use crate::services::kept_health::Keeping;
use crate::services::places::Turn;
use crate::services::roster::opened;
use crate::services::ties::speaker_of;
use crate::services::{App, Failure, ask, program, texts};
use crate::store::AnyConn;
use crate::store::accounts::NewAccount;
use crate::store::counties::list_counties;
use crate::store::families::{NewGuardian, NewRider, RiderRow, find_guardian, find_rider_by_reference};
use crate::store::registrations::find_registration_of;
use crate::store::request_keys::find_answer;

/// A child that the office has found among the families it knows.
#[derive(Clone, Debug)]
pub struct KnownChild {
    /// Public reference.
    pub reference: String,
    /// Name in one line.
    pub name: String,
    /// Birth date.
    pub birth_date: NaiveDate,
    /// The adult who speaks for it, in one line.
    pub adult: String,
    /// Telephone as people read it.
    pub phone: String,
    /// The people of its newest registration by this adult.
    pub contacts: AdultsAnswers,
    rider: RiderRow,
    guardian: GuardianId,
}

/// All that the page needs.
#[derive(Clone, Debug)]
pub struct WalkUp {
    /// The session.
    pub session: Announced,
    /// The child, when the office chose a known one.
    pub known: Option<KnownChild>,
    /// Counties to choose from: code and name.
    pub counties: Vec<(String, String)>,
    /// Whether the family names the adult who is there on the day.
    pub day_adult: DayAdult,
    /// Today at the program's home.
    pub today: NaiveDate,
    /// What to know before registering.
    pub caution: Caution,
    /// Whether there are text messages.
    pub texts: bool,
    county_set: i64,
    leap_rule: LeapRule,
}

/// What staff typed.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Written {
    /// Drawn when the page was shown; the same key gets the same answer.
    pub key: String,
    /// Who rides.
    pub rider: RiderAnswers,
    /// Guardian and people to call; the address may be missing.
    pub adults: AdultsAnswers,
    /// The child's health.
    pub health: HealthAnswers,
    /// The language that the adult reads.
    pub language: String,
    /// Whether the adult agrees to text messages.
    pub texts: bool,
}

/// The page of one session; `known` is the reference of a child that the office found, or empty.
///
/// # Errors
/// `NotFound` for who may not know of the session or of the child; `SessionTakesNoRegistrations`.
pub fn open(app: &App, caller: &Caller, reference: &str, known: &str) -> Result<WalkUp, Failure> {
    app.store.read(|conn| look(app, conn, caller, reference, known))
}

fn look(app: &App, conn: &mut AnyConn, caller: &Caller, reference: &str, known: &str) -> Result<WalkUp, Failure> {
    let opened = opened::open(conn, caller, reference, app.clock.now())?;
    ask(caller, Action::RegisterWalkUp, opened.subject())?;
    let session = find_announced(app, conn, reference)?;
    if !session.open {
        return Err(Refusal::SessionTakesNoRegistrations { held_on: session.held_on }.into());
    }
    let program = program::load(conn)?;
    let counties = list_counties(conn, program.row.county_set, &program.row.state_fips)?;
    Ok(WalkUp {
        caution: program::caution(conn, session.cautions, CautionKey::Registration)?,
        session,
        known: if known.is_empty() { None } else { Some(known_child(conn, caller, known)?) },
        counties: counties.into_iter().map(|county| (county.fips, county.name)).collect(),
        day_adult: program.settings.day_adult,
        today: app.clock.today(program.zone),
        texts: texts::are_there(app),
        county_set: program.row.county_set,
        leap_rule: program.settings.leap_rule,
    })
}

/// A child among the families of the program, which only the office sees.
fn known_child(conn: &mut AnyConn, caller: &Caller, reference: &str) -> Result<KnownChild, Failure> {
    if may(caller, Action::DecideTies, Subject::Program) != Permission::Granted {
        return Err(Failure::NotFound);
    }
    let rider = find_rider_by_reference(conn, reference)?.ok_or(Failure::NotFound)?;
    let adult = speaker_of(conn, rider.id)?.ok_or(Refusal::NobodyDecides)?;
    let earlier = earlier::earlier(conn, adult.id, std::slice::from_ref(&rider))?;
    Ok(KnownChild {
        reference: rider.reference.clone(),
        name: full_name(&rider.given_name, &rider.family_name),
        birth_date: rider.birth_date,
        adult: full_name(&adult.given_name, &adult.family_name),
        phone: Phone::shown(&adult.phone),
        contacts: earlier.adults.unwrap_or_default(),
        guardian: adult.id,
        rider,
    })
}

/// The name of a field on this page, where child and adult stand on one.
fn field_of_child(field: &str) -> String {
    match field {
        "given" | "family" => format!("child_{field}"),
        other => other.to_owned(),
    }
}

/// Registers the child. The same key gets the first answer again. Gives the registration's reference, or the faults.
///
/// # Errors
/// As [`open`]; a refusal when this child cannot have a place; `KeyReused` when the key came with other answers.
pub fn register(
    app: &App,
    caller: &Caller,
    reference: &str,
    written: &Written,
) -> Result<Result<String, Faults>, Failure> {
    let account = caller.account().ok_or(Failure::NotAllowed)?;
    let owner = Sha256::digest(format!("walk-up {}", account.raw())).to_vec();
    let digest = Sha256::digest(serde_json::to_vec(written).map_err(Failure::broken)?).to_vec();
    let answered = |conn: &mut AnyConn| match find_answer(conn, &owner, &written.key)? {
        Some((before, reference)) if before == digest => Ok(Some(reference)),
        Some(_) => Err(Failure::from(Refusal::KeyReused)),
        None => Ok(None),
    };
    let page = open(app, caller, reference, &written.rider.known)?;
    if let Some(first) = app.store.read(answered)? {
        return Ok(Ok(first));
    }
    let plan = match plan(app, caller, &page, written, (owner.clone(), digest.clone()))? {
        Ok(plan) => plan,
        Err(faults) => return Ok(Err(faults)),
    };
    match app.store.write("register walk-up", move |conn| entry::enter(conn, &plan)) {
        Ok(entered) => Ok(Ok(entered.reference)),
        Err(Stop::Failed(failure)) => Err(failure),
        // A twin of this press was quicker: its answer is the answer.
        Err(Stop::AnsweredAlready | Stop::DraftGone) => match app.store.read(answered)? {
            Some(first) => Ok(Ok(first)),
            None => Err(Failure::Busy(None)),
        },
    }
}

/// Who answers for the child and who rides, as read; faults are noted.
fn people(app: &App, page: &WalkUp, written: &Written, faults: &mut Faults) -> Option<(Who, Rides, NaiveDate)> {
    if let Some(known) = &page.known {
        return Some((
            Who::Spoken(known.guardian, app.random.reference()),
            Rides::Known(known.rider.id),
            known.birth_date,
        ));
    }
    let rider = reading::rider(&written.rider, &page.counties, page.today);
    let rider = rider.map_err(|found| note(&found, field_of_child, faults)).ok();
    let adult = adult(&written.adults).map_err(|found| note(&found, str::to_owned, faults)).ok();
    let language = Lang::parse(&written.language);
    if language.is_none() {
        faults.add("language", "walk-up-language-missing");
    }
    let ((name, phone, email), rider, language) = (adult?, rider?, language?);
    let now = app.clock.now();
    let account = email.clone().map(|email| NewAccount {
        reference: app.random.reference(),
        email,
        is_shown: false,
        password_hash: None,
        given_name: name.given().to_owned(),
        family_name: name.family().to_owned(),
        language,
        created_at: now,
    });
    let guardian = NewGuardian {
        account_id: None,
        given_name: name.given().to_owned(),
        family_name: name.family().to_owned(),
        phone,
        email,
        language,
        created_at: now,
        texts_agreed_at: (page.texts && written.texts).then_some(now),
    };
    let rides = Rides::New(NewRider {
        reference: app.random.reference(),
        report_key: app.random.reference(),
        given_name: rider.name.given().to_owned(),
        family_name: rider.name.family().to_owned(),
        birth_date: rider.birth_date,
        county_set: page.county_set,
        county: rider.county,
        paper_name: rider.paper_name,
        created_at: now,
    });
    Some((Who::WrittenDown(account, guardian), rides, rider.birth_date))
}

/// The adult, who may have no address: name, telephone, address.
fn adult(answers: &AdultsAnswers) -> Result<(PersonName, String, Option<String>), Faults> {
    if answers.email.trim().is_empty() {
        return reading::reached_by_phone(answers).map(|(name, phone)| (name, phone, None));
    }
    reading::guardian(answers).map(|read| (read.name, read.phone, Some(read.email)))
}

fn note(found: &Faults, name: impl Fn(&str) -> String, faults: &mut Faults) {
    found.list().iter().for_each(|fault| faults.add(name(&fault.field), fault.message));
}

fn plan(
    app: &App,
    caller: &Caller,
    page: &WalkUp,
    written: &Written,
    (owner, digest): (Vec<u8>, Vec<u8>),
) -> Result<Result<Plan, Faults>, Failure> {
    let mut faults = Faults::default();
    let people = people(app, page, written, &mut faults);
    let same = str::to_owned;
    let ridden = reading::ridden(&written.rider).map_err(|found| note(&found, same, &mut faults)).ok();
    let contacts = reading::contacts(&written.adults, page.day_adult);
    let contacts = contacts.map_err(|found| note(&found, same, &mut faults)).ok();
    // Staff write down in their own language what the adult says.
    let health = HealthAnswers { language: Lang::En.to_string(), ..written.health.clone() };
    let health = reading::health(&health).map_err(|found| note(&found, same, &mut faults)).ok();
    let (Some((who, rides, birth_date)), Some(ridden), Some(contacts), Some(health)) =
        (people, ridden, contacts, health)
    else {
        return Ok(Err(faults));
    };
    let session = &page.session;
    let (now, health_key) = (app.clock.now(), app.random.bytes());
    let note = zeroize::Zeroizing::new(serde_json::to_vec(&health).map_err(Failure::broken)?);
    let zone = session.sittings.first().map_or(chrono_tz::UTC, |sitting| sitting.zone);
    let (earlier, language) = app.store.read(|conn| earlier_place(conn, page, &who))?;
    Ok(Ok(Plan {
        owners: vec![owner],
        key: written.key.clone(),
        digest,
        session: session.id,
        session_reference: session.reference.clone(),
        today: session.openness.today,
        zone: zone.name().to_owned(),
        reference: earlier.unwrap_or_else(|| app.random.reference()),
        who,
        rides,
        birth_date,
        ridden,
        contacts,
        health_key,
        health: app.cipher.seal("health_notes", "body", &health_key, &note),
        keeping: Keeping::Leave,
        measures: None,
        voluntary: Vec::new(),
        signed: Vec::new(),
        proof: None,
        leap_rule: page.leap_rule,
        language,
        turn: Turn::of(app, caller),
        caller: caller.clone(),
        demo: app.settings.demo,
        now,
    }))
}

/// The reference of a place that a known child had in this session, and the language that its adult reads.
fn earlier_place(conn: &mut AnyConn, page: &WalkUp, who: &Who) -> Result<(Option<String>, Lang), Failure> {
    let found = match &page.known {
        Some(known) => find_registration_of(conn, page.session.id, known.rider.id)?.map(|row| row.reference),
        None => None,
    };
    let language = match who {
        Who::WrittenDown(_, new) => new.language,
        Who::Joins(_, new) | Who::New(_, new) => new.language,
        Who::Spoken(guardian, _) | Who::Known(guardian, _) => find_guardian(conn, *guardian)?.language,
    };
    Ok((found, language))
}

/// The most sessions that are shown for one child.
const SHOWN: usize = 12;

/// The sessions to come in which the office can register a known child, the next first.
///
/// # Errors
/// `NotFound` when there is no such child.
pub fn open_to(app: &App, caller: &Caller, rider: &str) -> Result<Vec<Announced>, Failure> {
    ask(caller, Action::DecideTies, Subject::Program)?;
    let coming = coming(app, &browse::Wanted::default())?.sessions;
    app.store.read(|conn| {
        let rider = find_rider_by_reference(conn, rider)?.ok_or(Failure::NotFound)?;
        let leap_rule = program::load(conn)?.settings.leap_rule;
        let mut found = Vec::new();
        for session in coming.into_iter().filter(|session| session.open) {
            let age = age_on(rider.birth_date, session.held_on, leap_rule);
            let is_there = find_registration_of(conn, session.id, rider.id)?.is_some_and(|row| row.state.is_open());
            if (session.least_age..=session.most_age).contains(&age) && !is_there && found.len() < SHOWN {
                found.push(session);
            }
        }
        Ok(found)
    })
}
