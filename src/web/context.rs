//! What each page needs to know about its request: language, colors, ways to go, form token, the program's face.
//!
//! Everything here is read from the request and from memory; only renewing the face asks the database.

use std::sync::{Arc, PoisonError, RwLock};

use actix_web::http::Method;
use actix_web::http::header;
use actix_web::{HttpMessage, HttpRequest, HttpResponse, web};
use chrono::NaiveDate;
use tracing_actix_web::RequestId;

use crate::domain::access::Caller;
use crate::domain::cautions::Cautions;
use crate::domain::sign_in::lasting;
use crate::domain::words::{Lang, Phone, Word};
use crate::language;
use crate::services::App;
use crate::services::program::{self, Program};
use crate::services::sign_in::Token;

use super::answer::{Answer, Trouble, go};
use super::caller::{self, Choice, Cookies, NewVisit, Visit};
use super::page::{Frame, NavItem, Page, ProgramFace, Scheme};
use super::{assets, csrf, links, routes};

/// The program and its cautions, kept in memory for the head and foot of every page.
#[derive(Default)]
pub struct Face(RwLock<(Option<Program>, Vec<Version>)>);

/// The cautions that hold from a day on.
type Version = (NaiveDate, Arc<Cautions>);

impl Face {
    /// Reads the face anew: at the start, and after an administrator changed the program or its cautions. Before
    /// `waymark seed` there is no program, and pages go without its name.
    pub fn renew(&self, app: &App) {
        let read = (program::find(app).ok(), program::cautions(app).unwrap_or_default());
        *self.0.write().unwrap_or_else(PoisonError::into_inner) = read;
    }

    fn shown(&self, lang: Lang) -> ProgramFace {
        let kept = self.0.read().unwrap_or_else(PoisonError::into_inner);
        kept.0.as_ref().map(|program| face_of(program, lang)).unwrap_or_default()
    }

    /// The cautions of today, as the calendar of the program has it.
    fn cautions(&self, app: &App) -> Option<Arc<Cautions>> {
        let kept = self.0.read().unwrap_or_else(PoisonError::into_inner);
        let today = app.clock.today(kept.0.as_ref()?.zone);
        kept.1.iter().find(|(from, _)| *from <= today).map(|(_, cautions)| cautions.clone())
    }
}

fn face_of(program: &Program, lang: Lang) -> ProgramFace {
    ProgramFace {
        name: program.row.name.clone(),
        phone: Phone::shown(&program.row.office_phone),
        phone_href: format!("tel:{}", program.row.office_phone),
        email: program.row.office_email.clone(),
        hours: program.office_hours(lang).to_owned(),
    }
}

/// The pages that the head of every page leads to, and the message of each. A reader sees those that open to them.
const WAYS: &[(&str, &str)] = &[
    ("/sessions", "nav-sessions"),
    ("/riders", "nav-riders"),
    ("/registrations", "nav-registrations"),
    ("/my-sessions", "nav-my-sessions"),
    ("/season", "nav-season"),
    ("/families", "nav-families"),
    ("/people", "nav-people"),
    ("/machines", "nav-machines"),
    ("/gear", "nav-gear"),
    ("/reports", "nav-reports"),
    ("/program", "nav-program"),
    ("/certificates", "nav-certificates"),
    ("/sign-in", "nav-sign-in"),
];

/// A page whose title is the message `key`.
#[must_use]
pub fn page(request: &HttpRequest, key: &str) -> Page {
    Page::new(&frame(request), key)
}

/// A staff page, in English, whose title the caller made.
#[must_use]
pub fn staff_page(request: &HttpRequest, title: impl Into<String>) -> Page {
    Page::titled(&Frame { lang: Lang::En, ..frame(request) }, title)
}

/// A page that staff turn round for an adult: in the adult's language, without any way into the staff's pages.
#[must_use]
pub fn turned_page(request: &HttpRequest, lang: Lang, title: impl Into<String>) -> Page {
    Page::titled(&Frame { lang, nav: Vec::new(), signed_in: None, idle_minutes: None, ..frame(request) }, title)
        .for_field()
}

/// What the request fixes for whichever page answers it.
#[must_use]
pub fn frame(request: &HttpRequest) -> Frame {
    let caller = caller::of(request);
    let lang = lang(request);
    let path = request.uri().path_and_query().map_or("/", |whole| whole.as_str());
    let app = request.app_data::<web::Data<App>>();
    let face = request.app_data::<web::Data<Face>>();
    Frame {
        lang,
        path: links::local(path).unwrap_or("/").to_owned(),
        nav: ways(&caller, request.path(), lang),
        demo: app.is_some_and(|app| app.settings.demo),
        form_token: form_token(request, &caller),
        idle_minutes: caller.person.as_ref().map(|person| lasting(person.roles).surely().num_minutes()),
        signed_in: caller.person.map(|person| person.name),
        program: face.map(|face| face.shown(lang)).unwrap_or_default(),
        cautions: face.zip(app).and_then(|(face, app)| face.cautions(app)),
        scheme: scheme(request),
        asset: assets::address,
    }
}

/// The number under which the log keeps this request.
#[must_use]
pub fn request_id(request: &HttpRequest) -> String {
    request.extensions().get::<RequestId>().map(ToString::to_string).unwrap_or_default()
}

