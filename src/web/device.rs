//! Which browser a request comes from, in a few words for a person's list of sign-ins. The words decide nothing; the
//! network address counts wrong tries.

use actix_web::http::header;
use actix_web::{HttpRequest, web};

use crate::domain::words::Lang;
use crate::language;
use crate::services::App;
use crate::services::sign_in::Origin;

use super::context;
use super::limits::{self, Key};

/// Where a request that signs in comes from.
#[must_use]
pub fn origin(request: &HttpRequest) -> Origin {
    let app = request.app_data::<web::Data<App>>();
    let trusted = app.map(|app| app.settings.server.trusted_proxies.as_slice()).unwrap_or_default();
    let address = match limits::address_key(limits::address_of(request, trusted)) {
        Key::Address(address) => address.to_string(),
        Key::Account(_) => String::new(),
    };
    Origin { device: of(request), address, request: context::request_id(request) }
}

/// Browser and system in a few words, for the list. Nothing of the header is kept as it came.
#[must_use]
pub fn of(request: &HttpRequest) -> String {
    let agent = request.headers().get(header::USER_AGENT).and_then(|value| value.to_str().ok()).unwrap_or_default();
    let first = |known: &[(&str, &'static str)]| {
        known.iter().find(|(mark, _)| agent.contains(mark)).map_or("?", |(_, name)| name)
    };
    let browser = first(&[
        ("Edg/", "Edge"),
        ("Firefox/", "Firefox"),
        ("Chrome/", "Chrome"),
        ("CriOS/", "Chrome"),
        ("Safari/", "Safari"),
    ]);
    let system = first(&[
        ("Android", "Android"),
        ("iPhone", "iPhone"),
        ("iPad", "iPad"),
        ("Windows", "Windows"),
        ("Mac OS", "Mac"),
        ("Linux", "Linux"),
    ]);
    match (browser, system) {
        ("?", "?") => language::say(Lang::En, "sign-ins-unknown", &[]),
        (browser, "?") => browser.to_owned(),
        (browser, system) => format!("{browser}, {system}"),
    }
}
