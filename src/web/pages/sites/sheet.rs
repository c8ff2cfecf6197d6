//! One site: its facts, its papers with their dates and its emergency plan, and the forms that change them.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDate;
use serde::Deserialize;

use crate::domain::certification::PaperFault;
use crate::domain::emergency_plan::{EmergencyPlan, GateCode};
use crate::domain::refusal::Refusal;
use crate::domain::seen::Seen;
use crate::domain::site_paper::{SitePaper, SitePaperKind, counts_through};
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::sites::sheet::{self, KeptPlan, SiteSheet};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::moved::{Moved, Told, told as answered};
use crate::web::page::{Choice, Page};
use crate::web::staff_form::Reading;
use crate::web::{blocking, paper_words};

use super::SiteForm;

#[derive(Template)]
#[template(path = "sites/show.html")]
struct SitePage {
    page: Page,
    errors: FieldErrors,
    form: PaperForm,
    sheet: SiteSheet,
    kinds: Vec<Choice>,
}

#[derive(Template)]
#[template(path = "sites/edit.html")]
struct EditPage {
    page: Page,
    errors: FieldErrors,
    moved: Moved,
    form: SiteForm,
    sheet: SiteSheet,
}

#[derive(Template)]
#[template(path = "sites/plan.html")]
struct PlanPage {
    page: Page,
    errors: FieldErrors,
    moved: Moved,
    form: PlanForm,
    sheet: SiteSheet,
}

/// What the form of a paper sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct PaperForm {
    kind: String,
    from_month: String,
    from_day: String,
    from_year: String,
    through_month: String,
    through_day: String,
    through_year: String,
}

/// What the form of the emergency plan sends. No debug form: it carries the gate code.
#[derive(Clone, Default, Deserialize)]
#[serde(default)]
pub struct PlanForm {
    seen: Seen,
    signal_spot: String,
    device: String,
    gate_code: String,
    landing_place: String,
    meets_ambulance: String,
}

/// A state as the page shows it: the class that gives its color, its shape, its word, and the day that it turns on.
struct Standing {
    kind: &'static str,
    shape: &'static str,
    words: &'static str,
    day: String,
}

/// A day in words.
fn day(day: &NaiveDate) -> String {
    language::date_short(Lang::En, *day)
}

/// A kind of paper as a column's head.
fn kind_name(kind: &SitePaperKind) -> String {
    let name = paper_words::site_kind(Lang::En, *kind);
    name[..1].to_uppercase() + &name[1..]
}

/// How a site's papers of one kind stand today.
fn standing(kind: &SitePaperKind, sheet: &SiteSheet) -> Standing {
    told(counts_through(*kind, &sheet.papers, sheet.today))
}

/// How one paper stands today.
fn own_standing(paper: &SitePaper, sheet: &SiteSheet) -> Standing {
    told(paper.fault_on(sheet.today).map_or(Ok(paper.valid_through), Err))
}

fn told(counts: Result<NaiveDate, PaperFault>) -> Standing {
    let (kind, shape, words, day) = match counts {
        Ok(last) => ("met", "met", "holds", format!("through {}", day(&last))),
        Err(PaperFault::Expired(last)) => ("not-met", "notmet", "lapsed", format!("held through {}", day(&last))),
        Err(PaperFault::NotYetValid(first)) => ("adapted", "adapted", "not yet", format!("from {}", day(&first))),
        Err(PaperFault::Suspended(since)) => ("not-met", "notmet", "set aside", format!("since {}", day(&since))),
        Err(PaperFault::Revoked(since)) => ("not-met", "notmet", "taken back", format!("on {}", day(&since))),
        Err(PaperFault::Missing) => ("not-measured", "none", "missing", String::new()),
    };
    Standing { kind, shape, words, day }
}

/// One site.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let found = blocking(&app, move |app| sheet::find(app, &caller, &reference)).await?;
    shown(&site_page(&request, found, PaperForm::default(), FieldErrors::default()))
}

/// Adds a paper to a site.
pub async fn add_paper(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<PaperForm>,
) -> Answer {
    match form.read() {
        Ok(paper) => {
            let way = format!("/sites/{reference}#papers");
            blocking(&app, move |app| sheet::add_paper(app, &caller, &reference, paper)).await?;
            Ok(go(&way))
        }
        Err(errors) => {
            let found = blocking(&app, move |app| sheet::find(app, &caller, &reference)).await?;
            shown_again(&site_page(&request, found, form, errors))
        }
    }
}

/// Takes a paper back.
pub async fn take_back_paper(app: web::Data<App>, Asking(caller): Asking, path: web::Path<(String, i64)>) -> Answer {
    let (reference, place) = path.into_inner();
    let way = format!("/sites/{reference}#papers");
    // A page counts from one, a list from nothing.
    blocking(&app, move |app| sheet::take_back_paper(app, &caller, &reference, place.saturating_sub(1))).await?;
    Ok(go(&way))
}

/// The form that changes a site's facts.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let found = blocking(&app, move |app| sheet::find(app, &caller, &reference)).await?;
    let form = SiteForm::of(&found.site);
    shown(&edit_page(&request, found, form, FieldErrors::default()))
}

