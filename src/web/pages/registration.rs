//! A family's registrations: the list, one receipt, its calendar file. Another family's answers as if it were not there.

pub mod place;
pub mod sign;
pub mod told;

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use askama::Template;

use crate::domain::cautions::CautionKey;
use crate::domain::place::{Ask, PlaceReason};
use crate::domain::registration::{Outcome, RegistrationState};
use crate::domain::session::SessionState;
use crate::domain::words::Word;
use crate::language;
use crate::services::App;
use crate::services::family::{self, PlaceChange, Receipt, Shown};
use crate::services::signed_consents::{self, Copies, Copy};
use crate::web::answer::{Answer, shown};
use crate::web::caller::Asking;
use crate::web::entry;
use crate::web::form::FieldErrors;
use crate::web::page::Page;
use crate::web::{blocking, context};

/// One registration in the list.
struct Line {
    href: String,
    name: String,
    site: String,
    when: String,
    state: State,
}

/// A state in words, with the class and symbol that help.
struct State {
    kind: &'static str,
    shape: &'static str,
    words: String,
}

fn state(page: &Page, receipt: &Receipt) -> State {
    if receipt.session.state == SessionState::Cancelled {
        return State { kind: "off", shape: "notmet", words: page.t("session-called-off") };
    }
    if let Some(outcome) = receipt.outcome {
        let (kind, shape) = if outcome.participated() { ("met", "met") } else { ("off", "none") };
        return State { kind, shape, words: page.t(&format!("registration-ended-{}", outcome_key(outcome))) };
    }
    let (kind, shape) = match receipt.state {
        RegistrationState::Confirmed => ("met", "met"),
        RegistrationState::Held | RegistrationState::Offered => ("free", "free"),
        RegistrationState::Waitlisted => ("waitlist", "adapted"),
        RegistrationState::Lapsed | RegistrationState::Cancelled => ("off", "none"),
    };
    State { kind, shape, words: entry::place(page, receipt.state, receipt.place()) }
}

/// The word of an outcome as messages are named.
fn outcome_key(outcome: Outcome) -> String {
    outcome.as_str().replace('_', "-")
}

/// The day, or "2 mornings: Saturday, June 13; Saturday, June 20".
fn days(page: &Page, receipt: &Receipt) -> String {
    match entry::meetings(page, &receipt.session) {
        one if one.is_empty() => language::date_long(page.lang, receipt.session.held_on),
        several => several,
    }
}

#[derive(Template)]
#[template(path = "registration/index.html")]
struct Index {
    page: Page,
    lines: Vec<Line>,
}

/// The caller's registrations, newest first.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let found = blocking(&app, move |app| family::registrations(app, &caller)).await?;
    let page = context::page(&request, "nav-registrations");
    let line = |receipt: &Receipt| Line {
        href: format!("/registrations/{}", receipt.reference),
        name: receipt.name.clone(),
        site: receipt.session.site.clone(),
        when: days(&page, receipt),
        state: state(&page, receipt),
    };
    shown(&Index { lines: found.iter().map(line).collect(), page })
}

#[derive(Template)]
#[template(path = "registration/show.html")]
struct Show {
    page: Page,
    receipt: Receipt,
    state: State,
    course: String,
    when: Vec<String>,
    county: String,
    language: String,
    kept_until: String,
    bring: Vec<String>,
    steps: Vec<String>,
    /// What is asked of the family, with its words; none when nothing is.
    asked: Option<Asked>,
    /// What happened to the place so far, when more than its making.
    history: Vec<String>,
    /// Whether the reader may change whom to call and the health answers.
    may_correct: bool,
    /// The form of wishes has nothing that could be wrong.
    no_errors: FieldErrors,
}

/// What is asked of the family.
struct Asked {
    what: Ask,
    title: String,
    words: String,
}

fn asked(page: &Page, receipt: &Receipt, email: &str) -> Option<Asked> {
    if receipt.is_asked_coming {
        let words = page.t1("place-coming-words", "name", &receipt.given);
        return Some(Asked { what: Ask::Coming, title: page.t("place-coming-title"), words });
    }
    let until = language::moment(page.lang, receipt.wall(receipt.held_until?));
    if receipt.state == RegistrationState::Offered {
        let title = page.t("place-offered-title");
        return Some(Asked { what: Ask::Offer, title, words: page.t1("place-offered-words", "until", until) });
    }
    let key = if receipt.place().is_some() { "place-address-line" } else { "place-address-seat" };
    let words = page.t3(key, "email", email, "until", until, "name", &receipt.given);
    receipt.waits_for_address().then(|| Asked { what: Ask::Address, title: page.t("place-address-title"), words })
}

