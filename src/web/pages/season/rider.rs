//! One child's place in a session, for the office: whom to call, and what a family says on the telephone.

pub mod told;

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::access::Caller;
use crate::domain::place::PlaceReason;
use crate::domain::registration::RegistrationState;
use crate::domain::words::Lang;
use crate::language;
use crate::services::family::PlaceChange;
use crate::services::places::{self, Answer as Said, Called, Sheet, Side};
use crate::services::{App, Failure, texts};
use crate::web::answer::{Answer, Trouble, go, shown, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::move_page::{Chosen, Mover};
use crate::web::page::Page;
use crate::web::refusal_words;

#[derive(Template)]
#[template(path = "season/rider.html")]
struct RiderPage {
    page: Page,
    errors: FieldErrors,
    session: String,
    sheet: Sheet,
    /// Why the last press did nothing; empty otherwise.
    refused: String,
}

impl RiderPage {
    fn address(&self) -> String {
        address(&self.session, &self.sheet.receipt.reference)
    }

    fn language(&self, adult: &Called) -> &'static str {
        if adult.language == Lang::Es { "Spanish" } else { "English" }
    }

    fn day(&self) -> String {
        language::date_long(Lang::En, self.sheet.receipt.session.held_on)
    }

    /// Whether the child comes, as far as the office knows.
    fn comes(&self) -> String {
        let receipt = &self.sheet.receipt;
        match receipt.comes_at {
            Some(at) => format!("Yes, said on {}", language::moment(Lang::En, receipt.wall(at))),
            None if !self.sheet.adult.as_ref().is_some_and(|adult| adult.has_letters) => {
                "Ask by telephone: no letter reaches this family".to_owned()
            }
            None if receipt.is_asked_coming => "Asked by letter, no answer yet".to_owned(),
            None => "Not asked yet".to_owned(),
        }
    }

    /// Whether the family gets texts; nothing where there are none.
    fn texts(&self) -> Option<bool> {
        self.sheet.adult.as_ref().and_then(|adult| adult.texts)
    }

    /// Whether what the family told may still be changed.
    fn may_correct(&self) -> bool {
        self.sheet.receipt.state.may_be_corrected(self.sheet.receipt.outcome.is_some())
    }

    fn is(&self, state: RegistrationState) -> bool {
        self.sheet.receipt.state == state && self.sheet.receipt.outcome.is_none()
    }

    /// Every step with its moment on the clock of the site.
    fn history(&self) -> Vec<String> {
        let receipt = &self.sheet.receipt;
        let line =
            |step: &PlaceChange| format!("{}: {}", language::moment(Lang::En, receipt.wall(step.at)), step_words(step));
        receipt.steps.iter().map(line).collect()
    }
}

fn step_words(step: &PlaceChange) -> &'static str {
    match (step.reason, step.state) {
        (PlaceReason::Registered, RegistrationState::Waitlisted) => "registered, in line",
        (PlaceReason::Registered, RegistrationState::Held) => "registered, a seat was held",
        (PlaceReason::Registered, _) => "registered, with a seat",
        (PlaceReason::StaffRegistered, RegistrationState::Waitlisted) => "registered by staff, in line",
        (PlaceReason::StaffRegistered, _) => "registered by staff, with a seat",
        (PlaceReason::AddressShown, _) => "the family confirmed its address",
        (PlaceReason::SeatFreed, _) => "a seat came free and was offered",
        (PlaceReason::OfferTaken, _) => "the offered seat was taken",
        (PlaceReason::OfferLeft, _) => "the offered seat was left to others",
        (PlaceReason::RanOut, _) => "the time to answer was over",
        (PlaceReason::GivenUp, _) => "the family gave the place up",
        (PlaceReason::KnownAlready, _) => "the child had a place already",
        (PlaceReason::Moved, _) => "moved here from another session",
        (PlaceReason::Comes, _) => "the family said that the child comes",
        (PlaceReason::StaysAway, _) => "the family said that the child does not come",
        (PlaceReason::OfficeGaveUp, _) => "the office gave the place up for the family",
        (PlaceReason::OfficeSeated, _) => "the office gave the seat",
    }
}

