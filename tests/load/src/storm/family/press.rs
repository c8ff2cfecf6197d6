//! The last button, and the ways in which people press it: once, several times at once, with the connection cut, from two
//! tabs, and once more with another signature.

use std::hash::{DefaultHasher, Hash, Hasher};
use std::sync::atomic::Ordering;
use std::thread;
use std::time::{Duration, Instant};

use anyhow::{Context, bail};
use rand::RngExt;

use super::{Child, Family, Scene, TRIES, is_unreached};
use crate::storm::browser::{Answered, Browser};
use crate::storm::form::Form;
use crate::storm::history::{Answer, Asked};

/// One form of the last page, ready to be sent.
struct Signed {
    path: String,
    body: String,
    asked: Asked,
}

impl Signed {
    fn new(child: &Child, path: &str, form: &Form) -> anyhow::Result<Self> {
        let key = form.get("key").context("a last page without a key")?.to_owned();
        // The form token is drawn anew for each page and is no part of what is signed.
        let mut digest = DefaultHasher::new();
        form.clone().with(&[("form_token", "")]).body().hash(&mut digest);
        let asked =
            Asked::Register { session: child.session.clone(), child: child.name.clone(), key, body: digest.finish() };
        Ok(Self { path: path.to_owned(), body: form.body(), asked })
    }
}

impl Family<'_> {
    /// Presses the last button and gives the reference.
    pub(super) fn press(&mut self, child: &Child, path: &str, form: &Form) -> anyhow::Result<String> {
        let signed = Signed::new(child, path, form)?;
        match self.random.random_range(0..100) {
            0..20 => {
                let presses = self.random.random_range(2..4);
                self.at_once(&vec![&signed; presses]);
                self.until_answered(&signed)
            }
            20..32 => {
                self.cut_off(&signed);
                self.until_answered(&signed)
            }
            32..40 => self.in_two_tabs(child, path, &signed),
            40..45 => {
                let reference = self.until_answered(&signed)?;
                let other = form.clone().with(&[("signature", "Somebody Else")]);
                self.once(&Signed::new(child, path, &other)?);
                Ok(reference)
            }
            _ => self.until_answered(&signed),
        }
    }

    /// Registers a child with one press, and gives how long its answer took.
    ///
    /// # Errors
    /// The child has no place.
    pub fn register_once(&mut self, child: &Child) -> anyhow::Result<Duration> {
        let (path, form) = self.walk(child, &format!("/sessions/{}/register", child.session))?;
        let signed = Signed::new(child, &path, &form)?;
        let began = Instant::now();
        match self.once(&signed) {
            Answer::Done(_) => Ok(began.elapsed()),
            other => bail!("{path}: {other:?}"),
        }
    }

    /// Two tabs show the last page, each with a key of its own; both buttons are pressed at the same time.
    fn in_two_tabs(&mut self, child: &Child, path: &str, first: &Signed) -> anyhow::Result<String> {
        let (again, form) = self.walk(child, path)?;
        if again != path {
            bail!("the second tab leads to {again}");
        }
        let second = Signed::new(child, path, &form)?;
        let done = self.at_once(&[first, &second]);
        for (signed, answer) in [first, &second].into_iter().zip(done) {
            match answer {
                Answer::Done(_) => return self.until_answered(signed),
                Answer::Cut | Answer::Refused(429 | 503) => {
                    if let Ok(reference) = self.until_answered(signed) {
                        return Ok(reference);
                    }
                }
                _ => {}
            }
        }
        bail!("neither tab got a place for {}", child.name)
    }

    /// Presses until there is an answer: the reference.
    fn until_answered(&mut self, signed: &Signed) -> anyhow::Result<String> {
        for _ in 0..TRIES {
            match self.once(signed) {
                Answer::Done(reference) => return Ok(reference),
                Answer::Cut | Answer::Refused(429 | 503) => self.wait(),
                other => bail!("{}: {other:?}", signed.path),
            }
        }
        bail!("{}: no answer", signed.path)
    }

    fn once(&mut self, signed: &Signed) -> Answer {
        let (answer, answered) = send(self.scene, self.number, &self.browser, signed);
        answered.into_iter().for_each(|answered| drop(self.browser.keep(answered)));
        answer
    }

    /// Several presses at the same moment, each on a connection of its own.
    fn at_once(&mut self, all: &[&Signed]) -> Vec<Answer> {
        let (scene, number, browser) = (self.scene, self.number, &self.browser);
        let done: Vec<_> = thread::scope(|scope| {
            let presses: Vec<_> =
                all.iter().map(|signed| scope.spawn(move || send(scene, number, browser, signed))).collect();
            presses.into_iter().map(|press| press.join().unwrap_or((Answer::Cut, None))).collect()
        });
        let mut answers = Vec::new();
        for (answer, answered) in done {
            answered.into_iter().for_each(|answered| drop(self.browser.keep(answered)));
            answers.push(answer);
        }
        answers
    }

    /// Sends everything and goes before the answer comes.
    fn cut_off(&mut self, signed: &Signed) {
        let after = Duration::from_millis(self.random.random_range(0..60));
        let began = self.scene.log.clock.now();
        self.scene.requests.fetch_add(1, Ordering::Relaxed);
        // Whether all of it went out does not matter: nobody heard an answer.
        let sent = self.browser.cut(&signed.path, &signed.body, after);
        if !sent.is_err_and(|fault| is_unreached(&fault)) {
            self.scene.log.note(self.number, began, signed.asked.clone(), Answer::Cut);
        }
    }
}

fn send(scene: &Scene, number: usize, browser: &Browser, signed: &Signed) -> (Answer, Option<Answered>) {
    let began = scene.log.clock.now();
    scene.requests.fetch_add(1, Ordering::Relaxed);
    let answered = browser.press(&signed.path, &signed.body);
    let answer = answered.as_ref().map_or(Answer::Cut, answer);
    if !answered.as_ref().is_err_and(is_unreached) {
        scene.log.note(number, began, signed.asked.clone(), answer.clone());
    }
    (answer, answered.ok())
}

/// A place is acknowledged by the way to its receipt; any other way leads back into the steps.
fn answer(answered: &Answered) -> Answer {
    match (answered.status, answered.location.strip_prefix("/registrations/")) {
        (303, Some(reference)) => Answer::Done(reference.to_owned()),
        (status, _) => Answer::Refused(status),
    }
}
