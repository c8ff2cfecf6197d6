//! Helping people into their accounts: finding one by its address, and what an administrator may do to it.

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::access::Role;
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::App;
use crate::services::accounts::{self, Deed, Known};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;

#[derive(Template)]
#[template(path = "accounts/index.html")]
struct Index {
    page: Page,
    errors: FieldErrors,
    email: String,
}

/// What the form sends.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Wanted {
    email: String,
}

fn asking(request: &HttpRequest, errors: FieldErrors, email: String) -> Index {
    Index { page: staff_page(request, "Accounts").with_errors(errors.len()), errors, email }
}

/// The form that finds an account.
pub async fn index(request: HttpRequest) -> Answer {
    shown(&asking(&request, FieldErrors::default(), String::new()))
}

/// Finds an account. The address never stands in the address of a page.
pub async fn search(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(wanted): Typed<Wanted>,
) -> Answer {
    let mut errors = FieldErrors::default();
    if let Some(email) = errors.email("email", &wanted.email, Lang::En) {
        match blocking(&app, move |app| accounts::find_by_email(app, &caller, &email)).await? {
            Some(reference) => return Ok(go(&format!("/accounts/{reference}"))),
            None => errors.add("email", "No account has this address. Look at it again"),
        }
    }
    shown_again(&asking(&request, errors, wanted.email))
}

#[derive(Template)]
#[template(path = "accounts/show.html")]
struct Show {
    page: Page,
    known: Known,
}

impl Show {
    fn roles(&self) -> String {
        let word = |role: &Role| role.as_str().replace('_', " ");
        let held: Vec<String> = Role::ALL.iter().filter(|role| self.known.roles.has(**role)).map(word).collect();
        if held.is_empty() { "none".into() } else { held.join(", ") }
    }
    fn moment(&self, at: &chrono::NaiveDateTime) -> String {
        language::moment(Lang::En, *at)
    }
}

/// One account.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let known = blocking(&app, move |app| accounts::find(app, &caller, &reference)).await?;
    shown(&Show { page: staff_page(&request, known.name.clone()), known })
}

/// Sends a link to sign in.
pub async fn send_link(app: web::Data<App>, Asking(caller): Asking, reference: web::Path<String>) -> Answer {
    let way = format!("/accounts/{reference}");
    blocking(&app, move |app| accounts::send_link(app, &caller, &reference)).await?;
    Ok(go(&way))
}

/// What the button does.
#[derive(Debug, Deserialize)]
pub struct DeedForm {
    #[serde(default)]
    deed: String,
}

/// Ends sign-ins, shuts, opens, or takes a lost second step away.
pub async fn act(
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<DeedForm>,
) -> Answer {
    let deed = match form.deed.as_str() {
        "end_sign_ins" => Deed::EndSignIns,
        "shut" => Deed::Shut,
        "open" => Deed::Open,
        "lose_second_step" => Deed::LoseSecondStep,
        _ => return Err(Trouble::Malformed),
    };
    let way = format!("/accounts/{reference}");
    blocking(&app, move |app| accounts::act(app, &caller, &reference, deed)).await?;
    Ok(go(&way))
}
