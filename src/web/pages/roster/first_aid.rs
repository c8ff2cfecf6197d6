//! The emergency page of one child: what the family answered, whom to call, where everybody is and how help gets there, in the
//! language of whoever gives help. What the family typed stands as it was typed.

use askama::Template;

use super::{Ask, Said};
use crate::domain::health_note::{Condition, HealthNote, Known};
use crate::domain::words::{Lang, Word};
use crate::language::{self, Value};
use crate::services::field_act::ActIds;
use crate::services::roster::health::{self, Contact, ContactKind, Emergency};
use crate::web::answer::{Answer, shown};
use crate::web::context;
use crate::web::form::WordsIn;
use crate::web::page::Page;

#[derive(Template)]
#[template(path = "roster/health.html")]
struct Show {
    page: Page,
    view: Emergency,
    ids: ActIds,
    lang: Lang,
}

impl Show {
    fn code(&self) -> &'static str {
        self.lang.as_str()
    }
    fn say(&self, key: &str) -> String {
        language::say(self.lang, key, &[])
    }
    fn with(&self, key: &str, name: &str, value: &str) -> String {
        language::say(self.lang, key, &[(name, Value::from(value.to_owned()))])
    }
    fn heading(&self) -> String {
        self.with("emergency-title", "name", &self.view.line.name)
    }
    fn back(&self) -> String {
        format!("/riders/{}", self.view.line.reference)
    }
    fn known(&self, known: &Known) -> String {
        self.say(match known {
            Known::Yes => "emergency-yes",
            Known::No => "emergency-no",
            Known::Unknown => "emergency-unknown",
        })
    }
    /// The conditions that the family chose, in one line; what it answered when it chose none.
    fn conditions(&self, note: &HealthNote) -> String {
        if note.conditions.is_empty() {
            return self.known(&note.any);
        }
        note.conditions.iter().map(|one| self.say(condition(*one))).collect::<Vec<_>>().join(", ")
    }
    fn kinds(&self, contact: &Contact) -> String {
        contact.kinds.iter().map(|kind| self.say(kind_key(*kind))).collect::<Vec<_>>().join(", ")
    }
    fn said(&self, words: &str) -> String {
        if words.is_empty() { self.say("emergency-not-written") } else { words.to_owned() }
    }
    /// The language that the family wrote in.
    fn wrote(&self) -> &'static str {
        self.view.language.as_str()
    }
    /// Said when the family writes another language than the reader reads.
    fn written_in(&self) -> Option<String> {
        let key = match self.view.language {
            Lang::En => "emergency-written-en",
            Lang::Es => "emergency-written-es",
        };
        (self.view.language != self.lang).then(|| self.say(key))
    }
}

fn condition(condition: Condition) -> &'static str {
    match condition {
        Condition::Asthma => "emergency-asthma",
        Condition::Allergy => "emergency-allergy",
        Condition::Seizures => "emergency-seizures",
        Condition::Diabetes => "emergency-diabetes",
        Condition::Heart => "emergency-heart",
        Condition::Healing => "emergency-healing",
    }
}

fn kind_key(kind: ContactKind) -> &'static str {
    match kind {
        ContactKind::Guardian => "emergency-guardian",
        ContactKind::OnTheDay => "emergency-on-the-day",
        ContactKind::Emergency => "emergency-contact",
        ContactKind::PickUp => "emergency-pick-up",
    }
}

pub(super) async fn draw(ask: &Ask, rider: String, wanted: WordsIn) -> Answer {
    // The reader's own when nobody says.
    let lang = wanted.lang(context::frame(&ask.request).lang);
    let view = ask.read(move |app, caller, session| health::show(app, caller, session, &rider)).await?;
    let title = language::say(lang, "emergency-title", &[("name", Value::from(view.line.name.clone()))]);
    let page = ask.page(title, &view.head, &Said::default());
    shown(&Show { page, view, ids: ActIds::of(&ask.app), lang })
}
