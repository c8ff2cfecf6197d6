//! One id type per table, so that a roster never takes a rider where it wants a registration.
//! An id is a row number of one database; it never appears in an address (references do).

use serde::{Deserialize, Serialize};

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
        #[serde(transparent)]
        pub struct $name(i64);

        impl $name {
            /// Wraps a row number.
            pub const fn new(raw: i64) -> Self {
                Self(raw)
            }
            /// The row number.
            pub const fn raw(self) -> i64 {
                self.0
            }
            /// The row number by reference, for storage.
            pub(crate) const fn raw_ref(&self) -> &i64 {
                &self.0
            }
        }
    )+};
}

ids! {
    /// A person who may sign in.
    AccountId,
    /// One web login of an account.
    SignInId,
    /// A text message that is owed.
    TextId,
    /// A letter with a link that was asked for.
    LinkId,
    /// The adult who answers for riders.
    GuardianId,
    /// The child.
    RiderId,
    /// A member of the program's staff.
    StaffId,
    /// A paper of a staff member with its dates.
    CertificationId,
    /// A kind of training.
    CourseId,
    /// A place to ride.
    SiteId,
    /// One dated running of a course.
    SessionId,
    /// One morning or day of a session.
    MeetingId,
    /// One rider's place in one session.
    RegistrationId,
    /// A version of the curriculum, the fit rules or the cautions.
    RulebookId,
    /// A version of a consent text in one language.
    ConsentTextId,
    /// Two entries of a child that became one.
    MergeId,
    /// What a program asks and nobody has to answer.
    VoluntaryId,
    /// What a letter asks a family.
    QuestionId,
    /// An adult who is asked to answer for children.
    InvitationId,
    /// One ATV of the fleet.
    MachineId,
    /// A fault of a machine.
    DefectId,
    /// A place where machines and gear are kept.
    StoragePlaceId,
    /// Who paid for gear or places.
    GrantId,
    /// Helmets of one model and size, bought at once.
    LotId,
    /// A completion certificate.
    CertificateId,
    /// An encrypted file.
    FileId,
    /// A letter waiting to be sent.
    OutboxId,
    /// A move of a session, or its calling off.
    ChangeId,
    /// One family or member of the team who is told of a change.
    TellingId,
    /// What sessions can be made of again.
    PatternId,
    /// A sheet with families.
    ImportId,
    /// What hurt a person or broke a machine.
    IncidentId,
    /// What somebody saw an adult of the program do.
    ConcernId,
}
