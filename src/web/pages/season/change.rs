//! The pages that move a session and call it off, and the list of those who were told.

use std::collections::BTreeMap;

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDateTime;
use serde::Deserialize;

use super::sittings::{self, Row};
use crate::domain::access::Caller;
use crate::domain::refusal::Refusal;
use crate::domain::session::Limit;
use crate::domain::session_change::{ChangeKind, ChangeReason};
use crate::domain::text_message::TextState;
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::change_session::{self, Destination, Pressed, Sheet, Why};
use crate::services::told::{self, LetterState, ToldList};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

/// The most characters of the office's own words.
const WORDS: usize = 500;

/// What both forms send; the rows of meetings come as fields of their own.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct ChangeForm {
    key: String,
    seen: String,
    reason: String,
    words: String,
    words_language: String,
    site: String,
    #[serde(flatten)]
    rest: BTreeMap<String, String>,
}

#[derive(Template)]
#[template(path = "season/change.html")]
struct ChangePage {
    page: Page,
    errors: FieldErrors,
    form: ChangeForm,
    sheet: Sheet,
    kind: ChangeKind,
    rows: Vec<Row>,
    sites: Vec<Choice>,
    reasons: Vec<Choice>,
    languages: Vec<Choice>,
}

impl ChangePage {
    fn reference(&self) -> &str {
        &self.sheet.view.session.reference
    }

    fn moves(&self) -> bool {
        self.kind == ChangeKind::Moved
    }

    /// "Move and tell 3 families".
    fn button(&self) -> String {
        let act = if self.moves() { "Move" } else { "Call off" };
        match self.sheet.reach.families {
            0 => format!("{act} this session"),
            1 => format!("{act} and tell 1 family"),
            many => format!("{act} and tell {many} families"),
        }
    }

    fn counted(&self, count: &usize, one: &str, many: &str) -> String {
        format!("{count} {}", if *count == 1 { one } else { many })
    }
}

fn change_page(
    request: &HttpRequest,
    sheet: Sheet,
    kind: ChangeKind,
    form: ChangeForm,
    errors: FieldErrors,
) -> ChangePage {
    let title = match kind {
        ChangeKind::Moved => "Move a session",
        ChangeKind::Cancelled => "Call a session off",
    };
    let reason = |reason: &ChangeReason| {
        let key = format!("change-reason-{}", reason.as_str().replace('_', "-"));
        let say = |lang| language::say(lang, &key, &[]);
        Choice::new(reason, say(Lang::En)).with_hint(say(Lang::Es))
    };
    let typed = (1..=sheet.meetings.len()).map(|ordinal| Row::of(ordinal, &form.rest)).collect::<Vec<_>>();
    let rows = if typed.iter().all(Row::is_empty) { sittings::rows_of(&sheet.meetings) } else { typed };
    let form = ChangeForm {
        key: sheet.pressed.key.clone(),
        seen: sheet.pressed.seen.to_string(),
        site: if form.site.is_empty() { sheet.view.site.reference.clone() } else { form.site },
        words_language: if form.words_language.is_empty() { Lang::En.to_string() } else { form.words_language },
        ..form
    };
    ChangePage {
        page: staff_page(request, title).with_errors(errors.len()),
        sites: sheet
            .sites
            .iter()
            .map(|(site, county)| Choice::new(&site.reference, format!("{}, {county}", site.name)))
            .collect(),
        reasons: ChangeReason::ALL.iter().map(reason).collect(),
        languages: vec![Choice::new(Lang::En, "English"), Choice::new(Lang::Es, "Spanish")],
        errors,
        form,
        sheet,
        kind,
        rows,
    }
}

/// The form that moves a session.
pub async fn moving(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let sheet = blocking(&app, move |app| change_session::show(app, &caller, &reference)).await?;
    shown(&change_page(&request, sheet, ChangeKind::Moved, ChangeForm::default(), FieldErrors::default()))
}

/// The form that calls a session off.
pub async fn cancelling(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let sheet = blocking(&app, move |app| change_session::show(app, &caller, &reference)).await?;
    shown(&change_page(&request, sheet, ChangeKind::Cancelled, ChangeForm::default(), FieldErrors::default()))
}

/// Moves a session.
pub async fn move_to(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<ChangeForm>,
) -> Answer {
    let ask = Ask { request, app, caller, reference: reference.into_inner() };
    ask.answer(ChangeKind::Moved, form).await
}

/// Calls a session off.
pub async fn cancel(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<ChangeForm>,
) -> Answer {
    let ask = Ask { request, app, caller, reference: reference.into_inner() };
    ask.answer(ChangeKind::Cancelled, form).await
}

/// One press, with everything its answer needs.
struct Ask {
    request: HttpRequest,
    app: web::Data<App>,
    caller: Caller,
    reference: String,
}

