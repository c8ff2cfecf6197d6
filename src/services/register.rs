//! Registering a child: answers are kept step by step in a sealed draft, and the last step makes the registration in
//! one transaction. No seat is given without health answers and a signed consent.

pub mod answers;
pub mod desk;
mod earlier;
mod entry;
pub mod faults;
mod plan;
pub mod reading;
mod summary;
pub mod walk_up;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use chrono::{NaiveDate, TimeDelta};
use sha2::{Digest, Sha256};

use answers::{AdultsAnswers, HealthAnswers, RiderAnswers, SizesAnswers, Step};
pub use desk::{Desk, Visitor, open};
pub(super) use earlier::adults_of_before;
use entry::Stop;
use faults::Faults;
pub use summary::{Summary, summary};

use super::account::password_message;
use super::places::not_at_once;
use super::sign_in::{self, Origin, Token};
use super::{App, Failure};
use crate::domain::ids::AccountId;
use crate::domain::measures::Doubt;
use crate::domain::measures::growth::{Chart, GrowthCharts, GrowthCheck};
use crate::domain::people::{Child, age_on, months_on};
use crate::domain::proof::ProofAnswer;
use crate::domain::refusal::Refusal;
use crate::domain::registration::{RegistrationState, Wish, decide};
use crate::domain::sign_in::Way;
use crate::domain::words::Word;
use crate::outside::password::rules;
use crate::store::AnyConn;
use crate::store::families::{RiderRow, find_guardian};
use crate::store::registrations::{find_registration, find_registration_of};
use crate::store::request_keys::find_answer;

static CHARTS: LazyLock<GrowthCharts> = LazyLock::new(|| {
    GrowthCharts::parse(include_str!("../../seed/growth/cdc2000.csv")).expect("the shipped growth charts are sound")
});

/// What became of the answers of one step.
#[derive(Debug)]
pub enum Saved {
    /// They are kept.
    Kept,
    /// Some cannot be used.
    Faulty(Faults),
    /// They can be used, but deserve a second look first.
    Doubtful(Vec<Doubt>),
}

/// Keeps who rides, and tells at once when this child cannot have a place.
pub fn save_rider(app: &App, visitor: &Visitor, desk: &mut Desk, answers: RiderAnswers) -> Result<Saved, Failure> {
    if let Err(faults) = reading::ridden(&answers) {
        if !answers.known.is_empty() {
            return Ok(Saved::Faulty(faults));
        }
        let mut all = reading::rider(&answers, &desk.counties, desk.today).err().unwrap_or_default();
        faults.list().iter().for_each(|fault| all.add(fault.field.clone(), fault.message));
        return Ok(Saved::Faulty(all));
    }
    let (known, birth_date) = match whose(desk, &answers)? {
        Ok(found) => found,
        Err(faults) => return Ok(Saved::Faulty(faults)),
    };
    desk.draft.set_rider(answers);
    desk::keep(app, visitor, desk.session.id, &desk.draft)?;
    app.store.read(|conn| eligible(conn, desk, known.as_ref(), birth_date))?;
    Ok(Saved::Kept)
}

type Whose = (Option<RiderRow>, NaiveDate);

/// Which child the answers are about: one of the guardian's own, chosen or recognised, or a new one.
fn whose(desk: &Desk, answers: &RiderAnswers) -> Result<Result<Whose, Faults>, Failure> {
    if !answers.known.is_empty() {
        let row = desk.find_known(&answers.known).ok_or(Failure::NotFound)?;
        return Ok(Ok((Some(row.clone()), row.birth_date)));
    }
    let read = match reading::rider(answers, &desk.counties, desk.today) {
        Ok(read) => read,
        Err(faults) => return Ok(Err(faults)),
    };
    let child = Child { given: read.name.given(), family: read.name.family(), born: read.birth_date };
    let known = desk.riders.iter().find(|row| row.child().is_same(&child));
    Ok(Ok((known.cloned(), read.birth_date)))
}

fn eligible(conn: &mut AnyConn, desk: &Desk, known: Option<&RiderRow>, birth_date: NaiveDate) -> Result<(), Failure> {
    let existing = match known {
        Some(row) => find_registration_of(conn, desk.session.id, row.id)?.map(|found| found.state),
        None => None,
    };
    decide(&wish(desk, existing, birth_date))?;
    known.map_or(Ok(()), |row| not_at_once(conn, row.id, desk.session.id, None))
}

/// What a place in the desk's session depends on, for a child of this birth date.
fn wish(desk: &Desk, existing: Option<RegistrationState>, birth_date: NaiveDate) -> Wish {
    let session = &desk.session;
    Wish {
        openness: session.openness,
        least_age: session.least_age,
        most_age: session.most_age,
        age_on_the_day: age_on(birth_date, session.held_on, desk.leap_rule),
        existing,
        waiting: session.waiting,
    }
}

