//! Sessions of the stories, put straight into the database, and the answers of a family that registers.

use chrono::{NaiveDate, TimeDelta};
use chrono_tz::America::Denver;
use waymark::domain::emergency_plan::{EmergencyPlan, GateCode};
use waymark::domain::session::{Limit, SessionState};
use waymark::domain::time::LocalTime;
use waymark::domain::words::Lang;
use waymark::outside::random::Random;
use waymark::store::courses::find_course;
use waymark::store::emergency_plans::set_emergency_plan;
use waymark::store::rulebooks::find_rulebook_on;
use waymark::store::sessions::{NewMeeting, NewSession, add_session};
use waymark::store::sites::{NewSite, add_site};
use waymark::store::{Store, StoreError};

use super::app::{TestApp, story_begins};
use super::browser::{Answered, Browser};

/// Form fields by name.
pub type Fields = Vec<(&'static str, String)>;

/// A county of Montana: Lewis and Clark, 30049 (Census Bureau, county list of 2023).
pub const HOME: &str = "30049";

impl TestApp {
    /// An announced session at 8:30 AM on a day at Alder Flat, of the course `young` or `older`. Gives its reference.
    pub fn add_session(&self, course: &'static str, capacity: i64, held_on: NaiveDate) -> String {
        add_announced(&self.app.store, course, capacity, held_on)
    }

    /// The same of the course `young` at a site of its own.
    pub fn add_session_at(&self, site: NewSite, capacity: i64, held_on: NaiveDate) -> String {
        add_announced_at(&self.app.store, "young", capacity, held_on, site)
    }
}

/// A site of this name in a county of the set of 2023, with its degrees north and east where it has any.
pub fn site_in(county: &str, name: &str, coordinates: Option<(f64, f64)>) -> NewSite {
    let new = new_site(&Random::system().reference());
    let (latitude, longitude) = coordinates.unzip();
    NewSite { county: county.into(), name: name.into(), latitude, longitude, ..new }
}

/// The same in any seeded database.
pub fn add_announced(store: &Store, course: &'static str, capacity: i64, held_on: NaiveDate) -> String {
    add_announced_at(store, course, capacity, held_on, new_site(&Random::system().reference()))
}

fn add_announced_at(store: &Store, course: &'static str, capacity: i64, held_on: NaiveDate, site: NewSite) -> String {
    let session = Random::system().reference();
    let reference = session.clone();
    let wall = held_on.and_hms_opt(8, 30, 0).expect("a time of the morning");
    let starts_at = LocalTime { wall, zone: Denver }.to_utc().expect("no clock jumps at 8:30");
    let added = store.write("add session", move |conn| {
        let course = find_course(conn, course)?.expect("a seeded course");
        let mut book = |kind| Ok::<_, StoreError>(find_rulebook_on(conn, kind, held_on)?.expect("seeded rules"));
        let (curriculum_id, fit_id, cautions_id) = (book("curriculum")?, book("fit")?, book("cautions")?);
        let site_id = add_site(conn, &site)?;
        set_emergency_plan(conn, site_id, &plan(), story_begins())?;
        let new = NewSession {
            reference: session.clone(),
            course_id: course.id,
            site_id,
            language: Lang::En,
            state: SessionState::Announced,
            capacity,
            binding_limit: Limit::Site,
            seats_taken: 0,
            waiting: 0,
            last_place: 0,
            last_counter: 0,
            curriculum_id,
            fit_id,
            cautions_id,
            held_on,
            created_at: story_begins() - TimeDelta::days(1),
        };
        let meeting = NewMeeting {
            local_start: wall.format("%Y-%m-%dT%H:%M").to_string(),
            zone: "America/Denver".into(),
            minutes: 270,
            starts_at,
        };
        add_session(conn, &new, &[meeting], &[])
    });
    added.expect("a session");
    reference
}

fn new_site(reference: &str) -> NewSite {
    NewSite {
        reference: reference.into(),
        name: "Alder Flat".into(),
        street: "12 Lantern Street".into(),
        city: "Helena".into(),
        zip: "59601".into(),
        county_set: 2023,
        county: HOME.into(),
        time_zone: "America/Denver".into(),
        latitude: None,
        longitude: None,
        most_riders: 40,
        hospital: "Valley hospital".into(),
        emergency_notes: "Gate code 0000".into(),
        directions: "Second gate after the bridge.".into(),
    }
}

fn plan() -> EmergencyPlan {
    EmergencyPlan {
        signal_spot: "At the gate post".into(),
        device: "Satellite messenger in the red box".into(),
        gate_code: GateCode::new("7731#"),
        landing_place: "The north field".into(),
        meets_ambulance: "Hal, at the county road".into(),
    }
}

/// The same fields with one answered otherwise.
pub fn with(mut fields: Fields, name: &'static str, value: &str) -> Fields {
    fields.retain(|(other, _)| *other != name);
    fields.push((name, value.to_owned()));
    fields
}

fn fields(pairs: &[(&'static str, &str)]) -> Fields {
    pairs.iter().map(|(name, value)| (*name, (*value).to_owned())).collect()
}

/// Zoë, nine years old on the Saturday of the stories.
pub fn rider() -> Fields {
    fields(&[
        ("given", "Zoë Marisol"),
        ("family", "Okafor-Lindqvist"),
        ("birth_month", "9"),
        ("birth_day", "21"),
        ("birth_year", "2016"),
        ("county", HOME),
        ("ridden", "few"),
    ])
}

/// An allergy with an injector.
pub fn health() -> Fields {
    fields(&[
        ("any", "yes"),
        ("allergy", "yes"),
        ("allergy_what", "bee stings"),
        ("injector", "yes"),
        ("injector_where", "red bag"),
        ("medicine", "unknown"),
    ])
}

/// Ingrid, with a new account, and two people to call.
pub fn adults(email: &str) -> Fields {
    fields(&[
        ("given", "Ingrid"),
        ("family", "Lindqvist"),
        ("phone", "(406) 555-0118"),
        ("email", email),
        ("password", "lantern under seven larches"),
        ("first_name", "Chidi Okafor"),
        ("first_phone", "406.555.0163"),
        ("second_name", "Signe Lindqvist"),
        ("second_phone", "406 555 0164"),
        ("pick_up_name", "Chidi Okafor"),
        ("pick_up_phone", "406 555 0163"),
    ])
}

/// Sizes of a nine-year-old, the head not known.
pub fn sizes() -> Fields {
    fields(&[("units", "us"), ("height", "4 ft 4"), ("weight", "63"), ("inseam", "23 5/8"), ("head_unknown", "yes")])
}

/// The address of a step.
pub fn step(session: &str, name: &str) -> String {
    format!("/sessions/{session}/register/{name}")
}

/// What a page sends on which a consent is signed, when every clause to ride is ticked and this name is typed.
pub fn ride_signed(page: &Answered, name: &str) -> Vec<(String, String)> {
    let hidden = ["form_token", "key", "ride_hash", "photo_hash"];
    let mut fields: Vec<(String, String)> =
        hidden.iter().filter_map(|field| Some(((*field).to_owned(), page.field(field)?))).collect();
    for tick in page.body.split("name=\"ride-").skip(1) {
        fields.push((format!("ride-{}", tick.split('"').next().unwrap_or_default()), "yes".into()));
    }
    fields.push(("signature".into(), name.into()));
    fields
}

impl Browser {
    /// Sends one step from its own page.
    pub fn answer(&self, session: &str, name: &str, answers: &Fields) -> Answered {
        let path = step(session, name);
        let pairs: Vec<(&str, &str)> = answers.iter().map(|(name, value)| (*name, value.as_str())).collect();
        self.submit(&path, &path, &pairs)
    }

    /// Answers every step up to the one that is checked and signed.
    #[track_caller]
    pub fn answer_all(&self, session: &str, rider: &Fields, email: &str) {
        for (name, answers, next) in [
            ("rider", rider.clone(), "health"),
            ("health", health(), "adults"),
            ("adults", adults(email), "sizes"),
            ("sizes", sizes(), "check"),
        ] {
            let answered = self.answer(session, name, &answers);
            assert_eq!(answered.status, 303, "{name}: {}", answered.words());
            assert_eq!(answered.location(), step(session, next));
        }
    }

    /// What the check page sends, its form token with it, when every clause to ride is ticked and this name is typed.
    pub fn signed(&self, session: &str, name: &str) -> Vec<(String, String)> {
        let page = self.get(&step(session, "check"));
        let fields = ride_signed(&page, name);
        for field in ["form_token", "key", "ride_hash", "photo_hash"] {
            assert!(fields.iter().any(|(name, _)| name == field), "{field}: {}", page.words());
        }
        fields
    }

    /// Signs for a registration from its own page.
    pub fn sign_for(&self, receipt: &str, name: &str) -> Answered {
        self.send_signature(receipt, &ride_signed(&self.get(&format!("{receipt}/sign")), name))
    }

    /// Sends what the page of a signature holds.
    pub fn send_signature(&self, receipt: &str, fields: &[(String, String)]) -> Answered {
        let pairs: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        self.post_whole(&format!("{receipt}/sign"), &pairs)
    }

    /// Sends the last step.
    pub fn sign(&self, session: &str, fields: &[(String, String)]) -> Answered {
        let pairs: Vec<(&str, &str)> = fields.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        self.post_whole(&step(session, "check"), &pairs)
    }

    /// The whole way as a stranger; gives the receipt's address.
    #[track_caller]
    pub fn register(&self, session: &str, rider: &Fields, email: &str) -> String {
        self.answer_all(session, rider, email);
        let fields = self.signed(session, "Ingrid Lindqvist");
        self.sign(session, &fields).location().to_owned()
    }
}
