//! Letters, byte by byte. Reading them back with another program is `tests/it/outbox.rs` and `exchange.rs`.

use super::*;

pub(in crate::outside) fn letter() -> Letter {
    Letter {
        message_id: "0123@waymark.example".into(),
        date: "2026-05-01T12:00:00".parse().unwrap(),
        to: Party { name: Some("Ana N\u{fa}\u{f1}ez".into()), address: "ana@example.org".into() },
        from: Party { name: Some("Cedar Basin, Riders".into()), address: "office@example.org".into() },
        reply_to: None,
        subject: "Zo\u{eb} has a place".into(),
        text: "Zo\u{eb} has a place.\n".into(),
        html: "<p>Zo\u{eb} has a place.</p>".into(),
        enclosures: vec![],
        unsubscribe: None,
    }
}

fn headers(letter: &Letter) -> String {
    let all = String::from_utf8(letter.to_bytes().unwrap()).unwrap();
    all.split_once("\r\n\r\n").unwrap().0.replace("\r\n ", " ")
}

fn names(headers: &str) -> Vec<&str> {
    headers.split("\r\n").map(|line| line.split_once(':').unwrap().0).collect()
}

#[test]
fn r09_the_same_letter_gives_the_same_bytes_and_the_same_id() {
    let mut letter = letter();
    letter.enclosures.push(Enclosure { name: "day.ics".into(), media: "text/calendar".into(), bytes: b"x".into() });
    assert_eq!(letter.to_bytes().unwrap(), letter.to_bytes().unwrap());
    let headers = headers(&letter);
    assert!(headers.contains("Message-ID: <0123@waymark.example>"), "{headers}");
    assert!(headers.contains("Date: Fri, 01 May 2026 12:00:00 +0000"), "{headers}");
}

#[test]
fn s38_a_line_break_in_any_field_adds_no_header() {
    let plain = names(&headers(&letter())).len();
    for attack in ["x\r\nBcc: all@example.org", "x\nBcc: all@example.org", "x\r\n\r\n<b>", "x\0\u{b}y"] {
        let mut hostile = letter();
        hostile.subject = attack.into();
        hostile.to.name = Some(attack.into());
        hostile.from.name = Some(attack.into());
        let headers = headers(&hostile);
        assert_eq!(names(&headers).len(), plain, "{headers}");
        assert!(!names(&headers).contains(&"Bcc"), "{headers}");
    }
    let mut hostile = letter();
    hostile.to.address = "ana@example.org\r\nBcc: all@example.org".into();
    assert!(matches!(hostile.to_bytes(), Err(BadLetter::Address(_))));
}

#[test]
fn s38_a_line_break_in_the_name_of_a_file_adds_no_header() {
    let mut hostile = letter();
    hostile.enclosures.push(Enclosure {
        name: "a\r\nX-Bad: 1\r\n\r\nbody\".pdf".into(),
        media: "application/pdf".into(),
        bytes: b"%PDF".into(),
    });
    let all = String::from_utf8(hostile.to_bytes().unwrap()).unwrap();
    assert!(!all.contains("\r\nX-Bad"), "{all}");
    hostile.enclosures[0].media = "no media".into();
    assert!(matches!(hostile.to_bytes(), Err(BadLetter::Media(_))));
}

/// Header fields and their values: RFC 8058 section 3.1.
#[test]
fn u32_only_a_letter_that_can_be_stopped_carries_the_one_click_fields() {
    assert!(!headers(&letter()).contains("List-Unsubscribe"));
    let news = Letter { unsubscribe: Some("https://waymark.example/stop/abc".into()), ..letter() };
    let headers = headers(&news);
    assert!(headers.contains("List-Unsubscribe: <https://waymark.example/stop/abc>"), "{headers}");
    assert!(headers.contains("List-Unsubscribe-Post: List-Unsubscribe=One-Click"), "{headers}");
}

#[test]
fn u31_a_letter_is_plain_text_and_html_and_names_itself_automatic() {
    let all = String::from_utf8(letter().to_bytes().unwrap()).unwrap();
    assert!(all.contains("multipart/alternative") && all.contains("text/plain") && all.contains("text/html"));
    assert!(all.contains("Auto-Submitted: auto-generated"));
    assert!(!all.contains("multipart/mixed"));
}

#[test]
fn house_1_a_message_id_is_one_word() {
    let id = message_id(Uuid::nil(), "waymark.example");
    assert_eq!(id, "00000000000000000000000000000000@waymark.example");
}
