//! Builds the demonstration: an invented program with people, places, machines and two seasons of sessions, from a fixed
//! seed and with days relative to today. The sessions that are over were held through the same services as real ones.

mod changes;
mod days;
mod families;
mod gear;
mod imports;
mod incidents;
mod questions;
mod rules;
mod scenario;

use chrono::{Datelike, Days, NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, Weekday};

use super::courses::{self, ProofWish};
use super::plan_session::{self, Wish, WishedMeeting};
use super::{App, Failure, close_session, seed, session_machines};
use crate::domain::access::{Caller, Duty, Person, Role, RoleSet};
use crate::domain::ids::{AccountId, SessionId, SignInId, StaffId};
use crate::domain::incident::NearMissKind;
use crate::domain::proof::ProofRule;
use crate::domain::seen::Seen;
use crate::domain::time::LocalTime;
use crate::domain::words::Lang;
use crate::outside::clock::Clock;
use crate::outside::random::Random;
use crate::store::sessions::find_session;
use families::Pool;
use scenario::{Members, Scenario};

const PROGRAM: &str = include_str!("../../seed/demo/program.toml");

/// The seed from which chance draws the same people on every run.
const SEED: u64 = 20_260_613;

/// How one invented member of the staff signs in. Families have no password: the sign-in page has a button for them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SignIn {
    /// What the person is.
    pub role: Role,
    /// The address.
    pub email: String,
    /// Drawn anew for each demonstration.
    pub password: String,
}

/// The hour at which every invented session begins.
const START: NaiveTime = NaiveTime::from_hms_opt(9, 0, 0).expect("nine o'clock");

/// Fills an empty database with the demonstration and gives one sign-in for each role of the staff.
///
/// # Errors
/// The database has a program already, or cannot be written.
pub fn build(app: &App) -> Result<Vec<SignIn>, Failure> {
    // The consent texts count as approved here because nobody real signs them.
    let today = app.clock.now().date();
    if seed::program(app, PROGRAM, Some(("Nobody: invented for the demonstration", today)))? != seed::Seeded::Filled {
        return Err(Failure::broken("the database has a program already"));
    }
    let scenario = Scenario::read();
    let builder = Builder::new(app, scenario)?;
    builder.ask_for_the_earlier_part()?;
    rules::add_drafts(&builder)?;
    let mut pool = Pool::add(&builder)?;
    let held = builder.held()?;
    let last_young = held.iter().rposition(|session| session.ages.1 < 10);
    for (place, session) in held.iter().enumerate() {
        let riders = pool.register(&builder, session, 8)?;
        builder.at(session.at(START));
        days::whole(&builder, session, &riders)?;
        if Some(place) == last_young {
            builder.at(session.at(NaiveTime::from_hms_opt(11, 40, 0).expect("before noon")));
            incidents::near_miss(&builder, session, NearMissKind::WalkedOn, "A dog and its owner at the far corner")?;
            incidents::fall(&builder, session, &riders)?;
        }
        close_session::close(&builder.app, &session.lead, &session.reference)?;
    }
    builder.now();
    for (place, session) in builder.coming()?.iter().enumerate() {
        let wanted = match session {
            full if full.is_full => full.capacity + 3,
            today if today.is_today => 8,
            _ => 3 + place as i64 * 2 % 5,
        };
        let riders = pool.register(&builder, session, wanted)?;
        // Today's session and the next one know their machines; nobody has said yet which go to the others.
        if place < 2 {
            builder.pack(session)?;
        }
        if session.is_today {
            gear::load(&builder, session)?;
            days::half(&builder, session, &riders)?;
            incidents::near_miss(&builder, session, NearMissKind::NearlyMet, "")?;
        }
        if session.is_cancelled {
            changes::call_off(&builder, session)?;
        }
        if session.is_moved {
            changes::move_to_sunday(&builder, session)?;
        }
    }
    changes::plan_series(&builder)?;
    changes::put_without_papers(&builder)?;
    imports::bring(&builder)?;
    Ok(builder.sign_ins)
}

/// A session that was announced for the demonstration.
struct Announced {
    id: SessionId,
    reference: String,
    on: NaiveDate,
    capacity: i64,
    ages: (i64, i64),
    lead: Caller,
    team: Vec<String>,
    /// Account references of the lead and of the other instructor.
    teachers: [String; 2],
    zone: chrono_tz::Tz,
    is_full: bool,
    is_today: bool,
    is_cancelled: bool,
    is_moved: bool,
}

impl Announced {
    /// Whether its course asks for an earlier part: the one for the older does.
    fn asks_for_proof(&self) -> bool {
        self.ages.0 >= 10
    }

    /// A time of its day, in UTC.
    fn at(&self, time: NaiveTime) -> NaiveDateTime {
        let local = LocalTime { wall: self.on.and_time(time), zone: self.zone };
        local.to_utc().expect("nine in the morning exists on every day")
    }
}

/// The program at a clock that moves through the seasons, with what every step needs.
struct Builder {
    app: App,
    real: Clock,
    random: Random,
    scenario: Scenario,
    members: Members,
    sites: Vec<String>,
    sign_ins: Vec<SignIn>,
    today: NaiveDate,
    zone: chrono_tz::Tz,
}

impl Builder {
    fn new(app: &App, scenario: Scenario) -> Result<Self, Failure> {
        let zone = super::program::find(app)?.zone;
        let real = app.clock.clone();
        let at_work = App { clock: Clock::fixed(real.now()), ..app.clone() };
        let today = real.today(zone);
        let sign_ins = scenario.sign_ins(&at_work);
        let (members, sites) = scenario.add(&at_work, today, &sign_ins)?;
        let random = Random::seeded(SEED);
        Ok(Self { app: at_work, real, random, scenario, members, sites, sign_ins, today, zone })
    }

