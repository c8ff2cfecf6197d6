//! What a guardian sees of their own family: riders, registrations, receipts and calendar files. What belongs to
//! another family answers like something that does not exist.

mod child;

use super::ties::speaker;
use chrono::{NaiveDate, NaiveDateTime};

pub use child::{Child, Pending, child};

use super::browse::{Announced, Sitting, announced};
use super::{App, Failure, ask, changed, program};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::ids::{AccountId, RegistrationId, SessionId};
use crate::domain::place::{Ask, PlaceNow};
use crate::domain::registration::{Outcome, RegistrationState};
use crate::domain::session::SessionState;
use crate::domain::time::LocalTime;
use crate::domain::words::{Lang, full_name};
use crate::language;
use crate::outside::calendar::{self, Entry, Notice};
use crate::store::AnyConn;
use crate::store::certificates::standing_certificates;
use crate::store::counties::list_counties;
use crate::store::families::{RiderRow, find_guardian, find_guardianship, riders_of};
pub use crate::store::places::PlaceChange;
use crate::store::places::{count_in_line, place_changes_of};
use crate::store::questions::is_asked;
use crate::store::registrations::{
    RegistrationRow, find_registration, find_registration_by_id, registrations_of, registrations_of_riders,
};
use crate::store::sessions::{find_session_by_id, meetings_of};

/// The media type of a calendar file.
pub const CALENDAR_MEDIA: &str = calendar::MEDIA;

/// One registration as its family sees it.
#[derive(Clone, Debug)]
pub struct Receipt {
    /// Public reference.
    pub reference: String,
    /// Where it stands.
    pub state: RegistrationState,
    /// Families before this one in line, while waitlisted.
    pub before: Option<i64>,
    /// The rider's given name.
    pub given: String,
    /// The rider's name in one line.
    pub name: String,
    /// The session.
    pub session: Announced,
    /// When it was made, in UTC.
    pub made_at: NaiveDateTime,
    /// Until when it waits for an answer, in UTC.
    pub held_until: Option<NaiveDateTime>,
    /// Every step of the place, the oldest first, in UTC.
    pub steps: Vec<PlaceChange>,
    /// The sequence that its calendar entries had reached in the sessions from which it was moved.
    sequence_before: u32,
    /// Whether the family is asked whether the child is still coming.
    pub is_asked_coming: bool,
    /// When the family said last that the child comes, in UTC.
    pub comes_at: Option<NaiveDateTime>,
    /// What the family wishes while the child waits; none otherwise.
    pub line_wishes: Option<LineWishes>,
    /// How the day ended; none before the session is closed.
    pub outcome: Option<Outcome>,
    /// The last day for which the signed text is kept.
    pub kept_until: NaiveDate,
    /// The certificate's code, and whether there is a paper of it.
    pub certificate: Option<(String, bool)>,
}

/// What a family wishes while a child waits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LineWishes {
    /// Whether it can come at short notice.
    pub standby: bool,
    /// Whether the children of the family in this line want seats together or none.
    pub together: bool,
    /// Whether more than one child of the family waits.
    pub are_several: bool,
}

impl Receipt {
    /// The place in line, from 1.
    pub fn place(&self) -> Option<i64> {
        self.before.map(|before| before + 1)
    }

    /// Whether it waits for the family to show its address.
    pub fn waits_for_address(&self) -> bool {
        self.held_until.is_some() && self.state != RegistrationState::Offered && self.state.is_open()
    }

    fn now(&self) -> PlaceNow {
        PlaceNow {
            state: self.state,
            waits_for_address: self.waits_for_address(),
            has_outcome: self.outcome.is_some(),
            session: self.session.state,
        }
    }

    /// Whether the family may give it up itself, as far as the page knows: until the session begins or is called off.
    pub fn can_be_given_up(&self) -> bool {
        self.now().stands(false)
    }

    /// Whether it may be moved to another session, as far as the page knows.
    pub fn can_be_moved(&self) -> bool {
        self.now().may_move(false).is_ok()
    }

