//! Files for other programs, read back by programs that are not ours: a calendar library and a table reader of Python.

use std::process::{Command, Stdio};

use waymark::domain::time::LocalTime;
use waymark::outside::calendar::{self, Entry};
use waymark::outside::mail::{Enclosure, Letter, Party};
use waymark::outside::table::{Form, Table};

use crate::house::python;

/// Runs a Python text with `input` on its standard input and gives back the JSON it prints.
pub fn read_by(program: &str, input: &[u8]) -> serde_json::Value {
    use std::io::Write;
    let mut child = Command::new(python::interpreter())
        .args(["-c", program])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("the test interpreter of Python; tests/run makes it");
    child.stdin.take().expect("a pipe").write_all(input).expect("the reader takes its input");
    let done = child.wait_with_output().expect("the reader ends");
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
    serde_json::from_slice(&done.stdout).expect("the reader prints JSON")
}

fn entry(start: &str, end: &str, zone: chrono_tz::Tz) -> Entry {
    let local = |wall: &str| LocalTime { wall: wall.parse().expect("a time"), zone };
    Entry {
        uid: format!("{start}@waymark.example"),
        sequence: 1,
        stamp: "2026-01-05T17:00:00".parse().expect("a time"),
        start: local(start),
        ends_at: local(end).to_utc().expect("a time that exists"),
        summary: "A, B; C\\D: Nguy\u{1ec5}n & \u{141}ukasz".into(),
        description: "Long boots, long sleeves, gloves.\nA helmet is lent; \"wear it\" all day. ".repeat(4),
        location: "Mill Lane 4, Cedar Basin".into(),
        url: "https://waymark.example/registrations/7k3".into(),
        cancelled: false,
    }
}

pub const CALENDAR_READER: &str = r"
import sys, json, datetime, icalendar
cal = icalendar.Calendar.from_ical(sys.stdin.buffer.read())
zones = {str(z['TZID']): z.to_tz(lookup_tzid=False) for z in cal.walk('VTIMEZONE')}
def utc(prop):
    at = prop.dt.replace(tzinfo=zones[prop.params['TZID']]) if 'TZID' in prop.params else prop.dt
    return at.astimezone(datetime.timezone.utc).strftime('%Y-%m-%dT%H:%M:%S')
print(json.dumps([{'uid': str(e['UID']), 'seq': int(e['SEQUENCE']), 'start': utc(e['DTSTART']), 'end': utc(e['DTEND']),
    'summary': str(e['SUMMARY']), 'description': str(e['DESCRIPTION']), 'status': str(e['STATUS']),
    'stamp': e['DTSTAMP'].dt.strftime('%Y-%m-%dT%H:%M:%S%z'), 'faults': e.errors} for e in cal.walk('VEVENT')]))
";

/// Independent reader: PyPI icalendar, which takes the hours from the VTIMEZONE that we wrote.
#[test]
fn house_4_a_calendar_file_means_the_same_hours_to_a_second_library() {
    use chrono_tz::America::{Denver, New_York, Phoenix};
    let entries = [
        entry("2026-06-06T08:00:00", "2026-06-06T12:00:00", Denver),
        entry("2026-03-08T00:30:00", "2026-03-08T04:30:00", Denver),
        entry("2026-11-01T00:30:00", "2026-11-01T04:30:00", Denver),
        entry("2026-07-04T09:00:00", "2026-07-04T10:00:00", Phoenix),
        entry("2027-01-09T09:00:00", "2027-01-09T10:00:00", New_York),
    ];
    let read = read_by(CALENDAR_READER, calendar::file(&entries).as_bytes());
    assert_eq!(read.as_array().map(Vec::len), Some(entries.len()));
    for (wrote, read) in entries.iter().zip(read.as_array().expect("a list")) {
        let utc = |at: LocalTime| at.to_utc().expect("a time that exists").format("%Y-%m-%dT%H:%M:%S").to_string();
        assert_eq!(read["start"], utc(wrote.start), "{}", wrote.uid);
        assert_eq!(read["end"], wrote.ends_at.format("%Y-%m-%dT%H:%M:%S").to_string(), "{}", wrote.uid);
        assert_eq!(read["summary"], wrote.summary.as_str());
        assert_eq!(read["description"], wrote.description.as_str());
        assert_eq!(read["uid"], wrote.uid.as_str());
        assert_eq!(read["stamp"], "2026-01-05T17:00:00+0000");
        assert_eq!(read["faults"], serde_json::json!([]));
    }
}

#[test]
fn house_4_a_cancelled_meeting_is_read_as_cancelled_under_the_same_id() {
    let gone = Entry {
        cancelled: true,
        sequence: 2,
        ..entry("2026-06-06T08:00:00", "2026-06-06T12:00:00", chrono_tz::America::Denver)
    };
    let read = read_by(CALENDAR_READER, calendar::file(std::slice::from_ref(&gone)).as_bytes());
    assert_eq!(read[0]["status"], "CANCELLED");
    assert_eq!(read[0]["seq"], 2);
    assert_eq!(read[0]["uid"], gone.uid.as_str());
}

