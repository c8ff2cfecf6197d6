//! Moving a planned session, and calling it off: the new state, the reason, and one letter a family and a member of the
//! team, all in one transaction.

mod tell;

use chrono::NaiveDateTime;
use serde::Serialize;

use super::once::{Press, once};
use super::plan_session::{Around, Plan, WALL, Wish, WishedMeeting, add_limits, plan};
use super::session_machines::let_go;
use super::{App, Failure, ask, program, texts};
use crate::domain::access::{Action, Caller, Duty, Subject};
use crate::domain::acts::Body;
use crate::domain::people::{LeapRule, age_on};
use crate::domain::place::Ask;
use crate::domain::refusal::Refusal;
use crate::domain::session::SessionState;
use crate::domain::session_change::{
    ChangeKind, ChangeReason, Earlier, EarlierMeeting, Standing, concerns, keeps_seats,
};
use crate::domain::words::{Lang, full_name};
use crate::outside::mail::message_id;
use crate::store::acts::acts_of;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::places::forget_comes;
use crate::store::questions::set_all_answered_in;
use crate::store::registrations::registrations_of;
use crate::store::seat_limits::find_seat_limits;
use crate::store::session_changes::{
    NewChange, Replanned, add_change, changes_of, find_revision, raise_revision, replan_session,
};
use crate::store::sessions::{MeetingRow, SessionView, find_session, meetings_of, set_state, staff_of};
use crate::store::sites::{SiteRow, list_sites};
use crate::store::staff::list_references;
use crate::store::{AnyConn, StoreError};

pub use tell::Reach;

/// Why, as families read it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Why {
    /// One of the list.
    pub reason: ChangeReason,
    /// What the office adds; may be empty.
    pub words: String,
    /// The language of these words.
    pub language: Lang,
}

/// What a press of a change's page carries.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pressed {
    /// The page's one-time key.
    pub key: String,
    /// The session's revision as the page showed it.
    pub seen: i64,
}

/// What the pages that change a session show.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// The session.
    pub view: SessionView,
    /// Its meetings.
    pub meetings: Vec<MeetingRow>,
    /// All sites with county names.
    pub sites: Vec<(SiteRow, String)>,
    /// Whom a change reaches.
    pub reach: Reach,
    /// Why it cannot be changed, if it cannot.
    pub refused: Option<Refusal>,
    /// A one-time key and the revision for the form.
    pub pressed: Pressed,
}

/// A session about to be changed, with whom a change reaches.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<Sheet, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    app.store.read(|conn| {
        let view = find_session(conn, reference)?.ok_or(Failure::NotFound)?;
        let seen = find_revision(conn, view.session.id)?;
        let refused = standing(conn, &view, seen, app.clock.now())?.may_change().err();
        Ok(Sheet {
            meetings: meetings_of(conn, view.session.id)?,
            sites: list_sites(conn)?,
            reach: tell::reach(conn, view.session.id)?,
            refused,
            pressed: Pressed { key: app.random.reference(), seen },
            view,
        })
    })
}

fn standing(conn: &mut AnyConn, view: &SessionView, seen: i64, now: NaiveDateTime) -> Result<Standing, StoreError> {
    let zone: chrono_tz::Tz = view.site.time_zone.parse().map_err(|_| StoreError::Unreadable("sites.time_zone"))?;
    let came = |kept: &crate::store::acts::KeptAct| matches!(kept.act.body, Body::CheckIn { .. });
    Ok(Standing {
        state: view.session.state,
        held_on: view.session.held_on,
        today: crate::domain::time::LocalTime::from_utc(now, zone).wall.date(),
        has_begun: acts_of(conn, view.session.id)?.iter().any(came),
        revision: find_revision(conn, view.session.id)?,
        seen,
    })
}

/// What one transaction needs besides the connection.
#[derive(Clone)]
struct Hand {
    caller: Caller,
    now: NaiveDateTime,
    /// From which the letters draw their own.
    message_id: String,
    reference: String,
    seen: i64,
    /// Whether there are text messages.
    texts: bool,
}

impl Hand {
    fn of(app: &App, caller: &Caller, reference: &str, seen: i64) -> Self {
        let now = app.clock.now();
        let message_id = message_id(app.random.uuid_v7(now), app.settings.server.public_host());
        let texts = texts::are_there(app);
        Self { caller: caller.clone(), now, message_id, reference: reference.to_owned(), seen, texts }
    }

    /// The session, when it may be changed from the page that was seen; its revision is raised.
    fn open(&self, conn: &mut AnyConn) -> Result<SessionView, Failure> {
        let view = find_session(conn, &self.reference)?.ok_or(Failure::NotFound)?;
        standing(conn, &view, self.seen, self.now)?.may_change()?;
        if raise_revision(conn, view.session.id, self.seen)? { Ok(view) } else { Err(Refusal::SessionChanged.into()) }
    }

