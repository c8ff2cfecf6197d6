//! Closing a session: everybody is home, each day has an outcome, who completed gets a certificate, and the facts that
//! reports count are written, all in one transaction. Reopening takes the facts away and lets late acts count.

mod ends;
mod plan;
pub mod practice;
pub mod show;

use super::ties::speaker;
use chrono_tz::Tz;

use self::ends::{End, Ends};
use self::plan::Plan;
use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::ids::RegistrationId;
use crate::domain::refusal::Refusal;
use crate::domain::session::{Openness, SessionState};
use crate::store::acts::take_late_acts;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::certificates::{
    CertificateRow, NewCertificate, add_certificate, certificates_of, revoke_certificate,
};
use crate::store::facts::{RiderFact, SessionFact, remove_facts, replace_facts};
use crate::store::files::add_file;
use crate::store::gear::given_to;
use crate::store::outbox::{NewLetter, add_letter, has_letter};
use crate::store::registrations::set_outcome;
use crate::store::sessions::{SessionView, duty_of, find_session, set_state};
use crate::store::{AnyConn, StoreError};

/// Why closing took a certificate back. It may be given anew; one that a person took back may not.
const NO_LONGER: &str = "closing: not every required skill is met";
/// How often closing is tried when acts arrive meanwhile.
const TRIES: usize = 3;

/// The session, for somebody who may close it. Others must not know it, or may not.
fn found(app: &App, caller: &Caller, conn: &mut AnyConn, reference: &str) -> Result<SessionView, Failure> {
    let view = find_session(conn, reference)?.ok_or(Failure::NotFound)?;
    let duty = match caller.staff() {
        Some(member) => duty_of(conn, view.session.id, member)?,
        None => None,
    };
    let (held_on, last_on) = (view.session.held_on, view.session.last_on);
    let (today, window) = (app.clock.today(zone_of(&view)), program::load(conn)?.staff_window());
    let subject = Subject::Session { duty, held_on, last_on, today, window };
    ask(caller, Action::RunSession, subject)?;
    ask(caller, Action::CloseSession, subject)?;
    Ok(view)
}

fn zone_of(view: &SessionView) -> Tz {
    view.site.time_zone.parse().unwrap_or(chrono_tz::UTC)
}

fn openness(app: &App, view: &SessionView) -> Openness {
    Openness { state: view.session.state, held_on: view.session.held_on, today: app.clock.today(zone_of(view)) }
}

/// Whether closing owes this rider a certificate: none stands, and no person has taken one back.
fn is_due(earlier: &[CertificateRow], rider: RegistrationId) -> bool {
    let by_closing = |row: &CertificateRow| row.revoked_why.as_deref() == Some(NO_LONGER);
    earlier.iter().filter(|row| row.registration_id == rider).all(by_closing)
}

/// Closes a session.
///
/// # Errors
/// `Refused(ChildrenNotHome)` while a child is not checked out of a meeting, `Refused(LastMeetingToCome)` before the
/// last meeting's day, `Refused(AlreadyClosed)`, `Refused(SessionTakesNoActs)` before its first day or when called off.
pub fn close(app: &App, caller: &Caller, reference: &str) -> Result<(), Failure> {
    for _ in 1..TRIES {
        match close_once(app, caller, reference) {
            Err(Failure::Refused(Refusal::WorldMoved)) => {}
            done => return done,
        }
    }
    close_once(app, caller, reference)
}

fn close_once(app: &App, caller: &Caller, reference: &str) -> Result<(), Failure> {
    let plan = app.store.read(|conn| {
        let view = found(app, caller, conn, reference)?;
        match openness(app, &view) {
            Openness { state: SessionState::Closed, .. } => Err(Refusal::AlreadyClosed.into()),
            open if open.takes_acts() && open.today < view.session.last_on => {
                Err(Refusal::LastMeetingToCome { on: view.session.last_on }.into())
            }
            open if open.takes_acts() => Plan::of(app, caller, conn, view),
            _ => Err(Refusal::SessionTakesNoActs.into()),
        }
    })?;
    app.store.write("close session", move |conn| carry_out(conn, &plan))
}

fn carry_out(conn: &mut AnyConn, plan: &Plan) -> Result<(), Failure> {
    let session = &plan.view.session;
    let open = [SessionState::Announced, SessionState::Reopened];
    // First, because it also makes the acts door wait until this transaction is over.
    if !set_state(conn, session.id, &open, SessionState::Closed, Some(plan.at))? {
        return Err(Refusal::AlreadyClosed.into());
    }
    let ends = Ends::of(conn, session)?;
    let names = ends.not_home();
    if !names.is_empty() {
        return Err(Refusal::ChildrenNotHome { names }.into());
    }
    let earlier = certificates_of(conn, session.id)?;
    for end in &ends.riders {
        set_outcome(conn, end.registration.id, Some(end.outcome))?;
        settle(conn, plan, end, &earlier)?;
    }
    write_facts(conn, &plan.view, &ends)?;
    let detail = format!("riders {}, completed {}", ends.riders.len(), ends.completed());
    audit(conn, plan, "session.close", format!("session {}", session.reference), detail)
}

