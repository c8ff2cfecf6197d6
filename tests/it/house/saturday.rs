//! A session that was held: seats, acts and helmets put straight into the database, so that stories about what comes
//! after begin at the closing page.

use chrono::{NaiveDate, NaiveDateTime, TimeDelta};
use waymark::domain::access::Duty;
use waymark::domain::acts::{Act, Body, Taking};
use waymark::domain::curriculum::Curriculum;
use waymark::domain::gear::{MoveKind, Way};
use waymark::domain::ids::{GuardianId, LotId, RegistrationId, RiderId, SessionId};
use waymark::domain::registration::{RegistrationState, Ridden};
use waymark::domain::session::{Limit, SessionState};
use waymark::domain::skill::Mark;
use waymark::domain::words::Lang;
use waymark::store::StoreError;
use waymark::store::acts::{KeptAct, add_act, next_seq};
use waymark::store::connection::AnyConn;
use waymark::store::courses::find_course;
use waymark::store::families::{NewRider, add_rider};
use waymark::store::gear::{NewIssue, NewLot, add_issue, add_lot};
use waymark::store::gear_stock::{MoveRow, Spot, add_move, put, take};
use waymark::store::grants::{GrantFacts, add_grant};
use waymark::store::machines::list_places;
use waymark::store::registrations::{NewRegistration, add_registration};
use waymark::store::rulebooks::{find_rulebook, find_rulebook_on};
use waymark::store::sessions::{NewMeeting, NewSession, add_session, next_counter};
use waymark::store::sites::{NewSite, add_site};

use super::app::{TestApp, story_begins};
use super::people::Member;

/// A session with its lead.
pub struct HeldSession<'a> {
    house: &'a TestApp,
    pub reference: String,
    pub id: SessionId,
    held_on: NaiveDate,
    curriculum: Curriculum,
    lead: Member,
}

/// A rider's place in it.
#[derive(Clone, Debug)]
pub struct Seat {
    pub id: RegistrationId,
    pub reference: String,
}

/// The afternoon of a day, UTC.
pub fn afternoon(day: NaiveDate) -> NaiveDateTime {
    day.and_hms_opt(21, 0, 0).expect("a time of the afternoon")
}

impl TestApp {
    /// A child of a guardian.
    pub fn add_child(&self, of: GuardianId, name: (&str, &str), born: (i32, u32, u32), county: &str) -> RiderId {
        let new = NewRider {
            reference: self.app.random.reference(),
            report_key: self.app.random.reference(),
            given_name: name.0.into(),
            family_name: name.1.into(),
            birth_date: NaiveDate::from_ymd_opt(born.0, born.1, born.2).expect("a day"),
            county_set: 2023,
            county: county.into(),
            paper_name: String::new(),
            created_at: story_begins(),
        };
        self.app.store.write("add rider", move |conn| add_rider(conn, &new, of)).expect("a rider")
    }

    /// A grant with one lot of helmets.
    pub fn add_helmets(&self, grant: &str, lot: &str) -> LotId {
        let (grant, lot) = (grant.to_owned(), lot.to_owned());
        let day = |month, day| NaiveDate::from_ymd_opt(2026, month, day).expect("a day");
        let add = move |conn: &mut _| {
            let facts = GrantFacts::named(&grant, "Trailhead Fund", (day(1, 1), day(12, 31)), 150);
            let grant_id = add_grant(conn, &format!("grant{grant}"), &facts)?;
            let new = NewLot {
                reference: format!("lot{lot}"),
                code: lot.clone(),
                grant_id,
                model: "Alder shell".into(),
                size_label: "M".into(),
                least_head_um: 540_000,
                most_head_um: 560_000,
                standard: "DOT".into(),
                made_month: day(1, 1),
                unit_cost_cents: 4200,
                received: 20,
                received_on: None,
            };
            let id = add_lot(conn, &new)?;
            shelve(conn, id, 20)?;
            Ok::<_, StoreError>(id)
        };
        self.app.store.write("add helmets", add).expect("a lot")
    }

    /// A session of the course for 10 to 15 at a site in this county, with room for twenty.
    pub fn add_held_session(&self, lead: Member, county: &str, held_on: NaiveDate) -> HeldSession<'_> {
        let reference = self.app.random.reference();
        let (own, site, county) = (reference.clone(), self.app.random.reference(), county.to_owned());
        let add = move |conn: &mut _| {
            let course = find_course(conn, "older")?.expect("a seeded course");
            let mut book = |kind| Ok::<_, StoreError>(find_rulebook_on(conn, kind, held_on)?.expect("seeded rules"));
            let (curriculum_id, fit_id, cautions_id) = (book("curriculum")?, book("fit")?, book("cautions")?);
            let site_id = add_site(conn, &new_site(&site, &county))?;
            let new = NewSession {
                reference: own.clone(),
                course_id: course.id,
                site_id,
                language: Lang::En,
                state: SessionState::Announced,
                capacity: 20,
                binding_limit: Limit::Site,
                seats_taken: 0,
                waiting: 0,
                last_place: 0,
                last_counter: 0,
                curriculum_id,
                fit_id,
                cautions_id,
                held_on,
                created_at: story_begins(),
            };
            let meeting = NewMeeting {
                local_start: format!("{held_on}T08:30"),
                zone: "America/Denver".into(),
                minutes: 270,
                starts_at: held_on.and_hms_opt(14, 30, 0).expect("a time"),
            };
            let id = add_session(conn, &new, &[meeting], &[(lead.staff, Duty::Lead)])?;
            Ok::<_, StoreError>((id, find_rulebook(conn, curriculum_id)?))
        };
        let (id, curriculum) = self.app.store.write("add session", add).expect("a session");
        let curriculum = serde_json::from_str(&curriculum).expect("the seeded curriculum");
        HeldSession { house: self, reference, id, held_on, curriculum, lead }
    }
}