    /// The session from which it was moved last.
    fn moved_from(&self) -> Option<SessionId> {
        self.steps.iter().rev().find_map(|step| step.from_session)
    }

    /// An instant on the clock of the site.
    pub fn wall(&self, at: NaiveDateTime) -> NaiveDateTime {
        let zone = self.session.sittings.first().map_or(chrono_tz::UTC, |sitting| sitting.zone);
        LocalTime::from_utc(at, zone).wall
    }

    /// Whether its calendar entries are called off.
    fn is_off(&self) -> bool {
        self.session.state == SessionState::Cancelled || !self.state.is_open()
    }

    /// The sequence of its calendar entries, which rises with each change of session and place, and when that was.
    fn revision(&self) -> (u32, NaiveDateTime) {
        let steps = u32::try_from(self.steps.len().saturating_sub(1)).unwrap_or(u32::MAX);
        let before = steps.saturating_add(self.sequence_before);
        let stepped = self.steps.last().map_or(self.made_at, |step| step.at);
        match &self.session.change {
            Some(change) => (change.sequence.saturating_add(before), change.at.max(stepped)),
            None => (before.saturating_add(u32::from(self.session.state == SessionState::Cancelled)), stepped),
        }
    }
}

/// One of the guardian's riders.
#[derive(Clone, Debug)]
pub struct Rider {
    /// Public reference.
    pub reference: String,
    /// Name in one line.
    pub name: String,
    /// Birth date.
    pub birth_date: NaiveDate,
    /// The home county's name.
    pub county: String,
    /// The rider's registrations, newest first.
    pub registrations: Vec<Receipt>,
}

/// The caller's registrations, newest first.
pub fn registrations(app: &App, caller: &Caller) -> Result<Vec<Receipt>, Failure> {
    let Some(guardian) = caller.guardian() else { return Ok(Vec::new()) };
    app.store.read(|conn| {
        let riders = riders_of(conn, guardian)?;
        receipts(app, conn, &riders)
    })
}

fn receipts(app: &App, conn: &mut AnyConn, riders: &[RiderRow]) -> Result<Vec<Receipt>, Failure> {
    let ids: Vec<_> = riders.iter().map(|rider| rider.id).collect();
    let mut found = Vec::new();
    for row in registrations_of_riders(conn, &ids)? {
        if let Some(rider) = riders.iter().find(|rider| rider.id == row.rider_id) {
            found.push(receipt(app, conn, row, rider)?);
        }
    }
    Ok(found)
}

/// The caller's riders by name.
pub fn riders(app: &App, caller: &Caller) -> Result<Vec<Rider>, Failure> {
    let Some(guardian) = caller.guardian() else { return Ok(Vec::new()) };
    app.store.read(|conn| {
        let mut riders = Vec::new();
        for row in riders_of(conn, guardian)? {
            let registrations = receipts(app, conn, std::slice::from_ref(&row))?;
            let county = county_name(conn, &row)?;
            let name = full_name(&row.given_name, &row.family_name);
            riders.push(Rider { reference: row.reference, name, birth_date: row.birth_date, county, registrations });
        }
        Ok(riders)
    })
}

pub(super) fn county_name(conn: &mut AnyConn, rider: &RiderRow) -> Result<String, Failure> {
    let state = rider.county.get(..2).unwrap_or_default();
    let counties = list_counties(conn, rider.county_set, state)?;
    Ok(counties.into_iter().find(|county| county.fips == rider.county).map(|county| county.name).unwrap_or_default())
}

/// One registration of the caller's family.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<Receipt, Failure> {
    Ok(show_whole(app, caller, reference)?.receipt)
}

/// One registration with what only the adult who made it is shown.
#[derive(Clone, Debug)]
pub struct Shown {
    /// The registration.
    pub receipt: Receipt,
    /// The address that letters about it go to; empty when there is none.
    pub email: String,
    /// Whether whom to call and the health answers may be changed.
    pub may_correct: bool,
}

