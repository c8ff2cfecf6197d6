//! Reports of what happened: the list of the office, one report, its two signatures, what is added to it, its photos. Staff pages,
//! in English.

pub mod edit;

use actix_web::{HttpRequest, HttpResponse, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::access::Caller;
use crate::domain::cautions::CautionKey;
use crate::domain::incident::{NearMissKind, Standing};
use crate::domain::seen::Seen;
use crate::domain::words::{Lang, Word};
use crate::services::incidents::{self, Listed, Reports, Sheet};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::incident_words;
use crate::web::page::{Choice, Page};
use crate::web::refusal_words;
use crate::web::staff_form::Reading;
use crate::web::staff_words::{day, instant};
use crate::web::upload::Upload;

/// The most characters of what is added.
const LONGEST: usize = 2000;

fn way(reference: &str) -> String {
    format!("/incidents/{reference}")
}

#[derive(Template)]
#[template(path = "incident/list.html")]
struct List {
    page: Page,
    found: Reports,
}

fn near(what: &NearMissKind) -> &'static str {
    incident_words::near_miss(*what)
}

impl List {
    fn kind(&self, one: &Listed) -> &'static str {
        incident_words::kind(one.row.kind)
    }
    fn close_by(&self, one: &Listed) -> String {
        format!("close it by {}", day(&one.report_due))
    }
}

/// Every report, and what nearly happened of late.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let found = blocking(&app, move |app| incidents::list(app, &caller)).await?;
    let page = staff_page(&request, "What happened").with_caution(CautionKey::Incident);
    shown(&List { page, found })
}

#[derive(Template)]
#[template(path = "incident/show.html")]
struct Show {
    page: Page,
    errors: FieldErrors,
    sheet: Sheet,
    added: String,
}

impl Show {
    fn kind(&self) -> &'static str {
        incident_words::kind(self.sheet.row.kind)
    }
    /// The parts that are written, each with its words.
    fn parts(&self) -> Vec<(&'static str, String)> {
        incident_words::parts(&self.sheet.report)
    }
    fn lacks(&self) -> Vec<&'static str> {
        self.sheet.lacks.iter().map(|part| incident_words::part(*part)).collect()
    }
    /// What the program knew by itself.
    fn known(&self) -> Vec<(&'static str, String)> {
        incident_words::circumstances(&self.sheet.report)
    }
    fn close_by(&self) -> String {
        format!("Being written. Close it by {}", day(&self.sheet.report_due))
    }
    fn is_closed(&self) -> bool {
        self.sheet.standing() == Standing::Closed
    }
    fn is_signed(&self) -> bool {
        matches!(self.sheet.standing(), Standing::Signed { .. })
    }
}

fn page_of(request: &HttpRequest, sheet: Sheet, added: String, errors: FieldErrors) -> Show {
    let page = staff_page(request, format!("Report {}", sheet.row.case_number)).with_caution(CautionKey::Incident);
    Show { page: page.with_errors(errors.len()), errors, sheet, added }
}

async fn found(app: &web::Data<App>, caller: Caller, reference: String) -> Result<Sheet, Failure> {
    blocking(app, move |app| incidents::find(app, &caller, &reference)).await
}

/// One report.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let sheet = found(&app, caller, reference.into_inner()).await?;
    shown(&page_of(&request, sheet, String::new(), FieldErrors::default()))
}

/// What the forms of a report send.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Sent {
    seen: String,
    words: String,
}

/// What a press does to a report, by its reference.
type Deed = fn(&App, &Caller, &str, &Seen) -> Result<(), Failure>;

/// Does it: back to the report, or the report with why not.
async fn press(
    request: &HttpRequest,
    app: &web::Data<App>,
    caller: Caller,
    reference: String,
    (deed, seen): (Deed, Seen),
) -> Answer {
    let (asks, asked) = (caller.clone(), reference.clone());
    match blocking(app, move |app| deed(app, &asks, &asked, &seen)).await {
        Ok(()) => Ok(go(&way(&reference))),
        Err(Failure::Refused(refusal)) => {
            let sheet = found(app, caller, reference).await?;
            let mut errors = FieldErrors::default();
            errors.add("two", refusal_words::words(Lang::En, &refusal));
            let status = refusal_words::status(&refusal);
            shown_as(status, &page_of(request, sheet, String::new(), errors))
        }
        Err(other) => Err(other.into()),
    }
}