fn new_site(reference: &str, county: &str) -> NewSite {
    NewSite {
        reference: reference.into(),
        name: "Alder Flat".into(),
        street: "12 Lantern Street".into(),
        city: "Helena".into(),
        zip: "59601".into(),
        county_set: 2023,
        county: county.into(),
        time_zone: "America/Denver".into(),
        latitude: None,
        longitude: None,
        most_riders: 40,
        hospital: "Valley hospital".into(),
        emergency_notes: "Gate code 0000".into(),
        directions: "Second gate after the bridge.".into(),
    }
}

impl HeldSession<'_> {
    /// Gives a rider a seat.
    pub fn seat(&self, rider: RiderId, guardian: GuardianId, language: Lang) -> Seat {
        let reference = self.house.app.random.reference();
        let new = NewRegistration {
            reference: reference.clone(),
            session_id: self.id,
            rider_id: rider,
            guardian_id: guardian,
            state: RegistrationState::Confirmed,
            place: None,
            held_until: None,
            language,
            ridden: Ridden::Few,
            created_at: story_begins(),
        };
        let id = self.house.app.store.write("add registration", move |conn| add_registration(conn, &new));
        Seat { id: id.expect("a registration"), reference }
    }

    /// One act about a rider, by the lead, on the day.
    pub fn act(&self, seat: &Seat, body: Body) -> [u8; 16] {
        self.act_taken(seat, body, Taking::Taken)
    }

    /// One act at a meeting of this number.
    pub fn act_at(&self, meeting: i64, seat: &Seat, body: Body) -> [u8; 16] {
        self.keep(meeting, seat, body, Taking::Taken)
    }

    /// One act, taken as the story wants it.
    pub fn act_taken(&self, seat: &Seat, body: Body, taking: Taking) -> [u8; 16] {
        self.keep(1, seat, body, taking)
    }

    fn keep(&self, meeting: i64, seat: &Seat, body: Body, taking: Taking) -> [u8; 16] {
        let at = afternoon(self.held_on) - TimeDelta::hours(2);
        let id = *self.house.app.random.uuid_v7(at).as_bytes();
        let (session, registration, account) = (self.id, seat.id, self.lead.account);
        let add = move |conn: &mut _| {
            let device = "web:1".to_owned();
            let (seq, counter) = (next_seq(conn, session, &device)?, next_counter(conn, session)?);
            let act =
                Act { id, meeting, device, seq, counter, seen: counter - 1, at, by_lead: true, body: body.clone() };
            let kept =
                KeptAct { act, registration: Some(registration), account, received_at: at, taking, undone: false };
            add_act(conn, session, &kept)
        };
        self.house.app.store.write("add act", add).expect("an act");
        id
    }

    /// The rider came.
    pub fn came(&self, seat: &Seat) {
        self.act(seat, Body::CheckIn { late: false });
    }

    /// An adult took the child home.
    pub fn went_home(&self, seat: &Seat) {
        self.act(seat, Body::CheckOut { adult: "Inés Okafor".into() });
    }

    /// Every required check is met, but the ones named.
    pub fn met_all_but(&self, seat: &Seat, not: &[&str]) {
        for check in self.curriculum.required_checks() {
            let mark = if not.contains(&check.code.to_string().as_str()) { Mark::NeedsPractice } else { Mark::Meets };
            self.act(seat, Body::Mark { check: check.code, mark, reason: None, clears: None });
        }
    }

    /// Came, met everything, went home.
    pub fn completed(&self, seat: &Seat) {
        self.came(seat);
        self.met_all_but(seat, &[]);
        self.went_home(seat);
    }

    /// A helmet was given from a lot.
    pub fn given(&self, seat: &Seat, lot: (LotId, &str)) {
        let act = self.act(seat, Body::Helmet { lot: lot.1.into(), way: Way::Given });
        let (registration, at) = (seat.id, afternoon(self.held_on));
        let give = move |conn: &mut _| {
            let place = list_places(conn)?[0].id;
            assert!(take(conn, lot.0, Spot::Place(place), 1)?);
            let (lot_id, act_id, place_id) = (lot.0, act.to_vec(), Some(place));
            let way = Way::Given;
            add_issue(conn, &NewIssue { lot_id, registration_id: registration, act_id, way, issued_at: at, place_id })
        };
        self.house.app.store.write("give helmet", give).expect("a helmet");
    }

    /// The path of its closing page.
    pub fn closing(&self) -> String {
        format!("/roster/{}/close", self.reference)
    }
}

/// Puts helmets of a lot on the first shelf.
pub fn shelve(conn: &mut AnyConn, lot: LotId, count: i64) -> Result<(), StoreError> {
    let place = list_places(conn)?[0].id;
    put(conn, lot, Spot::Place(place), count)?;
    let came = MoveRow {
        lot_id: lot,
        kind: MoveKind::Received,
        count,
        from_place_id: None,
        to_place_id: Some(place),
        session_id: None,
        note: String::new(),
        at: None,
        account_id: None,
    };
    add_move(conn, &came)
}
