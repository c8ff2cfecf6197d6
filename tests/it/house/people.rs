//! The people of the stories, each with an account that signs in through the front door.

use std::sync::OnceLock;

use diesel::prelude::*;
use waymark::domain::access::Role;
use waymark::domain::ids::{AccountId, GuardianId, StaffId};
use waymark::domain::words::{Lang, Word};
use waymark::outside::password::Passwords;
use waymark::outside::random::Random;
use waymark::store::StoreError;
use waymark::store::accounts::{NewAccount, add_account};
use waymark::store::families::{NewGuardian, add_guardian};
use waymark::store::schema::sign_ins;
use waymark::store::staff::{add_certification, add_staff};

use super::app::{TestApp, story_begins};
use super::browser::{Answered, Browser};

/// The password of everybody in the stories.
pub const PASSWORD: &str = "nine pines on the ridge";

/// A staff member in the database.
#[derive(Clone, Copy, Debug)]
pub struct Member {
    pub account: AccountId,
    pub staff: StaffId,
}

/// Days from the beginning of the stories.
pub fn days(n: i64) -> chrono::NaiveDate {
    story_begins().date() + chrono::TimeDelta::days(n)
}

impl TestApp {
    /// An account with roles and the stories' password.
    pub fn add_person(&self, email: &str, given: &str, family: &str, roles: &[Role]) -> AccountId {
        let new = NewAccount {
            reference: self.app.random.reference(),
            email: email.into(),
            is_shown: true,
            password_hash: Some(password_hash()),
            given_name: given.into(),
            family_name: family.into(),
            language: Lang::En,
            created_at: story_begins(),
        };
        let roles = roles.to_vec();
        self.app.store.write("add person", move |conn| add_account(conn, &new, &roles)).expect("an account")
    }

    /// A staff member whose papers all hold from a year before to a year after the stories begin.
    pub fn add_member(&self, email: &str, given: &str, family: &str, roles: &[Role]) -> Member {
        let account = self.add_person(email, given, family, roles);
        let staff = self.app.store.write("add member", move |conn| {
            let staff = add_staff(conn, account, "+14065550101", false, story_begins())?;
            for kind in ["riding", "first_aid", "background", "child_protection"] {
                add_certification(conn, staff, kind, days(-365), days(365))?;
            }
            Ok::<_, StoreError>(staff)
        });
        Member { account, staff: staff.expect("a staff member") }
    }

    /// Priya, who plans.
    pub fn add_coordinator(&self) -> Member {
        self.add_member("priya@example.org", "Priya", "Castellanos", &[Role::Coordinator])
    }

    /// Rafael, who leads.
    pub fn add_instructor(&self) -> Member {
        self.add_member("rafael@example.org", "Rafael", "Tso", &[Role::Instructor])
    }

    /// A guardian with an account.
    pub fn add_guardian(&self, email: &str, given: &str, family: &str) -> GuardianId {
        let account = self.add_person(email, given, family, &[Role::Guardian]);
        let new = NewGuardian {
            account_id: Some(account),
            given_name: given.into(),
            family_name: family.into(),
            phone: "+14065550163".into(),
            email: Some(email.into()),
            language: Lang::En,
            created_at: story_begins(),
            texts_agreed_at: None,
        };
        self.app.store.write("add guardian", move |conn| add_guardian(conn, &new)).expect("a guardian")
    }

    /// A person with this role and nothing else, signed in.
    pub fn person(&self, role: Role) -> Browser {
        let email = format!("{role}@example.org");
        self.add_person(&email, "Ana", role.as_str(), &[role]);
        self.signed_in(&email)
    }

    /// Signs in through the front door. The second step counts as done: `second_step.rs` tells the stories about it.
    #[track_caller]
    pub fn signed_in(&self, email: &str) -> Browser {
        let browser = self.after_password(email);
        let done = self.app.store.write("second step", |conn| {
            diesel::update(sign_ins::table)
                .set((sign_ins::awaits_code.eq(false), sign_ins::second_step.eq(true)))
                .execute(conn)?;
            Ok::<_, StoreError>(())
        });
        done.expect("a whole login");
        browser
    }

    /// Signs in with the password alone.
    #[track_caller]
    pub fn after_password(&self, email: &str) -> Browser {
        let browser = self.stranger();
        let reply = browser.submit("/sign-in", "/sign-in", &[("email", email), ("password", PASSWORD)]);
        assert_eq!(reply.status, 303, "{email} is not let in: {}", reply.words());
        browser
    }
}

/// Hashed once for all tests.
fn password_hash() -> String {
    static HASH: OnceLock<String> = OnceLock::new();
    let hash = || Passwords::new(2, Random::seeded(1)).hash(PASSWORD).expect("nobody else hashes");
    HASH.get_or_init(hash).clone()
}

impl Browser {
    /// Sets one rule of the program, as its administrator does.
    pub fn set_program(&self, key: &str, fields: &[(&str, &str)]) -> Answered {
        let path = format!("/program/settings/{key}");
        let page = self.get(&path);
        let revision = page.field("revision").unwrap_or_else(|| panic!("{path}: {}", page.words()));
        let mut all = vec![("revision", revision.as_str())];
        all.extend_from_slice(fields);
        self.post(&path, &all)
    }
}
