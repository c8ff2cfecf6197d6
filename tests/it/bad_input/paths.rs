//! Attacks addresses: each piece of a path, each name of a query, references of other people, doors that are closed.

use waymark::domain::access::Role;
use waymark::web::routes::{LINES, PUBLIC, Verb};

use super::attack::{Attack, Attacker};
use super::corpus::{self, Class};
use super::fill;
use super::is_whole;
use super::judge::{Place, Sent};
use crate::house::browser::{Answered, encoded, escaped};
use crate::house::crawl::{Visitor, line_of, names_in_query};
use crate::house::forms::{Field, Kind};

/// A reference in shape, which names nothing.
const MISSING: &str = "2345bcdfghjkm";

/// Queries that no page of ours can make.
const MALFORMED: [&str; 8] = ["a=1&a=2", "a[]=1", "a%5B0%5D=1", "a=%FF", "a=%00", "a=%C3", "a=%zz", "a=%ED%A0%80"];

/// Roles that see only what is theirs.
const OWN_ONLY: [Role; 4] = [Role::Guardian, Role::Helper, Role::Instructor, Role::FirstAid];

/// The places of the pieces in a pattern that stand for something.
fn open_pieces(line: usize) -> Vec<usize> {
    LINES[line].path.split('/').enumerate().filter(|(_, piece)| piece.starts_with('{')).map(|(at, _)| at).collect()
}

/// An address with one piece of its path exchanged, without its query.
fn exchanged(address: &str, at: usize, piece: &str) -> String {
    let path = address.split('?').next().unwrap_or_default();
    let pieces = path.split('/').enumerate().map(|(place, old)| if place == at { piece } else { old });
    pieces.collect::<Vec<_>>().join("/")
}

fn piece_of(address: &str, at: usize) -> String {
    address.split('?').next().unwrap_or_default().split('/').nth(at).unwrap_or_default().to_owned()
}

/// A body without what differs between two answers to the same question.
fn compared(answered: &Answered, piece: &str) -> String {
    let mut body = answered.body.replace(piece, "");
    for token in answered.body.split("name=\"form_token\" value=\"").skip(1) {
        body = body.replace(token.split('"').next().unwrap_or_default(), "");
    }
    body
}

impl Attacker<'_> {
    /// An address of this line that the role came to, or that a form of it leads to.
    fn address(&self, line: usize) -> Option<String> {
        let page = self.found.pages.get(&line).and_then(|pages| pages.first()).cloned();
        let form = || Some(self.found.forms.get(&line)?.first()?.action.clone());
        let twin = || {
            let twin = LINES.iter().position(|other| other.verb == Verb::Get && other.path == LINES[line].path)?;
            self.found.pages.get(&twin)?.first().cloned()
        };
        page.or_else(form).or_else(twin)
    }
}

/// Asks a line at an address, with the answers of its form if it takes one.
fn ask(attacker: &Attacker<'_>, line: usize, address: &str) -> Answered {
    if LINES[line].verb == Verb::Get {
        return attacker.visitor.browser.get(address);
    }
    let form = attacker.found.forms.get(&line).and_then(|forms| forms.first());
    let values = form.map(|form| fill::guessed(form, 0)).unwrap_or_default();
    let pairs: Vec<(&str, &str)> = values.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
    attacker.visitor.post_text(address, &encoded(&pairs))
}

