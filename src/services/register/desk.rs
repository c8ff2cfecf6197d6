//! The visitor's place at the registration desk of one session: sealed draft, known riders, what may be chosen.
//! A draft belongs to a cookie. It holds medical answers, so it is sealed and never logged.

use chrono::NaiveDate;
use sha2::{Digest, Sha256};

use super::answers::{Draft, Step};
use super::earlier::{Earlier, earlier};
use super::whose;
use crate::domain::access::Caller;
use crate::domain::cautions::{Caution, CautionKey};
use crate::domain::consent::ConsentKind;
use crate::domain::ids::{GuardianId, SessionId};
use crate::domain::measures::growth::GrowthLimits;
use crate::domain::people::LeapRule;
use crate::domain::refusal::Refusal;
use crate::domain::registration::DayAdult;
use crate::domain::words::{Lang, full_name};
use crate::services::browse::{Announced, find_announced};
use crate::services::consent_texts::{Shown, shown};
use crate::services::kept_health::{self, Kept};
use crate::services::{App, Failure, program};
use crate::store::counties::list_counties;
use crate::store::drafts::{find_draft, remove_draft, set_draft};
use crate::store::families::{GuardianRow, RiderRow, find_guardian, riders_of};
use crate::store::voluntary::{VoluntaryQuestion, voluntary_questions};
use crate::store::{AnyConn, StoreError};

/// Who registers: the caller, and the cookies that drafts and request keys belong to, as hashes.
#[derive(Clone, Debug)]
pub struct Visitor {
    /// Who asks.
    pub caller: Caller,
    /// The hash of the sign-in's token, else of the visit's.
    pub(super) owner: Vec<u8>,
    /// The hash of the visit's text, when the browser has one.
    pub(super) visit: Option<Vec<u8>>,
    /// The language of the page, in which a consent is read and signed.
    pub lang: Lang,
    /// Browser and system in words, for the list of logins.
    pub device: String,
}

impl Visitor {
    /// From the cookies' values. Without any, there is no draft to be found.
    pub fn new(caller: Caller, secret: Option<&str>, visit: Option<&str>, lang: Lang, device: String) -> Self {
        let hash = |text: &str| Sha256::digest(text.as_bytes()).to_vec();
        let owner = secret.map(hash).unwrap_or_default();
        Self { caller, owner, visit: visit.map(hash), lang, device }
    }

    /// Every hash under which this browser may have kept something, the present one first.
    pub(super) fn owners(&self) -> Vec<Vec<u8>> {
        let mut all = vec![self.owner.clone()];
        all.extend(self.visit.clone().filter(|visit| *visit != self.owner));
        all.retain(|owner| !owner.is_empty());
        all
    }
}

/// A child that the guardian has registered before.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnownRider {
    /// Public reference.
    pub reference: String,
    /// Name in one line.
    pub name: String,
}

/// The guardian who is signed in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KnownGuardian {
    /// Name in one line.
    pub name: String,
    /// Telephone as dialled.
    pub phone: String,
    /// Address for letters.
    pub email: String,
}

/// All that the steps need to know.
#[derive(Clone, Debug)]
pub struct Desk {
    /// The session.
    pub session: Announced,
    /// What was answered so far.
    pub draft: Draft,
    /// The guardian's children.
    pub known: Vec<KnownRider>,
    /// The guardian, when signed in as one.
    pub guardian: Option<KnownGuardian>,
    /// What the guardian answered the last time.
    pub earlier: Earlier,
    /// Health answers that the family keeps for the child of the draft.
    pub kept_health: Option<Kept>,
    /// Counties to choose from: code and name.
    pub counties: Vec<(String, String)>,
    /// What to know before registering.
    pub caution: Caution,
    /// The consent to ride, in the reader's language.
    pub ride: Shown,
    /// The consent to pictures, if the program has one.
    pub photo: Option<Shown>,
    /// What the program asks and nobody has to answer.
    pub questions: Vec<VoluntaryQuestion>,
    /// Whether the family names the adult who is there on the day.
    pub day_adult: DayAdult,
    /// Today at the program's home.
    pub today: NaiveDate,
    pub(super) growth_limits: GrowthLimits,
    pub(super) county_set: i64,
    pub(super) leap_rule: LeapRule,
    pub(super) riders: Vec<RiderRow>,
    pub(super) guardian_id: Option<GuardianId>,
    /// The child of the draft, chosen or recognised.
    chosen: Option<RiderRow>,
}

impl Desk {
    /// The steps of this registration in order.
    pub fn steps(&self) -> Vec<Step> {
        let asks = |step: &Step| *step != Step::Questions || !self.questions.is_empty();
        Step::ALL.into_iter().filter(asks).collect()
    }

    /// The step after another; the last stays.
    pub fn after(&self, step: Step) -> Step {
        self.steps().into_iter().find(|later| *later > step).unwrap_or(step)
    }

    /// The first step without answers; none when everything is there to be checked and signed.
    pub fn first_missing(&self) -> Option<Step> {
        self.steps().into_iter().find(|step| !self.draft.has(*step))
    }

