//! The drafts of the books of rules: begun so that their forms can be attacked, and begun again where an attack ended one.

use waymark::domain::access::Role;
use waymark::web::routes::{LINES, Verb};

use super::attack::Attack;
use super::fill;
use crate::house::crawl::line_of;
use crate::house::forms::{Form, Kind, forms};

/// Below the address of a book: its draft.
const DRAFT: &str = "/draft";
/// Other values of a setting: words, a number, a length.
const OTHER: [&str; 3] = ["Alder Flat", "8", "8 in"];
/// What ends a draft.
const ENDS: [&str; 2] = ["/draft/discard", "/draft/publish"];
/// What takes parts out of a draft.
const SHORTENS: [&str; 4] = ["/draft/arrange", "/draft/points", "/draft/clauses", "/draft/undo"];

/// Lines that end a draft come after those that shorten it, and both after all that needs it whole.
pub fn rank(line: usize) -> u8 {
    let path = LINES[line].path;
    match path {
        _ if LINES[line].verb == Verb::Get => 0,
        _ if ENDS.iter().any(|end| path.ends_with(end)) => 2,
        _ if SHORTENS.iter().any(|end| path.ends_with(end)) => 1,
        _ => 0,
    }
}

impl Attack<'_> {
    /// Begins a draft of every book anew as the administrator, makes one text a new version, and looks at what that opens.
    pub fn begin_drafts(&mut self) {
        let Some(role) = self.roles.iter().position(|one| one.visitor.role == Role::Administrator) else { return };
        let unfinished: Vec<Form> = self.forms_to(role, "/draft/discard");
        for form in unfinished {
            self.send_as(role, &form);
            self.visit_as(role, page_of(form.action.trim_end_matches("/draft/discard")));
        }
        let mut begun: Vec<String> = Vec::new();
        for form in self.forms_to(role, DRAFT) {
            if !begun.contains(&form.action) {
                self.send_as(role, &form);
                begun.push(form.action);
            }
        }
        for draft in &begun {
            self.change(role, draft);
            self.visit_as(role, draft);
            self.visit_as(role, &format!("{draft}/publish"));
        }
        let texts: Vec<Form> = self.forms_to(role, "/draft/publish").into_iter().filter(of_consents).collect();
        let text = texts.first().expect("a draft of a text can be made its next version");
        self.send_as(role, text);
        self.restart(role, &text.action);
    }

    /// Begins the draft again that `action` has ended.
    pub fn restart(&mut self, role: usize, action: &str) {
        let Some(book) = ENDS.iter().find_map(|end| action.strip_suffix(end)) else { return };
        let page = page_of(book);
        let draft = format!("{book}{DRAFT}");
        let answered = self.roles[role].visitor.browser.get(page);
        let start = forms(page, &answered.body).into_iter().find(|form| form.posts && form.action == draft);
        if let Some(start) = start {
            let visitor = &self.roles[role].visitor;
            visitor.send(&start, &fill::guessed(&start, 0));
        }
    }

    /// Changes one thing in a draft, so that there is something to take back.
    fn change(&mut self, role: usize, draft: &str) {
        let (below, attacker) = (format!("{draft}/settings/"), &self.roles[role]);
        let pages = attacker.found.links().iter().filter(|link| link.starts_with(&below));
        let forms = pages.flat_map(|page| forms(page, &attacker.visitor.browser.get(page).body));
        let settings: Vec<Form> = forms.filter(|form| form.action.starts_with(&below)).collect();
        for (form, other) in settings.iter().flat_map(|form| OTHER.map(|other| (form, other))) {
            let mut values = fill::guessed(form, 0);
            let is_typed = |name: &str| form.field(name).is_some_and(|field| field.kind == Kind::Typed);
            values.iter_mut().filter(|(name, _)| is_typed(name)).for_each(|(_, value)| *value = other.to_owned());
            self.refresh(role, form, &mut values);
            if self.roles[role].visitor.send(form, &values).status == 303 {
                return;
            }
        }
        panic!("no setting of {draft} takes any of {OTHER:?}");
    }

    fn forms_to(&self, role: usize, end: &str) -> Vec<Form> {
        let found = &self.roles[role].found.forms;
        let fits = |line: &usize| LINES[*line].verb == Verb::Post && LINES[*line].path.ends_with(end);
        found.iter().filter(|(line, _)| fits(line)).flat_map(|(_, forms)| forms).cloned().collect()
    }

    fn send_as(&mut self, role: usize, form: &Form) {
        let line = line_of(Verb::Post, &form.action).expect("a line of the table");
        let form = self.renewed(role, line, form);
        let attacker = &mut self.roles[role];
        let filled = fill::fill(&attacker.visitor, &form, 0);
        assert_eq!(filled.answered.status, 303, "{}: {}", form.action, filled.said());
        let next = filled.answered.location().to_owned();
        attacker.found.visit(&attacker.visitor, &next);
    }

    fn visit_as(&mut self, role: usize, address: &str) {
        let attacker = &mut self.roles[role];
        attacker.found.visit(&attacker.visitor, address);
    }

    /// Opens what links lead to in the parts of the house where a form was not found yet: one page in many has it.
    pub fn go_deeper(&mut self) {
        for line in (0..LINES.len()).filter(|line| LINES[*line].verb == Verb::Post) {
            let part = LINES[line].path.split('{').next().unwrap_or_default();
            for role in 0..self.roles.len() {
                let attacker = &mut self.roles[role];
                if part.is_empty() || !attacker.visitor.may_use(&LINES[line]) {
                    continue;
                }
                let links: Vec<String> =
                    attacker.found.links().iter().filter(|link| link.starts_with(part)).cloned().collect();
                for link in links {
                    if self.roles.iter().any(|one| one.found.forms.contains_key(&line)) {
                        break;
                    }
                    let Some(get) = line_of(Verb::Get, &link) else { continue };
                    let attacker = &mut self.roles[role];
                    if attacker.visitor.may_use(&LINES[get]) && attacker.found.is_new(get, &link) {
                        attacker.found.visit(&attacker.visitor, &link);
                    }
                }
            }
        }
    }
}

/// The page that has the button to begin a draft of a book.
fn page_of(book: &str) -> &str {
    if book.starts_with("/consents") { "/consents" } else { book }
}

fn of_consents(form: &Form) -> bool {
    form.action.starts_with("/consents/")
}
