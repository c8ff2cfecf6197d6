//! Kinds of training as the office sees them, and what each asks for: proof of an earlier part.

use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::proof::ProofRule;
use crate::domain::seen::Seen;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::courses::{find_course, list_courses, set_proof};

pub use crate::store::courses::CourseRow;

/// What a course is to ask for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProofWish {
    /// Whether it asks for proof of an earlier part.
    pub rule: ProofRule,
    /// What that part is called, in English and Spanish; empty when none is asked for.
    pub titles: [String; 2],
}

/// The courses, youngest first.
pub fn list(app: &App, caller: &Caller) -> Result<Vec<CourseRow>, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    app.store.read(|conn| Ok(list_courses(conn)?))
}

/// The course of a code.
pub fn find(app: &App, caller: &Caller, code: &str) -> Result<CourseRow, Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    app.store.read(|conn| find_course(conn, code)?.ok_or(Failure::NotFound))
}

/// Sets what a course asks for, from now on and for sessions that are announced already.
///
/// # Errors
/// `NotFound` when there is none; `DraftMoved` when it was changed since it was seen.
pub fn ask_for_proof(app: &App, caller: &Caller, code: &str, seen: &Seen, wish: ProofWish) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller, code, seen) = (app.clock.now(), caller.clone(), code.to_owned(), seen.clone());
    app.store.write("ask for proof", move |conn| {
        let course = find_course(conn, &code)?.ok_or(Failure::NotFound)?;
        seen.holds_for(&course)?;
        let [en, es] = &wish.titles;
        set_proof(conn, course.id, wish.rule, [en, es])?;
        let (subject, detail) = (format!("course {code}"), format!("proof {}", wish.rule));
        add_audit_row(conn, &AuditRow::by(&caller, now, "course.proof", subject, detail))?;
        Ok(())
    })
}
