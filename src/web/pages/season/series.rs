//! A series from a pattern: the days are chosen, each is shown with its seats or with what it lacks, and one press plans
//! all that can be planned.

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDate;
use serde::Deserialize;

use super::pattern::all_meetings;
use crate::domain::access::Caller;
use crate::domain::refusal::Refusal;
use crate::domain::series::{MOST, every, given};
use crate::domain::words::Lang;
use crate::language;
use crate::services::series::{self, Series};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

/// The days as they are asked for, in the address.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Days {
    how: String,
    from_month: String,
    from_day: String,
    from_year: String,
    through_month: String,
    through_day: String,
    through_year: String,
    weeks: String,
    days: String,
}

/// What the button sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Press {
    key: String,
    planned: String,
}

#[derive(Template)]
#[template(path = "pattern/series.html")]
struct SeriesPage {
    page: Page,
    errors: FieldErrors,
    form: Days,
    series: Series,
}

impl SeriesPage {
    fn reference(&self) -> &str {
        &self.series.pattern.row.reference
    }

    /// The days that the button plans.
    fn planned(&self) -> String {
        let days: Vec<String> = self.series.plannable().iter().map(ToString::to_string).collect();
        days.join(" ")
    }

    fn count(&self) -> usize {
        self.series.plannable().len()
    }

    fn left_out(&self) -> usize {
        self.series.days.len() - self.count()
    }

    fn button(&self) -> String {
        match self.count() {
            1 => "Plan 1 session".to_owned(),
            many => format!("Plan {many} sessions"),
        }
    }

    fn day(&self, on: &NaiveDate) -> String {
        language::date_short(Lang::En, *on)
    }

    fn why_not(&self, refusal: &Refusal) -> String {
        refusal_words::words(Lang::En, refusal)
    }
}

/// The form, and below it the series that it asks for.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Asked(form): Asked<Days>,
) -> Answer {
    let (days, errors) = match form.read() {
        Ok(days) => (days, FieldErrors::default()),
        Err(errors) => (Vec::new(), errors),
    };
    let series = blocking(&app, move |app| series::look(app, &caller, &reference, &days)).await?;
    let is_wrong = !errors.is_empty();
    let page = series_page(&request, form, errors, series);
    if is_wrong { shown_again(&page) } else { shown(&page) }
}

/// Plans the series.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(press): Typed<Press>,
) -> Answer {
    let days: Vec<NaiveDate> = press.planned.split_whitespace().filter_map(|day| day.parse().ok()).collect();
    let days = given(days);
    if days.is_empty() || days.len() > MOST {
        let mut errors = FieldErrors::default();
        errors.add("days", "Choose the days first");
        return again(&request, app, caller, &reference, (Vec::new(), errors, None)).await;
    }
    let (asking, own, asked) = (caller.clone(), reference.clone(), days.clone());
    let done = blocking(&app, move |app| series::announce(app, &asking, &own, &asked, &press.key)).await;
    match done {
        Ok(()) => Ok(go(&format!("/patterns/{reference}#planned"))),
        Err(Failure::Refused(refusal)) => {
            let mut errors = FieldErrors::default();
            errors.add("days", refusal_words::words(Lang::En, &refusal));
            again(&request, app, caller, &reference, (days, errors, Some(refusal))).await
        }
        Err(other) => Err(other.into()),
    }
}

/// The page again with the same days as they stand now.
async fn again(
    request: &HttpRequest,
    app: web::Data<App>,
    caller: Caller,
    reference: &str,
    (days, errors, refusal): (Vec<NaiveDate>, FieldErrors, Option<Refusal>),
) -> Answer {
    let lines: Vec<String> = days.iter().map(ToString::to_string).collect();
    let form = Days { how: "days".into(), days: lines.join("\n"), ..Days::default() };
    let reference = reference.to_owned();
    let series = blocking(&app, move |app| series::look(app, &caller, &reference, &days)).await?;
    let page = series_page(request, form, errors, series);
    match refusal {
        Some(refusal) => shown_as(refusal_words::status(&refusal), &page),
        None => shown_again(&page),
    }
}

fn series_page(request: &HttpRequest, form: Days, errors: FieldErrors, series: Series) -> SeriesPage {
    let page = staff_page(request, "Plan a series").with_errors(errors.len());
    let form = match form.is_empty() {
        true => Days { how: "weeks".into(), weeks: "1".into(), ..form },
        false => form,
    };
    SeriesPage { page, errors, form, series }
}

impl Days {
    /// Whether nothing was asked for yet.
    fn is_empty(&self) -> bool {
        self.how.is_empty()
    }

    fn read(&self) -> Result<Vec<NaiveDate>, FieldErrors> {
        let mut reading = Reading::default();
        let days = match self.how.as_str() {
            "" => Vec::new(),
            "days" => given(reading.days("days", &self.days, MOST)),
            _ => self.read_weeks(&mut reading),
        };
        if days.len() > MOST {
            reading.fault("through", format!("That is more than {MOST} sessions. Choose a nearer last day"));
        }
        reading.done(days)
    }

    fn read_weeks(&self, reading: &mut Reading) -> Vec<NaiveDate> {
        let from = reading.day("from", [&self.from_month, &self.from_day, &self.from_year]);
        let through = reading.day("through", [&self.through_month, &self.through_day, &self.through_year]);
        let weeks = reading.whole("weeks", "the number of weeks", &self.weeks, 1..=12);
        if from == NaiveDate::MIN || through == NaiveDate::MIN {
            return Vec::new();
        }
        if through < from {
            reading.fault("through", "The last day comes before the first");
        }
        every(from, u8::try_from(weeks).unwrap_or(1), through)
    }
}
