//! Signing a consent text for a registration that is there: a text that is new, or one that was taken back. And taking back.

use std::collections::BTreeMap;

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::cautions::CautionKey;
use crate::services::signed_consents::{self, Copies, Copy, Signature, Signer};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_as};
use crate::web::caller::Asking;
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::signing::{self, Signing};
use crate::web::{blocking, consent_form, context};

fn path(reference: &str) -> String {
    format!("/registrations/{reference}")
}

#[derive(Template)]
#[template(path = "registration/sign.html")]
struct Sign {
    page: Page,
    errors: FieldErrors,
    back: String,
    signing: Signing,
}

fn sign_page(page: Page, back: String, signing: Signing, errors: FieldErrors) -> Sign {
    let title = page.t1("sign-title", "name", &signing.given);
    let page = page.with_title(title).with_errors(errors.len()).with_caution(CautionKey::Consent);
    Sign { page, errors, back, signing }
}

/// The texts that are to be signed.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let (lang, back, signer) = (context::lang(&request), path(&reference), Signer::Own(reference.into_inner()));
    match blocking(&app, move |app| signed_consents::to_sign(app, &caller, &signer, lang)).await {
        Ok(to_sign) => {
            let page = context::page(&request, "nav-registrations");
            let signing = Signing::new(&to_sign, &Signature::default());
            shown(&sign_page(page, back, signing, FieldErrors::default()))
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
    let (lang, back, signer) = (context::lang(&request), path(&reference), Signer::Own(reference.into_inner()));
    let pressed = signing::press(&app, caller, signer, lang, &sent).await?;
    let page = context::page(&request, "nav-registrations");
    match signing::again(&page, pressed, &sent) {
        None => Ok(go(&format!("{back}/consent"))),
        Some((signing, errors, status)) => shown_as(status, &sign_page(page, back, signing, errors)),
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
