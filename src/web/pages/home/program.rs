//! The words of what is due for who runs the program.

use super::part::{Line, Part, group};
use crate::domain::consent::ConsentKind;
use crate::domain::rulebook::Book;
use crate::domain::season_turn::Review;
use crate::domain::words::Lang;
use crate::services::due::{MissingText, ProgramDue};
use crate::web::rule_words;

/// What is due for the program.
pub fn part(due: &ProgramDue) -> Part {
    let stopped = (due.stopped > 0).then(|| {
        let words = if due.stopped == 1 { "1 letter".to_owned() } else { format!("{} letters", due.stopped) };
        Line::new("Outgoing mail", "").state("not-met", "notmet", format!("{words} came back")).say(
            "The office calls those people. Many at once mean that the mail relay needs a look: run the command doctor.",
        )
    });
    let groups = [
        group("program-texts", "Texts without an approval", due.texts.iter().map(text).collect(), ("", "")),
        group("program-drafts", "Drafts that wait", due.drafts.iter().map(draft).collect(), ("", "")),
        group(
            "program-old",
            "Rules and texts to read again",
            due.old.iter().map(old).collect(),
            ("/season/turn", "All"),
        ),
        group("program-mail", "Letters", stopped.into_iter().collect(), ("", "")),
    ];
    let next = "Texts are approved, no draft is open and no letter came back. Look at the settings once a season.";
    let quiet = due.is_empty().then(|| ("Nothing is due today.".to_owned(), next.to_owned()));
    Part { quiet, groups: groups.into_iter().flatten().collect() }
}

fn text(one: &MissingText) -> Line {
    let kind = match one.kind {
        ConsentKind::Ride => "Consent to ride",
        ConsentKind::Photo => "Consent to pictures",
    };
    let language = match one.language {
        Lang::En => "English",
        Lang::Es => "Spanish",
    };
    let words = match one.older_holds {
        true => "Families sign an older version until somebody approves the new one.",
        false => "Families cannot sign it in this language. Enter who approved it, and when.",
    };
    Line::new(format!("{kind}, {language}"), "/consents").state("not-met", "notmet", "not approved").say(words)
}

fn draft(book: &Book) -> Line {
    Line::new(rule_words::name(*book), format!("{}/draft", rule_words::base(*book)))
        .state("practice", "practice", "draft open")
        .say("Publish it, or throw it away.")
}

fn old(review: &Review) -> Line {
    Line::new(rule_words::review_name(*review), "/season/turn#books")
        .state("practice", "practice", "a year old")
        .say("Read it anew: the law or the licensing body may have changed.")
}
