//! The floors of the house: who may import whom, how long a file may be, and what stands in one place only.
//! Each fault is told with file, line and rule.

use std::fmt;
use std::path::{Path, PathBuf};

/// One breach of a rule.
#[derive(Debug, PartialEq, Eq)]
struct Fault {
    file: String,
    line: usize,
    rule: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:{}: {}", self.file, self.line, self.rule)
    }
}

/// What each part of the house may name of the others. Downward only; the ground (settings, language, telemetry) is
/// for all but the domain.
const MAY_NAME: &[(&str, &[&str])] = &[
    ("domain", &["domain"]),
    ("settings", &["settings"]),
    ("language", &["language", "domain"]),
    ("telemetry", &["telemetry", "settings"]),
    ("store", &["store", "domain", "settings"]),
    ("outside", &["outside", "domain", "settings", "language"]),
    ("services", &["services", "store", "outside", "domain", "settings", "language"]),
    ("jobs", &["jobs", "services", "store", "outside", "domain", "settings", "language"]),
    ("web", &["web", "services", "domain", "settings", "language", "telemetry"]),
    ("cli", &["cli", "web", "jobs", "services", "store", "outside", "domain", "settings", "language", "telemetry"]),
];

/// Text that may stand only in the named files (prefixes of the path below `src/`).
const ONLY_IN: &[(&str, &[&str], &str)] = &[
    ("diesel::", &["store/"], "diesel is named only in store/"),
    ("sql_query", &["store/"], "queries are written only in store/"),
    (
        "AnyConn::Pg",
        &["store/dialect.rs", "store/connection.rs"],
        "the engines are told apart only in dialect.rs and connection.rs",
    ),
    (
        "AnyConn::Lite",
        &["store/dialect.rs", "store/connection.rs"],
        "the engines are told apart only in dialect.rs and connection.rs",
    ),
    (
        "match conn {",
        &["store/dialect.rs", "store/connection.rs"],
        "`match conn` stands only in dialect.rs and connection.rs",
    ),
    ("actix_web::", &["web/", "cli/"], "actix is named only in web/ (and where cli starts it)"),
    ("askama::", &["web/", "jobs/letters/"], "templates are named only in web/ and jobs/letters/"),
    ("std::env::", &["settings", "cli/"], "the environment is read only in settings.rs"),
    ("Utc::now", &["outside/clock.rs"], "now is asked only in outside/clock.rs"),
    ("Local::now", &["outside/clock.rs"], "now is asked only in outside/clock.rs"),
    ("web::resource(", &["web/routes.rs"], "routes are registered only in web/routes.rs"),
    (".unwrap()", &[], "no unwrap outside tests: expect(\"why\"), or an error"),
    ("todo!(", &[], "nothing unfinished is committed"),
    ("unimplemented!(", &[], "nothing unfinished is committed"),
];

/// Files over the limit, with the reason.
const LONG: &[(&str, &str)] = &[("store/schema.rs", "one table after another, written to match the migrations")];
const MOST_LINES: usize = 400;

const NAMES_THAT_HIDE: &[&str] = &["util", "utils", "helper", "helpers", "common", "manager", "misc"];

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

fn files_below(folder: &Path, ending: &str) -> Vec<PathBuf> {
    let mut found = Vec::new();
    for entry in std::fs::read_dir(folder).expect("a folder of the house") {
        let path = entry.expect("an entry").path();
        if path.is_dir() {
            found.extend(files_below(&path, ending));
        } else if path.to_string_lossy().ends_with(ending) {
            found.push(path);
        }
    }
    found.sort();
    found
}

/// The lines of a file that count: comments are read by people, and tests may do what the house may not.
fn lines_that_count(text: &str) -> Vec<(usize, &str)> {
    let body = text.find("#[cfg(test)]\nmod tests {").map_or(text, |at| &text[..at]);
    (1..).zip(body.lines()).filter(|(_, line)| !line.trim_start().starts_with("//")).collect()
}

/// Parts of the house that a line names as `crate::part`, one level of braces read.
fn parts_named(line: &str) -> Vec<String> {
    let mut parts = Vec::new();
    for (at, _) in line.match_indices("crate::") {
        if line[..at].ends_with('$') {
            continue;
        }
        let rest = &line[at + "crate::".len()..];
        let list = rest.strip_prefix('{').map_or(rest, |inner| inner.split('}').next().unwrap_or(inner));
        let heads = if rest.starts_with('{') { list.split(',').collect() } else { vec![list] };
        for head in heads {
            let name: String = head.trim().chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
            parts.push(name);
        }
    }
    parts
}