/// Keeps the health answers.
pub fn save_health(
    app: &App,
    visitor: &Visitor,
    desk: &mut Desk,
    mut answers: HealthAnswers,
) -> Result<Saved, Failure> {
    let kept = desk.kept_health.as_ref().map(|kept| &kept.answers);
    let before = [desk.draft.health.as_ref(), kept].into_iter().flatten();
    // Words that stay as they were stay in their language, whatever the page's is.
    let same = before.filter(|before| !before.language.is_empty()).find(|before| before.says_the_same(&answers));
    answers.language = same.map_or_else(|| visitor.lang.as_str().to_owned(), |before| before.language.clone());
    if let Err(faults) = reading::health(&answers) {
        return Ok(Saved::Faulty(faults));
    }
    desk.draft.health = Some(answers);
    desk::keep(app, visitor, desk.session.id, &desk.draft)?;
    Ok(Saved::Kept)
}

/// Takes the health answers of the last time as they are.
///
/// # Errors
/// `NotFound` when none are kept for this child.
pub fn keep_health(app: &App, visitor: &Visitor, desk: &mut Desk) -> Result<Saved, Failure> {
    let kept = desk.kept_health.clone().ok_or(Failure::NotFound)?;
    save_health(app, visitor, desk, HealthAnswers { keep: "yes".into(), ..kept.answers })
}

/// Keeps the adults. A password becomes its hash before anything is kept.
pub fn save_adults(
    app: &App,
    visitor: &Visitor,
    desk: &mut Desk,
    mut answers: AdultsAnswers,
) -> Result<Saved, Failure> {
    let mut faults = Faults::default();
    let mut note =
        |found: &Faults| found.list().iter().for_each(|fault| faults.add(fault.field.clone(), fault.message));
    if desk.guardian.is_none() {
        reading::guardian(&answers).err().iter().for_each(&mut note);
        if visitor.caller.person.is_none() {
            password_faults(desk, &answers).iter().for_each(&mut note);
        }
    }
    reading::contacts(&answers, desk.day_adult).err().iter().for_each(&mut note);
    if !faults.is_empty() {
        return Ok(Saved::Faulty(faults));
    }
    if visitor.caller.person.is_none() && !answers.password.is_empty() {
        let hash = app.passwords.hash(&answers.password).map_err(|_| Failure::Busy(None))?;
        desk.draft.password_hash = Some(hash);
    }
    answers.password.clear();
    desk.draft.adults = Some(answers);
    desk::keep(app, visitor, desk.session.id, &desk.draft)?;
    Ok(Saved::Kept)
}

/// What stands against a password for the account that is to be made. Whether the address has one is never told.
fn password_faults(desk: &Desk, answers: &AdultsAnswers) -> Option<Faults> {
    if answers.password.is_empty() && desk.draft.password_hash.is_some() {
        return None;
    }
    let words = [answers.email.as_str(), answers.given.as_str(), answers.family.as_str(), "waymark"];
    let fault = rules(&answers.password, &words).err()?;
    let mut faults = Faults::default();
    faults.add("password", password_message(fault));
    Some(faults)
}

/// Keeps what was answered to the program's own questions. Nobody has to answer: what is left out is no answer.
pub fn save_questions(
    app: &App,
    visitor: &Visitor,
    desk: &mut Desk,
    answers: &BTreeMap<String, String>,
) -> Result<Saved, Failure> {
    let (mut faults, mut kept) = (Faults::default(), BTreeMap::new());
    for question in &desk.questions {
        let typed = answers.get(&question.reference).map_or("", String::as_str);
        match question.choices.answer(typed) {
            Some(_) => {
                kept.insert(question.reference.clone(), typed.to_owned());
            }
            None => faults.add(question.reference.clone(), "questions-choose"),
        }
    }
    if !faults.is_empty() {
        return Ok(Saved::Faulty(faults));
    }
    desk.draft.questions = Some(kept);
    desk::keep(app, visitor, desk.session.id, &desk.draft)?;
    Ok(Saved::Kept)
}

/// Keeps the sizes. Odd ones are asked about once; `confirmed` takes them as they are.
pub fn save_sizes(app: &App, visitor: &Visitor, desk: &mut Desk, answers: SizesAnswers) -> Result<Saved, Failure> {
    let check = growth_check(desk, &answers)?;
    match reading::sizes(&answers, desk.today, check.as_ref()) {
        Err(faults) => return Ok(Saved::Faulty(faults)),
        Ok((_, odd)) if !odd.is_empty() && answers.confirmed != "yes" => return Ok(Saved::Doubtful(odd)),
        Ok(_) => {}
    }
    desk.draft.sizes = Some(answers);
    desk::keep(app, visitor, desk.session.id, &desk.draft)?;
    Ok(Saved::Kept)
}

/// The growth chart that the guardian chose, at the child's age today. Without a choice nothing is compared.
fn growth_check(desk: &Desk, answers: &SizesAnswers) -> Result<Option<GrowthCheck>, Failure> {
    let (Some(chart), Some(rider)) = (Chart::from_word(&answers.chart), &desk.draft.rider) else { return Ok(None) };
    let Ok((_, birth_date)) = whose(desk, rider)? else { return Ok(None) };
    let months = months_on(birth_date, desk.today, desk.leap_rule);
    Ok(CHARTS.row(chart, months).map(|row| GrowthCheck { row: *row, limits: desk.growth_limits }))
}

