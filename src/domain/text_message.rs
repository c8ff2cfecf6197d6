//! Text messages: what they are about, how they stand, and how many segments one takes. Must not know who gets them, or how
//! they leave.

use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use super::words::word_list;

word_list! {
    /// What a text message tells.
    TextKind {
        /// A session is called off.
        CalledOff = "called_off",
        /// A session has another day, time or site.
        Moved = "moved",
        /// A seat came free.
        Offered = "offered",
        /// The session is near.
        Reminder = "reminder",
    }
}

word_list! {
    /// Where a text message stands.
    TextState {
        /// It waits to go out.
        Due = "due",
        /// The gateway took it.
        Sent = "sent",
        /// It did not go out, and is not tried again.
        Stopped = "stopped",
        /// The gateway may have it and did not say so; it is not sent again by itself.
        Unsure = "unsure",
        /// Nobody is owed it any more.
        Moot = "moot",
    }
}

/// The default alphabet: 3GPP TS 23.038, section 6.2.1, without the escape.
const BASIC: &str = "@£$¥èéùìòÇ\nØø\rÅåΔ_ΦΓΛΩΠΨΣΘΞÆæßÉ !\"#¤%&'()*+,-./0123456789:;<=>?¡ABCDEFGHIJKLMNOPQRSTUVWXYZÄÖÑÜ§¿\
                     abcdefghijklmnopqrstuvwxyzäöñüà";
/// Its extension, each behind an escape: the same document, section 6.2.1.1.
const EXTENDED: &str = "\u{c}^{}\\[~]|€";

/// What one segment holds, and each of several: 140 octets, of which six are the header that joins them (3GPP TS 23.040,
/// section 9.2.3.24.1), in septets.
const SEPTETS: (usize, usize) = (160, 153);
/// The same in units of two octets (UCS-2).
const UNITS: (usize, usize) = (70, 67);

/// The most segments that a text of ours is meant to take.
pub const MOST: usize = 2;

/// How many septets a letter takes in the default alphabet; none when it is not in it.
fn septets(letter: char) -> Option<usize> {
    if BASIC.contains(letter) {
        Some(1)
    } else if EXTENDED.contains(letter) {
        Some(2)
    } else {
        None
    }
}

/// How many segments a text takes. An escape stays with its letter, and both halves of a letter beyond 16 bits together.
#[must_use]
pub fn segments(text: &str) -> usize {
    let in_septets: Option<Vec<usize>> = text.chars().map(septets).collect();
    match in_septets {
        Some(sizes) => filled(&sizes, SEPTETS),
        None => filled(&text.chars().map(char::len_utf16).collect::<Vec<_>>(), UNITS),
    }
}

fn filled(sizes: &[usize], (alone, each): (usize, usize)) -> usize {
    if sizes.iter().sum::<usize>() <= alone {
        return 1;
    }
    let (mut count, mut used) = (1, 0);
    for size in sizes {
        if used + size > each {
            count += 1;
            used = 0;
        }
        used += size;
    }
    count
}

/// A text with every letter of the default alphabet that can be one: "Zoë" becomes "Zoe", "sábado" becomes "sabado", "ñ"
/// stays. Letters without such a likeness stay too.
#[must_use]
pub fn plain(text: &str) -> String {
    let mut written = String::with_capacity(text.len());
    for letter in text.nfc() {
        if septets(letter).is_some() {
            written.push(letter);
            continue;
        }
        match letter {
            '\u{2018}' | '\u{2019}' | '\u{02bc}' => written.push('\''),
            '\u{201c}' | '\u{201d}' => written.push('"'),
            '\u{2010}'..='\u{2015}' => written.push('-'),
            '\u{2026}' => written.push_str("..."),
            '\u{a0}' | '\u{202f}' | '\u{2009}' => written.push(' '),
            'ł' => written.push('l'),
            'Ł' => written.push('L'),
            'đ' => written.push('d'),
            'Đ' => written.push('D'),
            other => {
                let bare: String = other.nfd().filter(|part| !is_combining_mark(*part)).collect();
                let is_like = bare.chars().all(|part| septets(part).is_some());
                if is_like { written.push_str(&bare) } else { written.push(other) }
            }
        }
    }
    written
}

/// The beginning of a name, of at most so many letters; whole words where that leaves at least half of them.
#[must_use]
pub fn beginning(name: &str, most: usize) -> String {
    if name.chars().count() <= most {
        return name.to_owned();
    }
    let cut: String = name.chars().take(most).collect();
    let whole = cut.rfind([' ', '-']).filter(|at| cut[..*at].chars().count() * 2 >= most);
    whole.map_or(cut.as_str(), |at| &cut[..at]).trim_end().to_owned()
}

#[cfg(test)]
mod tests;