impl Attack<'_> {
    /// The roles that may use a line, with an address that somebody came to.
    fn sampled(&self, line: usize) -> Vec<(usize, String)> {
        let any = self.roles.iter().find_map(|attacker| attacker.address(line));
        let of = |(role, attacker): (usize, &Attacker<'_>)| {
            let address = attacker.address(line).or_else(|| any.clone())?;
            attacker.visitor.may_use(&LINES[line]).then_some((role, address))
        };
        self.roles.iter().enumerate().filter_map(of).collect()
    }

    fn ask_and_judge(&mut self, line: usize, role: usize, address: &str, sent: &Sent<'_>) -> Answered {
        self.judge.look_away();
        let answered = ask(&self.roles[role], line, address);
        self.judge.judge(&self.roles[role].visitor, sent, &answered);
        self.after(line, role, "", answered.status);
        answered
    }

    /// Each piece of the path with every value.
    pub fn attack_paths(&mut self, line: usize) {
        let sampled = self.sampled(line);
        for at in open_pieces(line) {
            for (class, value) in corpus::pieces() {
                self.each(&sampled, |attack, (role, address)| {
                    let address = exchanged(address, at, &value);
                    attack.ask_and_judge(
                        line,
                        *role,
                        &address,
                        &Sent { line, class, place: Place::Path, value: &value },
                    );
                });
            }
        }
    }

    /// Queries that are none, and each name that links of ours carry with odd values.
    pub fn attack_queries(&mut self, line: usize) {
        let sampled = self.sampled(line);
        if LINES[line].verb != Verb::Get || sampled.is_empty() {
            return;
        }
        for query in MALFORMED {
            self.each(&sampled, |attack, (role, address)| {
                let address = format!("{}?{query}", address.split('?').next().unwrap_or_default());
                let sent = Sent { line, class: Class::Malformed, place: Place::Around, value: query };
                attack.ask_and_judge(line, *role, &address, &sent);
            });
        }
        let pages = self.roles.iter().filter_map(|attacker| attacker.found.pages.get(&line)).flatten();
        let mut names: Vec<String> = pages.flat_map(|address| names_in_query(address)).chain(["next".into()]).collect();
        names.sort();
        names.dedup();
        for name in names {
            let field = Field { name: name.clone(), kind: Kind::Hidden, value: None, offers: Vec::new() };
            for (class, value) in corpus::carried() {
                self.each(&sampled, |attack, (role, address)| {
                    let address =
                        format!("{}?{name}={}", address.split('?').next().unwrap_or_default(), escaped(&value));
                    let sent = Sent { line, class, place: Place::Query(&field), value: &value };
                    attack.ask_and_judge(line, *role, &address, &sent);
                });
            }
        }
    }

    /// References that belong to somebody else are answered like one that names nothing.
    pub fn try_foreign(&mut self, line: usize) {
        if LINES[line].who == PUBLIC {
            return;
        }
        let Some(at) = open_pieces(line).first().copied() else { return };
        let pool = self.references();
        for (role, address) in self.sampled(line) {
            if !OWN_ONLY.contains(&self.roles[role].visitor.role) {
                continue;
            }
            let missing = exchanged(&address, at, MISSING);
            let sent = Sent { line, class: Class::Foreign, place: Place::Path, value: MISSING };
            let nothing = self.ask_and_judge(line, role, &missing, &sent);
            let own = self.roles[role].found.links().iter().filter(|link| line_of(Verb::Get, link).is_some()).cloned();
            let own: Vec<String> = own.collect();
            let others: Vec<&String> =
                pool.iter().filter(|piece| !own.iter().any(|link| link.contains(*piece))).collect();
            let step = if is_whole() { 1 } else { (others.len() / 12).max(1) };
            for piece in others.into_iter().skip(self.turn % step).step_by(step) {
                let sent = Sent { line, class: Class::Foreign, place: Place::Path, value: piece };
                let answered = self.ask_and_judge(line, role, &exchanged(&address, at, piece), &sent);
                if answered.status != nothing.status || compared(&answered, piece) != compared(&nothing, MISSING) {
                    let role = self.roles[role].visitor.role;
                    let told = format!("{} as {role}: {piece} is answered otherwise than nothing", LINES[line].path);
                    self.judge.faults.push(told);
                }
            }
            self.turn += 1;
        }
    }

    /// Every reference that anybody came across.
    fn references(&self) -> Vec<String> {
        let mut all = Vec::new();
        for link in self.roles.iter().flat_map(|attacker| attacker.found.links()) {
            if let Some(line) = line_of(Verb::Get, link).filter(|line| !LINES[*line].path.starts_with("/static")) {
                all.extend(open_pieces(line).into_iter().map(|at| piece_of(link, at)).filter(|piece| piece.len() > 8));
            }
        }
        all.sort();
        all.dedup();
        all
    }

    /// Roles to which the line does not open, with hostile answers in hand.
    pub fn knock(&mut self, line: usize) {
        let Some(address) = self.roles.iter().find_map(|attacker| attacker.address(line)) else { return };
        for role in 0..self.roles.len() {
            let visitor: &Visitor<'_> = &self.roles[role].visitor;
            if visitor.may_use(&LINES[line]) {
                continue;
            }
            let (class, value) = (Class::Polyglot, corpus::POLYGLOT);
            self.judge.look_away();
            let pair = format!("a={}", escaped(value));
            let answered = match LINES[line].verb {
                Verb::Get => visitor.browser.get(&format!("{}?{pair}", address.split('?').next().unwrap_or_default())),
                Verb::Post => visitor.post_text(&address, &pair),
            };
            self.judge.judge(visitor, &Sent { line, class, place: Place::Around, value }, &answered);
        }
    }
}