pub const TABLE_READER: &str = r"
import sys, csv, io, json
text = io.TextIOWrapper(sys.stdin.buffer, encoding='utf-8-sig', newline='')
print(json.dumps(list(csv.reader(text, strict=True))))
";

/// Independent reader: Python's csv module in strict mode.
#[test]
fn house_4_a_table_is_read_back_cell_by_cell() {
    let rows = [
        ["county", "FIPS", "note"],
        ["Do\u{f1}a Ana", "35013", "say \"hi\", ok"],
        ["Autauga", "01001", "two\r\nlines"],
        ["", "00000", " kept spaces "],
    ];
    for form in [Form::default(), Form { defused: false, marked: false }] {
        let mut table = Table::new(form, &rows[0]);
        rows[1..].iter().for_each(|row| table.add(row));
        assert_eq!(read_by(TABLE_READER, &table.into_bytes()), serde_json::json!(rows));
    }
}

/// The list of dangerous first characters is OWASP's.
#[test]
fn s39_a_formula_reaches_another_program_as_text() {
    let hostile = ["=1+1", "+1", "-1", "@SUM(A1)", "\t=1", "\r=1"];
    let mut table = Table::new(Form::default(), &["cell"]);
    hostile.iter().for_each(|cell| table.add(&[cell]));
    let read = read_by(TABLE_READER, &table.into_bytes());
    for (row, cell) in read.as_array().expect("rows")[1..].iter().zip(hostile) {
        assert_eq!(row[0], format!("'{cell}"));
    }
}

const LETTER_READER: &str = r"
import sys, json, email, email.policy
m = email.message_from_binary_file(sys.stdin.buffer, policy=email.policy.default)
body = lambda kind: m.get_body((kind,)).get_content().replace('\r\n', '\n')
print(json.dumps({'subject': m['Subject'], 'to': m['To'].addresses[0].display_name, 'from': m['From'].addresses[0].addr_spec,
    'id': m['Message-ID'], 'names': [n.lower() for n in m.keys()], 'plain': body('plain'), 'html': body('html'),
    'files': [[a.get_filename(), a.get_content_type(), len(a.get_payload(decode=True)),
        a.get_payload(decode=True).hex()] for a in m.iter_attachments()],
    'defects': [str(d) for part in m.walk() for d in part.defects]}))
";

/// Independent reader: Python's email package.
#[test]
fn house_4_a_letter_is_read_back_with_its_words_and_files() {
    let file = calendar::file(&[entry("2026-06-06T08:00:00", "2026-06-06T12:00:00", chrono_tz::America::Denver)]);
    let letter = Letter {
        message_id: "9f@waymark.example".into(),
        date: "2026-05-01T12:00:00".parse().expect("a time"),
        to: Party {
            name: Some("Mar\u{ed}a, Nu\u{f1}ez \u{1f3cd}\r\nBcc: x@example.org".into()),
            address: "m@example.org".into(),
        },
        from: Party { name: Some("Cedar Basin".into()), address: "office@example.org".into() },
        reply_to: None,
        subject: "Zo\u{eb} y Jos\u{e9} tienen lugar ".repeat(5) + "\r\nBcc: y@example.org",
        text: "Hola:\n.\nZo\u{eb} tiene lugar.\n".into(),
        html: format!("<p>{}</p>\n", "Zo\u{eb} tiene lugar. ".repeat(90)),
        enclosures: vec![Enclosure {
            name: "d\u{ed}a.ics".into(),
            media: calendar::MEDIA.into(),
            bytes: file.clone().into_bytes(),
        }],
        unsubscribe: None,
    };
    let read = read_by(LETTER_READER, &letter.to_bytes().expect("a letter"));
    assert_eq!(read["defects"], serde_json::json!([]));
    assert_eq!(read["id"], "<9f@waymark.example>");
    assert!(
        read["subject"].as_str().is_some_and(|subject| subject.starts_with("Zo\u{eb} y Jos\u{e9} tienen lugar Zo"))
    );
    assert!(read["to"].as_str().is_some_and(|name| name.starts_with("Mar\u{ed}a, Nu\u{f1}ez \u{1f3cd}")));
    assert!(!read["names"].as_array().expect("names").contains(&"bcc".into()), "{read}");
    assert_eq!(read["plain"], letter.text.as_str());
    assert_eq!(read["html"], letter.html.as_str());
    let bytes: String = file.bytes().map(|byte| format!("{byte:02x}")).collect();
    assert_eq!(read["files"], serde_json::json!([["d\u{ed}a.ics", "text/calendar", file.len(), bytes]]));
}