/// The language: as chosen, else as the person's account says, else as the browser asks, else English.
#[must_use]
pub fn lang(request: &HttpRequest) -> Lang {
    caller::value(request, cookies(request).choice_name(Choice::Language))
        .and_then(|word| Lang::parse(&word))
        .or_else(|| caller::of(request).language())
        .unwrap_or_else(|| asked_by_browser(request))
}

/// The first language in the browser's list that we speak. Browsers send theirs with the best first.
fn asked_by_browser(request: &HttpRequest) -> Lang {
    let list = request.headers().get(header::ACCEPT_LANGUAGE).and_then(|value| value.to_str().ok());
    let spoken = |item: &str| Lang::parse(item.trim().get(..2)?);
    list.unwrap_or_default().split(',').find_map(spoken).unwrap_or(Lang::En)
}

fn scheme(request: &HttpRequest) -> Scheme {
    caller::value(request, cookies(request).choice_name(Choice::Scheme))
        .and_then(|word| Scheme::parse(&word))
        .unwrap_or_default()
}

/// The cookie names of this installation.
#[must_use]
pub fn cookies(request: &HttpRequest) -> Cookies {
    let app = request.app_data::<web::Data<App>>();
    Cookies::new(app.is_some_and(|app| app.settings.server.is_https()))
}

/// The way on for somebody who has just signed in, with the cookie of the new sign-in.
///
/// # Errors
/// None that happen: a cookie of fixed name and base64 text always makes a header.
pub fn signed_in(request: &HttpRequest, token: &Token, way: &str) -> Answer {
    let mut answer = go(way);
    let cookie = cookies(request).sign_in(token.as_str());
    answer.add_cookie(&cookie).map_err(|fault| Trouble::Broken(fault.to_string()))?;
    Ok(answer)
}

fn ways(caller: &Caller, path: &str, lang: Lang) -> Vec<NavItem> {
    let opens = |way: &str| routes::opens(way, caller.roles()) && (way != "/sign-in" || caller.person.is_none());
    let current = |way: &str| path.strip_prefix(way).is_some_and(|rest| rest.is_empty() || rest.starts_with('/'));
    let item = |(way, key): &(&str, &str)| NavItem {
        label: language::say(lang, key, &[]),
        href: (*way).to_owned(),
        current: current(way),
    };
    WAYS.iter().filter(|(way, _)| opens(way)).map(item).collect()
}

/// The secret that form tokens of this request are bound to: the sign-in, else the visit.
#[must_use]
pub fn token_secret(request: &HttpRequest, caller: &Caller) -> Option<String> {
    match caller.person {
        Some(_) => cookies(request).sign_in_token(request),
        None => visit(request).map(|visit| visit.0),
    }
}

/// The secrets whose form tokens are taken: the present one, and the visit's, so that a form opened before signing in
/// can be sent again after it. Both are cookies of this very browser.
#[must_use]
pub fn token_secrets(request: &HttpRequest, caller: &Caller) -> Vec<String> {
    token_secret(request, caller).into_iter().chain(visit(request).map(|visit| visit.0)).collect()
}

fn visit(request: &HttpRequest) -> Option<Visit> {
    let begun = request.extensions().get::<Visit>().cloned();
    begun.or_else(|| cookies(request).read_visit(request))
}

/// A new form token. Begins a visit when the reader has neither a sign-in nor a visit.
fn form_token(request: &HttpRequest, caller: &Caller) -> String {
    let Some(app) = request.app_data::<web::Data<App>>() else {
        return String::new();
    };
    let secret = token_secret(request, caller).unwrap_or_else(|| {
        let visit = caller::new_visit(app.random.bytes());
        request.extensions_mut().insert(visit.clone());
        request.extensions_mut().insert(NewVisit);
        visit.0
    });
    csrf::form_token(&secret, app.random.bytes())
}

/// `?lang=` and `?scheme=` on a page keep the choice in a cookie and lead to the same page without them.
#[must_use]
pub fn chosen(request: &HttpRequest) -> Option<HttpResponse> {
    if request.method() != Method::GET {
        return None;
    }
    let asked = |name: &str| {
        let answer = |pair: &&str| pair.split_once('=').is_some_and(|(found, _)| found == name);
        request.query_string().split('&').find(answer).and_then(|pair| Some(pair.split_once('=')?.1))
    };
    let lang = asked("lang").and_then(Lang::parse);
    let scheme = asked("scheme").and_then(Scheme::parse);
    if lang.is_none() && scheme.is_none() {
        return None;
    }
    let rest: Vec<&str> = request
        .query_string()
        .split('&')
        .filter(|pair| !pair.is_empty() && !pair.starts_with("lang=") && !pair.starts_with("scheme="))
        .collect();
    let query = if rest.is_empty() { String::new() } else { format!("?{}", rest.join("&")) };
    let back = format!("{}{query}", request.path());
    let mut answer = go(links::local(&back).unwrap_or("/"));
    let cookies = cookies(request);
    let kept = [
        lang.map(|lang| cookies.choice(Choice::Language, lang.as_str())),
        scheme.map(|scheme| cookies.choice(Choice::Scheme, scheme.as_str())),
    ];
    for cookie in kept.into_iter().flatten() {
        answer.add_cookie(&cookie).ok()?;
    }
    Some(answer)
}
