//! Calendar files, octet by octet. Reading them back with another program is `tests/it/exchange.rs`.

use super::*;
use chrono_tz::America;
use proptest::prelude::*;

fn entry() -> Entry {
    let local = |wall: &str| LocalTime { wall: wall.parse().unwrap(), zone: America::Denver };
    Entry {
        uid: "r-7k3@waymark.example".into(),
        sequence: 2,
        stamp: "2026-05-01T12:00:00".parse().unwrap(),
        start: local("2026-06-06T08:00:00"),
        ends_at: local("2026-06-06T12:00:00").to_utc().unwrap(),
        summary: "A, B; C\\D".into(),
        description: "Bring boots.\r\nGloves too.".into(),
        location: "Mill Lane 4".into(),
        url: "https://waymark.example/registrations/7k3".into(),
        cancelled: false,
    }
}

fn unfolded(file: &str) -> Vec<String> {
    file.replace("\r\n ", "").split_terminator("\r\n").map(str::to_owned).collect()
}

fn has(file: &str, line: &str) -> bool {
    unfolded(file).iter().any(|found| found == line)
}

/// RFC 5545 3.3.11: backslash, semicolon, comma and line breaks are escaped.
#[test]
fn u33_an_entry_has_its_id_sequence_zone_and_escaped_words() {
    let file = file(&[entry()]);
    let lines = [
        "BEGIN:VCALENDAR",
        "VERSION:2.0",
        "UID:r-7k3@waymark.example",
        "SEQUENCE:2",
        "DTSTAMP:20260501T120000Z",
        "DTSTART;TZID=America/Denver:20260606T080000",
        "DTEND;TZID=America/Denver:20260606T120000",
        "SUMMARY:A\\, B\\; C\\\\D",
        "DESCRIPTION:Bring boots.\\nGloves too.",
        "STATUS:CONFIRMED",
        "URL:https://waymark.example/registrations/7k3",
        "END:VCALENDAR",
    ];
    for line in lines {
        assert!(has(&file, line), "{line} in\n{file}");
    }
    assert_eq!(file, self::file(&[entry()]), "the same state gives the same bytes");
}

/// RFC 5545 3.3.11, the backslash first; 3.1, lines of at most 75 octets, ended by CR and LF.
#[test]
fn saturday_6_row_111_a_summary_is_escaped_and_folded() {
    let file = file(&[entry()]);
    assert!(has(&file, "SUMMARY:A\\, B\\; C\\\\D"), "{file}");
    assert!(file.split("\r\n").all(|line| line.len() <= 75 && !line.contains('\n')));
}

/// Changes of 2026 in America/Denver: 15 U.S.C. 260a; 2 a.m. standard and 2 a.m. daylight time.
#[test]
fn r35_the_zone_part_names_both_changes_of_the_year() {
    let file = file(&[entry()]);
    let march = "BEGIN:DAYLIGHT\r\nDTSTART:20260308T020000\r\nTZOFFSETFROM:-0700\r\nTZOFFSETTO:-0600\r\nTZNAME:MDT\r\n";
    let november =
        "BEGIN:STANDARD\r\nDTSTART:20261101T020000\r\nTZOFFSETFROM:-0600\r\nTZOFFSETTO:-0700\r\nTZNAME:MST\r\n";
    assert!(file.contains(march) && file.contains(november), "{file}");
    assert_eq!(file.matches("BEGIN:VTIMEZONE").count(), 1);
    assert_eq!(file.matches("TZID:America/Denver").count(), 1);
}

#[test]
fn u33_a_cancelled_meeting_keeps_its_id_and_says_so() {
    let gone = Entry { cancelled: true, sequence: 3, ..entry() };
    let file = file(&[gone]);
    assert!(has(&file, "STATUS:CANCELLED") && has(&file, "SEQUENCE:3") && has(&file, "UID:r-7k3@waymark.example"));
}

#[test]
fn house_1_two_meetings_in_two_zones_bring_both_zones() {
    let mut other = entry();
    other.uid = "second".into();
    other.start.zone = America::Phoenix;
    let file = file(&[entry(), other]);
    assert_eq!(file.matches("BEGIN:VEVENT").count(), 2);
    assert!(file.contains("TZID:America/Denver\r\n") && file.contains("TZID:America/Phoenix\r\n"));
}

#[test]
fn s37_a_line_break_in_a_name_starts_no_property() {
    for hostile in ["Zoe\r\nATTENDEE:x", "Zoe\nATTENDEE:x", "Zoe\rATTENDEE:x", "Zoe\u{85}ATTENDEE:x"] {
        let all = hostile.to_owned();
        let bad = Entry { summary: all.clone(), uid: all.clone(), location: all.clone(), url: all, ..entry() };
        let file = file(&[bad]);
        assert!(!unfolded(&file).iter().any(|line| line.starts_with("ATTENDEE")), "{file}");
    }
}

proptest! {
    #[test]
    fn house_1_no_line_is_over_75_octets_and_nothing_is_lost(summary in "[ -~\u{e0}-\u{ff}\u{1f400}-\u{1f43f}]{0,400}") {
        let file = file(&[Entry { summary: summary.clone(), ..entry() }]);
        prop_assert!(file.ends_with("\r\n"));
        for line in file.split_terminator("\r\n") {
            prop_assert!(line.len() <= 75, "{} octets", line.len());
            prop_assert!(!line.contains(['\r', '\n']));
        }
        let escaped = summary.replace('\\', "\\\\").replace(',', "\\,").replace(';', "\\;");
        let line = format!("SUMMARY:{escaped}");
        prop_assert!(has(&file, &line));
    }
}
