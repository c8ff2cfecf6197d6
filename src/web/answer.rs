//! The one place where a failure becomes an answer: a page for people, a problem document for programs.
//!
//! What broke is logged here, once, under a number that the page shows. The page never shows the cause.

use std::fmt;

use actix_web::http::header::{self, HeaderValue};
use actix_web::http::{Method, StatusCode};
use actix_web::{HttpRequest, HttpResponse, ResponseError};
use askama::Template;
use serde_json::json;

use crate::services::Failure;

use super::context;
use super::error_page::ErrorPage;
use super::{links, refusal_words};

/// What a page function gives back.
pub type Answer = Result<HttpResponse, Trouble>;

/// Why a request gets no ordinary answer.
#[derive(Debug)]
pub enum Trouble {
    /// A service refused or failed.
    Failed(Failure),
    /// No page of ours can make such a request: 400.
    Malformed,
    /// An unsafe request that our own page did not make, or made too long ago: 403.
    NotOurPage,
    /// More bytes than are taken: 413.
    TooLarge,
    /// Too many requests; the next one may come after so many seconds: 429.
    TooMany {
        /// At least 1.
        seconds: u64,
    },
    /// Nobody is signed in and the page is not public: the way to the sign-in page, or 401.
    SignInFirst,
    /// The person's roles do not open this page: 403.
    NotAllowed,
    /// No such address: 404.
    NotFound,
    /// The address is known but not for this verb: 405.
    WrongVerb {
        /// The verbs that are, as in `GET, HEAD`.
        allowed: &'static str,
    },
    /// Something of ours broke outside the services: 500.
    Broken(String),
}

impl From<Failure> for Trouble {
    fn from(failure: Failure) -> Self {
        Self::Failed(failure)
    }
}

impl From<askama::Error> for Trouble {
    fn from(error: askama::Error) -> Self {
        Self::Broken(format!("a template failed: {error}"))
    }
}

impl fmt::Display for Trouble {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "answered {}", self.status_code().as_u16())
    }
}

impl ResponseError for Trouble {
    fn status_code(&self) -> StatusCode {
        match self {
            Self::Failed(failure) => status_of(failure),
            Self::Malformed => StatusCode::BAD_REQUEST,
            Self::NotOurPage | Self::NotAllowed => StatusCode::FORBIDDEN,
            Self::TooLarge => StatusCode::PAYLOAD_TOO_LARGE,
            Self::TooMany { .. } => StatusCode::TOO_MANY_REQUESTS,
            Self::SignInFirst => StatusCode::UNAUTHORIZED,
            Self::NotFound => StatusCode::NOT_FOUND,
            Self::WrongVerb { .. } => StatusCode::METHOD_NOT_ALLOWED,
            Self::Broken(_) => StatusCode::INTERNAL_SERVER_ERROR,
        }
    }

    /// Bare on purpose: the door draws the page, because only it knows the request.
    fn error_response(&self) -> HttpResponse {
        HttpResponse::new(self.status_code())
    }
}

fn status_of(failure: &Failure) -> StatusCode {
    match failure {
        Failure::Refused(refusal) => refusal_words::status(refusal),
        Failure::NotFound => StatusCode::NOT_FOUND,
        Failure::NotAllowed => StatusCode::FORBIDDEN,
        Failure::Busy(_) => StatusCode::SERVICE_UNAVAILABLE,
        Failure::Broken(_) => StatusCode::INTERNAL_SERVER_ERROR,
    }
}

/// A page drawn from its template, with status 200.
///
/// # Errors
/// `Broken` when the template fails.
pub fn shown(template: &impl Template) -> Answer {
    drawn(StatusCode::OK, template)
}

/// A form drawn again because an answer in it cannot be used, with status 422.
///
/// # Errors
/// `Broken` when the template fails.
pub fn shown_again(template: &impl Template) -> Answer {
    drawn(StatusCode::UNPROCESSABLE_ENTITY, template)
}

/// A page drawn with the status that belongs to what it says.
///
/// # Errors
/// `Broken` when the template fails.
pub fn shown_as(status: StatusCode, template: &impl Template) -> Answer {
    drawn(status, template)
}

fn drawn(status: StatusCode, template: &impl Template) -> Answer {
    let body = template.render()?;
    Ok(HttpResponse::build(status).content_type("text/html; charset=utf-8").body(body))
}

