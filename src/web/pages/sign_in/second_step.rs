//! The second step of signing in: typing the code, and setting an app up, halfway in or from one's account. The secret
//! and the recovery codes of a page that is not yet kept travel in it, sealed.

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use super::onward;
use crate::domain::refusal::Refusal;
use crate::domain::sign_in::Next;
use crate::services::account::{self, Account};
use crate::services::sign_in::{self, Change, Drawn};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_as};
use crate::web::caller::Asking;
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::{blocking, caller, context, device, refusal_words};

/// Where the person wanted to go.
#[derive(Debug, Default, Deserialize)]
pub struct Wanted {
    #[serde(default)]
    next: String,
}

#[derive(Template)]
#[template(path = "sign_in/code.html")]
struct CodePage {
    page: Page,
    errors: FieldErrors,
    code: String,
    next: String,
}

/// What the page of the code sends.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct CodeForm {
    code: String,
    next: String,
}

fn code_page(request: &HttpRequest, errors: FieldErrors, form: CodeForm) -> CodePage {
    let page = context::page(request, "code-title").with_errors(errors.len());
    CodePage { page, errors, code: form.code, next: form.next }
}

/// The page that asks for the code. Who is not halfway in starts at the beginning.
pub async fn code(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Asked(wanted): Asked<Wanted>,
) -> Answer {
    match blocking(&app, move |app| sign_in::due(app, &caller)).await {
        Ok(Next::SetUp) => Ok(go(&onward(Next::SetUp, &wanted.next))),
        Ok(_) => {
            let form = CodeForm { next: wanted.next, ..CodeForm::default() };
            shown(&code_page(&request, FieldErrors::default(), form))
        }
        Err(Failure::NotAllowed) => Ok(go("/sign-in")),
        Err(failure) => Err(failure.into()),
    }
}

/// Takes the code and lets in.
pub async fn confirm(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<CodeForm>,
) -> Answer {
    let (origin, typed) = (device::origin(&request), form.code.clone());
    match blocking(&app, move |app| sign_in::confirm(app, &caller, &typed, &origin)).await {
        Ok(token) => context::signed_in(&request, &token, &onward(Next::Enter, &form.next)),
        Err(Failure::NotAllowed) => Ok(go("/sign-in")),
        Err(Failure::Refused(refusal)) => {
            let mut errors = FieldErrors::default();
            errors.add("code", refusal_words::words(context::lang(&request), &refusal));
            shown_as(refusal_words::status(&refusal), &code_page(&request, errors, form))
        }
        Err(failure) => Err(failure.into()),
    }
}

#[derive(Template)]
#[template(path = "sign_in/second_step.html")]
struct SetUp {
    page: Page,
    errors: FieldErrors,
    drawn: Drawn,
    /// Where the form leads.
    action: &'static str,
    /// Whether the current password must be typed.
    asks_password: bool,
    /// The code as it was typed.
    code: String,
    /// Whether the person is still on the way in.
    halfway: bool,
    next: String,
}

/// What the page of a new second step sends.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct SetUpForm {
    drawn: String,
    code: String,
    password: String,
    next: String,
}

fn set_up_page(
    request: &HttpRequest,
    drawn: Drawn,
    around: Option<&Account>,
    errors: FieldErrors,
    form: SetUpForm,
) -> SetUp {
    SetUp {
        page: context::page(request, "second-step-title").with_errors(errors.len()),
        errors,
        drawn,
        action: if around.is_some() { "/account/second-step" } else { "/sign-in/second-step" },
        asks_password: around.is_some_and(|account| account.asks_password),
        halfway: around.is_none(),
        code: form.code,
        next: form.next,
    }
}

/// The account, when somebody is signed in.
async fn around(request: &HttpRequest, app: &web::Data<App>) -> Result<Option<Account>, Failure> {
    let caller = caller::of(request);
    blocking(app, move |app| caller.person.is_some().then(|| account::find(app, &caller)).transpose()).await
}

/// A new second step: a code to scan, recovery codes to keep, a first code to type.
pub async fn new(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Asked(wanted): Asked<Wanted>,
) -> Answer {
    match blocking(&app, move |app| sign_in::draw(app, &caller)).await {
        Ok(drawn) => {
            let around = around(&request, &app).await?;
            if around.as_ref().is_some_and(|account| account.asks_link) {
                return Ok(go("/account/by-link"));
            }
            let form = SetUpForm { next: wanted.next, ..SetUpForm::default() };
            shown(&set_up_page(&request, drawn, around.as_ref(), FieldErrors::default(), form))
        }
        Err(Failure::NotAllowed) => Ok(go("/sign-in")),
        Err(failure) => Err(failure.into()),
    }
}

/// Keeps the second step when the code is right.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<SetUpForm>,
) -> Answer {
    let origin = device::origin(&request);
    let (sealed, code, password) = (form.drawn.clone(), form.code.clone(), form.password.clone());
    let set_up = blocking(&app, move |app| sign_in::set_up(app, &caller, &sealed, &code, &password, &origin)).await;
    let (drawn, refusal) = match set_up {
        Ok(Change::Kept(Some(token))) => return context::signed_in(&request, &token, &onward(Next::Enter, &form.next)),
        Ok(Change::Kept(None)) => return Ok(go("/account")),
        Ok(Change::NotYet(drawn, refusal)) => (*drawn, refusal),
        Err(Failure::NotAllowed) => return Ok(go("/sign-in")),
        Err(failure) => return Err(failure.into()),
    };
    let mut errors = FieldErrors::default();
    let field = if refusal == Refusal::CodeWrong { "code" } else { "password" };
    errors.add(field, refusal_words::words(context::lang(&request), &refusal));
    let around = around(&request, &app).await?;
    shown_as(refusal_words::status(&refusal), &set_up_page(&request, drawn, around.as_ref(), errors, form))
}
