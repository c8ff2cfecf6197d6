//! Signing a consent text for a registration that is there: a text that is new, or one that was taken back. And taking back.

use std::collections::BTreeMap;

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::cautions::CautionKey;
use crate::domain::refusal::Refusal;
use crate::services::signed_consents::{self, Copies, Copy, Signature, Signer, ToSign};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again, shown_as};
use crate::web::caller::Asking;
use crate::web::consent_form::{self, ConsentForm};
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::{blocking, context, refusal_words};

fn path(reference: &str) -> String {
    format!("/registrations/{reference}")
}

#[derive(Template)]
#[template(path = "registration/sign.html")]
struct Sign {
    page: Page,
    errors: FieldErrors,
    back: String,
    /// That the text changed while it was read; empty otherwise.
    changed: String,
    /// What others advise against.
    caution: String,
    ride: Option<ConsentForm>,
    photo: Option<ConsentForm>,
    signature: String,
    signer: String,
    given: String,
}

fn sign_page(page: Page, to_sign: ToSign, sent: &Signature, errors: FieldErrors, changed: String) -> Sign {
    let title = page.t1("sign-title", "name", &to_sign.given);
    Sign {
        page: page.with_title(title).with_errors(errors.len()).with_caution(CautionKey::Consent),
        back: path(&to_sign.reference),
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

/// The texts that are to be signed.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let (lang, back) = (context::lang(&request), path(&reference));
    match blocking(&app, move |app| signed_consents::to_sign(app, &caller, &Signer::Own(reference.into_inner()), lang))
        .await
    {
        Ok(to_sign) => {
            let page = context::page(&request, "nav-registrations");
            shown(&sign_page(page, to_sign, &Signature::default(), FieldErrors::default(), String::new()))
        }
        // Nothing is to be signed: the page of what was signed says so.
        Err(Failure::Refused(_)) => Ok(go(&format!("{back}/consent"))),
        Err(failure) => Err(failure.into()),
    }
}

/// Signs.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(fields): Typed<BTreeMap<String, String>>,
) -> Answer {
    let sent = consent_form::signature(&fields);
    let (lang, back) = (context::lang(&request), path(&reference));
    let signer = Signer::Own(reference.into_inner());
    let (asks, asked, signature) = (caller.clone(), signer.clone(), sent.clone());
    let signed = blocking(&app, move |app| signed_consents::sign(app, &asks, &asked, lang, &signature)).await;
    let faults = match signed {
        Ok(Ok(())) => return Ok(go(&format!("{back}/consent"))),
        Ok(Err(faults)) => Ok(faults),
        Err(Failure::Refused(refusal @ Refusal::ConsentChanged)) => Err(refusal),
        Err(Failure::Refused(Refusal::WorldMoved)) => return Ok(go(&format!("{back}/consent"))),
        Err(failure) => return Err(failure.into()),
    };
    let to_sign = blocking(&app, move |app| signed_consents::to_sign(app, &caller, &signer, lang)).await?;
    let page = context::page(&request, "nav-registrations");
    match faults {
        Ok(faults) => {
            let errors = consent_form::errors(&page, &to_sign.texts(), &faults);
            shown_again(&sign_page(page, to_sign, &sent, errors, String::new()))
        }
        // Ticks belong to the text that was read: only the name stays.
        Err(refusal) => {
            let (words, status) = (refusal_words::words(page.lang, &refusal), refusal_words::status(&refusal));
            let sent = Signature { name: sent.name, ..Signature::default() };
            shown_as(status, &sign_page(page, to_sign, &sent, FieldErrors::default(), words))
        }
    }
}

#[derive(Template)]
#[template(path = "registration/withdraw.html")]
struct Withdraw {
    page: Page,
    back: String,
    title: String,
    fingerprint: String,
    is_ride: bool,
    rider: String,
}

/// Which text is meant.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Meant {
    text: String,
}

fn find<'a>(copies: &'a Copies, meant: &Meant) -> Result<&'a Copy, Trouble> {
    let found = copies.signed.iter().find(|one| one.is_own && one.fingerprint == meant.text);
    found.ok_or(Trouble::from(Failure::NotFound))
}

/// Asks once more before a consent is taken back.
pub async fn leaving(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Asked(meant): Asked<Meant>,
) -> Answer {
    let (lang, back) = (context::lang(&request), path(&reference));
    let copies = blocking(&app, move |app| signed_consents::show(app, &caller, &reference, lang)).await?;
    let copy = find(&copies, &meant)?;
    if copy.withdrawn_at.is_some() {
        return Ok(go(&format!("{back}/consent")));
    }
    shown(&Withdraw {
        page: context::page(&request, "withdraw-title"),
        back,
        title: copy.text.title.clone(),
        fingerprint: copy.fingerprint.clone(),
        is_ride: copy.text.kind == crate::domain::consent::ConsentKind::Ride,
        rider: copies.rider.clone(),
    })
}

/// Takes a consent back.
pub async fn withdraw(
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(meant): Typed<Meant>,
) -> Answer {
    let back = format!("{}/consent", path(&reference));
    blocking(&app, move |app| signed_consents::withdraw(app, &caller, &reference, &meant.text)).await?;
    Ok(go(&back))
}
