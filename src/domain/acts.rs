//! Acts: everything done at a session, append-only, in one order. The state of the day is worked out from them;
//! no act is ever changed. Phone times are kept and shown and never decide.

use std::collections::{BTreeMap, BTreeSet};

use chrono::NaiveDateTime;
use serde::{Deserialize, Serialize};

use super::area;
use super::curriculum::CheckCode;
use super::fit::{CriterionKey, Observation, Override, Verdict};
use super::gear::{CameBack, GearPiece, SignedOn, Way};
use super::incident::{IncidentKind, NearMissKind};
use super::point_list::PointKey;
use super::registration::Outcome;
use super::session::Openness;
use super::session_day::Looked;
use super::skill::{ActId, Mark, OrderKey};
use super::weather::{Finding, Reading};
use super::words::word_list;

/// One act as a device sends it. `seq` counts within device and session, `counter` within the session; `seen` is the
/// highest counter that the device had received.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Act {
    /// UUIDv7, made on the device.
    pub id: ActId,
    /// The meeting of the session that it belongs to, by its number.
    pub meeting: i64,
    /// The device: `web:<sign-in>` for the web form.
    pub device: String,
    /// The device's own count in this session.
    pub seq: i64,
    /// The session's count: a Lamport clock.
    pub counter: i64,
    /// The highest counter that the device had received.
    pub seen: i64,
    /// The device's time, in UTC.
    pub at: NaiveDateTime,
    /// Whether the session's lead did it.
    pub by_lead: bool,
    /// What was done.
    pub body: Body,
}

impl Act {
    /// Its place in the one order of a session.
    pub fn order(&self) -> OrderKey {
        OrderKey { counter: self.counter, device: self.device.clone(), seq: self.seq }
    }
}

word_list! {
    /// Why a rider was not let start.
    TurnedAwayFor {
        /// Gear was missing.
        Gear = "gear",
        /// No consent stood.
        Consent = "consent",
        /// No machine fitted.
        Fit = "fit",
        /// Behaviour.
        Behaviour = "behaviour",
    }
}

word_list! {
    /// When heads are counted.
    CountMoment {
        /// At the change of a lesson.
        Lesson = "lesson",
        /// Going out on the trail.
        TrailOut = "trail_out",
        /// Coming in from the trail.
        TrailIn = "trail_in",
        /// Any other time.
        Other = "other",
    }
}

/// What was done. The tag is the word stored as the act's kind.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Body {
    /// The rider is here.
    CheckIn {
        /// After the start.
        late: bool,
    },
    /// Heads were counted.
    Count {
        /// When.
        moment: CountMoment,
        /// How many should be there.
        expected: i64,
        /// How many are.
        counted: i64,
        /// Whose group, by the account reference of its instructor; none for everybody.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        group: Option<String>,
    },
    /// Points of the day list were looked at, and the list may have been signed.
    DayList {
        /// The edition of the list.
        version: i64,
        /// What was seen at each point looked at.
        points: BTreeMap<PointKey, Looked>,
        /// The version of the emergency plan, when the lead signs it with the list.
        signed: Option<i64>,
    },
    /// The rider is to ride a machine.
    Assign {
        /// The number painted on it; none takes the plan back.
        machine: Option<String>,
    },
    /// A machine was looked over before the ride; every point that is not named was right.
    LookOver {
        /// The number painted on it.
        machine: String,
        /// The edition of the list.
        version: i64,
        /// Points that are not right, each with what is wrong.
        wrong: BTreeMap<PointKey, String>,
        /// How often it had been found faulty or mended by then, as the looker knew.
        troubles: i64,
    },
    /// A fault of a machine was found.
    Fault {
        /// The number painted on it.
        machine: String,
        /// What is wrong.
        what: String,
    },
    /// The rider rides in a group.
    Group {
        /// The account reference of its instructor; none takes the rider out of any group.
        with: Option<String>,
    },
    /// A group rides at a place of its own.
    GroupPlace {
        /// The account reference of its instructor.
        with: String,
        /// The part of the riding area, in words; none takes them back.
        place: Option<String>,
    },
    /// The rider was measured; lengths in micrometres, mass in grams.
    Measures {
        /// Standing height.
        height_um: Option<i64>,
        /// Weight.
        weight_g: Option<i64>,
        /// Crotch to floor.
        inseam_um: Option<i64>,
        /// Head circumference.
        head_um: Option<i64>,
    },
    /// The rider was tried on a machine.
    Fit {
        /// The number painted on it.
        machine: String,
        /// What was seen and measured.
        observations: BTreeMap<CriterionKey, Observation>,
        /// The lead's overrides of advisory criteria.
        overrides: Vec<Override>,
        /// The verdict with every reason, as it stood then.
        verdict: Verdict,
    },
    /// The gear was looked over.
    Gear {
        /// What the rider wears.
        worn: BTreeSet<GearPiece>,
    },
    /// A helmet went to the rider.
    Helmet {
        /// The lot's code.
        lot: String,
        /// Lent or given.
        way: Way,
    },
    /// The helmet on the rider's head was checked; every point that is not named was right.
    HelmetCheck {
        /// The code of its lot; none for the rider's own.
        lot: Option<String>,
        /// The edition of the list.
        version: i64,
        /// Whether its size is the one for this head.
        size: bool,
        /// Points that are not right.
        wrong: BTreeSet<PointKey>,
        /// Whether the child says that it is comfortable.
        comfortable: bool,
    },
    /// A lent helmet came back, or did not.
    HelmetBack {
        /// The lot's code.
        lot: String,
        /// How.
        how: CameBack,
    },
    /// An adult signed for a helmet.
    Receipt {
        /// The lot's code.
        lot: String,
        /// Who signed.
        name: String,
        /// Where.
        on: SignedOn,
    },
    /// One skill check was marked.
    Mark {
        /// Which.
        check: CheckCode,
        /// How.
        mark: Mark,
        /// Why, where the rules want words.
        reason: Option<String>,
        /// The act whose safety stop this clears.
        clears: Option<ActId>,
    },
    /// A whole lesson was marked with one tap; stored as such.
    LessonMarks {
        /// Its number.
        lesson: u16,
        /// How.
        mark: Mark,
    },
    /// The rider's day ended otherwise than by check-out alone.
    Outcome {
        /// How.
        outcome: Outcome,
        /// Why, when turned away.
        why: Option<TurnedAwayFor>,
    },
    /// An adult took the child.
    CheckOut {
        /// Who.
        adult: String,
    },
    /// The proof of an earlier part was looked at.
    Proof {
        /// Whether it was there; a later "no" takes a slip back.
        seen: bool,
    },
    /// Somebody of the team came onto the riding area, or left it.
    Area {
        /// The account's public reference.
        member: String,
        /// Came, else left.
        on: bool,
    },
    /// The lead goes on although the rule of the riding area is broken.
    GoOn {
        /// Why, in the lead's words.
        reason: String,
        /// Who was there when the lead decided.
        count: area::Count,
    },
    /// The weather was read off and typed.
    Weather {
        /// What was read.
        reading: Reading,
        /// Each number held against the limits of that moment.
        findings: Vec<Finding>,
    },
    /// It thundered or flashed.
    Thunder,
    /// The lead stopped riding for the weather, or lifted that stop.
    WeatherCall {
        /// Stops, else lifts.
        stop: bool,
        /// Why.
        why: String,
    },
    /// Something nearly happened.
    NearMiss {
        /// What.
        what: NearMissKind,
        /// In somebody's words.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        note: Option<String>,
    },
    /// A person was hurt or a machine broke: a report was opened. What is in it stands in the report alone, sealed.
    Incident {
        /// The number of the report.
        case: i64,
        /// Of what kind.
        what: IncidentKind,
        /// Whether an ambulance came.
        ambulance: bool,
        /// The number painted on the machine.
        machine: Option<String>,
        /// Whether the rider's helmet took a blow, so that nobody starts in it before another look.
        helmet_hit: bool,
    },
    /// The lead of the session was handed to somebody else.
    HandOver {
        /// The account reference of who led, if anybody did.
        from: Option<String>,
        /// The account reference of who leads from here on.
        to: String,
    },
    /// An act of just before is taken back. Both stay on record.
    Undo {
        /// Which.
        of: ActId,
    },
}

