//! What anybody may see of announced sessions: days, places, seats left. Never a name, and nothing of the staff's own.

mod coming;
pub mod feed;
pub mod map;

use chrono::{NaiveDate, NaiveDateTime, NaiveTime, TimeDelta, TimeZone, Timelike};
use chrono_tz::Tz;

use super::changed::{self, Change};
use super::counties::position_of;
use super::{App, Failure, program};
use crate::domain::cautions::{Caution, CautionKey};
use crate::domain::distance::{Distance, Position};
use crate::domain::ids::{RulebookId, SessionId};
use crate::domain::proof::ProofRule;
use crate::domain::session::{Openness, SessionState};
use crate::domain::time::LocalTime;
use crate::domain::words::Lang;
use crate::store::sessions::{MeetingRow, SessionView, find_session, meetings_of_all};
use crate::store::sites::SiteRow;
use crate::store::{AnyConn, StoreError};

pub use coming::{Coming, Near, NearCounty, Order, REACHES, Wanted, coming};

/// What begins before noon and is over by now is a morning.
const TWO: NaiveTime = NaiveTime::from_hms_opt(14, 0, 0).expect("two o'clock");

/// One meeting in the site's own time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sitting {
    /// Its number within the session.
    pub ordinal: i64,
    /// First moment on the wall.
    pub start: NaiveDateTime,
    /// Last moment on the wall.
    pub end: NaiveDateTime,
    /// Last moment, UTC.
    pub ends_at: NaiveDateTime,
    /// The place's zone.
    pub zone: Tz,
    /// The zone's short name on that day, such as MDT.
    pub zone_words: String,
}

/// A session as families see it.
#[derive(Clone, Debug)]
pub struct Announced {
    pub(super) id: SessionId,
    pub(super) cautions: RulebookId,
    pub(super) openness: Openness,
    /// Public reference.
    pub reference: String,
    /// Where it stands.
    pub state: SessionState,
    /// First day at the site.
    pub held_on: NaiveDate,
    /// The meetings in order.
    pub sittings: Vec<Sitting>,
    /// The site's name.
    pub site: String,
    /// Street and number, or how to find the gate.
    pub street: String,
    /// Town.
    pub city: String,
    /// ZIP code.
    pub zip: String,
    /// How to get there.
    pub directions: String,
    /// The county's name, without "County".
    pub county: String,
    /// The county's code.
    pub fips: String,
    /// Where the site lies: its own coordinates or, when it has none, the position that stands for its county.
    pub at: Option<Position>,
    /// How far that is from the county that a reader looks from; none when nobody chose one.
    pub distance: Option<Distance>,
    /// The course's title in English and Spanish.
    pub titles: [String; 2],
    /// Least age on the first day.
    pub least_age: i64,
    /// Greatest age.
    pub most_age: i64,
    /// What the earlier part is called in English and Spanish, when the course asks proof of one.
    pub earlier_part: Option<[String; 2]>,
    /// Whether nobody starts without that proof.
    pub needs_proof: bool,
    /// The language it is taught in.
    pub language: Lang,
    /// Seats not taken.
    pub seats_left: i64,
    /// Families waiting.
    pub waiting: i64,
    /// Whether somebody may still be registered.
    pub open: bool,
    /// When it was announced, in UTC.
    pub made_at: NaiveDateTime,
    /// What changed last, if anything did.
    pub change: Option<Change>,
}

impl Announced {
    /// The course's title.
    pub fn title(&self, lang: Lang) -> &str {
        match lang {
            Lang::En => &self.titles[0],
            Lang::Es => &self.titles[1],
        }
    }

    /// What the earlier part is called, when the course asks proof of one.
    pub fn earlier_part(&self, lang: Lang) -> Option<&str> {
        let [en, es] = self.earlier_part.as_ref()?;
        Some(match lang {
            Lang::En => en,
            Lang::Es => es,
        })
    }

    /// Whether a newcomer gets a place in line and no seat.
    pub fn is_full(&self) -> bool {
        self.seats_left == 0 || self.waiting > 0
    }

    /// The seats that a newcomer may still get.
    pub fn seats_free(&self) -> i64 {
        if self.open && !self.is_full() { self.seats_left } else { 0 }
    }

    /// Whether every meeting is over by early afternoon.
    pub fn are_mornings(&self) -> bool {
        self.sittings.iter().all(Sitting::is_morning)
    }

