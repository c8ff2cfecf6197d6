//! Invented families, and their children's registrations for the demonstration's sessions.

mod twice;

use std::collections::BTreeSet;

use chrono::{Datelike, Days, NaiveDate, NaiveDateTime};

use super::{Announced, Builder, questions};
use crate::domain::access::{Guardianship, Role};
use crate::domain::health_note::{Condition, HealthNote, Known};
use crate::domain::ids::{AccountId, ConsentTextId, GuardianId, RiderId};
use crate::domain::measures::{INCH_UM, Length, Mass};
use crate::domain::people::{LeapRule, age_on};
use crate::domain::place::PlaceReason;
use crate::domain::proof::ProofAnswer;
use crate::domain::registration::{RegistrationState, Ridden};
use crate::domain::words::{Lang, Word};
use crate::services::kept_health::{self, Keeping};
use crate::services::register::answers::HealthAnswers;
use crate::services::{App, Failure};
use crate::store::accounts::{NewAccount, add_account};
use crate::store::consents::{NewConsent, add_consent, find_newest_consent_text};
use crate::store::families::{NewGuardian, NewRider, add_guardian, add_guardianship, add_rider, set_guardianship};
use crate::store::invitations::{NewInvitation, add_invitation};
use crate::store::places::{add_place_change, set_comes};
use crate::store::programs::find_program;
use crate::store::proofs::set_proof_answer;
use crate::store::registrations::{
    MeasuresRow, NewRegistration, add_contact, add_measures, add_registration, set_health,
};
use crate::store::sessions::{take_place_in_line, take_seat};
use crate::store::voluntary::voluntary_questions;
use crate::store::{AnyConn, StoreError};

/// Of this family the custody of one adult is restricted.
const RESTRICTED: usize = 12;

/// How many families the program knows.
const FAMILIES: usize = 400;

/// Every so many registrations a child comes back who was there before.
const COMES_BACK: usize = 9;

/// A child of the pool.
#[derive(Clone, Debug)]
struct Child {
    rider: RiderId,
    guardian: GuardianId,
    signer: String,
    birth: NaiveDate,
    times: i64,
}

/// A child with a seat in a session, as the day needs it.
#[derive(Clone, Debug)]
pub(super) struct Registered {
    /// Reference of the registration.
    pub reference: String,
    /// Completed years on the day.
    pub age: i64,
    /// Head circumference in centimetres.
    pub head_cm: i64,
    /// Who takes the child home.
    pub adult: String,
}

/// All children of the demonstration.
pub(super) struct Pool(Vec<Child>);

/// A family about to be written.
#[derive(Clone)]
struct Family {
    given: String,
    name: String,
    children: Vec<(String, NaiveDate)>,
    county: String,
    email: String,
    language: Lang,
    /// Another adult of the children, by given and family name, and how they stand to them.
    other: Option<(String, String, Guardianship)>,
    /// An adult who was asked to answer too and has not said anything.
    asks: Option<String>,
    /// Whether it keeps its health answers for the next time.
    keeps_health: bool,
}

impl Pool {
    /// Writes the families; the first one is the parent of the sign-in page.
    pub(super) fn add(builder: &Builder) -> Result<Self, Failure> {
        let families: Vec<Family> = (0..FAMILIES).map(|place| family(builder, place)).collect();
        let (app, question) = (builder.app.clone(), builder.app.random.reference());
        let children = builder.app.store.write("demo families", move |conn| -> Result<Vec<Child>, Failure> {
            questions::ask(conn, &question, app.clock.now())?;
            let mut children = Vec::new();
            for family in &families {
                children.extend(add_family(conn, &app, family)?);
            }
            if let Some(again) = twice::entered_again(&families) {
                add_family(conn, &app, &again)?;
                twice::ask_for_deletion(conn, &app, &again)?;
            }
            Ok(children)
        })?;
        Ok(Self(children))
    }