fn check_source(file: &str, text: &str) -> Vec<Fault> {
    let fault = |line: usize, rule: String| Fault { file: file.to_owned(), line, rule };
    let mut faults = Vec::new();
    let is_test_file = file.ends_with("/tests.rs") || file.contains("/tests/");
    let part = file.split(['/', '.']).next().unwrap_or_default();
    let stem = file.rsplit('/').next().unwrap_or_default().trim_end_matches(".rs");
    if !text.starts_with("//!") {
        faults.push(fault(1, "a file opens with `//!`: what it is for and what it must not do".into()));
    }
    if NAMES_THAT_HIDE.contains(&stem) {
        faults.push(fault(1, format!("`{stem}` names nothing: a file carries the noun it is about")));
    }
    let count = text.lines().count();
    if count > MOST_LINES && !LONG.iter().any(|(name, _)| *name == file) {
        faults.push(fault(count, format!("{count} lines; split at {MOST_LINES}")));
    }
    if is_test_file {
        return faults;
    }
    for (number, line) in lines_that_count(text) {
        if let Some((_, allowed)) = MAY_NAME.iter().find(|(name, _)| *name == part) {
            for named in parts_named(line).iter().filter(|named| MAY_NAME.iter().any(|(name, _)| name == *named)) {
                if !allowed.contains(&named.as_str()) {
                    faults.push(fault(number, format!("{part} may not name {named}")));
                }
            }
        }
        if let Some(page) = file.strip_prefix("web/pages/").filter(|page| *page != "mod.rs") {
            let own = page.split(['/', '.']).next().unwrap_or_default();
            let other = line.split("pages::").nth(1).and_then(|rest| rest.split([':', ';']).next());
            if other.is_some_and(|other| other != own) {
                faults.push(fault(number, "pages do not import each other".into()));
            }
        }
        for (text, places, rule) in ONLY_IN {
            if line.contains(text) && !places.iter().any(|place| file.starts_with(place)) {
                faults.push(fault(number, (*rule).into()));
            }
        }
    }
    faults
}

fn check_template(file: &str, text: &str) -> Vec<Fault> {
    let mut faults = Vec::new();
    for (number, line) in (1..).zip(text.lines()) {
        for (bad, rule) in [
            ("|safe", "nothing goes into a page unescaped"),
            ("| safe", "nothing goes into a page unescaped"),
            (" style=\"", "no inline style: the content policy forbids it"),
            ("<style", "no inline style: the content policy forbids it"),
            (" onclick=", "no inline script: the content policy forbids it"),
            ("javascript:", "no inline script: the content policy forbids it"),
        ] {
            if line.contains(bad) {
                faults.push(Fault { file: file.to_owned(), line: number, rule: rule.into() });
            }
        }
        if line.contains("<script") && !line.contains(" src=") {
            let rule = "no inline script: the content policy forbids it".into();
            faults.push(Fault { file: file.to_owned(), line: number, rule });
        }
    }
    faults
}

fn shown(faults: &[Fault]) -> String {
    faults.iter().map(|fault| format!("\n  {fault}")).collect()
}

#[test]
fn house_1_every_file_keeps_the_import_rule_its_length_and_its_places() {
    let source = root().join("src");
    let mut faults = Vec::new();
    for path in files_below(&source, ".rs") {
        let file = path.strip_prefix(&source).expect("below src").to_string_lossy().replace('\\', "/");
        faults.extend(check_source(&file, &std::fs::read_to_string(&path).expect("a source file")));
    }
    assert!(faults.is_empty(), "{} breaches:{}", faults.len(), shown(&faults));
}

#[test]
fn house_1_no_template_carries_inline_code_or_unescaped_text() {
    let templates = root().join("templates");
    let mut faults = Vec::new();
    for path in files_below(&templates, ".html") {
        let file = path.strip_prefix(&templates).expect("below templates").to_string_lossy().replace('\\', "/");
        faults.extend(check_template(&file, &std::fs::read_to_string(&path).expect("a template")));
    }
    assert!(faults.is_empty(), "{} breaches:{}", faults.len(), shown(&faults));
}

