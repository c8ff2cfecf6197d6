//! Reports over a period, the rows behind each figure, and the county table as a file. Staff pages, in English; no
//! rider's name is shown on any of them.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use askama::Template;
use chrono::NaiveDate;
use serde::Deserialize;

use crate::domain::access::Caller;
use crate::domain::registration::Outcome;
use crate::domain::report::{Figure, Period, PeriodFaults};
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::report::{self, CountyPart, Question, Report, Row};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, shown, shown_again};
use crate::web::caller::Asking;
use crate::web::form::{Asked, FieldErrors};
use crate::web::page::Page;
use crate::web::{blocking, context, links};

/// What the address says; the days stay as typed.
#[derive(Debug, Default, Clone, Deserialize)]
pub struct Wish {
    #[serde(default)]
    from: String,
    #[serde(default)]
    to: String,
    #[serde(default)]
    figure: String,
    #[serde(default)]
    county: String,
    #[serde(default)]
    grant: String,
}

impl Wish {
    fn period(&self, app: &App, caller: &Caller) -> Result<Result<Period, PeriodFaults>, Failure> {
        match (self.from.trim(), self.to.trim()) {
            ("", "") => report::this_year(app, caller).map(Ok),
            (from, to) => Ok(Period::read(from, to)),
        }
    }
}

#[derive(Template)]
#[template(path = "report/index.html")]
struct Index {
    page: Page,
    errors: FieldErrors,
    from: String,
    to: String,
    report: Option<Report>,
}

impl Index {
    /// The address of the rows behind a figure of this report.
    fn rows(&self, figure: &str) -> String {
        let days = self.report.as_ref().map(|report| query(report.period)).unwrap_or_default();
        format!("/reports/rows?figure={figure}&{days}")
    }

    fn county_rows(&self, figure: &str, part: &CountyPart) -> String {
        format!("{}&county={}", self.rows(figure), part.fips)
    }

    fn grant_rows(&self, code: &str) -> String {
        format!("{}&grant={}", self.rows("helmets"), links::encoded(code))
    }

    fn table_file(&self) -> String {
        let days = self.report.as_ref().map(|report| query(report.period)).unwrap_or_default();
        format!("/reports/counties.csv?{days}")
    }

    fn number(&self, count: &i64) -> String {
        grouped(*count)
    }

    fn counted(&self, count: &i64, one: &str, many: &str) -> String {
        format!("{} {}", grouped(*count), if *count == 1 { one } else { many })
    }

    fn short(&self, day: &NaiveDate) -> String {
        language::date_short(Lang::En, *day)
    }

    fn moment(&self, at: &chrono::NaiveDateTime) -> String {
        language::moment(Lang::En, *at)
    }

    fn target(&self, report: &Report) -> String {
        grouped(report.grants.iter().map(|part| part.target).sum())
    }

    fn given(&self, report: &Report) -> String {
        grouped(report.grants.iter().map(|part| part.given).sum())
    }

    fn name(&self, part: &CountyPart) -> String {
        county_name(part)
    }
}

/// A county of the state by its name; any other with its code.
fn county_name(part: &CountyPart) -> String {
    if part.name.is_empty() { format!("Code {}", part.fips) } else { part.name.clone() }
}

fn query(period: Period) -> String {
    format!("from={}&to={}", period.from.format("%Y-%m-%d"), period.to.format("%Y-%m-%d"))
}

/// A number with a comma at each thousand.
fn grouped(count: i64) -> String {
    let digits = count.to_string();
    let mut out = String::new();
    for (place, digit) in digits.chars().enumerate() {
        if place > 0 && (digits.len() - place).is_multiple_of(3) {
            out.push(',');
        }
        out.push(digit);
    }
    out
}

/// The report of a period; this year when none is asked for.
pub async fn index(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Asked(wish): Asked<Wish>,
) -> Answer {
    let asked = wish.clone();
    let made = blocking(&app, move |app| match asked.period(app, &caller)? {
        Ok(period) => report::show(app, &caller, period).map(Ok),
        Err(faults) => Ok(Err(faults)),
    });
    match made.await? {
        Ok(report) => {
            let day = |day: NaiveDate| day.format("%Y-%m-%d").to_string();
            let (from, to) = (day(report.period.from), day(report.period.to));
            let page = context::staff_page(&request, "Report");
            shown(&Index { page, errors: FieldErrors::default(), from, to, report: Some(report) })
        }
        Err(faults) => {
            let errors = told(faults);
            let page = context::staff_page(&request, "Report").with_errors(errors.len());
            shown_again(&Index { page, errors, from: wish.from, to: wish.to, report: None })
        }
    }
}

