//! Staff register a child on one page, by keyboard, while the adult stands before them. Health answers go in and never
//! come back out.

pub mod sign;

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::access::Caller;
use crate::domain::registration::{DayAdult, RegistrationState, Ridden};
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::register::answers::{AdultsAnswers, HealthAnswers, RiderAnswers};
use crate::services::register::faults::Fault;
use crate::services::register::walk_up::{self, KnownChild, Registered, WalkUp, Written};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Answers, Asked, FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::{blocking, refusal_words};

/// The health conditions that a form asks about: the field, and the message that names it.
const CONDITIONS: [(&str, &str); 6] = [
    ("asthma", "health-asthma"),
    ("allergy", "health-allergy"),
    ("seizures", "health-seizures"),
    ("diabetes", "health-diabetes"),
    ("heart", "health-heart"),
    ("healing", "health-healing"),
];

#[derive(Template)]
#[template(path = "walk_up/new.html")]
struct New {
    page: Page,
    errors: FieldErrors,
    /// Why this child cannot have a place; empty otherwise.
    refused: String,
    at: WalkUp,
    typed: Answers,
    key: String,
    counties: Vec<Choice>,
    ridden: Vec<Choice>,
    known: Vec<Choice>,
    languages: Vec<Choice>,
}

impl New {
    fn day(&self) -> String {
        language::date_short(Lang::En, self.at.session.held_on)
    }
    fn born(&self, child: &KnownChild) -> String {
        language::date_short(Lang::En, child.birth_date)
    }
    fn conditions(&self) -> [(&'static str, String); 6] {
        CONDITIONS.map(|(field, key)| (field, self.page.t(key)))
    }
    fn asks_day_adult(&self) -> bool {
        self.at.day_adult != DayAdult::Unasked
    }
    fn may_leave_day_adult(&self) -> bool {
        self.at.day_adult == DayAdult::Asked
    }
}

fn form(page: Page, at: WalkUp, typed: Answers, key: String) -> New {
    let known = |word: &str| Choice::new(word, page.t(&format!("register-{word}")));
    let ridden = |one: &Ridden| Choice::new(one, page.t(&format!("rider-ridden-{one}")));
    New {
        errors: FieldErrors::default(),
        refused: String::new(),
        counties: at.counties.iter().map(|(code, name)| Choice::new(code, name)).collect(),
        ridden: Ridden::ALL.iter().map(ridden).collect(),
        known: ["no", "yes", "unknown"].map(known).to_vec(),
        languages: Lang::ALL.iter().map(|lang| Choice::new(lang, language::own_name(*lang))).collect(),
        key,
        typed,
        at,
        page,
    }
}

/// Which known child is registered; empty for a new one.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Wanted {
    rider: String,
}

fn page_of(request: &HttpRequest, at: &WalkUp) -> Page {
    let title = match &at.known {
        Some(child) => format!("Register {}", child.name),
        None => "Register a child".to_owned(),
    };
    let caution = at.caution.in_lang(Lang::En).to_owned();
    staff_page(request, title).with_caution_words(caution)
}

async fn look(app: &web::Data<App>, caller: &Caller, session: &str, rider: &str) -> Result<WalkUp, Failure> {
    let (caller, session, rider) = (caller.clone(), session.to_owned(), rider.to_owned());
    blocking(app, move |app| walk_up::open(app, &caller, &session, &rider)).await
}

/// The form.
pub async fn new(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    session: web::Path<String>,
    Asked(wanted): Asked<Wanted>,
) -> Answer {
    let at = look(&app, &caller, &session, &wanted.rider).await?;
    let typed = at.known.as_ref().map(|child| filled(&child.contacts)).unwrap_or_default();
    let page = page_of(&request, &at);
    shown(&form(page, at, typed, app.random.reference()))
}

/// The people of the last registration, in the fields of the form.
fn filled(of: &AdultsAnswers) -> Answers {
    [
        ("day_name", &of.day_name),
        ("day_phone", &of.day_phone),
        ("first_name", &of.first_name),
        ("first_phone", &of.first_phone),
        ("second_name", &of.second_name),
        ("second_phone", &of.second_phone),
        ("pick_up_name", &of.pick_up_name),
        ("pick_up_phone", &of.pick_up_phone),
        ("pick_up_too_name", &of.pick_up_too_name),
        ("pick_up_too_phone", &of.pick_up_too_phone),
        ("not_release", &of.not_release),
    ]
    .into_iter()
    .fold(Answers::default(), |typed, (name, value)| typed.with(name, value))
}

