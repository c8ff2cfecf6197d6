//! The guardian's riders: all of them, and one with its registrations and the adults who answer for it.

pub mod adults;
pub mod edit;

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::gear::RecallAnswer;
use crate::domain::words::Word;
use crate::language::{self, Value};
use crate::services::family::{self, Child, Receipt, Rider};
use crate::services::gear::recalls::{self, OfChild};
use crate::services::{App, Failure, kept_health};
use crate::web::answer::{Answer, go, shown};
use crate::web::caller::Asking;
use crate::web::form::Typed;
use crate::web::page::Page;
use crate::web::{blocking, context};

/// The address of a rider's page.
fn path(reference: &str) -> String {
    format!("/riders/{reference}")
}

/// One rider.
struct Card {
    href: String,
    name: String,
    born: String,
    county: String,
    /// Address and words of each registration.
    registrations: Vec<(String, String)>,
}

#[derive(Template)]
#[template(path = "rider/index.html")]
struct Index {
    page: Page,
    riders: Vec<Card>,
}

/// The riders by name.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let found = blocking(&app, move |app| family::riders(app, &caller)).await?;
    let page = context::page(&request, "nav-riders");
    let riders = found.iter().map(|rider| card(&page, rider)).collect();
    shown(&Index { riders, page })
}

fn card(page: &Page, rider: &Rider) -> Card {
    Card {
        href: path(&rider.reference),
        name: rider.name.clone(),
        born: page.t1("rider-born", "date", language::date_short(page.lang, rider.birth_date)),
        county: page.t1("session-county", "county", &rider.county),
        registrations: rider.registrations.iter().map(|receipt| way(page, receipt)).collect(),
    }
}

/// Address and words of a registration.
fn way(page: &Page, receipt: &Receipt) -> (String, String) {
    let day = language::date_short(page.lang, receipt.session.held_on);
    (format!("/registrations/{}", receipt.reference), format!("{}, {day}", receipt.session.site))
}

#[derive(Template)]
#[template(path = "rider/show.html")]
struct Show {
    page: Page,
    child: Child,
    path: String,
    born: String,
    registrations: Vec<(String, String)>,
    /// The day on which health answers were kept; none when nothing is.
    health_day: Option<String>,
    /// Helmets of the child that are called back.
    recalls: Vec<OfChild>,
}

impl Show {
    fn recall_words(&self, helmet: &OfChild) -> String {
        let values = [
            ("model", Value::from(helmet.model.clone())),
            ("size", Value::from(helmet.size.clone())),
            ("why", Value::from(helmet.why.clone())),
            ("source", Value::from(helmet.source.clone())),
        ];
        language::say(self.page.lang, "recall-what", &values)
    }
    fn recall_answers(&self) -> Vec<(RecallAnswer, String)> {
        BY_FAMILY.iter().map(|answer| (*answer, self.page.t(&format!("recall-{answer}")))).collect()
    }
    /// "until June 8", in the reader's language; the hour does not matter.
    fn until(&self, pending: &family::Pending) -> String {
        let day = language::date_in_year(self.page.lang, pending.until.date());
        self.page.t2("adult-pending", "email", &pending.address, "day", day)
    }
}

/// One rider.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    rider: web::Path<String>,
) -> Answer {
    let (child, recalls) =
        blocking(&app, move |app| Ok((family::child(app, &caller, &rider)?, recalls::of_child(app, &caller, &rider)?)))
            .await?;
    let page = context::page(&request, "nav-riders").with_title(child.name.clone());
    shown(&Show {
        path: path(&child.reference),
        born: language::date_long(page.lang, child.birth_date),
        registrations: child.registrations.iter().map(|receipt| way(&page, receipt)).collect(),
        health_day: child.health_kept_at.map(|at| language::date_short(page.lang, at.date())),
        recalls,
        child,
        page,
    })
}

/// What a family says became of a helmet.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Became {
    answer: String,
}

/// Notes what became of a helmet that is called back.
pub async fn answer_recall(
    app: web::Data<App>,
    Asking(caller): Asking,
    place: web::Path<(String, i64)>,
    Typed(said): Typed<Became>,
) -> Answer {
    let (rider, number) = place.into_inner();
    let answer = RecallAnswer::from_word(&said.answer).filter(|answer| BY_FAMILY.contains(answer));
    let answer = answer.ok_or(Failure::NotFound)?;
    let way = path(&rider);
    blocking(&app, move |app| recalls::answer_by_family(app, &caller, &rider, number, answer)).await?;
    Ok(go(&way))
}

/// What a family may say; whom the office did not reach only the office knows.
const BY_FAMILY: [RecallAnswer; 3] = [RecallAnswer::Stopped, RecallAnswer::HandedIn, RecallAnswer::Gone];

/// Forgets the health answers that are kept for a rider.
pub async fn forget_health(app: web::Data<App>, Asking(caller): Asking, rider: web::Path<String>) -> Answer {
    let way = path(&rider);
    blocking(&app, move |app| kept_health::forget(app, &caller, &rider)).await?;
    Ok(go(&way))
}
