//! Reminders by mail, turned off and on from a letter without signing in. Looking changes nothing (RFC 8058): programs that
//! look at letters open links too.

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::services::App;
use crate::services::mail_choice;
use crate::web::answer::{Answer, go, shown};
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

/// Whether reminders come, with the button that turns them off or on.
pub async fn show(request: HttpRequest, app: web::Data<App>, token: web::Path<String>) -> Answer {
    let asked = token.clone();
    let wanted = blocking(&app, move |app| mail_choice::look(app, &asked)).await?;
    let page = context::page(&request, if wanted { "reminders-title-on" } else { "reminders-title-off" });
    shown(&Reminders { page, action: format!("/reminders/{}", links::encoded(&token)), wanted })
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
    Ok(go(&format!("/reminders/{}", links::encoded(&token))))
}
