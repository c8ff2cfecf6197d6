//! What a family told for one registration, put right by the office for a family that called. Health answers go in and
//! never come back out.

use actix_web::{HttpRequest, web};

use super::{Path, address, asked};
use crate::domain::access::Caller;
use crate::services::places::Side;
use crate::services::register::answers::{AdultsAnswers, HealthAnswers};
use crate::services::{App, Failure};
use crate::web::answer::Answer;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::corrections::{Correcting, Ways};
use crate::web::form::Typed;

async fn correcting(
    request: HttpRequest,
    app: web::Data<App>,
    caller: Caller,
    path: Path,
    what: &str,
) -> Result<Correcting, Failure> {
    let page = staff_page(&request, "");
    let (session, reference) = (path.0.clone(), path.1.clone());
    // The place must be one of this session before anything is done with it.
    let sheet = asked(request, app.clone(), caller.clone(), path).sheet().await?;
    let back = address(&session, &reference);
    let ways = Ways { action: format!("{back}/{what}"), back, back_words: sheet.receipt.name };
    Ok(Correcting { page, app, caller, side: Side::Office, reference, ways })
}

/// The form about people.
pub async fn people(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking, path: Path) -> Answer {
    correcting(request, app, caller, path, "people").await?.people().await
}

/// Changes the people.
pub async fn set_people(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: Path,
    Typed(typed): Typed<AdultsAnswers>,
) -> Answer {
    correcting(request, app, caller, path, "people").await?.set_people(typed).await
}

/// The form about health, blank.
pub async fn health(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking, path: Path) -> Answer {
    correcting(request, app, caller, path, "health").await?.health().await
}

/// Writes the health answers anew.
pub async fn set_health(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: Path,
    Typed(typed): Typed<HealthAnswers>,
) -> Answer {
    correcting(request, app, caller, path, "health").await?.set_health(typed).await
}
