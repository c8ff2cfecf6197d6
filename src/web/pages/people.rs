//! The program's staff with the state of each paper today, and one person's papers: adding one, setting one aside,
//! taking one back, and whether the person may teach alone.

pub mod import;

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDate;
use serde::Deserialize;

use crate::domain::access::Role;
use crate::domain::certification::{Certification, CertificationKind, InstructorState, PaperFault};
use crate::domain::staffing::holds_through;
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::my_work::Taught;
use crate::services::people::{self, Member, NewPaper, PaperStanding, People, Sheet};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again};
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::due_words::capital;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::staff_form::Reading;
use crate::web::{blocking, caller, paper_words, refusal_words, routes, work_words};

#[derive(Template)]
#[template(path = "people/list.html")]
struct PeoplePage {
    page: Page,
    /// Whether the reader helps people into their accounts.
    runs_accounts: bool,
    people: People,
}

#[derive(Template)]
#[template(path = "people/one.html")]
struct MemberPage {
    page: Page,
    /// Whether the reader helps people into their accounts.
    runs_accounts: bool,
    errors: FieldErrors,
    form: PaperForm,
    member: Member,
    kept: Vec<(i64, Certification)>,
    taught: Taught,
    today: NaiveDate,
    kinds: Vec<Choice>,
}

impl MemberPage {
    /// Papers that can be decided about: those whose last day has not passed, and those that were set aside or taken back.
    fn open_papers(&self) -> Vec<&(i64, Certification)> {
        let is_open = |(_, paper): &&(i64, Certification)| {
            paper.valid_through >= self.today || paper.suspended_on.is_some() || paper.revoked_on.is_some()
        };
        self.kept.iter().filter(is_open).collect()
    }
    /// How one paper stands.
    fn one(&self, paper: &Certification) -> Standing {
        standing(&paper.kind, std::slice::from_ref(paper), &self.today)
    }
    fn teaches(&self) -> bool {
        self.member.roles.contains(&Role::Instructor)
    }
    fn is_provisional(&self) -> bool {
        self.member.state == InstructorState::Provisional
    }
    /// Days away that are not over.
    fn away(&self) -> Vec<String> {
        let to_come = self.member.away.iter().filter(|absence| !absence.is_over(self.today));
        to_come.map(work_words::away).collect()
    }
}

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct PaperForm {
    kind: String,
    issued_month: String,
    issued_day: String,
    issued_year: String,
    through_month: String,
    through_day: String,
    through_year: String,
}

/// A state as a table shows it: the class that gives its color, its shape, its word, and the day that it turns on.
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

/// How somebody's papers of one kind stand on a day.
fn standing(kind: &CertificationKind, papers: &[Certification], on: &NaiveDate) -> Standing {
    let (kind, shape, words, day) = match holds_through(*kind, papers, *on) {
        Ok(last) => ("met", "met", "valid", format!("through {}", day(&last))),
        Err(PaperFault::Expired(last)) => ("not-met", "notmet", "lapsed", format!("held through {}", day(&last))),
        Err(PaperFault::NotYetValid(first)) => ("adapted", "adapted", "not yet", format!("from {}", day(&first))),
        Err(PaperFault::Suspended(since)) => ("not-met", "notmet", "set aside", format!("since {}", day(&since))),
        Err(PaperFault::Revoked(since)) => ("not-met", "notmet", "taken back", format!("on {}", day(&since))),
        Err(PaperFault::Missing) => ("not-measured", "none", "missing", String::new()),
    };
    Standing { kind, shape, words, day }
}

/// The kinds of papers, with their names as column heads.
fn kinds() -> Vec<(CertificationKind, String)> {
    let name = |kind: &CertificationKind| (*kind, capital(&paper_words::kind(Lang::En, *kind)));
    CertificationKind::ALL.iter().map(name).collect()
}

/// What a paper shows, as the beginning of a sentence.
fn name_of(paper: &Certification) -> String {
    capital(&paper_words::kind(Lang::En, paper.kind))
}