impl Ask {
    async fn answer(self, kind: ChangeKind, form: ChangeForm) -> Answer {
        let (asking, reference) = (self.caller.clone(), self.reference.clone());
        let sheet = blocking(&self.app, move |app| change_session::show(app, &asking, &reference)).await?;
        let done = match form.read(kind, sheet.meetings.len()) {
            Err(faults) => Err((actix_web::http::StatusCode::UNPROCESSABLE_ENTITY, faults)),
            Ok((to, why, pressed)) => {
                let (caller, reference) = (self.caller.clone(), self.reference.clone());
                let done = blocking(&self.app, move |app| match to {
                    Some(to) => change_session::move_to(app, &caller, &reference, to, why, &pressed),
                    None => change_session::cancel(app, &caller, &reference, why, &pressed),
                });
                match done.await {
                    Ok(()) => Ok(()),
                    Err(Failure::Refused(refusal)) => Err((refusal_words::status(&refusal), told_at(&refusal))),
                    Err(other) => return Err(other.into()),
                }
            }
        };
        match done {
            Ok(()) => Ok(go(&format!("/season/{}/told", self.reference))),
            Err((status, errors)) => shown_as(status, &change_page(&self.request, sheet, kind, form, errors)),
        }
    }
}

/// A rule's no as a sentence at the field that can change it.
fn told_at(refusal: &Refusal) -> FieldErrors {
    let field = match refusal {
        Refusal::NoSuchTime { .. } => "starts",
        Refusal::SiteTaken { .. } | Refusal::SiteNotReady { .. } => "site",
        Refusal::SeatsTaken { limit: Limit::Site, .. } | Refusal::NoSeats { limit: Limit::Site } => "site",
        Refusal::SessionNotOpen | Refusal::SessionHasBegun | Refusal::SessionChanged | Refusal::KeyReused => "reason",
        _ => "held",
    };
    let mut errors = FieldErrors::default();
    errors.add(field, refusal_words::words(Lang::En, refusal));
    errors
}

impl ChangeForm {
    fn read(&self, kind: ChangeKind, meetings: usize) -> Result<(Option<Destination>, Why, Pressed), FieldErrors> {
        let mut reading = Reading::default();
        let to = match kind {
            ChangeKind::Cancelled => None,
            ChangeKind::Moved => {
                let site = reading.chosen("site", "the site", &self.site);
                let rows: Vec<Row> = (1..=meetings).map(|ordinal| Row::of(ordinal, &self.rest)).collect();
                Some(Destination { site, meetings: sittings::read(&mut reading, &rows) })
            }
        };
        let reason = reading.choice("reason", "the reason", &self.reason, ChangeReason::Other);
        let words = reading.lines("words", "the office's words", &self.words, WORDS);
        if reason == ChangeReason::Other && !self.reason.is_empty() && words.is_empty() {
            reading.fault("words", "Say the reason in your own words");
        }
        let language = reading.choice("words_language", "the language of these words", &self.words_language, Lang::En);
        let pressed = Pressed { key: self.key.clone(), seen: self.seen.parse().unwrap_or(-1) };
        reading.done((to, Why { reason, words, language }, pressed))
    }
}

#[derive(Template)]
#[template(path = "season/told.html")]
struct ToldPage {
    page: Page,
    list: ToldList,
}

impl ToldPage {
    fn reference(&self) -> &str {
        &self.list.view.session.reference
    }

    fn open(&self) -> usize {
        self.list.lines.iter().filter(|line| line.is_open()).count()
    }

    fn what(&self) -> &'static str {
        match self.list.change.as_ref().map(|change| change.kind) {
            Some(ChangeKind::Cancelled) => "The session is called off.",
            _ => "The session has moved.",
        }
    }

    fn not_told(&self) -> String {
        format!("{} on this list were not told yet. Call those without a letter.", self.open())
    }

    /// A letter's state: words, class and shape.
    fn letter(&self, state: &LetterState) -> (&'static str, &'static str, &'static str) {
        match state {
            LetterState::NoAddress => ("no e-mail address", "off", "none"),
            LetterState::Waiting => ("letter on its way", "unsent", "unsent"),
            LetterState::Sent => ("letter sent", "met", "met"),
            LetterState::Stopped => ("letter came back", "not-met", "notmet"),
        }
    }

    /// A text's state, in the same way.
    fn text(&self, state: &TextState) -> (&'static str, &'static str, &'static str) {
        match state {
            TextState::Sent => ("told by text", "met", "met"),
            TextState::Due | TextState::Moot => ("text on its way", "unsent", "unsent"),
            TextState::Unsure => ("text may not have arrived", "practice", "practice"),
            TextState::Stopped => ("text did not arrive", "not-met", "notmet"),
        }
    }

    fn by_text(&self) -> usize {
        self.list.lines.iter().filter(|line| line.text == Some(TextState::Sent)).count()
    }

    fn has_texts(&self) -> bool {
        self.list.lines.iter().any(|line| line.text.is_some())
    }

    fn language(&self, lang: &Option<Lang>) -> &'static str {
        match lang {
            Some(Lang::En) => "English",
            Some(Lang::Es) => "Spanish",
            None => "",
        }
    }

    fn moment(&self, at: &NaiveDateTime) -> String {
        format!("{} UTC", language::moment(Lang::En, *at))
    }
}

/// Who was told of the newest change, those who were not first.
pub async fn told_list(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let list = blocking(&app, move |app| told::list(app, &caller, &reference)).await?;
    shown(&ToldPage { page: staff_page(&request, "Who was told"), list })
}

/// Notes a call.
pub async fn called(app: web::Data<App>, Asking(caller): Asking, path: web::Path<(String, usize)>) -> Answer {
    let (reference, number) = path.into_inner();
    let back = format!("/season/{reference}/told#n-{number}");
    blocking(&app, move |app| told::mark_called(app, &caller, &reference, number)).await?;
    Ok(go(&back))
}
