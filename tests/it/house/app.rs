//! The whole program on a port of its own: real server, real database, a clock that tests set.

use std::collections::BTreeMap;
use std::net::TcpListener;
use std::sync::{Arc, OnceLock, mpsc};
use std::thread::JoinHandle;

use actix_web::dev::ServerHandle;
use actix_web::rt::System;
use chrono::{NaiveDate, NaiveDateTime};
use waymark::domain::access::Role;
use waymark::domain::words::Lang;
use waymark::outside::cipher::{Cipher, KeyRing};
use waymark::outside::clock::Clock;
use waymark::outside::password::Passwords;
use waymark::outside::random::Random;
use waymark::services::{App, Failure, sign_in};
use waymark::settings::{Overrides, Settings, load_from};
use waymark::store::accounts::{NewAccount, add_account};
use waymark::web::{self, Signals};

use super::browser::Browser;
use super::database::{TestDatabase, scratch};

/// The password of everybody in the tests.
pub const PASSWORD: &str = "seven brown mares graze";

/// A running program. It stops when the test ends.
pub struct TestApp {
    pub app: App,
    pub url: String,
    handle: ServerHandle,
    serving: Option<JoinHandle<()>>,
    _database: TestDatabase,
}

/// Noon in the first June of the tests, UTC.
pub fn noon() -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 6, 1).and_then(|day| day.and_hms_opt(12, 0, 0)).expect("a day of June")
}

impl TestApp {
    /// With limits so wide that no story meets them.
    pub fn start() -> Self {
        Self::with(&[])
    }

    /// With settings of the story's own, named as in the environment.
    pub fn with(changed: &[(&str, &str)]) -> Self {
        let database = TestDatabase::migrated();
        let app = app(&database, settings(&database, changed));
        let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
        let url = format!("http://{}", listener.local_addr().expect("a bound port"));
        let (tell, told) = mpsc::channel();
        let served = app.clone();
        let serving = std::thread::spawn(move || {
            System::new().block_on(async move {
                let server = web::serve(served, listener, Signals::Left).expect("the server starts");
                tell.send(server.handle()).expect("the test waits");
                server.await.expect("the server ends well");
            });
        });
        let handle = told.recv().expect("the server starts");
        Self { app, url, handle, serving: Some(serving), _database: database }
    }

    /// Somebody who has not signed in.
    pub fn stranger(&self) -> Browser {
        Browser::new(&self.url)
    }

    /// A person with this role, signed in.
    pub fn person(&self, role: Role) -> Browser {
        let email = format!("{role}@example.org");
        let new = NewAccount {
            reference: self.app.random.reference(),
            email: email.clone(),
            password_hash: Some(password_hash()),
            given_name: "Ana".into(),
            family_name: role.to_string(),
            language: Lang::En,
            created_at: self.app.clock.now(),
        };
        let add = move |conn: &mut _| add_account(conn, &new, &[role]).map_err(Failure::from);
        self.app.store.write("add account", add).expect("the account is new");
        let token = sign_in::open(&self.app, &email, PASSWORD, "test", "test").expect("the password is right");
        Browser::new(&self.url).with_cookie(&format!("waymark={}", token.as_str()))
    }
}

impl Drop for TestApp {
    fn drop(&mut self) {
        System::new().block_on(self.handle.stop(false));
        if let Some(serving) = self.serving.take() {
            let _ = serving.join();
        }
    }
}

/// Hashed once for all tests.
fn password_hash() -> String {
    static HASH: OnceLock<String> = OnceLock::new();
    let hash = || Passwords::new(2, Random::seeded(1)).hash(PASSWORD).expect("nobody else hashes");
    HASH.get_or_init(hash).clone()
}

fn settings(database: &TestDatabase, changed: &[(&str, &str)]) -> Settings {
    let mut environment: BTreeMap<String, String> = BTreeMap::from([("WAYMARK_SERVER_WORKERS".into(), "1".into())]);
    for class in ["PAGE", "SIGN_IN", "REGISTER", "CERTIFICATE_CHECK", "EXPORT", "FIELD"] {
        for number in ["PER_MINUTE", "BURST"] {
            environment.insert(format!("WAYMARK_RATES_{class}_{number}"), "1000000".into());
        }
    }
    environment.extend(changed.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())));
    let overrides =
        Overrides { data: Some(scratch("data")), database: Some(database.text.clone()), ..Overrides::default() };
    load_from(&overrides, environment).expect("the settings of the tests are sound")
}

fn app(database: &TestDatabase, settings: Settings) -> App {
    let random = Random::system();
    App {
        store: database.store(),
        clock: Clock::fixed(noon()),
        passwords: Passwords::new(2, random.clone()),
        cipher: Cipher::new(KeyRing::fresh(&random), random.clone()),
        random,
        settings: Arc::new(settings),
    }
}
