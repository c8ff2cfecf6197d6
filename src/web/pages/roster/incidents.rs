//! What happened at a session and what nearly did: a near miss by one press, and the first words of a report.

use askama::Template;

use crate::domain::incident::{IncidentKind, NearMissKind};
use crate::domain::words::Word;
use crate::services::field_act::{ActIds, IncidentWish, Wish};
use crate::services::incidents::{NearMiss, OfSession, of_session};
use crate::web::answer::Answer;
use crate::web::form::FieldErrors;
use crate::web::incident_words;
use crate::web::page::{Choice, Page};
use crate::web::staff_form::Reading;

use super::acts::words;
use super::{Ask, Fields, Said, answered, clock};

/// The most characters of what happened, as first said.
const LONGEST: usize = 2000;

#[derive(Template)]
#[template(path = "roster/incidents.html")]
struct Show {
    page: Page,
    view: OfSession,
    ids: ActIds,
    errors: FieldErrors,
    typed: Fields,
    riders: Vec<Choice>,
    machines: Vec<Choice>,
}

impl Show {
    fn kinds(&self) -> Vec<Choice> {
        IncidentKind::ALL.iter().map(|kind| Choice::new(kind, incident_words::kind(*kind))).collect()
    }
    fn near_misses(&self) -> &'static [NearMissKind] {
        NearMissKind::ALL
    }
    /// The time that the form starts with: now.
    fn time(&self) -> String {
        self.typed.or("time", &clock(&self.view.now))
    }
    fn at(&self, one: &NearMiss) -> String {
        clock(&one.at.time())
    }
}

fn press(what: &NearMissKind) -> &'static str {
    incident_words::near_miss(*what)
}

pub(super) async fn draw(ask: &Ask, said: Said) -> Answer {
    let view = ask.read(of_session).await?;
    let page = ask.page("Near miss or incident", &view.head, &said);
    let riders = view.riders.iter().map(|(reference, name)| Choice::new(reference, name)).collect();
    let machine = |(number, model): &(String, String)| Choice::new(number, format!("{number}, {model}"));
    let machines = view.machines.iter().map(machine).collect();
    let Said { errors, typed } = said;
    let ids = ActIds::of(&ask.app);
    answered(&errors.clone(), &Show { page, view, ids, errors, typed, riders, machines })
}

/// A near miss; `None` for what no page of ours sends.
pub(super) fn near_miss(typed: &Fields) -> Option<Wish> {
    Some(Wish::NearMiss { what: NearMissKind::from_word(typed.of("what"))?, note: words(typed.of("note")) })
}

/// The first words of a report; `None` for what no page of ours sends.
pub(super) fn incident(typed: &Fields, errors: &mut FieldErrors) -> Option<Wish> {
    let mut reading = Reading::default();
    let kind = reading.choice("kind", "what kind of thing it is", typed.of("kind"), IncidentKind::Hurt);
    let time = (!typed.of("time").trim().is_empty()).then(|| reading.time("time", "the time", typed.of("time")));
    let happened = reading.lines("happened", "what happened", typed.of("happened"), LONGEST);
    if happened.is_empty() {
        reading.fault("happened", "Write what happened: what you saw and heard");
    }
    let person = reading.line_if_any("person", "who it happened to", typed.of("person"), 200);
    let wish = IncidentWish {
        kind,
        ambulance: typed.of("ambulance") == "yes",
        time,
        happened,
        person,
        machine: Some(typed.of("machine")).filter(|number| !number.is_empty()).map(str::to_owned),
        helmet_hit: typed.of("helmet_hit") == "yes",
    };
    if let Err(found) = reading.done(()) {
        found.list().iter().for_each(|(field, words)| errors.add(field, words.clone()));
    }
    Some(Wish::Incident(wish))
}
