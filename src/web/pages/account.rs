//! One's own account: what it holds, and the forms that change the password, the address and the second step.

pub mod about;

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::services::account::{self, Account};
use crate::services::{App, Failure, mail_choice, sign_in, texts};
use crate::web::answer::{Answer, go, shown, shown_again};
use crate::web::caller::Asking;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::{blocking, context, refusal_words};

#[derive(Template)]
#[template(path = "account/show.html")]
struct Show {
    page: Page,
    account: Account,
}

/// The account.
pub async fn show(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let account = blocking(&app, move |app| account::find(app, &caller)).await?;
    shown(&Show { page: context::page(&request, "account-title"), account })
}

/// What the button says.
#[derive(Debug, Default, Deserialize)]
pub struct RemindersForm {
    #[serde(default)]
    reminders: String,
}

/// Turns reminders off, or on again.
pub async fn update_reminders(
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<RemindersForm>,
) -> Answer {
    if matches!(form.reminders.as_str(), "on" | "off") {
        blocking(&app, move |app| mail_choice::choose_own(app, &caller, form.reminders == "on")).await?;
    }
    Ok(go("/account"))
}

/// What the button of text messages says.
#[derive(Debug, Default, Deserialize)]
pub struct TextsForm {
    #[serde(default)]
    texts: String,
}

/// Turns text messages on or off, where there are any.
pub async fn update_texts(app: web::Data<App>, Asking(caller): Asking, Typed(form): Typed<TextsForm>) -> Answer {
    let wanted = form.texts == "on";
    if wanted || form.texts == "off" {
        blocking(&app, move |app| texts::choose_own(app, &caller, wanted)).await?;
    }
    Ok(go("/account#texts"))
}

#[derive(Template)]
#[template(path = "account/by_link.html")]
struct ByLink {
    page: Page,
    account: Account,
}

/// Where the forms lead whoever has no password to prove themselves with.
const BY_LINK: &str = "/account/by-link";

/// How somebody without a password proves to be the owner: a link by mail, for which one press asks.
pub async fn by_link(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let account = blocking(&app, move |app| account::find(app, &caller)).await?;
    shown(&ByLink { page: context::page(&request, "account-by-link-title"), account })
}

#[derive(Template)]
#[template(path = "account/password.html")]
struct PasswordPage {
    page: Page,
    errors: FieldErrors,
    account: Account,
    end_others: bool,
}

/// What the page of a new password sends.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct PasswordForm {
    current: String,
    password: String,
    end_others: String,
}

/// The form of a new password.
pub async fn edit_password(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let account = blocking(&app, move |app| account::find(app, &caller)).await?;
    if account.asks_link {
        return Ok(go(BY_LINK));
    }
    let page = context::page(&request, "account-password-title");
    shown(&PasswordPage { page, errors: FieldErrors::default(), account, end_others: true })
}

/// Changes the password.
pub async fn update_password(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<PasswordForm>,
) -> Answer {
    let page = context::page(&request, "account-password-title");
    let end_others = form.end_others == "yes";
    let asks = caller.clone();
    let changed =
        blocking(&app, move |app| account::change_password(app, &asks, &form.current, &form.password, end_others))
            .await;
    let mut errors = FieldErrors::default();
    match changed {
        Ok(Ok(())) => return Ok(go("/account")),
        Ok(Err(message)) => errors.add("password", page.t(message)),
        Err(Failure::Refused(refusal)) => errors.add("current", refusal_words::words(page.lang, &refusal)),
        Err(failure) => return Err(failure.into()),
    }
    let account = blocking(&app, move |app| account::find(app, &caller)).await?;
    if account.asks_link {
        return Ok(go(BY_LINK));
    }
    shown_again(&PasswordPage { page: page.with_errors(errors.len()), errors, account, end_others })
}

#[derive(Template)]
#[template(path = "account/address.html")]
struct AddressPage {
    page: Page,
    errors: FieldErrors,
    account: Account,
    email: String,
}

/// What the page of a new address sends.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct AddressForm {
    current: String,
    email: String,
}

/// The form of a new address.
pub async fn edit_address(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let account = blocking(&app, move |app| account::find(app, &caller)).await?;
    if account.asks_link {
        return Ok(go(BY_LINK));
    }
    let page = context::page(&request, "account-address-title");
    shown(&AddressPage { page, errors: FieldErrors::default(), account, email: String::new() })
}

/// Sends a link to the new address.
pub async fn update_address(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<AddressForm>,
) -> Answer {
    let page = context::page(&request, "account-address-title");
    let mut errors = FieldErrors::default();
    if let Some(email) = errors.email("email", &form.email, page.lang) {
        let (asks, current) = (caller.clone(), form.current);
        match blocking(&app, move |app| account::ask_address(app, &asks, &current, &email)).await {
            Ok(()) => return Ok(go("/account/address/sent")),
            Err(Failure::Refused(refusal)) => errors.add("current", refusal_words::words(page.lang, &refusal)),
            Err(failure) => return Err(failure.into()),
        }
    }
    let account = blocking(&app, move |app| account::find(app, &caller)).await?;
    if account.asks_link {
        return Ok(go(BY_LINK));
    }
    shown_again(&AddressPage { page: page.with_errors(errors.len()), errors, account, email: form.email })
}

#[derive(Template)]
#[template(path = "account/address_sent.html")]
struct AddressSent {
    page: Page,
}

/// What to do while the letter is on its way.
pub async fn address_sent(request: HttpRequest) -> Answer {
    shown(&AddressSent { page: context::page(&request, "account-address-sent") })
}

#[derive(Template)]
#[template(path = "account/without.html")]
struct WithoutPage {
    page: Page,
    errors: FieldErrors,
    account: Account,
}

/// What the page sends that takes the second step away.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct WithoutForm {
    current: String,
}

/// Asks whether the second step shall go.
pub async fn leave_second_step(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let account = blocking(&app, move |app| account::find(app, &caller)).await?;
    if !account.has_second_step || !account.may_go_without {
        return Ok(go("/account"));
    }
    if account.asks_link {
        return Ok(go(BY_LINK));
    }
    let page = context::page(&request, "account-without-title");
    shown(&WithoutPage { page, errors: FieldErrors::default(), account })
}

/// Takes the second step away.
pub async fn remove_second_step(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<WithoutForm>,
) -> Answer {
    let asks = caller.clone();
    match blocking(&app, move |app| sign_in::remove(app, &asks, &form.current)).await {
        Ok(()) => Ok(go("/account")),
        Err(Failure::Refused(refusal)) => {
            let page = context::page(&request, "account-without-title").with_errors(1);
            let mut errors = FieldErrors::default();
            errors.add("current", refusal_words::words(page.lang, &refusal));
            let account = blocking(&app, move |app| account::find(app, &caller)).await?;
            if account.asks_link {
                return Ok(go(BY_LINK));
            }
            shown_again(&WithoutPage { page, errors, account })
        }
        Err(failure) => Err(failure.into()),
    }
}
