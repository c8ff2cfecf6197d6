//! The settings: one TOML file and the environment, read once at the start into typed values.
//!
//! Every fault is told at once, one line each, in words. A secret never lives in the TOML file:
//! the file names a secret's own file, and that file must be closed to other people.
//! This is the only place that reads the environment. It must not know any other part of Waymark.

mod database;
mod network;
mod reader;
mod secrets;
#[cfg(test)]
mod tests;
mod texts;

use std::collections::BTreeMap;
use std::fmt;
use std::net::SocketAddr;
use std::path::{Path, PathBuf};

pub use database::{DatabaseUrl, Engine};
pub use network::Network;
use reader::Reader;
pub use secrets::{KeyFiles, Keys, Secret, closed_text};
pub use texts::{Body, BodyKind, TextGateway};

/// Every setting of one running Waymark. `Debug` prints no secret.
#[derive(Debug, Clone)]
pub struct Settings {
    /// The folder that holds the SQLite file, the keys and the mail written as files.
    pub data: PathBuf,
    /// True while the invented demonstration runs.
    pub demo: bool,
    /// How Waymark listens and what it lets in.
    pub server: Server,
    /// Where the rows live.
    pub database: DatabaseUrl,
    /// How letters leave.
    pub mail: Mail,
    /// How text messages leave; without a gateway there are none.
    pub texts: Option<TextGateway>,
    /// Where the key files lie; they exist when `keys` is filled.
    pub key_files: KeyFiles,
    /// The keys, or nothing when no key file exists yet.
    pub keys: Option<Keys>,
    /// How often one address or one account may ask.
    pub rates: Rates,
    /// How the log is written.
    pub log: Log,
}

/// How Waymark listens and what it lets in.
#[derive(Debug, Clone)]
pub struct Server {
    /// The address and port to listen on.
    pub listen: SocketAddr,
    /// The address people type, without a slash at the end: `https://ride.example.org`.
    pub public_url: String,
    /// Machines whose word about the caller's address is believed.
    pub trusted_proxies: Vec<Network>,
    /// Threads that answer requests.
    pub workers: usize,
    /// The longest form, in bytes.
    pub form_bytes: usize,
    /// The longest uploaded file, in bytes.
    pub upload_bytes: usize,
    /// Seconds within which the head of a request must have arrived.
    pub head_seconds: u64,
    /// Seconds that running requests get when Waymark is told to stop.
    pub stop_seconds: u64,
}

impl Server {
    /// Whether people reach Waymark over TLS, by the public address.
    #[must_use]
    pub fn is_https(&self) -> bool {
        self.public_url.starts_with("https://")
    }

    /// Host and port of the public address, as a browser sends them.
    #[must_use]
    pub fn public_host(&self) -> &str {
        self.public_url.split_once("://").map_or(self.public_url.as_str(), |(_, host)| host)
    }
}

/// How letters leave, and in whose name.
#[derive(Debug, Clone)]
pub struct Mail {
    /// The address in the `From` line.
    pub from: String,
    /// The way out.
    pub way: MailWay,
}

/// The way letters go out.
#[derive(Debug, Clone)]
pub enum MailWay {
    /// Each letter becomes an `.eml` file in this folder.
    Files(PathBuf),
    /// Letters go to a relay.
    Smtp(Smtp),
}

/// A mail relay.
#[derive(Debug, Clone)]
pub struct Smtp {
    /// Name of the relay; its certificate must carry it.
    pub host: String,
    /// Port of the relay.
    pub port: u16,
    /// Whether the connection must be TLS. Without it only a relay on this machine is accepted.
    pub tls: bool,
    /// Name and password, when the relay asks for them.
    pub login: Option<(String, Secret)>,
}

/// Requests allowed to one address and to one account, by kind of page.
#[derive(Debug, Clone, Copy)]
pub struct Rates {
    /// Ordinary pages.
    pub page: Rate,
    /// Signing in, resetting a password.
    pub sign_in: Rate,
    /// Making an account or a registration.
    pub register: Rate,
    /// Checking a certificate by its code.
    pub certificate_check: Rate,
    /// Files and tables to take away.
    pub export: Rate,
    /// Phones sending acts from the field.
    pub field: Rate,
}

/// A steady rate, and how many may come at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Rate {
    /// Requests a minute, at least 1.
    pub per_minute: u32,
    /// Requests at once, at least 1.
    pub burst: u32,
}

/// How the log is written.
#[derive(Debug, Clone)]
pub struct Log {
    /// True: one JSON object a line. False: lines for a person's eyes.
    pub json: bool,
    /// Which parts speak and how loud, as in `info,waymark=debug`.
    pub filter: String,
}

/// What the command line says before the file and the environment are asked.
#[derive(Debug, Clone, Default)]
pub struct Overrides {
    /// `--data`
    pub data: Option<PathBuf>,
    /// `--listen`
    pub listen: Option<SocketAddr>,
    /// `--database`
    pub database: Option<String>,
    /// True for the `demo` command, whose defaults differ.
    pub demo: bool,
}

/// Everything wrong with the settings, one line each.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Faults(pub Vec<String>);

impl fmt::Display for Faults {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        out.write_str(&self.0.join("\n"))
    }
}

impl std::error::Error for Faults {}

