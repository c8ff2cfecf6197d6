//! The sessions to come as files that others may fetch and keep for a while: `calendar.ics` and `sessions.json`. They
//! belong to nobody, so they read no cookie; the language of the calendar stands in its address.

use actix_web::http::header::{self, EntityTag, Header, IfNoneMatch};
use actix_web::{HttpRequest, HttpResponse, web};
use sha2::{Digest, Sha256};

use super::Filter;
use crate::domain::words::Lang;
use crate::services::App;
use crate::services::browse::{self, Announced, Near, Wanted, feed};
use crate::web::answer::{Answer, Trouble};
use crate::web::blocking;
use crate::web::form::Asked;

/// How long a copy may be used unasked, in seconds: as long as a seat shown on a kitchen table may be wrong.
const FRESH: u32 = 300;

/// The calendar.
pub async fn calendar(request: HttpRequest, app: web::Data<App>, Asked(filter): Asked<Filter>) -> Answer {
    let (wanted, lang) = (filter.usable()?, Lang::parse(&filter.words).unwrap_or(Lang::En));
    let file = written(&app, wanted, move |app, sessions| feed::calendar(app, sessions, lang)).await?;
    kept(&request, feed::CALENDAR_MEDIA, file)
}

/// The list.
pub async fn json(request: HttpRequest, app: web::Data<App>, Asked(filter): Asked<Filter>) -> Answer {
    let wanted = filter.usable()?;
    let file = written(&app, wanted, feed::json).await?;
    kept(&request, "application/json", file)
}

/// What is found, as a file. To look from a county that the state does not have is to ask wrongly.
async fn written(
    app: &web::Data<App>,
    wanted: Wanted,
    write: impl FnOnce(&App, &[Announced]) -> String + Send + 'static,
) -> Result<String, Trouble> {
    let file = blocking(app, move |app| {
        let coming = browse::coming(app, &wanted)?;
        Ok((coming.near != Near::Unknown).then(|| write(app, &coming.sessions)))
    });
    file.await?.ok_or(Trouble::Malformed)
}

/// The file with its tag, or only the word that the reader's copy is still right.
fn kept(request: &HttpRequest, media: &'static str, file: String) -> Answer {
    let print: String = Sha256::digest(file.as_bytes()).iter().take(16).map(|byte| format!("{byte:02x}")).collect();
    let tag = EntityTag::new_strong(print);
    let known = match IfNoneMatch::parse(request) {
        Ok(IfNoneMatch::Any) => true,
        Ok(IfNoneMatch::Items(tags)) => tags.iter().any(|one| one.weak_eq(&tag)),
        Err(_) => false,
    };
    let mut answer = if known { HttpResponse::NotModified() } else { HttpResponse::Ok() };
    answer.insert_header(header::ETag(tag));
    answer.insert_header((header::CACHE_CONTROL, format!("public, max-age={FRESH}")));
    if known {
        return Ok(answer.finish());
    }
    Ok(answer.content_type(media).body(file))
}

impl Filter {
    /// What is wanted, when every part of it can be read: a program that asks wrongly is told so.
    fn usable(&self) -> Result<Wanted, Trouble> {
        if self.faults().is_empty() { Ok(self.wanted()) } else { Err(Trouble::Malformed) }
    }
}
