//! One machine: its record and its history, a fault of it, and what else is done to it.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::http::StatusCode;
use actix_web::{FromRequest, HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::access::Caller;
use crate::domain::cautions::CautionKey;
use crate::domain::machine::MachineState;
use crate::domain::machine::record::{EventKind, RecordPart};
use crate::domain::refusal::Refusal;
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::fleet::Kept;
use crate::services::fleet::sheet::{self, Sheet, Stamp, Told};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::caller::{self, Asking};
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::moved::Moved;
use crate::web::page::{Choice, Page};
use crate::web::staff_form::Reading;
use crate::web::{blocking, refusal_words};

use super::form::{Choices, MachineForm, label_words, record_errors, seats_words};
use super::{day, inches, pounds, state_words, tenths};

/// The address of a machine's page.
pub(super) fn way(reference: &str) -> String {
    format!("/machines/{reference}")
}

#[derive(Template)]
#[template(path = "machines/show.html")]
struct Show {
    page: Page,
    errors: FieldErrors,
    /// Why the last press did nothing.
    refused: Option<String>,
    sheet: Sheet,
    typed: Said,
    places: Vec<Choice>,
}

#[derive(Template)]
#[template(path = "machines/edit.html")]
struct Edit {
    page: Page,
    errors: FieldErrors,
    moved: Moved,
    form: MachineForm,
    choices: Choices,
    sheet: Sheet,
}

/// What the forms of a machine's page send.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Said {
    /// A fault.
    what: String,
    /// What was done about one.
    note: String,
    /// What the hour meter shows.
    hours: String,
    new_meter: String,
    /// Where it is kept.
    place: String,
    /// Why it leaves the fleet, or comes back.
    why: String,
}

/// What a press wants.
#[derive(Clone, Copy)]
enum Press {
    Fault,
    Mend(i64),
    Meter,
    Move,
    Retire(bool),
}

impl Show {
    fn state(&self) -> (&'static str, &'static str, &'static str) {
        state_words(self.sheet.state().as_str())
    }
    fn is_retired(&self) -> bool {
        self.sheet.state() == MachineState::Retired
    }
    fn seats(&self) -> String {
        self.sheet.row.seats.map(seats_words).unwrap_or_else(|| "Not written down".to_owned())
    }
    fn label(&self) -> &'static str {
        label_words(self.sheet.row.label)
    }
    fn limiter(&self) -> String {
        let row = &self.sheet.row;
        let Some(speed) = row.limiter_tenths_mph else { return "None".to_owned() };
        let on = row.limiter_set_on.map(|on| format!(", set {}", day(&on))).unwrap_or_default();
        let by = if row.limiter_set_by.is_empty() { String::new() } else { format!(" by {}", row.limiter_set_by) };
        format!("{} mph{on}{by}", tenths(&speed))
    }
    fn tires(&self) -> String {
        let one = |name: &str, tenth: Option<i64>| tenth.map(|tenth| format!("{name} {} psi", tenths(&tenth)));
        let row = &self.sheet.row;
        let both = [one("front", row.tire_front_tenths_psi), one("rear", row.tire_rear_tenths_psi)];
        let both: Vec<String> = both.into_iter().flatten().collect();
        if both.is_empty() { "Not written down".to_owned() } else { both.join(", ") }
    }
    fn edition(&self) -> &'static str {
        self.sheet.edition.map_or("None: older than the federal rule", Word::as_str)
    }
    fn hours(&self) -> String {
        self.sheet.row.hours_tenths.map_or_else(|| "Not read yet".to_owned(), |hours| tenths(&hours))
    }
    fn place(&self) -> String {
        let place = self.sheet.place.as_ref();
        place.map_or_else(|| "Not written down".to_owned(), |place| place.name.clone())
    }
    fn when(&self, stamp: &Stamp) -> String {
        let at = stamp.at.map(|at| format!("{}, {}", day(&at.date()), language::time(Lang::En, at.time())));
        let by = Some(stamp.by.clone()).filter(|by| !by.is_empty());
        [at, by].into_iter().flatten().collect::<Vec<_>>().join(", ")
    }
    fn told(&self, told: &Told) -> String {
        let with = |words: &str, detail: &str| match detail.is_empty() {
            true => words.to_owned(),
            false => format!("{words}: {detail}"),
        };
        match told {
            Told::Found(what) => with("Fault", what),
            Told::Mended { what, note } => format!("Mended: {what}. {note}"),
            Told::Event(EventKind::Added, _) => "Added to the fleet".to_owned(),
            Told::Event(EventKind::Changed, parts) => {
                let parts: Vec<&str> = parts.split(' ').filter_map(RecordPart::from_word).map(part_words).collect();
                with("Record changed", &parts.join(", "))
            }
            Told::Event(EventKind::Moved, place) if place.is_empty() => "Kept nowhere in particular".to_owned(),
            Told::Event(EventKind::Moved, place) => with("Kept now", place),
            Told::Event(EventKind::Hours, hours) => {
                with("Hour meter", &hours.parse().map_or_else(|_| String::new(), |hours: i64| tenths(&hours)))
            }
            Told::Event(EventKind::Retired, why) => with("Left the fleet", why),
            Told::Event(EventKind::Returned, why) => with("Back in the fleet", why),
        }
    }
}