    /// Registers so many children of the right age; gives those who have a seat.
    pub(super) fn register(
        &mut self,
        builder: &Builder,
        session: &Announced,
        wanted: i64,
    ) -> Result<Vec<Registered>, Failure> {
        let chosen = self.choose(session, usize::try_from(wanted).unwrap_or_default());
        let plans: Vec<_> = chosen
            .into_iter()
            .map(|(child, age)| Plan { head_cm: 49 + (age - 6).min(6) + builder.below(3) as i64, child, age })
            .collect();
        let (app, id, on) = (builder.app.clone(), session.id, session.on);
        let (zone, asks_for_proof) = (builder.zone.name().to_owned(), session.asks_for_proof());
        builder.app.store.write("demo registrations", move |conn| -> Result<Vec<Registered>, Failure> {
            let text = find_newest_consent_text(conn, "ride", Lang::En)?.ok_or(Failure::NotFound)?;
            let asked = voluntary_questions(conn)?;
            let mut seated = Vec::new();
            for plan in &plans {
                let has_seat = take_seat(conn, id)?;
                let place = if has_seat { None } else { Some(take_place_in_line(conn, id)?) };
                let signed = (text.id, text.shown_hash.as_str(), zone.as_str());
                let answer = asks_for_proof.then(|| ProofAnswer::ALL[(seated.len() * 2) % ProofAnswer::ALL.len()]);
                let reference = plan.add(conn, &app, (id, on), place, signed, answer)?;
                questions::answer(conn, &reference, &asked)?;
                if has_seat {
                    let adult = plan.child.signer.clone();
                    seated.push(Registered { reference, age: plan.age, head_cm: plan.head_cm, adult });
                }
            }
            Ok(seated)
        })
    }

    fn choose(&mut self, session: &Announced, wanted: usize) -> Vec<(Child, i64)> {
        let mut chosen = Vec::new();
        let mut taken = BTreeSet::new();
        // The family of the sign-in button has a session that moved and one that was called off.
        let own = match (session.is_moved, session.is_cancelled) {
            (true, _) => self.0.first_mut(),
            (_, true) => self.0.get_mut(1),
            _ => None,
        };
        if let Some(child) = own {
            child.times += 1;
            taken.insert(child.rider);
            chosen.push((child.clone(), age_on(child.birth, session.on, LeapRule::default())));
        }
        for number in 0..wanted {
            let comes_back = number % COMES_BACK == COMES_BACK - 2;
            let fits = |child: &&mut Child| {
                let age = age_on(child.birth, session.on, LeapRule::default());
                (session.ages.0..=session.ages.1).contains(&age)
                    && !taken.contains(&child.rider)
                    && child.times == i64::from(comes_back)
            };
            let Some(child) = self.0.iter_mut().find(fits) else { continue };
            child.times += 1;
            taken.insert(child.rider);
            chosen.push((child.clone(), age_on(child.birth, session.on, LeapRule::default())));
        }
        chosen
    }
}

fn family(builder: &Builder, place: usize) -> Family {
    let names = builder.scenario.names();
    let counties = builder.scenario.counties();
    let pick = |list: &[String]| list[builder.below(list.len())].clone();
    let birthday = |age: i32| {
        let year = builder.today.year() - age;
        let day = NaiveDate::from_ymd_opt(year, 1, 1).expect("a first of January");
        day + Days::new(builder.below(300) as u64)
    };
    if place == 0 {
        let children = vec![("Zoë Marisol".to_owned(), birthday(12)), ("Mateo".to_owned(), birthday(8))];
        let (given, name) = ("Ingrid".to_owned(), "Okafor-Lindqvist".to_owned());
        let email = "ingrid.lindqvist@example.org".to_owned();
        let other = Some(("Chidi".to_owned(), "Okafor".to_owned(), Guardianship::Active));
        let asks = Some("Signe".to_owned());
        let county = "30063".to_owned();
        return Family { given, name, children, county, email, language: Lang::En, other, asks, keeps_health: true };
    }
    let number = if builder.below(3) == 0 { 2 } else { 1 };
    // Of some families two adults answer, and of one the custody of one adult is restricted.
    let stands = if place == RESTRICTED { Guardianship::Restricted } else { Guardianship::Active };
    let of = |list: &[String]| list[place * 7 % list.len()].clone();
    let other = place.is_multiple_of(6).then(|| (of(&names.guardians), of(&names.families), stands));
    let child = |_| (pick(&names.riders), birthday(7 + builder.below(9) as i32));
    Family {
        given: pick(&names.guardians),
        name: pick(&names.families),
        children: (0..number).map(child).collect(),
        county: counties[builder.below(counties.len())].to_owned(),
        email: format!("family{place}@example.org"),
        language: if builder.below(6) == 0 { Lang::Es } else { Lang::En },
        other,
        asks: None,
        keeps_health: false,
    }
}

