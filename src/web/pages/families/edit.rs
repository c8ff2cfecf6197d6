//! A child, or an adult's name and telephone, put right by the office for a family that called.

use actix_web::{HttpRequest, web};

use crate::domain::access::Caller;
use crate::services::places::Side;
use crate::services::register::answers::{AdultsAnswers, RiderAnswers};
use crate::services::{App, corrections};
use crate::web::answer::Answer;
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::corrections::{Correcting, Ways, adult as shown_adult, adult_changed};
use crate::web::form::Typed;
use crate::web::page::Page;

fn ways(rider: &str, what: &str) -> Ways {
    let back = format!("/families/{rider}");
    Ways { action: format!("{back}/{what}"), back, back_words: "Back to the child".to_owned() }
}

fn correcting(request: &HttpRequest, app: web::Data<App>, caller: Caller, rider: String) -> Correcting {
    let ways = ways(&rider, "edit");
    Correcting { page: staff_page(request, ""), app, caller, side: Side::Office, reference: rider, ways }
}

/// The form about a child.
pub async fn child(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    rider: web::Path<String>,
) -> Answer {
    correcting(&request, app, caller, rider.into_inner()).child().await
}

/// Changes a child.
pub async fn set_child(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    rider: web::Path<String>,
    Typed(typed): Typed<RiderAnswers>,
) -> Answer {
    correcting(&request, app, caller, rider.into_inner()).set_child(typed).await
}

fn adult_page(request: &HttpRequest, rider: &str, number: usize) -> (Page, Ways) {
    (staff_page(request, "Name and telephone of an adult"), ways(rider, &format!("adults/{number}/about")))
}

/// The form about an adult's name and telephone.
pub async fn adult(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    of: web::Path<(String, usize)>,
) -> Answer {
    let (rider, number) = of.into_inner();
    let (page, ways) = adult_page(&request, &rider, number);
    let now = blocking(&app, move |app| corrections::find_adult(app, &caller, &rider, number)).await?;
    shown_adult(page, ways, Side::Office, now)
}

/// Changes an adult's name and telephone.
pub async fn set_adult(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    of: web::Path<(String, usize)>,
    Typed(typed): Typed<AdultsAnswers>,
) -> Answer {
    let (rider, number) = of.into_inner();
    let (page, ways) = adult_page(&request, &rider, number);
    let answers = typed.clone();
    let done = blocking(&app, move |app| corrections::set_adult(app, &caller, &rider, number, &answers)).await?;
    adult_changed(page, ways, Side::Office, typed, &done)
}
