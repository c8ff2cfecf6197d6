//! A child of a session as staff see it right after registering: the place, who signs, a code for the gate.

use chrono::NaiveDate;

use crate::domain::access::{Action, Caller};
use crate::domain::registration::RegistrationState;
use crate::domain::words::{Lang, full_name};
use crate::outside::pdf::qr::{Symbol, symbol};
use crate::services::roster::opened;
use crate::services::ties::speaker;
use crate::services::{App, Failure, ask};
use crate::store::families::GuardianRow;
use crate::store::places::line_of;

/// A child that staff registered, for the page that says so.
#[derive(Clone, Debug)]
pub struct Registered {
    /// The session's public reference.
    pub session: String,
    /// The registration's public reference.
    pub reference: String,
    /// The site, and the first day.
    pub site: String,
    /// The first day at the site.
    pub held_on: NaiveDate,
    /// The child's name in one line.
    pub name: String,
    /// The child's given name.
    pub given: String,
    /// Where the place stands.
    pub state: RegistrationState,
    /// The place in line, from 1.
    pub place: Option<i64>,
    /// The adult who speaks for it, in one line; empty when none does.
    pub adult: String,
    /// The language of what this adult signs.
    pub language: Lang,
    /// Whether letters reach the adult.
    pub has_letters: bool,
    /// Whether the consent to ride is still to be signed.
    pub is_unsigned: bool,
    /// Whether another child can be registered for the session.
    pub takes_more: bool,
    /// A code that leads to the child's page of the roster.
    pub code: Option<Symbol>,
}

/// What became of a registration that staff made, or any other of the session.
///
/// # Errors
/// `NotFound` when the caller may not know of it.
pub fn registered(app: &App, caller: &Caller, session: &str, registration: &str) -> Result<Registered, Failure> {
    app.store.read(|conn| {
        let opened = opened::open(conn, caller, session, app.clock.now())?;
        ask(caller, Action::RegisterWalkUp, opened.subject())?;
        let (row, rider) = opened.rider(conn, registration)?;
        let adult = speaker(conn, &row)?;
        let before = line_of(conn, row.session_id)?.iter().position(|other| other.id == row.id);
        let address = format!("{}/roster/{session}/riders/{}", app.settings.server.public_url, row.reference);
        let view = &opened.view;
        Ok(Registered {
            session: session.to_owned(),
            site: view.site.name.clone(),
            held_on: view.session.held_on,
            name: full_name(&rider.given_name, &rider.family_name),
            state: row.state,
            place: before.and_then(|before| i64::try_from(before + 1).ok()),
            language: row.language,
            has_letters: adult.as_ref().is_some_and(GuardianRow::has_letters),
            adult: adult.map(|adult| full_name(&adult.given_name, &adult.family_name)).unwrap_or_default(),
            is_unsigned: !opened.has_consent(conn, &row)?,
            takes_more: opened.openness().takes_registrations(),
            code: symbol(&address),
            given: rider.given_name,
            reference: row.reference,
        })
    })
}
