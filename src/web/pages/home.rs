//! The first page: the next sessions, how it works, and the way in. Decides nothing.

use actix_web::{HttpRequest, web};
use askama::Template;

use crate::services::App;
use crate::services::browse::{self, Wanted};
use crate::web::answer::{Answer, shown};
use crate::web::entry::Entry;
use crate::web::page::{NavItem, Page};
use crate::web::{blocking, context};

/// How many sessions the first page shows.
const NEXT: usize = 4;

#[derive(Template)]
#[template(path = "home/show.html")]
struct Show {
    page: Page,
    entries: Vec<Entry>,
    /// The reader's own pages, when signed in.
    own: Vec<NavItem>,
}

/// The first page.
pub async fn show(request: HttpRequest, app: web::Data<App>) -> Answer {
    let coming = blocking(&app, |app| browse::coming(app, &Wanted::default())).await?;
    let page = context::page(&request, "home-title");
    let entries = coming.sessions.iter().filter(|one| one.open).take(NEXT).map(|one| Entry::new(&page, one)).collect();
    let everybody = ["/sessions", "/certificates", "/sign-in"];
    let signed_in = page.signed_in().is_some();
    let own = page.nav().iter().filter(|item| signed_in && !everybody.contains(&item.href.as_str())).cloned().collect();
    shown(&Show { entries, own, page })
}
