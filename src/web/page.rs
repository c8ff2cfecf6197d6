//! What every page carries round its content: language, title, ways to go, help, tokens and words.
//! Built from plain values; asks no database, reads no request and decides no rule.

use std::fmt::Display;
use std::sync::Arc;

use crate::domain::cautions::{CautionKey, Cautions};
use crate::domain::words::{Lang, Word};
use crate::language::{self, Value};

/// One way to go in the page's head.
#[derive(Debug, Clone)]
pub struct NavItem {
    /// Words of the link, already in the page's language.
    pub label: String,
    /// Where it leads, a path of this site.
    pub href: String,
    /// Whether the page is this place or lies below it.
    pub current: bool,
}

/// How the program presents itself: the head of each page and the help at its foot.
#[derive(Debug, Clone, Default)]
pub struct ProgramFace {
    /// The program's name, shown as the brand and at the end of each title.
    pub name: String,
    /// The office's phone as people write it.
    pub phone: String,
    /// The same number as a `tel:` address.
    pub phone_href: String,
    /// The office's e-mail address.
    pub email: String,
    /// When someone answers, in the page's language.
    pub hours: String,
}

/// The colors a reader chose; `System` leaves the choice to the device.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Scheme {
    #[default]
    System,
    Light,
    Dark,
    Sun,
}

impl Scheme {
    /// Every scheme, in the order in which a page offers them.
    pub const ALL: [Scheme; 4] = [Scheme::System, Scheme::Light, Scheme::Dark, Scheme::Sun];

    /// The word used in addresses, cookies and the `data-scheme` attribute.
    pub fn as_str(self) -> &'static str {
        match self {
            Scheme::System => "system",
            Scheme::Light => "light",
            Scheme::Dark => "dark",
            Scheme::Sun => "sun",
        }
    }

    /// The scheme of that word, if there is one.
    pub fn parse(word: &str) -> Option<Scheme> {
        Scheme::ALL.into_iter().find(|scheme| scheme.as_str() == word)
    }
}

/// What one request fixes for whichever page answers it.
#[derive(Clone)]
pub struct Frame {
    /// The language of the page.
    pub lang: Lang,
    /// The path asked for, with its query, for links that come back here.
    pub path: String,
    /// The main ways to go for this reader.
    pub nav: Vec<NavItem>,
    /// Whether the program runs as a demonstration.
    pub demo: bool,
    /// The sign-in's form token; empty when nobody is signed in.
    pub form_token: String,
    /// The name of the person signed in.
    pub signed_in: Option<String>,
    /// For how many minutes without use the sign-in surely goes on; none when nobody is signed in.
    pub idle_minutes: Option<i64>,
    /// The program behind the page.
    pub program: ProgramFace,
    /// The cautions that hold today; none before the program is seeded.
    pub cautions: Option<Arc<Cautions>>,
    /// The colors chosen.
    pub scheme: Scheme,
    /// The address of a file under `templates/static`, with its fingerprint.
    pub asset: fn(&str) -> String,
}

/// Something that must be seen on every page of a session: a word, a shape, then a color.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Alarm {
    /// The class that gives the color: `stop` or `watch`.
    pub kind: &'static str,
    /// A symbol of parts/shapes.html.
    pub shape: &'static str,
    /// What is wrong, in a few words.
    pub title: String,
    /// What to do.
    pub words: String,
    /// Where it is done.
    pub href: String,
    /// The words of the way there.
    pub way: &'static str,
}

/// The frame and words of one page. A template names it `page`.
#[derive(Clone)]
pub struct Page {
    pub title: String,
    pub lang: Lang,
    pub path: String,
    pub nav: Vec<NavItem>,
    pub demo: bool,
    /// Whether the page is used on the field: bigger targets, `css/field.css`.
    pub field: bool,
    /// How many answers of a form cannot be used.
    pub errors: usize,
    pub form_token: String,
    pub signed_in: Option<String>,
    /// For how many minutes without use the sign-in surely goes on; none when nobody is signed in.
    pub idle_minutes: Option<i64>,
    pub program: ProgramFace,
    pub scheme: Scheme,
    /// The caution that ends the page.
    pub caution: String,
    /// What must be seen first, on the pages of a session.
    pub alarms: Vec<Alarm>,
    cautions: Option<Arc<Cautions>>,
    asset: fn(&str) -> String,
}

