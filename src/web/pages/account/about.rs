//! A guardian's own name and telephone.

use actix_web::{HttpRequest, web};

use crate::services::places::Side;
use crate::services::register::answers::AdultsAnswers;
use crate::services::{App, corrections};
use crate::web::answer::Answer;
use crate::web::caller::Asking;
use crate::web::corrections::{Ways, adult, adult_changed};
use crate::web::form::Typed;
use crate::web::page::Page;
use crate::web::{blocking, context};

fn page(request: &HttpRequest) -> (Page, Ways) {
    let page = context::page(request, "adult-edit-title");
    let back_words = page.t("account-title");
    (page, Ways { action: "/account/about".to_owned(), back: "/account".to_owned(), back_words })
}

/// The form.
pub async fn edit(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let now = blocking(&app, move |app| corrections::find_self(app, &caller)).await?;
    let (page, ways) = page(&request);
    adult(page, ways, Side::Family, now)
}

/// Changes name and telephone.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(typed): Typed<AdultsAnswers>,
) -> Answer {
    let answers = typed.clone();
    let done = blocking(&app, move |app| corrections::set_self(app, &caller, &answers)).await?;
    let (page, ways) = page(&request);
    adult_changed(page, ways, Side::Family, typed, &done)
}