fn add_family(conn: &mut AnyConn, app: &App, family: &Family) -> Result<Vec<Child>, Failure> {
    let now = app.clock.now();
    let account = NewAccount {
        reference: app.random.reference(),
        email: family.email.clone(),
        is_shown: true,
        password_hash: None,
        given_name: family.given.clone(),
        family_name: family.name.clone(),
        language: family.language,
        created_at: now,
    };
    let account: AccountId = add_account(conn, &account, &[Role::Guardian])?;
    let guardian = NewGuardian {
        account_id: Some(account),
        given_name: family.given.clone(),
        family_name: family.name.clone(),
        phone: format!("+1406555{:04}", 100 + account.raw() % 100),
        email: Some(family.email.clone()),
        language: family.language,
        created_at: now,
        texts_agreed_at: None,
    };
    let guardian = add_guardian(conn, &guardian)?;
    let other = match &family.other {
        Some((given, name, stands)) => Some((add_other(conn, family, (given, name), now)?, *stands)),
        None => None,
    };
    let county_set = find_program(conn)?.ok_or(Failure::NotFound)?.county_set;
    let mut children = Vec::new();
    for (given, birth) in &family.children {
        let rider = NewRider {
            reference: app.random.reference(),
            report_key: app.random.reference(),
            given_name: given.clone(),
            family_name: family.name.clone(),
            birth_date: *birth,
            county_set,
            county: family.county.clone(),
            paper_name: String::new(),
            created_at: now,
        };
        let rider = add_rider(conn, &rider, guardian)?;
        if let Some((other, stands)) = other {
            add_guardianship(conn, other, rider, Guardianship::Active, now)?;
            if stands != Guardianship::Active {
                set_guardianship(conn, other, rider, (stands, "Order of the district court seen"), now)?;
            }
        }
        let signer = format!("{} {}", family.given, family.name);
        children.push(Child { rider, guardian, signer, birth: *birth, times: 0 });
    }
    if family.keeps_health {
        let no = || Known::No.as_str().to_owned();
        let answers = HealthAnswers { any: no(), injector: no(), medicine: no(), ..HealthAnswers::default() };
        for child in &children {
            let keeping = Keeping::Keep(kept_health::seal(app, &answers)?);
            kept_health::set(conn, child.rider, &keeping, now)?;
        }
    }
    if let Some(name) = &family.asks {
        let new = NewInvitation {
            reference: app.random.reference(),
            guardian_id: guardian,
            name: name.clone(),
            address: format!("{}@example.org", name.to_lowercase()),
            language: family.language,
            asked_at: now,
        };
        add_invitation(conn, &new, &children.iter().map(|child| child.rider).collect::<Vec<_>>())?;
    }
    Ok(children)
}

/// The other adult of a family, whom the office calls: without an account.
fn add_other(
    conn: &mut AnyConn,
    family: &Family,
    (given, name): (&str, &str),
    now: NaiveDateTime,
) -> Result<GuardianId, StoreError> {
    let other = NewGuardian {
        account_id: None,
        given_name: given.to_owned(),
        family_name: name.to_owned(),
        phone: "+14065550163".into(),
        email: None,
        language: family.language,
        created_at: now,
        texts_agreed_at: None,
    };
    add_guardian(conn, &other)
}