/// The same page in the other language.
pub struct OtherLanguage {
    pub code: &'static str,
    pub name: &'static str,
    pub href: String,
}

/// One answer a reader may choose in a form.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Choice {
    /// What the form sends.
    pub value: String,
    /// What the reader sees.
    pub label: String,
    /// A second line, or empty.
    pub hint: String,
}

impl Choice {
    /// A choice without a second line.
    pub fn new(value: impl Display, label: impl Into<String>) -> Choice {
        Choice { value: value.to_string(), label: label.into(), hint: String::new() }
    }

    /// The same choice with a second line.
    pub fn with_hint(self, hint: impl Into<String>) -> Choice {
        Choice { hint: hint.into(), ..self }
    }
}

impl Page {
    /// A page whose title is the message `key`.
    pub fn new(frame: &Frame, key: &str) -> Page {
        Page::titled(frame, language::say(frame.lang, key, &[]))
    }

    /// A page with a title made by the caller: a name in it, or a staff page in English.
    pub fn titled(frame: &Frame, title: impl Into<String>) -> Page {
        let page = Page {
            title: title.into(),
            lang: frame.lang,
            path: frame.path.clone(),
            nav: frame.nav.clone(),
            demo: frame.demo,
            field: false,
            errors: 0,
            form_token: frame.form_token.clone(),
            signed_in: frame.signed_in.clone(),
            idle_minutes: frame.idle_minutes,
            program: frame.program.clone(),
            scheme: frame.scheme,
            caution: language::say(frame.lang, "layout-caution", &[]),
            alarms: Vec::new(),
            cautions: frame.cautions.clone(),
            asset: frame.asset,
        };
        page.with_caution(CautionKey::Riding)
    }

    /// The same page with the caution of its kind at its foot, as it holds today.
    pub fn with_caution(self, key: CautionKey) -> Page {
        match &self.cautions {
            Some(cautions) => Page { caution: cautions.of(key).in_lang(self.lang).to_owned(), ..self },
            None => self,
        }
    }

    /// The same page with the words of a caution of an earlier day: a session keeps those it was announced with.
    pub fn with_caution_words(self, words: impl Into<String>) -> Page {
        Page { caution: words.into(), ..self }
    }

    /// The same page with what must be seen first.
    pub fn with_alarms(self, alarms: Vec<Alarm>) -> Page {
        Page { alarms, ..self }
    }

    /// The same page under another title.
    pub fn with_title(self, title: impl Into<String>) -> Page {
        Page { title: title.into(), ..self }
    }

    /// The same page, drawn again because `errors` answers cannot be used.
    pub fn with_errors(self, errors: usize) -> Page {
        Page { errors, ..self }
    }

    /// The same page with ways to go of its own, as the pages of one session have.
    pub fn with_nav(self, nav: Vec<NavItem>) -> Page {
        Page { nav, ..self }
    }

    /// The same page for the field: bigger targets, 7:1 text.
    pub fn for_field(self) -> Page {
        Page { field: true, ..self }
    }

    /// The same page in a language: English for staff pages, whose words stand in their templates.
    pub fn in_language(self, lang: Lang) -> Page {
        Page { lang, ..self }
    }

    /// The message `key`.
    pub fn t(&self, key: &str) -> String {
        language::say(self.lang, key, &[])
    }

    /// The message `key` with one value.
    pub fn t1(&self, key: &str, name: &str, value: impl Display) -> String {
        language::say(self.lang, key, &[(name, Value::from(value.to_string()))])
    }

    /// The message `key` with two values.
    pub fn t2(&self, key: &str, name: &str, value: impl Display, other_name: &str, other: impl Display) -> String {
        let values = [(name, Value::from(value.to_string())), (other_name, Value::from(other.to_string()))];
        language::say(self.lang, key, &values)
    }

    /// The message `key` with three values.
    #[expect(clippy::too_many_arguments, reason = "name and value in turn read best in a template")]
    pub fn t3(
        &self,
        key: &str,
        name: &str,
        value: impl Display,
        second_name: &str,
        second: impl Display,
        third_name: &str,
        third: impl Display,
    ) -> String {
        let values = [
            (name, Value::from(value.to_string())),
            (second_name, Value::from(second.to_string())),
            (third_name, Value::from(third.to_string())),
        ];
        language::say(self.lang, key, &values)
    }

