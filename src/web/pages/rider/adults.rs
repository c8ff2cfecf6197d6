//! The adults who answer for a child: one asks another, takes that back, or stands back.

use actix_web::{HttpRequest, web};
use askama::Template;

use super::path;
use crate::domain::refusal::Refusal;
use crate::domain::words::{Lang, Line, Word};
use crate::services::family::{self, Child};
use crate::services::invitations::{self, Invitation};
use crate::services::{App, Failure, ties};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::caller::Asking;
use crate::web::form::{Answers, FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::{blocking, context, refusal_words};

#[derive(Template)]
#[template(path = "rider/adults.html")]
struct Asks {
    page: Page,
    errors: FieldErrors,
    back: String,
    /// Why nobody was asked; empty otherwise.
    refused: String,
    child: Child,
    typed: Answers,
    languages: Vec<Choice>,
}

fn asking(page: Page, child: Child, typed: Answers, errors: FieldErrors, refused: String) -> Asks {
    let title = page.t1("adult-ask-title", "name", &child.given);
    let page = page.with_title(title).with_errors(errors.len());
    let language = |lang: &Lang| Choice::new(lang.as_str(), page.t(&format!("language-{}", lang.as_str())));
    Asks {
        back: path(&child.reference),
        languages: Lang::ALL.iter().map(language).collect(),
        child,
        typed,
        errors,
        refused,
        page,
    }
}

/// The form that asks another adult.
pub async fn new(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    rider: web::Path<String>,
) -> Answer {
    let child = blocking(&app, move |app| family::child(app, &caller, &rider)).await?;
    let page = context::page(&request, "nav-riders");
    let typed = Answers::default().with("language", page.lang.as_str());
    shown(&asking(page, child, typed, FieldErrors::default(), String::new()))
}

fn read(page: &Page, child: &Child, typed: &Answers) -> Result<Invitation, FieldErrors> {
    let mut errors = FieldErrors::default();
    let name = Line::parse(typed.of("name"), 120).map(Line::into_string);
    if name.is_err() {
        errors.add("name", page.t("adult-name-missing"));
    }
    if typed.of("email").trim().is_empty() {
        errors.add("email", page.t("adult-email-missing"));
    }
    let email = errors.email("email", typed.of("email"), page.lang);
    let language = Lang::parse(typed.of("language"));
    if language.is_none() {
        errors.add("language", page.t("adult-language-missing"));
    }
    let also = child.siblings.iter().filter(|(reference, _)| typed.ticked(&format!("also-{reference}")));
    let mut riders = vec![child.reference.clone()];
    riders.extend(also.map(|(reference, _)| reference.clone()));
    match (name, email, language) {
        (Ok(name), Some(email), Some(language)) => Ok(Invitation { name, email, language, riders }),
        _ => Err(errors),
    }
}

/// Asks another adult.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    rider: web::Path<String>,
    Typed(typed): Typed<Answers>,
) -> Answer {
    let (asks, back) = (caller.clone(), path(&rider));
    let child = blocking(&app, move |app| family::child(app, &asks, &rider)).await?;
    let page = context::page(&request, "nav-riders");
    let wanted = match read(&page, &child, &typed) {
        Ok(wanted) => wanted,
        Err(errors) => return shown_again(&asking(page, child, typed, errors, String::new())),
    };
    match blocking(&app, move |app| invitations::invite(app, &caller, &wanted)).await {
        Ok(()) => Ok(go(&back)),
        Err(Failure::Refused(refusal)) => {
            let words = refusal_words::words(page.lang, &refusal);
            let page = asking(page, child, typed, FieldErrors::default(), words);
            shown_as(refusal_words::status(&refusal), &page)
        }
        Err(failure) => Err(failure.into()),
    }
}

/// Takes an invitation back.
pub async fn take_back(app: web::Data<App>, Asking(caller): Asking, of: web::Path<(String, String)>) -> Answer {
    let (rider, invitation) = of.into_inner();
    let way = path(&rider);
    match blocking(&app, move |app| invitations::take_back(app, &caller, &rider, &invitation)).await {
        // Pressed twice, or accepted meanwhile: the child's page says how it stands.
        Ok(()) | Err(Failure::Refused(Refusal::WorldMoved)) => Ok(go(&way)),
        Err(failure) => Err(failure.into()),
    }
}

#[derive(Template)]
#[template(path = "rider/leave.html")]
struct Leaving {
    page: Page,
    back: String,
    /// Why the adult cannot stand back; empty otherwise.
    refused: String,
    child: Child,
}

fn leaving_page(request: &HttpRequest, child: Child, refusal: Option<&Refusal>) -> Leaving {
    let page = context::page(request, "nav-riders");
    let title = page.t1("adult-leave-title", "name", &child.given);
    let page = page.with_title(title);
    let refused = refusal.map(|refusal| refusal_words::words(page.lang, refusal)).unwrap_or_default();
    Leaving { back: path(&child.reference), child, refused, page }
}

/// Asks once more before an adult stands back.
pub async fn leaving(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    rider: web::Path<String>,
) -> Answer {
    let child = blocking(&app, move |app| family::child(app, &caller, &rider)).await?;
    let alone = child.others.is_empty().then_some(Refusal::OnlyAdult);
    shown(&leaving_page(&request, child, alone.as_ref()))
}

/// Lets the caller stand back.
pub async fn leave(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    rider: web::Path<String>,
) -> Answer {
    let (asks, asked) = (caller.clone(), rider.clone());
    match blocking(&app, move |app| ties::stand_back(app, &asks, &asked)).await {
        Ok(()) => Ok(go("/riders")),
        Err(Failure::Refused(refusal)) => {
            let child = blocking(&app, move |app| family::child(app, &caller, &rider)).await?;
            shown_as(refusal_words::status(&refusal), &leaving_page(&request, child, Some(&refusal)))
        }
        Err(failure) => Err(failure.into()),
    }
}
