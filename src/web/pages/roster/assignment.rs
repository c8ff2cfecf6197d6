//! Who rides which machine: the proposal for the group, and what one choice would change.

use askama::Template;

use crate::services::field_act::ActIds;
use crate::services::roster::assignment::{AssignmentPage, Pin, Planned, show};
use crate::web::answer::Answer;
use crate::web::blocked_words::blocked;
use crate::web::form::FieldErrors;
use crate::web::page::Page;

use super::{Ask, Said, WantedPair, answered};

#[derive(Template)]
#[template(path = "roster/assignment.html")]
struct Show {
    page: Page,
    view: AssignmentPage,
    ids: ActIds,
    errors: FieldErrors,
}

impl Show {
    fn changes(&self) -> Vec<&Planned> {
        self.view.riders.iter().filter(|rider| rider.changes()).collect()
    }
    /// Riders with a machine in the proposal.
    fn with_machine(&self) -> usize {
        self.view.riders.iter().filter(|rider| rider.proposed.is_some()).count()
    }
    fn is_fitted(&self) -> usize {
        self.view.riders.iter().filter(|rider| rider.is_fitted && !rider.changes()).count()
    }
    /// Whether the rider could be given another machine than the proposed one.
    fn has_others(&self, rider: &Planned) -> bool {
        rider.allowed.iter().any(|number| rider.proposed.as_ref() != Some(number))
    }
    /// "From 4 to 7", "To 7", "From 4 to none".
    fn step(&self, rider: &Planned) -> String {
        match (&rider.now, &rider.proposed) {
            (Some(now), Some(next)) if now == next => format!("Stays on no. {now}"),
            (Some(now), Some(next)) => format!("From no. {now} to no. {next}"),
            (None, Some(next)) => format!("No. {next}"),
            (Some(now), None) => format!("From no. {now} to none"),
            (None, None) => "None".to_owned(),
        }
    }
}

pub(super) async fn draw(ask: &Ask, wanted: Option<WantedPair>, said: Said) -> Answer {
    let pin = wanted.filter(|wanted| !wanted.rider.is_empty() && !wanted.machine.is_empty());
    let pin = pin.map(|wanted| Pin { rider: wanted.rider, machine: wanted.machine });
    let view = ask.read(move |app, caller, session| show(app, caller, session, pin)).await?;
    let page = ask.page("Who rides which machine", &view.head, &said);
    answered(&said.errors.clone(), &Show { page, view, ids: ActIds::of(&ask.app), errors: said.errors })
}
