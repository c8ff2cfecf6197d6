//! Every "no" that a rule of the program can give, with what a sentence about it needs. The sentences themselves are
//! written once, above, in the reader's language.

mod absence;
mod gear;
mod incident;
mod mark;
mod weather;

use chrono::NaiveDate;

use super::certification::BlockingPaper;
use super::machine::today::Parked;
use super::site_paper::BlockingSitePaper;

pub use absence::AbsenceRefusal;
pub use gear::GearRefusal;
pub use incident::IncidentRefusal;
pub use mark::MarkRefusal;
pub use weather::WeatherRefusal;

/// A rule said no. The page shows why and what to do next.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    // --- signing in ---
    /// The address and the password do not belong together (or there is no such account).
    SignInFailed,
    /// Too many wrong tries of late; after so many minutes the next one is looked at.
    TooManyTries {
        /// At least 1.
        minutes: i64,
    },
    /// The code of the second step is wrong, or was used before.
    CodeWrong,
    /// The current password is not the one that was typed.
    PasswordWrong,
    /// The link was used, replaced by a newer one, or is too old.
    LinkOver,
    /// The program would be left without an administrator.
    LastAdministrator,
    /// The other administrator has to agree: who asked cannot.
    AskedByYourself,
    /// An administrator has an account already.
    HasAdministrator,
    /// Not in a demonstration.
    OnlyInDemo,
    // --- registration ---
    /// The rider is under the course's least age on that day.
    TooYoung {
        /// The course's least age.
        least: i64,
        /// The session's first day.
        on: NaiveDate,
    },
    /// The rider is over the course's greatest age on that day.
    TooOld {
        /// The course's greatest age.
        most: i64,
        /// The session's first day.
        on: NaiveDate,
    },
    /// This rider has a place in this session already.
    AlreadyRegistered,
    /// The session is over, called off or closed.
    SessionTakesNoRegistrations {
        /// Its first day.
        held_on: NaiveDate,
    },
    /// The question was answered, or nobody waits for the answer any more.
    AnswerTooLate,
    /// The rider has a place in another session at the same time.
    TwoSessionsAtOnce {
        /// The other session's site.
        site: String,
        /// Its first day.
        on: NaiveDate,
    },
    /// The place cannot be moved there: no seat is free, or it is another course.
    NoSeatThere,
    /// Nobody else may decide for this child.
    OnlyAdult,
    /// Nobody may decide for the child now.
    NobodyDecides,
    /// The office decides how this adult stands to the child.
    OfficeDecides,
    /// Both entries of what is to be one child have a place in a session, or took part.
    BothInSession {
        /// The session's site.
        site: String,
        /// Its first day.
        on: NaiveDate,
    },
    /// Of two entries of a child, the one that is to go has the place in a session.
    StaysWithOther {
        /// The session's site.
        site: String,
        /// Its first day.
        on: NaiveDate,
    },
    /// The child has taken part: only the office changes its birth date.
    TookPart,
    /// The address of the account is not confirmed yet.
    AddressNotShown,
    /// So many invitations in a day are enough.
    TooManyInvitations,
    /// No seat is free that could be given.
    NoSeatFree,
    /// No consent text has been approved for use, so registration is closed.
    ConsentNotApproved,
    /// A consent text changed while the guardian was reading.
    ConsentChanged,
    /// An answer of an earlier step is missing.
    StepMissing {
        /// The step's name in addresses.
        step: &'static str,
    },
    /// The same request key came with another body.
    KeyReused,
    /// The paper was taken back for good; only another one can count.
    PaperTakenBack,
    // --- planning ---
    /// The lead's papers do not hold on the session's day.
    LeadNotValid {
        /// The lead's name.
        name: String,
        /// The papers that block, and why.
        papers: Vec<BlockingPaper>,
        /// The session's day.
        on: NaiveDate,
    },
    /// The papers of somebody else on the team do not hold on the session's day.
    StaffNotValid {
        /// The person's name.
        name: String,
        /// The papers that block, and why.
        papers: Vec<BlockingPaper>,
        /// The session's day.
        on: NaiveDate,
    },
    /// Papers of the site do not count on the session's day.
    SiteNotReady {
        /// The site's name.
        site: String,
        /// The papers that block, and why.
        papers: Vec<BlockingSitePaper>,
        /// The session's day.
        on: NaiveDate,
    },
    /// The person teaches beside a lead and does not lead yet.
    NotYetALead {
        /// The person's name.
        name: String,
    },
    /// One adult would be alone with children.
    SecondAdultNeeded,
    /// Nobody on the team has a first-aid card that holds on the session's day.
    FirstAiderNeeded {
        /// The session's day.
        on: NaiveDate,
    },
    /// The machine is no longer of the fleet.
    MachineRetired {
        /// Its number.
        number: String,
    },
    /// The hour meter shows less than before.
    MeterRunsBack {
        /// What it showed, in tenths of an hour.
        before_tenths: i64,
    },
    /// Another machine, grant or lot carries this number or code.
    CodeTaken {
        /// The number or code.
        code: String,
    },
    /// The session's day is over already.
    DayIsOver {
        /// That day.
        on: NaiveDate,
    },
    /// The session would have no seat.
    NoSeats {
        /// The limit that leaves none.
        limit: super::session::Limit,
    },
    /// Two meetings of a session share a day, or one lies before the one above it.
    MeetingsNotInOrder {
        /// The later one's day.
        on: NaiveDate,
    },
    /// That wall time does not exist on that day, because clocks are set forward.
    NoSuchTime {
        /// The day.
        on: NaiveDate,
    },
    /// A day that has not come yet, where only one that has can be meant.
    DayToCome {
        /// That day.
        on: NaiveDate,
    },
    /// Somebody entered an approval of this text already.
    AlreadyApproved,
    /// The draft of a book of rules was changed since the page was opened.
    DraftMoved,
    /// The site holds another session at that time.
    SiteTaken {
        /// The site's name.
        site: String,
        /// The day.
        on: NaiveDate,
    },
    /// The person works at another session that day: at another site, or at the same time.
    PersonPlannedTwice {
        /// The person's name.
        name: String,
        /// The site of the other session.
        site: String,
        /// The day.
        on: NaiveDate,
    },
    /// A pattern of this name is there already.
    PatternNameTaken {
        /// The name.
        name: String,
    },
    // --- changing a planned session ---
    /// The session is closed, called off or over: nothing of it changes any more.
    SessionNotOpen,
    /// A child was checked in: the session is closed in the evening, not moved or called off.
    SessionHasBegun,
    /// Somebody changed the session after this page was drawn.
    SessionChanged,
    /// Families hold more seats than the change would leave.
    SeatsTaken {
        /// Seats taken.
        taken: i64,
        /// Seats that would be left.
        seats: i64,
        /// The limit that leaves no more.
        limit: super::session::Limit,
    },
    /// Riders would be under the course's least age on the new day.
    RidersTooYoung {
        /// Their names.
        names: Vec<String>,
        /// The course's least age.
        least: i64,
    },
    /// Day, time and site are the ones that hold already.
    NothingMoves,
    /// Families are registered, so day, time, site, course and language do not change unsaid.
    RidersAreRegistered,
    /// Nobody leads the session.
    NoLead,
    // --- the day ---
    /// Acts are not taken: the day has not come, or the session is closed or called off.
    SessionTakesNoActs,
    /// The meeting that the act belongs to has not come.
    MeetingToCome {
        /// Its day.
        on: NaiveDate,
    },
    /// The session's last meeting has not come, so it cannot be closed.
    LastMeetingToCome {
        /// Its day.
        on: NaiveDate,
    },
    /// The course asks for proof of an earlier part, and nobody of the staff has seen it.
    ProofMissing,
    /// The course asks for no proof of an earlier part.
    NoProofAsked,
    /// The rider is not checked in, or has gone home.
    RiderNotHere,
    /// The rider has no seat in this session.
    NoSeat,
    /// No consent of this rider stands.
    NoConsent,
    /// The rider was checked out, and the form that checks in does not know it.
    WentHome {
        /// The given name.
        given: String,
    },
    /// Gear is missing, so the rider does not start.
    GearMissing {
        /// The pieces.
        pieces: Vec<String>,
    },
    /// No fit check of this rider lets the rider start.
    NoFit,
    /// A machine goes to another session when this one would need it.
    MachineGoesElsewhere {
        /// The number painted on it.
        number: String,
        /// The other session's site.
        site: String,
        /// The day.
        on: NaiveDate,
    },
    /// Nobody may ride the rider's machine now.
    MachineParked {
        /// The number painted on it.
        number: String,
        /// Why.
        why: Parked,
    },
    /// A mark was refused by the curriculum's rules.
    Mark(MarkRefusal),
    /// Nobody rides now: too many riders for the instructors, one adult alone, or no first-aider.
    RidingStops(super::area::Stop),
    /// The weather stops riding, or an entry about it cannot be taken.
    Weather(WeatherRefusal),
    /// Of the rules of days away.
    Absence(AbsenceRefusal),
    /// Of the rules of reports about what happened.
    Incident(IncidentRefusal),
    /// The rule of the riding area is kept, so nothing needs a reason.
    NothingToGoOn,
    /// The person leads this session already.
    LeadsAlready {
        /// The person's name.
        name: String,
    },
    /// The lead has not signed the day list, so no engine starts.
    DayListNotSigned,
    /// Something on the day list is not right, so riding stops.
    DayListOpen {
        /// The points.
        points: Vec<String>,
    },
    /// Points of the day list that nobody has looked at.
    DayListNotLooked {
        /// The points.
        points: Vec<String>,
    },
    /// The form names a point that this session's list does not have.
    DayListChanged,
    /// The site has no emergency plan that could be followed.
    EmergencyPlanMissing,
    /// The emergency plan is another than the one that was read.
    EmergencyPlanChanged,
    /// The group has as many riders as one may have.
    GroupFull {
        /// As many.
        most: i64,
    },
    /// A note is needed: an adaptation, a reason for an override or for turning a rider away.
    NoteNeeded,
    /// Only the lead of the session may do this.
    OnlyTheLead,
    /// A mandatory fit criterion is never overridden.
    MandatoryStands,
    /// The adult who takes the child has no name.
    AdultNeeded,
    /// The name may be one to whom the family does not release the child.
    NotReleased {
        /// The name on the family's list.
        name: String,
    },
    /// The rules about helmets said no.
    Gear(GearRefusal),
    /// A newer act on this rider was made meanwhile.
    WorldMoved,
    /// The time for taking an act back is over.
    UndoTooLate,
    /// Somebody else did the act.
    UndoNotYours,
    // --- closing ---
    /// Children not checked out.
    ChildrenNotHome {
        /// Their names.
        names: Vec<String>,
    },
    /// Riders whose day has no outcome.
    OutcomesMissing {
        /// Their names.
        names: Vec<String>,
    },
    /// Characters of a name that the certificate's font lacks.
    NameCannotBeSet {
        /// The name.
        name: String,
        /// The characters.
        characters: String,
    },
    /// The session is closed already.
    AlreadyClosed,
    /// The session is not closed, so it cannot be reopened.
    NotClosed,
    /// The certificate is revoked already.
    AlreadyRevoked,
    // --- words ---
    /// No county of that name or code in the program's state.
    CountyUnknown,
    /// Several counties answer to that name.
    CountyAmbiguous {
        /// Their labels with codes.
        labels: Vec<String>,
    },
}