/// Signs as the first of two.
pub async fn sign(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(sent): Typed<Sent>,
) -> Answer {
    press(&request, &app, caller, reference.into_inner(), (incidents::sign, Seen::sent(&sent.seen))).await
}

#[derive(Template)]
#[template(path = "incident/close.html")]
struct Close {
    page: Page,
    sheet: Sheet,
}

/// Asks once more before a report is closed for good.
pub async fn closing(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let sheet = found(&app, caller, reference.into_inner()).await?;
    if !matches!(sheet.standing(), Standing::Signed { .. }) {
        return Ok(go(&way(&sheet.row.reference)));
    }
    let title = format!("Close report {}", sheet.row.case_number);
    shown(&Close { page: staff_page(&request, title).with_caution(CautionKey::Incident), sheet })
}

/// Signs as the second of two, which closes the report.
pub async fn close(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(sent): Typed<Sent>,
) -> Answer {
    press(&request, &app, caller, reference.into_inner(), (incidents::close, Seen::sent(&sent.seen))).await
}

/// Notes that the insurer was told.
pub async fn tell_insurer(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let deed: Deed = |app, caller, reference, _| incidents::tell_insurer(app, caller, reference);
    press(&request, &app, caller, reference.into_inner(), (deed, Seen::sent(""))).await
}

/// Adds words to a report.
pub async fn add(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(sent): Typed<Sent>,
) -> Answer {
    let mut reading = Reading::default();
    let words = reading.lines("words", "what is added", &sent.words, LONGEST);
    if words.is_empty() {
        reading.fault("words", "Write what is added");
    }
    match reading.done(words) {
        Ok(words) => {
            let asked = reference.clone();
            blocking(&app, move |app| incidents::add_addendum(app, &caller, &asked, &words)).await?;
            Ok(go(&format!("{}#added", way(&reference))))
        }
        Err(errors) => {
            let sheet = found(&app, caller, reference.into_inner()).await?;
            shown_again(&page_of(&request, sheet, sent.words, errors))
        }
    }
}

/// Adds a photo.
pub async fn add_photo(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    file: Upload,
) -> Answer {
    let (asks, asked) = (caller.clone(), reference.clone());
    let is_there = !file.bytes.is_empty();
    let added = match is_there {
        false => Ok(Err("Choose a photo".to_owned())),
        true => blocking(&app, move |app| incidents::add_photo(app, &asks, &asked, &file.bytes))
            .await
            .map(|done| done.map_err(|fault| incident_words::photo(fault).to_owned())),
    };
    let words = match added {
        Ok(Ok(())) => return Ok(go(&format!("{}#photos", way(&reference)))),
        Ok(Err(words)) => words,
        Err(Failure::Refused(refusal)) => refusal_words::words(Lang::En, &refusal),
        Err(other) => return Err(other.into()),
    };
    let mut errors = FieldErrors::default();
    errors.add("file", words);
    let sheet = found(&app, caller, reference.into_inner()).await?;
    shown_again(&page_of(&request, sheet, String::new(), errors))
}

/// One photo. No copy of it is kept on the way.
pub async fn photo(app: web::Data<App>, Asking(caller): Asking, path: web::Path<(String, i64)>) -> Answer {
    let (reference, number) = path.into_inner();
    let bytes = blocking(&app, move |app| incidents::photo(app, &caller, &reference, number)).await?;
    Ok(HttpResponse::Ok().content_type(incidents::PHOTO_MEDIA).body(bytes))
}

/// Every answer of a closed list, for a form.
fn choices<W: Word + std::fmt::Display>(words: fn(W) -> &'static str) -> Vec<Choice> {
    W::ALL.iter().map(|one| Choice::new(one, words(*one))).collect()
}
