//! The page that staff turn round: the adult reads the consent in the language of choice, and signs.

use std::collections::BTreeMap;

use actix_web::{HttpRequest, web};
use askama::Template;

use crate::domain::cautions::CautionKey;
use crate::domain::refusal::Refusal;
use crate::domain::words::{Lang, Word};
use crate::services::signed_consents::{self, Signature, Signer};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_as};
use crate::web::caller::Asking;
use crate::web::context::turned_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::signing::{self, Signing};
use crate::web::{blocking, consent_form};

#[derive(Template)]
#[template(path = "walk_up/sign.html")]
struct Sign {
    page: Page,
    errors: FieldErrors,
    /// The form's address without the language.
    way: String,
    /// The staff's page of this registration.
    back: String,
    signing: Signing,
}

fn sign_page(page: Page, back: String, signing: Signing, errors: FieldErrors) -> Sign {
    let title = page.t2("walk-up-sign-title", "adult", &signing.signer, "name", &signing.given);
    let page = page.with_title(title).with_errors(errors.len()).with_caution(CautionKey::Consent);
    Sign { page, errors, way: format!("{back}/sign"), back, signing }
}

type Path = web::Path<(String, String, String)>;

/// Whose signature an address asks for, in which language, and the staff's page of that registration.
fn asked(path: Path) -> Result<(Signer, Lang, String), Failure> {
    let (session, registration, language) = path.into_inner();
    let lang = Lang::from_word(&language).ok_or(Failure::NotFound)?;
    let back = format!("/walk-up/{session}/{registration}");
    Ok((Signer::BesideStaff { session, registration }, lang, back))
}

/// The texts that are to be signed.
pub async fn edit(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking, path: Path) -> Answer {
    let (signer, lang, back) = asked(path)?;
    match blocking(&app, move |app| signed_consents::to_sign(app, &caller, &signer, lang)).await {
        Ok(to_sign) => {
            let signing = Signing::new(&to_sign, &Signature::default());
            shown(&sign_page(turned_page(&request, lang, ""), back, signing, FieldErrors::default()))
        }
        // Nothing is to be signed: the staff's page says so.
        Err(Failure::Refused(Refusal::WorldMoved)) => Ok(go(&back)),
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
    let (signer, lang, back) = asked(path)?;
    let sent = consent_form::signature(&fields);
    let pressed = signing::press(&app, caller, signer, lang, &sent).await?;
    let page = turned_page(&request, lang, "");
    match signing::again(&page, pressed, &sent) {
        None => Ok(go(&back)),
        Some((signing, errors, status)) => shown_as(status, &sign_page(page, back, signing, errors)),
    }
}
