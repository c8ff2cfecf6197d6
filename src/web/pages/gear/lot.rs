//! One lot of helmets: where they are, who has one, what happened, and the forms that move, count and retire them.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDateTime;
use serde::Deserialize;

use super::{day, dollars, fault_words, handed, heads, month_of};
use crate::domain::access::Caller;
use crate::domain::gear::MoveKind;
use crate::domain::refusal::{GearRefusal, Refusal};
use crate::domain::seen::Seen;
use crate::domain::words::Lang;
use crate::language;
use crate::services::gear::lot::{self, Deed, Happened, Sheet};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

/// The address of a lot's page.
pub(super) fn way(reference: &str) -> String {
    format!("/gear/lots/{reference}")
}

#[derive(Template)]
#[template(path = "gear/lot.html")]
struct Show {
    page: Page,
    errors: FieldErrors,
    /// Why the last press did nothing.
    refused: Option<String>,
    sheet: Sheet,
    typed: Said,
    places: Vec<Choice>,
    /// Places that have some.
    shelves: Vec<Choice>,
}

/// What the forms of a lot's page send. Each form has fields of its own name, so that a fault stands at the right one.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Said {
    seen: String,
    move_from: String,
    move_to: String,
    move_count: String,
    retire_from: String,
    retire_count: String,
    retire_why: String,
    count_at: String,
    counted: String,
}

impl Show {
    fn when(&self, at: &NaiveDateTime) -> String {
        format!("{}, {}", day(&at.date()), language::time(Lang::En, at.time()))
    }
    fn stamp(&self, one: &Happened) -> String {
        let at = one.at.as_ref().map(|at| self.when(at));
        let by = Some(one.by.clone()).filter(|by| !by.is_empty());
        [at, by].into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
    fn told(&self, one: &Happened) -> String {
        let count = match one.count {
            1 => "1 helmet".to_owned(),
            many => format!("{many} helmets"),
        };
        let from = one.from.as_ref().map(|place| format!(" from {place}")).unwrap_or_default();
        let to = one.to.as_ref().map(|place| format!(" to {place}")).unwrap_or_default();
        let at = one.session.as_ref().map(|at| format!(", {} on {}", at.site, day(&at.on))).unwrap_or_default();
        let note = if one.note.is_empty() { String::new() } else { format!(": {}", one.note) };
        let said = match one.kind {
            MoveKind::Received => "came",
            MoveKind::Moved => "moved",
            MoveKind::Loaded => "went out",
            MoveKind::Unloaded => "came back from a session",
            MoveKind::Lent => "lent to a rider",
            MoveKind::Given => "given to a rider",
            MoveKind::Returned => "back from a rider",
            MoveKind::TakenBack => "not handed out after all",
            MoveKind::Retired => "retired",
            MoveKind::Lost => "not brought back",
            MoveKind::Found => "found",
            MoveKind::Missing => "missing",
            MoveKind::Counted => return format!("Counted: {count}{note}"),
        };
        format!("{count} {said}{from}{to}{at}{note}")
    }
    fn counted(&self) -> String {
        self.sheet.lot.counted_at.map_or_else(|| "Not yet".to_owned(), |at| day(&at.date()))
    }
    fn came_on(&self) -> String {
        self.sheet.lot.row.received_on.map_or_else(|| "Not written down".to_owned(), |on| day(&on))
    }
}

fn page_of(request: &HttpRequest, sheet: Sheet, typed: Said, errors: FieldErrors, refused: Option<String>) -> Show {
    let page = staff_page(request, format!("Helmets of lot {}", sheet.lot.row.code)).with_errors(errors.len());
    let place = |place: &crate::services::gear::StoragePlaceRow| Choice::new(place.id.raw(), &place.name);
    let places: Vec<Choice> = sheet.places.iter().map(place).collect();
    let shelf = |(one, count): &(crate::services::gear::StoragePlaceRow, i64)| {
        Choice::new(one.id.raw(), format!("{}, {count} there", one.name))
    };
    let shelves: Vec<Choice> = sheet.shelves.iter().map(shelf).collect();
    let first = shelves.first().or(places.first()).map(|choice| choice.value.clone()).unwrap_or_default();
    let or_first = |chosen: String| if chosen.is_empty() { first.clone() } else { chosen };
    let typed = Said {
        move_from: or_first(typed.move_from),
        retire_from: or_first(typed.retire_from),
        count_at: or_first(typed.count_at),
        ..typed
    };
    Show { page, errors, refused, sheet, typed, places, shelves }
}

/// The lot.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let sheet = blocking(&app, move |app| lot::find(app, &caller, &reference)).await?;
    shown(&page_of(&request, sheet, Said::default(), FieldErrors::default(), None))
}

