//! Links that come by mail: asking for one, and what one opens. Looking at a link spends nothing: programs that look
//! at letters open links too.

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use super::enter;
use crate::domain::refusal::Refusal;
use crate::domain::sign_in::Purpose;
use crate::services::sign_in::{self, Used};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::{blocking, context, device, links, refusal_words};

#[derive(Template)]
#[template(path = "sign_in/ask_link.html")]
struct Ask {
    page: Page,
    errors: FieldErrors,
    email: String,
}

/// What was typed.
#[derive(Debug, Default, Deserialize)]
pub struct Typing {
    #[serde(default)]
    email: String,
}

fn asking(request: &HttpRequest, errors: FieldErrors, email: String) -> Ask {
    Ask { page: context::page(request, "link-ask-title").with_errors(errors.len()), errors, email }
}

/// The form that asks for a link.
pub async fn new(request: HttpRequest) -> Answer {
    shown(&asking(&request, FieldErrors::default(), String::new()))
}

/// Asks for a link. The answer is the same whether the address is known or not.
pub async fn create(request: HttpRequest, app: web::Data<App>, Typed(typed): Typed<Typing>) -> Answer {
    let mut errors = FieldErrors::default();
    let Some(email) = errors.email("email", &typed.email, context::lang(&request)) else {
        return shown_again(&asking(&request, errors, typed.email));
    };
    let id = context::request_id(&request);
    blocking(&app, move |app| sign_in::ask_link(app, email.as_str(), &id)).await?;
    Ok(go("/sign-in/link/sent"))
}

#[derive(Template)]
#[template(path = "sign_in/link_sent.html")]
struct Sent {
    page: Page,
}

/// What to do while the letter is on its way.
pub async fn sent(request: HttpRequest) -> Answer {
    shown(&Sent { page: context::page(&request, "link-sent-title") })
}

#[derive(Template)]
#[template(path = "sign_in/link.html")]
struct Link {
    page: Page,
    /// The button's form leads here.
    action: String,
    /// Why the link serves no more; empty when it does.
    over: String,
    to_sign_in: bool,
}

fn link_page(request: &HttpRequest, token: &str, purpose: Purpose) -> Link {
    let to_sign_in = purpose == Purpose::SignIn;
    let page = context::page(request, if to_sign_in { "link-title" } else { "link-address-title" });
    Link { page, action: format!("/links/{}", links::encoded(token)), over: String::new(), to_sign_in }
}

fn over(request: &HttpRequest, refusal: &Refusal) -> Answer {
    let page = context::page(request, "link-over-title");
    let over = refusal_words::words(page.lang, refusal);
    let shown = Link { page, action: String::new(), over, to_sign_in: true };
    shown_as(refusal_words::status(refusal), &shown)
}

/// What a link is for, with the button that uses it.
pub async fn show(request: HttpRequest, app: web::Data<App>, token: web::Path<String>) -> Answer {
    let asked = token.clone();
    match blocking(&app, move |app| sign_in::look_at_link(app, &asked)).await {
        Ok(purpose) => shown(&link_page(&request, &token, purpose)),
        Err(Failure::Refused(refusal)) => over(&request, &refusal),
        Err(failure) => Err(failure.into()),
    }
}

/// What the button says.
#[derive(Debug, Default, Deserialize)]
pub struct Wish {
    #[serde(default)]
    then: String,
}

/// Uses a link: signs in, or gives the account its new address.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    token: web::Path<String>,
    Typed(wish): Typed<Wish>,
) -> Answer {
    let origin = device::origin(&request);
    match blocking(&app, move |app| sign_in::use_link(app, &token, &origin)).await {
        Ok(Used::SignIn(opened)) => {
            enter(&request, &opened, if wish.then == "password" { "/account/password" } else { "/" })
        }
        Ok(Used::Address) => Ok(go("/links/done")),
        Err(Failure::Refused(refusal)) => over(&request, &refusal),
        Err(failure) => Err(failure.into()),
    }
}

#[derive(Template)]
#[template(path = "sign_in/address_done.html")]
struct Done {
    page: Page,
}

/// The new address is in use.
pub async fn done(request: HttpRequest) -> Answer {
    shown(&Done { page: context::page(&request, "link-address-done") })
}
