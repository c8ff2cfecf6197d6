//! The account of the first administrator, made once with a link that the console printed.

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;
use zeroize::Zeroizing;

use crate::domain::access::Role;
use crate::domain::refusal::Refusal;
use crate::domain::words::{Lang, PersonName, Phone};
use crate::language;
use crate::services::add_staff::{self, NewMember, NotAdded};
use crate::services::{App, Failure, account};
use crate::web::answer::{Answer, shown, shown_again, shown_as};
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::{blocking, context, device, links, refusal_words};

#[derive(Template)]
#[template(path = "accounts/first.html")]
struct First {
    page: Page,
    errors: FieldErrors,
    form: FirstForm,
    action: String,
    /// Why the link serves no more; empty when it does.
    over: String,
}

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct FirstForm {
    given: String,
    family: String,
    email: String,
    phone: String,
    password: String,
}

fn page_of(request: &HttpRequest, token: &str, form: FirstForm, errors: FieldErrors) -> First {
    let page = staff_page(request, "The first administrator").with_errors(errors.len());
    let action = format!("/first-account/{}", links::encoded(token));
    First { page, errors, form, action, over: String::new() }
}

fn over(request: &HttpRequest, refusal: &Refusal) -> Answer {
    let page = staff_page(request, "This link works no more");
    let over = refusal_words::words(Lang::En, refusal);
    let shown = First { page, errors: FieldErrors::default(), form: FirstForm::default(), action: String::new(), over };
    shown_as(refusal_words::status(refusal), &shown)
}

/// The form, while the link serves.
pub async fn new(request: HttpRequest, app: web::Data<App>, token: web::Path<String>) -> Answer {
    let asked = token.clone();
    match blocking(&app, move |app| add_staff::look_at_first_link(app, &asked)).await {
        Ok(()) => shown(&page_of(&request, &token, FirstForm::default(), FieldErrors::default())),
        Err(Failure::Refused(refusal)) => over(&request, &refusal),
        Err(failure) => Err(failure.into()),
    }
}

/// Makes the account and leads to its second step.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    token: web::Path<String>,
    Typed(form): Typed<FirstForm>,
) -> Answer {
    let member = match form.read() {
        Ok(member) => member,
        Err(errors) => return shown_again(&page_of(&request, &token, form, errors)),
    };
    let (origin, asked, chosen) = (device::origin(&request), token.clone(), Zeroizing::new(form.password.clone()));
    let made = blocking(&app, move |app| Ok(add_staff::add_first(app, &asked, member, &chosen, &origin))).await?;
    let say = |key: &str| language::say(Lang::En, key, &[]);
    let mut errors = FieldErrors::default();
    match made {
        Ok(opened) => return context::signed_in(&request, &opened.token, "/sign-in/second-step?next=/program"),
        Err(NotAdded::Password(fault)) => errors.add("password", say(account::password_message(fault))),
        Err(NotAdded::Failed(Failure::Refused(refusal))) => return over(&request, &refusal),
        Err(NotAdded::Failed(failure)) => return Err(failure.into()),
        Err(other) => errors.add("email", other.to_string()),
    }
    shown_again(&page_of(&request, &token, form, errors))
}

impl FirstForm {
    fn read(&self) -> Result<NewMember, FieldErrors> {
        let mut errors = FieldErrors::default();
        let say = |key: &str| language::say(Lang::En, key, &[]);
        let name = PersonName::parse(&self.given, &self.family);
        let email = errors.email("email", &self.email, Lang::En);
        let phone = Phone::parse(&self.phone);
        if name.is_err() {
            errors.add("given", "Write the name as people call you, without signs that no name has");
        }
        if phone.is_err() {
            errors.add("phone", "Write a telephone number, such as 406-555-0142");
        }
        if self.password.is_empty() {
            errors.add("password", say("form-required"));
        }
        match (name, email, phone) {
            _ if !errors.is_empty() => Err(errors),
            (Ok(name), Some(email), Ok(phone)) => Ok(NewMember {
                email,
                name,
                phone,
                language: Lang::En,
                roles: vec![Role::Administrator],
                provisional: false,
                papers: Vec::new(),
            }),
            _ => Err(errors),
        }
    }
}