/// What a press wants.
#[derive(Clone, Copy)]
enum Press {
    Move,
    Retire,
    Count,
}

type Lot = web::Path<String>;

/// Moves helmets to another place.
pub async fn move_to(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    lot: Lot,
    Typed(said): Typed<Said>,
) -> Answer {
    press(request, app, caller, lot.into_inner(), (Press::Move, said)).await
}

/// Takes helmets out of use for good.
pub async fn retire(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    lot: Lot,
    Typed(said): Typed<Said>,
) -> Answer {
    press(request, app, caller, lot.into_inner(), (Press::Retire, said)).await
}

/// Notes how many are on a shelf.
pub async fn count(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    lot: Lot,
    Typed(said): Typed<Said>,
) -> Answer {
    press(request, app, caller, lot.into_inner(), (Press::Count, said)).await
}

/// Does what a press wants, or shows the page again with what was typed.
async fn press(
    request: HttpRequest,
    app: web::Data<App>,
    caller: Caller,
    reference: String,
    (press, said): (Press, Said),
) -> Answer {
    let (mut errors, mut refused) = (FieldErrors::default(), None);
    let (field, deed) = match press {
        Press::Move => ("move_count", said.moved()),
        Press::Retire => ("retire_count", said.retired()),
        Press::Count => ("counted", said.counted()),
    };
    match deed {
        Err(faults) => errors = faults,
        Ok(deed) => {
            let (asks, asked, seen) = (caller.clone(), reference.clone(), Seen::sent(&said.seen));
            match blocking(&app, move |app| lot::act(app, &asks, &asked, deed, &seen)).await {
                Ok(()) => return Ok(go(&way(&reference))),
                Err(Failure::Refused(refusal @ Refusal::Gear(GearRefusal::Short { .. }))) => {
                    errors.add(field, refusal_words::words(Lang::En, &refusal));
                }
                Err(Failure::Refused(refusal)) => refused = Some(refusal_words::words(Lang::En, &refusal)),
                Err(other) => return Err(other.into()),
            }
        }
    }
    let sheet = blocking(&app, move |app| lot::find(app, &caller, &reference)).await?;
    let page = page_of(&request, sheet, said, errors, refused);
    match page.errors.is_empty() {
        true => shown_as(StatusCode::CONFLICT, &page),
        false => shown_again(&page),
    }
}

const MOST: i64 = 100_000;

impl Said {
    fn moved(&self) -> Result<Deed, FieldErrors> {
        let mut reading = Reading::default();
        let from = reading.chosen("move_from", "from where", &self.move_from);
        let to = reading.chosen("move_to", "to where", &self.move_to);
        let count = reading.whole("move_count", "how many", &self.move_count, 1..=MOST);
        if from == to && !to.is_empty() {
            reading.fault("move_to", "They are there already. Choose another place");
        }
        reading.done(Deed::Move { from: from.parse().unwrap_or(0), to: to.parse().unwrap_or(0), count })
    }

    fn retired(&self) -> Result<Deed, FieldErrors> {
        let mut reading = Reading::default();
        let from = reading.chosen("retire_from", "from where", &self.retire_from);
        let count = reading.whole("retire_count", "how many", &self.retire_count, 1..=MOST);
        let why = reading.checked_line("retire_why", "why", &self.retire_why, 200);
        reading.done(())?;
        let from = from.parse().unwrap_or(0);
        why.map(|why| Deed::Retire { from, count, why }).ok_or_else(FieldErrors::default)
    }

    fn counted(&self) -> Result<Deed, FieldErrors> {
        let mut reading = Reading::default();
        let at = reading.chosen("count_at", "which place", &self.count_at);
        let count = reading.whole("counted", "how many there are", &self.counted, 0..=MOST);
        reading.done(Deed::Count { at: at.parse().unwrap_or(0), count })
    }
}
