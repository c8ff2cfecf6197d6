//! What the forms of a session are filled with, for a day that is run on paper: the riders, who may take them home, the points of
//! the fit check, the limits of the weather. Making it is noted in the audit log, as printing the day sheet is.

use chrono::NaiveDateTime;

use super::super::{App, Failure, program};
use super::health::{Contact, contacts};
use super::opened::{Opened, open};
use super::paper::{Paper, noted};
use super::rider::adults;
use crate::domain::access::Caller;
use crate::domain::fit::FitRules;
use crate::domain::weather::WeatherRule;
use crate::outside::pdf;
use crate::store::AnyConn;

pub use crate::outside::pdf::document::Binding;
pub use crate::outside::pdf::forms::{FormPart, FormSheet, Forms, Grid};

/// A session as its forms need it.
#[derive(Clone, Debug)]
pub struct Packet {
    /// The program's name.
    pub program: String,
    /// What stands on the day sheet too.
    pub paper: Paper,
    /// Of each rider of the paper, in its order, who is called and who takes the child home.
    pub homes: Vec<Home>,
    /// The fit rules that the session keeps.
    pub fit: FitRules,
    /// The program's limits of the weather.
    pub weather: WeatherRule,
}

/// Who answers for one child.
#[derive(Clone, Debug)]
pub struct Home {
    /// Whom to call, the guardian first.
    pub contacts: Vec<Contact>,
    /// Adults who may take the child.
    pub may_take: Vec<String>,
    /// Adults to whom the child is not released.
    pub not_release: Vec<String>,
}

/// Gathers what the forms of a session need.
///
/// # Errors
/// `NotFound` when the caller may not know of the session.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<Packet, Failure> {
    let (own, caller, reference, now) = (app.clone(), caller.clone(), reference.to_owned(), app.clock.now());
    app.store.write("print packet", move |conn| {
        let opened = open(conn, &caller, &reference, now)?;
        let paper = noted(&own, conn, &caller, &opened, "roster.packet")?;
        let program = program::load(conn)?;
        Ok(Packet {
            program: program.row.name,
            homes: homes(conn, &opened, &paper)?,
            fit: opened.fit_rules(conn)?,
            weather: program.settings.weather,
            paper,
        })
    })
}

fn homes(conn: &mut AnyConn, opened: &Opened, paper: &Paper) -> Result<Vec<Home>, Failure> {
    let mut homes = Vec::new();
    for rider in &paper.riders {
        let (registration, _) = opened.rider(conn, &rider.line.reference)?;
        let (may_take, not_release) = adults(conn, &registration)?;
        homes.push(Home { contacts: contacts(conn, &registration)?, may_take, not_release });
    }
    Ok(homes)
}

/// Sets the forms. Equal forms give equal bytes.
///
/// # Errors
/// `Broken` when the document cannot be written.
pub fn set(forms: &Forms, made_at: NaiveDateTime) -> Result<Vec<u8>, Failure> {
    pdf::forms(forms, made_at).map_err(Failure::broken)
}
