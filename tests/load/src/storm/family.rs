//! One family in the storm: registers its children one after the other, as people do whose network and patience are poor.

mod mail;
mod press;
mod steps;

pub use steps::filled;

use std::collections::VecDeque;
use std::io::{Error, ErrorKind, Result};
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::Duration;

use anyhow::{Context, bail};
use rand::rngs::StdRng;
use rand::{RngExt, SeedableRng};

use super::browser::{Answered, Browser, pause};
use super::form::Form;
use super::history::{Answer, Asked, Log, Moment, Shown};
use super::letters;
use super::post::Post;

/// How often a request is repeated before the family says that it cannot go on; it waits about 0.1 s between two.
const TRIES: usize = 300;

/// What all families share.
pub struct Scene {
    /// Their history.
    pub log: Log,
    /// Their mailboxes.
    pub post: Post,
    /// Requests sent.
    pub requests: AtomicUsize,
    /// What kept a family from going on.
    pub troubles: Mutex<Vec<String>>,
}

/// A child and the session that it wants.
#[derive(Clone, Debug)]
pub struct Child {
    /// Its name, given and family.
    pub name: String,
    /// The session's reference.
    pub session: String,
}

/// A place that the family knows of.
#[derive(Clone, Debug)]
struct Place {
    reference: String,
    shown: Shown,
}

/// One family.
pub struct Family<'a> {
    number: usize,
    browser: Browser,
    random: StdRng,
    scene: &'a Scene,
    places: Vec<Place>,
    /// Whether it answers letters at all.
    answers: bool,
    is_shown: bool,
    /// The ways of the letters that ask for the address.
    questions: VecDeque<String>,
}

/// The family name of a number.
pub fn surname(number: usize) -> String {
    format!("Fam{}", letters(number))
}

/// The address for letters of a number.
pub fn mailbox(number: usize) -> String {
    format!("pat.{}@example.org", letters(number))
}

impl<'a> Family<'a> {
    /// A family with a browser and a chance of its own.
    pub fn new(number: usize, browser: Browser, seed: u64, scene: &'a Scene) -> Self {
        let mut random = StdRng::seed_from_u64(seed ^ (u64::try_from(number).unwrap_or_default() + 1) << 32);
        let answers = random.random_bool(0.85);
        Self {
            number,
            browser,
            random,
            scene,
            places: Vec::new(),
            answers,
            is_shown: false,
            questions: VecDeque::new(),
        }
    }

    /// Registers every child, gives up some places, answers what is asked.
    pub fn run(&mut self, children: &[Child]) {
        for child in children {
            self.tell(|family| family.register(child));
            self.tell(Self::read_letters);
            self.tell(Self::maybe_give_up);
        }
        // Seats that come free late are still offered and answered.
        for _ in 0..4 {
            pause(Duration::from_millis(self.random.random_range(200..600)));
            self.tell(Self::read_letters);
            self.tell(|family| family.confirm_beside(|_| Ok(())));
        }
        self.tell(Self::look_at_all);
    }

    /// Registers every child and shows that the address is its own; gives nothing up.
    ///
    /// # Errors
    /// A child is not registered, or no letter asks for the address.
    pub fn settle(&mut self, children: &[Child]) -> anyhow::Result<()> {
        self.answers = true;
        for child in children {
            self.register(child)?;
        }
        for _ in 0..TRIES {
            self.read_letters()?;
            self.confirm_beside(|_| Ok(()))?;
            if self.is_shown {
                return Ok(());
            }
            self.wait();
        }
        bail!("no letter asks family {} for its address", self.number)
    }

    /// What goes wrong is told, and the family goes on with the next thing.
    fn tell(&mut self, act: impl FnOnce(&mut Self) -> anyhow::Result<()>) {
        if let Err(fault) = act(self) {
            let told = format!("family {}: {fault:#}", self.number);
            self.scene.troubles.lock().expect("nobody panics here").push(told);
        }
    }

    fn register(&mut self, child: &Child) -> anyhow::Result<()> {
        let session = format!("/sessions/{}", child.session);
        self.page(&session)?;
        let (path, form) = self.walk(child, &format!("{session}/register"))?;
        let reference = self.confirm_beside(|family| family.press(child, &path, &form))?;
        let shown = self.look(&reference)?.0;
        self.places.push(Place { reference, shown });
        Ok(())
    }

