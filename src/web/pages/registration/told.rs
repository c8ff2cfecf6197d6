//! What a family told for one registration, put right: whom to call, who takes the child home, health answers.

use actix_web::{HttpRequest, web};

use crate::domain::access::Caller;
use crate::services::App;
use crate::services::places::Side;
use crate::services::register::answers::{AdultsAnswers, HealthAnswers};
use crate::web::answer::Answer;
use crate::web::caller::Asking;
use crate::web::context;
use crate::web::corrections::{Correcting, Ways};
use crate::web::form::Typed;

fn correcting(request: &HttpRequest, app: web::Data<App>, caller: Caller, reference: String, what: &str) -> Correcting {
    let page = context::page(request, "nav-registrations");
    let back = format!("/registrations/{reference}");
    let ways = Ways { action: format!("{back}/{what}"), back, back_words: page.t("correction-back") };
    Correcting { page, app, caller, side: Side::Family, reference, ways }
}

/// The form about people.
pub async fn people(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    correcting(&request, app, caller, reference.into_inner(), "people").people().await
}

/// Changes the people.
pub async fn set_people(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(typed): Typed<AdultsAnswers>,
) -> Answer {
    correcting(&request, app, caller, reference.into_inner(), "people").set_people(typed).await
}

/// The form about health.
pub async fn health(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    correcting(&request, app, caller, reference.into_inner(), "health").health().await
}

/// Changes the health answers.
pub async fn set_health(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(typed): Typed<HealthAnswers>,
) -> Answer {
    correcting(&request, app, caller, reference.into_inner(), "health").set_health(typed).await
}
