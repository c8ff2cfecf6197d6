//! The door before every page: limits, who is asking, roles, forms, and what happens when something fails.
//!
//! In this order: count the request, see that its address is one, ask who it is, look at the roles, read and check the form, call the page.
//! A page function never runs for somebody whose roles do not open it.

use std::panic::AssertUnwindSafe;

use actix_web::body::BoxBody;
use actix_web::dev::{Payload, ServiceRequest, ServiceResponse};
use actix_web::http::header;
use actix_web::middleware::Next;
use actix_web::{Error, HttpMessage, HttpRequest, HttpResponse, web};
use futures_util::{FutureExt, StreamExt};

use crate::domain::access::Caller;
use crate::services::{App, sign_in};

use super::answer::{self, Answer, Trouble};
use super::caller::{NewVisit, Visit};
use super::form::{self, RawForm, TOKEN_FIELD};
use super::limits::{self, Key, Limits};
use super::routes::{Line, Proof, Verb};
use super::{blocking, context, csrf, headers, upload};

/// The header by which scripts of ours send the form token.
const TOKEN_HEADER: &str = "x-form-token";

/// Lets a request through to its page, or answers why not.
///
/// # Errors
/// None: every failure has become an answer.
pub async fn pass(
    line: &'static Line,
    request: ServiceRequest,
    next: Next<BoxBody>,
) -> Result<ServiceResponse<BoxBody>, Error> {
    let (bare, mut payload) = request.into_parts();
    let checked = check(line, &bare, &mut payload).await;
    let response = match checked {
        Ok(Some(answer)) => ServiceResponse::new(bare, answer),
        Ok(None) => call(bare, payload, next).await,
        Err(trouble) => refused(bare, &trouble),
    };
    let mut finished = finished(response);
    if line.stays_on {
        headers::let_the_screen_stay_on(finished.headers_mut());
    }
    Ok(finished)
}

/// For answers outside the table: the same pages for failures, without asking who it is.
///
/// # Errors
/// None: every failure has become an answer.
pub async fn draw_failures(request: ServiceRequest, next: Next<BoxBody>) -> Result<ServiceResponse<BoxBody>, Error> {
    let (bare, payload) = request.into_parts();
    Ok(finished(call(bare, payload, next).await))
}

/// The answer at an address that the table does not have.
///
/// # Errors
/// Always `NotFound`.
pub async fn no_such_page() -> Answer {
    Err(Trouble::NotFound)
}

/// The answer to a verb that the address does not know.
///
/// # Errors
/// Always `WrongVerb`.
pub fn wrong_verb(allowed: &'static str) -> Answer {
    Err(Trouble::WrongVerb { allowed })
}

/// All that must hold before the page runs. May give an answer of its own: the way to the sign-in page, a kept choice.
async fn check(line: &Line, request: &HttpRequest, payload: &mut Payload) -> Result<Option<HttpResponse>, Trouble> {
    let app = app_of(request)?;
    count(line, request, &app, None)?;
    form::decoded(request.uri().path())?;
    form::pairs(request.query_string())?;
    if line.proof == Proof::OwnSecret {
        read_form(request, payload, app.settings.server.form_bytes).await?;
        return Ok(None);
    }
    let caller = who_asks(request, &app).await?;
    count(line, request, &app, Some(&caller))?;
    request.extensions_mut().insert(caller.clone());
    if !line.who.meets(caller.roles()) {
        return Err(if caller.person.is_some() { Trouble::NotAllowed } else { Trouble::SignInFirst });
    }
    if line.verb == Verb::Post {
        let text = match line.takes_file {
            true => upload::read(request, payload).await?,
            false => read_form(request, payload, app.settings.server.form_bytes).await?,
        };
        is_our_page(request, &app, &caller, &text)?;
    }
    Ok(context::chosen(request))
}

fn app_of(request: &HttpRequest) -> Result<web::Data<App>, Trouble> {
    let app = request.app_data::<web::Data<App>>().cloned();
    app.ok_or_else(|| Trouble::Broken("the server was started without its app".into()))
}

fn count(line: &Line, request: &HttpRequest, app: &App, caller: Option<&Caller>) -> Result<(), Trouble> {
    let Some(limits) = request.app_data::<web::Data<Limits>>() else {
        return Ok(());
    };
    let key = match caller {
        None => Some(limits::address_key(limits::address_of(request, &app.settings.server.trusted_proxies))),
        Some(caller) => caller.account().map(Key::Account),
    };
    match key {
        Some(key) => limits.ask(line.limit, key).map_err(|seconds| Trouble::TooMany { seconds }),
        None => Ok(()),
    }
}

