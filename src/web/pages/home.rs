//! The first page. A stranger sees the next sessions and the way in; a reader who is signed in sees what is due today and
//! this week. Decides nothing.

mod family;
mod field;
mod office;
mod part;
mod program;

use actix_web::{HttpRequest, web};
use askama::Template;

use crate::domain::access::Caller;
use crate::domain::words::Lang;
use crate::language;
use crate::services::App;
use crate::services::browse::{self, Wanted};
use crate::services::due;
use crate::web::answer::{Answer, shown};
use crate::web::caller::Asking;
use crate::web::entry::Entry;
use crate::web::page::Page;
use crate::web::{blocking, context};

use part::Part;

/// How many sessions the first page shows.
const NEXT: usize = 4;

#[derive(Template)]
#[template(path = "home/show.html")]
struct Show {
    page: Page,
    entries: Vec<Entry>,
}

#[derive(Template)]
#[template(path = "home/due.html")]
struct Due {
    page: Page,
    today: String,
    parts: Vec<Part>,
    /// Where the page's figures come from.
    notes: Vec<String>,
    /// Whether the reader looks for sessions for a child.
    finds_sessions: bool,
}

/// The first page.
pub async fn show(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    if caller.person.is_some() {
        return due_today(&request, app, caller).await;
    }
    let coming = blocking(&app, |app| browse::coming(app, &Wanted::default())).await?;
    let page = context::page(&request, "home-title");
    let entries = coming.sessions.iter().filter(|one| one.open).take(NEXT).map(|one| Entry::new(&page, one)).collect();
    shown(&Show { entries, page })
}

/// What is due, for a reader who is signed in. Staff read it in English, families in their language.
async fn due_today(request: &HttpRequest, app: web::Data<App>, caller: Caller) -> Answer {
    let found = blocking(&app, move |app| due::list(app, &caller)).await?;
    let is_staff = found.field.is_some() || found.office.is_some() || found.program.is_some() || found.grants.is_some();
    let page = match is_staff {
        true => context::staff_page(request, language::say(Lang::En, "due-title", &[])),
        false => context::page(request, "due-title"),
    };
    let mut parts = Vec::new();
    parts.extend((!found.concerns.is_empty()).then(|| part::concerns(&found.concerns)));
    parts.extend(found.field.as_ref().map(field::part));
    parts.extend(found.office.as_ref().map(office::part));
    parts.extend(found.program.as_ref().map(program::part));
    parts.extend(found.family.as_ref().map(|due| family::part(&page, due)));
    parts.extend(found.grants.as_ref().map(part::only_reports));
    let ahead = found.papers_ahead;
    let about_papers =
        || format!("Papers are told of {ahead} days before they run out. It is a setting of the program.");
    let mut notes: Vec<String> =
        (found.field.is_some() || found.office.is_some()).then(about_papers).into_iter().collect();
    notes.extend(found.family.is_some().then(|| page.t("due-family-note")));
    let finds_sessions = found.family.is_some();
    shown(&Due { today: language::date_long(page.lang, found.today), parts, notes, finds_sessions, page })
}