/// What the last page sends.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub struct Signing {
    /// Drawn when the page was shown; the same key gets the same answer.
    pub key: String,
    /// The hash of the consent to ride that was on the page.
    pub ride_hash: String,
    /// The hash of the consent to pictures that was on the page.
    pub photo_hash: String,
    /// Clauses ticked.
    pub ticks: BTreeSet<String>,
    /// Clauses of the consent to pictures that are ticked.
    pub photo_ticks: BTreeSet<String>,
    /// The name as typed.
    pub signature: String,
    /// What is answered about the earlier part, when the course asks for one.
    pub proof: String,
}

impl Signing {
    fn digest(&self) -> Vec<u8> {
        let body = serde_json::to_vec(self).expect("texts and sets of texts are plain values");
        Sha256::digest(body).to_vec()
    }
}

/// What the last step came to.
pub enum Finished {
    /// The child has a place. A new guardian is signed in by the token.
    Registered {
        /// The registration's reference.
        reference: String,
        /// A login for who had none.
        token: Option<Token>,
    },
    /// The signature does not count yet.
    Faulty(Faults),
    /// An earlier step has no answers.
    Missing(Step),
}

/// Registers the child of the draft. The same key gets the first answer again, whatever happened since.
pub fn register(app: &App, visitor: &Visitor, reference: &str, signing: &Signing) -> Result<Finished, Failure> {
    if let Some(first) = answered(app, visitor, signing)? {
        return Ok(first);
    }
    match attempt(app, visitor, reference, signing) {
        Ok(done @ Finished::Registered { .. }) => Ok(done),
        // A twin that finished since the first look took the draft along: then its answer is the answer.
        other => answered(app, visitor, signing)?.map_or(other, Ok),
    }
}

fn attempt(app: &App, visitor: &Visitor, reference: &str, signing: &Signing) -> Result<Finished, Failure> {
    let desk = open(app, visitor, reference)?;
    if let Some(step) = desk.first_missing() {
        return Ok(Finished::Missing(step));
    }
    let plan = match plan::plan(app, visitor, &desk, signing)? {
        plan::Planned::Ready(plan) => *plan,
        plan::Planned::Faulty(faults) => return Ok(Finished::Faulty(faults)),
        plan::Planned::Missing(step) => return Ok(Finished::Missing(step)),
    };
    match app.store.write("register", move |conn| entry::enter(conn, &plan)) {
        Ok(entered) => finished(app, visitor, entered.reference, entered.new_account),
        Err(Stop::AnsweredAlready) => Err(Failure::Busy(None)),
        Err(Stop::DraftGone) => Ok(Finished::Missing(Step::Rider)),
        Err(Stop::Failed(failure)) => Err(failure),
    }
}

fn finished(app: &App, visitor: &Visitor, reference: String, account: Option<AccountId>) -> Result<Finished, Failure> {
    let origin =
        Origin { device: visitor.device.clone(), request: visitor.caller.request.clone(), ..Origin::default() };
    let issue = |account| sign_in::issue(app, account, Way::Registration, &origin).map(|opened| opened.token);
    Ok(Finished::Registered { reference, token: account.map(issue).transpose()? })
}

/// How long a repeated press of a stranger still signs in: as long as the first answer may be on its way.
const ON_ITS_WAY: TimeDelta = TimeDelta::minutes(2);

/// The first answer to this key, if there is one.
fn answered(app: &App, visitor: &Visitor, signing: &Signing) -> Result<Option<Finished>, Failure> {
    let owners = visitor.owners();
    let found = app.store.read(|conn| -> Result<_, Failure> {
        for owner in &owners {
            if let Some((digest, reference)) = find_answer(conn, owner, &signing.key)? {
                let (row, _) = find_registration(conn, &reference)?.ok_or(Failure::NotFound)?;
                let guardian = find_guardian(conn, row.guardian_id)?;
                return Ok(Some((digest, row, guardian)));
            }
        }
        Ok(None)
    })?;
    let Some((digest, row, guardian)) = found else { return Ok(None) };
    if digest != signing.digest() {
        return Err(Refusal::KeyReused.into());
    }
    let is_fresh = app.clock.now() - row.created_at < ON_ITS_WAY;
    let account = guardian.account_id.filter(|_| visitor.caller.person.is_none() && is_fresh);
    finished(app, visitor, row.reference, account).map(Some)
}

/// What the family answers about the earlier part; nothing when the course asks for none.
fn proof_answer(desk: &Desk, signing: &Signing, faults: &mut Faults) -> Option<ProofAnswer> {
    desk.session.earlier_part.as_ref()?;
    let answer = ProofAnswer::from_word(&signing.proof);
    if answer.is_none() {
        faults.add("proof", "check-proof-missing");
    }
    answer
}
