//! Looks at every answer: is it one of those that may come, does it hold the reader's typing, did it change a row?

use std::collections::BTreeMap;
use std::fmt::Write;

use waymark::domain::words::Word;
use waymark::web::limits::Limit;
use waymark::web::routes::{LINES, Verb};

use super::corpus::Class;
use super::fill::faulty_fields;
use crate::house::app::TestApp;
use crate::house::armour;
use crate::house::browser::Answered;
use crate::house::changes::{Writes, changed};
use crate::house::crawl::Visitor;
use crate::house::forms::{Field, Kind, forms, tags};

/// Tables that a request may write though it is refused: the audit log, when a sign-in was last seen, the draft in which
/// the answers of a step are kept for the way back, and the count of wrong passwords.
const ALWAYS: [&str; 4] = ["audit_rows", "sign_ins", "drafts", "wrong_tries"];

/// What shows what it found under the form: names stand in no address, so that no 303 leads on.
const FINDS: &str = "/families";

/// Where a value was put.
#[derive(Clone, Copy)]
pub enum Place<'a> {
    /// Into a field of a form that is sent by POST.
    Field(&'a Field),
    /// Into a field that stands in the address.
    Query(&'a Field),
    /// Into the path.
    Path,
    /// Round the form: its token, its repetition, a field too many.
    Around,
}

/// One request.
pub struct Sent<'a> {
    pub line: usize,
    pub class: Class,
    pub place: Place<'a>,
    pub value: &'a str,
}

/// The judge, with what was seen so far.
pub struct Judge<'a> {
    house: &'a TestApp,
    writes: Writes,
    spread: BTreeMap<(Class, u16), usize>,
    pub asked: usize,
    pub faults: Vec<String>,
}

impl<'a> Judge<'a> {
    /// Begins to watch.
    pub fn new(house: &'a TestApp) -> Self {
        house.watch_changes();
        Self { house, writes: house.writes(), spread: BTreeMap::new(), asked: 0, faults: Vec::new() }
    }

    /// Takes what happened between two judged requests as given.
    pub fn look_away(&mut self) {
        self.writes = self.house.writes();
    }

    /// Judges the answer to one request of this visitor.
    pub fn judge(&mut self, visitor: &Visitor<'_>, sent: &Sent<'_>, answered: &Answered) {
        self.asked += 1;
        *self.spread.entry((sent.class, answered.status)).or_default() += 1;
        let line = &LINES[sent.line];
        let mut wrong: Vec<String> = armour::gaps(answered);
        let writes = self.house.writes();
        let touched: Vec<String> =
            changed(&self.writes, &writes).into_iter().filter(|table| !ALWAYS.contains(&table.as_str())).collect();
        self.writes = writes;
        if (answered.status >= 400 || line.verb == Verb::Get) && !touched.is_empty() {
            wrong.push(format!("it changed {touched:?}"));
        }
        match (visitor.may_use(line), answered.status) {
            (_, status) if status >= 500 => wrong.push("a fault of ours".into()),
            (false, 401 | 403 | 404 | 400) => {}
            (false, 303) if answered.location().starts_with("/sign-in") => {}
            (false, _) => wrong.push("the door is open".into()),
            // After fifty wrong passwords from one address the next one waits.
            (true, 429) if line.limit == Limit::SignIn => {}
            (true, 200) if line.path == FINDS => {}
            (true, status) if !may_come(line.verb, sent, status) => wrong.push("it should not be answered so".into()),
            (true, 422) => wrong.extend(unkind(sent, answered)),
            (true, 303) => wrong.extend(leads_away(answered.location())),
            _ => {}
        }
        for fault in wrong {
            let place = match sent.place {
                Place::Field(field) | Place::Query(field) => field.name.as_str(),
                Place::Path => "(path)",
                Place::Around => "(form)",
            };
            let value: String = sent.value.chars().take(60).collect();
            let (verb, role, class, status) = (line.verb.as_str(), visitor.role.as_str(), sent.class, answered.status);
            self.faults
                .push(format!("{verb} {} {place} as {role}, {class:?} {value:?} -> {status}: {fault}", line.path));
        }
    }

