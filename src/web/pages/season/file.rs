//! The file of a session as a PDF: who taught with which papers, what was signed, every entry of the day, the reports. In English.

use actix_web::web;
use chrono::NaiveDateTime;

use super::{duty, registration_state};
use crate::domain::acts::Taking;
use crate::domain::words::Lang;
use crate::language;
use crate::services::App;
use crate::services::incidents::Sheet;
use crate::services::session_file::{self, Binding, Document, Entry, OfRider, OnTeam, Part, SessionFile, Signed};
use crate::web::act_words::ended;
use crate::web::answer::{Answer, pdf};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::due_words::capital;
use crate::web::kept_words::whole;
use crate::web::staff_words::instant;
use crate::web::{incident_words, paper_words};

/// The file, as a file to take away.
pub async fn show(app: web::Data<App>, Asking(caller): Asking, session: web::Path<String>) -> Answer {
    let name = format!("session-{session}.pdf");
    let bytes = blocking(&app, move |app| {
        let file = session_file::find(app, &caller, &session)?;
        session_file::set(&document(&file), file.made_at)
    })
    .await?;
    Ok(pdf(&name, bytes))
}

fn pair(name: &str, answer: impl Into<String>) -> (String, String) {
    (name.to_owned(), answer.into())
}

/// The words of a file, part by part.
fn document(file: &SessionFile) -> Document {
    let session = &file.view.session;
    let made = instant(&file.made_at);
    let mut parts = vec![Part::Facts(about(file))];
    parts.push(Part::Heading("Team, and its papers on the last day".into()));
    parts.push(team(&file.team));
    parts.push(Part::Heading("Riders, and what was signed".into()));
    parts.push(riders(&file.riders));
    for sheet in &file.reports {
        parts.extend(report(sheet));
    }
    parts.push(Part::Heading("Every entry of the day".into()));
    parts.push(Part::Words(
        "In the order in which they count. Nothing of it was changed or removed; what was taken back is marked so."
            .into(),
    ));
    parts.push(entries(file));
    for text in &file.texts {
        parts.push(Part::Heading(format!(
            "The text that was signed: {}, version {}",
            consent(&text.kind),
            text.version
        )));
        parts.push(Part::Words(format!("{}\n\nFingerprint (SHA-256): {}", text.shown, text.shown_hash)));
    }
    let binding = Binding {
        title: format!("{}, {}", file.view.site.name, language::date_short(Lang::En, session.held_on)),
        author: file.program.clone(),
        foot: format!("Made {made}, up to entry {}. {}", file.version, file.program),
        page_of: ("Page".into(), "of".into()),
        identifier: format!("{}-{}", session.reference, file.version),
        lang: "en",
    };
    Document { binding, lead: "What the program kept about this session. Health answers are not in it.".into(), parts }
}

fn about(file: &SessionFile) -> Vec<(String, String)> {
    let (session, site) = (&file.view.session, &file.view.site);
    let mut facts = vec![
        pair("Course", file.view.course.title(Lang::En)),
        pair("Site", format!("{}, {}, {} {}", site.name, site.street, site.city, site.zip)),
        pair("County", format!("{} ({})", file.view.county_name, site.county)),
    ];
    for meeting in &file.meetings {
        let start = NaiveDateTime::parse_from_str(&meeting.local_start, "%Y-%m-%dT%H:%M");
        let when = start.map_or_else(|_| meeting.local_start.clone(), |at| instant(&at));
        facts.push(pair("Meeting", format!("{when} ({}), {} minutes", meeting.zone, meeting.minutes)));
    }
    facts.push(pair("Session", session.reference.clone()));
    if let Some(hold) = &file.hold {
        facts.push(pair(
            "Legal hold",
            format!("Since {}: {}", language::date_short(Lang::En, hold.at.date()), hold.note),
        ));
    }
    facts
}

fn team(team: &[OnTeam]) -> Part {
    let papers = |one: &OnTeam| {
        let line = |(kind, holds): &(_, Result<chrono::NaiveDate, _>)| match holds {
            Ok(through) => {
                let through = language::date_short(Lang::En, *through);
                format!("{}: holds through {through}", capital(&paper_words::kind(Lang::En, *kind)))
            }
            Err(fault) => {
                let paper = crate::domain::certification::BlockingPaper { kind: *kind, fault: *fault };
                capital(&paper_words::blocking(Lang::En, paper))
            }
        };
        one.papers.iter().map(line).collect::<Vec<_>>().join("\n")
    };
    let row = |one: &OnTeam| vec![one.name.clone(), duty(&one.duty).to_owned(), papers(one)];
    Part::Table {
        shares: vec![3, 2, 6],
        head: vec!["Name".into(), "Duty".into(), "Papers".into()],
        rows: team.iter().map(row).collect(),
    }
}