fn audit(
    conn: &mut AnyConn,
    plan: &Plan,
    action: &'static str,
    subject: String,
    detail: String,
) -> Result<(), Failure> {
    let (at, account, request) = (plan.at, plan.account, plan.request.clone());
    Ok(add_audit_row(conn, &AuditRow { at, account, action, subject, request, detail })?)
}

/// Gives, keeps or takes back one rider's certificate, and asks for the letter that follows.
fn settle(conn: &mut AnyConn, plan: &Plan, end: &End, earlier: &[CertificateRow]) -> Result<(), Failure> {
    let subject = format!("registration {}", end.registration.reference);
    if !end.completes() {
        for row in earlier.iter().filter(|row| row.registration_id == end.registration.id) {
            if revoke_certificate(conn, row.id, plan.at, NO_LONGER)? {
                audit(conn, plan, "certificate.revoke", subject.clone(), "closing".into())?;
            }
        }
        if end.outcome.participated() {
            ask_for_letter(conn, plan, end, "practice", end.registration.id.raw())?;
        }
        return Ok(());
    }
    if !is_due(earlier, end.registration.id) {
        return Ok(());
    }
    // Acts that came after the plan was made gave another rider a certificate: plan anew.
    let prepared = plan.prepared.get(&end.registration.id).ok_or(Refusal::WorldMoved)?;
    let file_id = prepared.paper.as_ref().map(|file| add_file(conn, file)).transpose()?;
    let id = add_certificate(conn, &NewCertificate { file_id, ..prepared.certificate.clone() })?;
    audit(conn, plan, "certificate.give", subject, if file_id.is_none() { "no paper".into() } else { String::new() })?;
    ask_for_letter(conn, plan, end, "certificate", id.raw())
}

/// One letter to the adult who speaks for the rider, if there is one with an account.
fn ask_for_letter(
    conn: &mut AnyConn,
    plan: &Plan,
    end: &End,
    kind: &'static str,
    subject_id: i64,
) -> Result<(), Failure> {
    let Some(adult) = speaker(conn, &end.registration)? else { return Ok(()) };
    let Some(account_id) = adult.account_id else { return Ok(()) };
    if has_letter(conn, kind, subject_id)? {
        return Ok(());
    }
    let message_id = plan.message_ids.get(&end.registration.id).cloned().ok_or(Refusal::WorldMoved)?;
    let language = end.registration.language;
    add_letter(conn, &NewLetter { message_id, kind, subject_id, account_id, language, at: plan.at })?;
    Ok(())
}

fn write_facts(conn: &mut AnyConn, view: &SessionView, ends: &Ends) -> Result<(), StoreError> {
    let session = SessionFact {
        session_id: view.session.id,
        held_on: view.session.held_on,
        county_set: view.site.county_set,
        site_county: view.site.county.clone(),
        course_id: view.course.id,
        language: view.session.language,
    };
    let mut riders = Vec::with_capacity(ends.riders.len());
    for end in &ends.riders {
        let helmet = given_to(conn, end.registration.id)?;
        riders.push(RiderFact {
            session_id: session.session_id,
            registration_ref: end.registration.reference.clone(),
            rider_key: end.rider.report_key.clone(),
            held_on: session.held_on,
            county_set: session.county_set,
            site_county: session.site_county.clone(),
            home_county: end.rider.county.clone(),
            course_id: session.course_id,
            outcome: end.outcome,
            participated: i64::from(end.outcome.participated()),
            completed: i64::from(end.completes()),
            helmets: i64::from(helmet.is_some()),
            grant_id: helmet.map(|lot| lot.grant_id),
        });
    }
    replace_facts(conn, &session, &riders)
}

/// Reopens a closed session: acts that came late count from now on, and reports do not count the session until it is
/// closed again. Gives the number of late acts.
///
/// # Errors
/// `NotFound`, `Refused(NotClosed)`.
pub fn reopen(app: &App, caller: &Caller, reference: &str) -> Result<usize, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (at, account, request) = (app.clock.now(), caller.account(), caller.request.clone());
    let reference = reference.to_owned();
    app.store.write("reopen session", move |conn| {
        let session = find_session(conn, &reference)?.ok_or(Failure::NotFound)?.session;
        if !set_state(conn, session.id, &[SessionState::Closed], SessionState::Reopened, None)? {
            return Err(Refusal::NotClosed.into());
        }
        let late = take_late_acts(conn, session.id)?;
        remove_facts(conn, session.id)?;
        let (action, subject, detail) = ("session.reopen", format!("session {reference}"), format!("late acts {late}"));
        add_audit_row(conn, &AuditRow { at, account, action, subject, request: request.clone(), detail })?;
        Ok(late)
    })
}
