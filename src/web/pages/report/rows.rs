//! The rows behind one figure, by references alone, a page at a time.

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDate;

use super::wish::{Wish, query};
use super::{county_name, grouped, looked_at};
use crate::domain::cautions::CautionKey;
use crate::domain::registration::Outcome;
use crate::domain::report::{Figure, RowOrder};
use crate::domain::words::Lang;
use crate::language;
use crate::services::App;
use crate::services::report::CountyPart;
use crate::services::report::rows::{PER_PAGE, Question, Row, Rows, rows as rows_behind};
use crate::web::answer::{Answer, shown};
use crate::web::caller::Asking;
use crate::web::form::Asked;
use crate::web::page::Page;
use crate::web::{blocking, context};

#[derive(Template)]
#[template(path = "report/rows.html")]
struct Listed {
    page: Page,
    question: Question,
    caption: String,
    filter: String,
    found: Rows,
}

impl Listed {
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

    fn back(&self) -> String {
        format!("/reports?{}", query(&self.question.scope))
    }

    fn file(&self) -> String {
        format!("/reports/rows.csv?{}&order={}", asked(&self.question), self.question.order)
    }

    fn turned_to(&self, page: &i64) -> String {
        format!("/reports/rows?{}&order={}&page={page}", asked(&self.question), self.question.order)
    }

    fn before(&self) -> String {
        self.turned_to(&(self.found.page - 1))
    }

    fn after(&self) -> String {
        self.turned_to(&(self.found.page + 1))
    }

    /// The same rows in another order.
    fn ordered(&self, order: &RowOrder) -> String {
        format!("/reports/rows?{}&order={order}", asked(&self.question))
    }

    fn is_by(&self, order: &RowOrder) -> bool {
        self.question.order == *order
    }

    /// Which rows of how many this page shows.
    fn stretch(&self) -> String {
        let first = (self.found.page - 1) * PER_PAGE + 1;
        let last = (self.found.page * PER_PAGE).min(self.found.total);
        format!("Rows {} to {} of {}", grouped(first), grouped(last), grouped(self.found.total))
    }

    fn total(&self) -> String {
        grouped(self.found.total)
    }
}

/// A question as part of an address, without its order and page.
fn asked(question: &Question) -> String {
    let county = question.county.as_ref().map(|code| format!("&county={code}")).unwrap_or_default();
    format!("figure={}&{}{county}", question.figure, query(&question.scope))
}

/// One page of the rows behind a figure.
pub async fn index(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Asked(wish): Asked<Wish>,
) -> Answer {
    let (question, number) = (wish.question()?, wish.page()?);
    let wanted = question.clone();
    let found = blocking(&app, move |app| rows_behind(app, &caller, &wanted, number)).await?;
    let mut filter = looked_at(&question.scope);
    if let Some(county) = &question.county {
        filter.push_str(&format!(" County {county}."));
    }
    let page = context::staff_page(&request, "Rows behind a figure").with_caution(CautionKey::Report);
    let caption = format!("{}: {}", figure_words(question.figure), grouped(found.total));
    shown(&Listed { page, question, caption, filter, found })
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
