//! A migrated database per test. SQLite: a copy of one prepared file. PostgreSQL: a clone of a template database.

use std::path::PathBuf;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicU32, Ordering};

use diesel::RunQueryDsl;
use waymark::settings::DatabaseUrl;
use waymark::store::Store;
use waymark::store::connection::{Purpose, open};
use waymark::store::migrations::{execute, migrate};

/// A database that goes when the test ends.
pub struct TestDatabase {
    pub url: DatabaseUrl,
    pub text: String,
    drop_it: Box<dyn Fn() + Send + Sync>,
}

/// All that a database keeps, as one text.
#[derive(diesel::QueryableByName)]
struct Words {
    #[diesel(sql_type = diesel::sql_types::Text)]
    words: String,
}

/// The server of the PostgreSQL run: a URL that ends in a database name to connect to first.
#[expect(clippy::disallowed_methods, reason = "the run's engine is chosen outside the program")]
fn server() -> Option<String> {
    std::env::var("TEST_DATABASE_URL").ok().filter(|url| url.starts_with("postgres"))
}

fn unique(prefix: &str) -> String {
    static NEXT: AtomicU32 = AtomicU32::new(0);
    format!("{prefix}_{}_{}", std::process::id(), NEXT.fetch_add(1, Ordering::Relaxed))
}

/// A folder of its own under the system's temporary folder.
pub fn scratch(prefix: &str) -> PathBuf {
    let folder = std::env::temp_dir().join("waymark-tests").join(unique(prefix));
    std::fs::create_dir_all(&folder).expect("a scratch folder");
    folder
}

/// Makes one file of a SQLite database, so that it can be copied.
fn settle(url: &DatabaseUrl) {
    if server().is_none() {
        let mut conn = open(url, Purpose::Write).expect("the template opens");
        execute(&mut conn, "PRAGMA wal_checkpoint(TRUNCATE)").expect("one file to copy");
    }
}

fn on_server(base: &str, sql: &str) {
    let url = DatabaseUrl::parse(base).expect("the server's URL");
    let mut conn = open(&url, Purpose::Write).expect("the test server answers");
    execute(&mut conn, sql).expect("the server does as asked");
}

fn named(base: &str, name: &str) -> String {
    let (head, _) = base.rsplit_once('/').expect("a database name in the URL");
    format!("{head}/{name}")
}

impl TestDatabase {
    /// Empty, not even migrated.
    pub fn bare() -> Self {
        match server() {
            None => Self::lite(&scratch("lite").join("waymark.db"), None),
            Some(base) => Self::pg(&base, ""),
        }
    }

    /// With all tables.
    pub fn migrated() -> Self {
        static TEMPLATE: OnceLock<String> = OnceLock::new();
        let template = TEMPLATE.get_or_init(|| match server() {
            None => {
                let path = scratch("template").join("waymark.db");
                let text = format!("sqlite:{}", path.display());
                let url = DatabaseUrl::parse(&text).expect("a path");
                migrate(&url).expect("migrations run");
                settle(&url);
                path.display().to_string()
            }
            Some(base) => {
                let name = unique("waymark_template");
                on_server(&base, &format!("CREATE DATABASE {name}"));
                migrate(&DatabaseUrl::parse(&named(&base, &name)).expect("a URL")).expect("migrations run");
                name
            }
        });
        Self::copy_of(template)
    }

    /// A copy of a database that stays for the run and that `fill` filled once.
    pub fn filled(template: &'static OnceLock<String>, fill: impl FnOnce(&Self)) -> Self {
        let template = template.get_or_init(|| {
            let database = std::mem::ManuallyDrop::new(Self::migrated());
            fill(&database);
            settle(&database.url);
            let (_, place) =
                database.text.rsplit_once(if server().is_none() { "sqlite:" } else { "/" }).expect("a place");
            place.to_owned()
        });
        Self::copy_of(template)
    }

    fn copy_of(template: &str) -> Self {
        match server() {
            None => Self::lite(&scratch("lite").join("waymark.db"), Some(template)),
            Some(base) => Self::pg(&base, &format!(" TEMPLATE {template}")),
        }
    }

    fn lite(path: &std::path::Path, template: Option<&str>) -> Self {
        if let Some(template) = template {
            std::fs::copy(template, path).expect("the template is copied");
        }
        let text = format!("sqlite:{}", path.display());
        let folder = path.parent().expect("a folder").to_owned();
        Self {
            url: DatabaseUrl::parse(&text).expect("a path"),
            text,
            drop_it: Box::new(move || drop(std::fs::remove_dir_all(&folder))),
        }
    }

    fn pg(base: &str, from: &str) -> Self {
        let name = unique("waymark_test");
        on_server(base, &format!("CREATE DATABASE {name}{from}"));
        let text = named(base, &name);
        let base = base.to_owned();
        Self {
            url: DatabaseUrl::parse(&text).expect("a URL"),
            text,
            drop_it: Box::new(move || on_server(&base, &format!("DROP DATABASE IF EXISTS {name} WITH (FORCE)"))),
        }
    }

    /// Whether a word stands anywhere in what the engine keeps: in the bytes of the file and its log, or in any table.
    pub fn holds(&self, word: &str) -> bool {
        let mut conn = open(&self.url, Purpose::Write).expect("the database opens");
        let Some(path) = self.text.strip_prefix("sqlite:") else {
            let whole = "SELECT database_to_xml(true, false, '')::text AS words";
            let found: Words = diesel::sql_query(whole).get_result(&mut conn).expect("every table as text");
            return found.words.contains(word);
        };
        execute(&mut conn, "PRAGMA wal_checkpoint(TRUNCATE)").expect("one file to read");
        let files = [path.to_owned(), format!("{path}-wal")];
        let bytes = files.iter().filter_map(|file| std::fs::read(file).ok()).collect::<Vec<_>>().concat();
        bytes.windows(word.len()).any(|here| here == word.as_bytes())
    }

    /// Opened as a server opens it.
    pub fn store(&self) -> Store {
        Store::open(&self.url, waymark::store::Tenancy::Serving).expect("the store opens")
    }
}

impl Drop for TestDatabase {
    fn drop(&mut self) {
        (self.drop_it)();
    }
}
