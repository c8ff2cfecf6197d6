//! What is due in the office: sessions of today and this week, sessions that lack people or papers, days not closed,
//! people whom no letter reached, families that wait, papers that run out, certificates to hand over.

use std::collections::BTreeMap;

use chrono::{Days, NaiveDate};

use super::grants::{self, GrantDue};
use super::{Running, Span};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::certification::{CertificationKind, InstructorState};
use crate::domain::ids::{RiderId, SessionId, SiteId};
use crate::domain::registration::RegistrationState;
use crate::domain::session::SessionState;
use crate::domain::site_paper::{SitePaper, SitePaperKind, counts_through};
use crate::domain::staffing::holds_through;
use crate::domain::words::{Phone, full_name};
use crate::services::gear::recalls::unanswered as unanswered_recalls;
use crate::services::incidents;
use crate::services::people::Member;
use crate::services::program::Program;
use crate::services::roster::assignment::foreseen;
use crate::services::roster::opened::open;
use crate::services::season::{Lookout, SeasonRow, SessionView, rows};
use crate::services::texts::{self, NotArrived};
use crate::services::ties::{speaker, speaker_among};
use crate::services::{App, Failure, ask};
use crate::store::AnyConn;
use crate::store::certificates::certificates_of;
use crate::store::deletions::open_deletions;
use crate::store::families::{GuardianRow, active_adults_of_all};
use crate::store::outbox::{StoppedLetter, stopped_letters};
use crate::store::places::unanswered_places;
use crate::store::registrations::find_registration_by_id;
use crate::store::session_changes::{newest_changes, tellings_of};
use crate::store::sessions::list_sessions;
use crate::store::site_papers::list_site_papers;
use crate::store::sites::list_sites;

/// How far ahead and back sessions are looked at.
const AHEAD: u64 = 400;
/// For how many days a certificate to hand over, or a letter that came back, is told of.
const LATELY: u64 = 30;

/// A session with people whom neither a letter nor a call has reached.
#[derive(Clone, Debug)]
pub struct Untold {
    /// The session.
    pub view: SessionView,
    /// How many are to be called.
    pub people: usize,
}

/// A session with families that are called about their places.
#[derive(Clone, Debug)]
pub struct Unanswered {
    /// The session.
    pub view: SessionView,
    /// Offered seats whose family gets no letter.
    pub offers: usize,
    /// Seats whose family has not said whether the child comes.
    pub silent: usize,
}

/// A paper of somebody of the staff.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PersonsPaper {
    /// Whose.
    pub name: String,
    /// The account's reference.
    pub reference: String,
    /// What it shows.
    pub kind: CertificationKind,
    /// Through which day it holds, or why it does not.
    pub holds: Running,
}

/// A paper of a site.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SitesPaper {
    /// Of which site.
    pub site: String,
    /// The site's reference.
    pub reference: String,
    /// What it shows.
    pub kind: SitePaperKind,
    /// Through which day it counts, or why it does not.
    pub holds: Running,
}

/// A certificate whose family gets no letter.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ToHandOver {
    /// The name on it.
    pub rider: String,
    /// Its code.
    pub code: String,
    /// The guardian's name.
    pub guardian: String,
    /// The guardian's telephone as people read it.
    pub phone: String,
    /// The session's reference.
    pub session: String,
}

/// What is due in the office.
#[derive(Clone, Debug, Default)]
pub struct OfficeDue {
    /// Sessions that meet today.
    pub today: Vec<SeasonRow>,
    /// Sessions that meet on the other days of this week.
    pub week: Vec<SeasonRow>,
    /// Announced sessions that lack people or papers.
    pub lacking: Vec<SeasonRow>,
    /// Sessions whose last day has passed and that are not closed.
    pub unclosed: Vec<SessionView>,
    /// Moved and called-off sessions with people to call.
    pub untold: Vec<Untold>,
    /// Sessions to come with families that are called about their places.
    pub unanswered: Vec<Unanswered>,
    /// How many families ask for their data to be deleted.
    pub deletions: usize,
    /// Other letters that came back.
    pub letters: Vec<StoppedLetter>,
    /// Text messages that did not arrive.
    pub texts: Vec<NotArrived>,
    /// Sessions to come with families in line.
    pub waiting: Vec<SeasonRow>,
    /// Papers of sites.
    pub site_papers: Vec<SitesPaper>,
    /// Papers of people.
    pub papers: Vec<PersonsPaper>,
    /// Certificates to print and hand over.
    pub certificates: Vec<ToHandOver>,
    /// What is due for those who pay.
    pub grants: GrantDue,
    /// Sessions of this week with riders whom their measures keep off every machine that goes there, or for whom there are too few
    /// that fit: how many have none.
    pub misfits: Vec<(SeasonRow, usize)>,
    /// Recalls with helmets of which nobody has said what became: reference, what, how many.
    pub recalls: Vec<(String, String, usize)>,
    /// Reports of what happened that are not closed, or of which the insurer has not been told.
    pub incidents: Vec<incidents::Due>,
    /// The next session, when none meets this week.
    pub next: Option<SeasonRow>,
}

