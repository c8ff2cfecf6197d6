//! Attacks the forms: every field with the values of the corpus, as the roles that hold the form; then the whole form
//! malformed, with other tokens, with fields too many, and once more.

use std::collections::{BTreeMap, BTreeSet};

use waymark::domain::access::Role;
use waymark::domain::words::Word;
use waymark::web::routes::{LINES, Verb};

use super::corpus::{self, Class, MALFORMED, Value};
use super::fill::{self, Values};
use super::is_whole;
use super::judge::{Judge, Place, Sent};
use crate::house::app::TestApp;
use crate::house::browser::{encoded, escaped};
use crate::house::crawl::{Found, Visitor, line_of};
use crate::house::forms::{Field, Form, Kind, forms};

/// Lines that end the sign-in of the visitor or begin another.
const ENDS_VISIT: [&str; 6] = [
    "/sign-in",
    "/sign-in/demo",
    "/sign-out",
    "/sign-ins/{number}/end",
    "/account/sign-out-elsewhere",
    "/accounts/{account}",
];

/// The steps of a way, of which each is reached only by answering the one before.
const STEPS: &str = "/sessions/{reference}/register/";
const LAST_STEP: &str = "/sessions/{reference}/register/check";

/// An address that is handed round, which no page leads to: below a line, this.
const UNLINKED: (&str, &str) = ("/sessions/{reference}", "register");

/// Longer addresses no browser sends.
const LONGEST_IN_ADDRESS: usize = 8_000;

/// One role with what it found, and the answers with which it came from step to step.
pub struct Attacker<'a> {
    pub visitor: Visitor<'a>,
    pub found: Found,
    steps: Vec<(Form, Values)>,
}

impl Attacker<'_> {
    fn open_unlinked(&mut self) {
        let (path, below) = UNLINKED;
        let line = LINES.iter().position(|line| line.verb == Verb::Get && line.path == path);
        let above = line.and_then(|line| self.found.pages.get(&line)?.first().cloned());
        let above = above.expect("every role finds a session");
        self.found.visit(&self.visitor, &format!("{above}/{below}"));
    }
}

/// The attack on one house.
pub struct Attack<'a> {
    house: &'a TestApp,
    pub judge: Judge<'a>,
    pub roles: Vec<Attacker<'a>>,
    pub turn: usize,
    number: u64,
    /// What the program said to the best answers of a shape that it never took.
    pub untaken: BTreeMap<(usize, String), String>,
    taken: BTreeSet<(usize, String)>,
    /// Names of fields that were attacked, and lines.
    names: BTreeSet<(usize, String)>,
    lines: BTreeSet<usize>,
}

impl<'a> Attack<'a> {
    /// Every role goes once through the house and keeps what it finds.
    pub fn begin(house: &'a TestApp) -> Self {
        let roles = Role::ALL.iter().filter(|role| **role != Role::Partner).map(|role| {
            let visitor = Visitor::arrive(house, *role);
            let found = Found::by(&visitor);
            Attacker { visitor, found, steps: Vec::new() }
        });
        let mut attack = Self {
            house,
            roles: roles.collect(),
            judge: Judge::new(house),
            turn: 0,
            number: 0,
            untaken: BTreeMap::new(),
            taken: BTreeSet::new(),
            names: BTreeSet::new(),
            lines: BTreeSet::new(),
        };
        for role in 0..attack.roles.len() {
            attack.walk(role);
            attack.roles[role].open_unlinked();
            if attack.roles[role].visitor.role == Role::Guardian {
                attack.register(role);
            }
        }
        attack.begin_drafts();
        attack.go_deeper();
        attack
    }

    fn next_number(&mut self) -> u64 {
        self.number += 1;
        self.number
    }

