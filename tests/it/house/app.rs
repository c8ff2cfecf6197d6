//! The program as it runs: a real server on a free port, a real database, a clock that stands still.

use std::collections::BTreeMap;
use std::net::TcpListener;
use std::path::PathBuf;
use std::sync::{Arc, OnceLock};
use std::thread::JoinHandle;

use actix_web::dev::ServerHandle;
use chrono::{NaiveDate, NaiveDateTime};
use waymark::outside::cipher::{Cipher, KeyRing};
use waymark::outside::clock::Clock;
use waymark::outside::password::Passwords;
use waymark::outside::random::Random;
use waymark::services::{App, demo, seed};
use waymark::settings::{Overrides, Settings, load_from};
use waymark::web::{self, Signals};

use super::browser::Browser;
use super::database::{TestDatabase, scratch};

/// The moment at which every story begins: Wednesday, 10 June 2026, 15:00 UTC (9:00 AM in Montana).
pub fn story_begins() -> NaiveDateTime {
    NaiveDate::from_ymd_opt(2026, 6, 10).and_then(|day| day.and_hms_opt(15, 0, 0)).expect("a moment")
}

/// The Saturday of the stories: 13 June 2026.
pub fn saturday() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 6, 13).expect("a day")
}

/// A served program that ends with the test.
pub struct TestApp {
    pub app: App,
    pub url: String,
    pub database: TestDatabase,
    handle: ServerHandle,
    thread: Option<JoinHandle<()>>,
}

impl TestApp {
    /// Seeded with the program's data, no people, with limits so wide that no story meets them.
    pub fn start() -> Self {
        Self::with(&[])
    }

    /// With settings of the story's own, named as in the environment.
    pub fn with(changed: &[(&str, &str)]) -> Self {
        Self::built(changed, false, true)
    }

    /// As `demo` serves: role buttons on the sign-in page.
    pub fn demonstration() -> Self {
        Self::built(&[], true, true)
    }

    /// With consent texts that nobody has approved.
    pub fn without_approval() -> Self {
        Self::built(&[], false, false)
    }

    /// The whole demonstration: two seasons of people, sessions, machines and helmets, and a session today.
    pub fn populated() -> Self {
        static TEMPLATE: OnceLock<String> = OnceLock::new();
        static KEYS: OnceLock<Cipher> = OnceLock::new();
        let cipher = KEYS.get_or_init(fresh_cipher).clone();
        let build = |database: &TestDatabase| {
            let app = App { cipher: cipher.clone(), ..app(database, settings(database, &[], true)) };
            drop(demo::build(&app).expect("the demonstration"));
        };
        let database = TestDatabase::filled(&TEMPLATE, build);
        Self::opened(App { cipher: cipher.clone(), ..app(&database, settings(&database, &[], true)) }, database)
    }

    /// On the clock of the machine, for a story in which another process of the program takes part.
    pub fn on_this_day() -> Self {
        let database = TestDatabase::migrated();
        Self::seeded(App { clock: Clock::system(), ..app(&database, settings(&database, &[], false)) }, database, true)
    }

    fn built(changed: &[(&str, &str)], demo: bool, approved: bool) -> Self {
        let database = TestDatabase::migrated();
        Self::seeded(app(&database, settings(&database, changed, demo)), database, approved)
    }

    fn seeded(app: App, database: TestDatabase, approved: bool) -> Self {
        let approval = approved.then(|| ("Counsel of the tests", story_begins().date()));
        seed::program(&app, seed::SHIPPED_PROGRAM, approval).expect("the program's data");
        Self::opened(app, database)
    }

    fn opened(app: App, database: TestDatabase) -> Self {
        waymark::language::refuse_missing_words();
        let listener = TcpListener::bind("127.0.0.1:0").expect("a free port");
        let url = format!("http://{}", listener.local_addr().expect("a bound port"));
        let (handle, thread) = serve(app.clone(), listener);
        Self { app, url, database, handle, thread: Some(thread) }
    }

    /// Somebody who has not signed in.
    pub fn stranger(&self) -> Browser {
        Browser::new(&self.url)
    }

    /// The folder of letters written as files.
    pub fn mail(&self) -> PathBuf {
        self.app.settings.data.join("mail")
    }
}

/// The program on a migrated database without data, not served.
pub fn unserved(database: &TestDatabase) -> App {
    app(database, settings(database, &[], false))
}

fn app(database: &TestDatabase, settings: Settings) -> App {
    let random = Random::system();
    App {
        store: database.store(),
        clock: Clock::fixed(story_begins()),
        passwords: Passwords::new(2, random.clone()),
        cipher: fresh_cipher(),
        random,
        settings: Arc::new(settings),
    }
}

fn fresh_cipher() -> Cipher {
    let random = Random::system();
    Cipher::new(KeyRing::fresh(&random), random)
}

fn settings(database: &TestDatabase, changed: &[(&str, &str)], demo: bool) -> Settings {
    let mut environment: BTreeMap<String, String> = BTreeMap::from([("WAYMARK_SERVER_WORKERS".into(), "1".into())]);
    for class in ["PAGE", "SIGN_IN", "REGISTER", "CERTIFICATE_CHECK", "EXPORT", "FIELD"] {
        for number in ["PER_MINUTE", "BURST"] {
            environment.insert(format!("WAYMARK_RATES_{class}_{number}"), "1000000".into());
        }
    }
    environment.extend(changed.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned())));
    let overrides =
        Overrides { data: Some(scratch("data")), database: Some(database.text.clone()), demo, ..Overrides::default() };
    load_from(&overrides, environment).expect("the settings of the tests are sound")
}

fn serve(app: App, listener: TcpListener) -> (ServerHandle, JoinHandle<()>) {
    let (tell, told) = std::sync::mpsc::channel();
    let thread = std::thread::spawn(move || {
        actix_web::rt::System::new().block_on(async move {
            let server = web::serve(app, listener, Signals::Left).expect("the server starts");
            tell.send(server.handle()).expect("the test waits");
            server.await.expect("the server ends in order");
        });
    });
    (told.recv().expect("a handle"), thread)
}

impl Drop for TestApp {
    fn drop(&mut self) {
        let stop = self.handle.stop(false);
        actix_web::rt::System::new().block_on(stop);
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
        let _ = std::fs::remove_dir_all(&self.app.settings.data);
    }
}
