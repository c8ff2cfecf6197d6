//! What somebody of the staff sees of their own work: papers, days away, what was taught. Staff pages, in English.

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDate;
use serde::Deserialize;

use crate::domain::absence::Absence;
use crate::domain::access::Caller;
use crate::domain::certification::{BlockingPaper, CertificationKind, PaperFault};
use crate::domain::words::Lang;
use crate::services::my_work::{self, MyWork};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again};
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::due_words::capital;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::staff_form::Reading;
use crate::web::staff_words::day;
use crate::web::{blocking, paper_words, refusal_words, work_words};

#[derive(Template)]
#[template(path = "my_work/show.html")]
struct Show {
    page: Page,
    errors: FieldErrors,
    work: MyWork,
    form: Away,
}

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Away {
    from_month: String,
    from_day: String,
    from_year: String,
    through_month: String,
    through_day: String,
    through_year: String,
}

impl Show {
    fn paper(&self, kind: &CertificationKind, holds: &Result<NaiveDate, PaperFault>) -> String {
        match holds {
            Ok(through) => {
                let name = capital(&paper_words::kind(Lang::En, *kind));
                format!("{name}, holds through {}", day(through))
            }
            Err(fault) => capital(&paper_words::blocking(Lang::En, BlockingPaper { kind: *kind, fault: *fault })),
        }
    }
    fn away(&self, absence: &Absence) -> String {
        work_words::away(absence)
    }
}

async fn drawn(
    request: &HttpRequest,
    app: &web::Data<App>,
    caller: Caller,
    form: Away,
    errors: FieldErrors,
) -> Result<Show, Failure> {
    let work = blocking(app, move |app| my_work::find(app, &caller)).await?;
    let page = staff_page(request, "My work").with_errors(errors.len());
    Ok(Show { page, errors, work, form })
}

/// The page.
pub async fn show(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    shown(&drawn(&request, &app, caller, Away::default(), FieldErrors::default()).await?)
}

/// Says that one is away.
pub async fn go_away(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<Away>,
) -> Answer {
    let mut reading = Reading::default();
    let from = reading.day("from", [&form.from_month, &form.from_day, &form.from_year]);
    let through = reading.day("through", [&form.through_month, &form.through_day, &form.through_year]);
    if through < from && through != NaiveDate::MIN {
        reading.fault("through", "The last day comes before the first. Look at both");
    }
    let absence = match reading.done(Absence { from, through }) {
        Ok(absence) => absence,
        Err(errors) => return shown_again(&drawn(&request, &app, caller, form, errors).await?),
    };
    let asks = caller.clone();
    match blocking(&app, move |app| my_work::go_away(app, &asks, absence)).await {
        Ok(()) => Ok(go("/my-work#away")),
        Err(Failure::Refused(refusal)) => {
            let mut errors = FieldErrors::default();
            errors.add("from", refusal_words::words(Lang::En, &refusal));
            shown_again(&drawn(&request, &app, caller, form, errors).await?)
        }
        Err(other) => Err(other.into()),
    }
}

/// Takes an absence back.
pub async fn come_back(app: web::Data<App>, Asking(caller): Asking, row: web::Path<i64>) -> Answer {
    blocking(&app, move |app| my_work::come_back(app, &caller, *row)).await?;
    Ok(go("/my-work#away"))
}