/// The roles of a member as words of a sentence.
fn roles(member: &Member) -> String {
    let word = |role: &Role| match role {
        Role::FirstAid => "first aid".to_owned(),
        Role::GrantManager => "grant manager".to_owned(),
        other => other.as_str().to_owned(),
    };
    let mut words: Vec<String> = member.roles.iter().map(word).collect();
    if member.state == InstructorState::Provisional {
        words.push("teaches beside a lead".into());
    }
    words.join(", ")
}

/// Whether the pages of accounts open to the reader.
fn opens(request: &HttpRequest) -> bool {
    routes::opens("/accounts", caller::of(request).roles())
}

/// The list.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let people = blocking(&app, move |app| people::list(app, &caller)).await?;
    let runs_accounts = opens(&request);
    shown(&PeoplePage { page: staff_page(&request, "People"), runs_accounts, people })
}

/// One person.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let found = blocking(&app, move |app| people::find(app, &caller, &reference)).await?;
    shown(&member_page(&request, found, PaperForm::default(), FieldErrors::default()))
}

/// Adds a paper to a person.
pub async fn add_paper(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<PaperForm>,
) -> Answer {
    match form.read() {
        Ok(paper) => {
            let way = format!("/people/{reference}");
            blocking(&app, move |app| people::add_paper(app, &caller, &reference, paper)).await?;
            Ok(go(&way))
        }
        Err(errors) => {
            let found = blocking(&app, move |app| people::find(app, &caller, &reference)).await?;
            shown_again(&member_page(&request, found, form, errors))
        }
    }
}

/// What a press decides about a paper, or about teaching alone.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Decision {
    standing: String,
    beside: String,
}

/// Sets a paper aside, lets it count again, or takes it back.
pub async fn set_standing(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<(String, i64)>,
    Typed(form): Typed<Decision>,
) -> Answer {
    let (reference, paper) = path.into_inner();
    let standing = PaperStanding::from_word(&form.standing).ok_or(Trouble::Malformed)?;
    let (asks, asked) = (caller.clone(), reference.clone());
    match blocking(&app, move |app| people::set_standing(app, &asks, &asked, (paper, standing))).await {
        Ok(()) => Ok(go(&format!("/people/{reference}#kept"))),
        Err(Failure::Refused(refusal)) => {
            let mut errors = FieldErrors::default();
            errors.add("kept", refusal_words::words(Lang::En, &refusal));
            let found = blocking(&app, move |app| people::find(app, &caller, &reference)).await?;
            shown_again(&member_page(&request, found, PaperForm::default(), errors))
        }
        Err(other) => Err(other.into()),
    }
}

/// Lets a person teach alone, or only beside a lead.
pub async fn set_beside_lead(
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<Decision>,
) -> Answer {
    let beside = match form.beside.as_str() {
        "yes" => true,
        "no" => false,
        _ => return Err(Trouble::Malformed),
    };
    let way = format!("/people/{reference}#teaching");
    blocking(&app, move |app| people::set_beside_lead(app, &caller, &reference, beside)).await?;
    Ok(go(&way))
}

fn member_page(
    request: &HttpRequest,
    Sheet { member, kept, taught, today }: Sheet,
    form: PaperForm,
    errors: FieldErrors,
) -> MemberPage {
    let page = staff_page(request, member.name.clone()).with_errors(errors.len());
    let kinds = kinds().into_iter().map(|(kind, name)| Choice::new(kind, name)).collect();
    MemberPage { page, runs_accounts: opens(request), errors, form, member, kept, taught, today, kinds }
}

impl PaperForm {
    fn read(&self) -> Result<NewPaper, FieldErrors> {
        let mut reading = Reading::default();
        let paper = NewPaper {
            kind: reading.choice("kind", "what the paper shows", &self.kind, CertificationKind::Riding),
            issued_on: reading.day("issued", [&self.issued_month, &self.issued_day, &self.issued_year]),
            valid_through: reading.day("through", [&self.through_month, &self.through_day, &self.through_year]),
        };
        if paper.valid_through < paper.issued_on && paper.valid_through != NaiveDate::MIN {
            reading.fault("through", "The last day comes before the first. Look at both");
        }
        reading.done(paper)
    }
}
