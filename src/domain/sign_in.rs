//! The rules of signing in: how a login was proven, how long it lasts, who needs a second step, how many wrong tries
//! are let pass, and how long a link and a proof stand. Must not see a password, a code or a token.

use chrono::{NaiveDateTime, TimeDelta};

use super::access::{RoleSet, STAFF};
use super::ids::AccountId;
use super::refusal::Refusal;
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

/// Whether people with these roles always sign in with a second step (bar S11). Families choose.
#[must_use]
pub fn needs_second_step(roles: RoleSet) -> bool {
    roles.meets(RoleSet::of(&STAFF))
}

/// What is still to do before a login opens anything.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Next {
    /// Nothing.
    Enter,
    /// Six digits from the app, or a recovery code.
    Code,
    /// The second step is to be set up first.
    SetUp,
}

/// What comes after the first step. The buttons of a demonstration have no second one.
#[must_use]
pub fn after_first_step(way: Way, has_app: bool, roles: RoleSet) -> Next {
    match (way, has_app) {
        (Way::Demo, _) => Next::Enter,
        (_, true) => Next::Code,
        (_, false) if needs_second_step(roles) => Next::SetUp,
        (_, false) => Next::Enter,
    }
}

/// Whether a login that waits for nothing is enough for these roles. One that began as a family's does not grow with a
/// role of the staff that its account was given meanwhile.
#[must_use]
pub fn is_enough(way: Way, did_second_step: bool, roles: RoleSet) -> bool {
    did_second_step || way == Way::Demo || !needs_second_step(roles)
}

/// How long a login lasts, unused and at most (bar S20).
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Lasting {
    /// Without a page opened.
    pub idle: TimeDelta,
    /// Whatever happens.
    pub most: TimeDelta,
}

/// The last use is written down at most this often, so that reading pages stays reading.
pub const SEEN_EVERY: TimeDelta = TimeDelta::minutes(5);

impl Lasting {
    /// For how long after its last page a login surely goes on.
    #[must_use]
    pub fn surely(self) -> TimeDelta {
        self.idle - SEEN_EVERY
    }
}

/// A family's login lasts longer unused than one of staff, which opens more.
#[must_use]
pub fn lasting(roles: RoleSet) -> Lasting {
    Lasting { idle: TimeDelta::minutes(if needs_second_step(roles) { 30 } else { 60 }), most: TimeDelta::hours(12) }
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

/// For how long a second step that was drawn for a page may be kept.
pub const DRAWN_LASTS: TimeDelta = TimeDelta::minutes(60);

/// Letters with links that one mailbox gets in the time over which wrong tries are counted.
pub const LINK_LETTERS: usize = 5;

/// That somebody lost both the app and the recovery codes, as one administrator told.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Loss {
    /// Who told.
    pub asked_by: AccountId,
    /// When.
    pub asked_at: NaiveDateTime,
}

impl Loss {
    /// Whether it still waits for a second administrator.
    #[must_use]
    pub fn is_open(&self, now: NaiveDateTime) -> bool {
        now - self.asked_at < TimeDelta::hours(24)
    }

    /// Lets a second administrator agree: neither the one who told nor the one whose second step it is (bar S17).
    ///
    /// # Errors
    /// `AskedByYourself`.
    pub fn agreed(&self, who: AccountId, whose: AccountId) -> Result<(), Refusal> {
        if who == self.asked_by || who == whose { Err(Refusal::AskedByYourself) } else { Ok(()) }
    }
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
    use crate::domain::access::Role;
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
    fn s11_what_comes_after_the_first_step_follows_from_app_and_roles() {
        let (family, staff) = (RoleSet::of(&[Role::Guardian]), RoleSet::of(&[Role::Helper]));
        for way in [Way::Password, Way::Link, Way::Registration] {
            assert_eq!(after_first_step(way, false, family), Next::Enter, "{way}");
            assert_eq!(after_first_step(way, true, family), Next::Code, "{way}");
            assert_eq!(after_first_step(way, false, staff), Next::SetUp, "{way}");
            assert_eq!(after_first_step(way, true, staff), Next::Code, "{way}");
            assert!(is_enough(way, false, family) && !is_enough(way, false, staff) && is_enough(way, true, staff));
        }
        assert_eq!(after_first_step(Way::Demo, true, staff), Next::Enter);
    }

    #[test]
    fn s17_two_other_people_agree_on_a_loss_within_a_day() {
        let [ida, otis, rafael] = [1, 2, 3].map(AccountId::new);
        let loss = Loss { asked_by: ida, asked_at: at(0) };
        assert_eq!(loss.agreed(otis, rafael), Ok(()));
        assert_eq!(loss.agreed(ida, rafael), Err(Refusal::AskedByYourself));
        assert_eq!(loss.agreed(otis, otis), Err(Refusal::AskedByYourself));
        assert!(loss.is_open(at(24 * 60) - TimeDelta::seconds(1)) && !loss.is_open(at(24 * 60)));
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
