//! What a family does with its place: takes or leaves an offered seat, asks for the letter again, gives the place up.

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::access::Caller;
use crate::domain::refusal::Refusal;
use crate::services::family::{self, Receipt};
use crate::services::places::{self, Answer as Said, Side};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_as};
use crate::web::caller::Asking;
use crate::web::form::Typed;
use crate::web::move_page::{Chosen, Mover};
use crate::web::page::Page;
use crate::web::{blocking, context, entry, refusal_words};

fn path(reference: &str) -> String {
    format!("/registrations/{reference}")
}

#[derive(Template)]
#[template(path = "place/give_up.html")]
struct GiveUp {
    page: Page,
    back: String,
    /// Why it cannot be given up; empty when it can.
    why: String,
    receipt: Receipt,
    when: Vec<String>,
}

fn give_up_page(request: &HttpRequest, receipt: Receipt, refusal: Option<&Refusal>) -> GiveUp {
    let page = context::page(request, "nav-registrations");
    let title = page.t1("give-up-title", "name", &receipt.given);
    let page = page.with_title(title);
    GiveUp {
        back: path(&receipt.reference),
        why: refusal.map(|refusal| refusal_words::words(page.lang, refusal)).unwrap_or_default(),
        when: entry::when(&page, &receipt.session),
        receipt,
        page,
    }
}

/// Asks once more before the place goes to another child.
pub async fn giving_up(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let receipt = blocking(&app, move |app| family::show(app, &caller, &reference)).await?;
    if !receipt.can_be_given_up() {
        return Ok(go(&path(&receipt.reference)));
    }
    shown(&give_up_page(&request, receipt, None))
}

/// Gives the place up.
pub async fn give_up(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let (asks, asked) = (caller.clone(), reference.clone());
    match blocking(&app, move |app| places::give_up(app, &asks, Side::Family, &asked)).await {
        Ok(()) => Ok(go(&path(&reference))),
        Err(Failure::Refused(refusal)) => {
            let receipt = blocking(&app, move |app| family::show(app, &caller, &reference)).await?;
            shown_as(refusal_words::status(&refusal), &give_up_page(&request, receipt, Some(&refusal)))
        }
        Err(failure) => Err(failure.into()),
    }
}

/// The button that was pressed.
#[derive(Debug, Default, Deserialize)]
pub struct Pressed {
    #[serde(default)]
    answer: String,
}

/// Takes the seat that is offered, or leaves it.
pub async fn answer_offer(
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(pressed): Typed<Pressed>,
) -> Answer {
    let back = go(&path(&reference));
    let Some(said) = Said::from_word(&pressed.answer) else { return Ok(back) };
    blocking(&app, move |app| places::answer_offer(app, &caller, Side::Family, &reference, said)).await?;
    Ok(back)
}

/// Says that the child comes, or frees the seat.
pub async fn answer_coming(
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(pressed): Typed<Pressed>,
) -> Answer {
    let back = go(&path(&reference));
    let Some(said) = Said::from_word(&pressed.answer) else { return Ok(back) };
    blocking(&app, move |app| places::answer_coming(app, &caller, Side::Family, &reference, said)).await?;
    Ok(back)
}

/// What a family wishes while its child waits.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Wishes {
    standby: String,
    together: String,
}

/// Keeps the wishes.
pub async fn wish_in_line(
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(wishes): Typed<Wishes>,
) -> Answer {
    let back = go(&path(&reference));
    let (standby, together) = (wishes.standby == "yes", wishes.together == "yes");
    blocking(&app, move |app| places::wish_in_line(app, &caller, &reference, standby, together)).await?;
    Ok(back)
}

fn mover(request: &HttpRequest, app: web::Data<App>, caller: Caller, reference: String) -> Mover {
    let (page, back) = (context::page(request, "nav-registrations"), path(&reference));
    Mover { page, app, caller, side: Side::Family, reference, back }
}

/// The sessions to which the place can be moved.
pub async fn moving(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    mover(&request, app, caller, reference.into_inner()).show().await
}

/// Moves the place.
pub async fn move_to(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(chosen): Typed<Chosen>,
) -> Answer {
    let onward = path(&reference);
    mover(&request, app, caller, reference.into_inner()).update(chosen, &onward).await
}

/// Sends the letter again that asks for the address.
pub async fn ask_again(app: web::Data<App>, Asking(caller): Asking, reference: web::Path<String>) -> Answer {
    let back = go(&path(&reference));
    blocking(&app, move |app| places::ask_again(app, &caller, &reference)).await?;
    Ok(back)
}
