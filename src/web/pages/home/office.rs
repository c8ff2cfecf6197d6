//! The words of what is due in the office.

use std::collections::BTreeMap;

use chrono::{NaiveDate, NaiveDateTime, TimeDelta};

use super::part::{self, Line, Part, group};
use crate::domain::words::{Lang, full_name};
use crate::language;
use crate::services::due::{IncidentDue, OfficeDue, PersonsPaper, SitesPaper, ToHandOver, Unanswered, Untold};
use crate::services::season::{MeetingRow, SeasonRow, SessionView};
use crate::services::texts::NotArrived;
use crate::web::due_words::{capital, incident_place, incident_stands, letter, missed_text, paper, site_paper};
use crate::web::readiness_words::lacks_in_line;

/// What is due for who plans.
pub fn part(due: &OfficeDue) -> Part {
    let rows = |rows: &[SeasonRow], of: fn(&SeasonRow) -> Line| rows.iter().map(of).collect::<Vec<_>>();
    let season = ("/season", "The season");
    let letters = due.letters.iter().map(|stopped| {
        let name = full_name(&stopped.given_name, &stopped.family_name);
        let state = if stopped.may_be_out() { "not sure" } else { "came back" };
        Line::new(format!("{name}, {}", stopped.email), "").state("not-met", "notmet", state).say(letter(stopped))
    });
    let groups = [
        group("office-today", "Sessions today", rows(&due.today, today), season),
        group("office-incidents", "Reports of what happened", incidents(&due.incidents), ("/incidents", "Reports")),
        group("office-lacks", "Sessions that lack people or papers", rows(&due.lacking, lacking), season),
        group("office-open", "Sessions not closed", due.unclosed.iter().map(unclosed).collect(), season),
        group("office-untold", "People to call", due.untold.iter().map(untold).collect(), season),
        group("office-unanswered", "Families to ask", due.unanswered.iter().map(unanswered).collect(), season),
        group("office-letters", "Letters that did not reach", letters.collect(), ("", "")),
        group("office-texts", "Texts that did not arrive", due.texts.iter().map(missed).collect(), ("", "")),
        group("office-deletions", "Families that ask for deletion", deletions(due.deletions), ("", "")),
        group("office-certificates", "Certificates to hand over", certificates(&due.certificates), ("", "")),
        group("office-wait", "Families that wait for a seat", rows(&due.waiting, waiting), season),
        group("office-sites", "Papers of sites", site_papers(&due.site_papers), ("/sites", "Sites")),
        group("office-papers", "Papers of people", papers(&due.papers), ("/people", "People")),
        group("office-fit", "Riders whom no machine may fit", due.misfits.iter().map(misfit).collect(), season),
        group("office-grants", "For those who pay", part::grants(&due.grants, true), ("/gear/grants", "Grants")),
        group("office-recalls", "Helmets called back", recalls(&due.recalls), ("/gear/recalls", "Recalls")),
        group("office-week", "The rest of this week", rows(&due.week, later), season),
    ];
    let quiet = due.is_empty().then(|| ("Nothing is due today.".to_owned(), next(due)));
    Part { quiet, groups: groups.into_iter().flatten().collect() }
}

fn missed(one: &NotArrived) -> Line {
    let (state, words) = missed_text(one);
    let href = match &one.registration {
        Some(place) => format!("/season/{}/riders/{place}", one.session),
        None => format!("/season/{}/told", one.session),
    };
    let about = format!("{}, {}", one.site, language::date_short(Lang::En, one.held_on));
    Line::new(format!("{}, {}", one.name, about), href)
        .state("not-met", "notmet", state)
        .say(words)
        .way(format!("tel:{}", one.dial), one.phone.clone())
}

fn deletions(wishes: usize) -> Vec<Line> {
    let words = match wishes {
        0 => return Vec::new(),
        1 => "One family asks".to_owned(),
        more => format!("{more} families ask"),
    };
    vec![Line::new(words, "/families/deletions").say("Settle what stands in the way, then delete.")]
}

fn misfit((row, without): &(SeasonRow, usize)) -> Line {
    let state = if *without == 1 {
        "1 rider without a machine".to_owned()
    } else {
        format!("{without} riders without a machine")
    };
    let href = format!("/season/{}/machines", row.view.session.reference);
    Line::new(place(&row.view), href)
        .state("practice", "practice", state)
        .say("By their measures. Call the families, or send other machines.")
}

fn recalls(all: &[(String, String, usize)]) -> Vec<Line> {
    let line = |(reference, what, open): &(String, String, usize)| {
        Line::new(what.clone(), format!("/gear/recalls/{reference}"))
            .state("not-met", "notmet", format!("{open} without an answer"))
            .say("Children may still wear them.")
    };
    all.iter().map(line).collect()
}

fn incidents(all: &[IncidentDue]) -> Vec<Line> {
    let line = |one: &IncidentDue| {
        let (title, href) = incident_place(one);
        let at = one.listed.insurer_due;
        let line = match (one.insurer, one.listed.insurer_late) {
            (true, true) => Line::new(title, href).state("not-met", "notmet", "tell the insurer now"),
            (true, false) => {
                let by = format!(
                    "{} at {}",
                    language::date_in_year(Lang::En, at.date()),
                    language::time(Lang::En, at.time())
                );
                Line::new(title, href).state("practice", "practice", "tell the insurer").say(format!("By {by}."))
            }
            (false, _) => Line::new(title, href).state("practice", "practice", incident_stands(one)),
        };
        match one.is_open {
            true => line.say(format!("Two people sign the report by {}.", day(one.listed.report_due))),
            false => line,
        }
    };
    all.iter().map(line).collect()
}