    /// The place in line that a newcomer would get.
    pub fn next_place(&self) -> i64 {
        self.waiting + 1
    }
}

/// One session with the caution that belongs to registering.
pub fn show(app: &App, reference: &str) -> Result<(Announced, Caution), Failure> {
    app.store.read(|conn| {
        let one = find_announced(app, conn, reference)?;
        let caution = program::caution(conn, one.cautions, CautionKey::Registration)?;
        Ok((one, caution))
    })
}

/// The session of a reference as families see it.
pub(super) fn find_announced(app: &App, conn: &mut AnyConn, reference: &str) -> Result<Announced, Failure> {
    let view = find_session(conn, reference)?.ok_or(Failure::NotFound)?;
    announced(app, conn, vec![view])?.pop().ok_or(Failure::NotFound)
}

/// Sessions with their meetings.
pub(super) fn announced(app: &App, conn: &mut AnyConn, views: Vec<SessionView>) -> Result<Vec<Announced>, StoreError> {
    let ids: Vec<SessionId> = views.iter().map(|view| view.session.id).collect();
    let meetings = meetings_of_all(conn, &ids)?;
    let mut changes = changed::newest(conn, &ids)?;
    let mut with_meetings = |view: SessionView| {
        let id = view.session.id;
        let own = meetings.iter().filter(|meeting| meeting.session_id == id);
        let sittings: Result<Vec<Sitting>, StoreError> = own.map(sitting).collect();
        let change = changes.remove(&id);
        Ok(Announced { change, ..one(app, view, sittings?) })
    };
    views.into_iter().map(&mut with_meetings).collect()
}

fn one(app: &App, view: SessionView, sittings: Vec<Sitting>) -> Announced {
    let SessionView { session, course, site, county_name } = view;
    let zone = sittings.first().map_or(Tz::UTC, |sitting| sitting.zone);
    let today = app.clock.today(zone);
    let openness = Openness { state: session.state, held_on: session.held_on, today };
    let asks = course.proof_rule != ProofRule::None;
    let at = site_position(&site);
    Announced {
        id: session.id,
        cautions: session.cautions_id,
        openness,
        reference: session.reference,
        state: session.state,
        held_on: session.held_on,
        sittings,
        site: site.name,
        street: site.street,
        city: site.city,
        zip: site.zip,
        directions: site.directions,
        county: county_name,
        at,
        distance: None,
        fips: site.county,
        earlier_part: asks.then(|| [course.proof_en.clone(), course.proof_es.clone()]),
        needs_proof: course.proof_rule == ProofRule::Needed,
        titles: [course.title_en, course.title_es],
        least_age: course.least_age,
        most_age: course.most_age,
        language: session.language,
        seats_left: (session.capacity - session.seats_taken).max(0),
        waiting: session.waiting,
        open: openness.takes_registrations(),
        made_at: session.created_at,
        change: None,
    }
}

fn site_position(site: &SiteRow) -> Option<Position> {
    let own = site.latitude.zip(site.longitude).map(|(north, east)| Position { north, east });
    own.or_else(|| position_of(&site.county))
}

/// Whether a meeting begins before noon and is over by two on the same day.
pub fn is_morning(start: NaiveDateTime, end: NaiveDateTime) -> bool {
    let hour = |at: NaiveDateTime| at.time().hour();
    hour(start) < 12 && end.date() == start.date() && (hour(end) < 14 || end.time() == TWO)
}

fn sitting(row: &MeetingRow) -> Result<Sitting, StoreError> {
    let zone: Tz = row.zone.parse().map_err(|_| StoreError::Unreadable("meetings.zone"))?;
    let over = row.starts_at + TimeDelta::minutes(row.minutes);
    Ok(Sitting {
        ordinal: row.ordinal,
        start: LocalTime::from_utc(row.starts_at, zone).wall,
        end: LocalTime::from_utc(over, zone).wall,
        ends_at: over,
        zone,
        zone_words: zone.offset_from_utc_datetime(&row.starts_at).to_string(),
    })
}

impl Sitting {
    /// Whether it begins before noon and is over by two.
    pub fn is_morning(&self) -> bool {
        is_morning(self.start, self.end)
    }

    /// From when to when, as clocks at the place show it.
    pub fn times(&self) -> (NaiveTime, NaiveTime) {
        (self.start.time(), self.end.time())
    }
}
