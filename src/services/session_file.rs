//! Everything that was kept about one session, for the office, an insurer or a court: who taught with which papers, what was signed,
//! every entry of the day in its order, and the reports. Health answers are not in it. Making it is noted.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime};

use super::incidents::{Sheet, sheets_of};
use super::people::members;
use super::roster::alarms::Teacher;
use super::roster::opened::{counted_by_rider, open};
use super::{App, Failure, ask, program};
use crate::domain::access::{Action, Caller, Duty, Subject};
use crate::domain::acts::{Body, Taking};
use crate::domain::certification::{CertificationKind, PaperFault};
use crate::domain::consent::ConsentText;
use crate::domain::day::Day;
use crate::domain::fit::FitRules;
use crate::domain::ids::AccountId;
use crate::domain::point_list::{PointList, PointListKind};
use crate::domain::registration::{Outcome, RegistrationState};
use crate::domain::staffing::holds_through;
use crate::domain::time::LocalTime;
use crate::domain::words::full_name;
use crate::outside::pdf::plain;
use crate::store::accounts::names_of;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::consents::{SignedConsentRow, consents_of};
use crate::store::retention::{HoldRow, find_hold};
use crate::store::sessions::{MeetingRow, SessionView, meetings_of, staff_of};
use crate::store::{AnyConn, StoreError};

pub use crate::outside::pdf::document::{Binding, Document, Part};

/// A session with everything that was kept about it. Instants are on the wall at the site.
#[derive(Clone, Debug)]
pub struct SessionFile {
    /// The program's name.
    pub program: String,
    /// The session.
    pub view: SessionView,
    /// Its meetings.
    pub meetings: Vec<MeetingRow>,
    /// When this file was made.
    pub made_at: NaiveDateTime,
    /// The number of the session's last entry.
    pub version: i64,
    /// The legal hold that stands.
    pub hold: Option<HoldRow>,
    /// The team with the papers that each duty asks for, as they stood on the session's last day.
    pub team: Vec<OnTeam>,
    /// The riders.
    pub riders: Vec<OfRider>,
    /// Every entry, in its order.
    pub entries: Vec<Entry>,
    /// The reports.
    pub reports: Vec<Sheet>,
    /// Every text that was signed, once, in the words that were shown.
    pub texts: Vec<SignedText>,
    /// The fit rules that the session keeps.
    pub fit: FitRules,
    /// The day list that the session keeps.
    pub day_list: PointList,
}

/// A text that somebody signed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SignedText {
    /// `ride` or `photo`.
    pub kind: String,
    /// Its version.
    pub version: i64,
    /// As it was shown.
    pub shown: String,
    /// SHA-256 of it in hex.
    pub shown_hash: String,
}

/// Somebody of the team.
#[derive(Clone, Debug)]
pub struct OnTeam {
    /// Whole name.
    pub name: String,
    /// What the person does there.
    pub duty: Duty,
    /// Each paper that the duty asks for: through which day it holds, or why not.
    pub papers: Vec<(CertificationKind, Result<NaiveDate, PaperFault>)>,
}

/// One rider.
#[derive(Clone, Debug)]
pub struct OfRider {
    /// Whole name.
    pub name: String,
    /// Age on the first day.
    pub age: i64,
    /// Where the place stands.
    pub state: RegistrationState,
    /// How the last day ended; none when nothing is known.
    pub outcome: Option<Outcome>,
    /// Each signature: `ride` or `photo`, the version, who signed, when, the digest of what was shown, when it was taken back.
    pub signed: Vec<Signed>,
}

/// A signature.
#[derive(Clone, Debug)]
pub struct Signed {
    /// `ride` or `photo`.
    pub kind: String,
    /// The version of the text.
    pub version: i64,
    /// As typed.
    pub name: String,
    /// When.
    pub at: NaiveDateTime,
    /// SHA-256 in hex of the text as shown.
    pub shown_hash: String,
    /// When it was taken back.
    pub withdrawn: Option<NaiveDateTime>,
}

/// One entry of the day.
#[derive(Clone, Debug)]
pub struct Entry {
    /// Its place in the order.
    pub counter: i64,
    /// When.
    pub at: NaiveDateTime,
    /// What.
    pub body: Body,
    /// About which rider; empty when about nobody.
    pub rider: String,
    /// Whom it names, by account reference: of groups, the riding area and the lead.
    pub named: String,
    /// Who entered it.
    pub by: String,
    /// Whether it was undone.
    pub undone: bool,
    /// How it was taken.
    pub taking: Taking,
}

