//! Reading, ticking and signing the texts of a registration: what such a page shows, and what became of its press. At home
//! and on a screen that staff turn round alike.

use actix_web::http::StatusCode;
use actix_web::web;

use super::consent_form::{self, ConsentForm};
use super::form::FieldErrors;
use super::page::Page;
use super::{blocking, refusal_words};
use crate::domain::access::Caller;
use crate::domain::refusal::Refusal;
use crate::domain::words::Lang;
use crate::services::register::faults::Faults;
use crate::services::signed_consents::{self, Signature, Signer, ToSign};
use crate::services::{App, Failure};

/// The texts with what was ticked and typed.
pub struct Signing {
    /// That a text changed while it was read; empty otherwise.
    pub changed: String,
    /// What others advise against.
    pub caution: String,
    /// The consent to ride, when it is to be signed.
    pub ride: Option<ConsentForm>,
    /// The consent to pictures, when it can be signed.
    pub photo: Option<ConsentForm>,
    /// The name as typed.
    pub signature: String,
    /// The name that is to be typed.
    pub signer: String,
    /// The child's given name.
    pub given: String,
}

impl Signing {
    /// The texts as they are now, with what was sent.
    #[must_use]
    pub fn new(to_sign: &ToSign, sent: &Signature) -> Self {
        let ride = to_sign.ride.as_ref();
        Self {
            changed: String::new(),
            caution: ride.and_then(|ride| ride.text.caution.clone()).unwrap_or_default(),
            ride: ride.map(|ride| ConsentForm::new(ride, "ride", &sent.ticks)),
            photo: to_sign.photo.as_ref().map(|photo| ConsentForm::new(photo, "photo", &sent.photo_ticks)),
            signature: sent.name.clone(),
            signer: to_sign.signer.clone(),
            given: to_sign.given.clone(),
        }
    }
}

/// What became of a press.
pub enum Pressed {
    /// It is signed, or there was nothing to sign.
    Over,
    /// The signature does not count yet.
    Faulty(ToSign, Faults),
    /// A text is another by now.
    Changed(ToSign, Refusal),
}

/// Signs.
///
/// # Errors
/// What the services give.
pub async fn press(
    app: &web::Data<App>,
    caller: Caller,
    signer: Signer,
    lang: Lang,
    sent: &Signature,
) -> Result<Pressed, Failure> {
    let (asks, asked, signature) = (caller.clone(), signer.clone(), sent.clone());
    let signed = blocking(app, move |app| signed_consents::sign(app, &asks, &asked, lang, &signature)).await;
    let not_yet = match signed {
        Ok(Ok(())) | Err(Failure::Refused(Refusal::WorldMoved)) => return Ok(Pressed::Over),
        Ok(Err(faults)) => Ok(faults),
        Err(Failure::Refused(refusal @ Refusal::ConsentChanged)) => Err(refusal),
        Err(failure) => return Err(failure),
    };
    let to_sign = blocking(app, move |app| signed_consents::to_sign(app, &caller, &signer, lang)).await?;
    Ok(match not_yet {
        Ok(faults) => Pressed::Faulty(to_sign, faults),
        Err(refusal) => Pressed::Changed(to_sign, refusal),
    })
}

/// The page of a press that was not the last: its texts, what is wrong at its fields, and its status. `page` speaks the
/// language of the texts.
#[must_use]
pub fn again(page: &Page, pressed: Pressed, sent: &Signature) -> Option<(Signing, FieldErrors, StatusCode)> {
    match pressed {
        Pressed::Over => None,
        Pressed::Faulty(to_sign, faults) => {
            let errors = consent_form::errors(page, &to_sign.texts(), &faults);
            Some((Signing::new(&to_sign, sent), errors, StatusCode::UNPROCESSABLE_ENTITY))
        }
        // Ticks belong to the text that was read: only the name stays.
        Pressed::Changed(to_sign, refusal) => {
            let name_alone = Signature { name: sent.name.clone(), ..Signature::default() };
            let changed = refusal_words::words(page.lang, &refusal);
            let signing = Signing { changed, ..Signing::new(&to_sign, &name_alone) };
            Some((signing, FieldErrors::default(), refusal_words::status(&refusal)))
        }
    }
}
