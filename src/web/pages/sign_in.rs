//! Signing in and out. In a demonstration one button for each role stands beside the form, and says so.

use actix_web::http::StatusCode;
use actix_web::http::header::{HeaderName, HeaderValue, USER_AGENT};
use actix_web::{HttpRequest, HttpResponse, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::access::Role;
use crate::domain::refusal::Refusal;
use crate::domain::words::Word;
use crate::services::sign_in::{self, Token};
use crate::services::{App, Failure};
use crate::web::answer::{self, Answer, Trouble};
use crate::web::caller::Asking;
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::{blocking, context, links, refusal_words};

/// The roles that a demonstration offers, in the order of its day.
const OFFERED: [Role; 7] = [
    Role::Guardian,
    Role::Instructor,
    Role::Helper,
    Role::FirstAid,
    Role::Coordinator,
    Role::GrantManager,
    Role::Administrator,
];

#[derive(Template)]
#[template(path = "sign_in/new.html")]
struct New {
    page: Page,
    errors: FieldErrors,
    email: String,
    next: String,
    roles: Vec<Choice>,
}

/// Where to go afterwards.
#[derive(Deserialize)]
pub struct Way {
    #[serde(default)]
    next: String,
}

/// What the form sends.
#[derive(Deserialize)]
pub struct Form {
    #[serde(default)]
    email: String,
    #[serde(default)]
    password: String,
    #[serde(default)]
    next: String,
}

/// What a button of the demonstration sends.
#[derive(Deserialize)]
pub struct As {
    #[serde(default)]
    role: String,
    #[serde(default)]
    next: String,
}

/// The form.
///
/// # Errors
/// The template fails.
pub async fn new(request: HttpRequest, way: Asked<Way>) -> Answer {
    answer::shown(&view(&request, FieldErrors::default(), String::new(), way.0.next))
}

/// Opens a login with an address and a password.
///
/// # Errors
/// Whatever the service says but a wrong password, which draws the form again.
pub async fn create(request: HttpRequest, app: web::Data<App>, form: Typed<Form>) -> Answer {
    let Form { email, password, next } = form.0;
    let (typed, device, id) = (email.trim().to_lowercase(), device(&request), context::request_id(&request));
    match blocking(&app, move |app| sign_in::open(app, &typed, &password, &device, &id)).await {
        Ok(token) => entered(&request, &token, &next),
        Err(Failure::Refused(refusal)) => {
            let mut errors = FieldErrors::default();
            errors.add("email", refusal_words::words(context::lang(&request), &refusal));
            answer::shown_again(&view(&request, errors, email, next))
        }
        Err(failure) => Err(failure.into()),
    }
}

/// Opens a login as one of the invented people. The service refuses it outside a demonstration.
///
/// # Errors
/// Whatever the service says.
pub async fn create_as(request: HttpRequest, app: web::Data<App>, form: Typed<As>) -> Answer {
    let role = Role::from_word(&form.0.role).ok_or(Trouble::Failed(Failure::Refused(Refusal::OnlyInDemo)))?;
    let (device, id) = (device(&request), context::request_id(&request));
    let token = blocking(&app, move |app| sign_in::open_as_demo(app, role, &device, &id)).await?;
    entered(&request, &token, &form.0.next)
}

/// Ends the login of this browser, and has it forget what it stored.
///
/// # Errors
/// Whatever the service says.
pub async fn remove(request: HttpRequest, app: web::Data<App>, asking: Asking) -> Answer {
    blocking(&app, move |app| sign_in::close(app, &asking.0)).await?;
    let mut gone = answer::go("/");
    gone.headers_mut()
        .insert(HeaderName::from_static("clear-site-data"), HeaderValue::from_static("\"cache\", \"storage\""));
    with_cookie(gone, &context::cookies(&request).sign_out())
}

fn entered(request: &HttpRequest, token: &Token, next: &str) -> Answer {
    let onward = answer::go(links::local(next).unwrap_or("/"));
    with_cookie(onward, &context::cookies(request).sign_in(token.as_str()))
}

fn with_cookie(mut answer: HttpResponse, cookie: &actix_web::cookie::Cookie<'_>) -> Answer {
    match answer.add_cookie(cookie) {
        Ok(()) => Ok(answer),
        Err(error) => Err(Trouble::Broken(format!("{} for a cookie: {error}", StatusCode::INTERNAL_SERVER_ERROR))),
    }
}

/// What the list of logins shows of the device: the start of what the browser says about itself.
fn device(request: &HttpRequest) -> String {
    let told = request.headers().get(USER_AGENT).and_then(|agent| agent.to_str().ok());
    told.unwrap_or_default().chars().take(120).collect()
}

fn view(request: &HttpRequest, errors: FieldErrors, email: String, next: String) -> New {
    let page = context::page(request, "sign-in-title").with_errors(errors.len());
    let offer = |role: &Role| Choice::new(role, page.t(&format!("sign-in-as-{}", role.as_str().replace('_', "-"))));
    let roles = if page.demo() { OFFERED.iter().map(offer).collect() } else { Vec::new() };
    let next = links::local(&next).map(str::to_owned).unwrap_or_default();
    New { page, errors, email, next, roles }
}
