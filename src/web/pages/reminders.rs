//! Reminders by mail, turned off and on from a letter without signing in. Looking changes nothing: programs that look at
//! letters open links too. A press is answered at once and leads nowhere else: mail programs press for people and do not
//! follow a way on (RFC 8058, section 3.1).

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::services::App;
use crate::services::mail_choice;
use crate::web::answer::{Answer, shown};
use crate::web::form::Typed;
use crate::web::page::Page;
use crate::web::{blocking, context, links};

#[derive(Template)]
#[template(path = "account/reminders.html")]
struct Reminders {
    page: Page,
    action: String,
    wanted: bool,
}

fn draw(request: &HttpRequest, token: &str, wanted: bool) -> Answer {
    let page = context::page(request, if wanted { "reminders-title-on" } else { "reminders-title-off" });
    shown(&Reminders { page, action: format!("/reminders/{}", links::encoded(token)), wanted })
}

/// Whether reminders come, with the button that turns them off or on.
pub async fn show(request: HttpRequest, app: web::Data<App>, token: web::Path<String>) -> Answer {
    let asked = token.clone();
    let wanted = blocking(&app, move |app| mail_choice::look(app, &asked)).await?;
    draw(&request, &token, wanted)
}

/// What the button says; a mail program sends something else, and means off.
#[derive(Debug, Default, Deserialize)]
pub struct Wish {
    #[serde(default)]
    reminders: String,
}

/// Turns reminders off, or on again.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    token: web::Path<String>,
    Typed(wish): Typed<Wish>,
) -> Answer {
    let (asked, wanted, id) = (token.clone(), wish.reminders == "on", context::request_id(&request));
    blocking(&app, move |app| mail_choice::choose(app, &asked, wanted, &id)).await?;
    draw(&request, &token, wanted)
}
