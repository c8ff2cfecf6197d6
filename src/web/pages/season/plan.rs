//! The form that announces a session.

use std::collections::BTreeMap;

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDate;
use serde::Deserialize;

use crate::domain::access::Duty;
use crate::domain::refusal::Refusal;
use crate::domain::session::Limit;
use crate::domain::words::{Lang, Word};
use crate::services::people::Member;
use crate::services::plan_session::{self, Choices, Wish};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

use super::sittings::{self, Row};

/// How a meeting's wall time is written.
pub(super) const WALL: &str = "%Y-%m-%dT%H:%M";

/// What the field of a person's duty is called, before the account's reference.
const DUTY: &str = "duty_";

#[derive(Template)]
#[template(path = "season/new.html")]
struct NewSessionPage {
    page: Page,
    errors: FieldErrors,
    form: SessionForm,
    courses: Vec<Choice>,
    sites: Vec<Choice>,
    languages: Vec<Choice>,
    leads: Vec<Choice>,
    duties: Vec<Choice>,
    team: Vec<(String, String)>,
}

/// What the form sends. The rows of meetings and the duties of the team come as fields of their own.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct SessionForm {
    course: String,
    site: String,
    language: String,
    lead: String,
    most: String,
    #[serde(flatten)]
    rest: BTreeMap<String, String>,
}

/// The empty form.
pub async fn new(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let choices = blocking(&app, move |app| plan_session::choices(app, &caller)).await?;
    let form = SessionForm { language: Lang::En.as_str().into(), ..SessionForm::default() };
    shown(&form_page(&request, form, FieldErrors::default(), &choices))
}

/// Announces what was typed.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<SessionForm>,
) -> Answer {
    let asking = caller.clone();
    let announced = match form.read() {
        Err(faults) => Err(faults),
        Ok(wish) => match blocking(&app, move |app| plan_session::announce(app, &asking, wish)).await {
            Ok(reference) => return Ok(go(&format!("/season/{reference}"))),
            Err(Failure::Refused(refusal)) => Ok(refusal),
            Err(other) => return Err(other.into()),
        },
    };
    let choices = blocking(&app, move |app| plan_session::choices(app, &caller)).await?;
    let errors = announced.map_or_else(|faults| faults, |refusal| told(&refusal, &form, &choices.members));
    shown_again(&form_page(&request, form, errors, &choices))
}

/// A rule's no as a sentence at the field that can change it.
fn told(refusal: &Refusal, form: &SessionForm, members: &[Member]) -> FieldErrors {
    let field = match refusal {
        Refusal::NoSuchTime { on } => form.last_row_on(*on).field("starts"),
        Refusal::DayIsOver { on } | Refusal::MeetingsNotInOrder { on } => form.last_row_on(*on).field("held"),
        Refusal::StaffNotValid { name, .. } => members
            .iter()
            .find(|member| member.name == *name)
            .map_or_else(|| "lead".to_owned(), |member| format!("{DUTY}{}", member.reference)),
        Refusal::SiteNotReady { .. } | Refusal::NoSeats { limit: Limit::Site } => "site".to_owned(),
        Refusal::NoSeats { limit: Limit::Machines | Limit::Helmets } => "course".to_owned(),
        Refusal::NoSeats { limit: Limit::Choice } => "most".to_owned(),
        _ => "lead".to_owned(),
    };
    let mut errors = FieldErrors::default();
    errors.add(&field, refusal_words::words(Lang::En, refusal));
    errors
}

fn form_page(request: &HttpRequest, form: SessionForm, errors: FieldErrors, choices: &Choices) -> NewSessionPage {
    let leads = choices.members.iter().filter(|member| plan_session::may_be_asked_to_lead(member));
    let duty = |(duty, words): &(Duty, &str)| Choice::new(duty, *words);
    let offered = [(Duty::Instructor, "Teaches"), (Duty::Helper, "Helps"), (Duty::FirstAid, "First aid")];
    NewSessionPage {
        page: staff_page(request, "Plan a session").with_errors(errors.len()),
        errors,
        form,
        courses: choices.courses.iter().map(|course| Choice::new(&course.code, course.title(Lang::En))).collect(),
        sites: choices
            .sites
            .iter()
            .map(|(site, county)| Choice::new(&site.reference, format!("{}, {county}", site.name)))
            .collect(),
        languages: Lang::ALL.iter().map(|lang| Choice::new(lang, english_name(*lang))).collect(),
        leads: leads.map(|member| Choice::new(&member.reference, member.name.clone())).collect(),
        duties: offered.iter().map(duty).collect(),
        team: choices
            .members
            .iter()
            .map(|member| (format!("{DUTY}{}", member.reference), member.name.clone()))
            .collect(),
    }
}

fn english_name(lang: Lang) -> &'static str {
    match lang {
        Lang::En => "English",
        Lang::Es => "Spanish",
    }
}

impl SessionForm {
    /// The rows of meetings.
    fn rows(&self) -> Vec<Row> {
        (1..=sittings::MOST).map(|ordinal| Row::of(ordinal, &self.rest)).collect()
    }

    /// The first row.
    fn first(&self) -> Row {
        Row::of(1, &self.rest)
    }

    /// The rows after the first.
    fn more(&self) -> Vec<Row> {
        self.rows().split_off(1)
    }

    /// Whether anything is typed in the rows after the first.
    fn has_more(&self) -> bool {
        self.more().iter().any(|row| !row.is_empty())
    }

    /// The last row that gives this day; of two on one day it is the later that does not fit.
    fn last_row_on(&self, on: NaiveDate) -> Row {
        self.rows().into_iter().rfind(|row| row.on() == Some(on)).unwrap_or_else(|| self.first())
    }

    /// The duty typed for a person's field.
    fn duty(&self, field: &str) -> &str {
        self.rest.get(field).map_or("", String::as_str)
    }

    fn read(&self) -> Result<Wish, FieldErrors> {
        let mut reading = Reading::default();
        let course = reading.chosen("course", "the course", &self.course);
        let site = reading.chosen("site", "the site", &self.site);
        let wish = Wish {
            course,
            site,
            meetings: sittings::read(&mut reading, &self.rows()),
            language: reading.choice("language", "the language", &self.language, Lang::En),
            lead: reading.chosen("lead", "the lead", &self.lead),
            others: self.team(&mut reading),
            choice: reading.whole_if_any("most", "the most seats wanted", &self.most, 1..=500),
        };
        reading.done(wish)
    }

    fn team(&self, reading: &mut Reading) -> Vec<(String, Duty)> {
        let answered = self.rest.iter().filter(|(field, duty)| field.starts_with(DUTY) && !duty.is_empty());
        let person = |(field, word): (&String, &String)| {
            let reference = field.strip_prefix(DUTY)?.to_owned();
            Some((reference, reading.choice(field, "the duty", word, Duty::Helper)))
        };
        answered.filter_map(person).collect()
    }
}
