//! What the sessions to come will need: helmets now and after them, and what to order.

use actix_web::{HttpRequest, web};
use askama::Template;

use super::{day, heads};
use crate::services::App;
use crate::services::gear::needs::{self, Needs};
use crate::web::answer::{Answer, shown};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::page::Page;

#[derive(Template)]
#[template(path = "gear/needs.html")]
struct Show {
    page: Page,
    needs: Needs,
}

/// What is to be expected.
pub async fn show(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let needs = blocking(&app, move |app| needs::show(app, &caller)).await?;
    shown(&Show { page: staff_page(&request, "What sessions will need"), needs })
}
