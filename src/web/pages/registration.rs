//! A family's registrations: the list, one receipt, its calendar file. Another family's answers as if it were not there.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use askama::Template;

use crate::domain::cautions::CautionKey;
use crate::domain::registration::{Outcome, RegistrationState};
use crate::domain::session::SessionState;
use crate::domain::words::Word;
use crate::language;
use crate::services::App;
use crate::services::family::{self, Receipt};
use crate::services::signed_consents::{self, Copies, Copy};
use crate::web::answer::{Answer, shown};
use crate::web::caller::Asking;
use crate::web::entry;
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
        RegistrationState::Confirmed | RegistrationState::Held | RegistrationState::Offered => ("met", "met"),
        RegistrationState::Waitlisted => ("waitlist", "adapted"),
        RegistrationState::Lapsed | RegistrationState::Cancelled => ("off", "none"),
    };
    let words = match receipt.place() {
        Some(place) => page.t1("registration-state-waitlisted", "place", place),
        None => page.t(&format!("registration-state-{}", receipt.state.as_str())),
    };
    State { kind, shape, words }
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
}

/// The receipt: reference, what happens next, when, where and what to bring.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let receipt = blocking(&app, move |app| family::show(app, &caller, &reference)).await?;
    let key = match (receipt.outcome, receipt.place()) {
        (Some(_), _) => "registration-title-ended",
        (None, Some(_)) => "registration-title-waits",
        (None, None) => "registration-title",
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
        receipt,
        page,
    })
}

/// What happens next, in order.
fn next_steps(page: &Page, receipt: &Receipt) -> Vec<String> {
    let keys = match receipt.place() {
        Some(_) => ["registration-next-line-1", "registration-next-line-2", "registration-next-line-3"],
        None => ["registration-next-1", "registration-next-2", "registration-next-3"],
    };
    keys.map(|key| page.t1(key, "name", &receipt.given)).to_vec()
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
    let copies = blocking(&app, move |app| signed_consents::show(app, &caller, &reference)).await?;
    let page = context::page(&request, "consent-copy-title").with_caution(CautionKey::Consent);
    shown(&Consent { back: format!("/registrations/{}", copies.reference), page, copies })
}