/// What a part of the record is called in the list of what happened.
fn part_words(part: RecordPart) -> &'static str {
    match part {
        RecordPart::Number => "number",
        RecordPart::MakeModel => "make and model",
        RecordPart::Serial => "number on the frame",
        RecordPart::Category => "category",
        RecordPart::Riders => "for how many it is made",
        RecordPart::Built => "build date",
        RecordPart::Engine => "engine",
        RecordPart::Weight => "weight",
        RecordPart::Sizes => "sizes",
        RecordPart::Limiter => "limiter",
        RecordPart::Tires => "tire pressures",
        RecordPart::Label => "warning label",
    }
}

fn page_of(request: &HttpRequest, sheet: Sheet, typed: Said, errors: FieldErrors, refused: Option<String>) -> Show {
    let title = format!("Machine {}", sheet.row.number);
    let page = staff_page(request, title).with_caution(CautionKey::Machine).with_errors(errors.len());
    let place = |place: &crate::services::fleet::StoragePlaceRow| Choice::new(place.id.raw(), &place.name);
    let places = sheet.places.iter().map(place).collect();
    let here = sheet.row.place_id.map(|id| id.raw().to_string()).unwrap_or_default();
    let typed = if typed.place.is_empty() { Said { place: here, ..typed } } else { typed };
    Show { page, errors, refused, sheet, typed, places }
}

/// The machine.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let found = blocking(&app, move |app| sheet::find(app, &caller, &reference)).await?;
    shown(&page_of(&request, found, Said::default(), FieldErrors::default(), None))
}

/// The form of its record.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let found = blocking(&app, move |app| sheet::find(app, &caller, &reference)).await?;
    let form = MachineForm::of(&found.row);
    shown(&edit_page(&request, found, form, FieldErrors::default(), Moved::default()))
}

fn edit_page(request: &HttpRequest, sheet: Sheet, form: MachineForm, errors: FieldErrors, moved: Moved) -> Edit {
    let title = format!("Change the record of machine {}", sheet.row.number);
    let page = staff_page(request, title).with_caution(CautionKey::Machine).with_errors(errors.len());
    Edit { page, errors, moved, form, choices: Choices::new(), sheet }
}

/// Changes the record.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<MachineForm>,
) -> Answer {
    let (asks, asked) = (caller.clone(), reference.clone());
    let found = blocking(&app, move |app| sheet::find(app, &asks, &asked)).await?;
    let errors = match form.read_beside(&found.row) {
        Err(faults) => faults,
        Ok(facts) => {
            let (asks, asked, seen) = (caller.clone(), reference.clone(), form.seen.clone());
            match blocking(&app, move |app| sheet::change(app, &asks, &asked, &seen, facts)).await {
                Ok(Kept::Done(reference)) => return Ok(go(&way(&reference))),
                Ok(Kept::Faulty(faults)) => record_errors(&faults),
                Err(Failure::Refused(Refusal::DraftMoved)) => {
                    let now = blocking(&app, move |app| sheet::find(app, &caller, &reference)).await?;
                    let kept = MachineForm::of(&now.row);
                    let moved = Moved::between(&form.told(), kept.told());
                    let form = MachineForm { seen: kept.seen, ..form };
                    let page = edit_page(&request, now, form, FieldErrors::default(), moved);
                    return shown_as(refusal_words::status(&Refusal::DraftMoved), &page);
                }
                Err(Failure::Refused(refusal)) => {
                    let mut errors = FieldErrors::default();
                    errors.add("number", refusal_words::words(Lang::En, &refusal));
                    errors
                }
                Err(other) => return Err(other.into()),
            }
        }
    };
    shown_again(&edit_page(&request, found, form, errors, Moved::default()))
}

/// Who presses something on the page of which machine.
pub struct Ask {
    app: web::Data<App>,
    request: HttpRequest,
    about: About,
    caller: Caller,
}

/// The machine that an address names, and the fault where its line of the route table names one.
#[derive(Deserialize)]
pub struct About {
    machine: String,
    #[serde(default)]
    number: i64,
}

