//! Whether the process runs, and whether it can serve. Says nothing else to anybody.

use actix_web::{HttpResponse, web};

use crate::services::{App, health};
use crate::web::answer::Answer;
use crate::web::blocking;

/// The process runs.
///
/// # Errors
/// None.
pub async fn live() -> Answer {
    Ok(HttpResponse::Ok().content_type("text/plain; charset=utf-8").body("live\n"))
}

/// The database answers and has the schema of this program.
///
/// # Errors
/// `Busy` while it does not.
pub async fn ready(app: web::Data<App>) -> Answer {
    blocking(&app, health::ready).await?;
    Ok(HttpResponse::Ok().content_type("text/plain; charset=utf-8").body("ready\n"))
}