fn next(due: &OfficeDue) -> String {
    match due.week.first().or(due.next.as_ref()) {
        Some(row) => format!("The next session is on {}, at {}.", day(row.view.session.held_on), row.view.site.name),
        None => "No session is planned. Plan one from the season's page.".to_owned(),
    }
}

fn day(on: NaiveDate) -> String {
    language::date_long(Lang::En, on)
}

fn address(view: &SessionView) -> String {
    format!("/season/{}", view.session.reference)
}

/// "8:30 AM to 1:00 PM"; of several meetings those of the first.
fn times(meetings: &[MeetingRow]) -> String {
    let wall = |row: &MeetingRow| NaiveDateTime::parse_from_str(&row.local_start, "%Y-%m-%dT%H:%M").ok();
    let first = meetings.first().and_then(|row| Some((wall(row)?, row.minutes)));
    first.map_or_else(String::new, |(from, minutes)| {
        language::time_range(Lang::En, from.time(), (from + TimeDelta::minutes(minutes)).time())
    })
}

fn seats(row: &SeasonRow) -> String {
    let session = &row.view.session;
    let lead = if row.lead.is_empty() { "Nobody leads.".to_owned() } else { format!("{} leads.", row.lead) };
    format!("{lead} {} of {} seats taken.", session.seats_taken, session.capacity)
}

fn today(row: &SeasonRow) -> Line {
    Line::new(format!("{}, {}", times(&row.meetings), row.view.site.name), address(&row.view))
        .say(seats(row))
        .way(format!("/roster/{}", row.view.session.reference), "Open the roster")
}

fn later(row: &SeasonRow) -> Line {
    let title = format!("{}, {}, {}", day(row.view.session.held_on), times(&row.meetings), row.view.site.name);
    Line::new(title, address(&row.view)).say(seats(row))
}

/// The site and the first day.
fn place(view: &SessionView) -> String {
    format!("{}, {}", view.site.name, language::date_short(Lang::En, view.session.held_on))
}

fn lacking(row: &SeasonRow) -> Line {
    let lacks = lacks_in_line(row.lacking.as_ref());
    Line::new(place(&row.view), address(&row.view))
        .state("not-met", "notmet", "lacks")
        .say(format!("{}.", capital(&lacks)))
}

fn unclosed(view: &SessionView) -> Line {
    Line::new(place(view), address(view))
        .state("practice", "practice", "not closed")
        .way(format!("/roster/{}/close", view.session.reference), "See what keeps it open")
}

fn untold(one: &Untold) -> Line {
    let words = if one.people == 1 { "1 to call".to_owned() } else { format!("{} to call", one.people) };
    Line::new(place(&one.view), format!("{}/told", address(&one.view)))
        .state("not-met", "notmet", words)
        .say("No letter reached them about the change.")
}

fn unanswered(one: &Unanswered) -> Line {
    let line = Line::new(place(&one.view), format!("{}#riders", address(&one.view))).state(
        "practice",
        "practice",
        format!("{} to call", one.offers + one.silent),
    );
    let families = |count: usize| if count == 1 { "1 family".to_owned() } else { format!("{count} families") };
    let has = |count: usize| if count == 1 { "has" } else { "have" };
    let line = match one.silent {
        0 => line,
        many => line.say(format!("{} {} not said whether the child comes.", families(many), has(many))),
    };
    match one.offers {
        0 => line,
        many => line.say(format!("{} without e-mail {} a seat offered.", families(many), has(many))),
    }
}

fn waiting(row: &SeasonRow) -> Line {
    Line::new(place(&row.view), address(&row.view))
        .state("waitlist", "adapted", format!("{} wait", row.view.session.waiting))
        .say(seats(row))
}

fn certificates(all: &[ToHandOver]) -> Vec<Line> {
    let line = |one: &ToHandOver| {
        Line::new(one.rider.clone(), format!("/certificates/{}/paper.pdf", one.code))
            .state("unsent", "unsent", "to hand over")
            .say(format!("{} gets no e-mail. Print it, then call {}.", one.guardian, one.phone))
    };
    all.iter().map(line).collect()
}

/// One line a site.
fn site_papers(all: &[SitesPaper]) -> Vec<Line> {
    let mut lines: BTreeMap<(&str, &str), Line> = BTreeMap::new();
    for one in all {
        let (kind, shape, state, words) = site_paper(one.kind, one.holds);
        let line = lines.remove(&(one.site.as_str(), one.reference.as_str()));
        let line = worse(line, || Line::new(one.site.clone(), format!("/sites/{}", one.reference)), kind, shape, state);
        lines.insert((&one.site, &one.reference), line.say(format!("{words}.")));
    }
    lines.into_values().collect()
}

/// One line a person.
fn papers(all: &[PersonsPaper]) -> Vec<Line> {
    let mut lines: BTreeMap<(&str, &str), Line> = BTreeMap::new();
    for one in all {
        let (kind, shape, state, words) = paper(one.kind, one.holds);
        let line = lines.remove(&(one.name.as_str(), one.reference.as_str()));
        let line =
            worse(line, || Line::new(one.name.clone(), format!("/people/{}", one.reference)), kind, shape, state);
        lines.insert((&one.name, &one.reference), line.say(format!("{words}.")));
    }
    lines.into_values().collect()
}

/// The line of somebody with several papers shows the gravest state.
fn worse(
    line: Option<Line>,
    new: impl FnOnce() -> Line,
    kind: &'static str,
    shape: &'static str,
    words: &'static str,
) -> Line {
    match line {
        None => new().state(kind, shape, words),
        Some(line) if kind == "not-met" => line.state(kind, shape, words),
        Some(line) => line,
    }
}
