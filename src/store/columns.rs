//! Teaches diesel the domain's types, so that the domain stays free of diesel in one crate.

use diesel::backend::Backend;
use diesel::deserialize::{self, FromSql};
use diesel::expression::AsExpression;
// The one path of diesel's internals that the house names; the version is pinned for it.
use diesel::internal::derives::as_expression::Bound;
use diesel::serialize::{self, Output, ToSql};
use diesel::sql_types::{BigInt, Nullable, SingleValue, Text};

use crate::domain::access::{Duty, Guardianship, Role};
use crate::domain::acts::Taking;
use crate::domain::gear::{CameBack, MoveKind, RecallAnswer, Way as GearWay};
use crate::domain::grant::MatchKind;
use crate::domain::ids::*;
use crate::domain::import::DayOrder;
use crate::domain::incident::IncidentKind;
use crate::domain::machine::record::{EventKind, LabelSeen, PlaceKind, Riders};
use crate::domain::place::{Ask, PlaceReason};
use crate::domain::point_list::PointListKind;
use crate::domain::proof::{ProofAnswer, ProofRule};
use crate::domain::registration::{Outcome, RegistrationState, Ridden};
use crate::domain::reminder::Reminder;
use crate::domain::session::{Limit, SessionState};
use crate::domain::session_change::{ChangeKind, ChangeReason};
use crate::domain::sign_in::{Purpose, Way};
use crate::domain::site_paper::SitePaperKind;
use crate::domain::text_message::{TextKind, TextState};
use crate::domain::words::{Lang, Word};

macro_rules! column_shape {
    ($sql:ty => $($name:ty),+ $(,)?) => {$(
        impl AsExpression<$sql> for $name {
            type Expression = Bound<$sql, Self>;
            fn as_expression(self) -> Self::Expression { Bound::new(self) }
        }
        impl AsExpression<Nullable<$sql>> for $name {
            type Expression = Bound<Nullable<$sql>, Self>;
            fn as_expression(self) -> Self::Expression { Bound::new(self) }
        }
        impl<'a> AsExpression<$sql> for &'a $name {
            type Expression = Bound<$sql, Self>;
            fn as_expression(self) -> Self::Expression { Bound::new(self) }
        }
        impl<'a> AsExpression<Nullable<$sql>> for &'a $name {
            type Expression = Bound<Nullable<$sql>, Self>;
            fn as_expression(self) -> Self::Expression { Bound::new(self) }
        }
        impl<DB: Backend> ToSql<Nullable<$sql>, DB> for $name
        where
            $name: ToSql<$sql, DB>,
        {
            fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, DB>) -> serialize::Result {
                <Self as ToSql<$sql, DB>>::to_sql(self, out)
            }
        }
        impl<DB: Backend, ST: SingleValue> diesel::deserialize::Queryable<ST, DB> for $name
        where
            $name: FromSql<ST, DB>,
        {
            type Row = Self;
            fn build(row: Self) -> deserialize::Result<Self> { Ok(row) }
        }
    )+};
}

/// An id is a BIGINT.
macro_rules! id_columns {
    ($($name:ident),+ $(,)?) => {
        column_shape!(BigInt => $($name),+);
        $(
            impl<DB: Backend> FromSql<BigInt, DB> for $name
            where
                i64: FromSql<BigInt, DB>,
            {
                fn from_sql(bytes: DB::RawValue<'_>) -> deserialize::Result<Self> {
                    Ok(Self::new(<i64 as FromSql<BigInt, DB>>::from_sql(bytes)?))
                }
            }
            impl<DB: Backend> ToSql<BigInt, DB> for $name
            where
                i64: ToSql<BigInt, DB>,
            {
                fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, DB>) -> serialize::Result {
                    self.raw_ref().to_sql(out)
                }
            }
        )+
    };
}

/// A word of a list is TEXT; an unknown word is an error that names the list.
macro_rules! word_columns {
    ($($name:ident),+ $(,)?) => {
        column_shape!(Text => $($name),+);
        $(
            impl<DB: Backend> FromSql<Text, DB> for $name
            where
                String: FromSql<Text, DB>,
            {
                fn from_sql(bytes: DB::RawValue<'_>) -> deserialize::Result<Self> {
                    let text = <String as FromSql<Text, DB>>::from_sql(bytes)?;
                    Self::from_word(&text).ok_or_else(|| format!("{}: unknown word `{text}`", Self::LIST).into())
                }
            }
            impl<DB: Backend> ToSql<Text, DB> for $name
            where
                str: ToSql<Text, DB>,
            {
                fn to_sql<'b>(&'b self, out: &mut Output<'b, '_, DB>) -> serialize::Result {
                    self.as_str().to_sql(out)
                }
            }
        )+
    };
}

id_columns!(
    AccountId,
    SignInId,
    LinkId,
    GuardianId,
    RiderId,
    StaffId,
    CertificationId,
    CourseId,
    SiteId,
    SessionId,
    MeetingId,
    RegistrationId,
    MergeId,
    VoluntaryId,
    QuestionId,
    InvitationId,
    RulebookId,
    ConsentTextId,
    MachineId,
    DefectId,
    StoragePlaceId,
    GrantId,
    LotId,
    CertificateId,
    FileId,
    OutboxId,
    ChangeId,
    TellingId,
    TextId,
    PatternId,
    ImportId,
    IncidentId,
    ConcernId,
);
word_columns!(
    IncidentKind,
    Lang,
    Role,
    Duty,
    Guardianship,
    SessionState,
    Limit,
    RegistrationState,
    Outcome,
    Ridden,
    Taking,
    ProofRule,
    ProofAnswer,
    SitePaperKind
);
word_columns!(ChangeKind, ChangeReason);
word_columns!(TextKind, TextState);
word_columns!(Way, Purpose);
word_columns!(DayOrder);
word_columns!(CameBack, GearWay, MatchKind, MoveKind, RecallAnswer);
word_columns!(PointListKind);
word_columns!(EventKind, LabelSeen, PlaceKind, Riders);
word_columns!(Ask, PlaceReason, Reminder);
