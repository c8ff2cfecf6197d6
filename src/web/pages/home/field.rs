//! The words of what is due on the field.

use chrono::NaiveDate;

use super::part::{Line, Part, group};
use crate::domain::words::Lang;
use crate::language;
use crate::services::due::{FieldDay, FieldDue, IncidentDue, OwnPaper};
use crate::web::due_words::{field_due, incident_place, incident_stands, paper};

/// What is due for who stands on the field.
pub fn part(due: &FieldDue) -> Part {
    let lines = |days: &[FieldDay], of: fn(&FieldDay) -> Line| days.iter().map(of).collect::<Vec<_>>();
    let groups = [
        group("field-today", "Your sessions today", lines(&due.today, today), ("/my-sessions", "My sessions")),
        group("field-open", "Not closed yet", lines(&due.unclosed, unclosed), ("/my-sessions", "My sessions")),
        group("field-incidents", "Reports to write", due.incidents.iter().map(incident).collect(), ("", "")),
        group("field-papers", "Your papers", due.papers.iter().map(own_paper).collect(), ("", "")),
        group("field-week", "The rest of this week", lines(&due.week, later), ("/my-sessions", "My sessions")),
    ];
    let quiet = due.is_empty().then(|| ("Nothing is due today.".to_owned(), next(due)));
    Part { quiet, groups: groups.into_iter().flatten().collect() }
}

fn next(due: &FieldDue) -> String {
    match due.week.first().or(due.next.as_ref()) {
        Some(day) => format!("Your next session is on {}, at {}.", on(day.session.meeting.on), day.session.site),
        None => "You are on the team of no session in the next two weeks.".to_owned(),
    }
}

fn on(day: NaiveDate) -> String {
    language::date_long(Lang::En, day)
}

/// Where, and from when.
fn title(day: &FieldDay) -> String {
    match day.session.starts {
        Some(starts) => format!("{}, {}", language::time(Lang::En, starts), day.session.site),
        None => day.session.site.clone(),
    }
}

fn roster(day: &FieldDay) -> String {
    format!("/roster/{}", day.session.reference)
}

fn today(day: &FieldDay) -> Line {
    let line = Line::new(title(day), roster(day)).say(day.session.course.clone()).say(field_due(&day.session.due));
    let line = match day.day_list_open {
        true => line
            .state("not-met", "notmet", "nobody rides yet")
            .way(format!("{}/day-list", roster(day)), "Sign the day list"),
        false => line.state("met", "met", "day list signed"),
    };
    line.way(format!("{}/emergency", roster(day)), "Emergency page")
}

fn unclosed(day: &FieldDay) -> Line {
    let title = format!("{}, {}", day.session.site, language::date_short(Lang::En, day.session.meeting.on));
    Line::new(title, roster(day))
        .state("practice", "practice", "not closed")
        .say(field_due(&day.session.due))
        .way(format!("{}/close", roster(day)), "Close the session")
}

fn later(day: &FieldDay) -> Line {
    Line::new(format!("{}, {}", on(day.session.meeting.on), title(day)), roster(day))
        .say(day.session.course.clone())
        .say(field_due(&day.session.due))
}

fn own_paper(own: &OwnPaper) -> Line {
    let (kind, shape, state, words) = paper(own.kind, own.holds);
    Line::new(words, "").state(kind, shape, state).say("Show the office the new one, so that it counts.")
}

fn incident(one: &IncidentDue) -> Line {
    let (title, href) = incident_place(one);
    let by = language::date_short(Lang::En, one.listed.report_due);
    Line::new(title, href)
        .state("practice", "practice", incident_stands(one))
        .say(format!("Two people sign it by {by}."))
}
