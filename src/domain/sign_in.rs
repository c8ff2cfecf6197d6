//! The rules of signing in: how a login was proven, how long it lasts, who needs a second step, how many wrong tries
//! are let pass, and how long a link and a proof stand. Must not see a password, a code or a token.

use chrono::{NaiveDateTime, TimeDelta};

use super::access::{Role, RoleSet};
use super::words::word_list;

word_list! {
    /// How a login was proven.
    Way {
        /// With the account's password.
        Password = "password",
        /// With a link that came by mail.
        Link = "link",
        /// With a button of the demonstration.
        Demo = "demo",
        /// The account was made a moment before.
        Registration = "registration",
    }
}

word_list! {
    /// What a link that came by mail is for.
    Purpose {
        /// To sign in, and to choose a new password.
        SignIn = "sign_in",
        /// To show that a new address is one's own.
        Address = "address",
        /// To make the account of the first administrator; it comes from the console, not by mail.
        FirstAccount = "first_account",
    }
}

/// Everybody who works for the program.
pub const STAFF: RoleSet = RoleSet::of(&[
    Role::Helper,
    Role::Instructor,
    Role::FirstAid,
    Role::Coordinator,
    Role::GrantManager,
    Role::Administrator,
]);

/// Whether people with these roles always sign in with a second step (bar S11). Families choose.
#[must_use]
pub fn needs_second_step(roles: RoleSet) -> bool {
    roles.meets(STAFF)
}

/// How long a login lasts, unused and at most (bar S20).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lasting {
    /// Without a page opened.
    pub idle: TimeDelta,
    /// Whatever happens.
    pub most: TimeDelta,
}

/// A family's login lasts longer unused than one of staff, which opens more.
#[must_use]
pub fn lasting(roles: RoleSet) -> Lasting {
    Lasting { idle: TimeDelta::minutes(if roles.meets(STAFF) { 30 } else { 60 }), most: TimeDelta::hours(12) }
}

/// How long a login waits for its second step.
pub const SECOND_STEP_WITHIN: TimeDelta = TimeDelta::minutes(10);

/// For how long a login by link stands in for the current password (bar S05).
const FRESH: TimeDelta = TimeDelta::minutes(5);

/// Whether a login of this way, begun then, stands in for the current password now.
#[must_use]
pub fn is_fresh_proof(way: Way, begun: NaiveDateTime, now: NaiveDateTime) -> bool {
    way == Way::Link && now - begun <= FRESH
}

/// How long a link serves after its letter was written (bar S15).
pub const LINK_LASTS: TimeDelta = TimeDelta::minutes(30);

/// The time over which wrong tries are counted (bar S08).
pub const TRIES_WINDOW: TimeDelta = TimeDelta::minutes(15);
/// Wrong tries for one account in that time.
pub const ACCOUNT_TRIES: usize = 10;
/// Wrong tries from one network address in that time.
pub const ADDRESS_TRIES: usize = 50;

/// How long the next try must wait, with these wrong ones behind it, in any order. Nobody waits longer than the window:
/// the door is slow and never locked.
#[must_use]
pub fn wait(wrong: &[NaiveDateTime], most: usize, now: NaiveDateTime) -> Option<TimeDelta> {
    let mut recent: Vec<NaiveDateTime> = wrong.iter().copied().filter(|at| now - *at < TRIES_WINDOW).collect();
    recent.sort_unstable_by(|a, b| b.cmp(a));
    recent.get(most.checked_sub(1)?).map(|oldest| TRIES_WINDOW - (now - *oldest))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::words::Word;

    fn at(minutes: i64) -> NaiveDateTime {
        NaiveDateTime::default() + TimeDelta::minutes(60 + minutes)
    }

    #[test]
    fn s08_the_tenth_wrong_try_waits_until_the_first_leaves_the_window_and_never_longer() {
        let nine: Vec<_> = (0..9).map(at).collect();
        assert_eq!(wait(&nine, ACCOUNT_TRIES, at(9)), None);
        let ten: Vec<_> = (0..10).map(at).collect();
        assert_eq!(wait(&ten, ACCOUNT_TRIES, at(10)), Some(TimeDelta::minutes(5)));
        assert_eq!(wait(&ten, ACCOUNT_TRIES, at(15) - TimeDelta::seconds(1)), Some(TimeDelta::seconds(1)));
        assert_eq!(wait(&ten, ACCOUNT_TRIES, at(15)), None);
        let storm = vec![at(0); 500];
        assert_eq!(wait(&storm, ACCOUNT_TRIES, at(0)), Some(TRIES_WINDOW));
        assert_eq!(wait(&storm, ACCOUNT_TRIES, at(15)), None, "after the window the door is open again");
    }

    #[test]
    fn s11_every_staff_role_needs_a_second_step_and_a_family_chooses() {
        for role in Role::ALL {
            let is_staff = !matches!(role, Role::Public | Role::Guardian | Role::Partner);
            assert_eq!(needs_second_step(RoleSet::of(&[*role])), is_staff, "{role}");
        }
        assert!(needs_second_step(RoleSet::of(&[Role::Guardian, Role::Helper])), "a parent who helps is staff");
    }

    #[test]
    fn s05_only_a_link_of_the_last_five_minutes_stands_in_for_the_password() {
        assert!(is_fresh_proof(Way::Link, at(0), at(5)));
        assert!(!is_fresh_proof(Way::Link, at(0), at(5) + TimeDelta::seconds(1)));
        for way in [Way::Password, Way::Demo, Way::Registration] {
            assert!(!is_fresh_proof(way, at(0), at(0)), "{way}");
        }
    }
}