    /// Where a reader who wants `step` must go first, if anywhere.
    pub fn before(&self, step: Step) -> Option<Step> {
        self.first_missing().filter(|missing| *missing < step)
    }

    pub(super) fn find_known(&self, reference: &str) -> Option<&RiderRow> {
        self.riders.iter().find(|rider| rider.reference == reference)
    }

    /// The given name of the family's child for whom the draft is; none for a new child.
    pub fn chosen_given(&self) -> Option<&str> {
        self.chosen.as_ref().map(|rider| rider.given_name.as_str())
    }

    /// A county's name by its code; empty for a code of elsewhere.
    pub fn county_name(&self, code: &str) -> &str {
        self.counties.iter().find(|(known, _)| known == code).map_or("", |(_, name)| name.as_str())
    }
}

/// The desk of a session, if it takes registrations and the consent text is approved.
pub fn open(app: &App, visitor: &Visitor, reference: &str) -> Result<Desk, Failure> {
    let desk = app.store.read(|conn| desk(app, conn, visitor, reference))?;
    if !desk.session.open {
        return Err(Refusal::SessionTakesNoRegistrations { held_on: desk.session.held_on }.into());
    }
    Ok(desk)
}

fn desk(app: &App, conn: &mut AnyConn, visitor: &Visitor, reference: &str) -> Result<Desk, Failure> {
    let session = find_announced(app, conn, reference)?;
    let program = program::load(conn)?;
    let counties = list_counties(conn, program.row.county_set, &program.row.state_fips)?;
    let guardian_id = visitor.caller.guardian();
    let guardian = guardian_id.map(|id| find_guardian(conn, id)).transpose()?;
    let riders = guardian_id.map(|id| riders_of(conn, id)).transpose()?.unwrap_or_default();
    let earlier = guardian_id.map(|id| earlier(conn, id, &riders)).transpose()?.unwrap_or_default();
    let ride = shown(app, conn, ConsentKind::Ride, visitor.lang)?.ok_or(Refusal::ConsentNotApproved)?;
    let mut desk = Desk {
        draft: draft(app, conn, visitor, session.id)?,
        chosen: None,
        kept_health: None,
        known: riders.iter().map(known_rider).collect(),
        guardian: guardian.map(known_guardian),
        earlier,
        counties: counties.into_iter().map(|county| (county.fips, county.name)).collect(),
        caution: program::caution(conn, session.cautions, CautionKey::Registration)?,
        photo: shown(app, conn, ConsentKind::Photo, visitor.lang)?,
        ride,
        questions: voluntary_questions(conn)?.into_iter().filter(|question| question.ended_at.is_none()).collect(),
        today: app.clock.today(program.zone),
        day_adult: program.settings.day_adult,
        growth_limits: program.settings.growth,
        county_set: program.row.county_set,
        leap_rule: program.settings.leap_rule,
        riders,
        guardian_id,
        session,
    };
    if let Some(rider) = &desk.draft.rider {
        desk.chosen = whose(&desk, rider).ok().and_then(Result::ok).and_then(|(known, _)| known);
    }
    if let Some(chosen) = &desk.chosen {
        desk.kept_health = kept_health::find(app, conn, chosen.id)?;
    }
    Ok(desk)
}

fn known_rider(row: &RiderRow) -> KnownRider {
    let name = full_name(&row.given_name, &row.family_name);
    KnownRider { reference: row.reference.clone(), name }
}

fn known_guardian(row: GuardianRow) -> KnownGuardian {
    let name = full_name(&row.given_name, &row.family_name);
    KnownGuardian { name, phone: row.phone, email: row.email.unwrap_or_default() }
}

/// The draft of this browser: kept under its sign-in, or still under the visit before it.
fn draft(app: &App, conn: &mut AnyConn, visitor: &Visitor, session: SessionId) -> Result<Draft, Failure> {
    for owner in visitor.owners() {
        if let Some((row_key, body)) = find_draft(conn, &owner, session)? {
            let row_key: [u8; 16] = row_key.try_into().map_err(|_| StoreError::Unreadable("drafts.row_key"))?;
            let plain = app.cipher.open("drafts", "body", &row_key, &body).map_err(Failure::broken)?;
            return serde_json::from_slice(&plain).map_err(Failure::broken);
        }
    }
    Ok(Draft::default())
}

/// Keeps a draft, sealed, under the browser's present cookie.
pub(super) fn keep(app: &App, visitor: &Visitor, session: SessionId, draft: &Draft) -> Result<(), Failure> {
    let row_key: [u8; 16] = app.random.bytes();
    let plain = zeroize::Zeroizing::new(serde_json::to_vec(draft).map_err(Failure::broken)?);
    let body = app.cipher.seal("drafts", "body", &row_key, &plain);
    let (owners, now) = (visitor.owners(), app.clock.now());
    app.store.write("keep draft", move |conn| -> Result<(), Failure> {
        for (number, owner) in owners.iter().enumerate() {
            match number {
                0 => set_draft(conn, owner, session, &row_key, &body, now)?,
                _ => {
                    remove_draft(conn, owner, session)?;
                }
            }
        }
        Ok(())
    })
}