/// Registers the child, or shows the form again with what was typed.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    session: web::Path<String>,
    Typed(typed): Typed<Answers>,
) -> Answer {
    let sent = written(&typed);
    let (asks, asked) = (caller.clone(), session.clone());
    let done = blocking(&app, move |app| walk_up::register(app, &asks, &asked, &sent)).await;
    let faults = match done {
        Ok(Ok(reference)) => return Ok(go(&format!("/walk-up/{session}/{reference}"))),
        Ok(Err(faults)) => Ok(faults),
        Err(Failure::Refused(refusal)) => Err(refusal),
        Err(failure) => return Err(failure.into()),
    };
    let at = look(&app, &caller, &session, typed.of("known")).await?;
    let page = page_of(&request, &at);
    match faults {
        Ok(faults) => {
            let mut errors = FieldErrors::default();
            faults.list().iter().for_each(|fault| errors.add(&fault.field, fault_words(&page, fault)));
            let page = page.with_errors(errors.len());
            let key = typed.of("key").to_owned();
            shown_again(&New { errors, ..form(page, at, typed, key) })
        }
        Err(refusal) => {
            let refused = refusal_words::words(Lang::En, &refusal);
            let page = page.with_errors(1);
            // Nothing typed is wrong: it is the session, or another registration, that stands against it.
            shown_as(StatusCode::CONFLICT, &New { refused, ..form(page, at, typed, app.random.reference()) })
        }
    }
}

/// What is wrong with an answer. Where several people stand on the page, it says whose it is.
fn fault_words(page: &Page, fault: &Fault) -> String {
    let whose = match fault.field.as_str() {
        "given" if fault.message == "adults-given-missing" => return "Write the adult's name".to_owned(),
        "given" => "the adult's name",
        "phone" => "the adult's phone",
        "first_name" | "first_phone" => "the first person to call",
        "second_name" | "second_phone" => "the second person to call",
        "day_name" | "day_phone" => "the adult on the day",
        "pick_up_name" | "pick_up_phone" => "who may take the child home",
        "pick_up_too_name" | "pick_up_too_phone" => "somebody else who may",
        _ => return page.t(fault.message),
    };
    format!("{} ({whose})", page.t(fault.message))
}

/// The answers by their names. Child and adult stand on one page: the names of the child carry `child_`.
fn written(typed: &Answers) -> Written {
    let text = |name: &str| typed.of(name).to_owned();
    Written {
        key: text("key"),
        language: text("language"),
        texts: typed.ticked("texts"),
        rider: RiderAnswers {
            paper_name: String::new(),
            known: text("known"),
            given: text("child_given"),
            family: text("child_family"),
            birth_month: text("birth_month"),
            birth_day: text("birth_day"),
            birth_year: text("birth_year"),
            county: text("county"),
            ridden: text("ridden"),
        },
        adults: AdultsAnswers {
            given: text("given"),
            family: text("family"),
            phone: text("phone"),
            email: text("email"),
            password: String::new(),
            day_name: text("day_name"),
            day_phone: text("day_phone"),
            first_name: text("first_name"),
            first_phone: text("first_phone"),
            second_name: text("second_name"),
            second_phone: text("second_phone"),
            pick_up_name: text("pick_up_name"),
            pick_up_phone: text("pick_up_phone"),
            pick_up_too_name: text("pick_up_too_name"),
            pick_up_too_phone: text("pick_up_too_phone"),
            not_release: text("not_release"),
        },
        health: HealthAnswers {
            any: text("any"),
            asthma: text("asthma"),
            allergy: text("allergy"),
            seizures: text("seizures"),
            diabetes: text("diabetes"),
            heart: text("heart"),
            healing: text("healing"),
            allergy_what: text("allergy_what"),
            injector: text("injector"),
            injector_where: text("injector_where"),
            medicine: text("medicine"),
            medicine_what: text("medicine_what"),
            needs: text("needs"),
            more: text("more"),
            ..HealthAnswers::default()
        },
    }
}

#[derive(Template)]
#[template(path = "walk_up/show.html")]
struct Show {
    page: Page,
    of: Registered,
}

impl Show {
    fn day(&self) -> String {
        language::date_long(Lang::En, self.of.held_on)
    }
    /// What the child has, in words, with the class and the shape of its mark.
    fn state(&self) -> (String, &'static str, &'static str) {
        match (self.of.state, self.of.place) {
            (RegistrationState::Confirmed, _) => ("A seat".to_owned(), "met", "met"),
            (RegistrationState::Waitlisted, Some(place)) => (format!("Place {place} in line"), "needs", "needs"),
            (RegistrationState::Held | RegistrationState::Offered, _) => {
                ("A seat that waits".to_owned(), "needs", "needs")
            }
            _ => ("No place".to_owned(), "not-met", "notmet"),
        }
    }
}

/// What the child has now, a code for the gate, and the way to the signature.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    of: web::Path<(String, String)>,
) -> Answer {
    let (session, registration) = of.into_inner();
    let of = blocking(&app, move |app| walk_up::registered(app, &caller, &session, &registration)).await?;
    shown(&Show { page: staff_page(&request, format!("{} is registered", of.name)), of })
}
