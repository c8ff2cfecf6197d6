//! Checking a certificate by its code, its paper, and taking it back. The check page never shows a name.

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::cautions::CautionKey;
use crate::domain::certificate::{BadCode, CertificateCode, CertificateState};
use crate::domain::refusal::Refusal;
use crate::domain::words::{Line, WordFault};
use crate::language;
use crate::services::certificates::{self, Checked};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, pdf, shown, shown_again};
use crate::web::caller::Asking;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::{blocking, context};

#[derive(Template)]
#[template(path = "certificate/new.html")]
struct New {
    page: Page,
    errors: FieldErrors,
    code: String,
}

#[derive(Template)]
#[template(path = "certificate/show.html")]
struct Show {
    page: Page,
    errors: FieldErrors,
    state_words: String,
    kind: &'static str,
    shape: &'static str,
    says: String,
    next: String,
    grouped: String,
    code: String,
    told: Vec<(String, String)>,
    may_revoke: bool,
    reason: String,
}

/// What a stranger typed.
#[derive(Debug, Default, Deserialize)]
pub struct Typing {
    #[serde(default)]
    code: String,
}

/// The form for a code.
pub async fn new(request: HttpRequest) -> Answer {
    shown(&form(&request, FieldErrors::default(), String::new()))
}

fn form(request: &HttpRequest, errors: FieldErrors, code: String) -> New {
    let page = context::page(request, "certificate-check-title").with_caution(CautionKey::Certificate);
    New { page: page.with_errors(errors.len()), errors, code }
}

/// Leads to the check page of the typed code, or tells kindly what is wrong with it.
pub async fn create(request: HttpRequest, Typed(typed): Typed<Typing>) -> Answer {
    match CertificateCode::parse(&typed.code) {
        Ok(code) => Ok(go(&format!("/c/{code}"))),
        Err(bad) => told_again(&request, bad, typed.code),
    }
}

fn told_again(request: &HttpRequest, bad: BadCode, typed: String) -> Answer {
    let key = match bad {
        BadCode::Length => "certificate-bad-length",
        BadCode::Character => "certificate-bad-character",
        BadCode::Check => "certificate-bad-check",
    };
    let mut errors = FieldErrors::default();
    errors.add("code", language::say(context::lang(request), key, &[]));
    shown_again(&form(request, errors, typed))
}

/// The check page, to which the printed square leads.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    code: web::Path<String>,
) -> Answer {
    let code = match CertificateCode::parse(&code) {
        Ok(code) => code,
        Err(bad) => return told_again(&request, bad, code.into_inner()),
    };
    let lang = context::lang(&request);
    let checked = blocking(&app, move |app| certificates::check(app, &caller, code, lang)).await?;
    shown(&answered(&request, &checked, FieldErrors::default(), String::new()))
}

fn answered(request: &HttpRequest, checked: &Checked, errors: FieldErrors, reason: String) -> Show {
    let page = context::page(request, "certificate-check-title").with_caution(CautionKey::Certificate);
    let (state, kind, shape) = match checked.state {
        CertificateState::Valid => ("valid", "met", "met"),
        CertificateState::ValidFrom(_) => ("later", "adapted", "adapted"),
        CertificateState::NotYetConfirmed => ("unconfirmed", "practice", "practice"),
        CertificateState::Revoked => ("revoked", "not-met", "notmet"),
        CertificateState::Unknown => ("unknown", "not-measured", "none"),
    };
    let day = |day| language::date_short(page.lang, day);
    let says = match checked.state {
        CertificateState::ValidFrom(from) => page.t1("certificate-says-later", "day", day(from)),
        _ => page.t(&format!("certificate-says-{state}")),
    };
    let told = checked.told.iter().flat_map(|told| {
        [
            (page.t("certificate-course"), told.course.clone()),
            (page.t("certificate-completed"), day(told.completed_on)),
            (page.t("certificate-initials"), told.initials.clone()),
        ]
    });
    Show {
        state_words: page.t(&format!("certificate-state-{state}")),
        kind,
        shape,
        says,
        next: page.t(&format!("certificate-next-{state}")),
        grouped: checked.code.grouped(),
        code: checked.code.to_string(),
        told: told.collect(),
        may_revoke: checked.may_revoke,
        reason,
        page: page.with_errors(errors.len()),
        errors,
    }
}

/// The paper, as a file to take away. A browser must not run anything in it.
pub async fn paper(app: web::Data<App>, Asking(caller): Asking, code: web::Path<String>) -> Answer {
    let file = blocking(&app, move |app| certificates::paper(app, &caller, &code)).await?;
    Ok(pdf(&file.name, file.bytes))
}

/// Why a certificate is taken back.
#[derive(Debug, Default, Deserialize)]
pub struct Reason {
    #[serde(default)]
    reason: String,
}

/// Takes a certificate back and shows how it stands now.
pub async fn revoke(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    code: web::Path<String>,
    Typed(typed): Typed<Reason>,
) -> Answer {
    let lang = context::lang(&request);
    let key = match Line::parse(&typed.reason, 300) {
        Ok(reason) => {
            let code = blocking(&app, move |app| certificates::revoke(app, &caller, &code, &reason)).await?;
            return Ok(go(&format!("/c/{code}")));
        }
        Err(WordFault::Malformed) => "form-wrong-characters",
        Err(WordFault::Empty | WordFault::TooLong { .. }) => "certificate-revoke-reason-missing",
    };
    let known = CertificateCode::parse(&code).map_err(|_| Trouble::NotFound)?;
    let checked = blocking(&app, move |app| certificates::check(app, &caller, known, lang)).await?;
    if checked.state == CertificateState::Revoked {
        return Err(Failure::Refused(Refusal::AlreadyRevoked).into());
    } else if !checked.may_revoke {
        return Err(Trouble::NotFound);
    }
    let mut errors = FieldErrors::default();
    errors.add("reason", language::say(lang, key, &[]));
    shown_again(&answered(&request, &checked, errors, typed.reason))
}
