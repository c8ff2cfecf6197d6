//! Which browser a request comes from, in a few words for a person's list of sign-ins. Never used to decide anything.

use actix_web::HttpRequest;
use actix_web::http::header;

use crate::domain::words::Lang;
use crate::language;

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
