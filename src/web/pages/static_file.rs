//! Our own styles, scripts and pictures. Their address changes with their bytes, so browsers may keep them for a year.

use actix_web::http::header;
use actix_web::{HttpResponse, web};

use crate::web::answer::{Answer, Trouble};
use crate::web::assets;

/// One file.
///
/// # Errors
/// `NotFound` for a name or a fingerprint that is not ours.
pub async fn show(path: web::Path<(String, String)>) -> Answer {
    let (print, name) = path.into_inner();
    let asset = assets::find(&print, &name).ok_or(Trouble::NotFound)?;
    Ok(HttpResponse::Ok()
        .content_type(asset.kind)
        .insert_header((header::CACHE_CONTROL, "public, max-age=31536000, immutable"))
        .body(asset.bytes))
}
