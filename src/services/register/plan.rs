//! Gets everything ready that a registration will write: values read anew, references drawn, notes sealed. Writes
//! nothing itself, so that the transaction has nothing left to think about but places.

use chrono::{NaiveDate, NaiveDateTime};

use super::answers::Step;
use super::desk::{Desk, Visitor};
use super::faults::Faults;
use super::reading::{self, Contact};
use super::{Signing, proof_answer, whose};
use crate::domain::access::Caller;
use crate::domain::ids::{AccountId, GuardianId, RiderId, SessionId, VoluntaryId};
use crate::domain::measures::Measures;
use crate::domain::people::LeapRule;
use crate::domain::proof::ProofAnswer;
use crate::domain::registration::Ridden;
use crate::domain::words::Lang;
use crate::services::kept_health::{self, Keeping};
use crate::services::places::Turn;
use crate::services::signed_consents::{SignedText, Wanted, signatures};
use crate::services::{App, Failure};
use crate::store::accounts::NewAccount;
use crate::store::families::{NewGuardian, NewRider};
use crate::store::registrations::find_registration_of;
use crate::store::voluntary::VoluntaryQuestion;

/// Who will answer for the rider.
#[derive(Clone)]
pub(super) enum Who {
    /// A guardian who is signed in.
    Known(GuardianId, AccountId),
    /// Somebody signed in who becomes a guardian now.
    Joins(AccountId, NewGuardian),
    /// Somebody new.
    New(NewAccount, NewGuardian),
    /// Somebody whom staff write down; with an account when there is an address to write to.
    WrittenDown(Option<NewAccount>, NewGuardian),
    /// The adult who speaks for a known child, for whom staff register it, and the reference of an account for one who
    /// has an address and no account yet.
    Spoken(GuardianId, String),
}

impl Who {
    /// Whether staff register the child.
    pub fn is_by_staff(&self) -> bool {
        matches!(self, Self::WrittenDown(..) | Self::Spoken(..))
    }
}

/// Who will ride.
#[derive(Clone)]
pub(super) enum Rides {
    /// One of the guardian's children.
    Known(RiderId),
    /// A new rider.
    New(NewRider),
}

/// All that the transaction writes.
#[derive(Clone)]
pub(super) struct Plan {
    pub owners: Vec<Vec<u8>>,
    pub key: String,
    pub digest: Vec<u8>,
    pub session: SessionId,
    pub session_reference: String,
    /// Today in the session's zone.
    pub today: NaiveDate,
    pub zone: String,
    pub reference: String,
    pub who: Who,
    pub rides: Rides,
    pub birth_date: NaiveDate,
    pub ridden: Ridden,
    pub contacts: Vec<Contact>,
    pub health_key: [u8; 16],
    pub health: Vec<u8>,
    /// What becomes of the answers that are kept for the next registration.
    pub keeping: Keeping,
    /// Sizes that the family told; staff measure on the day.
    pub measures: Option<Measures>,
    /// The program's own questions, each with the choice or none.
    pub voluntary: Vec<(VoluntaryId, Option<i64>)>,
    pub signed: Vec<SignedText>,
    pub proof: Option<ProofAnswer>,
    pub leap_rule: LeapRule,
    pub language: Lang,
    /// For the letters of the place.
    pub turn: Turn,
    pub caller: Caller,
    /// Whether texts that nobody approved may be signed.
    pub demo: bool,
    pub now: NaiveDateTime,
}

/// What planning came to.
pub(super) enum Planned {
    Ready(Box<Plan>),
    Faulty(Faults),
    Missing(Step),
}