/// A PDF as a file to take away. Nothing in it runs.
pub fn pdf(name: &str, bytes: Vec<u8>) -> HttpResponse {
    HttpResponse::Ok()
        .content_type("application/pdf")
        .insert_header((header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")))
        .insert_header((header::CONTENT_SECURITY_POLICY, "sandbox; default-src 'none'"))
        .body(bytes)
}

/// The way on after something was done, so that a reload does nothing again: 303 to a path of ours.
#[must_use]
pub fn go(path: &str) -> HttpResponse {
    HttpResponse::SeeOther().insert_header((header::LOCATION, path)).finish()
}

/// The answer to a failed request, as a page or as a problem document.
#[must_use]
pub fn told(request: &HttpRequest, trouble: &Trouble) -> HttpResponse {
    let status = trouble.status_code();
    let reference = logged(request, trouble);
    let mut answer = if wants_json(request) {
        problem(status, trouble, &reference)
    } else if leads_to_sign_in(request, trouble) {
        go(&links::sign_in(request))
    } else {
        page(request, status, trouble, &reference)
    };
    if let Some((name, value)) = extra_header(trouble) {
        answer.headers_mut().insert(name, value);
    }
    answer
}

/// Logs once. Gives the number to show when the fault is ours, else nothing.
fn logged(request: &HttpRequest, trouble: &Trouble) -> String {
    let reference = || context::request_id(request);
    match trouble {
        Trouble::Failed(Failure::Broken(cause)) => {
            let chain = chain_of(cause.as_ref());
            tracing::error!(cause = chain, "a service broke");
            reference()
        }
        Trouble::Broken(cause) => {
            tracing::error!(cause, "a page broke");
            reference()
        }
        Trouble::Failed(Failure::Busy(_)) => {
            tracing::warn!("too busy");
            String::new()
        }
        Trouble::NotAllowed | Trouble::NotOurPage | Trouble::TooMany { .. } | Trouble::Failed(Failure::NotAllowed) => {
            tracing::info!(status = trouble.status_code().as_u16(), "refused at the door");
            String::new()
        }
        _ => {
            tracing::debug!(status = trouble.status_code().as_u16(), "not answered");
            String::new()
        }
    }
}

fn chain_of(cause: &(dyn std::error::Error + 'static)) -> String {
    let links = std::iter::successors(Some(cause), |error| error.source());
    links.map(ToString::to_string).collect::<Vec<_>>().join(": ")
}

fn wants_json(request: &HttpRequest) -> bool {
    let accept = request.headers().get(header::ACCEPT).and_then(|value| value.to_str().ok()).unwrap_or_default();
    accept.contains("json") && !accept.contains("text/html")
}

fn leads_to_sign_in(request: &HttpRequest, trouble: &Trouble) -> bool {
    matches!(trouble, Trouble::SignInFirst) && matches!(*request.method(), Method::GET | Method::HEAD)
}

/// A problem document after RFC 9457.
fn problem(status: StatusCode, trouble: &Trouble, reference: &str) -> HttpResponse {
    let mut body = json!({
        "type": "about:blank",
        "title": status.canonical_reason().unwrap_or("Error"),
        "status": status.as_u16(),
    });
    if let Trouble::Failed(Failure::Refused(refusal)) = trouble {
        body["detail"] = refusal_words::words(crate::domain::words::Lang::En, refusal).into();
    }
    if !reference.is_empty() {
        body["instance"] = format!("urn:uuid:{reference}").into();
    }
    HttpResponse::build(status).content_type("application/problem+json").body(body.to_string())
}

fn page(request: &HttpRequest, status: StatusCode, trouble: &Trouble, reference: &str) -> HttpResponse {
    let frame = context::frame(request);
    let page = ErrorPage::new(&frame, status.as_u16(), reference);
    let page = match trouble {
        Trouble::Failed(Failure::Refused(refusal)) => {
            page.with_words(refusal_words::words(frame.lang, refusal), refusal_words::next(frame.lang))
        }
        _ => page,
    };
    drawn(status, &page).unwrap_or_else(|_| HttpResponse::new(status))
}

fn extra_header(trouble: &Trouble) -> Option<(header::HeaderName, HeaderValue)> {
    match trouble {
        Trouble::TooMany { seconds } => Some((header::RETRY_AFTER, HeaderValue::from(*seconds))),
        Trouble::Failed(Failure::Busy(_)) => Some((header::RETRY_AFTER, HeaderValue::from(5))),
        Trouble::WrongVerb { allowed } => Some((header::ALLOW, HeaderValue::from_static(allowed))),
        _ => None,
    }
}
