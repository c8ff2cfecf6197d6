//! Sessions as anybody may see them: the list or map with its filter, and one session. Shows no name of a person.

pub mod feed;
mod filter;
mod map;

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::{Datelike, NaiveDate};

use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::App;
use crate::services::browse::{self, Announced, Near, NearCounty, Order, REACHES};
use crate::web::answer::{Answer, shown, shown_again};
use crate::web::entry::{self, Badge, Entry};
use crate::web::form::{Asked, FieldErrors};
use crate::web::page::{Choice, Page};
use crate::web::{blocking, context, headers};

pub use filter::Filter;
use filter::View;
use map::MapView;

#[derive(Template)]
#[template(path = "session/index.html")]
struct Index {
    page: Page,
    filter: Filter,
    errors: FieldErrors,
    homes: Vec<NearCounty>,
    reaches: Vec<Choice>,
    counties: Vec<Choice>,
    languages: Vec<Choice>,
    months: Vec<Choice>,
    calendar: String,
    json: String,
    entries: Vec<Entry>,
    found: String,
    /// Whether there is any session at all.
    any: bool,
    /// The name of the county from which distances are told.
    from: Option<String>,
    /// The sessions by county, and the map of them when it is asked for.
    map: Option<MapView>,
}

impl Index {
    /// The same search with one answer otherwise.
    fn with(&self, name: &str, value: &str) -> String {
        self.filter.at("/sessions", &[(name, value)])
    }

    fn is_map(&self) -> bool {
        self.filter.view() == View::Map
    }

    fn is_by_distance(&self) -> bool {
        self.filter.order() == Order::Distance
    }
}

/// The list or the map, by county, distance, age, language and month.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asked(filter): Asked<Filter>) -> Answer {
    let wanted = filter.wanted();
    let lang = context::lang(&request);
    let mut errors = FieldErrors::default();
    for (field, message) in filter.faults() {
        errors.add(field, language::say(lang, message, &[("example", "8".into())]));
    }
    let coming = blocking(&app, move |app| browse::coming(app, &wanted)).await?;
    if coming.near == Near::Unknown {
        errors.add("near", language::say(lang, "sessions-not-a-county", &[]));
    }
    let page = context::page(&request, "sessions-title").with_errors(errors.len());
    let languages = Lang::ALL.iter().map(|lang| Choice::new(lang.as_str(), entry::language_name(&page, *lang)));
    let is_usable = errors.is_empty();
    let reach = |miles: i64| Choice::new(miles, page.t1("sessions-miles", "miles", miles));
    let is_map = is_usable && filter.view() == View::Map;
    let index = Index {
        reaches: REACHES.into_iter().map(reach).collect(),
        counties: coming.counties.iter().map(|(code, name)| Choice::new(code, name)).collect(),
        languages: languages.collect(),
        months: coming.months.iter().map(|month| month_choice(lang, *month)).collect(),
        calendar: filter.at("/sessions/calendar.ics", &[("view", ""), ("words", lang.as_str())]),
        json: filter.at("/sessions/sessions.json", &[("view", ""), ("words", "")]),
        entries: coming.sessions.iter().map(|one| Entry::new(&page, one)).collect(),
        found: found(&page, &coming.sessions),
        any: !coming.counties.is_empty(),
        map: is_map.then(|| MapView::of(&page, &coming, &filter)),
        from: if let Near::From(home) = coming.near { Some(home.name) } else { None },
        homes: coming.homes,
        filter,
        errors,
        page,
    };
    let mut answer = if is_usable { shown(&index) } else { shown_again(&index) }?;
    headers::let_the_page_ask_where_it_is(answer.headers_mut());
    Ok(answer)
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
    let days = || sessions.iter().map(|one| one.held_on);
    let (Some(first), Some(last)) = (days().min(), days().max()) else {
        return page.n("sessions-found", 0);
    };
    let day = |day: NaiveDate| language::date_short(page.lang, day);
    let span = match first == last {
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
