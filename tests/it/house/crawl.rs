//! Walks through the program as one role: every kind of page that a link leads to, and every kind of form on them.
//! New pages and fields join by themselves, because nothing here names them.

use std::collections::{BTreeMap, BTreeSet, VecDeque};

use waymark::domain::access::{Role, RoleSet};
use waymark::domain::words::Word;
use waymark::web::routes::{LINES, Line, Verb};

use super::app::TestApp;
use super::browser::{Answered, Browser, encoded};
use super::forms::{Form, forms, tags};

/// How many addresses of one line of the table, with the same names in the query, a role opens.
const EACH: usize = 4;

/// Somebody of one role, who signs in again when a request ended the sign-in.
pub struct Visitor<'a> {
    house: &'a TestApp,
    pub role: Role,
    pub browser: Browser,
    token: String,
}

impl<'a> Visitor<'a> {
    /// Signed in by the demonstration's button, or a stranger.
    pub fn arrive(house: &'a TestApp, role: Role) -> Self {
        let mut visitor = Self { house, role, browser: house.stranger(), token: String::new() };
        visitor.renew();
        visitor
    }

    /// A new browser, signed in anew.
    pub fn renew(&mut self) {
        self.browser = self.house.stranger();
        let first = self.browser.get("/sign-in");
        if self.role != Role::Public {
            let entered = self.browser.post("/sign-in/demo", &[("role", self.role.as_str()), ("next", "/")]);
            assert_eq!(entered.status, 303, "{} is not let in: {}", self.role, entered.words());
        }
        let page = if self.role == Role::Public { first } else { self.browser.get("/sign-in") };
        self.token = page.form_token().expect("the sign-in page has a form");
    }

    /// Whether the table opens this line to the visitor.
    pub fn may_use(&self, line: &Line) -> bool {
        line.who.meets(RoleSet::of(&[self.role]).with(Role::Public))
    }

    /// A form token of this visitor.
    pub fn token(&self) -> &str {
        &self.token
    }

    /// Sends encoded fields as our own page would, with a form token.
    pub fn post_text(&self, path: &str, fields: &str) -> Answered {
        self.post_bytes(path, format!("form_token={}&{fields}", self.token).as_bytes())
    }

    /// Sends a whole body as our own page would.
    pub fn post_bytes(&self, path: &str, body: &[u8]) -> Answered {
        let language = [("sec-fetch-site", "same-origin"), ("accept", "text/html")];
        self.browser.send_bytes("POST", path, &language, body)
    }

    /// Sends a form in parts, each answer but the token as a file.
    fn send_parts(&self, path: &str, pairs: &[(&str, &str)]) -> Answered {
        let mut body =
            format!("--edge\r\nContent-Disposition: form-data; name=\"form_token\"\r\n\r\n{}\r\n", self.token);
        for (name, value) in pairs {
            let head = format!("Content-Disposition: form-data; name=\"{name}\"; filename=\"a.csv\"");
            body.push_str(&format!("--edge\r\n{head}\r\n\r\n{value}\r\n"));
        }
        body.push_str("--edge--\r\n");
        let kind = ("content-type", "multipart/form-data; boundary=edge");
        self.browser.send_bytes(
            "POST",
            path,
            &[("sec-fetch-site", "same-origin"), ("accept", "text/html"), kind],
            body.as_bytes(),
        )
    }

    /// Sends a form with these values.
    pub fn send(&self, form: &Form, values: &[(String, String)]) -> Answered {
        let pairs: Vec<(&str, &str)> = values.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        match form.posts {
            true if form.in_parts => self.send_parts(&form.action, &pairs),
            true => self.post_text(&form.action, &encoded(&pairs)),
            false => self.browser.get(&format!("{}?{}", form.action, encoded(&pairs))),
        }
    }
}

/// What one role found.
#[derive(Default)]
pub struct Found {
    /// Addresses that were opened, by the line of the table that they belong to.
    pub pages: BTreeMap<usize, Vec<String>>,
    /// A few forms of each shape, by the line that takes them.
    pub forms: BTreeMap<usize, Vec<Form>>,
    /// Links that led to a fault.
    pub broken: Vec<String>,
    queue: VecDeque<String>,
    seen: BTreeSet<String>,
    links: BTreeSet<String>,
}

/// The line of the table that answers this verb at this address.
pub fn line_of(verb: Verb, address: &str) -> Option<usize> {
    let path = address.split(['?', '#']).next().unwrap_or_default();
    LINES.iter().position(|line| line.verb == verb && fits(line.path, path))
}

