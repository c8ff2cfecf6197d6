//! The headers that every answer carries, errors included. Wrapped outermost, so that nothing slips past.
//!
//! No header here ever lets another site read an answer.

use actix_web::body::MessageBody;
use actix_web::dev::{ServiceRequest, ServiceResponse};
use actix_web::http::header::{self, HeaderMap, HeaderName, HeaderValue};
use actix_web::middleware::Next;
use actix_web::{Error, web};

use crate::services::App;

/// Our own files and nothing else; no inline code, no frames, no plug-ins.
pub const CONTENT_SECURITY_POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; \
     img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'; \
     object-src 'none'; manifest-src 'self'; worker-src 'self'";

/// What no page may use of a device. What a few may use stands apart: whether the screen may stay on, as `$awake`, and
/// where the reader is, as `$where`.
macro_rules! permissions {
    ($awake:literal, $where:literal) => {
        concat!(
            "accelerometer=(), autoplay=(), bluetooth=(), browsing-topics=(), camera=(), display-capture=(), \
             fullscreen=(), geolocation=",
            $where,
            ", gyroscope=(), hid=(), microphone=(), midi=(), payment=(), publickey-credentials-get=(), \
             screen-wake-lock=",
            $awake,
            ", serial=(), usb=()"
        )
    };
}

const ALWAYS: [(&str, &str); 7] = [
    ("content-security-policy", CONTENT_SECURITY_POLICY),
    ("x-content-type-options", "nosniff"),
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", permissions!("()", "()")),
    ("x-frame-options", "DENY"),
];

/// Lets the page of this answer keep the screen on while it is in sight.
pub fn let_the_screen_stay_on(headers: &mut HeaderMap) {
    headers
        .insert(HeaderName::from_static("permissions-policy"), HeaderValue::from_static(permissions!("(self)", "()")));
}

/// Lets the page of this answer ask the device where it is. What it learns stays there unless a script sends it, and
/// ours sends nothing.
pub fn let_the_page_ask_where_it_is(headers: &mut HeaderMap) {
    headers
        .insert(HeaderName::from_static("permissions-policy"), HeaderValue::from_static(permissions!("()", "(self)")));
}

/// Puts the headers on whatever comes back.
///
/// # Errors
/// Passes on what the inner service gives; the door inside has turned every failure into a page.
pub async fn on_every_answer(
    app: web::Data<App>,
    request: ServiceRequest,
    next: Next<impl MessageBody + 'static>,
) -> Result<ServiceResponse<impl MessageBody>, Error> {
    let https = app.settings.server.is_https();
    let mut response = next.call(request).await?;
    put(response.headers_mut(), https);
    Ok(response)
}

fn put(headers: &mut HeaderMap, https: bool) {
    for (name, value) in ALWAYS {
        // A page that needs the camera says so itself, by a policy of its own.
        if !headers.contains_key(name) {
            headers.insert(HeaderName::from_static(name), HeaderValue::from_static(value));
        }
    }
    if https {
        headers
            .insert(header::STRICT_TRANSPORT_SECURITY, HeaderValue::from_static("max-age=63072000; includeSubDomains"));
    }
    if !headers.contains_key(header::CACHE_CONTROL) {
        headers.insert(header::CACHE_CONTROL, HeaderValue::from_static("no-store"));
    }
}