/// Plans the registration of a draft that has every step.
pub(super) fn plan(app: &App, visitor: &Visitor, desk: &Desk, signing: &Signing) -> Result<Planned, Failure> {
    let draft = &desk.draft;
    if let Some(missing) = desk.first_missing() {
        return Ok(Planned::Missing(missing));
    }
    let (Some(rider), Some(health), Some(adults), Some(sizes)) =
        (&draft.rider, &draft.health, &draft.adults, &draft.sizes)
    else {
        return Ok(Planned::Missing(Step::Rider));
    };
    let Ok((known, birth_date)) = whose(desk, rider)? else { return Ok(Planned::Missing(Step::Rider)) };
    let Ok(ridden) = reading::ridden(rider) else { return Ok(Planned::Missing(Step::Rider)) };
    let Ok(note) = reading::health(health) else { return Ok(Planned::Missing(Step::Health)) };
    let Ok(contacts) = reading::contacts(adults, desk.day_adult) else { return Ok(Planned::Missing(Step::Adults)) };
    let Ok((measures, _)) = reading::sizes(sizes, desk.today, None) else { return Ok(Planned::Missing(Step::Sizes)) };
    let Some((who, name)) = who(app, visitor, desk) else { return Ok(Planned::Missing(Step::Adults)) };
    let mut faults = Faults::default();
    let proof = proof_answer(desk, signing, &mut faults);
    let signed = match signatures(&wanted(desk, signing), &signing.signature, &name, faults)? {
        Ok(signed) => signed,
        Err(faults) => return Ok(Planned::Faulty(faults)),
    };
    let earlier = known.as_ref().map(|row| earlier_reference(app, desk, row.id)).transpose()?.flatten();
    let reference = earlier.unwrap_or_else(|| app.random.reference());
    let rides = match known {
        Some(row) => Rides::Known(row.id),
        None => Rides::New(new_rider(app, desk, rider)),
    };
    let (now, health_key) = (app.clock.now(), app.random.bytes());
    let note = zeroize::Zeroizing::new(serde_json::to_vec(&note).map_err(Failure::broken)?);
    let zone = desk.session.sittings.first().map_or(chrono_tz::UTC, |sitting| sitting.zone);
    Ok(Planned::Ready(Box::new(Plan {
        owners: visitor.owners(),
        key: signing.key.clone(),
        digest: signing.digest(),
        session: desk.session.id,
        session_reference: desk.session.reference.clone(),
        today: desk.session.openness.today,
        zone: zone.name().to_owned(),
        reference,
        who,
        rides,
        birth_date,
        ridden,
        contacts,
        health_key,
        health: app.cipher.seal("health_notes", "body", &health_key, &note),
        keeping: match (health.keep.as_str(), &desk.kept_health) {
            ("yes", _) => Keeping::Keep(kept_health::seal(app, health)?),
            (_, Some(_)) => Keeping::Forget,
            (_, None) => Keeping::Leave,
        },
        measures: Some(measures),
        voluntary: voluntary(desk),
        signed,
        proof,
        leap_rule: desk.leap_rule,
        language: visitor.lang,
        turn: Turn::new(app, visitor.caller.account(), &visitor.caller.request),
        caller: visitor.caller.clone(),
        demo: app.settings.demo,
        now,
    })))
}

/// The guardian-to-be with the name that must be signed with; nothing when the adults' step is incomplete.
fn who(app: &App, visitor: &Visitor, desk: &Desk) -> Option<(Who, String)> {
    if let (Some(id), Some(guardian), Some(account)) = (desk.guardian_id, &desk.guardian, visitor.caller.account()) {
        return Some((Who::Known(id, account), guardian.name.clone()));
    }
    let read = reading::guardian(desk.draft.adults.as_ref()?).ok()?;
    let (name, now) = (read.name.to_string(), app.clock.now());
    let guardian = NewGuardian {
        account_id: None,
        given_name: read.name.given().to_owned(),
        family_name: read.name.family().to_owned(),
        phone: read.phone,
        email: Some(read.email.clone()),
        language: visitor.lang,
        created_at: now,
        texts_agreed_at: None,
    };
    if let Some(account) = visitor.caller.account() {
        return Some((Who::Joins(account, guardian), name));
    }
    let account = NewAccount {
        reference: app.random.reference(),
        email: read.email,
        is_shown: false,
        password_hash: Some(desk.draft.password_hash.clone()?),
        given_name: guardian.given_name.clone(),
        family_name: guardian.family_name.clone(),
        language: visitor.lang,
        created_at: now,
    };
    Some((Who::New(account, guardian), name))
}

/// The reference of a place that this child had in the session: a new one takes it over, so that letters and calendar
/// entries of before lead to how it stands now.
fn earlier_reference(app: &App, desk: &Desk, rider: RiderId) -> Result<Option<String>, Failure> {
    let found = app.store.read(|conn| find_registration_of(conn, desk.session.id, rider))?;
    Ok(found.map(|row| row.reference))
}

/// What was answered to each of the program's own questions. One that came since is not answered.
fn voluntary(desk: &Desk) -> Vec<(VoluntaryId, Option<i64>)> {
    let answered = desk.draft.questions.as_ref();
    let one = |question: &VoluntaryQuestion| {
        let typed = answered?.get(&question.reference)?;
        Some((question.id, question.choices.answer(typed)?))
    };
    desk.questions.iter().filter_map(one).collect()
}

fn new_rider(app: &App, desk: &Desk, answers: &super::answers::RiderAnswers) -> NewRider {
    let read = reading::rider(answers, &desk.counties, desk.today).expect("the answers were read a moment ago");
    NewRider {
        reference: app.random.reference(),
        report_key: app.random.reference(),
        given_name: read.name.given().to_owned(),
        family_name: read.name.family().to_owned(),
        birth_date: read.birth_date,
        county_set: desk.county_set,
        county: read.county,
        paper_name: read.paper_name,
        created_at: app.clock.now(),
    }
}

/// The texts of the page. Pictures are agreed to by ticks, or not at all.
fn wanted<'a>(desk: &'a Desk, signing: &'a Signing) -> Vec<Wanted<'a>> {
    let mut wanted = vec![Wanted { kind: "ride", shown: &desk.ride, hash: &signing.ride_hash, ticks: &signing.ticks }];
    if let Some(shown) = desk.photo.as_ref().filter(|_| !signing.photo_ticks.is_empty()) {
        wanted.push(Wanted { kind: "photo", shown, hash: &signing.photo_hash, ticks: &signing.photo_ticks });
    }
    wanted
}