/// The file of a session.
///
/// # Errors
/// `NotFound` when there is no such session.
pub fn find(app: &App, caller: &Caller, reference: &str) -> Result<SessionFile, Failure> {
    ask(caller, Action::SeeSeason, Subject::Program)?;
    let (own, caller, reference, now) = (app.clone(), caller.clone(), reference.to_owned(), app.clock.now());
    app.store.write("session file", move |conn| -> Result<SessionFile, Failure> {
        let opened = open(conn, &caller, &reference, now)?;
        let acts = opened.acts(conn)?;
        let local = |at: NaiveDateTime| LocalTime::from_utc(at, opened.zone).wall;
        let mut by_rider = counted_by_rider(&acts);
        let (curriculum, last) = (opened.curriculum(conn)?, opened.meetings.last().ordinal);
        let (mut riders, mut names, mut texts) = (Vec::new(), BTreeMap::new(), BTreeMap::new());
        for (registration, child) in opened.riders(conn, &by_rider)? {
            let day = Day::of(&by_rider.remove(&registration.id).unwrap_or_default(), curriculum, last);
            let name = full_name(&child.given_name, &child.family_name);
            names.insert(registration.id, name.clone());
            let consents = consents_of(conn, registration.id)?;
            for row in &consents {
                texts.entry((row.kind.clone(), row.version, row.shown_hash.clone())).or_insert(signed_text(row)?);
            }
            let signed = consents.into_iter().map(|row| Signed {
                kind: row.kind,
                version: row.version,
                name: row.signed_name,
                at: local(row.signed_at),
                shown_hash: row.shown_hash,
                withdrawn: row.withdrawn_at.map(local),
            });
            riders.push(OfRider {
                age: opened.age_of(&child),
                state: registration.state,
                outcome: registration.outcome.or(day.outcome()),
                signed: signed.collect(),
                name,
            });
        }
        let people = names_of(conn, &acts.iter().map(|kept| kept.account).collect::<Vec<AccountId>>())?;
        let teachers = opened.teachers(conn)?;
        let entry = |kept: &crate::store::acts::KeptAct| Entry {
            counter: kept.act.counter,
            at: local(kept.act.at),
            rider: kept.registration.and_then(|id| names.get(&id).cloned()).unwrap_or_default(),
            named: named(&kept.act.body, &teachers),
            by: people.get(&kept.account).cloned().unwrap_or_default(),
            undone: kept.undone,
            taking: kept.taking,
            body: kept.act.body.clone(),
        };
        let file = SessionFile {
            program: program::load(conn)?.row.name,
            meetings: meetings_of(conn, opened.view.session.id)?,
            made_at: local(now),
            version: acts.iter().map(|kept| kept.act.counter).max().unwrap_or(0),
            hold: find_hold(conn, opened.view.session.id)?,
            team: team(conn, &opened.view)?,
            entries: acts.iter().map(entry).collect(),
            reports: sheets_of(&own, conn, &caller, opened.view.session.id)?,
            riders,
            // The consent to ride first, as on the rider's own page.
            texts: texts.into_values().rev().collect(),
            fit: opened.fit_rules(conn)?,
            day_list: opened.points(conn, PointListKind::DayList)?,
            view: opened.view,
        };
        let subject = format!("session {reference}");
        add_audit_row(conn, &AuditRow::by(&caller, now, "session.file", subject, format!("entries {}", file.version)))?;
        Ok(file)
    })
}

fn signed_text(row: &SignedConsentRow) -> Result<SignedText, Failure> {
    let text: ConsentText = serde_json::from_str(&row.body).map_err(Failure::broken)?;
    Ok(SignedText {
        kind: row.kind.clone(),
        version: row.version,
        shown: text.shown_text(),
        shown_hash: row.shown_hash.clone(),
    })
}

/// The name of the member whom an entry names.
fn named(body: &Body, teachers: &[Teacher]) -> String {
    let reference = match body {
        Body::Area { member, .. } => member,
        Body::Group { with: Some(with) } | Body::GroupPlace { with, .. } => with,
        Body::HandOver { to, .. } => to,
        Body::Count { group: Some(group), .. } => group,
        _ => return String::new(),
    };
    teachers.iter().find(|one| one.reference == *reference).map(|one| one.name.clone()).unwrap_or_default()
}

/// The team with its papers on the session's last day.
fn team(conn: &mut AnyConn, view: &SessionView) -> Result<Vec<OnTeam>, Failure> {
    let (people, asked) = (members(conn)?, program::load(conn)?.settings.papers);
    let on = view.session.last_on;
    let mut team = Vec::new();
    for row in staff_of(conn, view.session.id)? {
        let member = people.iter().find(|one| one.id == row.staff_id).ok_or(StoreError::Missing)?;
        let papers = asked.of(row.duty).iter().map(|kind| (*kind, holds_through(*kind, &member.papers, on))).collect();
        team.push(OnTeam { name: member.name.clone(), duty: row.duty, papers });
    }
    Ok(team)
}

/// Sets the file on paper. Equal words give equal bytes.
///
/// # Errors
/// `Broken` when the document cannot be written.
pub fn set(document: &Document, made_at: NaiveDateTime) -> Result<Vec<u8>, Failure> {
    plain(document, made_at).map_err(Failure::broken)
}