    /// Goes along the steps as far as the last, which is left unsent.
    fn walk(&mut self, role: usize) {
        for line in (0..LINES.len()).filter(|line| is_step(*line) && LINES[*line].verb == Verb::Post) {
            if LINES[line].path == LAST_STEP {
                continue;
            }
            let forms = self.roles[role].found.forms.get(&line).cloned().unwrap_or_default();
            for form in forms {
                let number = self.next_number();
                let attacker = &mut self.roles[role];
                let filled = fill::fill(&attacker.visitor, &form, number);
                if filled.answered.status == 303 {
                    attacker.found.visit(&attacker.visitor, filled.answered.location());
                    attacker.steps.push((form, filled.values));
                    break;
                }
            }
        }
    }

    /// Registers a child in another session than the one of the steps, to the receipt and what it leads to.
    fn register(&mut self, role: usize) {
        let first = |line: &usize| is_step(*line) && LINES[*line].verb == Verb::Post;
        let Some(line) = (0..LINES.len()).find(first) else { return };
        let entries = self.roles[role].found.forms.get(&line).cloned().unwrap_or_default();
        let mut told = Vec::new();
        for entry in entries.into_iter().rev() {
            let mut form = Some(entry);
            while let Some(now) = form.take() {
                let number = self.next_number();
                let attacker = &mut self.roles[role];
                let filled = fill::fill(&attacker.visitor, &now, number);
                if filled.answered.status != 303 {
                    told.push(format!(
                        "{}: {} {:?} {:?}",
                        now.action,
                        filled.said(),
                        fill::faulty_fields(&filled.answered),
                        filled.values
                    ));
                    break;
                }
                let next = filled.answered.location().to_owned();
                if !next.contains("/register/") {
                    return attacker.found.visit(&attacker.visitor, &next);
                }
                let page = attacker.visitor.browser.get(&next);
                form = forms(&next, &page.body).into_iter().find(|form| form.posts && form.action == next);
            }
        }
        panic!("no session of the demonstration takes a child of the guardian: {told:#?}");
    }

    /// The form as its page serves it now. Where the page is gone, the old form is what a second tab would send.
    pub(super) fn renewed(&mut self, role: usize, line: usize, old: &Form) -> Form {
        for again in [false, true] {
            if again && !is_step(line) {
                break;
            }
            if again {
                self.walk_again(role);
            }
            let answered = self.roles[role].visitor.browser.get(&old.page);
            let now = forms(&old.page, &answered.body);
            let is_same =
                |form: &Form| form.shape() == old.shape() && line_of(LINES[line].verb, &form.action) == Some(line);
            if let Some(form) = now.into_iter().find(is_same) {
                return form;
            }
        }
        old.clone()
    }

    fn walk_again(&mut self, role: usize) {
        let number = self.next_number();
        let attacker = &mut self.roles[role];
        attacker.visitor.renew();
        for (form, values) in &attacker.steps {
            let fresh = |(name, value): &(String, String)| match name.as_str() {
                "email" => (name.clone(), format!("larch{number}@example.org")),
                _ => (name.clone(), value.clone()),
            };
            attacker.visitor.send(form, &values.iter().map(fresh).collect::<Values>());
        }
    }

    /// The forms of this shape that a role holds.
    fn held(&self, role: usize, line: usize, shape: &str) -> Vec<Form> {
        let forms = self.roles[role].found.forms.get(&line).map_or(&[][..], Vec::as_slice);
        forms.iter().filter(|form| form.shape() == shape).cloned().collect()
    }

    /// One form of the shape as this role, with answers that the program takes if there are any.
    fn base(&mut self, role: usize, line: usize, shape: &str) -> Option<(usize, Form, Values)> {
        let mut last = None;
        for old in self.held(role, line, shape) {
            let form = self.renewed(role, line, &old);
            let number = self.next_number();
            let known = self.roles[role].steps.iter().find(|(step, _)| step.action == form.action);
            if let Some((_, values)) = known {
                return Some((role, form, values.clone()));
            }
            if LINES[line].verb == Verb::Get || ends_visit(line) || is_step(line) {
                let values = fill::guessed(&form, number);
                return Some((role, form, values));
            }
            let filled = fill::fill(&self.roles[role].visitor, &form, number);
            let (is_taken, said) = (filled.is_taken(), filled.said());
            if is_taken {
                self.restart(role, &form.action);
            }
            last = Some((role, form, filled.values));
            if is_taken {
                self.untaken.remove(&(line, shape.to_owned()));
                self.taken.insert((line, shape.to_owned()));
                break;
            }
            if !self.taken.contains(&(line, shape.to_owned())) {
                self.untaken.insert((line, shape.to_owned()), said);
            }
        }
        last
    }

