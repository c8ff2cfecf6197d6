//! Pages on which what a family has told is put right: its own, and those of the office for a family that called.

use actix_web::web;
use askama::Template;

use super::answer::{Answer, go, shown, shown_again};
use super::family_form::{known_choices, told};
use super::form::FieldErrors;
use super::page::{Choice, Page};
use super::{blocking, refusal_words};
use crate::domain::access::Caller;
use crate::domain::refusal::Refusal;
use crate::domain::registration::DayAdult;
use crate::services::corrections::{self, Changed, ChildNow, HealthNow, PeopleNow};
use crate::services::places::Side;
use crate::services::register::answers::{AdultsAnswers, HealthAnswers, RiderAnswers};
use crate::services::{App, Failure};

/// Where the form of such a page goes, and where its ways lead.
#[derive(Clone)]
pub struct Ways {
    /// Where the form goes.
    pub action: String,
    /// Where Back leads, and whoever is done.
    pub back: String,
    /// What Back says.
    pub back_words: String,
}

/// One request for such a page.
pub struct Correcting {
    /// The page, without its title.
    pub page: Page,
    /// The program.
    pub app: web::Data<App>,
    /// Who asks.
    pub caller: Caller,
    /// On whose side.
    pub side: Side,
    /// The child or the registration.
    pub reference: String,
    /// Its ways.
    pub ways: Ways,
}

#[derive(Template)]
#[template(path = "corrections/child.html")]
struct ChildPage {
    page: Page,
    ways: Ways,
    errors: FieldErrors,
    typed: RiderAnswers,
    counties: Vec<Choice>,
}

#[derive(Template)]
#[template(path = "corrections/people.html")]
struct PeoplePage {
    page: Page,
    ways: Ways,
    errors: FieldErrors,
    typed: AdultsAnswers,
    given: String,
    day_adult: DayAdult,
}

#[derive(Template)]
#[template(path = "corrections/health.html")]
struct HealthPage {
    page: Page,
    ways: Ways,
    errors: FieldErrors,
    typed: HealthAnswers,
    known: Vec<Choice>,
    is_office: bool,
}

#[derive(Template)]
#[template(path = "corrections/adult.html")]
struct AdultPage {
    page: Page,
    ways: Ways,
    errors: FieldErrors,
    typed: AdultsAnswers,
    /// The tokens by which a browser fills its owner's name and telephone in; `off` for somebody else's.
    given_name: &'static str,
    family_name: &'static str,
    tel: &'static str,
}

impl Correcting {
    fn title(&self, key: &str, given: &str, errors: &FieldErrors) -> Page {
        let title = self.page.t1(key, "name", given);
        self.page.clone().with_title(title).with_errors(errors.len())
    }

    fn child_page(&self, now: ChildNow, typed: RiderAnswers, errors: FieldErrors) -> ChildPage {
        ChildPage {
            page: self.title("child-edit-title", &now.given, &errors),
            ways: self.ways.clone(),
            counties: now.counties.iter().map(|(code, name)| Choice::new(code, name)).collect(),
            errors,
            typed,
        }
    }

    async fn child_now(&self) -> Result<ChildNow, Failure> {
        let (caller, side, reference) = (self.caller.clone(), self.side, self.reference.clone());
        blocking(&self.app, move |app| corrections::find_child(app, &caller, side, &reference)).await
    }

    /// The form about a child.
    ///
    /// # Errors
    /// What the service gives.
    pub async fn child(self) -> Answer {
        let now = self.child_now().await?;
        let typed = now.answers.clone();
        shown(&self.child_page(now, typed, FieldErrors::default()))
    }

    /// Changes a child.
    ///
    /// # Errors
    /// What the service gives.
    pub async fn set_child(self, typed: RiderAnswers) -> Answer {
        let (caller, side, reference, answers) =
            (self.caller.clone(), self.side, self.reference.clone(), typed.clone());
        let done =
            blocking(&self.app, move |app| corrections::set_child(app, &caller, side, &reference, &answers)).await;
        let errors = match done {
            Ok(Changed::Kept) => return Ok(go(&self.ways.back)),
            Ok(Changed::Faulty(faults)) => told(&self.page, &faults),
            Err(Failure::Refused(no @ (Refusal::TooYoung { .. } | Refusal::TooOld { .. } | Refusal::TookPart))) => {
                let mut errors = FieldErrors::default();
                errors.add("birth", refusal_words::words(self.page.lang, &no));
                errors
            }
            Err(failure) => return Err(failure.into()),
        };
        let now = self.child_now().await?;
        shown_again(&self.child_page(now, typed, errors))
    }

