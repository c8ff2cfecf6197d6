//! Sessions as anybody may see them: the list with its filter, and one session. Shows no name of a person.

pub mod feed;

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::{Datelike, NaiveDate};
use serde::Deserialize;

use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::App;
use crate::services::browse::{self, Announced, Wanted};
use crate::web::answer::{Answer, shown, shown_again};
use crate::web::entry::{self, Badge, Entry};
use crate::web::form::{Asked, FieldErrors};
use crate::web::page::{Choice, Page};
use crate::web::{blocking, context, links};

/// The filter as the address carries it.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Filter {
    county: String,
    age: String,
    taught: String,
    month: String,
    seats: String,
    /// The language of a file's words; pages have their own.
    words: String,
}

impl Filter {
    fn wanted(&self) -> Wanted {
        let county = self.county.trim();
        Wanted {
            county: (!county.is_empty()).then(|| county.to_owned()),
            age: self.age.trim().parse().ok(),
            language: Lang::parse(&self.taught),
            month: self.month(),
            with_seats: !self.seats.is_empty(),
        }
    }

    /// As in `2026-06`.
    fn month(&self) -> Option<NaiveDate> {
        format!("{}-01", self.month.trim()).parse().ok()
    }

    /// The fields that cannot be read, each with the message that says what can.
    fn faults(&self) -> Vec<(&'static str, &'static str)> {
        let mut faults = Vec::new();
        if self.wanted().age.is_none() && !self.age.trim().is_empty() {
            faults.push(("age", "form-not-a-number"));
        }
        if self.month().is_none() && !self.month.trim().is_empty() {
            faults.push(("month", "sessions-not-a-month"));
        }
        faults
    }

    /// The same search as a file of this kind.
    fn file(&self, name: &str, lang: Lang) -> String {
        let parts = [
            ("county", self.county.trim()),
            ("age", self.age.trim()),
            ("taught", &self.taught),
            ("month", self.month.trim()),
            ("seats", &self.seats),
            ("words", if name.ends_with("ics") { lang.as_str() } else { "" }),
        ];
        let asked = parts.iter().filter(|(_, value)| !value.is_empty());
        let query =
            asked.map(|(name, value)| format!("{name}={}", links::encoded(value))).collect::<Vec<_>>().join("&");
        if query.is_empty() { name.to_owned() } else { format!("{name}?{query}") }
    }
}

#[derive(Template)]
#[template(path = "session/index.html")]
struct Index {
    page: Page,
    filter: Filter,
    errors: FieldErrors,
    counties: Vec<Choice>,
    languages: Vec<Choice>,
    months: Vec<Choice>,
    calendar: String,
    json: String,
    entries: Vec<Entry>,
    found: String,
    /// Whether there is any session at all.
    any: bool,
}

/// The list, by county, age and language.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asked(filter): Asked<Filter>) -> Answer {
    let wanted = filter.wanted();
    let lang = context::lang(&request);
    let mut errors = FieldErrors::default();
    for (field, message) in filter.faults() {
        errors.add(field, language::say(lang, message, &[("example", "8".into())]));
    }
    let coming = blocking(&app, move |app| browse::coming(app, &wanted)).await?;
    let page = context::page(&request, "sessions-title").with_errors(errors.len());
    let languages = Lang::ALL.iter().map(|lang| Choice::new(lang.as_str(), entry::language_name(&page, *lang)));
    let is_usable = errors.is_empty();
    let index = Index {
        counties: coming.counties.iter().map(|(code, name)| Choice::new(code, name)).collect(),
        languages: languages.collect(),
        months: coming.months.iter().map(|month| month_choice(lang, *month)).collect(),
        calendar: filter.file("/sessions/calendar.ics", lang),
        json: filter.file("/sessions/sessions.json", lang),
        entries: coming.sessions.iter().map(|one| Entry::new(&page, one)).collect(),
        found: found(&page, &coming.sessions),
        any: !coming.counties.is_empty(),
        filter,
        errors,
        page,
    };
    if is_usable { shown(&index) } else { shown_again(&index) }
}

/// "June 2026".
fn month_choice(lang: Lang, month: NaiveDate) -> Choice {
    let name = language::month_name(lang, month.month());
    let words =
        language::say(lang, "sessions-month-of", &[("month", name.into()), ("year", month.year().to_string().into())]);
    Choice::new(month.format("%Y-%m"), words)
}

/// "7 sessions, June 13, 2026 to August 15, 2026".
fn found(page: &Page, sessions: &[Announced]) -> String {
    let (Some(first), Some(last)) = (sessions.first(), sessions.last()) else {
        return page.n("sessions-found", 0);
    };
    let day = |one: &Announced| language::date_short(page.lang, one.held_on);
    let span = match first.held_on == last.held_on {
        true => day(first),
        false => page.t2("sessions-span", "from", day(first), "to", day(last)),
    };
    page.n1("sessions-found-span", sessions.len(), "span", span)
}

#[derive(Template)]
#[template(path = "session/show.html")]
struct Show {
    page: Page,
    session: Announced,
    course: String,
    when: Vec<String>,
    ages: String,
    language: String,
    badge: Badge,
    county: String,
    bring: Vec<String>,
    place_words: String,
    caution: String,
    source: String,
}

/// One session: when, where, for whom, what is left and what to know before.
pub async fn show(request: HttpRequest, app: web::Data<App>, reference: web::Path<String>) -> Answer {
    let (session, caution) = blocking(&app, move |app| browse::show(app, &reference)).await?;
    let page = context::page(&request, "sessions-title");
    let lang = page.lang;
    let title = format!("{}, {}", session.site, language::date_short(page.lang, session.held_on));
    let page = page.with_title(title).with_caution_words(caution.in_lang(lang));
    shown(&Show {
        course: session.title(page.lang).to_owned(),
        when: entry::when(&page, &session),
        ages: entry::ages(&page, &session),
        language: entry::language_name(&page, session.language),
        badge: entry::badge(&page, &session),
        county: page.t1("session-county", "county", &session.county),
        bring: (1..=5).map(|number| page.t(&format!("session-bring-{number}"))).collect(),
        place_words: entry::place_words(&page, &session),
        caution: caution.in_lang(page.lang).to_owned(),
        source: caution.source.unwrap_or_default(),
        session,
        page,
    })
}
