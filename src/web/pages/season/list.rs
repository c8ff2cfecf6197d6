//! The season as a calendar, as a table and as a file. The address holds the view: what is shown, filtered and sorted.

use actix_web::http::header;
use actix_web::{HttpRequest, HttpResponse, web};
use askama::Template;
use serde::Deserialize;

use super::calendar::{Month, months};
use crate::domain::session::SessionState;
use crate::domain::words::Word;
use crate::services::season::{self, Order, Season, Wanted};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, shown};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::Asked;
use crate::web::links::encoded;
use crate::web::page::{Choice, Page};

/// What the address says. What it does not understand counts as not said.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct View {
    year: String,
    view: String,
    county: String,
    course: String,
    lead: String,
    state: String,
    sort: String,
}

impl View {
    fn wanted(&self, app: &App) -> Result<Wanted, Failure> {
        let asked = self.year.trim().parse().ok().filter(|year| (2000..=2100).contains(year));
        let year = asked.map_or_else(|| season::this_year(app), Ok)?;
        let any = |typed: &str| (!typed.trim().is_empty()).then(|| typed.trim().to_owned());
        let falling = self.sort.starts_with('-');
        Ok(Wanted {
            county: any(&self.county),
            course: any(&self.course),
            lead: any(&self.lead),
            state: SessionState::from_word(&self.state),
            order: Order::from_word(self.sort.trim_start_matches('-')).unwrap_or(Order::Day),
            falling,
            ..Wanted::year(year)
        })
    }

    fn is_calendar(&self) -> bool {
        self.view == "calendar"
    }

    /// The answers of this view, with some of them changed, as a query. Empty ones are left out.
    fn query(&self, changes: &[(&str, &str)]) -> String {
        let own = [
            ("year", &self.year),
            ("view", &self.view),
            ("county", &self.county),
            ("course", &self.course),
            ("lead", &self.lead),
            ("state", &self.state),
            ("sort", &self.sort),
        ];
        let now = |(name, value): &(&'static str, &String)| {
            let changed = changes.iter().find(|(other, _)| other == name).map(|(_, value)| (*value).to_owned());
            (*name, changed.unwrap_or_else(|| (*value).clone()))
        };
        let said: Vec<String> = own
            .iter()
            .map(now)
            .filter(|(_, value)| !value.is_empty())
            .map(|(name, value)| format!("{name}={}", encoded(&value)))
            .collect();
        said.join("&")
    }
}

#[derive(Template)]
#[template(path = "season/list.html")]
struct SeasonPage {
    page: Page,
    view: View,
    wanted: Wanted,
    season: Season,
    months: Vec<Month>,
    counties: Vec<Choice>,
    courses: Vec<Choice>,
    leads: Vec<Choice>,
    states: Vec<Choice>,
}

impl SeasonPage {
    /// The address of this view with one answer changed.
    fn with(&self, name: &str, value: &str) -> String {
        address("/season", &self.view.query(&[(name, value)]))
    }

    fn year(&self, step: i32) -> String {
        self.with("year", &(self.wanted.year + step).to_string())
    }

    fn file(&self) -> String {
        address("/season.csv", &self.view.query(&[("view", "")]))
    }

    /// The whole year again, in the view that is shown.
    fn without_filter(&self) -> String {
        let none = [("county", ""), ("course", ""), ("lead", ""), ("state", "")];
        address("/season", &self.view.query(&none))
    }

    fn is_filtered(&self) -> bool {
        let Wanted { county, course, lead, state, .. } = &self.wanted;
        county.is_some() || course.is_some() || lead.is_some() || state.is_some()
    }

    /// The heading of a column that sorts: where it leads, and how it is sorted now.
    fn column(&self, order: &str) -> (String, &'static str) {
        let is_this = self.wanted.order.as_str() == order;
        let next = if is_this && !self.wanted.falling { format!("-{order}") } else { order.to_owned() };
        let sorted = match (is_this, self.wanted.falling) {
            (false, _) => "",
            (true, false) => "ascending",
            (true, true) => "descending",
        };
        (self.with("sort", if next == "day" { "" } else { &next }), sorted)
    }

    /// What the rows are, in words: the filter and the order.
    fn told(&self) -> String {
        let mut told = format!("January 1 to December 31, {}.", self.wanted.year);
        let label = |choices: &[Choice], value: &Option<String>| {
            value.as_ref().and_then(|value| choices.iter().find(|one| one.value == *value)).map(|one| one.label.clone())
        };
        for (what, said) in [
            ("County", label(&self.counties, &self.wanted.county)),
            ("Course", label(&self.courses, &self.wanted.course)),
            ("Lead", label(&self.leads, &self.wanted.lead)),
            ("State", label(&self.states, &self.wanted.state.map(|state| state.as_str().to_owned()))),
        ] {
            if let Some(said) = said {
                told.push_str(&format!(" {what}: {said}."));
            }
        }
        if !self.is_filtered() {
            told.push_str(" Announced, closed and called off.");
        }
        told
    }
}

fn address(path: &str, query: &str) -> String {
    if query.is_empty() { path.to_owned() } else { format!("{path}?{query}") }
}

/// The season, as a calendar or a table.
pub async fn index(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Asked(view): Asked<View>,
) -> Answer {
    let asked = view.clone();
    let (wanted, season) = blocking(&app, move |app| {
        let wanted = asked.wanted(app)?;
        let season = season::list(app, &caller, &wanted)?;
        Ok((wanted, season))
    })
    .await?;
    let choices = |all: &[(String, String)]| all.iter().map(|(value, label)| Choice::new(value, label)).collect();
    let state = |state: &SessionState| Choice::new(state, super::session_state(state).0);
    shown(&SeasonPage {
        page: staff_page(&request, format!("Season {}", wanted.year)),
        months: if view.is_calendar() { months(&season, wanted.year) } else { Vec::new() },
        counties: choices(&season.counties),
        courses: choices(&season.courses),
        leads: choices(&season.leads),
        states: SessionState::ALL.iter().map(state).collect(),
        view,
        wanted,
        season,
    })
}

/// The rows of the table as a file: the same rows in the same order.
pub async fn file(app: web::Data<App>, Asking(caller): Asking, Asked(view): Asked<View>) -> Answer {
    let (year, season) = blocking(&app, move |app| {
        let wanted = view.wanted(app)?;
        Ok((wanted.year, season::list(app, &caller, &wanted)?))
    })
    .await?;
    let bytes = season::file(&season, |state| super::session_state(&state).0, super::lacks_in_line);
    Ok(HttpResponse::Ok()
        .content_type(season::TABLE_MEDIA)
        .insert_header((header::CONTENT_DISPOSITION, format!("attachment; filename=\"season_{year}.csv\"")))
        .insert_header((header::CONTENT_SECURITY_POLICY, "sandbox; default-src 'none'"))
        .body(bytes))
}