    fn audit(&self, conn: &mut AnyConn, action: &'static str, detail: String) -> Result<(), Failure> {
        let subject = format!("session {}", self.reference);
        Ok(add_audit_row(conn, &AuditRow::by(&self.caller, self.now, action, subject, detail))?)
    }

    /// Keeps the change and tells everybody once.
    fn tell(&self, conn: &mut AnyConn, view: &SessionView, kind: ChangeKind, why: &Why) -> Result<usize, Failure> {
        let sequence = changes_of(conn, view.session.id)?.last().map_or(0, |last| last.sequence) + 1;
        let earlier = earlier(view, &meetings_of(conn, view.session.id)?)?;
        let new = NewChange {
            session_id: view.session.id,
            sequence,
            kind,
            reason: why.reason,
            words: why.words.clone(),
            words_language: why.language,
            earlier: serde_json::to_string(&earlier).map_err(Failure::broken)?,
            account_id: self.caller.account(),
            at: self.now,
        };
        let change = add_change(conn, &new)?;
        let told = tell::everybody(conn, view.session.id, change, kind, &self.message_id, self.now)?;
        if self.texts {
            tell::text_families(conn, change, kind, self.now)?;
        }
        Ok(told)
    }
}

fn earlier(view: &SessionView, meetings: &[MeetingRow]) -> Result<Earlier, StoreError> {
    let meeting = |row: &MeetingRow| {
        let wall = NaiveDateTime::parse_from_str(&row.local_start, WALL);
        let wall = wall.map_err(|_| StoreError::Unreadable("meetings.local_start"))?;
        Ok(EarlierMeeting { wall, zone: row.zone.clone(), minutes: row.minutes })
    };
    let meetings = meetings.iter().map(meeting).collect::<Result<_, StoreError>>()?;
    Ok(Earlier { site: view.site.name.clone(), city: view.site.city.clone(), meetings })
}

/// Calls a session off. Everybody with a seat or a place in line and the team are told once.
///
/// # Errors
/// `SessionNotOpen`, `SessionHasBegun`, `SessionChanged`, `KeyReused`.
pub fn cancel(app: &App, caller: &Caller, reference: &str, why: Why, pressed: &Pressed) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let press = Press::of(caller, &pressed.key, &("cancel", reference, &why))?;
    let hand = Hand::of(app, caller, reference, pressed.seen);
    once(app, "cancel session", press, reference.to_owned(), move |conn| {
        let view = hand.open(conn)?;
        let told = hand.tell(conn, &view, ChangeKind::Cancelled, &why)?;
        if !set_state(conn, view.session.id, &[SessionState::Announced], SessionState::Cancelled, None)? {
            return Err(Refusal::SessionNotOpen.into());
        }
        hand.audit(conn, "session.cancel", format!("{}, {told} told", why.reason))
    })?;
    Ok(())
}

/// Where a session goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Destination {
    /// The site's reference.
    pub site: String,
    /// As many meetings as the session has.
    pub meetings: Vec<WishedMeeting>,
}

/// Moves a session to other days, times or another site. What planning asks is asked again for the new place: papers of
/// people and site, one session a site, one place a person, and no fewer seats than are taken.
///
/// # Errors
/// As `plan_session::announce`, and `NothingMoves`, `SeatsTaken`, `RidersTooYoung`, `SessionNotOpen`, `SessionHasBegun`,
/// `SessionChanged`, `KeyReused`.
pub fn move_to(
    app: &App,
    caller: &Caller,
    reference: &str,
    to: Destination,
    why: Why,
    pressed: &Pressed,
) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let asked: Vec<_> = to.meetings.iter().map(|meeting| (meeting.wall, meeting.minutes)).collect();
    let press = Press::of(caller, &pressed.key, &("move", reference, &to.site, asked, &why))?;
    let hand = Hand::of(app, caller, reference, pressed.seen);
    once(app, "move session", press, reference.to_owned(), move |conn| {
        let view = hand.open(conn)?;
        let wish = wish(conn, &view, &to)?;
        if stays(conn, &view, &to)? {
            return Err(Refusal::NothingMoves.into());
        }
        let around = Around { except: Some(view.session.id), ..Around::default() };
        let program = program::load(conn)?;
        let plan = plan(conn, &program, &wish, hand.now, &around)?;
        keeps_seats(&plan.limits, view.session.seats_taken)?;
        nobody_too_young(conn, &view, &plan)?;
        let told = hand.tell(conn, &view, ChangeKind::Moved, &why)?;
        replan(conn, &view, &plan)?;
        forget_comes(conn, view.session.id)?;
        set_all_answered_in(conn, view.session.id, Ask::Coming, hand.now)?;
        let gone = let_go(conn, &hand.reference)?;
        let detail =
            format!("{} to {}, {}, {told} told, {gone} machines let go", view.session.held_on, plan.on, why.reason);
        hand.audit(conn, "session.move", detail)
    })?;
    Ok(())
}

