//! The one file that a form of ours brings, read whole and bounded (bar S50). What it is, its reader finds out.

use actix_web::dev::Payload;
use actix_web::http::header;
use actix_web::{FromRequest, HttpMessage, HttpRequest};
use futures_util::future::{Ready, ready};
use futures_util::stream::{self};
use multer::{Constraints, Multipart, SizeLimit};

use super::answer::Trouble;
use super::door::read_body;
use super::form::{RawForm, TOKEN_FIELD};

/// The most bytes of a file.
pub const MOST: usize = 10_000 * 1024;
/// What stands around it in the body of a form.
const AROUND: usize = 16 * 1024;
/// The field of the file.
const FILE: &str = "file";

/// A file as it came. Without one in the form it is empty and has no name.
#[derive(Debug, Clone, Default)]
pub struct Upload {
    /// What the sender calls it; says nothing about what it is.
    pub name: String,
    /// Its bytes.
    pub bytes: actix_web::web::Bytes,
}

impl FromRequest for Upload {
    type Error = Trouble;
    type Future = Ready<Result<Self, Trouble>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(request.extensions().get::<Self>().cloned().ok_or(Trouble::Malformed))
    }
}

/// Reads a form with a file; gives its other answers as the text of an ordinary form.
///
/// # Errors
/// `TooLarge`; `Malformed` for what no form of ours sends: two files, two tokens, another kind of body.
pub(super) async fn read(request: &HttpRequest, payload: &mut Payload) -> Result<String, Trouble> {
    let body = read_body(request, payload, MOST + AROUND).await?;
    let kind = request.headers().get(header::CONTENT_TYPE).and_then(|kind| kind.to_str().ok());
    let boundary = kind.and_then(|kind| multer::parse_boundary(kind).ok()).ok_or(Trouble::Malformed)?;
    let size = SizeLimit::new().for_field(FILE, MOST as u64).for_field(TOKEN_FIELD, 1024);
    let constraints = Constraints::new().size_limit(size);
    let whole = stream::once(ready(Ok::<_, std::convert::Infallible>(body)));
    let mut parts = Multipart::with_constraints(whole, boundary, constraints);
    let (mut token, mut file): (Option<String>, Option<Upload>) = (None, None);
    while let Some(part) = parts.next_field().await.map_err(trouble)? {
        let name = part.file_name().unwrap_or_default().to_owned();
        match part.name() {
            Some(FILE) if file.is_none() => {
                file = Some(Upload { name, bytes: part.bytes().await.map_err(trouble)? });
            }
            Some(TOKEN_FIELD) if token.is_none() => token = Some(part.text().await.map_err(trouble)?),
            Some(FILE | TOKEN_FIELD) | None => return Err(Trouble::Malformed),
            // Nobody asked for it, and nobody reads it.
            Some(_) => {}
        }
    }
    let text = format!("{TOKEN_FIELD}={}", token.unwrap_or_default());
    request.extensions_mut().insert(RawForm(text.clone()));
    request.extensions_mut().insert(file.unwrap_or_default());
    Ok(text)
}

fn trouble(error: multer::Error) -> Trouble {
    match error {
        multer::Error::FieldSizeExceeded { .. } | multer::Error::StreamSizeExceeded { .. } => Trouble::TooLarge,
        _ => Trouble::Malformed,
    }
}
