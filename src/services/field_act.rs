//! The one door for acts: everything done at a session comes through `take`, is judged alone and kept for good.
//! One bad act does not sink the rest. The web form is the device `web:<sign-in>`.

mod area;
mod helmets;
mod incidents;
mod machines;
mod undo;
mod weather;
mod whole_session;
mod wish;

use super::ties::not_released_to;
use chrono::NaiveDateTime;
use sha2::{Digest, Sha256};

use super::roster::opened::{Opened, day_of, open};
use super::roster::rider::measures;
use super::{App, Failure};
use crate::domain::access::{Caller, Person};
use crate::domain::acts::{Act, Body, Merge, Taking, merge};
use crate::domain::day::Day;
use crate::domain::gate::Before;
use crate::domain::ids::RegistrationId;
use crate::domain::measures::Measures;
use crate::domain::proof::Proof;
use crate::domain::refusal::Refusal;
use crate::domain::registration::RegistrationState;
use crate::domain::session_day::Looked;
use crate::domain::skill::ActId;
use crate::domain::weather::together;
use crate::outside::mail::message_id;
use crate::store::acts::{KeptAct, add_act, has_act, next_seq};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::sessions::next_counter;
use crate::store::{AnyConn, StoreError, alone};

pub use incidents::IncidentWish;
pub use whole_session::DayListWish;
pub use wish::{FitWish, Wish};
pub(super) use wish::{category_of, state_of};

/// An act as the web form wishes it; the door adds device, order and time.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wished {
    /// The one-time id that the form carries, so that a double press is one act.
    pub id: ActId,
    /// Reference of the registration; none for head counts.
    pub rider: Option<String>,
    /// The meeting it is for, by its number; none for that of today.
    pub meeting: Option<i64>,
    /// What was done.
    pub wish: Wish,
}

/// What became of one act.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Answer {
    /// It is kept.
    Taken(Taking),
    /// The very act was there already.
    Already,
    /// A rule says no; nothing of it was kept.
    Refused(Refusal),
    /// No such rider, machine or lot in this session.
    Unknown,
}

/// Draws one-time ids for forms.
#[derive(Clone)]
pub struct ActIds(App);

impl ActIds {
    /// Ids from the program's chance and clock.
    pub fn of(app: &App) -> Self {
        Self(app.clone())
    }

    /// The next id, as a form carries it.
    pub fn draw(&self) -> String {
        self.0.random.uuid_v7(self.0.clock.now()).simple().to_string()
    }
}

/// An id as a form carried it; `None` when it is none of ours in shape.
pub fn read_id(text: &str) -> Option<ActId> {
    let id = uuid::Uuid::try_parse(text).ok()?;
    (id.get_version_num() == 7).then(|| id.into_bytes())
}

/// An id as forms and pages carry it.
pub fn hex(id: &ActId) -> String {
    uuid::Uuid::from_bytes(*id).simple().to_string()
}

/// One of several ids that a form with one id needs: the same form and name give the same id, so that a double press of
/// a form with many acts is still each act once.
pub fn derived_id(form: &ActId, name: &str) -> ActId {
    let hash = Sha256::new().chain_update(form).chain_update(name.as_bytes()).finalize();
    let mut id = *form;
    id[PRESS..].iter_mut().zip(hash).for_each(|(byte, drawn)| *byte = drawn);
    id
}

/// What the acts of one press share: the head of the form's id, which also carries time, version and variant.
pub(super) fn press(id: &ActId) -> &[u8] {
    &id[..PRESS]
}

/// Bytes of a form's id that every act of the form keeps: 48 bits of time and 26 of chance (RFC 9562, version 7).
const PRESS: usize = 10;

