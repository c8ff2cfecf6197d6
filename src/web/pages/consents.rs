//! The consent texts: who approved each text and language, and when; the next version as a draft. Staff pages, in English;
//! the texts are shown in their own language.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDate;

use crate::domain::consent::{ConsentKind, ConsentText};
use crate::domain::refusal::Refusal;
use crate::domain::rulebook::OpenBook;
use crate::domain::words::{Lang, Line, Word};
use crate::language;
use crate::services::consent_texts::{self, Clauses, Kind, Listed, Outcome};
use crate::services::rules::draft::{self, Draft};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Answers, FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::refusal_words;
use crate::web::rule_words::{SettingLine, consent_fault, grouped};
use crate::web::staff_form::Reading;

#[derive(Template)]
#[template(path = "consents/index.html")]
struct List {
    page: Page,
    kinds: Vec<Kind>,
}

#[derive(Template)]
#[template(path = "consents/text.html")]
struct Show {
    page: Page,
    errors: FieldErrors,
    form: Answers,
    listed: Listed,
    text: ConsentText,
    refused: Option<String>,
}

#[derive(Template)]
#[template(path = "consents/draft.html")]
struct Next {
    page: Page,
    kind: ConsentKind,
    notice: Option<String>,
    view: Draft,
    groups: Vec<(String, Vec<SettingLine>)>,
    faults: Vec<String>,
}

fn kind_words(kind: &ConsentKind) -> &'static str {
    match kind {
        ConsentKind::Ride => "Consent to ride",
        ConsentKind::Photo => "Consent to pictures",
    }
}

fn language_words(lang: &Lang) -> &'static str {
    if *lang == Lang::En { "English" } else { "Spanish" }
}

fn day(day: &NaiveDate) -> String {
    language::date_short(Lang::En, *day)
}

fn kind_of(request: &HttpRequest) -> Result<ConsentKind, Trouble> {
    request.match_info().get("kind").and_then(ConsentKind::from_word).ok_or(Trouble::NotFound)
}

fn text_of(request: &HttpRequest) -> Result<(ConsentKind, i64, Lang), Trouble> {
    let asked = |name| request.match_info().get(name).unwrap_or_default();
    let version = asked("version").parse().map_err(|_| Trouble::NotFound)?;
    Ok((kind_of(request)?, version, Lang::parse(asked("language")).ok_or(Trouble::NotFound)?))
}

/// Every kind with its versions.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let kinds = blocking(&app, move |app| consent_texts::list(app, &caller)).await?;
    shown(&List { page: staff_page(&request, "Consent texts"), kinds })
}

/// One text as families read it, with the form that enters its approval.
pub async fn show(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let (kind, version, lang) = text_of(&request)?;
    let (listed, text) = blocking(&app, move |app| consent_texts::find(app, &caller, kind, version, lang)).await?;
    shown(&text_page(&request, listed, text, Answers::default(), FieldErrors::default()))
}

/// Enters who approved a text, and when.
pub async fn approve(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<Answers>,
) -> Answer {
    let (kind, version, lang) = text_of(&request)?;
    let asking = caller.clone();
    let mut errors = FieldErrors::default();
    match read(&form) {
        Err(faults) => errors = faults,
        Ok((by, on)) => {
            let done = blocking(&app, move |app| consent_texts::approve(app, &asking, (kind, version, lang), by, on));
            match done.await {
                Ok(()) => return Ok(go("/consents")),
                // The page as it stands says who approved it.
                Err(Failure::Refused(Refusal::AlreadyApproved)) => {}
                Err(Failure::Refused(no)) => errors.add("on", refusal_words::words(Lang::En, &no)),
                Err(other) => return Err(other.into()),
            }
        }
    }
    let (listed, text) = blocking(&app, move |app| consent_texts::find(app, &caller, kind, version, lang)).await?;
    if listed.row.approved_by.is_some() {
        let refused = Some(refusal_words::words(Lang::En, &Refusal::AlreadyApproved));
        let page = text_page(&request, listed, text, form, FieldErrors::default());
        return shown_as(StatusCode::CONFLICT, &Show { refused, ..page });
    }
    shown_again(&text_page(&request, listed, text, form, errors))
}

