//! Signing in and out, with a password, a link or a second step, and the list of one's sign-ins. Decides nothing about
//! passwords or times.

pub mod link;
pub mod second_step;

use actix_web::http::header;
use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;
use validator::Validate;

use crate::domain::access::Role;
use crate::domain::ids::SignInId;
use crate::domain::refusal::Refusal;
use crate::domain::sign_in::Next;
use crate::domain::words::{Email, Word};
use crate::language;
use crate::services::sign_in::{self, Opened};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again, shown_as};
use crate::web::caller::Asking;
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::{blocking, context, device, links, refusal_words};

/// The roles that a demonstration offers, in this order.
const DEMO_ROLES: [Role; 7] = [
    Role::Guardian,
    Role::Instructor,
    Role::Coordinator,
    Role::FirstAid,
    Role::Helper,
    Role::GrantManager,
    Role::Administrator,
];

struct DemoRole {
    word: &'static str,
    name: String,
    does: String,
    button: String,
}

#[derive(Template)]
#[template(path = "sign_in/new.html")]
struct New {
    page: Page,
    errors: FieldErrors,
    refused: Option<String>,
    roles: Vec<DemoRole>,
    email: String,
    next: String,
}

#[derive(Debug, Default, Deserialize)]
pub struct Wanted {
    #[serde(default)]
    next: String,
}

/// The form. In a demonstration it offers one button per role.
pub async fn new(request: HttpRequest, app: web::Data<App>, Asked(wanted): Asked<Wanted>) -> Answer {
    shown(&form(&request, &app, FieldErrors::default(), Typing { next: wanted.next, ..Typing::default() }))
}

/// What was typed; the password is never shown again.
#[derive(Debug, Default, Deserialize, Validate)]
pub struct Typing {
    #[serde(default)]
    #[validate(length(min = 1, code = "form-required"))]
    email: String,
    #[serde(default)]
    #[validate(length(min = 1, code = "form-required"))]
    password: String,
    #[serde(default)]
    next: String,
}

fn form(request: &HttpRequest, app: &App, errors: FieldErrors, typed: Typing) -> New {
    let page = context::page(request, "sign-in-title").with_errors(errors.len());
    let word = |role: Role, ending: &str| page.t(&format!("sign-in-role-{}{ending}", role.as_str()));
    let roles = if app.settings.demo { DEMO_ROLES.as_slice() } else { &[] };
    let roles = roles.iter().map(|role| DemoRole {
        word: role.as_str(),
        name: word(*role, ""),
        does: word(*role, "-does"),
        button: word(*role, "-button"),
    });
    New { roles: roles.collect(), page, errors, refused: None, email: typed.email, next: typed.next }
}

/// Opens a sign-in, or shows the form again with the address kept.
pub async fn create(request: HttpRequest, app: web::Data<App>, Typed(typed): Typed<Typing>) -> Answer {
    let errors = FieldErrors::check(&typed, context::lang(&request));
    if !errors.is_empty() {
        return shown_again(&form(&request, &app, errors, typed));
    }
    // An address that is none has no account; it is answered like any other wrong one.
    let email = Email::parse(&typed.email).map_or_else(|_| typed.email.clone(), |email| email.as_str().to_owned());
    let (origin, password) = (device::origin(&request), typed.password.clone());
    let opened = blocking(&app, move |app| sign_in::open(app, &email, &password, &origin)).await;
    match opened {
        Ok(opened) => enter(&request, &opened, &typed.next),
        Err(Failure::Refused(refusal @ (Refusal::SignInFailed | Refusal::TooManyTries { .. }))) => {
            let words = refusal_words::words(context::lang(&request), &refusal);
            let again = form(&request, &app, FieldErrors::default(), typed);
            let again = New { refused: Some(words), page: again.page.clone().with_errors(1), ..again };
            shown_as(refusal_words::status(&refusal), &again)
        }
        Err(failure) => Err(failure.into()),
    }
}

#[derive(Debug, Deserialize)]
pub struct DemoWish {
    #[serde(default)]
    role: String,
    #[serde(default)]
    next: String,
}

/// Signs in as the first holder of a role; only a demonstration does that.
pub async fn create_demo(request: HttpRequest, app: web::Data<App>, Typed(wish): Typed<DemoWish>) -> Answer {
    let role = Role::from_word(&wish.role).ok_or(Trouble::Malformed)?;
    let origin = device::origin(&request);
    let token = blocking(&app, move |app| sign_in::open_as_demo(app, role, &origin)).await?;
    context::signed_in(&request, &token, links::local(&wish.next).unwrap_or("/"))
}

/// A new cookie for the new sign-in, and the way to its second step or to where the person wanted to go.
fn enter(request: &HttpRequest, opened: &Opened, next: &str) -> Answer {
    context::signed_in(request, &opened.token, &onward(opened.next, next))
}

/// Where somebody goes who has done so much of signing in.
fn onward(step: Next, next: &str) -> String {
    let next = links::local(next).unwrap_or("/");
    match step {
        Next::Enter => next.to_owned(),
        Next::Code => format!("/sign-in/code?next={}", links::encoded(next)),
        Next::SetUp => format!("/sign-in/second-step?next={}", links::encoded(next)),
    }
}

/// Ends this browser's sign-in and asks it to forget what it cached.
pub async fn close(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    blocking(&app, move |app| sign_in::close(app, &caller)).await?;
    let mut answer = go("/");
    let cookie = context::cookies(&request).sign_out();
    answer.add_cookie(&cookie).map_err(|error| Trouble::Broken(error.to_string()))?;
    let cleared = header::HeaderValue::from_static("\"cache\", \"storage\"");
    answer.headers_mut().insert(header::HeaderName::from_static("clear-site-data"), cleared);
    Ok(answer)
}

struct Row {
    number: i64,
    device: String,
    here: bool,
    since: String,
    seen: String,
}

#[derive(Template)]
#[template(path = "sign_in/index.html")]
struct Index {
    page: Page,
    rows: Vec<Row>,
}

/// The caller's sign-ins.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let here = caller.person.as_ref().map(|person| person.sign_in);
    let found = blocking(&app, move |app| sign_in::list(app, &caller)).await?;
    let page = context::page(&request, "sign-ins-title");
    let lang = page.lang;
    let rows = found.into_iter().map(|row| Row {
        number: row.id.raw(),
        here: Some(row.id) == here,
        device: row.device,
        since: language::moment(lang, row.created_at),
        seen: language::moment(lang, row.last_seen),
    });
    shown(&Index { rows: rows.collect(), page })
}

/// Ends one of the caller's sign-ins.
pub async fn end(app: web::Data<App>, Asking(caller): Asking, number: web::Path<i64>) -> Answer {
    let id = SignInId::new(number.into_inner());
    blocking(&app, move |app| sign_in::end(app, &caller, id)).await?;
    Ok(go("/sign-ins"))
}

/// Ends all of the caller's sign-ins but this one.
pub async fn end_others(app: web::Data<App>, Asking(caller): Asking) -> Answer {
    blocking(&app, move |app| sign_in::end_others(app, &caller)).await?;
    Ok(go("/sign-ins"))
}