#[test]
fn house_1_the_root_holds_what_a_newcomer_can_read_aloud() {
    let listed = std::process::Command::new("git").arg("-C").arg(root()).args(["ls-files"]).output();
    let listed = String::from_utf8(listed.expect("git answers").stdout).expect("names");
    let mut names: Vec<_> = listed.lines().map(|path| path.split('/').next().unwrap_or_default()).collect();
    names.retain(|name| !name.starts_with('.'));
    names.sort_unstable();
    names.dedup();
    let expected = [
        "Cargo.lock",
        "Cargo.toml",
        "DEVELOPERS.md",
        "LICENSE",
        "README.md",
        "deploy",
        "migrations",
        "seed",
        "src",
        "templates",
        "tests",
    ];
    assert_eq!(names, expected);
}

#[test]
fn house_1_the_checker_finds_planted_breaches_with_file_line_and_rule() {
    let told = |file: &str, text: &str| {
        check_source(file, text).iter().map(ToString::to_string).collect::<Vec<_>>().join("; ")
    };
    for (file, text, expected) in [
        ("domain/a.rs", "//! x\nuse crate::store::Store;\n", "domain/a.rs:2: domain may not name store"),
        ("web/form.rs", "//! x\nlet s = crate::store::open();\n", "web/form.rs:2: web may not name store"),
        ("services/a.rs", "//! x\nuse crate::{domain, web};\n", "services/a.rs:2: services may not name web"),
        ("store/a.rs", "//! x\nuse crate::outside::clock;\n", "store/a.rs:2: store may not name outside"),
        (
            "web/pages/a.rs",
            "//! x\nuse super::super::pages::b::B;\n",
            "web/pages/a.rs:2: pages do not import each other",
        ),
        ("services/b.rs", "//! x\nuse diesel::prelude::*;\n", "services/b.rs:2: diesel is named only in store/"),
        (
            "store/b.rs",
            "//! x\nmatch conn {\n",
            "store/b.rs:2: `match conn` stands only in dialect.rs and connection.rs",
        ),
        ("outside/b.rs", "//! x\nlet now = Utc::now();\n", "outside/b.rs:2: now is asked only in outside/clock.rs"),
        (
            "jobs/b.rs",
            "//! x\nlet a = b.unwrap();\n",
            "jobs/b.rs:2: no unwrap outside tests: expect(\"why\"), or an error",
        ),
        ("cli/util.rs", "//! x\n", "cli/util.rs:1: `util` names nothing: a file carries the noun it is about"),
    ] {
        assert_eq!(told(file, text), expected);
    }
    assert_eq!(
        told("domain/c.rs", &format!("//! x\n{}", "\n".repeat(400))),
        "domain/c.rs:401: 401 lines; split at 400"
    );
    assert_eq!(told("domain/d.rs", "//! x\n// use crate::store;\n"), "");
    assert_eq!(check_template("a.html", "<p style=\"x\">\n<script>\n{{ x|safe }}").len(), 3);
}

/// Names of the tests in a file: the word after `fn` behind each `#[test]`.
fn tests_in(text: &str) -> Vec<&str> {
    let after = text.split("#[test]").skip(1).filter_map(|rest| rest.split("fn ").nth(1));
    after.filter_map(|rest| rest.split('(').next()).map(str::trim).collect()
}

fn says_what_it_proves(name: &str) -> bool {
    let bytes = name.as_bytes();
    let is_bar = bytes.len() > 4
        && matches!(bytes[0], b's' | b'r' | b'u')
        && bytes[1..3].iter().all(u8::is_ascii_digit)
        && bytes[3] == b'_';
    let is_part = |work: &str, parts: u32| (1..=parts).any(|part| name.starts_with(&format!("{work}_{part}_")));
    is_bar || is_part("house", 4) || is_part("saturday", 10) || is_part("family", 11) || is_part("day", 11)
}

#[test]
fn house_1_every_test_says_in_its_name_what_it_proves() {
    assert!(says_what_it_proves("s44_x") && says_what_it_proves("house_3_x") && !says_what_it_proves("it_works"));
    let mut nameless = Vec::new();
    for folder in ["src", "tests/it"] {
        for path in files_below(&root().join(folder), ".rs") {
            let text = std::fs::read_to_string(&path).expect("a source file");
            // This file itself speaks of the mark in a text.
            if path.ends_with("architecture.rs") {
                continue;
            }
            let odd = tests_in(&text).into_iter().filter(|name| !says_what_it_proves(name));
            nameless.extend(odd.map(|name| format!("{}: {name}", path.display())));
        }
    }
    assert!(nameless.is_empty(), "{nameless:#?}");
}