fn read(form: &Answers) -> Result<(Line, NaiveDate), FieldErrors> {
    let mut reading = Reading::default();
    let by = reading.line("by", "who approved it", form.of("by"), 160);
    let on = reading.day("on", [form.of("on_month"), form.of("on_day"), form.of("on_year")]);
    let by = Line::parse(&by, 160);
    match by {
        Ok(by) => reading.done((by, on)),
        // The reading has named the fault; nothing else can be wrong with the line.
        Err(_) => Err(reading.done(()).err().unwrap_or_default()),
    }
}

fn text_page(request: &HttpRequest, listed: Listed, text: ConsentText, form: Answers, errors: FieldErrors) -> Show {
    let kind = ConsentKind::from_word(&listed.row.kind).unwrap_or(ConsentKind::Ride);
    let title =
        format!("{}, version {}, {}", kind_words(&kind), listed.row.version, language_words(&listed.row.language));
    let page = staff_page(request, title).with_errors(errors.len());
    Show { page, errors, form, listed, text, refused: None }
}

/// Starts the draft of the next version.
pub async fn start(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(_): Typed<Answers>,
) -> Answer {
    let kind = kind_of(&request)?;
    blocking(&app, move |app| consent_texts::start(app, &caller, kind)).await?;
    Ok(go(&format!("/consents/{kind}/draft")))
}

/// The draft of the next version.
pub async fn next(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let kind = kind_of(&request)?;
    let view = blocking(&app, move |app| draft::find(app, &caller, kind.book())).await?;
    shown(&next_page(&request, kind, view, None))
}

fn next_page(request: &HttpRequest, kind: ConsentKind, view: Draft, notice: Option<String>) -> Next {
    let page = staff_page(request, format!("{}: draft", kind_words(&kind)));
    let faults = match &view.book {
        OpenBook::Consent(pair) => pair.faults().iter().map(consent_fault).collect(),
        _ => Vec::new(),
    };
    let groups = grouped(&view.book.settings(&view.shipped));
    Next { page, kind, notice, view, groups, faults }
}

/// Adds or removes a clause.
pub async fn arrange(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<Answers>,
) -> Answer {
    let kind = kind_of(&request)?;
    let wanted = match form.of("do") {
        "add" => Clauses::Add,
        "remove" => Clauses::Remove(form.of("clause").trim_start_matches("clause.").to_owned()),
        _ => return Err(Trouble::NotFound),
    };
    let (asking, revision) = (caller.clone(), form.revision());
    match blocking(&app, move |app| draft::change(app, &asking, kind.book(), revision, wanted)).await {
        Ok(Some(key)) => Ok(go(&format!("/consents/{kind}/draft/settings/clause.{key}"))),
        Ok(None) => Ok(go(&format!("/consents/{kind}/draft"))),
        Err(Failure::Refused(Refusal::DraftMoved)) => moved(&request, &app, caller, kind).await,
        Err(other) => Err(other.into()),
    }
}

/// Makes the draft the next version.
pub async fn publish(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<Answers>,
) -> Answer {
    let kind = kind_of(&request)?;
    let (asking, revision) = (caller.clone(), form.revision());
    match blocking(&app, move |app| consent_texts::publish(app, &asking, kind, revision)).await {
        Ok(Outcome::Published(version)) => Ok(go(&format!("/consents/{kind}/versions/{version}/en"))),
        Ok(Outcome::Faulty(_)) => {
            let view = blocking(&app, move |app| draft::find(app, &caller, kind.book())).await?;
            shown_again(&next_page(&request, kind, view, None))
        }
        Err(Failure::Refused(Refusal::DraftMoved)) => moved(&request, &app, caller, kind).await,
        Err(other) => Err(other.into()),
    }
}

async fn moved(
    request: &HttpRequest,
    app: &web::Data<App>,
    caller: crate::domain::access::Caller,
    kind: ConsentKind,
) -> Answer {
    let view = blocking(app, move |app| draft::find(app, &caller, kind.book())).await?;
    let notice = Some(refusal_words::words(Lang::En, &Refusal::DraftMoved));
    shown_as(StatusCode::CONFLICT, &next_page(request, kind, view, notice))
}