impl Body {
    /// The word under which the act is stored.
    pub fn kind(&self) -> &'static str {
        match self {
            Self::CheckIn { .. } => "check_in",
            Self::Count { .. } => "count",
            Self::DayList { .. } => "day_list",
            Self::Assign { .. } => "assign",
            Self::LookOver { .. } => "look_over",
            Self::Fault { .. } => "fault",
            Self::Group { .. } => "group",
            Self::GroupPlace { .. } => "group_place",
            Self::Measures { .. } => "measures",
            Self::Fit { .. } => "fit",
            Self::Gear { .. } => "gear",
            Self::Helmet { .. } => "helmet",
            Self::HelmetCheck { .. } => "helmet_check",
            Self::HelmetBack { .. } => "helmet_back",
            Self::Receipt { .. } => "receipt",
            Self::Mark { .. } => "mark",
            Self::LessonMarks { .. } => "lesson_marks",
            Self::Outcome { .. } => "outcome",
            Self::CheckOut { .. } => "check_out",
            Self::Proof { .. } => "proof",
            Self::Area { .. } => "area",
            Self::GoOn { .. } => "go_on",
            Self::Weather { .. } => "weather",
            Self::Thunder => "thunder",
            Self::WeatherCall { .. } => "weather_call",
            Self::NearMiss { .. } => "near_miss",
            Self::Incident { .. } => "incident",
            Self::HandOver { .. } => "hand_over",
            Self::Undo { .. } => "undo",
        }
    }
}

word_list! {
    /// How an act that arrived was taken.
    Taking {
        /// It counts.
        Taken = "taken",
        /// It contradicts another device's act; both are kept and a person decides.
        Conflict = "conflict",
        /// It came after closing: kept, and counts when the session is reopened.
        Late = "late",
        /// It came under a pass that no longer holds: kept for a person to accept.
        Quarantine = "quarantine",
    }
}

/// What merging an arriving act comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Merge {
    /// The very act is there already: answer as the first time.
    Already,
    /// Keep it, taken so.
    Keep(Taking),
    /// The session takes no acts at all.
    NoActs,
}

/// Decides how an arriving act is taken. Nothing that was done is thrown away: after closing it is kept as late.
pub fn merge(is_known: bool, openness: Openness) -> Merge {
    use super::session::SessionState::{Announced, Cancelled, Closed, Reopened};
    if is_known {
        return Merge::Already;
    }
    match openness.state {
        Closed => Merge::Keep(Taking::Late),
        Announced | Reopened if openness.takes_acts() => Merge::Keep(Taking::Taken),
        Announced | Reopened | Cancelled => Merge::NoActs,
    }
}