/// What a signed text is about.
fn consent(kind: &str) -> &'static str {
    if kind == "ride" { "Taking part" } else { "Photos" }
}

fn riders(riders: &[OfRider]) -> Part {
    let signed = |one: &Signed| {
        let text = consent(&one.kind);
        let back = one.withdrawn.map(|at| format!(", taken back {}", instant(&at))).unwrap_or_default();
        let hash = one.shown_hash.get(..16).unwrap_or_default();
        format!("{text}, version {}: {}, {}{back} (text {hash})", one.version, one.name, instant(&one.at))
    };
    let row = |one: &OfRider| {
        let ended = one.outcome.map(|outcome| format!("\n{}", ended(outcome))).unwrap_or_default();
        let lines: Vec<String> = one.signed.iter().map(signed).collect();
        let signed = if lines.is_empty() { "Nothing".to_owned() } else { lines.join("\n") };
        vec![
            format!("{}, {}", one.name, one.age),
            format!("{}{ended}", capital(registration_state(&one.state).0)),
            signed,
        ]
    };
    Part::Table {
        shares: vec![3, 2, 6],
        head: vec!["Name, age".into(), "Place".into(), "Signed".into()],
        rows: riders.iter().map(row).collect(),
    }
}

fn report(sheet: &Sheet) -> Vec<Part> {
    let row = &sheet.row;
    let mut facts = vec![pair("Kind", incident_words::kind(row.kind))];
    facts.extend(sheet.rider.as_ref().map(|(_, name, age)| pair("Rider", format!("{name}, {age}"))));
    facts.push(pair("Day", language::date_short(Lang::En, row.happened_on)));
    facts.extend(row.ambulance.then(|| pair("Ambulance", "Was called")));
    facts.extend(incident_words::parts(&sheet.report).into_iter().map(|(name, words)| pair(name, words)));
    facts.extend(incident_words::circumstances(&sheet.report).into_iter().map(|(name, words)| pair(name, words)));
    facts.push(pair("Opened", format!("{}, {}", instant(&sheet.learned), sheet.opened_by)));
    let mut stamp = |name: &str, stamped: &Option<(String, NaiveDateTime)>| {
        facts.extend(stamped.as_ref().map(|(by, at)| pair(name, format!("{by}, {}", instant(at)))));
    };
    stamp("Signed first", &sheet.signed);
    stamp("Signed second, closed", &sheet.closed);
    stamp("Insurer told", &sheet.insurer_told);
    facts.extend(sheet.addenda.iter().map(|(at, by, words)| {
        (format!("Added {}", language::date_short(Lang::En, at.date())), format!("{by}: {words}"))
    }));
    if !sheet.photos.is_empty() {
        facts.push(pair("Photos", format!("{}, on the report's page", sheet.photos.len())));
    }
    if sheet.closed.is_none() {
        facts.push(pair("State", "Not closed: it may still change"));
    }
    vec![Part::Heading(format!("Report {}", row.case_number)), Part::Facts(facts)]
}

fn entries(file: &SessionFile) -> Part {
    let row = |one: &Entry| {
        let mut words = whole(&one.body, &file.fit, &file.day_list);
        if !one.named.is_empty() {
            words = format!("{words}: {}", one.named);
        }
        let kept = match one.taking {
            Taking::Taken => "",
            Taking::Late => " (came after closing)",
            Taking::Conflict => " (contradicts another)",
            Taking::Quarantine => " (waits for a person)",
        };
        let undone = if one.undone { " (taken back)" } else { "" };
        let at = format!("{} {}", one.at.format("%-m/%-d"), language::time(Lang::En, one.at.time()));
        vec![one.counter.to_string(), at, one.rider.clone(), format!("{words}{kept}{undone}"), one.by.clone()]
    };
    Part::Table {
        shares: vec![4, 10, 15, 24, 14],
        head: vec!["No.".into(), "When".into(), "Rider".into(), "What".into(), "Entered by".into()],
        rows: file.entries.iter().map(row).collect(),
    }
}
