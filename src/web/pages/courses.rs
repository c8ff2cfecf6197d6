//! Courses, and the form that says what one asks for: proof of an earlier part. Staff pages, in English.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::proof::ProofRule;
use crate::domain::refusal::Refusal;
use crate::domain::seen::Seen;
use crate::domain::words::{Lang, Word};
use crate::services::courses::{self, CourseRow, ProofWish};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::moved::{Moved, Told, told};
use crate::web::page::{Choice, Page};
use crate::web::staff_form::Reading;

/// The most characters of a part's title.
const LONGEST: usize = 120;

#[derive(Template)]
#[template(path = "courses/index.html")]
struct Index {
    page: Page,
    courses: Vec<CourseRow>,
}

impl Index {
    fn asks(&self, course: &CourseRow) -> String {
        match course.proof_rule {
            ProofRule::None => "Asks for no earlier part.".to_owned(),
            ProofRule::Asked => format!("Asks for proof of: {}. A rider without it may start.", course.proof_en),
            ProofRule::Needed => format!("Needs proof of: {}. Nobody starts without it.", course.proof_en),
        }
    }
}

#[derive(Template)]
#[template(path = "courses/edit.html")]
struct Edit {
    page: Page,
    errors: FieldErrors,
    moved: Moved,
    course: CourseRow,
    form: ProofForm,
    rules: Vec<Choice>,
}

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct ProofForm {
    seen: Seen,
    rule: String,
    proof_en: String,
    proof_es: String,
}

impl ProofForm {
    fn of(course: &CourseRow) -> Self {
        Self {
            seen: Seen::of(course),
            rule: course.proof_rule.as_str().to_owned(),
            proof_en: course.proof_en.clone(),
            proof_es: course.proof_es.clone(),
        }
    }

    fn told(&self) -> Told {
        let rule = ProofRule::from_word(&self.rule).map_or("", |rule| rule_words(&rule));
        told([
            ("Proof of an earlier part", rule),
            ("What the part is called, in English", &self.proof_en),
            ("What the part is called, in Spanish", &self.proof_es),
        ])
    }

    /// Titles are needed once the part is asked for, because families read them.
    fn read(&self) -> Result<ProofWish, FieldErrors> {
        let mut reading = Reading::default();
        let rule = reading.choice("rule", "what the course asks for", &self.rule, ProofRule::None);
        let mut title = |field: &str, what: &str, typed: &str| match rule {
            ProofRule::None => String::new(),
            ProofRule::Asked | ProofRule::Needed => reading.line(field, what, typed, LONGEST),
        };
        let en = title("proof_en", "what the part is called in English", &self.proof_en);
        let es = title("proof_es", "what the part is called in Spanish", &self.proof_es);
        reading.done(ProofWish { rule, titles: [en, es] })
    }
}

/// The courses.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let courses = blocking(&app, move |app| courses::list(app, &caller)).await?;
    shown(&Index { page: staff_page(&request, "Courses"), courses })
}

/// What one course asks for.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    code: web::Path<String>,
) -> Answer {
    let course = blocking(&app, move |app| courses::find(app, &caller, &code)).await?;
    let form = ProofForm::of(&course);
    shown(&drawn(&request, course, form, FieldErrors::default()))
}

/// Keeps what a course asks for.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    code: web::Path<String>,
    Typed(form): Typed<ProofForm>,
) -> Answer {
    let code = code.into_inner();
    let errors = match form.read() {
        Ok(wish) => {
            let (asking, own, seen) = (caller.clone(), code.clone(), form.seen.clone());
            match blocking(&app, move |app| courses::ask_for_proof(app, &asking, &own, &seen, wish)).await {
                Ok(()) => return Ok(go("/courses")),
                Err(Failure::Refused(Refusal::DraftMoved)) => None,
                Err(other) => return Err(other.into()),
            }
        }
        Err(errors) => Some(errors),
    };
    let course = blocking(&app, move |app| courses::find(app, &caller, &code)).await?;
    match errors {
        Some(errors) => shown_again(&drawn(&request, course, form, errors)),
        None => {
            let kept = ProofForm::of(&course);
            let moved = Moved::between(&form.told(), kept.told());
            let form = ProofForm { seen: kept.seen, ..form };
            shown_as(StatusCode::CONFLICT, &Edit { moved, ..drawn(&request, course, form, FieldErrors::default()) })
        }
    }
}

fn rule_words(rule: &ProofRule) -> &'static str {
    match rule {
        ProofRule::None => "No earlier part",
        ProofRule::Asked => "Ask for proof; a rider without it may start",
        ProofRule::Needed => "Need proof; nobody starts before staff have seen it",
    }
}

fn drawn(request: &HttpRequest, course: CourseRow, form: ProofForm, errors: FieldErrors) -> Edit {
    let rules = ProofRule::ALL.iter().map(|rule| Choice::new(rule, rule_words(rule))).collect();
    let page = staff_page(request, course.title(Lang::En)).with_errors(errors.len());
    Edit { page, errors, moved: Moved::default(), course, form, rules }
}