impl FromRequest for Ask {
    type Error = actix_web::Error;
    type Future = Ready<Result<Self, Self::Error>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let mut read = || {
            let app = web::Data::<App>::from_request(request, payload).into_inner()?;
            let about = web::Path::<About>::from_request(request, payload).into_inner()?.into_inner();
            Ok(Self { app, request: request.clone(), about, caller: caller::of(request) })
        };
        ready(read())
    }
}

/// Writes a fault down.
pub async fn report(ask: Ask, Typed(said): Typed<Said>) -> Answer {
    ask.press(said, Press::Fault).await
}

/// Notes that a fault is mended.
pub async fn mend(ask: Ask, Typed(said): Typed<Said>) -> Answer {
    let number = ask.about.number;
    ask.press(said, Press::Mend(number)).await
}

/// Notes what the hour meter shows.
pub async fn read_meter(ask: Ask, Typed(said): Typed<Said>) -> Answer {
    ask.press(said, Press::Meter).await
}

/// Notes where it is kept.
pub async fn move_to(ask: Ask, Typed(said): Typed<Said>) -> Answer {
    ask.press(said, Press::Move).await
}

/// Takes it out of the fleet.
pub async fn retire(ask: Ask, Typed(said): Typed<Said>) -> Answer {
    ask.press(said, Press::Retire(true)).await
}

/// Takes it back into the fleet.
pub async fn bring_back(ask: Ask, Typed(said): Typed<Said>) -> Answer {
    ask.press(said, Press::Retire(false)).await
}

impl Ask {
    /// Does what a press wants, or shows the page again with what was typed.
    async fn press(self, said: Said, press: Press) -> Answer {
        let Self { app, request, about: About { machine: reference, .. }, caller } = self;
        let (asks, asked, typed) = (caller.clone(), reference.clone(), said.clone());
        let done = blocking(&app, move |app| act(app, &asks, &asked, &typed, press)).await;
        let (mut errors, mut refused) = (FieldErrors::default(), None);
        match done {
            Ok(Ok(())) => return Ok(go(&way(&reference))),
            Ok(Err(faults)) => errors = faults,
            Err(Failure::Refused(refusal @ Refusal::MeterRunsBack { .. })) => {
                errors.add("hours", refusal_words::words(Lang::En, &refusal));
            }
            Err(Failure::Refused(refusal)) => refused = Some(refusal_words::words(Lang::En, &refusal)),
            Err(other) => return Err(other.into()),
        }
        let found = blocking(&app, move |app| sheet::find(app, &caller, &reference)).await?;
        // Words about a fault that is mended by now are asked for no more.
        if matches!(press, Press::Mend(number) if found.open.iter().all(|(open, ..)| *open != number)) {
            errors = FieldErrors::default();
            refused = Some(refusal_words::words(Lang::En, &Refusal::WorldMoved));
        }
        let page = page_of(&request, found, said, errors, refused);
        match page.errors.is_empty() {
            true => shown_as(StatusCode::CONFLICT, &page),
            false => shown_again(&page),
        }
    }
}

fn act(
    app: &App,
    caller: &Caller,
    reference: &str,
    said: &Said,
    press: Press,
) -> Result<Result<(), FieldErrors>, Failure> {
    let mut reading = Reading::default();
    match press {
        Press::Fault => match reading.checked_line("what", "what is wrong", &said.what, 200) {
            Some(what) => sheet::report(app, caller, reference, what)?,
            None => return Ok(reading.done(())),
        },
        Press::Mend(ordinal) => {
            match reading.checked_line(&format!("note-{ordinal}"), "what was done", &said.note, 200) {
                Some(note) => sheet::mend(app, caller, reference, ordinal, note)?,
                None => return Ok(reading.done(())),
            }
        }
        Press::Meter => {
            let hours = reading.decimal("hours", "the hours", &said.hours, 1, 999_999);
            if let Err(errors) = reading.done(()) {
                return Ok(Err(errors));
            }
            sheet::read_meter(app, caller, reference, hours, said.new_meter == "yes")?;
        }
        Press::Move => {
            let place = Some(said.place.as_str()).filter(|place| !place.is_empty());
            let place = place.map(|place| place.parse().map_err(|_| Failure::NotFound)).transpose()?;
            sheet::move_to(app, caller, reference, place)?;
        }
        Press::Retire(retire) => match reading.checked_line("why", "why", &said.why, 200) {
            Some(why) => sheet::set_retired(app, caller, reference, retire, why)?,
            None => return Ok(reading.done(())),
        },
    }
    Ok(Ok(()))
}