    /// Moves the clock of the building to an instant.
    fn at(&self, instant: NaiveDateTime) {
        self.app.clock.set(instant);
    }

    /// Moves it to the present.
    fn now(&self) {
        self.at(self.real.now());
    }

    /// A number below a bound, from the fixed seed.
    fn below(&self, bound: usize) -> usize {
        usize::try_from(self.random.u128_bits(32)).expect("32 bits") % bound.max(1)
    }

    fn saturday(&self, week: i64) -> NaiveDate {
        let ahead = (Weekday::Sat.num_days_from_monday() + 7 - self.today.weekday().num_days_from_monday()) % 7;
        self.today + Days::new(u64::from(ahead)) + TimeDelta::weeks(week)
    }

    /// The sessions that are over, announced a week before their day, oldest first.
    fn held(&self) -> Result<Vec<Announced>, Failure> {
        let weeks = self.scenario.held_weeks().iter().enumerate();
        weeks.map(|(place, week)| self.announce(place, &[self.saturday(*week)])).collect()
    }

    /// Today's session and the coming ones.
    fn coming(&self) -> Result<Vec<Announced>, Failure> {
        let today = self.announce(0, &[self.today])?;
        let mut all = vec![Announced { is_today: true, ..today }];
        for (place, week) in self.scenario.coming_weeks().iter().enumerate() {
            // One fleet, one session a day: on a Saturday today's session is this Saturday's.
            if self.saturday(*week) == self.today {
                continue;
            }
            let saturday = self.saturday(*week);
            let days = [saturday, saturday + Days::new(1)];
            let mornings = if *week == self.scenario.two_mornings_week() { 2 } else { 1 };
            let session = self.announce(place, &days[..mornings])?;
            all.push(Announced {
                is_full: *week == self.scenario.full_week(),
                is_cancelled: *week == self.scenario.cancelled_week(),
                is_moved: *week == self.scenario.moved_week(),
                ..session
            });
        }
        Ok(all)
    }

    /// The course for the older asks for an online part, and nobody starts before the proof is seen.
    fn ask_for_the_earlier_part(&self) -> Result<(), Failure> {
        let titles = ["the online part, one hour".to_owned(), "la parte en línea, una hora".to_owned()];
        let wish = ProofWish { rule: ProofRule::Needed, titles };
        let coordinator = self.members.coordinator();
        let seen = Seen::of(&courses::find(&self.app, &coordinator, "older")?);
        courses::ask_for_proof(&self.app, &coordinator, "older", &seen, wish)
    }

    /// The coordinator sends the machines that the page proposes.
    fn pack(&self, session: &Announced) -> Result<(), Failure> {
        let coordinator = self.members.coordinator();
        let seen = session_machines::show(&self.app, &coordinator, &session.reference)?.seen;
        let proposed = session_machines::propose(&self.app, &coordinator, &session.reference)?;
        session_machines::set(&self.app, &coordinator, &session.reference, &proposed, &seen)
    }

    /// Announces a session on one day or on several mornings.
    fn announce(&self, place: usize, days: &[NaiveDate]) -> Result<Announced, Failure> {
        let on = days[0];
        let minutes = if days.len() == 1 { 270 } else { 180 };
        let week_before = (on - Days::new(7)).and_time(START);
        self.at(week_before.min(self.real.now()));
        let (course, ages) = if place.is_multiple_of(2) { ("older", (10, 15)) } else { ("young", (6, 9)) };
        let (lead, second) = self.members.pair(place);
        let others = self.members.others(second);
        let team = std::iter::once(&lead.reference).chain(others.iter().map(|(one, _)| one)).cloned().collect();
        let wish = Wish {
            course: course.into(),
            site: self.sites[place % self.sites.len()].clone(),
            meetings: days.iter().map(|day| WishedMeeting { wall: day.and_time(START), minutes }).collect(),
            language: if place % 5 == 4 { Lang::Es } else { Lang::En },
            lead: lead.reference.clone(),
            others,
            choice: None,
        };
        let reference = plan_session::announce(&self.app, &self.members.coordinator(), wish)?;
        let view = self.app.store.read(|conn| find_session(conn, &reference))?.ok_or(Failure::NotFound)?;
        Ok(Announced {
            id: view.session.id,
            reference,
            on,
            capacity: view.session.capacity,
            ages,
            lead: lead.caller(Role::Instructor),
            team,
            teachers: [lead.reference.clone(), second.reference.clone()],
            zone: self.zone,
            is_full: false,
            is_today: false,
            is_cancelled: false,
            is_moved: false,
        })
    }
}

/// A staff member of the scenario.
#[derive(Clone, Debug)]
struct Member {
    account: AccountId,
    staff: StaffId,
    reference: String,
    name: String,
    role: Role,
}

impl Member {
    /// The member as somebody who asks, in the demonstration's own building.
    fn caller(&self, role: Role) -> Caller {
        let person = Person {
            account: self.account,
            sign_in: SignInId::new(0),
            name: self.name.clone(),
            language: Lang::En,
            roles: RoleSet::of(&[role]),
            guardian: None,
            staff: Some(self.staff),
        };
        Caller { person: Some(person), halfway: None, request: "demo".into() }
    }

    fn with_duty(&self, duty: Duty) -> (String, Duty) {
        (self.reference.clone(), duty)
    }
}
