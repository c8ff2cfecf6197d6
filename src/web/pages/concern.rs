//! Concerns about adults of the program: the form for everybody who is signed in, in both languages; the pages of the two people
//! who read them, and the page on which the administrator names those two. Staff pages are in English.

pub mod readers;

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::access::Caller;
use crate::domain::concern::Concern;
use crate::domain::words::Lang;
use crate::services::concerns::{self, Form, Listed, Sheet};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::caller::Asking;
use crate::web::context::{page, staff_page};
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::staff_form::Reading;
use crate::web::staff_words::instant;
use crate::web::{blocking, refusal_words};

/// The most characters of what was seen.
const LONGEST: usize = 4000;

#[derive(Template)]
#[template(path = "concern/new.html")]
struct New {
    page: Page,
    errors: FieldErrors,
    form: Form,
    people: Vec<Choice>,
    typed: Written,
}

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Written {
    person: String,
    about: String,
    seen: String,
    when: String,
    children: String,
}

async fn form_page(
    request: &HttpRequest,
    app: &web::Data<App>,
    caller: Caller,
    typed: Written,
    errors: FieldErrors,
) -> Result<New, Failure> {
    let form = blocking(app, move |app| concerns::form(app, &caller)).await?;
    let people = form.people.iter().map(|(reference, name)| Choice::new(reference, name)).collect();
    let page = page(request, "concern-title").with_errors(errors.len());
    Ok(New { page, errors, form, people, typed })
}

/// The form.
pub async fn new(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    shown(&form_page(&request, &app, caller, Written::default(), FieldErrors::default()).await?)
}

/// Keeps what was written.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(typed): Typed<Written>,
) -> Answer {
    let page = page(&request, "concern-title");
    let mut errors = FieldErrors::default();
    let mut text = |field: &str, words: &str, most: usize| {
        let tidy = words.replace("\r\n", "\n").trim().to_owned();
        if tidy.chars().count() > most || tidy.chars().any(|letter| letter.is_control() && letter != '\n') {
            errors.add(field, page.t1("form-too-long", "most", most));
        }
        tidy
    };
    let about = text("about", &typed.about, 200);
    let is_about_nobody = about.is_empty() && typed.person.is_empty();
    let concern = Concern {
        about,
        seen: text("seen", &typed.seen, LONGEST),
        when: text("when", &typed.when, 400),
        children: text("children", &typed.children, 400),
    };
    if is_about_nobody {
        errors.add("about", page.t("concern-about-missing"));
    }
    if concern.seen.is_empty() {
        errors.add("seen", page.t("concern-seen-missing"));
    }
    if !errors.is_empty() {
        return shown_again(&form_page(&request, &app, caller, typed, errors).await?);
    }
    let chosen = Some(typed.person).filter(|person| !person.is_empty());
    blocking(&app, move |app| concerns::write(app, &caller, chosen, &concern)).await?;
    Ok(go("/concerns/sent"))
}

#[derive(Template)]
#[template(path = "concern/sent.html")]
struct Sent {
    page: Page,
    form: Form,
}

/// Says that it was kept, and what else to do.
pub async fn sent(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let form = blocking(&app, move |app| concerns::form(app, &caller)).await?;
    shown(&Sent { page: page(&request, "concern-sent-title"), form })
}

#[derive(Template)]
#[template(path = "concern/list.html")]
struct List {
    page: Page,
    all: Vec<Listed>,
}

/// Every concern, for the two who read them.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    match blocking(&app, move |app| concerns::list(app, &caller)).await {
        Ok(all) => shown(&List { page: staff_page(&request, "Concerns"), all }),
        // Whoever reads none may write one.
        Err(Failure::NotFound) => Ok(go("/concerns/new")),
        Err(other) => Err(other.into()),
    }
}

#[derive(Template)]
#[template(path = "concern/show.html")]
struct Show {
    page: Page,
    errors: FieldErrors,
    refused: Option<String>,
    sheet: Sheet,
    added: String,
}

async fn sheet_page(
    request: &HttpRequest,
    app: &web::Data<App>,
    caller: Caller,
    reference: String,
    (added, errors, refused): (String, FieldErrors, Option<String>),
) -> Result<Show, Failure> {
    let sheet = blocking(app, move |app| concerns::find(app, &caller, &reference)).await?;
    let page = staff_page(request, "A concern").with_errors(errors.len());
    Ok(Show { page, errors, refused, sheet, added })
}

/// One concern.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let nothing = (String::new(), FieldErrors::default(), None);
    shown(&sheet_page(&request, &app, caller, reference.into_inner(), nothing).await?)
}

/// What a reader adds.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Added {
    words: String,
}

/// Adds words.
pub async fn add(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(typed): Typed<Added>,
) -> Answer {
    let reference = reference.into_inner();
    let mut reading = Reading::default();
    let words = reading.lines("words", "what is added", &typed.words, LONGEST);
    if words.is_empty() {
        reading.fault("words", "Write what is added");
    }
    match reading.done(words) {
        Ok(words) => {
            let back = format!("/concerns/{reference}#added");
            blocking(&app, move |app| concerns::add(app, &caller, &reference, &words)).await?;
            Ok(go(&back))
        }
        Err(errors) => shown_again(&sheet_page(&request, &app, caller, reference, (typed.words, errors, None)).await?),
    }
}

/// What a press does to a concern: back to it, or the concern with why not.
async fn press(
    request: &HttpRequest,
    app: &web::Data<App>,
    caller: Caller,
    reference: String,
    deed: fn(&App, &Caller, &str) -> Result<(), Failure>,
) -> Answer {
    let (asks, asked) = (caller.clone(), reference.clone());
    match blocking(app, move |app| deed(app, &asks, &asked)).await {
        Ok(()) => Ok(go(&format!("/concerns/{reference}"))),
        Err(Failure::Refused(refusal)) => {
            let status = refusal_words::status(&refusal);
            let why = (String::new(), FieldErrors::default(), Some(refusal_words::words(Lang::En, &refusal)));
            shown_as(status, &sheet_page(request, app, caller, reference, why).await?)
        }
        Err(other) => Err(other.into()),
    }
}

/// Ends what the person can do, at once.
pub async fn end_access(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    press(&request, &app, caller, reference.into_inner(), concerns::end_access).await
}

/// Notes that it is settled.
pub async fn settle(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    press(&request, &app, caller, reference.into_inner(), concerns::settle).await
}
