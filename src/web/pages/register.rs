//! Registering a child, one thing a page. Each step parses, keeps its answers through one service call and leads on;
//! what cannot be used comes back with what was typed. Shared parts of the steps live here.

pub mod adults;
pub mod check;
pub mod health;
pub mod questions;
pub mod rider;
pub mod sizes;

use actix_web::{HttpRequest, HttpResponse, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::refusal::Refusal;
use crate::services::register::answers::Step;
use crate::services::register::{Desk, Visitor, open};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, go, shown_as};
use crate::web::entry;
use crate::web::page::Page;
use crate::web::{blocking, caller, context, device, refusal_words};

/// Where a step was opened from: `check` leads straight back there.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct From {
    from: String,
}

impl From {
    fn check(&self) -> bool {
        self.from == Step::Check.as_str()
    }
}

/// The address of a step.
fn path(reference: &str, step: Step) -> String {
    format!("/sessions/{reference}/register/{}", step.as_str())
}

/// Who registers, from the request's cookies.
fn visitor(request: &HttpRequest) -> Visitor {
    let caller = caller::of(request);
    let secret = context::token_secret(request, &caller);
    let visit = context::cookies(request).read_visit(request).map(|visit| visit.0);
    Visitor::new(caller, secret.as_deref(), visit.as_deref(), context::lang(request), device::of(request))
}

/// What every step shows around its form.
struct Around {
    /// The session's reference.
    reference: String,
    /// The site.
    site: String,
    /// When, one line a meeting.
    when: Vec<String>,
    /// Seats left, or the place in line.
    place: String,
    /// The names of the steps.
    names: Vec<String>,
    /// This step, from 1.
    step: usize,
    /// This step in addresses.
    step_word: &'static str,
    /// Where Back leads.
    back: String,
    back_words: String,
    /// `check` when the step leads back there.
    from: &'static str,
    /// What the button says.
    button: String,
}

impl Around {
    fn new(page: &Page, desk: &Desk, step: Step, from_check: bool) -> Self {
        let reference = desk.session.reference.clone();
        let steps = desk.steps();
        let before = steps.iter().rev().find(|earlier| **earlier < step).copied();
        let (back, back_words) = match (from_check, before) {
            (true, _) => (path(&reference, Step::Check), page.t("register-back-check")),
            (false, Some(before)) => (path(&reference, before), page.t("form-back")),
            (false, None) => (format!("/sessions/{reference}"), page.t("register-back-session")),
        };
        Self {
            site: desk.session.site.clone(),
            when: entry::when(page, &desk.session),
            place: place(page, desk),
            names: steps.iter().map(|step| page.t(&format!("register-step-{}", step.as_str()))).collect(),
            step: 1 + steps.iter().filter(|earlier| **earlier < step).count(),
            step_word: step.as_str(),
            from: if from_check { "check" } else { "" },
            button: page.t(if from_check { "register-keep-check" } else { "register-keep" }),
            reference,
            back,
            back_words,
        }
    }

    /// Where the form of this step goes.
    fn action(&self) -> String {
        format!("/sessions/{}/register/{}", self.reference, self.step_word)
    }
}

fn place(page: &Page, desk: &Desk) -> String {
    match desk.session.is_full() {
        true => page.t1("register-place-line", "place", desk.session.next_place()),
        false => page.n("session-seats-free", desk.session.seats_left),
    }
}

/// Opens the desk for a step, or leads to the step that must come first.
async fn desk_for(
    request: &HttpRequest,
    app: &web::Data<App>,
    reference: String,
    step: Step,
) -> Result<Result<Desk, HttpResponse>, Failure> {
    Ok(at_desk(request, app, reference, step, |_, _, _| Ok(())).await?.map(|(desk, ())| desk))
}

/// Opens the desk for a step and works there, or leads to the step that must come first.
async fn at_desk<T: Send + 'static>(
    request: &HttpRequest,
    app: &web::Data<App>,
    reference: String,
    step: Step,
    work: impl FnOnce(&App, &Visitor, &mut Desk) -> Result<T, Failure> + Send + 'static,
) -> Result<Result<(Desk, T), HttpResponse>, Failure> {
    let visitor = visitor(request);
    let done = blocking(app, move |app| {
        let mut desk = open(app, &visitor, &reference)?;
        Ok(match desk.before(step) {
            Some(first) => Err(path(&reference, first)),
            None => {
                let worked = work(app, &visitor, &mut desk)?;
                Ok((desk, worked))
            }
        })
    });
    Ok(done.await?.map_err(|first| go(&first)))
}

/// The page of a step with its caution.
fn step_page(request: &HttpRequest, desk: &Desk, step: Step, faults: usize) -> Page {
    let page = context::page(request, &format!("register-title-{}", step.as_str())).with_errors(faults);
    let caution = desk.caution.in_lang(page.lang);
    page.with_caution_words(caution)
}

/// Where a kept step leads: on, or back to the check page it was opened from.
fn onward(reference: &str, next: Step, from: &From) -> HttpResponse {
    let next = if from.check() { Step::Check } else { next };
    go(&path(reference, next))
}

#[derive(Template)]
#[template(path = "register/refused.html")]
struct Refused {
    page: Page,
    why: String,
    next: String,
    way: String,
    way_href: String,
    back: String,
}

/// A page that says why this child cannot have a place here, and what to do next. Other failures stay failures.
fn refused(request: &HttpRequest, reference: &str, failure: Failure) -> Answer {
    let Failure::Refused(refusal) = failure else { return Err(failure.into()) };
    let title = match refusal {
        Refusal::AlreadyRegistered => "register-refused-title-already",
        Refusal::ConsentChanged => "register-refused-title-consent",
        Refusal::KeyReused => "register-refused-title-key",
        Refusal::TooYoung { .. } | Refusal::TooOld { .. } | Refusal::TwoSessionsAtOnce { .. } => {
            "register-refused-title"
        }
        _ => "register-refused-title-closed",
    };
    let page = context::page(request, title);
    let (next, way, way_href) = match refusal {
        Refusal::AlreadyRegistered => ("register-refused-already", "nav-registrations", "/registrations".to_owned()),
        Refusal::TwoSessionsAtOnce { .. } => {
            ("register-refused-at-once", "nav-registrations", "/registrations".to_owned())
        }
        Refusal::TooYoung { .. } | Refusal::TooOld { .. } => {
            ("register-refused-age", "session-other-way", "/sessions".to_owned())
        }
        Refusal::ConsentChanged | Refusal::KeyReused => {
            ("register-refused-consent", "register-read-anew", path(reference, Step::Check))
        }
        _ => ("refusal-next", "session-other-way", "/sessions".to_owned()),
    };
    let shown = Refused {
        why: refusal_words::words(page.lang, &refusal),
        next: page.t(next),
        way: page.t(way),
        way_href,
        back: path(reference, Step::Rider),
        page,
    };
    shown_as(refusal_words::status(&refusal), &shown)
}
