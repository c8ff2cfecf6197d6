//! A guardian's child, put right.

use actix_web::{HttpRequest, web};

use super::path;
use crate::domain::access::Caller;
use crate::services::App;
use crate::services::places::Side;
use crate::services::register::answers::RiderAnswers;
use crate::web::answer::Answer;
use crate::web::caller::Asking;
use crate::web::context;
use crate::web::corrections::{Correcting, Ways};
use crate::web::form::Typed;

fn correcting(request: &HttpRequest, app: web::Data<App>, caller: Caller, rider: String) -> Correcting {
    let page = context::page(request, "nav-riders");
    let back = path(&rider);
    let ways = Ways { action: format!("{back}/edit"), back, back_words: page.t("adult-leave-back") };
    Correcting { page, app, caller, side: Side::Family, reference: rider, ways }
}

/// The form.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    rider: web::Path<String>,
) -> Answer {
    correcting(&request, app, caller, rider.into_inner()).child().await
}

/// Changes the child.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    rider: web::Path<String>,
    Typed(typed): Typed<RiderAnswers>,
) -> Answer {
    correcting(&request, app, caller, rider.into_inner()).set_child(typed).await
}
