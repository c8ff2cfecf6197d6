//! The riding area: who of the team is there, the lead's reason to go on, and handing the lead over.

use askama::Template;

use crate::services::field_act::ActIds;
use crate::services::roster::area::{Area, AreaPage, OnTeam, show as read};
use crate::web::answer::Answer;
use crate::web::form::FieldErrors;
use crate::web::page::{Choice, Page};

use crate::web::area_words::some;
pub use crate::web::area_words::{event, when, why_not_counted};

use super::words::{State, clock};
use super::{Ask, Fields, Said, answered};

#[derive(Template)]
#[template(path = "roster/area.html")]
struct Show {
    page: Page,
    view: AreaPage,
    ids: ActIds,
    errors: FieldErrors,
    typed: Fields,
    choices: Vec<Choice>,
}

pub(super) async fn draw(ask: &Ask, said: Said) -> Answer {
    let view = ask.read(read).await?;
    let page = ask.page("Riding area", &view.head, &said);
    let choice = |one: &crate::services::roster::area::MayLead| {
        let beside = if one.is_on_team { "" } else { ", not on the team yet" };
        Choice::new(&one.reference, format!("{}{beside}", one.name))
    };
    let choices = view.may_lead.iter().map(choice).collect();
    let ids = ActIds::of(&ask.app);
    answered(&said.errors.clone(), &Show { page, view, ids, errors: said.errors, typed: said.typed, choices })
}

/// "2 instructors count. They may teach 3 more riders."
pub fn room(area: &Area) -> String {
    let (instructors, room) = (area.guard.count.instructors, area.guard.room());
    let count = match instructors {
        0 => "No instructor counts on the area".to_owned(),
        1 => "1 instructor counts on the area".to_owned(),
        more => format!("{more} instructors count on the area"),
    };
    match room {
        0 => format!("{count}: no room for one more rider."),
        1 => format!("{count}: room for 1 more rider."),
        room if room > 1 => format!("{count}: room for {room} more riders."),
        -1 => format!("{count}: 1 rider too many."),
        room => format!("{count}: {} riders too many.", -room),
    }
}

/// "7 riders here, the youngest 8."
pub fn riders(area: &Area) -> String {
    let count = area.guard.count;
    match (count.riders, count.youngest) {
        (1, Some(age)) => format!("1 rider here, {age} years old."),
        (riders, Some(age)) => format!("{riders} riders here, the youngest {age}."),
        (_, None) => "No rider here.".to_owned(),
    }
}

/// "7 riders, 2 instructors, limit 8": who is here, who counts on the area, and how many riders these may teach.
pub fn ratio(area: &Area) -> String {
    let (count, limit) = (area.guard.count, area.guard.may_teach());
    format!("{}, {}, limit {limit}", some(count.riders, "rider"), some(count.instructors, "instructor"))
}

/// Where somebody of the team is.
pub fn place_of(one: &OnTeam) -> State {
    let state = |kind, shape, words: String| State { kind, shape, words };
    match (one.is_on, one.since) {
        (true, Some(at)) if one.counts => state("met", "met", format!("On the area since {}", clock(&at))),
        (true, Some(at)) => state("not-met", "notmet", format!("On the area since {}, does not count", clock(&at))),
        (false, Some(at)) => state("off", "note", format!("Left at {}", clock(&at))),
        _ => state("not-tried", "none", "Not on the area".to_owned()),
    }
}
