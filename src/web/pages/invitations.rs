//! An invitation to answer for children, opened from a letter. Looking accepts nothing: programs that look at letters open
//! links too. Shows the children's first names and no more of the family.

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::refusal::Refusal;
use crate::domain::words::{PersonName, Phone};
use crate::language;
use crate::services::invitations::{self, Invited, Joining};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::{blocking, context, device, links, refusal_words};

/// What was typed.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Typing {
    given: String,
    family: String,
    phone: String,
}

#[derive(Template)]
#[template(path = "invitation/show.html")]
struct Show {
    page: Page,
    errors: FieldErrors,
    action: String,
    invited: Invited,
    children: String,
    typed: Typing,
}

fn invitation(request: &HttpRequest, token: &str, invited: Invited, typed: Typing, errors: FieldErrors) -> Show {
    let page = context::page(request, "invitation-title").with_errors(errors.len());
    Show {
        action: format!("/invitations/{}", links::encoded(token)),
        children: language::list(page.lang, &invited.children),
        invited,
        typed,
        errors,
        page,
    }
}

#[derive(Template)]
#[template(path = "invitation/done.html")]
struct Done {
    page: Page,
    /// Why the link serves no more; empty when somebody joined.
    over: String,
}

fn over(request: &HttpRequest, failure: Failure) -> Answer {
    let Failure::Refused(refusal) = failure else { return Err(failure.into()) };
    let title = if refusal == Refusal::LinkOver { "link-over-title" } else { "invitation-office-title" };
    let page = context::page(request, title);
    let over = if refusal == Refusal::LinkOver {
        page.t("invitation-over")
    } else {
        refusal_words::words(page.lang, &refusal)
    };
    shown_as(refusal_words::status(&refusal), &Done { page, over })
}

/// What a letter invites to.
pub async fn show(request: HttpRequest, app: web::Data<App>, token: web::Path<String>) -> Answer {
    let asked = token.clone();
    match blocking(&app, move |app| invitations::look(app, &asked)).await {
        Ok(invited) => shown(&invitation(&request, &token, invited, Typing::default(), FieldErrors::default())),
        Err(failure) => over(&request, failure),
    }
}

fn read(page: &Page, invited: &Invited, typed: &Typing) -> Result<Joining, FieldErrors> {
    let mut errors = FieldErrors::default();
    let name = PersonName::parse(&typed.given, &typed.family).ok();
    if invited.account.is_none() && name.is_none() {
        errors.add("given", page.t("adults-given-missing"));
    }
    let phone = Phone::parse(&typed.phone).ok();
    if invited.needs_phone && phone.is_none() {
        errors.add("phone", page.t("form-not-a-phone"));
    }
    if errors.is_empty() { Ok(Joining { name, phone, language: page.lang }) } else { Err(errors) }
}

/// Accepts.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    token: web::Path<String>,
    Typed(typed): Typed<Typing>,
) -> Answer {
    let asked = token.clone();
    let invited = match blocking(&app, move |app| invitations::look(app, &asked)).await {
        Ok(invited) => invited,
        Err(failure) => return over(&request, failure),
    };
    let joining = match read(&context::page(&request, "invitation-title"), &invited, &typed) {
        Ok(joining) => joining,
        Err(errors) => return shown_again(&invitation(&request, &token, invited, typed, errors)),
    };
    let (origin, way) = (device::origin(&request), format!("/invitations/{}", links::encoded(&token)));
    match blocking(&app, move |app| invitations::accept(app, &token, &joining, &origin)).await {
        Ok(joined) => match joined.token {
            Some(token) => context::signed_in(&request, &token, "/riders"),
            None => Ok(go("/invitations/done")),
        },
        // The address got an account in this moment: the page asks again what is still to be told.
        Err(Failure::Refused(Refusal::WorldMoved)) => Ok(go(&way)),
        Err(failure) => over(&request, failure),
    }
}

/// Somebody joined whose account was there already.
pub async fn done(request: HttpRequest) -> Answer {
    shown(&Done { page: context::page(&request, "invitation-done-title"), over: String::new() })
}
