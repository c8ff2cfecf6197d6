//! The helmets of a session: what goes out from the shelves, what is out, and what comes back as counted. Prints as a sheet.

use std::collections::BTreeMap;

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;

use crate::domain::access::Caller;
use crate::domain::machine::record::PlaceKind;
use crate::domain::refusal::{GearRefusal, Refusal};
use crate::domain::seen::Seen;
use crate::domain::words::Lang;
use crate::language;
use crate::services::gear::StoragePlaceRow;
use crate::services::gear::loads::{self, Load, Loaded};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Answers, FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

#[derive(Template)]
#[template(path = "season/gear.html")]
struct Show {
    page: Page,
    errors: FieldErrors,
    /// Why the last press did nothing.
    refused: Option<String>,
    of: Load,
    typed: Answers,
    places: Vec<Choice>,
}

impl Show {
    fn shelves(&self, one: &Loaded) -> String {
        let said: Vec<String> = one.lot.shelves.iter().map(|(place, count)| format!("{place} {count}")).collect();
        if said.is_empty() { "none".to_owned() } else { said.join(", ") }
    }
    /// Whether some can be loaded; what was typed of a lot is shown in any case.
    fn can_be_loaded(&self, one: &Loaded) -> bool {
        let was_typed = !self.typed.of(&format!("out_{}", one.lot.row.reference)).is_empty();
        self.of.is_open && (was_typed || one.lot.fault.is_none() && !one.lot.shelves.is_empty())
    }
    /// Whether some of a lot may come back; what was typed of a lot is shown in any case.
    fn may_be_back(&self, one: &Loaded) -> bool {
        one.out > 0 || !self.typed.of(&format!("back_{}", one.lot.row.reference)).is_empty()
    }
    fn can_be_brought_back(&self) -> bool {
        self.of.lots.iter().any(|one| self.may_be_back(one))
    }
    /// As typed, else all that is out.
    fn back(&self, one: &Loaded) -> String {
        match self.typed.of(&format!("back_{}", one.lot.row.reference)) {
            "" => one.out.to_string(),
            typed => typed.to_owned(),
        }
    }
    fn place(&self, name: &str, kind: PlaceKind) -> String {
        let first = || self.of.places.iter().find(|place| place.kind == kind).or(self.of.places.first());
        match self.typed.of(name) {
            "" => first().map(|place| place.id.raw().to_string()).unwrap_or_default(),
            typed => typed.to_owned(),
        }
    }
    fn from(&self) -> String {
        self.place("from", PlaceKind::Store)
    }
    fn to(&self) -> String {
        self.place("to", PlaceKind::Store)
    }
}

async fn read(app: &web::Data<App>, caller: Caller, reference: String) -> Result<Load, Failure> {
    blocking(app, move |app| loads::show(app, &caller, &reference)).await
}

fn page_of(request: &HttpRequest, of: Load, typed: Answers, errors: FieldErrors, refused: Option<String>) -> Show {
    let day = language::date_short(Lang::En, of.view.session.held_on);
    let page = staff_page(request, format!("Helmets for {}, {day}", of.view.site.name)).with_errors(errors.len());
    let place = |place: &StoragePlaceRow| Choice::new(place.id.raw(), &place.name);
    let places = of.places.iter().map(place).collect();
    Show { page, errors, refused, of, typed, places }
}

/// The helmets of a session.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let of = read(&app, caller, reference.into_inner()).await?;
    shown(&page_of(&request, of, Answers::default(), FieldErrors::default(), None))
}

/// Whether helmets go out or come back.
#[derive(Clone, Copy)]
enum Press {
    Out,
    Back,
}

/// Loads helmets for the session.
pub async fn load(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<Answers>,
) -> Answer {
    press(request, app, caller, reference.into_inner(), (Press::Out, form)).await
}

/// Takes helmets back from the session.
pub async fn unload(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<Answers>,
) -> Answer {
    press(request, app, caller, reference.into_inner(), (Press::Back, form)).await
}

const MOST: i64 = 10_000;

/// The place, and how many of each lot, by the lots' references.
fn counts(form: &Answers, press: Press) -> Result<(i64, BTreeMap<String, i64>), FieldErrors> {
    let (place, prefix) = match press {
        Press::Out => ("from", "out_"),
        Press::Back => ("to", "back_"),
    };
    let mut reading = Reading::default();
    let at = reading.chosen(place, "a place", form.of(place)).parse().unwrap_or(0);
    let mut wanted = BTreeMap::new();
    for (lot, typed) in form.below(prefix) {
        let field = format!("{prefix}{lot}");
        let count = match press {
            Press::Out => reading.whole_if_any(&field, "how many go", typed, 0..=MOST).unwrap_or(0),
            Press::Back => reading.whole(&field, "how many came back", typed, 0..=MOST),
        };
        wanted.insert(lot.to_owned(), count);
    }
    if matches!(press, Press::Out) && wanted.values().all(|count| *count == 0) {
        let first = wanted.keys().next().map_or_else(|| place.to_owned(), |lot| format!("{prefix}{lot}"));
        reading.fault(&first, "Write how many of one lot go");
    }
    reading.done((at, wanted))
}

/// Does what a press wants, or shows the page again with what was typed.
async fn press(
    request: HttpRequest,
    app: web::Data<App>,
    caller: Caller,
    reference: String,
    (press, form): (Press, Answers),
) -> Answer {
    let (mut errors, mut refused) = (FieldErrors::default(), None);
    match counts(&form, press) {
        Err(faults) => errors = faults,
        Ok((place, wanted)) => {
            let (asks, asked, seen) = (caller.clone(), reference.clone(), Seen::sent(form.of("seen")));
            let done = blocking(&app, move |app| match press {
                Press::Out => loads::load(app, &asks, &asked, place, &wanted, &seen),
                Press::Back => loads::unload(app, &asks, &asked, place, &wanted, &seen),
            });
            match done.await {
                Ok(()) => return Ok(go(&format!("/season/{reference}/gear"))),
                Err(Failure::Refused(refusal @ Refusal::Gear(GearRefusal::Short { .. }))) => {
                    errors.add("from", refusal_words::words(Lang::En, &refusal));
                }
                Err(Failure::Refused(refusal)) => refused = Some(refusal_words::words(Lang::En, &refusal)),
                Err(other) => return Err(other.into()),
            }
        }
    }
    let page = page_of(&request, read(&app, caller, reference).await?, form, errors, refused);
    match page.errors.is_empty() {
        true => shown_as(StatusCode::CONFLICT, &page),
        false => shown_again(&page),
    }
}
