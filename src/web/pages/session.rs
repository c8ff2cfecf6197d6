//! Sessions as anybody may see them: the list with its filter, and one session. Shows no name of a person.

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::App;
use crate::services::browse::{self, Announced, Wanted};
use crate::web::answer::{Answer, shown, shown_again};
use crate::web::entry::{self, Badge, Entry};
use crate::web::form::{Asked, FieldErrors};
use crate::web::page::{Choice, Page};
use crate::web::{blocking, context};

/// The filter as the address carries it.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Filter {
    county: String,
    age: String,
    taught: String,
}

impl Filter {
    fn wanted(&self) -> Wanted {
        let county = self.county.trim();
        Wanted {
            county: (!county.is_empty()).then(|| county.to_owned()),
            age: self.age.trim().parse().ok(),
            language: Lang::parse(&self.taught),
        }
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
    if wanted.age.is_none() && !filter.age.trim().is_empty() {
        errors.add("age", language::say(lang, "form-not-a-number", &[("example", "8".into())]));
    }
    let coming = blocking(&app, move |app| browse::coming(app, &wanted)).await?;
    let page = context::page(&request, "sessions-title").with_errors(errors.len());
    let languages = Lang::ALL.iter().map(|lang| Choice::new(lang.as_str(), entry::language_name(&page, *lang)));
    let is_usable = errors.is_empty();
    let index = Index {
        counties: coming.counties.iter().map(|(code, name)| Choice::new(code, name)).collect(),
        languages: languages.collect(),
        entries: coming.sessions.iter().map(|one| Entry::new(&page, one)).collect(),
        found: found(&page, &coming.sessions),
        any: !coming.counties.is_empty(),
        filter,
        errors,
        page,
    };
    if is_usable { shown(&index) } else { shown_again(&index) }
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
