//! The settings, attacked: defaults, short secrets, open files, slips of the pen.

use std::collections::BTreeMap;
use std::fs;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};

use super::*;

const FIELD: &str = "1 Dx4tPEtaaXiHlqW0w9Lh8A8eLTxLWml4h5altMPS4fA=\n";
const PSEUDONYM: &str = "a0b1c2d3e4f5061728394a5b6c7d8e9fa0b1c2d3e4f5061728394a5b6c7d8e9f\n";

pub(super) struct Folder(PathBuf);

impl Folder {
    pub fn new(name: &str) -> Self {
        let path = std::env::temp_dir().join(format!("waymark-settings-{name}-{}", std::process::id()));
        fs::create_dir_all(&path).unwrap();
        Self(path)
    }

    pub fn write(&self, name: &str, text: &str, mode: u32) -> PathBuf {
        let path = self.0.join(name);
        fs::write(&path, text).unwrap();
        fs::set_permissions(&path, fs::Permissions::from_mode(mode)).unwrap();
        path
    }

    pub fn load(&self, environment: &[(&str, &str)]) -> Result<Settings, Faults> {
        let pairs = environment.iter().map(|(name, value)| ((*name).to_owned(), (*value).to_owned()));
        let overrides = Overrides { data: Some(self.0.clone()), ..Overrides::default() };
        load_from(&overrides, pairs.collect::<BTreeMap<_, _>>())
    }
}