impl OfficeDue {
    /// Whether nothing needs the office today.
    pub fn is_empty(&self) -> bool {
        self.today.is_empty()
            && self.lacking.is_empty()
            && self.unclosed.is_empty()
            && self.untold.is_empty()
            && self.unanswered.is_empty()
            && self.letters.is_empty()
            && self.texts.is_empty()
            && self.deletions == 0
            && self.waiting.is_empty()
            && self.site_papers.is_empty()
            && self.papers.is_empty()
            && self.certificates.is_empty()
            && self.grants.is_empty()
            && self.misfits.is_empty()
            && self.recalls.is_empty()
            && self.incidents.is_empty()
    }
}

pub(super) fn due(
    app: &App,
    conn: &mut AnyConn,
    caller: &Caller,
    program: &Program,
    span: Span,
) -> Result<OfficeDue, Failure> {
    ask(caller, Action::SeeSeason, Subject::Program)?;
    let (back, ahead) = (span.today - Days::new(AHEAD), span.today + Days::new(AHEAD));
    let lookout = Lookout::take(conn, span.today)?;
    let past = list_sessions(conn, back, span.today - Days::new(1))?;
    let coming = list_sessions(conn, span.today, ahead)?;
    let coming = rows(conn, coming, &lookout)?;
    let is_open = |view: &SessionView| matches!(view.session.state, SessionState::Announced | SessionState::Reopened);
    let unanswered = unanswered(conn, program, span)?;
    let mut due = OfficeDue {
        untold: untold(conn, &past, &coming, span)?,
        letters: stopped_letters(conn, (span.today - Days::new(LATELY)).and_time(chrono::NaiveTime::MIN))?,
        texts: texts::not_arrived(app, conn, span.today)?,
        deletions: open_deletions(conn)?.len(),
        certificates: certificates(conn, &past, span)?,
        site_papers: site_papers_on(conn, program, span.today)?
            .into_iter()
            .filter(|paper| span.running(paper.holds).is_some())
            .collect(),
        papers: papers_on(program, &lookout.people, span.today)
            .into_iter()
            .filter(|paper| span.running(paper.holds).is_some())
            .collect(),
        grants: grants::due(conn, program, span)?,
        recalls: unanswered_recalls(conn)?,
        incidents: incidents::due(conn, program, app.clock.now(), |_| true)?,
        ..OfficeDue::default()
    };
    due.unclosed = past.into_iter().filter(|view| view.session.last_on < span.today && is_open(view)).collect();
    for row in coming.into_iter().filter(|row| is_open(&row.view)) {
        if let Some((offers, silent)) = unanswered.get(&row.view.session.id).filter(|(a, b)| a + b > 0) {
            due.unanswered.push(Unanswered { view: row.view.clone(), offers: *offers, silent: *silent });
        }
        let days = row.meetings.iter().map(|meeting| meeting.day()).collect::<Result<Vec<NaiveDate>, _>>()?;
        if row.lacking.is_some() {
            due.lacking.push(row.clone());
        }
        if row.view.session.waiting > 0 {
            due.waiting.push(row.clone());
        }
        let meets = days.iter().find(|on| **on >= span.today);
        if meets.is_some_and(|on| *on <= span.week) && row.view.session.seats_taken > 0 {
            let without = without_machine(app, conn, caller, &row)?;
            due.misfits.extend((without > 0).then(|| (row.clone(), without)));
        }
        match meets {
            Some(on) if *on == span.today => due.today.push(row),
            Some(on) if *on <= span.week => due.week.push(row),
            Some(_) if due.next.is_none() => due.next = Some(row),
            _ => {}
        }
    }
    Ok(due)
}

/// Riders of an announced session who can have none of its machines at once, by their measures.
fn without_machine(app: &App, conn: &mut AnyConn, caller: &Caller, row: &SeasonRow) -> Result<usize, Failure> {
    let opened = open(conn, caller, &row.view.session.reference, app.clock.now())?;
    Ok(foreseen(conn, &opened)?.without())
}

