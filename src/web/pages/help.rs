//! How each person uses the program, in short steps. Pages of words; they ask and decide nothing.

use actix_web::HttpRequest;
use askama::Template;

use crate::web::answer::{Answer, shown};
use crate::web::context;
use crate::web::page::Page;

#[derive(Template)]
#[template(path = "help/index.html")]
struct Index {
    page: Page,
}

/// Whose day the reader wants to see.
pub async fn index(request: HttpRequest) -> Answer {
    shown(&Index { page: context::page(&request, "help-title") })
}

/// One part of a family's way: its heading and how many sentences say it.
struct Part {
    key: &'static str,
    sentences: u8,
}

const FAMILY: [Part; 7] = [
    Part { key: "find", sentences: 3 },
    Part { key: "register", sentences: 4 },
    Part { key: "wait", sentences: 3 },
    Part { key: "bring", sentences: 4 },
    Part { key: "day", sentences: 4 },
    Part { key: "after", sentences: 4 },
    Part { key: "home", sentences: 4 },
];

#[derive(Template)]
#[template(path = "help/family.html")]
struct Family {
    page: Page,
    parts: Vec<(&'static str, String, Vec<String>)>,
}

/// From finding a session to the certificate, for parents and guardians.
pub async fn family(request: HttpRequest) -> Answer {
    let page = context::page(&request, "help-family");
    let words = |part: &Part| {
        let sentence = |number| page.t(&format!("help-family-{}-{number}", part.key));
        let heading = page.t(&format!("help-family-{}", part.key));
        (part.key, heading, (1..=part.sentences).map(sentence).collect())
    };
    let parts = FAMILY.iter().map(words).collect();
    shown(&Family { parts, page })
}

#[derive(Template)]
#[template(path = "help/field.html")]
struct Field {
    page: Page,
}

/// One day on the field, for instructors, helpers and first aid.
pub async fn field(request: HttpRequest) -> Answer {
    shown(&Field { page: context::staff_page(&request, "A day on the field") })
}

#[derive(Template)]
#[template(path = "help/office.html")]
struct Office {
    page: Page,
}

/// From the first site to the report, for coordinators and administrators.
pub async fn office(request: HttpRequest) -> Answer {
    shown(&Office { page: context::staff_page(&request, "A season in the office") })
}