/// Reads the settings from the file, the environment and the command line.
///
/// # Errors
/// All faults found, one line each.
#[expect(clippy::disallowed_methods, reason = "the one place that reads the environment")]
pub fn load(overrides: &Overrides) -> Result<Settings, Faults> {
    let environment = std::env::vars_os()
        .filter_map(|(name, value)| Some((name.into_string().ok()?, value.into_string().ok()?)))
        .filter(|(name, _)| name.starts_with("WAYMARK_"))
        .collect();
    load_from(overrides, environment)
}

/// The same, from an environment that is handed in.
///
/// # Errors
/// All faults found, one line each.
pub fn load_from(overrides: &Overrides, environment: BTreeMap<String, String>) -> Result<Settings, Faults> {
    let data = overrides
        .data
        .clone()
        .or_else(|| environment.get("WAYMARK_DATA").map(PathBuf::from))
        .unwrap_or_else(|| PathBuf::from(if overrides.demo { "data/demo" } else { "data" }));
    let mut reader = Reader::open(&data, environment)?;
    let settings = read(&mut reader, data, overrides);
    reader.finish()?;
    Ok(settings)
}

fn read(reader: &mut Reader, data: PathBuf, overrides: &Overrides) -> Settings {
    let mut file = |name: &str, usual: &str| {
        let path = reader.path(&format!("secrets.{name}_file"));
        path.unwrap_or_else(|| data.join(usual))
    };
    let key_files =
        KeyFiles { field: file("field_keys", "field.keys"), pseudonym: file("pseudonym_key", "pseudonym.key") };
    let keys = reader.keep(Keys::read(&key_files)).flatten();
    Settings {
        demo: overrides.demo,
        server: server(reader, overrides),
        database: database(reader, &data, overrides),
        mail: mail(reader, &data),
        texts: texts::read(reader),
        key_files,
        keys,
        rates: rates(reader),
        log: Log {
            json: reader.flag("log.json", !overrides.demo),
            filter: reader.text("log.filter").unwrap_or_else(|| "info".into()),
        },
        data,
    }
}

fn server(reader: &mut Reader, overrides: &Overrides) -> Server {
    let written = reader.parsed::<SocketAddr>("server.listen", "an address and port such as 127.0.0.1:8080");
    let listen = overrides.listen.or(written).unwrap_or_else(|| SocketAddr::from(([127, 0, 0, 1], 8080)));
    let given = reader.text("server.public_url").unwrap_or_else(|| format!("http://localhost:{}", listen.port()));
    let public_url = given.trim_end_matches('/').to_owned();
    if let Some(fault) = network::public_url_fault(&public_url) {
        reader.fault("server.public_url", fault);
    }
    let cores = std::thread::available_parallelism().map_or(2, usize::from);
    Server {
        listen,
        public_url,
        trusted_proxies: reader.list("server.trusted_proxies", "addresses such as 10.0.0.1 or 10.0.0.0/8"),
        workers: reader.number("server.workers", cores, 1..=256),
        form_bytes: reader.number("server.form_bytes", 64 * 1024, 4 * 1024..=4 * 1024 * 1024),
        upload_bytes: reader.number("server.upload_bytes", 10 * 1024 * 1024, 64 * 1024..=64 * 1024 * 1024),
        head_seconds: reader.number("server.head_seconds", 10, 1..=120),
        stop_seconds: reader.number("server.stop_seconds", 20, 1..=300),
    }
}

fn database(reader: &mut Reader, data: &Path, overrides: &Overrides) -> DatabaseUrl {
    let from_file = reader.secret_file("database.url_file", 1);
    let written = reader.text("database.url");
    let default = || data.join("waymark.sqlite").to_string_lossy().into_owned();
    let url = overrides
        .database
        .clone()
        .or(from_file.map(|secret| secret.text().to_owned()))
        .or(written)
        .unwrap_or_else(default);
    match DatabaseUrl::parse(&url) {
        Ok(parsed) => parsed,
        Err(fault) => {
            reader.fault("database.url", fault);
            DatabaseUrl::sqlite(default())
        }
    }
}

fn mail(reader: &mut Reader, data: &Path) -> Mail {
    let from = reader.text("mail.from").unwrap_or_else(|| "Waymark <waymark@localhost>".into());
    let folder = reader.path("mail.folder").unwrap_or_else(|| data.join("mail"));
    let host = reader.text("mail.host");
    let port = reader.number("mail.port", 587, 1..=65535);
    let tls = reader.flag("mail.tls", true);
    let user = reader.text("mail.user");
    let password = reader.secret_file("mail.password_file", 12);
    let login = match (user, password) {
        (Some(user), Some(password)) => Some((user, password)),
        (None, None) => None,
        _ => {
            reader.fault("mail.user", "needs mail.password_file beside it, and the other way round");
            None
        }
    };
    let way = match host {
        Some(host) => {
            if !tls && !network::is_this_machine(&host) {
                reader.fault("mail.tls", "may be false only for a relay on this machine");
            }
            MailWay::Smtp(Smtp { host, port, tls, login })
        }
        None => MailWay::Files(folder),
    };
    Mail { from, way }
}

fn rates(reader: &mut Reader) -> Rates {
    let mut rate = |name: &str, per_minute, burst| Rate {
        per_minute: reader.number(&format!("rates.{name}_per_minute"), per_minute, 1..=1_000_000),
        burst: reader.number(&format!("rates.{name}_burst"), burst, 1..=1_000_000),
    };
    Rates {
        page: rate("page", 600, 200),
        sign_in: rate("sign_in", 20, 50),
        register: rate("register", 20, 40),
        certificate_check: rate("certificate_check", 30, 30),
        export: rate("export", 20, 20),
        field: rate("field", 240, 240),
    }
}
