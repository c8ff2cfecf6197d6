//! Reports over a period: figures, a county map, the county table, helmets by grant. Staff pages, in English; no
//! rider's name is shown on any of them.

pub mod file;
mod map;
pub mod rows;
mod wish;

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::{NaiveDate, NaiveDateTime};

use self::map::MapView;
use self::wish::{Wish, query};
use crate::domain::cautions::CautionKey;
use crate::domain::report::{Scope, TableOrder};
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::App;
use crate::services::report::map::{CountedBy, map};
use crate::services::report::{self, Choices, CountyPart, Report};
use crate::web::answer::{Answer, shown, shown_again};
use crate::web::caller::Asking;
use crate::web::form::{Asked, FieldErrors};
use crate::web::page::{Choice, Page};
use crate::web::{blocking, context, links};

#[derive(Template)]
#[template(path = "report/index.html")]
struct Index {
    page: Page,
    errors: FieldErrors,
    typed: Wish,
    courses: Vec<Choice>,
    grants: Vec<Choice>,
    ways: Vec<Choice>,
    report: Option<Report>,
    map: Option<MapView>,
    by: CountedBy,
    order: TableOrder,
}

/// A column of the county table: by which figure its head orders, and its words in two lines.
struct Column {
    order: TableOrder,
    first: &'static str,
    second: &'static str,
}

const COLUMNS: [Column; 5] = [
    Column { order: TableOrder::Sessions, first: "Sessions", second: "" },
    Column { order: TableOrder::BySite, first: "Took part", second: "by site" },
    Column { order: TableOrder::ByHome, first: "Took part", second: "by home" },
    Column { order: TableOrder::Completions, first: "Completed", second: "" },
    Column { order: TableOrder::Helmets, first: "Helmets", second: "" },
];

impl Index {
    fn scope(&self) -> String {
        self.report.as_ref().map(|report| query(&report.scope)).unwrap_or_default()
    }

    /// The address of the rows behind a figure of this report.
    fn rows(&self, figure: &str) -> String {
        format!("/reports/rows?figure={figure}&{}", self.scope())
    }

    fn county_rows(&self, figure: &str, part: &CountyPart) -> String {
        format!("{}&county={}", self.rows(figure), part.fips)
    }

    fn grant_rows(&self, code: &str) -> String {
        let rows = self.rows("helmets");
        if self.typed.grant.is_empty() { format!("{rows}&grant={}", links::encoded(code)) } else { rows }
    }

    /// The same report in another order.
    fn ordered(&self, order: &TableOrder) -> String {
        format!("/reports?{}&by={}&order={order}#counties", self.scope(), self.by.as_str())
    }

    fn by_name(&self) -> String {
        self.ordered(&TableOrder::Name)
    }

    fn table_file(&self) -> String {
        format!("/reports/counties.csv?{}&order={}", self.scope(), self.order)
    }

    fn columns(&self) -> &'static [Column] {
        &COLUMNS
    }

    /// The figures of a county in the order of the columns, each with the word of its rows.
    fn cells(&self, part: &CountyPart) -> [(&'static str, i64); 5] {
        [
            ("sessions", part.sessions),
            ("by_site", part.by_site),
            ("by_home", part.by_home),
            ("completions", part.completions),
            ("helmets", part.helmets),
        ]
    }

    fn sums(&self, report: &Report) -> [(&'static str, i64); 5] {
        let sum = report.totals;
        [
            ("sessions", sum.sessions),
            ("by_site", sum.by_site),
            ("by_home", sum.by_home),
            ("completions", sum.completions),
            ("helmets", sum.helmets),
        ]
    }

    fn reached(&self, report: &Report) -> usize {
        report.counties.iter().filter(|part| part.is_reached()).count()
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

    fn moment(&self, at: &NaiveDateTime) -> String {
        language::moment(Lang::En, *at)
    }

    /// The period and what narrows the report, for captions.
    fn looked_at(&self, report: &Report) -> String {
        looked_at(&report.scope)
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

fn looked_at(scope: &Scope) -> String {
    let day = |day: NaiveDate| language::date_short(Lang::En, day);
    let course = scope.course.as_ref().map_or("All courses".to_owned(), |code| format!("Course {code}"));
    let grant = match &scope.grant {
        Some(code) => format!("Only riders with a helmet of grant {code}."),
        None => "All grants.".to_owned(),
    };
    format!("{} to {}. {course}. {grant}", day(scope.period.from), day(scope.period.to))
}

/// A county of the state by its name; any other with its code.
fn county_name(part: &CountyPart) -> String {
    if part.name.is_empty() { format!("Code {}", part.fips) } else { part.name.clone() }
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

fn options(all: &str, codes: Vec<(String, String)>) -> Vec<Choice> {
    let chosen = codes.into_iter().map(|(code, name)| Choice::new(code, name));
    std::iter::once(Choice::new("", all)).chain(chosen).collect()
}

fn form(request: &HttpRequest, choices: Choices, typed: Wish, errors: FieldErrors) -> Index {
    let ways = [(CountedBy::Home, "Rider's home"), (CountedBy::Site, "Session's site")];
    Index {
        page: context::staff_page(request, "Report").with_caution(CautionKey::Report).with_errors(errors.len()),
        courses: options("All courses", choices.courses),
        grants: options("All grants", choices.grants),
        ways: ways.map(|(by, words)| Choice::new(by.as_str(), words)).to_vec(),
        by: CountedBy::from_word(&typed.by).unwrap_or_default(),
        order: TableOrder::from_word(&typed.order).unwrap_or(TableOrder::Name),
        report: None,
        map: None,
        errors,
        typed,
    }
}

/// The report of a period; this year when none is asked for.
pub async fn index(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Asked(wish): Asked<Wish>,
) -> Answer {
    let typed = wish.clone();
    let made = blocking(&app, move |app| {
        let (choices, year) = report::choices(app, &caller)?;
        let made = match typed.scope(&choices, year) {
            Ok((scope, order)) => Ok(report::show(app, &caller, &scope, order)?),
            Err(errors) => Err(errors),
        };
        Ok((choices, made))
    });
    match made.await? {
        (choices, Ok(report)) => {
            let day = |day: NaiveDate| day.format("%Y-%m-%d").to_string();
            let (from, to) = (day(report.scope.period.from), day(report.scope.period.to));
            let mut index = form(&request, choices, Wish { from, to, ..wish }, FieldErrors::default());
            index.map = map(&report, index.by).map(|drawn| MapView::of(&report, drawn, index.by));
            index.report = Some(report);
            shown(&index)
        }
        (choices, Err(errors)) => shown_again(&form(&request, choices, wish, errors)),
    }
}
