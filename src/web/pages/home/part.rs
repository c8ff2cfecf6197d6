//! What a list of due things is made of on the page: parts by role, groups with a heading, lines.

use chrono::NaiveDateTime;

use crate::domain::words::Lang;
use crate::language;
use crate::services::due::{GrantDue, GrantReport};

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

/// Reports that grants ask for, and shelves to count; with ways for a reader who may open grants and lots.
pub fn grants(due: &GrantDue, opens: bool) -> Vec<Line> {
    let way = |href: String| if opens { href } else { String::new() };
    let report = |one: &GrantReport| {
        Line::new(format!("{}: {}", one.name, one.what), way(format!("/gear/grants/{}", one.grant)))
            .state("practice", "practice", "report due")
            .say(format!("By {}.", language::date_long(Lang::En, one.on)))
    };
    let count = |(reference, code): &(String, String)| {
        Line::new(format!("Helmets of lot {code}"), way(format!("/gear/lots/{reference}")))
            .state("practice", "practice", "count due")
            .say("The last count was two years ago or longer.")
    };
    due.reports.iter().map(report).chain(due.counts.iter().map(count)).collect()
}

/// The page of somebody who only reports.
pub fn only_reports(due: &GrantDue) -> Part {
    let ready = "Reports stand ready whenever you need them.".to_owned();
    let quiet = due.is_empty().then(|| ("Nothing is due today.".to_owned(), ready));
    let line = Line::new("Reports by county", "/reports").say("Sessions, riders, completions and helmets, by period.");
    let property =
        Line::new("Property list", "/gear/property").say("Every lot of helmets, with who paid and where it is.");
    let groups = [
        group("grants", "For those who pay", grants(due, false), ("", "")),
        group("reports", "Whenever you need it", vec![line, property], ("", "")),
    ];
    Part { quiet, groups: groups.into_iter().flatten().collect() }
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