fn address(session: &str, registration: &str) -> String {
    format!("/season/{session}/riders/{registration}")
}

/// One press, with everything its answer needs.
struct Asked {
    request: HttpRequest,
    app: web::Data<App>,
    caller: Caller,
    session: String,
    registration: String,
}

impl Asked {
    async fn sheet(&self) -> Result<Sheet, Failure> {
        let (caller, session, registration) = (self.caller.clone(), self.session.clone(), self.registration.clone());
        blocking(&self.app, move |app| places::sheet(app, &caller, &session, &registration)).await
    }

    async fn page(&self, errors: FieldErrors, refused: String) -> Result<RiderPage, Trouble> {
        let sheet = self.sheet().await?;
        let page = staff_page(&self.request, sheet.receipt.name.clone()).with_errors(errors.len());
        Ok(RiderPage { page, errors, session: self.session.clone(), sheet, refused })
    }
}

type Path = web::Path<(String, String)>;

fn asked(request: HttpRequest, app: web::Data<App>, caller: Caller, path: Path) -> Asked {
    let (session, registration) = path.into_inner();
    Asked { request, app, caller, session, registration }
}

/// The place with its family.
pub async fn show(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking, path: Path) -> Answer {
    let asked = asked(request, app, caller, path);
    shown(&asked.page(FieldErrors::default(), String::new()).await?)
}

/// The button that was pressed, and the tick beside the one that cannot be taken back.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct Pressed {
    act: String,
    sure: String,
}

/// Does what the family says.
pub async fn act(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: Path,
    Typed(pressed): Typed<Pressed>,
) -> Answer {
    let asked = asked(request, app, caller, path);
    // The place must be one of this session before anything is done with it.
    let sheet = asked.sheet().await?;
    let back = address(&asked.session, &sheet.receipt.reference);
    if pressed.act == "give_up" && pressed.sure != "yes" && sheet.receipt.can_be_given_up() {
        let mut errors = FieldErrors::default();
        errors.add("sure", "Tick that the family wants this. A place that is given up goes to another child.");
        return shown_as(StatusCode::UNPROCESSABLE_ENTITY, &asked.page(errors, String::new()).await?);
    }
    let (caller, reference) = (asked.caller.clone(), asked.registration.clone());
    let done = blocking(&asked.app, move |app| match pressed.act.as_str() {
        "give_up" => places::give_up(app, &caller, Side::Office, &reference),
        "take" => places::answer_offer(app, &caller, Side::Office, &reference, Said::Yes),
        "leave" => places::answer_offer(app, &caller, Side::Office, &reference, Said::No),
        "comes" => places::answer_coming(app, &caller, Side::Office, &reference, Said::Yes),
        "seat" => places::give_seat(app, &caller, &reference),
        "texts" => texts::choose_for(app, &caller, &reference, true),
        "no_texts" => texts::choose_for(app, &caller, &reference, false),
        _ => Ok(()),
    });
    match done.await {
        Ok(()) => Ok(go(&back)),
        Err(Failure::Refused(refusal)) => {
            // The page stays; only what was pressed is not possible any more.
            let words = refusal_words::words(Lang::En, &refusal);
            shown_as(StatusCode::CONFLICT, &asked.page(FieldErrors::default(), words).await?)
        }
        Err(failure) => Err(failure.into()),
    }
}

async fn mover(asked: Asked) -> Result<Mover, Failure> {
    // The place must be one of this session before anything is done with it.
    let back = address(&asked.session, &asked.sheet().await?.receipt.reference);
    let Asked { request, app, caller, registration: reference, .. } = asked;
    Ok(Mover { page: staff_page(&request, ""), app, caller, side: Side::Office, reference, back })
}

/// The sessions to which the place can be moved.
pub async fn moving(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking, path: Path) -> Answer {
    mover(asked(request, app, caller, path)).await?.show().await
}

/// Moves the place.
pub async fn move_to(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: Path,
    Typed(chosen): Typed<Chosen>,
) -> Answer {
    let onward = address(&chosen.session, &path.1);
    mover(asked(request, app, caller, path)).await?.update(chosen, &onward).await
}
