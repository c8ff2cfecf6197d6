//! The one page for everything that went wrong: what happened, what to do next, a reference number.
//! Knows HTTP status numbers only as the stems of its messages; decides nothing about them.

use askama::Template;

use crate::web::page::{Frame, Page};

/// The statuses that have words of their own; any other is told as a fault of ours.
const TOLD: [u16; 10] = [400, 403, 404, 405, 409, 413, 422, 429, 500, 503];

/// The page of one failed request.
#[derive(Template)]
#[template(path = "error.html")]
pub struct ErrorPage {
    page: Page,
    status: u16,
    happened: String,
    next: String,
    way: String,
    way_href: String,
    /// The log's number of this request; empty where nothing was logged.
    reference: String,
}

impl ErrorPage {
    /// The page for `status`, with the number under which the log keeps the request, or "".
    pub fn new(frame: &Frame, status: u16, reference: impl Into<String>) -> ErrorPage {
        let told = if TOLD.contains(&status) { status } else { 500 };
        let page = Page::new(frame, &format!("error-{told}-title"));
        ErrorPage {
            status,
            happened: page.t(&format!("error-{told}-happened")),
            next: page.t(&format!("error-{told}-next")),
            way: page.t("error-way-home"),
            way_href: "/".to_owned(),
            reference: reference.into(),
            page,
        }
    }

    /// The same page with the words of a refusal in place of the general ones, and a way to go on.
    pub fn with_words(self, happened: impl Into<String>, next: impl Into<String>) -> ErrorPage {
        ErrorPage { happened: happened.into(), next: next.into(), ..self }
    }

    /// The same page with another way on than the first page.
    pub fn with_way(self, label: impl Into<String>, href: impl Into<String>) -> ErrorPage {
        ErrorPage { way: label.into(), way_href: href.into(), ..self }
    }
}