/// People to call about the newest change of sessions that were to be held lately or are to come.
fn untold(conn: &mut AnyConn, past: &[SessionView], coming: &[SeasonRow], span: Span) -> Result<Vec<Untold>, Failure> {
    let lately = past.iter().filter(|view| view.session.last_on + Days::new(1) >= span.today);
    let views: Vec<&SessionView> = lately.chain(coming.iter().map(|row| &row.view)).collect();
    let ids: Vec<SessionId> = views.iter().map(|view| view.session.id).collect();
    let changes = newest_changes(conn, &ids)?;
    let all = tellings_of(conn, &changes.values().map(|change| change.id).collect::<Vec<_>>())?;
    let mut found = Vec::new();
    for view in views {
        let Some(change) = changes.get(&view.session.id) else { continue };
        let to_call = |letter: Option<&str>| matches!(letter, None | Some("stopped"));
        let open = all.iter().filter(|telling| telling.change_id == change.id && telling.called_at.is_none());
        let people = open.filter(|telling| to_call(telling.letter.as_deref())).count();
        if people > 0 {
            found.push(Untold { view: view.clone(), people });
        }
    }
    Ok(found)
}

/// How many places of each session the office calls about: offered ones that no letter tells of, and those whose family was
/// asked for the last time and has not said whether the child comes.
fn unanswered(
    conn: &mut AnyConn,
    program: &Program,
    span: Span,
) -> Result<BTreeMap<SessionId, (usize, usize)>, Failure> {
    let rule = program.settings.reminders;
    let through = span.today + Days::new(rule.asks_from().unsigned_abs());
    let mut found: BTreeMap<SessionId, (usize, usize)> = BTreeMap::new();
    let places = unanswered_places(conn, span.today, through)?;
    let riders: Vec<RiderId> = places.iter().map(|place| place.rider).collect();
    let mut deciding: BTreeMap<RiderId, Vec<GuardianRow>> = BTreeMap::new();
    for (rider, adult) in active_adults_of_all(conn, &riders)? {
        deciding.entry(rider).or_default().push(adult);
    }
    for place in places {
        let adults = deciding.get(&place.rider).cloned().unwrap_or_default();
        let has_letters = speaker_among(adults, place.registered_by).is_some_and(|adult| adult.has_letters());
        let days = (place.held_on - span.today).num_days();
        let counts = found.entry(place.session).or_default();
        match place.state {
            RegistrationState::Offered if !has_letters => counts.0 += 1,
            RegistrationState::Confirmed if rule.calls_for(days, has_letters) => counts.1 += 1,
            _ => {}
        }
    }
    Ok(found)
}

/// Certificates given lately whose guardian has no address for letters.
fn certificates(conn: &mut AnyConn, past: &[SessionView], span: Span) -> Result<Vec<ToHandOver>, Failure> {
    let closed = past.iter().filter(|view| {
        view.session.state == SessionState::Closed && view.session.last_on + Days::new(LATELY) >= span.today
    });
    let mut found = Vec::new();
    for view in closed {
        for row in certificates_of(conn, view.session.id)?.into_iter().filter(|row| row.revoked_at.is_none()) {
            let (registration, _) = find_registration_by_id(conn, row.registration_id)?;
            let Some(adult) = speaker(conn, &registration)? else { continue };
            if adult.has_letters() {
                continue;
            }
            found.push(ToHandOver {
                rider: row.rider_name,
                code: row.code,
                guardian: full_name(&adult.given_name, &adult.family_name),
                phone: Phone::shown(&adult.phone),
                session: view.session.reference.clone(),
            });
        }
    }
    Ok(found)
}

/// How every paper that the program asks of its sites stands on a day.
pub(in crate::services) fn site_papers_on(
    conn: &mut AnyConn,
    program: &Program,
    on: NaiveDate,
) -> Result<Vec<SitesPaper>, Failure> {
    let mut by_site: BTreeMap<SiteId, Vec<SitePaper>> = BTreeMap::new();
    for (site, paper) in list_site_papers(conn)? {
        by_site.entry(site).or_default().push(paper);
    }
    let mut found = Vec::new();
    for (site, _) in list_sites(conn)? {
        let papers = by_site.remove(&site.id).unwrap_or_default();
        for kind in &program.settings.site_papers {
            let (name, reference) = (site.name.clone(), site.reference.clone());
            found.push(SitesPaper { site: name, reference, kind: *kind, holds: counts_through(*kind, &papers, on) });
        }
    }
    Ok(found)
}

/// How the papers of everybody whose account is open stand on a day, by what their roles ask for.
pub(in crate::services) fn papers_on(program: &Program, people: &[Member], on: NaiveDate) -> Vec<PersonsPaper> {
    let mut found = Vec::new();
    for member in people.iter().filter(|member| member.state != InstructorState::Suspended) {
        for kind in program.settings.papers.of_roles(&member.roles) {
            let (name, reference) = (member.name.clone(), member.reference.clone());
            found.push(PersonsPaper { name, reference, kind, holds: holds_through(kind, &member.papers, on) });
        }
    }
    found
}
