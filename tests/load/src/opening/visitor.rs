//! One family of the opening minute: from the session's page to the receipt, a request at a time.

use std::time::Duration;

use anyhow::{Context, bail};
use rand::RngExt;
use rand::rngs::StdRng;

use crate::storm::browser::{Answered, Browser};
use crate::storm::family::{Child, filled, shown};
use crate::storm::form::Form;
use crate::storm::history::{Answer, Asked, Log};

/// How long a page is looked at before the next press, in seconds; each family takes between half and one and a half of it.
/// The sum is what the second child takes by counted taps and keys (bar U18). Common practice, no source.
const LOOKS: [(&str, f64); 6] =
    [("session", 15.0), ("rider", 10.0), ("health", 6.0), ("adults", 8.0), ("sizes", 15.0), ("check", 25.0)];

/// What a visitor does next.
#[derive(Clone, Debug)]
enum Intent {
    Open(String),
    Send(String, Form),
}

/// What comes after a request.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Next {
    /// Another request so much later.
    After(Duration),
    /// Nothing: the receipt is read.
    Done,
}

/// One request that was answered.
#[derive(Clone, Debug)]
pub struct Step {
    /// Verb and page.
    pub what: String,
    /// What comes after.
    pub next: Next,
}

/// A family with its browser.
pub struct Visitor {
    number: usize,
    browser: Browser,
    child: Child,
    random: StdRng,
    intent: Intent,
    reference: String,
    /// How much of the time for looking it takes.
    patience: f64,
}

impl Visitor {
    /// One that is about to open the session's page.
    pub fn new(number: usize, browser: Browser, child: Child, random: StdRng) -> Self {
        let intent = Intent::Open(format!("/sessions/{}", child.session));
        Self { number, browser, child, random, intent, reference: String::new(), patience: 1.0 }
    }

    /// The same, without looking at pages.
    pub fn in_a_hurry(self) -> Self {
        Self { patience: 0.0, ..self }
    }

    /// Sends one request and reads its answer.
    ///
    /// # Errors
    /// No answer, or one that lets nobody go on.
    pub fn step(&mut self, log: &Log) -> anyhow::Result<Step> {
        match self.intent.clone() {
            Intent::Open(path) => self.open(&path, log),
            Intent::Send(path, form) => self.send(&path, &form, log),
        }
    }

    fn open(&mut self, path: &str, log: &Log) -> anyhow::Result<Step> {
        let began = log.clock.now();
        let answered = self.browser.get(path).with_context(|| path.to_owned())?;
        let what = format!("GET {}", page_of(path));
        if answered.status == 303 {
            self.intent = Intent::Open(answered.location);
            return Ok(Step { what, next: Next::After(Duration::ZERO) });
        }
        good(path, &answered)?;
        if path.starts_with("/registrations/") {
            let stands = shown(&answered.body).context("a receipt without a state")?;
            let asked = Asked::Look { reference: self.reference.clone() };
            log.note(self.number, began, asked, Answer::Shown(stands));
            return Ok(Step { what, next: Next::Done });
        }
        if path.ends_with(&self.child.session) {
            self.intent = Intent::Open(format!("{path}/register"));
        } else {
            let form = Form::of(&answered.body, path).with_context(|| format!("{path} has no form"))?;
            self.intent = Intent::Send(path.to_owned(), self.fill(path, form));
        }
        Ok(Step { what, next: Next::After(self.look(page_of(path))) })
    }

    fn send(&mut self, path: &str, form: &Form, log: &Log) -> anyhow::Result<Step> {
        let began = log.clock.now();
        let answered = self.browser.post(path, &form.body()).with_context(|| path.to_owned())?;
        if answered.status != 303 {
            let faults = answered.body.split("role=\"alert\"").nth(1).and_then(|rest| rest.split("</div>").next());
            bail!("{path}: {} {}", answered.status, faults.unwrap_or_default());
        }
        if let Some(reference) = answered.location.strip_prefix("/registrations/") {
            reference.clone_into(&mut self.reference);
            let (session, child) = (self.child.session.clone(), self.child.name.clone());
            let key = form.get("key").context("a last page without a key")?.to_owned();
            let asked = Asked::Register { session, child, key, body: 0 };
            log.note(self.number, began, asked, Answer::Done(reference.to_owned()));
        }
        self.intent = Intent::Open(answered.location);
        Ok(Step { what: format!("POST {}", page_of(path)), next: Next::After(Duration::ZERO) })
    }

    /// A family that is known chooses its child from the list.
    fn fill(&self, path: &str, form: Form) -> Form {
        let step = page_of(path);
        let known = form.offers("known").into_iter().next();
        match known {
            Some(known) if step == "rider" => form.with(&[("known", &known), ("ridden", "never")]),
            _ => filled(step, form, &self.child, self.number),
        }
    }

    fn look(&mut self, page: &str) -> Duration {
        let seconds = LOOKS.iter().find(|(name, _)| *name == page).map_or(0.0, |(_, seconds)| *seconds);
        Duration::from_secs_f64(self.patience * seconds * self.random.random_range(0.5..1.5))
    }
}

fn good(path: &str, answered: &Answered) -> anyhow::Result<()> {
    match answered.status {
        200 => Ok(()),
        status => bail!("{path}: {status}"),
    }
}

/// The page of an address, without whose it is.
fn page_of(path: &str) -> &str {
    let mut pieces = path.trim_start_matches('/').split('/');
    match (pieces.next(), pieces.next(), pieces.next(), pieces.next()) {
        (Some("sessions"), Some(_), None, None) => "session",
        (Some("sessions"), Some(_), Some("register"), Some(step)) => step,
        (Some("sessions"), Some(_), Some("register"), None) => "register",
        _ => "receipt",
    }
}