/// One registration about to be written.
#[derive(Clone)]
struct Plan {
    child: Child,
    age: i64,
    head_cm: i64,
}

impl Plan {
    fn add(
        &self,
        conn: &mut AnyConn,
        app: &App,
        (session, on): (crate::domain::ids::SessionId, NaiveDate),
        place: Option<i64>,
        (text, hash, zone): (ConsentTextId, &str, &str),
        answer: Option<ProofAnswer>,
    ) -> Result<String, Failure> {
        let (reference, now) = (app.random.reference(), app.clock.now());
        let new = NewRegistration {
            reference: reference.clone(),
            session_id: session,
            rider_id: self.child.rider,
            guardian_id: self.child.guardian,
            state: if place.is_some() { RegistrationState::Waitlisted } else { RegistrationState::Confirmed },
            place,
            held_until: None,
            language: Lang::En,
            ridden: if self.age % 2 == 0 { Ridden::Never } else { Ridden::Few },
            created_at: now,
        };
        let id = add_registration(conn, &new)?;
        add_place_change(conn, id, new.state, PlaceReason::Registered, now)?;
        add_contact(conn, id, "emergency", 1, &self.child.signer, "+14065550163")?;
        add_contact(conn, id, "pick_up", 1, &self.child.signer, "+14065550163")?;
        let row_key = app.random.bytes::<16>();
        let note = serde_json::to_vec(&self.health()).expect("a note is plain values");
        let sealed = app.cipher.seal("health_notes", "body", &row_key, &note);
        set_health(conn, id, &row_key, &sealed, now)?;
        add_measures(conn, &self.measures(id, on))?;
        let consent = NewConsent {
            registration_id: id,
            guardian_id: self.child.guardian,
            text_id: text,
            signed_name: self.child.signer.clone(),
            ticks: "[]".into(),
            shown_hash: hash.to_owned(),
            signed_at: now,
            zone: zone.to_owned(),
        };
        add_consent(conn, &consent)?;
        if let Some(answer) = answer {
            set_proof_answer(conn, id, answer)?;
        }
        // Of a session that is near, most families have said that they come.
        let near = (0..=5).contains(&(on - now.date()).num_days());
        if near && place.is_none() && self.child.rider.raw() % 4 != 0 {
            set_comes(conn, id, now)?;
        }
        Ok(reference)
    }

    /// One child in five has something that staff must know.
    fn health(&self) -> HealthNote {
        let has_asthma = self.child.rider.raw() % 5 == 0;
        let answer = if has_asthma { Known::Yes } else { Known::No };
        HealthNote {
            any: answer,
            conditions: if has_asthma { vec![Condition::Asthma] } else { Vec::new() },
            allergy: String::new(),
            injector: Known::No,
            injector_where: String::new(),
            medicine: answer,
            medicine_what: if has_asthma { "Inhaler, on the child".into() } else { String::new() },
            needs: String::new(),
            more: String::new(),
            language: None,
        }
    }

    fn measures(&self, id: crate::domain::ids::RegistrationId, on: NaiveDate) -> MeasuresRow {
        let height_in = 45 + (self.age - 6) * 5 / 2;
        MeasuresRow {
            rider_id: self.child.rider,
            registration_id: Some(id),
            measured_by: "guardian".into(),
            taken_on: on,
            height_um: Some(height_in * INCH_UM),
            weight_g: Some(Mass::from_pounds(45 + (self.age - 6) * 9).g()),
            inseam_um: Some(height_in * INCH_UM * 44 / 100),
            reach_um: None,
            hand_um: None,
            foot_um: None,
            head_um: Some(Length::from_cm(self.head_cm).um()),
        }
    }
}
