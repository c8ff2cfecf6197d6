//! The page that staff turn round: the adult reads the consent in the language of choice, and signs.

use std::collections::BTreeMap;

use actix_web::{HttpRequest, web};
use askama::Template;

use crate::domain::access::Caller;
use crate::domain::cautions::CautionKey;
use crate::domain::refusal::Refusal;
use crate::domain::words::{Lang, Word};
use crate::services::signed_consents::{self, Signature, Signer, ToSign};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::caller::Asking;
use crate::web::consent_form::{self, ConsentForm};
use crate::web::context::turned_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::{blocking, refusal_words};

#[derive(Template)]
#[template(path = "walk_up/sign.html")]
struct Sign {
    page: Page,
    errors: FieldErrors,
    /// The form's address without the language.
    way: String,
    /// The staff's page of this registration.
    back: String,
    changed: String,
    caution: String,
    ride: Option<ConsentForm>,
    photo: Option<ConsentForm>,
    signature: String,
    signer: String,
    given: String,
}

/// One press on the page of one registration.
struct Turned {
    request: HttpRequest,
    caller: Caller,
    lang: Lang,
    back: String,
    signer: Signer,
}

type Path = web::Path<(String, String, String)>;

impl Turned {
    fn of(request: HttpRequest, caller: Caller, path: Path) -> Result<Self, Failure> {
        let (session, registration, language) = path.into_inner();
        let lang = Lang::from_word(&language).ok_or(Failure::NotFound)?;
        let back = format!("/walk-up/{session}/{registration}");
        Ok(Self { request, caller, lang, back, signer: Signer::BesideStaff { session, registration } })
    }

    async fn to_sign(&self, app: &web::Data<App>) -> Result<ToSign, Failure> {
        let (caller, signer, lang) = (self.caller.clone(), self.signer.clone(), self.lang);
        blocking(app, move |app| signed_consents::to_sign(app, &caller, &signer, lang)).await
    }

    fn page(&self, to_sign: ToSign, sent: &Signature, faults: Option<FieldErrors>, changed: String) -> Sign {
        let errors = faults.unwrap_or_default();
        let page = turned_page(&self.request, self.lang, "");
        let title = page.t2("walk-up-sign-title", "adult", &to_sign.signer, "name", &to_sign.given);
        Sign {
            page: page.with_title(title).with_errors(errors.len()).with_caution(CautionKey::Consent),
            way: format!("{}/sign", self.back),
            back: self.back.clone(),
            caution: to_sign.ride.as_ref().and_then(|ride| ride.text.caution.clone()).unwrap_or_default(),
            ride: to_sign.ride.as_ref().map(|ride| ConsentForm::new(ride, "ride", &sent.ticks)),
            photo: to_sign.photo.as_ref().map(|photo| ConsentForm::new(photo, "photo", &sent.photo_ticks)),
            signature: sent.name.clone(),
            signer: to_sign.signer,
            given: to_sign.given,
            changed,
            errors,
        }
    }
}

/// The texts that are to be signed.
pub async fn edit(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking, path: Path) -> Answer {
    let turned = Turned::of(request, caller, path)?;
    match turned.to_sign(&app).await {
        Ok(to_sign) => shown(&turned.page(to_sign, &Signature::default(), None, String::new())),
        // Nothing is to be signed: the staff's page says so.
        Err(Failure::Refused(Refusal::WorldMoved)) => Ok(go(&turned.back)),
        Err(failure) => Err(failure.into()),
    }
}

/// Signs.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: Path,
    Typed(fields): Typed<BTreeMap<String, String>>,
) -> Answer {
    let turned = Turned::of(request, caller, path)?;
    let sent = consent_form::signature(&fields);
    let (asks, signer, lang, signature) = (turned.caller.clone(), turned.signer.clone(), turned.lang, sent.clone());
    let signed = blocking(&app, move |app| signed_consents::sign(app, &asks, &signer, lang, &signature)).await;
    match signed {
        Ok(Ok(())) | Err(Failure::Refused(Refusal::WorldMoved)) => Ok(go(&turned.back)),
        Ok(Err(faults)) => {
            let to_sign = turned.to_sign(&app).await?;
            let page = turned_page(&turned.request, turned.lang, "");
            let errors = consent_form::errors(&page, &to_sign.texts(), &faults);
            shown_again(&turned.page(to_sign, &sent, Some(errors), String::new()))
        }
        // Ticks belong to the text that was read: only the name stays.
        Err(Failure::Refused(refusal @ Refusal::ConsentChanged)) => {
            let (words, status) = (refusal_words::words(turned.lang, &refusal), refusal_words::status(&refusal));
            let sent = Signature { name: sent.name, ..Signature::default() };
            let to_sign = turned.to_sign(&app).await?;
            shown_as(status, &turned.page(to_sign, &sent, None, words))
        }
        Err(failure) => Err(failure.into()),
    }
}
