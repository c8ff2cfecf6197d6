//! Who rides which machine: the proposal for the group, and what one choice would change.

use askama::Template;

use crate::services::field_act::ActIds;
use crate::services::roster::assignment::{AssignmentPage, Choice, Pin, Planned, show};
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
    /// Whether a helmet is looked at, and no machine.
    fn is_about_helmet(&self) -> bool {
        self.view.pin.as_ref().is_some_and(|pin| matches!(pin.choice, Choice::Helmet(_)))
    }
    /// Whether a machine is looked at.
    fn is_about_machine(&self) -> bool {
        self.view.pin.is_some() && !self.is_about_helmet()
    }
    /// The rider for whom another helmet is looked at.
    fn of_helmet(&self) -> Option<&Planned> {
        let pin = self.view.pin.as_ref().filter(|_| self.is_about_helmet())?;
        self.view.riders.iter().find(|rider| rider.reference == pin.rider)
    }
    /// Riders whose helmet would be another one then, but for the one who is asked about.
    fn helmets_moved(&self) -> usize {
        self.view.riders.iter().filter(|rider| rider.changes_helmet()).count().saturating_sub(1)
    }
    /// Whether the rider could be given another helmet than the proposed one.
    fn has_other_helmets(&self, rider: &Planned) -> bool {
        rider.helmets.iter().any(|helmet| rider.helmet.as_ref() != Some(helmet))
    }
    /// "Helmet M, lot 4", "Helmet from M, lot 4 to L, lot 5", "Helmet from M, lot 4 to none".
    fn helmet_step(&self, rider: &Planned) -> String {
        match (&rider.helmet_else, &rider.helmet) {
            (Some(before), Some(next)) if before != next => {
                format!("Helmet from {} to {}", before.words(), next.words())
            }
            (_, Some(next)) => format!("Helmet {}", next.words()),
            (Some(before), None) => format!("Helmet from {} to none", before.words()),
            (None, None) => "No helmet".to_owned(),
        }
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
    let pin = wanted.and_then(|WantedPair { rider, machine, helmet }| {
        let choice = match (machine.is_empty(), helmet.is_empty()) {
            (false, _) => Choice::Machine(machine),
            (true, false) => Choice::Helmet(helmet),
            (true, true) => return None,
        };
        (!rider.is_empty()).then_some(Pin { rider, choice })
    });
    let view = ask.read(move |app, caller, session| show(app, caller, session, pin)).await?;
    let page = ask.page("Who rides which machine", &view.head, &said);
    answered(&said.errors.clone(), &Show { page, view, ids: ActIds::of(&ask.app), errors: said.errors })
}