impl Drop for Folder {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

#[test]
fn house_1_an_empty_folder_gives_a_sqlite_file_on_loopback() {
    let folder = Folder::new("empty");
    let settings = folder.load(&[]).unwrap();
    assert_eq!(settings.database.engine(), Engine::Sqlite);
    assert_eq!(settings.database.file().unwrap(), folder.0.join("waymark.sqlite"));
    assert_eq!(settings.server.listen.to_string(), "127.0.0.1:8080");
    assert_eq!(settings.server.public_url, "http://localhost:8080");
    assert!(settings.keys.is_none());
    assert!(matches!(settings.mail.way, MailWay::Files(_)));
}

#[test]
fn house_1_every_fault_is_told_at_once() {
    let folder = Folder::new("faults");
    folder.write(
        "waymark.toml",
        "[server]\nlisten = \"nowhere\"\npublic_url = \"ride.example.org\"\nworkers = 0\nlisen = 1\n[database]\nurl = \"mysql://x\"\n",
        0o644,
    );
    let told = folder.load(&[("WAYMARK_RATES_PAGE_BURST", "many"), ("WAYMARK_COLOUR", "red")]).unwrap_err();
    for part in [
        "server.listen (WAYMARK_SERVER_LISTEN)",
        "server.public_url",
        "server.workers",
        "no setting called server.lisen",
        "database.url (WAYMARK_DATABASE_URL): must start with sqlite:",
        "rates.page_burst",
        "no setting called WAYMARK_COLOUR",
    ] {
        assert!(told.0.iter().any(|line| line.contains(part)), "{part} is missing in\n{told}");
    }
    assert_eq!(told.0.len(), 7, "{told}");
}

#[test]
fn house_1_the_environment_wins_over_the_file_and_the_command_line_over_both() {
    let folder = Folder::new("layers");
    folder.write("waymark.toml", "[server]\nlisten = \"127.0.0.1:1000\"\nworkers = 3\n", 0o644);
    let settings = folder.load(&[("WAYMARK_SERVER_LISTEN", "127.0.0.1:2000")]).unwrap();
    assert_eq!((settings.server.listen.port(), settings.server.workers), (2000, 3));
    let overrides = Overrides {
        data: Some(folder.0.clone()),
        listen: Some("127.0.0.1:3000".parse().unwrap()),
        database: Some("postgres://waymark@db/waymark".into()),
        demo: false,
    };
    let settings = load_from(&overrides, BTreeMap::new()).unwrap();
    assert_eq!(settings.server.listen.port(), 3000);
    assert_eq!(settings.database.engine(), Engine::Postgres);
}

#[test]
fn house_1_a_database_address_is_told_by_its_scheme() {
    for (text, engine, address) in [
        ("sqlite:a/b.db", Engine::Sqlite, "a/b.db"),
        ("sqlite:///srv/b.db", Engine::Sqlite, "/srv/b.db"),
        ("/srv/waymark.sqlite", Engine::Sqlite, "/srv/waymark.sqlite"),
        ("postgres://u:p4ss-word-x@h/d", Engine::Postgres, "postgres://u:p4ss-word-x@h/d"),
        ("postgresql://h/d", Engine::Postgres, "postgresql://h/d"),
    ] {
        let url = DatabaseUrl::parse(text).unwrap();
        assert_eq!((url.engine(), url.address()), (engine, address));
    }
    for text in ["mysql://h/d", "mysql:h", "sqlite:", "http://h"] {
        assert!(DatabaseUrl::parse(text).is_err(), "{text} was taken");
    }
}

#[test]
fn s55_a_default_or_short_key_stops_the_start() {
    let folder = Folder::new("weak-keys");
    folder.write("field.keys", FIELD, 0o600);
    let one_letter = "0".repeat(64);
    let default = format!("changeme-{}", "x1".repeat(20));
    for weak in ["changeme", "secret", "abcd1234", &one_letter, &default, &PSEUDONYM[..31]] {
        folder.write("pseudonym.key", weak, 0o600);
        let told = folder.load(&[]).unwrap_err().to_string();
        assert!(told.contains("pseudonym.key: holds"), "{weak}: {told}");
        assert!(!told.contains(&PSEUDONYM[..31]), "the secret is told: {told}");
    }
    folder.write("pseudonym.key", PSEUDONYM, 0o600);
    assert!(folder.load(&[]).unwrap().keys.is_some());
}

#[test]
fn s55_one_key_file_without_the_other_stops_the_start() {
    let folder = Folder::new("half-keys");
    folder.write("field.keys", FIELD, 0o600);
    let told = folder.load(&[]).unwrap_err().to_string();
    assert!(told.contains("pseudonym.key: cannot be read"), "{told}");
}

#[test]
fn s55_a_secret_file_that_others_may_open_stops_the_start() {
    let folder = Folder::new("open-keys");
    folder.write("pseudonym.key", PSEUDONYM, 0o600);
    for mode in [0o644, 0o640, 0o604, 0o700, 0o666] {
        folder.write("field.keys", FIELD, mode);
        let told = folder.load(&[]).unwrap_err().to_string();
        assert!(told.contains("chmod 600"), "{mode:o}: {told}");
    }
    for mode in [0o600, 0o400] {
        let path = folder.write("field.keys", FIELD, mode);
        assert_eq!(folder.load(&[]).unwrap().keys.unwrap().field.text(), FIELD.trim());
        fs::remove_file(path).unwrap();
    }
}

#[test]
fn s55_a_mail_password_is_refused_when_default_short_or_open() {
    let folder = Folder::new("mail");
    let load = |path: &Path| {
        folder.load(&[
            ("WAYMARK_MAIL_HOST", "relay.example.org"),
            ("WAYMARK_MAIL_USER", "waymark"),
            ("WAYMARK_MAIL_PASSWORD_FILE", path.to_str().unwrap()),
        ])
    };
    for (text, mode) in [("changeme-changeme", 0o600), ("short", 0o600), ("plenty-of-letters-9", 0o644)] {
        assert!(load(&folder.write("mail.secret", text, mode)).is_err(), "{text} {mode:o} was taken");
    }
    let good = load(&folder.write("mail.secret", "plenty-of-letters-9\n", 0o600)).unwrap();
    let MailWay::Smtp(Smtp { login: Some((_, password)), .. }) = &good.mail.way else {
        panic!("no login in {:?}", good.mail)
    };
    assert_eq!(password.text(), "plenty-of-letters-9");
}

#[test]
fn s55_a_default_database_password_is_refused() {
    assert!(DatabaseUrl::parse("postgres://waymark:changeme@db/waymark").is_err());
    assert!(DatabaseUrl::parse("postgres://waymark:PASSWORD@db/waymark").is_err());
}

#[test]
fn s55_debug_never_prints_a_secret() {
    let folder = Folder::new("debug");
    folder.write("field.keys", FIELD, 0o600);
    folder.write("pseudonym.key", PSEUDONYM, 0o600);
    let password = folder.write("mail.secret", "canary-of-letters-9", 0o600);
    let settings = folder
        .load(&[
            ("WAYMARK_DATABASE_URL", "postgres://u:canary-in-url@db/x?password=canary-in-query"),
            ("WAYMARK_MAIL_HOST", "relay.example.org"),
            ("WAYMARK_MAIL_USER", "waymark"),
            ("WAYMARK_MAIL_PASSWORD_FILE", password.to_str().unwrap()),
        ])
        .unwrap();
    let printed = format!("{settings:?}");
    for canary in ["canary", FIELD.trim(), PSEUDONYM.trim()] {
        assert!(!printed.contains(canary), "{canary} in {printed}");
    }
}

#[test]
fn s57_mail_without_tls_goes_only_to_this_machine() {
    let folder = Folder::new("tls");
    let load = |host| folder.load(&[("WAYMARK_MAIL_HOST", host), ("WAYMARK_MAIL_TLS", "false")]);
    assert!(load("relay.example.org").is_err());
    assert!(load("127.0.0.1").is_ok());
}

#[test]
fn s60_a_network_holds_its_addresses_and_no_others() {
    let block: Network = "10.1.0.0/16".parse().unwrap();
    let holds = |text: &str| block.holds(text.parse().unwrap());
    assert!(holds("10.1.255.255") && holds("::ffff:10.1.0.9"));
    assert!(!holds("10.2.0.0") && !holds("::1"));
    let all: Network = "0.0.0.0/0".parse().unwrap();
    assert!(all.holds("203.0.113.9".parse().unwrap()));
    assert!("10.0.0.0/33".parse::<Network>().is_err());
}