    /// Every form that takes this line, each field with every value.
    pub fn attack_forms(&mut self, line: usize) {
        let mut shapes: Vec<String> = Vec::new();
        for form in self.roles.iter().filter_map(|attacker| attacker.found.forms.get(&line)).flatten() {
            if !shapes.contains(&form.shape()) {
                shapes.push(form.shape());
            }
        }
        // The child leaves last: after that nothing else is taken.
        shapes.sort_by_key(|shape| (shape.contains("act=outcome"), shape.contains("act=check_out")));
        for shape in shapes {
            self.attack_shape(line, &shape);
        }
    }

    fn attack_shape(&mut self, line: usize, shape: &str) {
        let bases: Vec<(usize, Form, Values)> =
            (0..self.roles.len()).filter_map(|role| self.base(role, line, shape)).collect();
        let Some((_, first, _)) = bases.first() else { return };
        let posts = first.posts;
        let mut fields: Vec<Field> = first.fields.iter().filter(|field| field.name != "form_token").cloned().collect();
        if !is_whole() {
            // A name that stands in several forms of one line is read in one place.
            fields.retain(|field| self.names.insert((line, field.name.clone())));
        }
        let stride = if is_whole() { 1 } else { (fields.len() / 4).max(3) };
        for (place, field) in fields.iter().enumerate() {
            for (class, value) in values_for(field, posts, stride, place) {
                self.each(&bases, |attack, (role, form, values)| {
                    attack.one_value(line, *role, form, values, field, (class, &value));
                });
            }
        }
        if is_whole() || self.lines.insert(line) {
            self.malformed_and_around(line, &bases, &fields);
        }
    }

    /// Every base in the whole run; one, in turn, in the fast one.
    pub fn each<T>(&mut self, bases: &[T], mut work: impl FnMut(&mut Self, &T)) {
        if is_whole() {
            bases.iter().for_each(|base| work(self, base));
        } else if let Some(base) = bases.get(self.turn % bases.len().max(1)) {
            work(self, base);
        }
        self.turn += 1;
    }

    fn one_value(
        &mut self,
        line: usize,
        role: usize,
        form: &Form,
        values: &Values,
        field: &Field,
        (class, value): (Class, &str),
    ) {
        let mut pairs: Values = values.iter().filter(|(name, _)| *name != field.name).cloned().collect();
        self.refresh(role, form, &mut pairs);
        pairs.push((field.name.clone(), value.to_owned()));
        self.judge.look_away();
        let answered = self.roles[role].visitor.send(form, &pairs);
        let place = if form.posts { Place::Field(field) } else { Place::Query(field) };
        self.judge.judge(&self.roles[role].visitor, &Sent { line, class, place, value }, &answered);
        self.after(line, role, &form.action, answered.status);
    }

    /// One-time ids and what the page was drawn from are taken anew, as the page would carry them.
    pub(super) fn refresh(&self, role: usize, form: &Form, pairs: &mut Values) {
        for (name, value) in pairs.iter_mut() {
            match name.as_str() {
                "act_id" => *value = self.house.act_id(),
                "revision" | "seen" => {
                    let answered = self.roles[role].visitor.browser.get(&form.page);
                    let now = forms(&form.page, &answered.body).into_iter().find(|other| other.action == form.action);
                    let drawn = now.and_then(|form| form.field(name)?.value.clone());
                    *value = drawn.unwrap_or_else(|| value.clone());
                }
                _ => {}
            }
        }
    }

    /// Signs in again where the request ended the visit; takes the steps again where the last one was done.
    pub fn after(&mut self, line: usize, role: usize, action: &str, status: u16) {
        if status == 401 || (status == 303 && ends_visit(line)) {
            self.roles[role].visitor.renew();
        } else if status == 303 && LINES[line].path == LAST_STEP {
            self.walk_again(role);
        } else if status == 303 {
            self.restart(role, action);
        }
    }

