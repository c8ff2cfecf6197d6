//! Segments against the published alphabet and limits, and how a text is made plain.

use proptest::prelude::*;

use super::*;

/// 3GPP TS 23.038, section 6.2.1: the table row by row (b4 to b1 = 0 to 15 downward), column by column, as printed; ESC
/// stands at 1/11 and is left out.
const TABLE: [[char; 8]; 16] = [
    ['@', 'Δ', ' ', '0', '¡', 'P', '¿', 'p'],
    ['£', '_', '!', '1', 'A', 'Q', 'a', 'q'],
    ['$', 'Φ', '"', '2', 'B', 'R', 'b', 'r'],
    ['¥', 'Γ', '#', '3', 'C', 'S', 'c', 's'],
    ['è', 'Λ', '¤', '4', 'D', 'T', 'd', 't'],
    ['é', 'Ω', '%', '5', 'E', 'U', 'e', 'u'],
    ['ù', 'Π', '&', '6', 'F', 'V', 'f', 'v'],
    ['ì', 'Ψ', '\'', '7', 'G', 'W', 'g', 'w'],
    ['ò', 'Σ', '(', '8', 'H', 'X', 'h', 'x'],
    ['Ç', 'Θ', ')', '9', 'I', 'Y', 'i', 'y'],
    ['\n', 'Ξ', '*', ':', 'J', 'Z', 'j', 'z'],
    ['Ø', '\u{1b}', '+', ';', 'K', 'Ä', 'k', 'ä'],
    ['ø', 'Æ', ',', '<', 'L', 'Ö', 'l', 'ö'],
    ['\r', 'æ', '-', '=', 'M', 'Ñ', 'm', 'ñ'],
    ['Å', 'ß', '.', '>', 'N', 'Ü', 'n', 'ü'],
    ['å', 'É', '/', '?', 'O', '§', 'o', 'à'],
];

/// Section 6.2.1.1: the extension table.
const BEHIND_ESCAPE: [char; 10] = ['\u{c}', '^', '{', '}', '\\', '[', '~', ']', '|', '€'];

#[test]
fn family_7_the_alphabet_is_the_published_one() {
    let printed: Vec<char> = TABLE.iter().flatten().copied().filter(|letter| *letter != '\u{1b}').collect();
    assert_eq!(printed.len(), 127);
    for letter in &printed {
        assert_eq!(septets(*letter), Some(1), "{letter:?}");
    }
    for letter in BEHIND_ESCAPE {
        assert_eq!(septets(letter), Some(2), "{letter:?}");
    }
    let ours = (char::from(0)..='\u{ffff}').filter(|letter| septets(*letter).is_some()).count();
    assert_eq!(ours, printed.len() + BEHIND_ESCAPE.len(), "no other letter counts as one of them");
    for letter in ['\u{1b}', 'á', 'í', 'ó', 'ú', 'ë', 'ç', '`', '’', '😀'] {
        assert_eq!(septets(letter), None, "{letter:?}");
    }
}

#[test]
fn family_7_segments_are_counted_by_the_published_limits() {
    for (text, expected) in [
        (String::new(), 1),
        ("a".repeat(160), 1),
        ("a".repeat(161), 2),
        ("a".repeat(306), 2),
        ("a".repeat(307), 3),
        ("ñ".repeat(160), 1),
        // Each takes two septets.
        ("€".repeat(80), 1),
        ("€".repeat(81), 2),
        // 153 septets are 76 of them and one left over: an escape stays with its letter.
        ("€".repeat(152), 2),
        ("€".repeat(153), 3),
        // One letter outside the alphabet makes the whole text one of two octets a letter.
        ("á".repeat(70), 1),
        (format!("á{}", "a".repeat(69)), 1),
        (format!("á{}", "a".repeat(70)), 2),
        ("á".repeat(134), 2),
        ("á".repeat(135), 3),
        // Two units each, which stay together: 33 of them and one unit left over in each segment.
        ("😀".repeat(35), 1),
        ("😀".repeat(36), 2),
        ("😀".repeat(66), 2),
        ("😀".repeat(67), 3),
    ] {
        assert_eq!(segments(&text), expected, "{} of {:?}", text.chars().count(), text.chars().next());
    }
}

#[test]
fn family_7_a_plain_text_keeps_what_a_telephone_knows_and_loses_only_marks() {
    for (text, expected) in [
        ("Zoë", "Zoe"),
        ("sábado, miércoles", "sabado, miércoles"),
        ("mañana ¿sí?", "mañana ¿si?"),
        ("Łukasz O’Dell – “Trail”…", "Lukasz O'Dell - \"Trail\"..."),
        ("Nguyễn", "Nguyen"),
        ("8:30\u{202f}a.\u{a0}m.", "8:30 a. m."),
        // Nothing in the alphabet is like these.
        ("Мария 😀", "Мария 😀"),
        // Two characters that are one letter.
        ("Zoe\u{308}", "Zoe"),
    ] {
        assert_eq!(plain(text), expected);
    }
}

#[test]
fn family_7_a_long_name_is_cut_between_words_where_that_leaves_enough() {
    for (name, most, expected) in [
        ("Alder Flat", 24, "Alder Flat"),
        ("Alder Flat Riding Area of the County", 24, "Alder Flat Riding Area"),
        ("Abcdefghijklmnopqrstuvwxyz", 10, "Abcdefghij"),
        ("Ab cdefghijklmnop", 10, "Ab cdefghi"),
        ("Zoë Marisol", 8, "Zoë Mari"),
        ("Zoë-Marisol", 5, "Zoë"),
    ] {
        assert_eq!(beginning(name, most), expected);
    }
}

proptest! {
    /// Making a text plain never makes it longer to send, but for dots that were one sign.
    #[test]
    fn family_7_a_plain_text_takes_no_more_segments(text in "[a-zA-Z áéíóúñëü😀ł’–]{0,400}") {
        prop_assert!(segments(&plain(&text)) <= segments(&text));
    }
}