/// Changes a site's facts.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<SiteForm>,
) -> Answer {
    let (asking, own) = (caller.clone(), reference.clone());
    let found = blocking(&app, move |app| sheet::find(app, &asking, &own)).await?;
    match form.within(&found.site).read() {
        Ok(new) => {
            let (asking, own, seen) = (caller.clone(), reference.clone(), form.seen.clone());
            match blocking(&app, move |app| sheet::change(app, &asking, &own, &seen, new)).await {
                Ok(()) => return Ok(go(&format!("/sites/{reference}"))),
                Err(Failure::Refused(Refusal::DraftMoved)) => {}
                Err(other) => return Err(other.into()),
            }
            let found = blocking(&app, move |app| sheet::find(app, &caller, &reference)).await?;
            let kept = SiteForm::of(&found.site);
            let moved = Moved::between(&form.told(), kept.told());
            let form = SiteForm { seen: kept.seen, ..form };
            shown_as(
                StatusCode::CONFLICT,
                &EditPage { moved, ..edit_page(&request, found, form, FieldErrors::default()) },
            )
        }
        Err(errors) => shown_again(&edit_page(&request, found, form, errors)),
    }
}

/// The form of the emergency plan.
pub async fn edit_plan(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let found = blocking(&app, move |app| sheet::find(app, &caller, &reference)).await?;
    let form = PlanForm::of(found.plan.as_ref());
    shown(&plan_page(&request, found, form, FieldErrors::default()))
}

/// Writes the emergency plan.
pub async fn update_plan(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<PlanForm>,
) -> Answer {
    let errors = match form.read() {
        Ok(plan) => {
            let (asking, own, seen) = (caller.clone(), reference.clone(), form.seen.clone());
            match blocking(&app, move |app| sheet::write_plan(app, &asking, &own, &seen, plan)).await {
                Ok(()) => return Ok(go(&format!("/sites/{reference}#plan"))),
                Err(Failure::Refused(Refusal::DraftMoved)) => None,
                Err(other) => return Err(other.into()),
            }
        }
        Err(errors) => Some(errors),
    };
    let found = blocking(&app, move |app| sheet::find(app, &caller, &reference)).await?;
    match errors {
        Some(errors) => shown_again(&plan_page(&request, found, form, errors)),
        None => {
            let kept = PlanForm::of(found.plan.as_ref());
            let moved = Moved::between(&form.told(), kept.told());
            let form = PlanForm { seen: kept.seen, ..form };
            shown_as(
                StatusCode::CONFLICT,
                &PlanPage { moved, ..plan_page(&request, found, form, FieldErrors::default()) },
            )
        }
    }
}

fn site_page(request: &HttpRequest, sheet: SiteSheet, form: PaperForm, errors: FieldErrors) -> SitePage {
    let page = staff_page(request, sheet.site.name.clone()).with_errors(errors.len());
    let kinds = SitePaperKind::ALL.iter().map(|kind| Choice::new(kind, kind_name(kind))).collect();
    SitePage { page, errors, form, sheet, kinds }
}

fn edit_page(request: &HttpRequest, sheet: SiteSheet, form: SiteForm, errors: FieldErrors) -> EditPage {
    let page = staff_page(request, format!("Change {}", sheet.site.name)).with_errors(errors.len());
    EditPage { page, errors, moved: Moved::default(), form, sheet }
}

fn plan_page(request: &HttpRequest, sheet: SiteSheet, form: PlanForm, errors: FieldErrors) -> PlanPage {
    let page = staff_page(request, format!("Emergency plan of {}", sheet.site.name)).with_errors(errors.len());
    PlanPage { page, errors, moved: Moved::default(), form, sheet }
}

impl PaperForm {
    fn read(&self) -> Result<SitePaper, FieldErrors> {
        let mut reading = Reading::default();
        let paper = SitePaper {
            kind: reading.choice("kind", "what the paper shows", &self.kind, SitePaperKind::Insurance),
            valid_from: reading.day("from", [&self.from_month, &self.from_day, &self.from_year]),
            valid_through: reading.day("through", [&self.through_month, &self.through_day, &self.through_year]),
            taken_back_on: None,
        };
        if paper.valid_through < paper.valid_from && paper.valid_through != NaiveDate::MIN {
            reading.fault("through", "The last day comes before the first. Look at both");
        }
        reading.done(paper)
    }
}

impl PlanForm {
    /// What is kept, empty while nobody wrote a plan.
    fn of(kept: Option<&KeptPlan>) -> Self {
        let plan = kept.map(|kept| kept.plan.clone()).unwrap_or_default();
        Self {
            seen: Seen::of(&kept),
            signal_spot: plan.signal_spot.clone(),
            device: plan.device.clone(),
            gate_code: plan.gate_code.reveal().to_owned(),
            landing_place: plan.landing_place.clone(),
            meets_ambulance: plan.meets_ambulance.clone(),
        }
    }

    fn told(&self) -> Told {
        answered([
            ("Nearest spot with phone signal", &self.signal_spot),
            ("Radio or satellite device", &self.device),
            ("Gate code", &self.gate_code),
            ("Landing place for a helicopter", &self.landing_place),
            ("Who meets the ambulance, and where", &self.meets_ambulance),
        ])
    }

    fn read(&self) -> Result<EmergencyPlan, FieldErrors> {
        let mut reading = Reading::default();
        let plan = EmergencyPlan {
            signal_spot: reading.lines("signal_spot", "the spot with signal", &self.signal_spot, 500),
            device: reading.lines("device", "the radio or satellite device", &self.device, 500),
            gate_code: GateCode::new(reading.lines("gate_code", "the gate code", &self.gate_code, 60)),
            landing_place: reading.lines("landing_place", "the landing place", &self.landing_place, 500),
            meets_ambulance: reading.line(
                "meets_ambulance",
                "who meets the ambulance, and where",
                &self.meets_ambulance,
                500,
            ),
        };
        if plan.signal_spot.is_empty() && plan.device.is_empty() {
            reading.fault("signal_spot", "Write where a phone works, or which radio or satellite device is there");
        }
        reading.done(plan)
    }
}
