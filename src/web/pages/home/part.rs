//! What a list of due things is made of on the page: parts by role, groups with a heading, lines.

use chrono::NaiveDateTime;

use crate::domain::words::Lang;
use crate::language;

/// A state: class, shape and words.
pub type State = (&'static str, &'static str, String);

/// The most lines of a group; the rest stand behind its link.
const MOST: usize = 8;

/// What is due for one role.
#[derive(Debug, Clone)]
pub struct Part {
    /// Said when nothing is due: what holds, and what comes next.
    pub quiet: Option<(String, String)>,
    /// The groups that have lines.
    pub groups: Vec<Group>,
}

/// Lines of one kind.
#[derive(Debug, Clone)]
pub struct Group {
    /// The anchor.
    pub id: &'static str,
    /// What it is.
    pub heading: String,
    /// The lines.
    pub lines: Vec<Line>,
    /// Where all of them stand: address and words.
    pub more: Option<(String, String)>,
}

/// One due thing.
#[derive(Debug, Clone)]
pub struct Line {
    /// What it is about.
    pub title: String,
    /// Where it is done; empty when the line itself says all.
    pub href: String,
    /// How it stands.
    pub state: Option<State>,
    /// Sentences below.
    pub words: Vec<String>,
    /// Further ways: address and words.
    pub ways: Vec<(String, String)>,
}

impl Line {
    /// A line that leads somewhere.
    pub fn new(title: impl Into<String>, href: impl Into<String>) -> Self {
        Self { title: title.into(), href: href.into(), state: None, words: Vec::new(), ways: Vec::new() }
    }

    pub fn state(mut self, kind: &'static str, shape: &'static str, words: impl Into<String>) -> Self {
        self.state = Some((kind, shape, words.into()));
        self
    }

    /// One more sentence; an empty one is left out.
    pub fn say(mut self, words: impl Into<String>) -> Self {
        let words = words.into();
        if !words.is_empty() {
            self.words.push(words);
        }
        self
    }

    pub fn way(mut self, href: impl Into<String>, words: impl Into<String>) -> Self {
        self.ways.push((href.into(), words.into()));
        self
    }
}

/// A group of these lines; nothing when there are none. More than fit are told of with a way to all of them.
pub fn group(id: &'static str, heading: &str, mut lines: Vec<Line>, all: (&str, &str)) -> Option<Group> {
    if lines.is_empty() {
        return None;
    }
    let (href, words) = all;
    let count = lines.len();
    let more = (count > MOST && !href.is_empty()).then(|| (href.to_owned(), format!("{words} ({count} in all)")));
    if more.is_some() {
        lines.truncate(MOST);
    }
    Some(Group { id, heading: heading.to_owned(), lines, more })
}

/// The page of somebody who only reports.
pub fn only_reports() -> Part {
    let quiet = Some(("Nothing is due today.".to_owned(), "Reports stand ready whenever you need them.".to_owned()));
    let line = Line::new("Reports by county", "/reports").say("Sessions, riders, completions and helmets, by period.");
    Part { quiet, groups: group("reports", "Whenever you need it", vec![line], ("", "")).into_iter().collect() }
}

/// What waits for somebody who reads concerns. It says nothing of them.
pub fn concerns(all: &[(String, NaiveDateTime)]) -> Part {
    let line = |(reference, written): &(String, NaiveDateTime)| {
        Line::new("Something waits for you to read", format!("/concerns/{reference}"))
            .state("not-met", "notmet", "open")
            .say(format!("Since {}.", language::date_long(Lang::En, written.date())))
    };
    let lines = all.iter().map(line).collect();
    Part { quiet: None, groups: group("concerns", "For you alone", lines, ("/concerns", "All")).into_iter().collect() }
}