/// One registration of the caller's family, with what belongs to it.
pub fn show_whole(app: &App, caller: &Caller, reference: &str) -> Result<Shown, Failure> {
    let guardian = caller.guardian().ok_or(Failure::NotFound)?;
    app.store.read(|conn| {
        let (row, rider) = find_registration(conn, reference)?.ok_or(Failure::NotFound)?;
        let tie = find_guardianship(conn, guardian, rider.id)?;
        ask(caller, Action::AnswerForRider, Subject::Rider { tie })?;
        // Where one adult's letters go is not shown to the other.
        let own = (row.guardian_id == guardian).then(|| find_guardian(conn, guardian)).transpose()?;
        let may_correct = own.is_some() && row.state.may_be_corrected(row.outcome.is_some());
        let email = own.and_then(|own| own.email).unwrap_or_default();
        Ok(Shown { receipt: receipt(app, conn, row, &rider)?, email, may_correct })
    })
}

pub(super) fn receipt(
    app: &App,
    conn: &mut AnyConn,
    row: RegistrationRow,
    rider: &RiderRow,
) -> Result<Receipt, Failure> {
    let view = find_session_by_id(conn, row.session_id)?;
    let before = match row.place {
        Some(place) => Some(count_before(conn, &row, place)?),
        None => None,
    };
    let session = announced(app, conn, vec![view])?.pop().ok_or(Failure::NotFound)?;
    let certificate = standing_certificates(conn, &[row.id])?.pop();
    let retention = program::load(conn)?.settings.retention;
    let steps = place_changes_of(conn, row.id)?;
    Ok(Receipt {
        held_until: row.held_until,
        sequence_before: sequence_before(conn, &steps)?,
        steps,
        is_asked_coming: is_asked_coming(app, conn, &row)?,
        comes_at: row.comes_at,
        line_wishes: line_wishes(conn, &row)?,
        kept_until: retention.consent_until(rider.birth_date, session.held_on),
        outcome: row.outcome,
        certificate: certificate.map(|given| (given.code, given.file_id.is_some())),
        reference: row.reference,
        state: row.state,
        before,
        given: rider.given_name.clone(),
        name: full_name(&rider.given_name, &rider.family_name),
        session,
        made_at: row.created_at,
    })
}

fn sequence_before(conn: &mut AnyConn, steps: &[PlaceChange]) -> Result<u32, Failure> {
    let left: Vec<SessionId> = steps.iter().filter_map(|step| step.from_session).collect();
    let changes = changed::newest(conn, &left)?;
    Ok(left.iter().filter_map(|session| changes.get(session)).map(|change| change.sequence).sum())
}

/// Whether the question is open and the answer still matters.
fn is_asked_coming(app: &App, conn: &mut AnyConn, row: &RegistrationRow) -> Result<bool, Failure> {
    let stands = row.state == RegistrationState::Confirmed && row.outcome.is_none();
    Ok(stands
        && is_asked(conn, row.id, Ask::Coming)?
        && meetings_of(conn, row.session_id)?.first().is_some_and(|first| first.starts_at > app.clock.now()))
}

fn line_wishes(conn: &mut AnyConn, row: &RegistrationRow) -> Result<Option<LineWishes>, Failure> {
    if row.state != RegistrationState::Waitlisted {
        return Ok(None);
    }
    let are_several = count_in_line(conn, row.session_id, row.guardian_id)? > 1;
    Ok(Some(LineWishes { standby: row.standby, together: row.together && are_several, are_several }))
}

/// How many wait before this place, as the line stands now.
fn count_before(conn: &mut AnyConn, row: &RegistrationRow, place: i64) -> Result<i64, Failure> {
    let all = registrations_of(conn, row.session_id)?;
    let before = all.iter().filter(|(other, _)| other.place.is_some_and(|theirs| theirs < place)).count();
    i64::try_from(before).map_err(Failure::broken)
}

/// What a letter about a registration needs; nothing when no adult with an address speaks for it.
#[derive(Clone, Debug)]
pub struct Addressed {
    /// The registration.
    pub receipt: Receipt,
    /// The account of the adult who speaks for the place.
    pub to_account: AccountId,
    /// The adult's name.
    pub to_name: String,
    /// The adult's address.
    pub to_address: String,
}

