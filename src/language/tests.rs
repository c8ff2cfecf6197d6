//! Both languages say the same things; dates read as people write them.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use chrono::{NaiveDate, NaiveTime};

use super::*;

const LOCALES_FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/templates/locales");

/// Each message of one file with the variables it uses. A message starts at the line's edge.
fn messages(file: &Path) -> BTreeMap<String, BTreeSet<String>> {
    let text = std::fs::read_to_string(file).expect("a locale file is readable");
    let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    let mut current = String::new();
    for line in text.lines().filter(|line| !line.starts_with('#')) {
        if line.starts_with(|first: char| first.is_ascii_lowercase() || first == '-') {
            current = line.split('=').next().expect("split gives one part").trim().to_owned();
            assert!(
                found.insert(current.clone(), BTreeSet::new()).is_none(),
                "{}: `{current}` stands twice",
                file.display()
            );
        }
        for part in line.split('$').skip(1) {
            let name: String = part.chars().take_while(|c| c.is_alphanumeric() || matches!(c, '_' | '-')).collect();
            found.get_mut(&current).expect("a variable stands inside a message").insert(name);
        }
    }
    found
}

fn files_of(lang: Lang) -> BTreeMap<String, PathBuf> {
    std::fs::read_dir(Path::new(LOCALES_FOLDER).join(lang.as_str()))
        .expect("the folder of a language exists")
        .map(|entry| entry.expect("an entry is readable").path())
        .map(|path| (path.file_name().expect("a file has a name").to_string_lossy().into_owned(), path))
        .collect()
}

#[test]
fn u27_english_and_spanish_have_the_same_messages_with_the_same_variables() {
    let (english, spanish) = (files_of(Lang::En), files_of(Lang::Es));
    assert_eq!(english.keys().collect::<Vec<_>>(), spanish.keys().collect::<Vec<_>>(), "the same files");
    for (name, path) in &english {
        assert_eq!(messages(path), messages(&spanish[name]), "{name}");
    }
}

#[test]
fn u27_no_message_name_is_used_in_two_files_and_every_message_is_loaded() {
    for lang in [Lang::En, Lang::Es] {
        let mut owner: BTreeMap<String, String> = BTreeMap::new();
        for (name, path) in files_of(lang) {
            for (key, variables) in messages(&path) {
                let values: Vec<_> = variables.iter().map(|variable| (variable.as_str(), Value::from(7))).collect();
                assert!(!say(lang, &key, &values).is_empty(), "{name}: `{key}` says nothing");
                let before = owner.insert(key.clone(), name.clone());
                assert_eq!(before, None, "`{key}` also stands in {name}");
            }
        }
    }
}

#[test]
#[should_panic(expected = "no message `no-such-words` in es")]
fn u27_a_missing_message_fails_the_test_that_asks_for_it() {
    say(Lang::Es, "no-such-words", &[]);
}

#[test]
fn u27_dates_and_times_read_as_people_write_them() {
    let date = NaiveDate::from_ymd_opt(2026, 6, 13).expect("a real day");
    assert_eq!(date_long(Lang::En, date), "Saturday, June 13, 2026");
    assert_eq!(date_long(Lang::Es, date), "sábado, 13 de junio de 2026");
    assert_eq!(date_short(Lang::En, date), "June 13, 2026");
    assert_eq!(date_short(Lang::Es, date), "13 de junio de 2026");
    assert_eq!(date_in_year(Lang::En, date), "Saturday, June 13");
    assert_eq!(weekday_short(Lang::En, date), "Sat");
    let at = |hour, minute| NaiveTime::from_hms_opt(hour, minute, 0).expect("a real time");
    assert_eq!(time(Lang::En, at(8, 30)), "8:30 AM");
    assert_eq!(time(Lang::En, at(0, 5)), "12:05 AM");
    assert_eq!(time(Lang::En, at(12, 0)), "12:00 PM");
    assert_eq!(time(Lang::Es, at(13, 0)), "1:00\u{a0}p.\u{a0}m.");
    assert_eq!(time_range(Lang::En, at(8, 30), at(13, 0)), "8:30 AM to 1:00 PM");
    assert_eq!(moment(Lang::En, date.and_time(at(16, 12))), "June 13, 2026, 4:12 PM");
    assert_eq!(month_name(Lang::Es, 9), "septiembre");
    assert_eq!(month_name(Lang::En, 13), "");
}

#[test]
fn u27_plurals_follow_the_number() {
    let count = |lang, number: usize| say(lang, "form-errors", &[("count", number.into())]);
    assert_eq!(count(Lang::En, 1), "One answer needs another look");
    assert_eq!(count(Lang::En, 2), "Two answers need another look");
    assert_eq!(count(Lang::En, 12), "12 answers need another look");
    assert_eq!(count(Lang::Es, 1), "Revise una respuesta");
}

#[test]
fn u27_names_in_one_line_read_as_people_write_them() {
    let list = |lang, names: &[&str]| super::list(lang, &names.iter().map(ToString::to_string).collect::<Vec<_>>());
    assert_eq!(list(Lang::En, &[]), "");
    assert_eq!(list(Lang::En, &["Ana"]), "Ana");
    assert_eq!(list(Lang::En, &["Ana", "Ben", "Zoë"]), "Ana, Ben and Zoë");
    assert_eq!(list(Lang::Es, &["Ana", "Ben", "Zoë"]), "Ana, Ben y Zoë");
    assert_eq!(list(Lang::Es, &["Ana", "Inés"]), "Ana e Inés");
    assert_eq!(list(Lang::Es, &["Ana", "Hilario"]), "Ana e Hilario");
    assert_eq!(list(Lang::Es, &["Ana", "Hiedra"]), "Ana y Hiedra");
}
