//! The letters about an account: owed inside the transaction that gives the reason, in the language its owner reads.

use chrono::NaiveDateTime;

use super::{App, Failure};
use crate::domain::ids::AccountId;
use crate::domain::words::Lang;
use crate::outside::mail::message_id;
use crate::store::AnyConn;
use crate::store::accounts::find_addressee;
use crate::store::outbox::{NewLetter, add_letter};

/// Which letter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Notice {
    /// A link to sign in; about a link.
    SignInLink,
    /// A link that shows a new address to be one's own; about a link.
    AddressLink,
    /// To the new address, that it is in use now; about a link.
    AddressNew,
    /// To the address before it, that it is in use no more; about a link.
    AddressOld,
    /// The password was changed; about the account.
    PasswordChanged,
    /// The second step was set up; about the account.
    SecondStepOn,
    /// The second step was taken away; about the account.
    SecondStepOff,
    /// Asks an adult to answer for children too; about an invitation.
    GuardianInvited,
    /// An adult who was asked answers for children now; about an invitation.
    GuardianJoined,
}

impl Notice {
    /// Its name in the outbox.
    fn kind(self) -> &'static str {
        match self {
            Self::SignInLink => "sign_in_link",
            Self::AddressLink => "address_link",
            Self::AddressNew => "address_new",
            Self::AddressOld => "address_old",
            Self::PasswordChanged => "password_changed",
            Self::SecondStepOn => "second_step_on",
            Self::SecondStepOff => "second_step_off",
            Self::GuardianInvited => "guardian_invited",
            Self::GuardianJoined => "guardian_joined",
        }
    }
}

/// A letter whose id is drawn, so that a transaction that runs again owes the same one.
#[derive(Clone, Debug)]
pub(super) struct Drawn {
    notice: Notice,
    message_id: String,
    at: NaiveDateTime,
}

/// Draws a letter.
pub(super) fn draw(app: &App, notice: Notice) -> Drawn {
    let at = app.clock.now();
    Drawn { notice, message_id: message_id(app.random.uuid_v7(at), app.settings.server.public_host()), at }
}

impl Drawn {
    /// Owes it to an account, about the account or one of its links.
    pub(super) fn owe(&self, conn: &mut AnyConn, account: AccountId, subject_id: i64) -> Result<(), Failure> {
        let reader = find_addressee(conn, account)?.ok_or(Failure::NotFound)?;
        self.owe_in(conn, account, subject_id, reader.language)
    }

    /// The same, in a language that the account's owner chose for its reader.
    pub(super) fn owe_in(
        &self,
        conn: &mut AnyConn,
        account: AccountId,
        subject_id: i64,
        language: Lang,
    ) -> Result<(), Failure> {
        let letter = NewLetter {
            message_id: self.message_id.clone(),
            kind: self.notice.kind(),
            subject_id,
            account_id: account,
            language,
            at: self.at,
        };
        add_letter(conn, &letter)?;
        Ok(())
    }
}