/// Takes acts of the web form in their order; one answer for each.
///
/// # Errors
/// `NotFound` when the session is not the caller's to run; `Busy` and `Broken` undo every act of this call.
pub fn take(app: &App, caller: &Caller, reference: &str, wished: Vec<Wished>) -> Result<Vec<Answer>, Failure> {
    let person = caller.person.clone().ok_or(Failure::NotAllowed)?;
    let (own, caller, reference, now) = (app.clone(), caller.clone(), reference.to_owned(), app.clock.now());
    let drawn = Drawn::draw(app);
    app.store.write("field_acts", move |conn| -> Result<Vec<Answer>, Failure> {
        let opened = open(conn, &caller, &reference, now)?;
        let (app, drawn, request) = (own.clone(), drawn.clone(), caller.request.clone());
        let hand = Hand { app, opened, caller: caller.clone(), person: person.clone(), request, now, drawn };
        let answers = wished.iter().map(|wished| hand.answer(conn, wished)).collect::<Result<Vec<_>, _>>()?;
        whole_plan(&wished, &answers)?;
        Ok(answers)
    })
}

/// A plan of machines is taken whole: with one part that cannot be, nothing of it is kept.
fn whole_plan(wished: &[Wished], answers: &[Answer]) -> Result<(), Failure> {
    if !wished.iter().any(|one| matches!(one.wish, Wish::Assign { .. })) {
        return Ok(());
    }
    let fault = |answer: &Answer| match answer {
        Answer::Unknown => Some(Failure::NotFound),
        Answer::Refused(refusal) => Some(refusal.clone().into()),
        Answer::Taken(_) | Answer::Already => None,
    };
    answers.iter().find_map(fault).map_or(Ok(()), Err)
}

/// What chance gives a report, drawn before the transaction: it may run again.
#[derive(Clone)]
struct Drawn {
    reference: String,
    row_key: [u8; 16],
    letter: String,
}

impl Drawn {
    fn draw(app: &App) -> Self {
        let letter = message_id(app.random.uuid_v7(app.clock.now()), app.settings.server.public_host());
        Self { reference: app.random.reference(), row_key: app.random.bytes(), letter }
    }
}

/// Who does the acts of one call, where and when.
pub(super) struct Hand {
    app: App,
    opened: Opened,
    caller: Caller,
    person: Person,
    request: String,
    now: NaiveDateTime,
    drawn: Drawn,
}

/// The rider that an act is about, as everything stands before it.
pub(super) struct About {
    id: RegistrationId,
    reference: String,
    /// Whether a consent to ride stands.
    has_consent: bool,
    /// Adults to whom the child is not released.
    not_release: Vec<String>,
    age: i64,
    /// Measured today, else as the guardian said.
    measures: Measures,
    has_seat: bool,
    day: Day,
    proof: Proof,
}

impl Hand {
    /// Each act in a savepoint of its own: a refused one leaves nothing behind.
    fn answer(&self, conn: &mut AnyConn, wished: &Wished) -> Result<Answer, Failure> {
        match alone(conn, |conn| self.keep(conn, wished)) {
            Err(Failure::Refused(refusal)) => Ok(Answer::Refused(refusal)),
            Err(Failure::NotFound) => Ok(Answer::Unknown),
            other => other,
        }
    }

    fn keep(&self, conn: &mut AnyConn, wished: &Wished) -> Result<Answer, Failure> {
        // Drawing the counter first makes the writers of one session wait for each other.
        let counter = next_counter(conn, self.opened.view.session.id)?;
        let taking = match merge(has_act(conn, &wished.id)?, self.opened.openness()) {
            Merge::Already => return Ok(Answer::Already),
            Merge::NoActs => return Err(Refusal::SessionTakesNoActs.into()),
            Merge::Keep(taking) => taking,
        };
        if let Wish::Undo { of } = &wished.wish {
            return self.undo(conn, wished, of, counter, taking);
        }
        let meeting = self.opened.meeting_for(wished.meeting)?.ordinal;
        let about = self.about(conn, wished.rider.as_deref(), meeting)?;
        let body = self.body(conn, about.as_ref(), &wished.wish, meeting)?;
        let act = self.act(conn, wished, (meeting, counter), body)?;
        if let Some(about) = &about {
            self.pass_gate(conn, about, &act, taking)?;
        }
        self.pass_guard(conn, &act, taking)?;
        self.pass_session_rules(conn, about.as_ref(), &act, taking)?;
        self.pass_weather(conn, &act, taking)?;
        let kept = KeptAct {
            act,
            registration: about.as_ref().map(|about| about.id),
            account: self.person.account,
            received_at: self.now,
            taking,
            undone: false,
        };
        add_act(conn, self.opened.view.session.id, &kept)?;
        self.keep_faults(conn, &kept.act)?;
        self.move_helmet(conn, about.as_ref(), &kept.act)?;
        self.hand_over(conn, &kept.act, taking)?;
        self.open_report(conn, about.as_ref(), wished, &kept.act)?;
        add_audit_row(conn, &self.audit_row(about.as_ref(), &kept))?;
        Ok(Answer::Taken(taking))
    }