/// The registration of a row, for a letter to its guardian.
pub fn addressed(app: &App, id: RegistrationId) -> Result<Option<Addressed>, Failure> {
    app.store.read(|conn| {
        let (row, rider) = find_registration_by_id(conn, id)?;
        let Some(adult) = speaker(conn, &row)? else { return Ok(None) };
        let (Some(to_address), Some(to_account)) = (adult.email, adult.account_id) else { return Ok(None) };
        let receipt = receipt(app, conn, row, &rider)?;
        let to_name = full_name(&adult.given_name, &adult.family_name);
        Ok(Some(Addressed { receipt, to_account, to_name, to_address }))
    })
}

/// The address of a receipt, whole, as letters and calendars carry it.
pub fn address(app: &App, receipt: &Receipt) -> String {
    format!("{}/registrations/{}", app.settings.server.public_url, receipt.reference)
}

/// The calendar file of a registration: one entry a meeting, at the site's own time. It names the first name only.
pub fn calendar_file(app: &App, receipt: &Receipt, lang: Lang) -> String {
    calendar::file(&entries(app, receipt, lang))
}

/// The media type and the calendar file that a letter about a change carries for all of a family's children: it takes the
/// place of the entries that the family has (RFC 5546).
pub fn calendar_notice(app: &App, receipts: &[Receipt], lang: Lang) -> Result<(String, String), Failure> {
    let program = program::find(app)?;
    let cancels = receipts.iter().all(Receipt::is_off);
    let notice = Notice { organizer: &program.row.office_email, organizer_name: &program.row.name, cancels };
    let all: Vec<Entry> = receipts.iter().flat_map(|receipt| entries(app, receipt, lang)).collect();
    Ok((notice.media(), calendar::notice(&all, &notice)))
}

/// A calendar file that takes out the entries of a session with more meetings, from which the place was moved; none when
/// the entries of the new session take the place of all of them.
pub fn leftover_notice(app: &App, receipt: &Receipt, lang: Lang) -> Result<Option<(String, String)>, Failure> {
    let Some(from) = receipt.moved_from() else { return Ok(None) };
    let program = program::find(app)?;
    let earlier = app.store.read(|conn| -> Result<_, Failure> {
        let view = find_session_by_id(conn, from)?;
        announced(app, conn, vec![view])?.pop().ok_or(Failure::NotFound)
    })?;
    let kept = receipt.session.sittings.len();
    let sittings = earlier.sittings.iter().skip(kept).cloned().collect();
    let left = Receipt { session: Announced { sittings, ..earlier }, ..receipt.clone() };
    let all: Vec<Entry> =
        entries(app, &left, lang).into_iter().map(|entry| Entry { cancelled: true, ..entry }).collect();
    let notice = Notice { organizer: &program.row.office_email, organizer_name: &program.row.name, cancels: true };
    Ok((!all.is_empty()).then(|| (notice.media(), calendar::notice(&all, &notice))))
}

fn entries(app: &App, receipt: &Receipt, lang: Lang) -> Vec<Entry> {
    let session = &receipt.session;
    let say = |key: &str| language::say(lang, key, &[("name", receipt.given.clone().into())]);
    let waits = receipt.state == RegistrationState::Waitlisted;
    let summary = say(if waits { "calendar-summary-waits" } else { "calendar-summary" });
    let host = app.settings.server.public_host();
    let (sequence, stamp) = receipt.revision();
    let entry = |sitting: &Sitting| Entry {
        uid: format!("{}-{}@{host}", receipt.reference, sitting.ordinal),
        sequence,
        stamp,
        start: LocalTime { wall: sitting.start, zone: sitting.zone },
        ends_at: sitting.ends_at,
        summary: summary.clone(),
        description: format!("{}\n{}", session.title(lang), say("calendar-bring")),
        location: format!("{}, {}, {} {}", session.site, session.street, session.city, session.zip),
        url: address(app, receipt),
        cancelled: receipt.is_off(),
    };
    session.sittings.iter().map(entry).collect()
}