/// The one read of the sign-in. Without a cookie nothing is read.
async fn who_asks(request: &HttpRequest, app: &web::Data<App>) -> Result<Caller, Trouble> {
    let id = context::request_id(request);
    match context::cookies(request).sign_in_token(request) {
        None => Ok(Caller { request: id, ..Caller::anonymous() }),
        Some(token) => Ok(blocking(app, move |app| sign_in::caller(app, &token, &id)).await?),
    }
}

/// Reads the body to its end, or stops at the limit without keeping more.
pub(super) async fn read_body(
    request: &HttpRequest,
    payload: &mut Payload,
    most: usize,
) -> Result<web::Bytes, Trouble> {
    let told = request.headers().get(header::CONTENT_LENGTH).and_then(|length| length.to_str().ok());
    if told.is_some_and(|length| length.parse::<usize>().map_or(true, |length| length > most)) {
        return Err(Trouble::TooLarge);
    }
    let mut body = web::BytesMut::new();
    while let Some(piece) = payload.next().await {
        let piece = piece.map_err(|_| Trouble::Malformed)?;
        if body.len() + piece.len() > most {
            return Err(Trouble::TooLarge);
        }
        body.extend_from_slice(&piece);
    }
    Ok(body.freeze())
}

/// Reads a form. Forms are checked; other bodies are not taken.
async fn read_form(request: &HttpRequest, payload: &mut Payload, most: usize) -> Result<String, Trouble> {
    let body = read_body(request, payload, most).await?;
    let text = String::from_utf8(body.to_vec()).map_err(|_| Trouble::Malformed)?;
    let is_form = request.content_type() == "application/x-www-form-urlencoded";
    if is_form {
        form::pairs(&text)?;
    } else if !text.is_empty() {
        return Err(Trouble::Malformed);
    }
    request.extensions_mut().insert(RawForm(text.clone()));
    Ok(text)
}

/// Our own page made the request, for this very reader.
fn is_our_page(request: &HttpRequest, app: &App, caller: &Caller, text: &str) -> Result<(), Trouble> {
    if !csrf::is_same_origin(request.headers(), app.settings.server.public_host()) {
        return Err(Trouble::NotOurPage);
    }
    let in_header = request.headers().get(TOKEN_HEADER).and_then(|token| token.to_str().ok()).map(str::to_owned);
    let token = in_header.or_else(|| form::pairs(text).ok()?.remove(TOKEN_FIELD));
    let secrets = context::token_secrets(request, caller);
    match token {
        Some(token) if secrets.iter().any(|secret| csrf::is_token_of(&token, secret)) => Ok(()),
        _ => Err(Trouble::NotOurPage),
    }
}

/// Calls what lies behind. A panic there is a fault of ours and takes nobody else down.
async fn call(bare: HttpRequest, payload: Payload, next: Next<BoxBody>) -> ServiceResponse<BoxBody> {
    let request = ServiceRequest::from_parts(bare, payload);
    // Routing is over, so a second handle on the request does no harm.
    let kept = request.request().clone();
    let inside = next.call(request);
    match AssertUnwindSafe(inside).catch_unwind().await {
        Ok(Ok(response)) => response,
        Ok(Err(error)) => refused(kept, &Trouble::Broken(error.to_string())),
        Err(_) => refused(kept, &Trouble::Broken("a page function panicked".into())),
    }
}

fn refused(request: HttpRequest, trouble: &Trouble) -> ServiceResponse<BoxBody> {
    let answer = answer::told(&request, trouble);
    ServiceResponse::new(request, answer)
}

/// Draws failures, sends the cookie of a visit that began, and keeps signed-in pages out of caches.
fn finished(response: ServiceResponse<BoxBody>) -> ServiceResponse<BoxBody> {
    let (request, mut answer) = response.into_parts();
    if let Some(error) = answer.error() {
        answer = match error.as_error::<Trouble>() {
            Some(trouble) => answer::told(&request, trouble),
            None => answer::told(&request, &trouble_of(answer.status().as_u16())),
        };
    }
    let visit = request.extensions().get::<NewVisit>().and_then(|_| request.extensions().get::<Visit>().cloned());
    if let Some(visit) = visit {
        // A cookie of fixed name and base64 text always makes a header.
        let _ = answer.add_cookie(&context::cookies(&request).visit(&visit));
    }
    let is_personal =
        request.extensions().get::<Caller>().is_some_and(|caller| caller.person.is_some() || caller.halfway.is_some());
    if is_personal && !request.path().starts_with("/static/") {
        answer.headers_mut().insert(header::CACHE_CONTROL, header::HeaderValue::from_static("no-store"));
    }
    ServiceResponse::new(request, answer)
}

/// Failures that the framework found while it read a path or a query.
fn trouble_of(status: u16) -> Trouble {
    match status {
        404 => Trouble::NotFound,
        413 => Trouble::TooLarge,
        400..500 => Trouble::Malformed,
        _ => Trouble::Broken(format!("the framework answered {status}")),
    }
}
