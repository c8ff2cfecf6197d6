//! The words of a text message: one or two segments, in the reader's language, with first names only, no medical word and no
//! address but the session's public page.

use chrono::{Datelike, NaiveDate};

use crate::domain::text_message::{MOST, TextKind, beginning, plain, segments};
use crate::language;
use crate::services::texts::Told;

/// The most letters of names, from what is said in full to what must do. The last is for what no phone needs in full.
const CUTS: [Cut; 3] = [
    Cut { program: 60, name: 40, site: 60 },
    Cut { program: 30, name: 20, site: 24 },
    Cut { program: 16, name: 12, site: 16 },
];

#[derive(Clone, Copy)]
struct Cut {
    program: usize,
    name: usize,
    site: usize,
}

/// The text. Where it would take more than two segments it loses marks on letters first, and then the ends of long names.
pub(super) fn compose(told: &Told) -> String {
    let mut written = String::new();
    for cut in CUTS {
        written = said(told, cut);
        if segments(&written) <= MOST {
            return written;
        }
        let bare = plain(&written);
        if segments(&bare) <= MOST {
            return bare;
        }
        written = bare;
    }
    written
}

fn said(told: &Told, cut: Cut) -> String {
    let lang = told.language;
    let key = match (told.kind, told.has_letters) {
        (TextKind::CalledOff, _) => "text-called-off",
        (TextKind::Moved, _) => "text-moved",
        (TextKind::Offered, true) => "text-offered",
        (TextKind::Offered, false) => "text-offered-call",
        (TextKind::Reminder, _) => "text-reminder",
    };
    let until = told.until.map(|at| format!("{}, {}", day(told, at.date()), language::time(lang, at.time())));
    language::say(
        lang,
        key,
        &[
            ("program", beginning(&told.program, cut.program).into()),
            ("name", names(told, cut.name).into()),
            ("day", day(told, told.day).into()),
            ("time", language::time(lang, told.time).into()),
            ("site", beginning(&told.site, cut.site).into()),
            ("phone", told.office_phone.clone().into()),
            ("until", until.unwrap_or_default().into()),
            ("href", told.href.clone().into()),
        ],
    )
}

/// "Ana and Zoë"; of more than fit, the first and how many more.
fn names(told: &Told, most: usize) -> String {
    let all = language::list(told.language, &told.children);
    let Some((first, others)) = told.children.split_first() else { return String::new() };
    if all.chars().count() <= most || others.is_empty() {
        return beginning(&all, most);
    }
    let count = others.len().to_string();
    let name = beginning(first, most);
    language::say(told.language, "text-more", &[("name", name.into()), ("count", count.into())])
}

/// "Sat, June 13".
fn day(told: &Told, on: NaiveDate) -> String {
    let lang = told.language;
    language::say(
        lang,
        "text-day",
        &[
            ("weekday", language::weekday_short(lang, on).into()),
            ("month", language::month_short(lang, on.month()).into()),
            ("day", on.day().to_string().into()),
        ],
    )
}

#[cfg(test)]
mod tests;
