//! Our own styles, scripts and pictures. Their address changes with their bytes, so browsers may keep them for a year.

use actix_web::http::header::{self, AcceptEncoding, Encoding, Header};
use actix_web::{HttpRequest, HttpResponse, web};

use crate::web::answer::{Answer, Trouble};
use crate::web::assets;

/// One file: packed, where the browser can unpack it.
///
/// # Errors
/// `NotFound` for a name or a fingerprint that is not ours.
pub async fn show(request: HttpRequest, path: web::Path<(String, String)>) -> Answer {
    let (print, name) = path.into_inner();
    let asset = assets::find(&print, &name).ok_or(Trouble::NotFound)?;
    let mut answer = HttpResponse::Ok();
    answer
        .content_type(asset.kind)
        .insert_header((header::CACHE_CONTROL, "public, max-age=31536000, immutable"))
        .insert_header((header::VARY, "accept-encoding"));
    match asset.packed.filter(|_| unpacks(&request)) {
        Some(packed) => Ok(answer.insert_header((header::CONTENT_ENCODING, "gzip")).body(packed)),
        None => Ok(answer.body(asset.bytes)),
    }
}

/// Whether the browser likes gzip at least as well as bytes as they are.
fn unpacks(request: &HttpRequest) -> bool {
    let offered = [Encoding::gzip(), Encoding::identity()];
    AcceptEncoding::parse(request).is_ok_and(|wants| wants.negotiate(offered.iter()) == Some(Encoding::gzip()))
}
