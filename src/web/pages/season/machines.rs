//! The machines that go to a session: a list to tick, with where else each one is needed.

use std::collections::BTreeSet;

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::access::Caller;
use crate::domain::seen::Seen;
use crate::domain::words::Lang;
use crate::language;
use crate::services::session_machines::{self, Offered, Packing};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_as};
use crate::web::blocked_words::blocked;
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Answers, Asked, Typed};
use crate::web::page::Page;
use crate::web::refusal_words;

#[derive(Template)]
#[template(path = "season/machines.html")]
struct Edit {
    page: Page,
    /// Why the last press did nothing.
    refused: Option<String>,
    of: Packing,
    /// References of the machines whose boxes are ticked.
    ticked: BTreeSet<String>,
    is_proposal: bool,
}

impl Edit {
    fn is_ticked(&self, machine: &Offered) -> bool {
        self.ticked.contains(&machine.row.reference)
    }
    /// What keeps the machine from being useful there, in a few words.
    fn lacks(&self, machine: &Offered) -> String {
        let mut said = Vec::new();
        if let Some(other) = &machine.elsewhere {
            said.push(format!("Goes to {} on {}", other.site, language::date_short(Lang::En, other.on)));
        }
        if !machine.is_ready {
            said.push("Out of use".to_owned());
        }
        if !machine.for_all {
            said.push(format!("Not for age {}", self.of.view.course.least_age));
        }
        said.join(". ")
    }
    /// Whether its box can be ticked: a machine that goes already can be taken out whatever is wrong with it.
    fn can_be_sent(&self, machine: &Offered) -> bool {
        self.of.is_open && (machine.goes || machine.elsewhere.is_none())
    }
}

/// Whether a proposal is wanted.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Wanted {
    propose: String,
}

async fn read(app: &web::Data<App>, caller: Caller, reference: String) -> Result<Packing, Failure> {
    blocking(app, move |app| session_machines::show(app, &caller, &reference)).await
}

fn page(request: &HttpRequest, of: Packing, ticked: BTreeSet<String>, refused: Option<String>) -> Edit {
    let day = language::date_short(Lang::En, of.view.session.held_on);
    let page = staff_page(request, format!("Machines for {}, {day}", of.view.site.name));
    Edit { page, refused, of, ticked, is_proposal: false }
}

/// The list, with the machines ticked that go, or as many as there are seats.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Asked(wanted): Asked<Wanted>,
) -> Answer {
    let of = read(&app, caller.clone(), reference.clone()).await?;
    let is_proposal = wanted.propose == "yes" && of.is_open;
    let ticked = match is_proposal {
        true => blocking(&app, move |app| session_machines::propose(app, &caller, &reference)).await?,
        false => of.machines.iter().filter(|one| one.goes).map(|one| one.row.reference.clone()).collect(),
    };
    shown(&Edit { is_proposal, ..page(&request, of, ticked, None) })
}

/// Sends the ticked machines, and no others.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<Answers>,
) -> Answer {
    let ticked: BTreeSet<String> = form.ticked_below("machine_").map(str::to_owned).collect();
    let (asks, asked, wanted, seen) = (caller.clone(), reference.clone(), ticked.clone(), Seen::sent(form.of("seen")));
    match blocking(&app, move |app| session_machines::set(app, &asks, &asked, &wanted, &seen)).await {
        Ok(()) => Ok(go(&format!("/season/{reference}/machines"))),
        Err(Failure::Refused(refusal)) => {
            let of = read(&app, caller, reference.into_inner()).await?;
            let refused = refusal_words::words(Lang::En, &refusal);
            shown_as(StatusCode::CONFLICT, &page(&request, of, ticked, Some(refused)))
        }
        Err(other) => Err(other.into()),
    }
}