fn fits(pattern: &str, path: &str) -> bool {
    let (mut pattern, mut path) = (pattern.split('/'), path.split('/'));
    loop {
        match (pattern.next(), path.next()) {
            (None, None) => return true,
            (Some(piece), Some(_)) if piece.contains(":.*") => return true,
            (Some(piece), Some(word)) if piece.starts_with('{') && !word.is_empty() => {}
            (Some(piece), Some(word)) if piece == word => {}
            _ => return false,
        }
    }
}

impl Found {
    /// Opens all that links lead to, from the pages that have an address without a reference.
    pub fn by(visitor: &Visitor<'_>) -> Self {
        let mut found = Self::default();
        for line in LINES.iter().filter(|line| line.verb == Verb::Get && !line.path.contains('{')) {
            if visitor.may_use(line) {
                found.queue.push_back(line.path.to_owned());
            }
        }
        found.go_on(visitor);
        found
    }

    /// Opens one more address and all that it leads to.
    pub fn visit(&mut self, visitor: &Visitor<'_>, address: &str) {
        if let Some(line) = line_of(Verb::Get, address) {
            self.open(visitor, line, address);
        }
        self.go_on(visitor);
    }

    fn go_on(&mut self, visitor: &Visitor<'_>) {
        while let Some(address) = self.queue.pop_front() {
            let Some(line) = line_of(Verb::Get, &address) else {
                self.broken.push(format!("no line of the table answers {address}"));
                continue;
            };
            if !visitor.may_use(&LINES[line]) || !self.is_wanted(line, &address) {
                continue;
            }
            self.open(visitor, line, &address);
        }
    }

    fn open(&mut self, visitor: &Visitor<'_>, line: usize, address: &str) {
        self.pages.entry(line).or_default().push(address.to_owned());
        let answered = visitor.browser.get(address);
        match answered.status {
            200 => self.read(address, &answered),
            303 => self.queue.push_back(answered.location().to_owned()),
            // A page that wants a query says so; nobody is led to it without one.
            400 if address == LINES[line].path => {}
            status => self.broken.push(format!("{} {address}: {status}", visitor.role)),
        }
    }

    fn is_wanted(&mut self, line: usize, address: &str) -> bool {
        if !self.seen.insert(address.to_owned()) {
            return false;
        }
        let same = |other: &&String| names_in_query(other) == names_in_query(address);
        self.pages.get(&line).map_or(0, |pages| pages.iter().filter(same).count()) < EACH
    }

    /// Whether an address was not opened yet.
    pub fn is_new(&self, line: usize, address: &str) -> bool {
        self.pages.get(&line).is_none_or(|pages| pages.iter().all(|page| page != address))
    }

    /// Every address of ours that a link led to, opened or not.
    pub fn links(&self) -> &BTreeSet<String> {
        &self.links
    }

    /// Keeps the forms of a page and queues its links.
    pub fn read(&mut self, address: &str, answered: &Answered) {
        if !answered.header("content-type").is_some_and(|media| media.starts_with("text/html")) {
            return;
        }
        for tag in tags(&answered.body) {
            let way = tag.get("href").or_else(|| tag.get("src")).unwrap_or_default();
            let way = way.split('#').next().unwrap_or_default();
            let is_choice = ["lang", "scheme"].iter().any(|name| names_in_query(way).iter().any(|found| found == name));
            if way.starts_with('/') && !is_choice && self.links.insert(way.to_owned()) {
                self.queue.push_back(way.to_owned());
            }
        }
        for form in forms(address, &answered.body) {
            self.keep(form);
        }
    }

    fn keep(&mut self, form: Form) {
        let verb = if form.posts { Verb::Post } else { Verb::Get };
        let Some(line) = line_of(verb, &form.action) else {
            self.broken.push(format!("no line of the table takes the form to {} on {}", form.action, form.page));
            return;
        };
        let kept = self.forms.entry(line).or_default();
        if kept.iter().filter(|other| other.shape() == form.shape()).count() < EACH {
            kept.push(form);
        }
    }
}

/// The names in an address's query, in order.
pub fn names_in_query(address: &str) -> Vec<String> {
    let query = address.split('#').next().and_then(|rest| rest.split_once('?')).map_or("", |(_, query)| query);
    let name = |pair: &str| pair.split('=').next().unwrap_or_default().to_owned();
    query.split('&').filter(|pair| !pair.is_empty()).map(name).collect()
}