    fn act(
        &self,
        conn: &mut AnyConn,
        wished: &Wished,
        (meeting, counter): (i64, i64),
        body: Body,
    ) -> Result<Act, StoreError> {
        let device = format!("web:{}", self.person.sign_in.raw());
        let seq = next_seq(conn, self.opened.view.session.id, &device)?;
        let (at, by_lead) = (self.now, self.opened.is_led_by_caller());
        // The web form reads the database, so it has seen everything before its own counter, unless its page says less.
        let seen = wished.wish.seen().map_or(counter - 1, |seen| seen.min(counter - 1));
        Ok(Act { id: wished.id, meeting, device, seq, counter, seen, at, by_lead, body })
    }

    fn about(&self, conn: &mut AnyConn, rider: Option<&str>, meeting: i64) -> Result<Option<About>, Failure> {
        let Some(reference) = rider else { return Ok(None) };
        let (registration, rider) = self.opened.rider(conn, reference)?;
        let curriculum = self.opened.curriculum(conn)?;
        let day = day_of(conn, registration.id, curriculum, meeting)?;
        let proof = self.opened.proof(conn, registration.id, &day)?;
        Ok(Some(About {
            id: registration.id,
            has_consent: self.opened.has_consent(conn, &registration)?,
            not_release: not_released_to(conn, &registration)?,
            reference: registration.reference,
            age: self.opened.age_of(&rider),
            has_seat: registration.state == RegistrationState::Confirmed,
            measures: measures(conn, &rider, &day, self.now)?,
            day,
            proof,
        }))
    }

    /// The rules before an act. A late one is about a day that is over: it is kept as it was done, for a person to read.
    fn pass_gate(&self, conn: &mut AnyConn, about: &About, act: &Act, taking: Taking) -> Result<(), Failure> {
        if taking == Taking::Late {
            return Ok(());
        }
        let parked = self.parked(conn, about, act)?;
        let before = Before {
            has_seat: about.has_seat,
            has_consent: about.has_consent,
            day: &about.day,
            curriculum: self.opened.curriculum(conn)?,
            not_release: &about.not_release,
            proof: about.proof,
            parked,
        };
        Ok(before.may_take(act)?)
    }

    fn audit_row(&self, about: Option<&About>, kept: &KeptAct) -> AuditRow {
        let subject = match about {
            Some(about) => format!("registration {}", about.reference),
            None => format!("session {}", self.opened.view.session.reference),
        };
        AuditRow {
            at: self.now,
            account: Some(self.person.account),
            action: action(&kept.act.body),
            subject,
            request: self.request.clone(),
            detail: self.detail(&kept.act, kept.taking),
        }
    }

    /// With the meeting's number where the session has several.
    fn detail(&self, act: &Act, taking: Taking) -> String {
        let said = detail(&act.body, taking);
        if self.opened.meetings.count() == 1 {
            said
        } else {
            format!("meeting {} {said}", act.meeting).trim().to_owned()
        }
    }
}