    /// The answers by class and status, as a table.
    pub fn spread(&self) -> String {
        let mut statuses: Vec<u16> = self.spread.keys().map(|(_, status)| *status).collect();
        statuses.sort_unstable();
        statuses.dedup();
        let mut classes: Vec<Class> = self.spread.keys().map(|(class, _)| *class).collect();
        classes.dedup();
        let mut text = format!("{:10}", "");
        statuses.iter().for_each(|status| write!(text, "{status:>8}").expect("a String takes everything"));
        for class in classes {
            write!(text, "\n{:10}", format!("{class:?}")).expect("a String takes everything");
            for status in &statuses {
                let count = self.spread.get(&(class, *status)).map_or_else(String::new, ToString::to_string);
                write!(text, "{count:>8}").expect("a String takes everything");
            }
        }
        text
    }
}

/// The answers that may come, by what was sent where.
fn may_come(verb: Verb, sent: &Sent<'_>, status: u16) -> bool {
    let is_huge = sent.class == Class::Huge && matches!(status, 413 | 414);
    let expected: &[u16] = match (sent.class, sent.place) {
        (Class::Malformed, _) => &[400],
        (Class::Token, _) => &[403],
        // A code is typed from a paper, and a rule may look at the form before it looks for the thing.
        (_, Place::Path) => &[400, 403, 404, 409, 422],
        (Class::Right | Class::Extra, _) => &[200, 303, 409, 422, 404],
        (_, Place::Query(_)) if verb == Verb::Get => &[200, 303, 400, 403, 404, 422],
        (_, Place::Field(field)) if matches!(field.kind, Kind::Typed | Kind::Secret) => &[303, 409, 422],
        _ => &[303, 400, 404, 409, 422],
    };
    is_huge || expected.contains(&status)
}

/// Whether a way leaves the site, whatever a browser makes of it.
fn leads_away(location: &str) -> Option<String> {
    let stays =
        location.starts_with('/') && !location.starts_with("//") && !location.contains(['\\', '\r', '\n', '\t']);
    (!stays).then(|| format!("it leads to {location:?}"))
}

/// What a page that comes back lacks: a summary that leads to the words at each field, and what was typed. A page of
/// its own, without the form, says why and leads on.
fn unkind(sent: &Sent<'_>, answered: &Answered) -> Vec<String> {
    let mut lacks = Vec::new();
    let all = tags(&answered.body);
    let is_whole_page = !all.iter().any(|tag| tag.name == "form" && tag.get("action") != Some("/sign-out"));
    if is_whole_page {
        let leads_on =
            all.iter().any(|tag| tag.name == "a" && tag.get("class").is_some_and(|class| class.starts_with("button")));
        return if leads_on { lacks } else { vec!["a page that says no and leads nowhere".into()] };
    }
    let has_summary = all.iter().any(|tag| tag.get("role") == Some("alert") && tag.get("class") == Some("errors"));
    if !has_summary {
        lacks.push("no summary of what is wrong".into());
    }
    for name in faulty_fields(answered) {
        let leads_there = all.iter().any(|tag| tag.name == "a" && tag.get("href") == Some(&format!("#{name}")));
        let is_there = all.iter().any(|tag| tag.get("id") == Some(&name));
        if !leads_there || !is_there {
            lacks.push(format!("the summary does not lead to {name}"));
        }
    }
    let (Place::Field(field) | Place::Query(field)) = sent.place else { return lacks };
    if field.kind == Kind::Typed && !keeps(field, sent.value, answered) {
        lacks.push("what was typed is gone".into());
    }
    // A file is kept as secret as a password by what fills forms; its page may say the same words elsewhere.
    let is_password = field.kind == Kind::Secret && field.name != "file";
    if is_password && sent.value.trim().len() > 8 && answered.body.contains(sent.value) {
        lacks.push("a secret comes back".into());
    }
    lacks
}

/// Whether a form of the page still holds what was typed. A browser writes one kind of line end.
fn keeps(field: &Field, value: &str, answered: &Answered) -> bool {
    let plain = |text: &str| text.replace("\r\n", "\n").trim().to_owned();
    let forms = forms("", &answered.body);
    let held = forms.iter().filter_map(|form| form.field(&field.name)).filter_map(|field| field.value.as_deref());
    held.map(plain).any(|held| held == plain(value)) || plain(value).is_empty()
}
