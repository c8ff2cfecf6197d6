//! The guardian's riders with their registrations.

use actix_web::{HttpRequest, web};
use askama::Template;

use crate::language;
use crate::services::App;
use crate::services::family::{self, Rider};
use crate::web::answer::{Answer, shown};
use crate::web::caller::Asking;
use crate::web::page::Page;
use crate::web::{blocking, context};

/// One rider.
struct Card {
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
    let day = |date| language::date_short(page.lang, date);
    let registrations = rider.registrations.iter().map(|receipt| {
        let words = format!("{}, {}", receipt.session.site, day(receipt.session.held_on));
        (format!("/registrations/{}", receipt.reference), words)
    });
    Card {
        name: rider.name.clone(),
        born: page.t1("rider-born", "date", day(rider.birth_date)),
        county: page.t1("session-county", "county", &rider.county),
        registrations: registrations.collect(),
    }
}