fn action(body: &Body) -> &'static str {
    match body {
        Body::CheckIn { .. } => "act.check_in",
        Body::Count { .. } => "act.count",
        Body::Measures { .. } => "act.measures",
        Body::Fit { .. } => "act.fit",
        Body::Gear { .. } => "act.gear",
        Body::Helmet { .. } => "act.helmet",
        Body::HelmetCheck { .. } => "act.helmet_check",
        Body::HelmetBack { .. } => "act.helmet_back",
        Body::Receipt { .. } => "act.receipt",
        Body::Mark { .. } => "act.mark",
        Body::LessonMarks { .. } => "act.lesson_marks",
        Body::Outcome { .. } => "act.outcome",
        Body::CheckOut { .. } => "act.check_out",
        Body::Proof { .. } => "act.proof",
        Body::Area { .. } => "act.area",
        Body::GoOn { .. } => "act.go_on",
        Body::HandOver { .. } => "act.hand_over",
        Body::DayList { .. } => "act.day_list",
        Body::Weather { .. } => "act.weather",
        Body::Thunder => "act.thunder",
        Body::WeatherCall { .. } => "act.weather_call",
        Body::NearMiss { .. } => "act.near_miss",
        Body::Incident { .. } => "act.incident",
        Body::Group { .. } => "act.group",
        Body::GroupPlace { .. } => "act.group_place",
        Body::Assign { .. } => "act.assign",
        Body::LookOver { .. } => "act.look_over",
        Body::Fault { .. } => "act.fault",
        Body::Undo { .. } => "act.undo",
    }
}

/// Codes and words of the program; never what somebody typed, and no name.
fn detail(body: &Body, taking: Taking) -> String {
    let said = match body {
        Body::Count { expected, counted, .. } => format!("{counted} of {expected}"),
        Body::DayList { version, points, signed } => {
            let not_right = points.values().filter(|looked| **looked != Looked::Right).count();
            let signed = signed.map(|plan| format!(" signed with plan {plan}")).unwrap_or_default();
            format!("list {version} looked at {} not right {not_right}{signed}", points.len())
        }
        Body::Assign { machine } => {
            machine.as_ref().map_or_else(|| "none".to_owned(), |machine| format!("machine {machine}"))
        }
        Body::LookOver { machine, version, wrong, .. } => {
            format!("machine {machine} list {version} not right {}", wrong.len())
        }
        Body::Fault { machine, .. } => format!("machine {machine}"),
        Body::Group { with } => with.as_ref().map_or_else(|| "none".to_owned(), |with| format!("account {with}")),
        Body::GroupPlace { with, .. } => format!("account {with}"),
        Body::Fit { machine, verdict, .. } => format!("machine {machine} {:?}", verdict.outcome),
        Body::Helmet { lot, way } => format!("lot {lot} {way}"),
        Body::HelmetCheck { lot, version, size, wrong, comfortable } => {
            let lot = lot.as_ref().map_or_else(|| "own".to_owned(), |lot| format!("lot {lot}"));
            format!("{lot} list {version} not right {}", wrong.len() + usize::from(!size) + usize::from(!comfortable))
        }
        Body::HelmetBack { lot, how } => format!("lot {lot} {how}"),
        Body::Receipt { lot, on, .. } => format!("lot {lot} {on}"),
        Body::Mark { check, mark, .. } => format!("{check} {mark}"),
        Body::LessonMarks { lesson, mark } => format!("lesson {lesson} {mark}"),
        Body::Outcome { outcome, .. } => outcome.to_string(),
        Body::Weather { findings, .. } => {
            together(findings).map_or_else(|| "nothing to hold against a limit".to_owned(), |go| go.to_string())
        }
        Body::Thunder => String::new(),
        Body::WeatherCall { stop, .. } => if *stop { "stop" } else { "lifted" }.to_owned(),
        Body::NearMiss { what, .. } => what.to_string(),
        Body::Incident { case, what, ambulance, .. } => {
            format!("report {case} {what}{}", if *ambulance { " ambulance" } else { "" })
        }
        Body::Proof { seen } => if *seen { "seen" } else { "not seen" }.to_owned(),
        Body::Area { .. } | Body::GoOn { .. } | Body::HandOver { .. } => area::detail(body),
        Body::CheckIn { .. } | Body::Measures { .. } | Body::Gear { .. } | Body::CheckOut { .. } => String::new(),
        Body::Undo { of } => format!("of {}", hex(of)),
    };
    if taking == Taking::Taken { said } else { format!("{said} {taking}").trim().to_owned() }
}