    /// Opens a receipt; gives what it shows and the page.
    fn look(&mut self, reference: &str) -> anyhow::Result<(Shown, String)> {
        let path = format!("/registrations/{reference}");
        for _ in 0..TRIES {
            let began = self.scene.log.clock.now();
            let answered = self.ask(|browser| browser.get(&path));
            let answer = match &answered {
                Ok(page) if page.status == 200 => {
                    shown(&page.body).map(Answer::Shown).context("a receipt without a state")?
                }
                Ok(page) => Answer::Refused(page.status),
                Err(_) => Answer::Cut,
            };
            let asked = Asked::Look { reference: reference.to_owned() };
            self.note(began, asked, &answer, &answered);
            match (answer, answered) {
                (Answer::Shown(shown), Ok(page)) => return Ok((shown, page.body)),
                (Answer::Cut | Answer::Refused(429 | 503), _) => self.wait(),
                (other, _) => bail!("{path}: {other:?}"),
            }
        }
        bail!("{path}: no answer")
    }

    fn look_at_all(&mut self) -> anyhow::Result<()> {
        for at in 0..self.places.len() {
            if self.places[at].shown != Shown::Over {
                let reference = self.places[at].reference.clone();
                self.places[at].shown = self.look(&reference)?.0;
            }
        }
        Ok(())
    }

    /// Seats are given up more often than turns in line, so that many come free.
    fn maybe_give_up(&mut self) -> anyhow::Result<()> {
        let Some(at) = (!self.places.is_empty()).then(|| self.random.random_range(0..self.places.len())) else {
            return Ok(());
        };
        let Place { reference, shown } = self.places[at].clone();
        let chance = match shown {
            Shown::Seat | Shown::Waiting => 0.35,
            Shown::Line(_) => 0.05,
            Shown::Over => 0.0,
        };
        if !self.random.random_bool(chance) {
            return Ok(());
        }
        let path = format!("/registrations/{reference}/give-up");
        let Some(form) = Form::of(&self.page(&path)?.body, &path) else { return Ok(()) };
        self.repeat(&Asked::GiveUp { reference }, &path, &form.body())?;
        self.places[at].shown = Shown::Over;
        Ok(())
    }

    /// Sends a form until it is answered, each try an event of its own. `false`: no, which a try before may have caused.
    fn repeat(&mut self, asked: &Asked, path: &str, body: &str) -> anyhow::Result<bool> {
        for _ in 0..TRIES {
            let began = self.scene.log.clock.now();
            let answered = self.ask(|browser| browser.post(path, body));
            let answer = match &answered {
                Ok(answered) if answered.status == 303 => Answer::Done(String::new()),
                Ok(answered) => Answer::Refused(answered.status),
                Err(_) => Answer::Cut,
            };
            self.note(began, asked.clone(), &answer, &answered);
            match answer {
                Answer::Done(_) => return Ok(true),
                Answer::Cut | Answer::Refused(429 | 503) => self.wait(),
                _ => return Ok(false),
            }
        }
        bail!("{path}: no answer")
    }

    /// Opens a page, as often as it takes.
    fn page(&mut self, path: &str) -> anyhow::Result<Answered> {
        self.patiently(path, |browser| browser.get(path))
    }

    /// Asks for what may be asked again without harm until there is an answer.
    fn patiently(&mut self, path: &str, ask: impl Fn(&mut Browser) -> Result<Answered>) -> anyhow::Result<Answered> {
        for _ in 0..TRIES {
            match self.ask(&ask) {
                Ok(answered) if ![429, 503].contains(&answered.status) => return Ok(answered),
                _ => self.wait(),
            }
        }
        bail!("{path}: no answer")
    }

    fn ask(&mut self, ask: impl FnOnce(&mut Browser) -> Result<Answered>) -> Result<Answered> {
        self.scene.requests.fetch_add(1, Ordering::Relaxed);
        ask(&mut self.browser)
    }

    /// What never left the house is no event.
    fn note(&self, began: Moment, asked: Asked, answer: &Answer, answered: &Result<Answered>) {
        if !answered.as_ref().is_err_and(is_unreached) {
            self.scene.log.note(self.number, began, asked, answer.clone());
        }
    }

    fn wait(&mut self) {
        pause(Duration::from_millis(self.random.random_range(40..160)));
    }
}

/// Whether the service was not there to hear anything.
fn is_unreached(fault: &Error) -> bool {
    fault.kind() == ErrorKind::ConnectionRefused
}

/// How a place stands by its receipt: the class of the state, and the number of the turn in line.
pub fn shown(page: &str) -> Option<Shown> {
    let (kind, rest) = page.split_once("class=\"state ")?.1.split_once('"')?;
    match kind {
        "met" => Some(Shown::Seat),
        "free" => Some(Shown::Waiting),
        "off" => Some(Shown::Over),
        "waitlist" => {
            let words = rest.split_once("</svg>")?.1.split('<').next()?;
            let number: String = words.chars().filter(char::is_ascii_digit).collect();
            number.parse().ok().map(Shown::Line)
        }
        _ => None,
    }
}