    /// The message `key` in the plural form of its value `count`.
    pub fn n(&self, key: &str, count: impl Copy + TryInto<i64>) -> String {
        language::say(self.lang, key, &[("count", counted(count))])
    }

    /// The message `key` in the plural form of `count`, with one more value.
    pub fn n1(&self, key: &str, count: impl Copy + TryInto<i64>, name: &str, value: impl Display) -> String {
        language::say(self.lang, key, &[("count", counted(count)), (name, Value::from(value.to_string()))])
    }

    /// The page's language as the `lang` attribute writes it.
    pub fn lang_code(&self) -> &'static str {
        self.lang.as_str()
    }

    /// The text of the title element; it begins with the error mark when answers cannot be used.
    pub fn head_title(&self) -> String {
        let title = format!("{} · {}", self.title, self.program.name);
        if self.has_errors() { self.t1("layout-error-title", "title", title) } else { title }
    }

    /// Whether answers of the page's form cannot be used.
    pub fn has_errors(&self) -> bool {
        self.errors > 0
    }

    /// The main ways to go.
    pub fn nav(&self) -> &[NavItem] {
        &self.nav
    }

    /// Whether the program runs as a demonstration.
    pub fn demo(&self) -> bool {
        self.demo
    }

    /// The name of the person signed in.
    pub fn signed_in(&self) -> Option<&str> {
        self.signed_in.as_deref()
    }

    /// What must be seen first.
    pub fn alarms(&self) -> &[Alarm] {
        &self.alarms
    }

    /// The caution at the page's foot.
    pub fn caution(&self) -> &str {
        &self.caution
    }

    /// The office's phone as people write it.
    pub fn office_phone(&self) -> &str {
        &self.program.phone
    }

    /// The office's phone as a `tel:` address.
    pub fn office_phone_href(&self) -> &str {
        &self.program.phone_href
    }

    /// The office's e-mail address.
    pub fn office_email(&self) -> &str {
        &self.program.email
    }

    /// When someone answers at the office.
    pub fn office_hours(&self) -> &str {
        &self.program.hours
    }

    /// The address of a file under `templates/static`, with its fingerprint.
    pub fn asset(&self, name: &str) -> String {
        (self.asset)(name)
    }

    /// The same page in the language it is not in.
    pub fn other_language(&self) -> OtherLanguage {
        let other = match self.lang {
            Lang::En => Lang::Es,
            Lang::Es => Lang::En,
        };
        OtherLanguage {
            code: other.as_str(),
            name: language::own_name(other),
            href: with_answer(&self.path, "lang", other.as_str()),
        }
    }

    /// The color schemes on offer, as links that come back to this page.
    pub fn schemes(&self) -> Vec<NavItem> {
        let link = |scheme: Scheme| NavItem {
            label: self.t(&format!("layout-scheme-{}", scheme.as_str())),
            href: with_answer(&self.path, "scheme", scheme.as_str()),
            current: scheme == self.scheme,
        };
        Scheme::ALL.into_iter().map(link).collect()
    }

    /// The months as choices: number and name.
    pub fn months(&self) -> Vec<Choice> {
        let choice = |month: u32| Choice::new(month, format!("{month:02} {}", language::month_name(self.lang, month)));
        (1..=12).map(choice).collect()
    }
}

/// A number as a message value. One too large for the type still reads as "many".
fn counted(count: impl TryInto<i64>) -> Value<'static> {
    Value::from(count.try_into().unwrap_or(i64::MAX))
}

/// `path` with the query answer `name=word`, in place of any earlier answer of that name.
fn with_answer(path: &str, name: &str, word: &str) -> String {
    let (place, query) = path.split_once('?').unwrap_or((path, ""));
    let kept = query.split('&').filter(|pair| !pair.is_empty() && pair.split('=').next() != Some(name));
    let answers: Vec<&str> = kept.collect();
    let before = if answers.is_empty() { String::new() } else { format!("{}&", answers.join("&")) };
    format!("{place}?{before}{name}={word}")
}

#[cfg(test)]
mod tests;