/// The session as it would be wished for at its new place, with the team and the choice of seats that it has.
fn wish(conn: &mut AnyConn, view: &SessionView, to: &Destination) -> Result<Wish, Failure> {
    let references = list_references(conn)?;
    let of = |id| references.iter().find(|(member, _)| *member == id).map(|(_, reference)| reference.clone());
    let team: Vec<(Option<String>, Duty)> =
        staff_of(conn, view.session.id)?.into_iter().map(|row| (of(row.staff_id), row.duty)).collect();
    let named = |(reference, duty): &(Option<String>, Duty)| Some((reference.clone()?, *duty));
    let lead = team.iter().find(|(_, duty)| *duty == Duty::Lead).and_then(named);
    Ok(Wish {
        course: view.course.code.clone(),
        site: to.site.clone(),
        meetings: to.meetings.clone(),
        language: view.session.language,
        lead: lead.ok_or(Refusal::NoLead)?.0,
        others: team.iter().filter(|(_, duty)| *duty != Duty::Lead).filter_map(named).collect(),
        choice: find_seat_limits(conn, view.session.id)?.and_then(|limits| limits.choice),
    })
}

fn stays(conn: &mut AnyConn, view: &SessionView, to: &Destination) -> Result<bool, Failure> {
    let now = meetings_of(conn, view.session.id)?;
    if now.len() != to.meetings.len() {
        return Err(Failure::NotFound);
    }
    let same = |(row, wished): (&MeetingRow, &WishedMeeting)| {
        row.local_start == wished.wall.format(WALL).to_string() && row.minutes == wished.minutes
    };
    Ok(view.site.reference == to.site && now.iter().zip(&to.meetings).all(same))
}

/// A child who would be under the least age on an earlier day cannot ride. One who turns too old by a later day keeps the
/// place: the family was promised it.
fn nobody_too_young(conn: &mut AnyConn, view: &SessionView, plan: &Plan) -> Result<(), Failure> {
    let least = view.course.least_age;
    let young = registrations_of(conn, view.session.id)?.into_iter().filter(|(registration, rider)| {
        concerns(registration.state) && age_on(rider.birth_date, plan.on, LeapRule::default()) < least
    });
    let names: Vec<String> = young.map(|(_, rider)| full_name(&rider.given_name, &rider.family_name)).collect();
    if names.is_empty() { Ok(()) } else { Err(Refusal::RidersTooYoung { names, least }.into()) }
}

fn replan(conn: &mut AnyConn, view: &SessionView, plan: &Plan) -> Result<(), Failure> {
    let seats = plan.limits.seats();
    let new = Replanned {
        course_id: plan.course.id,
        site_id: plan.site.id,
        language: plan.language,
        capacity: seats.count,
        binding_limit: seats.binding,
        curriculum_id: plan.curriculum,
        fit_id: plan.fit,
        cautions_id: plan.cautions,
        held_on: plan.on,
    };
    replan_session(conn, view.session.id, &new, &plan.meetings, &plan.team)?;
    add_limits(conn, view.session.id, plan)
}

/// Changes a session freely that nobody is registered for. With families registered only the team and the seats wanted
/// change; day, time, site, course and language would have to be told, and are refused here.
///
/// # Errors
/// As `move_to`, and `RidersAreRegistered`.
pub fn edit(app: &App, caller: &Caller, reference: &str, wish: Wish, pressed: &Pressed) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let press = Press::of(caller, &pressed.key, &("edit", reference, format!("{wish:?}")))?;
    let hand = Hand::of(app, caller, reference, pressed.seen);
    once(app, "edit session", press, reference.to_owned(), move |conn| {
        let view = hand.open(conn)?;
        let reach = tell::reach(conn, view.session.id)?;
        let to = Destination { site: wish.site.clone(), meetings: wish.meetings.clone() };
        let same_course = view.course.code == wish.course && view.session.language == wish.language;
        let same_count = meetings_of(conn, view.session.id)?.len() == to.meetings.len();
        if reach.concerns_families() && !(same_course && same_count && stays(conn, &view, &to)?) {
            return Err(Refusal::RidersAreRegistered.into());
        }
        let around = Around { except: Some(view.session.id), ..Around::default() };
        let program = program::load(conn)?;
        let plan = plan(conn, &program, &wish, hand.now, &around)?;
        keeps_seats(&plan.limits, view.session.seats_taken)?;
        replan(conn, &view, &plan)?;
        let gone = let_go(conn, &hand.reference)?;
        hand.audit(conn, "session.edit", format!("{} seats, {gone} machines let go", plan.limits.seats().count))
    })?;
    Ok(())
}
