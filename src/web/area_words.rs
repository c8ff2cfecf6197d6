//! English words about the riding area and the team, for the field and the office. Decides nothing about them.

use crate::domain::certification::BlockingPaper;
use crate::domain::words::Lang;
use crate::language;
use crate::services::roster::area::{Event, OnTeam, What};

use super::paper_words;

/// Why somebody of the team does not count today.
pub fn why_not_counted(one: &OnTeam) -> String {
    if one.is_suspended {
        return format!("{} does not count today: the account is shut.", one.name);
    }
    format!("{} does not count today: {}.", one.name, papers(&one.lacks))
}

/// Papers that do not hold, each with why.
pub fn papers(lacks: &[BlockingPaper]) -> String {
    let told: Vec<String> = lacks.iter().map(|paper| paper_words::blocking(Lang::En, *paper)).collect();
    told.join(", ")
}

/// What was done, in one sentence.
pub fn event(event: &Event) -> String {
    let beside = |who: &str| if who == event.by { String::new() } else { format!(" {} entered it.", event.by) };
    match &event.what {
        What::Came(who) => format!("{who} came onto the area.{}", beside(who)),
        What::Left(who) => format!("{who} left the area.{}", beside(who)),
        What::WentOn { reason, count } => format!(
            "{} went on with {} and {}: {reason}",
            event.by,
            some(count.riders, "rider"),
            some(count.instructors, "instructor")
        ),
        What::Leads { to, from: Some(from) } => {
            format!("{to} leads in place of {from}.{}", if event.by == *from { String::new() } else { beside(to) })
        }
        What::Leads { to, from: None } => format!("{to} leads.{}", beside(to)),
    }
}

/// "1 rider", "7 riders".
pub fn some(count: i64, one: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {one}s") }
}

/// "June 13, 9:12 AM".
pub fn when(event: &Event) -> String {
    format!("{}, {}", language::date_in_year(Lang::En, event.on), language::time(Lang::En, event.at))
}
