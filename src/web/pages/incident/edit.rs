//! Writing a report: every part of it in one form, kept as far as it goes.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveTime;

use crate::domain::access::Caller;
use crate::domain::cautions::CautionKey;
use crate::domain::health_note::Known;
use crate::domain::incident::{HelmetAfter, IncidentKind, Report, ReportPart, Standing};
use crate::domain::refusal::Refusal;
use crate::domain::seen::Seen;
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::incidents::{self, Sheet};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Answers, FieldErrors, Typed};
use crate::web::incident_words;
use crate::web::page::{Choice, Page};
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

use super::{choices, found, way};

/// The most characters of one part.
const LONGEST: usize = 2000;
/// Parts in a line or a few lines.
const TEXTS: [ReportPart; 12] = [
    ReportPart::Person,
    ReportPart::Exercise,
    ReportPart::Surface,
    ReportPart::Before,
    ReportPart::Happened,
    ReportPart::Injury,
    ReportPart::Object,
    ReportPart::FirstAid,
    ReportPart::Physician,
    ReportPart::Facility,
    ReportPart::Witnesses,
    ReportPart::FollowUp,
];

#[derive(Template)]
#[template(path = "incident/edit.html")]
struct Edit {
    page: Page,
    errors: FieldErrors,
    refused: Option<String>,
    sheet: Sheet,
    form: Answers,
    seen: String,
}

impl Edit {
    fn is_hurt(&self) -> bool {
        self.sheet.row.kind == IncidentKind::Hurt
    }
    fn is_rider(&self) -> bool {
        self.sheet.rider.is_some()
    }
    fn known(&self) -> Vec<Choice> {
        choices(incident_words::known)
    }
    fn helmets(&self) -> Vec<Choice> {
        choices(incident_words::helmet_after)
    }
}

/// The form as the report stands.
fn filled(sheet: &Sheet) -> Answers {
    let report = &sheet.report;
    let time = |time: Option<NaiveTime>| time.map(|time| language::time(Lang::En, time)).unwrap_or_default();
    let mut form = Answers::default();
    for part in ReportPart::ALL {
        let words = match part {
            ReportPart::Time => time(report.time),
            ReportPart::Began => time(report.began),
            ReportPart::ToldAt => time(report.told_at),
            ReportPart::Died => continue,
            other => report.part(*other),
        };
        form = form.with(part.as_str(), words);
    }
    if let Some(on) = report.died_on {
        form = form.with("died_month", on.format("%-m").to_string()).with("died_day", on.format("%-d").to_string());
        form = form.with("died_year", on.format("%Y").to_string());
    }
    form.with_tick("time_unknown", report.time_unknown).with_tick("ambulance", sheet.row.ambulance)
}

fn page_of(
    request: &HttpRequest,
    sheet: Sheet,
    (form, seen): (Answers, String),
    (errors, refused): (FieldErrors, Option<String>),
) -> Edit {
    let title = format!("Write report {}", sheet.row.case_number);
    let page = staff_page(request, title).with_caution(CautionKey::Incident).with_errors(errors.len());
    Edit { page, errors, refused, sheet, form, seen }
}

/// The form.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let sheet = found(&app, caller, reference.into_inner()).await?;
    if sheet.standing() == Standing::Closed {
        return Ok(go(&way(&sheet.row.reference)));
    }
    let (form, seen) = (filled(&sheet), sheet.seen.to_string());
    shown(&page_of(&request, sheet, (form, seen), (FieldErrors::default(), None)))
}

/// What was written, with whether an ambulance came.
fn read(form: &Answers) -> Result<(Report, bool), FieldErrors> {
    let mut reading = Reading::default();
    let of = |part: ReportPart| form.of(part.as_str());
    let mut texts: Vec<String> = Vec::new();
    for part in TEXTS {
        texts.push(reading.lines(part.as_str(), &lower(part), of(part), LONGEST));
    }
    let mut time = |part: ReportPart| {
        let typed = of(part);
        (!typed.trim().is_empty()).then(|| reading.time(part.as_str(), "a time", typed))
    };
    let (at, began, told_at) = (time(ReportPart::Time), time(ReportPart::Began), time(ReportPart::ToldAt));
    let known = |part: ReportPart| Known::from_word(of(part));
    let died = [form.of("died_month"), form.of("died_day"), form.of("died_year")];
    let died_on = died.iter().any(|part| !part.trim().is_empty()).then(|| reading.day("died", died));
    let told_by = reading.line_if_any("told_by", "who told the parent", of(ReportPart::ToldBy), 200);
    let mut next = texts.into_iter();
    let mut text = || next.next().unwrap_or_default();
    let report = Report {
        person: text(),
        exercise: text(),
        surface: text(),
        before: text(),
        happened: text(),
        injury: text(),
        object: text(),
        first_aid: text(),
        physician: text(),
        facility: text(),
        witnesses: text(),
        follow_up: text(),
        time: at,
        time_unknown: at.is_none() && form.ticked("time_unknown"),
        began,
        helmet_worn: known(ReportPart::HelmetWorn),
        helmet_after: HelmetAfter::from_word(of(ReportPart::HelmetAfter)),
        emergency_room: known(ReportPart::EmergencyRoom),
        overnight: known(ReportPart::Overnight),
        died_on,
        told_at,
        told_by,
        ..Report::default()
    };
    reading.done((report, form.ticked("ambulance")))
}

fn lower(part: ReportPart) -> String {
    let words = incident_words::part(part);
    let mut letters = words.chars();
    letters.next().map(|first| first.to_lowercase().chain(letters).collect()).unwrap_or_default()
}

/// Keeps what was written.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<Answers>,
) -> Answer {
    let reference = reference.into_inner();
    let seen = form.of("seen").to_owned();
    let written = match read(&form) {
        Ok(written) => written,
        Err(errors) => {
            let sheet = found(&app, caller, reference).await?;
            return shown_again(&page_of(&request, sheet, (form, seen), (errors, None)));
        }
    };
    match kept(&app, caller.clone(), reference.clone(), Seen::sent(&seen), written).await {
        Ok(()) => Ok(go(&way(&reference))),
        Err(Failure::Refused(refusal)) => {
            let sheet = found(&app, caller, reference).await?;
            let refused = Some(refusal_words::words(Lang::En, &refusal));
            // Whoever looks at what stands now may press again.
            let seen = if refusal == Refusal::DraftMoved { sheet.seen.to_string() } else { seen };
            let page = page_of(&request, sheet, (form, seen), (FieldErrors::default(), refused));
            shown_as(StatusCode::CONFLICT, &page)
        }
        Err(other) => Err(other.into()),
    }
}

async fn kept(
    app: &web::Data<App>,
    caller: Caller,
    reference: String,
    seen: Seen,
    written: (Report, bool),
) -> Result<(), Failure> {
    blocking(app, move |app| incidents::change(app, &caller, &reference, &seen, written)).await
}