    fn people_page(&self, now: PeopleNow, typed: AdultsAnswers, errors: FieldErrors) -> PeoplePage {
        PeoplePage {
            page: self.title("people-edit-title", &now.given, &errors),
            ways: self.ways.clone(),
            given: now.given,
            day_adult: now.day_adult,
            errors,
            typed,
        }
    }

    async fn people_now(&self) -> Result<PeopleNow, Failure> {
        let (caller, side, reference) = (self.caller.clone(), self.side, self.reference.clone());
        blocking(&self.app, move |app| corrections::find_people(app, &caller, side, &reference)).await
    }

    /// The form about whom to call and who takes the child home.
    ///
    /// # Errors
    /// What the service gives.
    pub async fn people(self) -> Answer {
        let now = self.people_now().await?;
        let typed = now.answers.clone();
        shown(&self.people_page(now, typed, FieldErrors::default()))
    }

    /// Changes these people.
    ///
    /// # Errors
    /// What the service gives.
    pub async fn set_people(self, typed: AdultsAnswers) -> Answer {
        let (caller, side, reference, answers) =
            (self.caller.clone(), self.side, self.reference.clone(), typed.clone());
        let done = blocking(&self.app, move |app| corrections::set_people(app, &caller, side, &reference, &answers));
        match done.await? {
            Changed::Kept => Ok(go(&self.ways.back)),
            Changed::Faulty(faults) => {
                let errors = told(&self.page, &faults);
                let now = self.people_now().await?;
                shown_again(&self.people_page(now, typed, errors))
            }
        }
    }

    fn health_page(&self, now: &HealthNow, typed: HealthAnswers, errors: FieldErrors) -> HealthPage {
        HealthPage {
            page: self.title("health-edit-title", &now.given, &errors),
            ways: self.ways.clone(),
            known: known_choices(&self.page),
            is_office: self.side == Side::Office,
            errors,
            typed,
        }
    }

    async fn health_now(&self) -> Result<HealthNow, Failure> {
        let (caller, side, reference) = (self.caller.clone(), self.side, self.reference.clone());
        blocking(&self.app, move |app| corrections::find_health_answers(app, &caller, side, &reference)).await
    }

    /// The form about a child's health: with the family's own answers, or blank for the office.
    ///
    /// # Errors
    /// What the service gives.
    pub async fn health(self) -> Answer {
        let now = self.health_now().await?;
        shown(&self.health_page(&now, now.answers.clone(), FieldErrors::default()))
    }

    /// Changes the health answers.
    ///
    /// # Errors
    /// What the service gives.
    pub async fn set_health(self, typed: HealthAnswers) -> Answer {
        let (caller, side, reference, answers) =
            (self.caller.clone(), self.side, self.reference.clone(), typed.clone());
        let lang = self.page.lang;
        let done = blocking(&self.app, move |app| {
            corrections::set_health_answers(app, &caller, side, &reference, lang, answers)
        });
        match done.await? {
            Changed::Kept => Ok(go(&self.ways.back)),
            Changed::Faulty(faults) => {
                let errors = told(&self.page, &faults);
                let now = self.health_now().await?;
                shown_again(&self.health_page(&now, typed, errors))
            }
        }
    }
}

/// The form about an adult's name and telephone.
///
/// # Errors
/// When the page cannot be drawn.
pub fn adult(page: Page, ways: Ways, side: Side, now: AdultsAnswers) -> Answer {
    shown(&adult_page(page, ways, side, now, FieldErrors::default()))
}

/// What became of a changed name or telephone.
///
/// # Errors
/// When the page cannot be drawn.
pub fn adult_changed(page: Page, ways: Ways, side: Side, typed: AdultsAnswers, changed: &Changed) -> Answer {
    match changed {
        Changed::Kept => Ok(go(&ways.back)),
        Changed::Faulty(faults) => {
            let errors = told(&page, faults);
            let page = page.with_errors(errors.len());
            shown_again(&adult_page(page, ways, side, typed, errors))
        }
    }
}

fn adult_page(page: Page, ways: Ways, side: Side, typed: AdultsAnswers, errors: FieldErrors) -> AdultPage {
    let [given_name, family_name, tel] = match side {
        Side::Family => ["given-name", "family-name", "tel"],
        Side::Office => ["off"; 3],
    };
    AdultPage { page, ways, errors, typed, given_name, family_name, tel }
}