    fn malformed_and_around(&mut self, line: usize, bases: &[(usize, Form, Values)], fields: &[Field]) {
        let names: Vec<&str> = fields.iter().map(|field| field.name.as_str()).chain(["role"]).collect();
        for (at, pattern) in MALFORMED.iter().enumerate() {
            let pair = pattern.replace("{}", &escaped(names[at % names.len()]));
            self.each(bases, |attack, (role, form, values)| {
                let mut pairs = values.clone();
                attack.refresh(*role, form, &mut pairs);
                let name = names[at % names.len()];
                let others: Vec<(&str, &str)> =
                    pairs.iter().filter(|(other, _)| other != name).map(|(n, v)| (n.as_str(), v.as_str())).collect();
                attack.raw(line, *role, form, &format!("{}&{pair}", encoded(&others)), Class::Malformed, &pair);
            });
        }
        if !LINES[line].verb.eq(&Verb::Post) {
            return;
        }
        let all = if is_whole() { bases } else { &bases[self.turn % bases.len()..][..1] };
        // Forms in parts: `imports.rs` tells what becomes of their tokens.
        for (role, form, values) in all.iter().filter(|(_, form, _)| !form.in_parts) {
            self.tokens(line, *role, form, values);
        }
    }

    fn raw(&mut self, line: usize, role: usize, form: &Form, text: &str, class: Class, value: &str) {
        self.judge.look_away();
        let visitor = &self.roles[role].visitor;
        let answered = match form.posts {
            true => visitor.post_text(&form.action, text),
            false => visitor.browser.get(&format!("{}?{text}", form.action)),
        };
        self.judge.judge(visitor, &Sent { line, class, place: Place::Around, value }, &answered);
        self.after(line, role, &form.action, answered.status);
    }

    /// A token that is missing, empty, torn, or of somebody else; then fields that the form does not have.
    fn tokens(&mut self, line: usize, role: usize, form: &Form, values: &Values) {
        let mut pairs = values.clone();
        self.refresh(role, form, &mut pairs);
        let pairs: Vec<(&str, &str)> = pairs.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        let text = encoded(&pairs);
        let own = self.roles[role].visitor.token().to_owned();
        let other = self.roles[(role + 1) % self.roles.len()].visitor.token().to_owned();
        for token in ["", "x", &own[..own.len() / 2], &other] {
            self.judge.look_away();
            let visitor = &self.roles[role].visitor;
            let answered = visitor.post_bytes(&form.action, format!("form_token={token}&{text}").as_bytes());
            let sent = Sent { line, class: Class::Token, place: Place::Around, value: token };
            self.judge.judge(visitor, &sent, &answered);
        }
        let extra = "price=0&capacity=999&verified=1&guardian_id=1&created_at=2000-01-01&is_admin=true";
        self.raw(line, role, form, &format!("{text}&{extra}"), Class::Extra, extra);
        self.raw(line, role, form, &text, Class::Right, "the same form again");
    }
}

fn is_step(line: usize) -> bool {
    LINES[line].path.starts_with(STEPS)
}

/// Whether a request to this line ends the sign-in, or begins one.
pub fn ends_visit(line: usize) -> bool {
    ENDS_VISIT.contains(&LINES[line].path)
}

/// The values for a field. The fast run takes one of `stride`, other ones at each field.
fn values_for(field: &Field, posts: bool, stride: usize, place: usize) -> Vec<Value> {
    let all = match field.kind {
        Kind::Typed | Kind::Secret => corpus::typed(),
        Kind::Hidden | Kind::Chosen | Kind::Ticked => corpus::carried(),
    };
    let in_turn = |at: usize| (at + place).is_multiple_of(stride);
    let fits = |value: &str| posts || value.len() < LONGEST_IN_ADDRESS;
    all.into_iter().enumerate().filter(|(at, (_, value))| in_turn(*at) && fits(value)).map(|(_, value)| value).collect()
}