fn told(faults: PeriodFaults) -> FieldErrors {
    let mut errors = FieldErrors::default();
    if faults.from {
        errors.add("from", "Write the first day, such as 2026-05-01");
    }
    if faults.to {
        errors.add("to", "Write the last day, such as 2026-10-31");
    }
    if faults.turned_round {
        errors.add("to", "The last day comes before the first. Change one of them");
    }
    errors
}

#[derive(Template)]
#[template(path = "report/rows.html")]
struct Rows {
    page: Page,
    caption: String,
    filter: String,
    back: String,
    rows: Vec<Row>,
}

impl Rows {
    fn short(&self, day: &NaiveDate) -> String {
        language::date_short(Lang::En, *day)
    }

    fn outcome(&self, outcome: &Outcome) -> &'static str {
        match outcome {
            Outcome::Attended => "attended",
            Outcome::Late => "came late",
            Outcome::LeftEarly => "left early",
            Outcome::TurnedAway => "turned away",
            Outcome::ChoseToStop => "chose to stop",
            Outcome::Absent => "absent",
        }
    }

    fn name(&self, part: &CountyPart) -> String {
        county_name(part)
    }
}

/// The rows behind one figure, by references alone.
pub async fn rows(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Asked(wish): Asked<Wish>,
) -> Answer {
    let question = question(&wish)?;
    let asked = question.clone();
    let rows = blocking(&app, move |app| report::rows(app, &caller, &asked)).await?;
    let period = question.period;
    let mut filter = format!(
        "{} to {}. All courses, all languages.",
        language::date_short(Lang::En, period.from),
        language::date_short(Lang::En, period.to)
    );
    for (name, value) in [("County", &question.county), ("Grant", &question.grant)] {
        if let Some(value) = value {
            filter.push_str(&format!(" {name} {value}."));
        }
    }
    let page = context::staff_page(&request, "Rows behind a figure");
    let back = format!("/reports?{}", query(period));
    let count = i64::try_from(rows.len()).unwrap_or(i64::MAX);
    let caption = format!("{}: {}", figure_words(question.figure), grouped(count));
    shown(&Rows { page, caption, filter, back, rows })
}

/// What our own pages ask; anything else is no question of ours.
fn question(wish: &Wish) -> Result<Question, Trouble> {
    let figure = Figure::from_word(&wish.figure).ok_or(Trouble::Malformed)?;
    let period = Period::read(&wish.from, &wish.to).map_err(|_| Trouble::Malformed)?;
    let is_code = wish.county.len() == 5 && wish.county.bytes().all(|byte| byte.is_ascii_digit());
    if !(wish.county.is_empty() || is_code) || wish.grant.len() > 80 {
        return Err(Trouble::Malformed);
    }
    let given = |text: &String| Some(text.clone()).filter(|text| !text.is_empty());
    Ok(Question { figure, period, county: given(&wish.county), grant: given(&wish.grant) })
}

fn figure_words(figure: Figure) -> &'static str {
    match figure {
        Figure::Sessions => "Sessions",
        Figure::Participations => "Participations",
        Figure::BySite => "Participations by county of the site",
        Figure::ByHome => "Participations by county of the home",
        Figure::Riders => "Different riders",
        Figure::Completions => "Completions",
        Figure::Helmets => "Helmets given",
        Figure::TurnedAway => "Turned away",
        Figure::Absent => "Absent",
        Figure::CountiesBySite => "Counties reached by site",
        Figure::CountiesByHome => "Counties reached by home",
    }
}

/// The county table as a file for spreadsheets.
pub async fn counties(app: web::Data<App>, Asking(caller): Asking, Asked(wish): Asked<Wish>) -> Answer {
    let (period, bytes) = blocking(&app, move |app| match wish.period(app, &caller)? {
        Ok(period) => report::counties_table(app, &caller, period).map(|bytes| Some((period, bytes))),
        Err(_) => Ok(None),
    })
    .await?
    .ok_or(Trouble::Malformed)?;
    let name = format!("counties_{}_{}.csv", period.from.format("%Y-%m-%d"), period.to.format("%Y-%m-%d"));
    Ok(HttpResponse::Ok()
        .content_type(report::TABLE_MEDIA)
        .insert_header((header::CONTENT_DISPOSITION, format!("attachment; filename=\"{name}\"")))
        .insert_header((header::CONTENT_SECURITY_POLICY, "sandbox; default-src 'none'"))
        .body(bytes))
}
