//! The one table of routes: verb, path, who may, how often, and the page function, in parts by whom they serve. Nothing is
//! registered elsewhere.
//!
//! A line without a set of roles does not compile, and what is not in the table answers 404.

mod family;
mod field;
mod line;
mod matrix;
mod office;
mod program;
mod stock;

use actix_web::guard::{self, Guard};
use actix_web::http::Method;
use actix_web::middleware::from_fn;
use actix_web::web;

use crate::domain::access::{self, Role, RoleSet};

pub use line::{Line, Proof, Verb};
pub use matrix::access_matrix;

use super::door;

use Role::{Administrator, Coordinator, FirstAid, GrantManager, Guardian, Helper, Instructor, Public};

/// Everybody, signed in or not.
pub const PUBLIC: RoleSet = RoleSet::of(&[Public]);
/// Anybody with an account that has a role.
pub const SIGNED_IN: RoleSet =
    RoleSet::of(&[Guardian, Helper, Instructor, FirstAid, Coordinator, GrantManager, Administrator]);
/// Families.
pub const GUARDIANS: RoleSet = RoleSet::of(&[Guardian]);
/// Everybody who works for the program.
pub const STAFF: RoleSet = RoleSet::of(&access::STAFF);
/// Those who may stand on the field; which session is theirs is asked by the service.
pub const FIELD: RoleSet = RoleSet::of(&[Helper, Instructor, FirstAid, Coordinator, Administrator]);
/// Those who put a machine back into use.
pub const MENDERS: RoleSet = RoleSet::of(&[Instructor, Coordinator, Administrator]);
/// Those who plan.
pub const OFFICE: RoleSet = RoleSet::of(&[Coordinator, Administrator]);
/// Those who report.
pub const REPORTERS: RoleSet = RoleSet::of(&[Coordinator, GrantManager, Administrator]);
/// Those who run the program.
pub const ADMINISTRATORS: RoleSet = RoleSet::of(&[Administrator]);

const PARTS: [&[Line]; 5] = [office::LINES, stock::LINES, program::LINES, family::LINES, field::LINES];

const COUNT: usize = {
    let (mut count, mut part) = (0, 0);
    while part < PARTS.len() {
        count += PARTS[part].len();
        part += 1;
    }
    count
};

const fn joined() -> [Line; COUNT] {
    let mut all = [PARTS[0][0]; COUNT];
    let (mut next, mut part) = (0, 0);
    while part < PARTS.len() {
        let mut at = 0;
        while at < PARTS[part].len() {
            all[next] = PARTS[part][at];
            next += 1;
            at += 1;
        }
        part += 1;
    }
    all
}

/// The table. Order matters where patterns overlap: `/gear/grants/new` stands before `/gear/grants/{grant}`.
pub const LINES: &[Line] = &joined();

/// Registers every line of the table behind its door, and nothing else.
pub fn mount(config: &mut web::ServiceConfig) {
    let mut done: Vec<&str> = Vec::new();
    for line in LINES {
        if done.contains(&line.path) {
            continue;
        }
        done.push(line.path);
        let mut resource = web::resource(line.path);
        for same in LINES.iter().filter(|other| other.path == line.path) {
            let route = (same.to)().guard(asks_for(same.verb));
            resource = resource.route(route.wrap(from_fn(move |request, next| door::pass(same, request, next))));
        }
        let allowed = allowed(line.path);
        let wrong = web::to(move || async move { door::wrong_verb(allowed) });
        config.service(resource.default_service(wrong.wrap(from_fn(door::draw_failures))));
    }
    config.default_service(web::to(door::no_such_page).wrap(from_fn(door::draw_failures)));
}

fn asks_for(verb: Verb) -> impl Guard {
    guard::fn_guard(move |context| match verb {
        Verb::Get => matches!(context.head().method, Method::GET | Method::HEAD),
        Verb::Post => context.head().method == Method::POST,
    })
}

/// The verbs of a path, as the `Allow` header writes them.
fn allowed(path: &str) -> &'static str {
    let has = |verb| LINES.iter().any(|line| line.path == path && line.verb == verb);
    match (has(Verb::Get), has(Verb::Post)) {
        (true, true) => "GET, HEAD, POST",
        (true, false) => "GET, HEAD",
        _ => "POST",
    }
}

/// Whether the page at this path opens to somebody with these roles.
#[must_use]
pub fn opens(path: &str, roles: RoleSet) -> bool {
    LINES.iter().any(|line| line.path == path && line.verb == Verb::Get && line.who.meets(roles))
}