/// Every step of the place with its moment on the clock of the site.
fn history(page: &Page, receipt: &Receipt) -> Vec<String> {
    if receipt.steps.len() < 2 {
        return Vec::new();
    }
    let line = |step: &PlaceChange| {
        let reason = step.reason.as_str().replace('_', "-");
        let key = match step.reason {
            PlaceReason::Registered => format!("place-step-registered-{}", step.state),
            _ => format!("place-step-{reason}"),
        };
        page.t2("place-step", "moment", language::moment(page.lang, receipt.wall(step.at)), "words", page.t(&key))
    };
    receipt.steps.iter().map(line).collect()
}

/// The receipt: reference, what happens next, when, where and what to bring.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let Shown { receipt, email, may_correct } =
        blocking(&app, move |app| family::show_whole(app, &caller, &reference)).await?;
    let key = match (receipt.outcome, receipt.state) {
        (Some(_), _) => "registration-title-ended",
        (None, RegistrationState::Waitlisted) => "registration-title-waits",
        (None, RegistrationState::Held) => "registration-title-held",
        (None, RegistrationState::Offered) => "registration-title-offered",
        (None, RegistrationState::Lapsed | RegistrationState::Cancelled) => "registration-title-over",
        (None, RegistrationState::Confirmed) => "registration-title",
    };
    let page = context::page(&request, "nav-registrations");
    let title = page.t1(key, "name", &receipt.given);
    let page = page.with_title(title);
    shown(&Show {
        state: state(&page, &receipt),
        course: receipt.session.title(page.lang).to_owned(),
        when: entry::when(&page, &receipt.session),
        county: page.t1("session-county", "county", &receipt.session.county),
        language: entry::language_name(&page, receipt.session.language),
        kept_until: language::date_short(page.lang, receipt.kept_until),
        bring: (1..=5).map(|number| page.t(&format!("session-bring-{number}"))).collect(),
        steps: next_steps(&page, &receipt),
        asked: asked(&page, &receipt, &email),
        history: history(&page, &receipt),
        no_errors: FieldErrors::default(),
        may_correct,
        receipt,
        page,
    })
}

/// What happens next, in order; nothing when the place is over.
fn next_steps(page: &Page, receipt: &Receipt) -> Vec<String> {
    let keys: &[&str] = match receipt.state {
        RegistrationState::Lapsed | RegistrationState::Cancelled => &[],
        RegistrationState::Waitlisted => {
            &["registration-next-line-1", "registration-next-line-2", "registration-next-line-3"]
        }
        RegistrationState::Held | RegistrationState::Offered => {
            &["registration-next-held-1", "registration-next-2", "registration-next-3"]
        }
        RegistrationState::Confirmed => &["registration-next-1", "registration-next-2", "registration-next-3"],
    };
    keys.iter().map(|key| page.t1(key, "name", &receipt.given)).collect()
}

/// The calendar file of one registration.
pub async fn calendar(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let lang = context::lang(&request);
    let file = blocking(&app, move |app| {
        let receipt = family::show(app, &caller, &reference)?;
        Ok(family::calendar_file(app, &receipt, lang))
    });
    Ok(HttpResponse::Ok()
        .content_type(family::CALENDAR_MEDIA)
        .insert_header((header::CONTENT_DISPOSITION, "attachment; filename=\"session.ics\""))
        .body(file.await?))
}

#[derive(Template)]
#[template(path = "registration/consent.html")]
struct Consent {
    page: Page,
    back: String,
    copies: Copies,
}

impl Consent {
    fn when(&self, copy: &Copy) -> String {
        language::moment(self.page.lang, copy.signed_at)
    }

    fn withdrawn(&self, copy: &Copy) -> String {
        copy.withdrawn_at.map(|at| language::moment(self.page.lang, at)).unwrap_or_default()
    }

    /// A text is read in the language in which it was signed.
    fn lang(&self, copy: &Copy) -> &'static str {
        copy.text.language.as_str()
    }
}

/// What was signed for a registration, exactly as it was shown then.
pub async fn consent(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let lang = context::lang(&request);
    let copies = blocking(&app, move |app| signed_consents::show(app, &caller, &reference, lang)).await?;
    let page = context::page(&request, "consent-copy-title").with_caution(CautionKey::Consent);
    shown(&Consent { back: format!("/registrations/{}", copies.reference), page, copies })
}
