//! Who is asking, and what they may do. Every permission of the program is decided here and nowhere else.

use chrono::NaiveDate;

use super::ids::{AccountId, GuardianId, SignInId, StaffId};
use super::sign_in::Way;
use super::words::{Lang, word_list};

word_list! {
    /// A kind of person. Everybody is `public`; `partner` is a word kept for later and may do nothing yet.
    Role {
        /// Anybody, signed in or not.
        Public = "public",
        /// The adult who answers for riders.
        Guardian = "guardian",
        /// Checked but uncertified staff.
        Helper = "helper",
        /// Certified staff who teach.
        Instructor = "instructor",
        /// The first-aider of a session.
        FirstAid = "first_aid",
        /// Plans sessions, staff and gear.
        Coordinator = "coordinator",
        /// Reports to those who pay.
        GrantManager = "grant_manager",
        /// People, roles and rules of the program.
        Administrator = "administrator",
        /// A school or club with seats of its own; not yet in use.
        Partner = "partner",
    }
}

/// The roles of those who work for the program.
pub const STAFF: [Role; 6] =
    [Role::Helper, Role::Instructor, Role::FirstAid, Role::Coordinator, Role::GrantManager, Role::Administrator];

/// A set of roles.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default)]
pub struct RoleSet(u16);

impl RoleSet {
    /// Nobody.
    pub const NONE: Self = Self(0);

    /// The set of these roles.
    pub const fn of(roles: &[Role]) -> Self {
        let mut bits = 0;
        let mut i = 0;
        while i < roles.len() {
            bits |= 1 << roles[i] as u16;
            i += 1;
        }
        Self(bits)
    }
    /// This set and one more role.
    pub const fn with(self, role: Role) -> Self {
        Self(self.0 | 1 << role as u16)
    }
    /// Whether the role is in the set.
    pub const fn has(self, role: Role) -> bool {
        self.0 & (1 << role as u16) != 0
    }
    /// Whether the two sets share a role.
    pub const fn meets(self, other: Self) -> bool {
        self.0 & other.0 != 0
    }
}

/// A person who is signed in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Person {
    /// The account.
    pub account: AccountId,
    /// The login by which they come.
    pub sign_in: SignInId,
    /// Their name in one line.
    pub name: String,
    /// The language they chose.
    pub language: Lang,
    /// Their roles.
    pub roles: RoleSet,
    /// Their family's side, when they are a guardian.
    pub guardian: Option<GuardianId>,
    /// Their place in the program's staff.
    pub staff: Option<StaffId>,
}

/// Somebody whose first step of signing in was right and whose second is due. It opens nothing but the second step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Halfway {
    /// The account.
    pub account: AccountId,
    /// The login that waits.
    pub sign_in: SignInId,
    /// How the first step was done.
    pub way: Way,
    /// The language they chose.
    pub language: Lang,
}

/// Who is asking: travels in one value from the door to the query.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct Caller {
    /// The person, or nobody known.
    pub person: Option<Person>,
    /// Nobody known, whose second step of signing in is due.
    pub halfway: Option<Halfway>,
    /// The request by which they ask, for the audit log. Never personal data.
    pub request: String,
}

impl Caller {
    /// Somebody not signed in.
    pub const fn anonymous() -> Self {
        Self { person: None, halfway: None, request: String::new() }
    }
    /// Their roles, `public` among them.
    pub fn roles(&self) -> RoleSet {
        self.person.as_ref().map_or(RoleSet::NONE, |p| p.roles).with(Role::Public)
    }
    /// Whether they have this role.
    pub fn has(&self, role: Role) -> bool {
        self.roles().has(role)
    }
    /// Their account, when signed in.
    pub fn account(&self) -> Option<AccountId> {
        self.person.as_ref().map(|p| p.account)
    }
    /// The language they chose, when it is known who they are.
    pub fn language(&self) -> Option<Lang> {
        let halfway = self.halfway.map(|halfway| halfway.language);
        self.person.as_ref().map(|p| p.language).or(halfway)
    }
    /// Their guardian's side.
    pub fn guardian(&self) -> Option<GuardianId> {
        self.person.as_ref().and_then(|p| p.guardian)
    }
    /// Their place in the staff.
    pub fn staff(&self) -> Option<StaffId> {
        self.person.as_ref().and_then(|p| p.staff)
    }
}

word_list! {
    /// What a staff member does at a session.
    Duty {
        /// Leads, and alone may override and clear a safety stop.
        Lead = "lead",
        /// Teaches.
        Instructor = "instructor",
        /// Helps; never counts for the ratio.
        Helper = "helper",
        /// First aid.
        FirstAid = "first_aid",
    }
}

impl Duty {
    /// Whether it is teaching: what counts for the ratio, for groups and for taught hours.
    #[must_use]
    pub fn teaches(self) -> bool {
        matches!(self, Self::Lead | Self::Instructor)
    }
}

word_list! {
    /// How a guardian stands to a rider now.
    Guardianship {
        /// May see and decide.
        Active = "active",
        /// A custody restriction: may see nothing until staff decide.
        Restricted = "restricted",
        /// Ended.
        Revoked = "revoked",
    }
}

