//! One rider's day, and the emergency page of one child.

use askama::Template;

use crate::domain::acts::TurnedAwayFor;
use crate::domain::gear::{GearPiece, Way};
use crate::domain::registration::Outcome;
use crate::domain::words::Word;
use crate::services::field_act::ActIds;
use crate::services::roster::rider::{RiderDay, show};
use crate::web::answer::Answer;
use crate::web::form::FieldErrors;
use crate::web::page::{Choice, Page};

use super::words::ended;
use super::{Ask, Fields, Said, answered};

#[derive(Template)]
#[template(path = "roster/rider.html")]
struct Show {
    page: Page,
    view: RiderDay,
    ids: ActIds,
    errors: FieldErrors,
    typed: Fields,
    outcomes: Vec<Choice>,
}

impl Show {
    /// The way back to this rider.
    fn back(&self, anchor: &str) -> String {
        format!("/riders/{}{anchor}", self.view.line.reference)
    }
    /// The next act of the day carries the page's one clay button.
    fn is_next(&self, kind: &str) -> bool {
        let day = &self.view.line.day;
        let is_geared = day.gear_missing().is_empty();
        let next = match (day.arrived_at.is_some(), is_geared, day.helmet_is_right(), day.fit.is_some()) {
            (false, _, _, _) => "check_in",
            (true, false, _, _) => "gear",
            (true, true, false, _) => "helmet",
            (true, true, true, false) => "fit",
            (true, true, true, true) => "",
        };
        next == kind
    }
    fn missing(&self) -> String {
        let names: Vec<&str> = self.view.line.day.gear_missing().into_iter().map(GearPiece::words).collect();
        format!("Missing: {}", names.join(", "))
    }
    fn wears(&self, piece: &GearPiece) -> bool {
        self.view.line.day.worn.as_ref().is_some_and(|worn| worn.contains(piece))
    }
    fn has(&self, wanted: Way) -> bool {
        self.view.line.day.helmets.iter().any(|(_, way)| *way == wanted)
    }
    fn has_given(&self) -> bool {
        self.has(Way::Given)
    }
    fn has_lent(&self) -> bool {
        self.has(Way::Lent)
    }
    fn has_measure_errors(&self) -> bool {
        ["head", "height", "weight", "inseam"].iter().any(|field| self.errors.of(field).is_some())
    }
    fn has_out_errors(&self) -> bool {
        self.errors.of("adult").is_some()
    }
}

/// How a day may end otherwise than by attending, with the reasons for turning a rider away.
fn outcomes() -> Vec<Choice> {
    let plain = [Outcome::LeftEarly, Outcome::ChoseToStop, Outcome::Absent, Outcome::Attended, Outcome::Late];
    let mut all: Vec<Choice> = plain.iter().map(|outcome| Choice::new(outcome, ended(*outcome))).collect();
    let why = |why: &TurnedAwayFor| match why {
        TurnedAwayFor::Gear => "Turned away: gear is missing.",
        TurnedAwayFor::Consent => "Turned away: no consent.",
        TurnedAwayFor::Fit => "Turned away: no machine fits.",
        TurnedAwayFor::Behaviour => "Turned away: behavior.",
    };
    all.extend(TurnedAwayFor::ALL.iter().map(|one| Choice::new(format!("{}.{one}", Outcome::TurnedAway), why(one))));
    all
}

pub(super) async fn draw(ask: &Ask, rider: String, said: Said) -> Answer {
    let view = ask.read(move |app, caller, session| show(app, caller, session, &rider)).await?;
    let page = ask.page(view.line.name.clone(), &view.head, &said);
    let (ids, outcomes) = (ActIds::of(&ask.app), outcomes());
    answered(&said.errors.clone(), &Show { page, view, ids, errors: said.errors, typed: said.typed, outcomes })
}