/// What somebody wants to do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Action {
    /// Make sites and sessions.
    Plan,
    /// See all sessions with their staff and registrations.
    SeeSeason,
    /// See the office's lists of people, machines and gear.
    SeeOffice,
    /// See the machines, and write down a fault of one.
    SeeFleet,
    /// See the lessons with their drawings, and what is talked about.
    SeeLessons,
    /// Put a machine back into use.
    MendMachine,
    /// Decide how an adult stands to a child when custody changes.
    DecideTies,
    /// See and decide for one rider: registrations, consents, certificates.
    AnswerForRider,
    /// See the roster of one session and write acts.
    RunSession,
    /// Read the health notes of one session's riders.
    ReadHealth,
    /// Read and write the reports of what happened at one session.
    ReadIncident,
    /// Close such a report as the second who signs.
    SettleIncident,
    /// Register a child for one session whose adult stands before them or is on the telephone.
    RegisterWalkUp,
    /// Decide as the lead of one session: enter adults on the riding area, go on with a reason.
    LeadSession,
    /// Hand the lead of one session to somebody else.
    HandOverLead,
    /// Close and reopen one session.
    CloseSession,
    /// Revoke certificates.
    Revoke,
    /// See reports and their rows.
    SeeReports,
    /// Read the audit log.
    ReadAudit,
    /// Change the program's rules and texts.
    RunProgram,
    /// Help people into their accounts, and shut and open accounts.
    RunAccounts,
}

/// What it is about, with the ties that matter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Subject {
    /// The program as a whole.
    Program,
    /// One session: the caller's duty there, its first and last day, and today.
    Session {
        /// The caller's duty at that session.
        duty: Option<Duty>,
        /// The day of its first meeting.
        held_on: NaiveDate,
        /// The day of its last meeting.
        last_on: NaiveDate,
        /// Today in the session's zone.
        today: NaiveDate,
        /// Days before and after the first day in which staff see it, a setting of the program.
        window: i64,
    },
    /// One rider: how the caller stands to the child.
    Rider {
        /// The caller's guardianship, if there is one.
        tie: Option<Guardianship>,
    },
}

/// The answer to "may I?".
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Permission {
    /// Yes.
    Granted,
    /// No, and they may know that the thing exists.
    Denied,
    /// No, and they may not know that it exists.
    Hidden,
}

/// Days before the first and after the last meeting of a session in which its staff see it, as shipped (bar S27).
pub const STAFF_WINDOW_DAYS: i64 = 14;

/// Decides every permission. Anything not granted here is refused.
pub fn may(caller: &Caller, action: Action, subject: Subject) -> Permission {
    use Role::{Administrator, Coordinator, FirstAid, GrantManager, Helper, Instructor};
    let granted = |roles: &[Role]| caller.roles().meets(RoleSet::of(roles));
    let or_denied = |yes: bool| if yes { Permission::Granted } else { Permission::Denied };
    match (action, subject) {
        (Action::Plan | Action::SeeSeason | Action::SeeOffice | Action::DecideTies | Action::Revoke, _) => {
            or_denied(granted(&[Coordinator, Administrator]))
        }
        (Action::SeeFleet | Action::SeeLessons, _) => {
            or_denied(granted(&[Helper, Instructor, FirstAid, Coordinator, Administrator]))
        }
        (Action::MendMachine, _) => or_denied(granted(&[Instructor, Coordinator, Administrator])),
        (Action::SeeReports, _) => or_denied(granted(&[Coordinator, GrantManager, Administrator])),
        (Action::ReadAudit | Action::RunProgram | Action::RunAccounts, _) => or_denied(granted(&[Administrator])),
        (Action::AnswerForRider, Subject::Rider { tie }) => match tie {
            Some(Guardianship::Active) => Permission::Granted,
            _ => Permission::Hidden,
        },
        (Action::RunSession, Subject::Session { duty, held_on, last_on, today, window }) => {
            run_session(granted(&[Coordinator, Administrator]), duty, (held_on, last_on), today, window)
        }
        (Action::ReadHealth, Subject::Session { duty, held_on, last_on, today, window }) => match duty {
            Some(Duty::Helper) | None => Permission::Hidden,
            Some(_) => run_session(false, duty, (held_on, last_on), today, window),
        },
        (Action::ReadIncident, Subject::Session { duty, held_on, last_on, today, window }) => {
            let office = granted(&[Coordinator, Administrator]);
            match duty {
                Some(Duty::Helper) if !office => Permission::Hidden,
                _ => run_session(office, duty, (held_on, last_on), today, window),
            }
        }
        (Action::RegisterWalkUp, Subject::Session { duty, held_on, last_on, today, window }) => {
            let office = granted(&[Coordinator, Administrator]);
            match duty {
                Some(Duty::Helper) => or_denied(office),
                _ => run_session(office, duty, (held_on, last_on), today, window),
            }
        }
        (Action::LeadSession, Subject::Session { duty, held_on, last_on, today, window }) => match duty {
            Some(Duty::Lead) => run_session(false, duty, (held_on, last_on), today, window),
            _ => Permission::Denied,
        },
        (
            Action::CloseSession | Action::HandOverLead | Action::SettleIncident,
            Subject::Session { duty, held_on, last_on, today, window },
        ) => match duty {
            Some(Duty::Lead) => run_session(false, duty, (held_on, last_on), today, window),
            _ => or_denied(granted(&[Coordinator, Administrator])),
        },
        (
            Action::AnswerForRider
            | Action::RunSession
            | Action::ReadHealth
            | Action::ReadIncident
            | Action::SettleIncident
            | Action::RegisterWalkUp
            | Action::LeadSession
            | Action::HandOverLead
            | Action::CloseSession,
            _,
        ) => Permission::Denied,
    }
}

fn run_session(
    office: bool,
    duty: Option<Duty>,
    (first, last): (NaiveDate, NaiveDate),
    today: NaiveDate,
    window: i64,
) -> Permission {
    let near = (first - today).num_days() <= window && (today - last).num_days() <= window;
    if office || (duty.is_some() && near) { Permission::Granted } else { Permission::Hidden }
}

#[cfg(test)]
mod tests;
