//! Patterns: the list, the form, and one pattern with the sessions planned from it.

use std::collections::BTreeMap;

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::{Datelike, NaiveDate, NaiveTime};
use serde::Deserialize;

use super::offer::{Offer, english_name, field_of, read_team};
use crate::domain::access::Duty;
use crate::domain::refusal::Refusal;
use crate::domain::words::Lang;
use crate::language;
use crate::services::patterns::{self, Pattern, PatternMeeting, PatternSheet, PatternWish, Wanted};
use crate::services::plan_session::{self, Choices};
use crate::services::season::SeasonRow;
use crate::services::{App, Failure, season};
use crate::web::answer::{Answer, go, shown, shown_again};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

/// The most characters of a pattern's name.
const NAME: usize = 80;
/// How many meetings a pattern may have.
const MEETINGS: usize = super::sittings::MOST;
/// How many days a pattern may span.
const SPAN: i64 = 60;

#[derive(Template)]
#[template(path = "pattern/list.html")]
struct ListPage {
    page: Page,
    patterns: Vec<Pattern>,
}

#[derive(Template)]
#[template(path = "pattern/one.html")]
struct OnePage {
    page: Page,
    sheet: PatternSheet,
}

impl OnePage {
    fn reference(&self) -> &str {
        &self.sheet.pattern.row.reference
    }

    /// The series of the eight weeks after the last session planned from this pattern.
    fn next_weeks(&self) -> Option<String> {
        let last = self.sheet.sessions.last()?.view.session.held_on;
        let (from, through) = (last + chrono::Days::new(7), last + chrono::Days::new(56));
        let part = |name: &str, day: NaiveDate| {
            format!("{name}_month={}&{name}_day={}&{name}_year={}", day.month(), day.day(), day.year())
        };
        let days = format!("{}&{}", part("from", from), part("through", through));
        Some(format!("/patterns/{}/series?how=weeks&weeks=1&{days}", self.reference()))
    }
}

#[derive(Template)]
#[template(path = "pattern/new.html")]
struct FormPage {
    page: Page,
    errors: FieldErrors,
    form: PatternForm,
    /// The pattern that is edited; none for a new one.
    edited: Option<String>,
    offer: Offer,
}

/// What the form sends. The rows of meetings and the duties of the team come as fields of their own.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct PatternForm {
    name: String,
    course: String,
    site: String,
    language: String,
    starts: String,
    minutes: String,
    lead: String,
    most: String,
    #[serde(flatten)]
    rest: BTreeMap<String, String>,
}

/// A later meeting as it was typed.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Later {
    ordinal: usize,
    after: String,
    starts: String,
    minutes: String,
}

impl Later {
    fn field(&self, stem: &str) -> String {
        format!("{stem}{}", self.ordinal)
    }

    fn is_empty(&self) -> bool {
        [&self.after, &self.starts, &self.minutes].iter().all(|typed| typed.trim().is_empty())
    }

    fn title(&self) -> &'static str {
        match self.ordinal {
            2 => "Second meeting",
            3 => "Third meeting",
            _ => "Fourth meeting",
        }
    }
}

/// From which session a new pattern takes its answers.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct From {
    session: String,
}

/// Every pattern.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let patterns = blocking(&app, move |app| patterns::list(app, &caller)).await?;
    shown(&ListPage { page: staff_page(&request, "Patterns"), patterns })
}

/// One pattern.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let sheet = blocking(&app, move |app| patterns::find(app, &caller, &reference)).await?;
    let page = staff_page(&request, sheet.pattern.row.name.clone());
    shown(&OnePage { page, sheet })
}

/// The form of a new pattern, filled from a session when one is named.
pub async fn new(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Asked(from): Asked<From>,
) -> Answer {
    let (held, choices) = blocking(&app, move |app| {
        let choices = plan_session::choices(app, &caller)?;
        let held = (!from.session.is_empty()).then(|| season::find(app, &caller, &from.session)).transpose()?;
        Ok((held, choices))
    })
    .await?;
    let form = match held {
        Some(held) => PatternForm::like(&held, &choices),
        None => PatternForm { language: Lang::En.to_string(), ..PatternForm::default() },
    };
    shown(&form_page(&request, form, FieldErrors::default(), &choices, None))
}

/// The form of a pattern that is there.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let own = reference.clone();
    let (pattern, choices) = blocking(&app, move |app| patterns::with_choices(app, &caller, &own)).await?;
    let form = PatternForm::of(&pattern);
    shown(&form_page(&request, form, FieldErrors::default(), &choices, Some(reference.into_inner())))
}

/// Keeps a new pattern.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<PatternForm>,
) -> Answer {
    let asking = caller.clone();
    let errors = match form.read() {
        Err(faults) => faults,
        Ok(wish) => match blocking(&app, move |app| patterns::add(app, &asking, wish)).await {
            Ok(reference) => return Ok(go(&format!("/patterns/{reference}"))),
            Err(Failure::Refused(refusal)) => told(&refusal),
            Err(other) => return Err(other.into()),
        },
    };
    let choices = blocking(&app, move |app| plan_session::choices(app, &caller)).await?;
    shown_again(&form_page(&request, form, errors, &choices, None))
}

/// Keeps what was edited.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<PatternForm>,
) -> Answer {
    let (asking, own) = (caller.clone(), reference.clone());
    // A pattern that is not there answers so before its form is judged.
    let (_, choices) = blocking(&app, move |app| patterns::with_choices(app, &asking, &own)).await?;
    let own = reference.clone();
    let errors = match form.read() {
        Err(faults) => faults,
        Ok(wish) => match blocking(&app, move |app| patterns::update(app, &caller, &own, wish)).await {
            Ok(()) => return Ok(go(&format!("/patterns/{reference}"))),
            Err(Failure::Refused(refusal)) => told(&refusal),
            Err(other) => return Err(other.into()),
        },
    };
    shown_again(&form_page(&request, form, errors, &choices, Some(reference.into_inner())))
}

/// Forgets a pattern.
pub async fn remove(app: web::Data<App>, Asking(caller): Asking, reference: web::Path<String>) -> Answer {
    blocking(&app, move |app| patterns::remove(app, &caller, &reference)).await?;
    Ok(go("/patterns"))
}

fn told(refusal: &Refusal) -> FieldErrors {
    let mut errors = FieldErrors::default();
    errors.add("name", refusal_words::words(Lang::En, refusal));
    errors
}

fn form_page(
    request: &HttpRequest,
    form: PatternForm,
    errors: FieldErrors,
    choices: &Choices,
    edited: Option<String>,
) -> FormPage {
    let title = if edited.is_some() { "Edit a pattern" } else { "Make a pattern" };
    let page = staff_page(request, title).with_errors(errors.len());
    FormPage { page, errors, form, edited, offer: Offer::of(choices) }
}

impl PatternForm {
    /// What a pattern holds.
    fn of(pattern: &Pattern) -> Self {
        let row = &pattern.row;
        let meetings = &pattern.meetings;
        Self {
            name: row.name.clone(),
            course: row.course.clone(),
            site: row.site.clone(),
            language: row.language.to_string(),
            lead: pattern.lead().to_owned(),
            most: row.choice.map_or_else(String::new, |most| most.to_string()),
            ..Self::with_meetings(meetings)
        }
        .with_team(pattern.team.iter().map(|one| (one.reference.as_str(), one.duty)))
    }

    /// What holds for a session.
    fn like(held: &season::SessionSheet, choices: &Choices) -> Self {
        let walls: Vec<_> = held.meetings.iter().filter_map(|row| Some((super::wall_of(row)?, row.minutes))).collect();
        let first = walls.first().map(|(wall, _)| wall.date()).unwrap_or_default();
        let meeting = |(wall, minutes): &(chrono::NaiveDateTime, i64)| PatternMeeting {
            day: u64::try_from((wall.date() - first).num_days()).unwrap_or(0),
            starts: wall.time(),
            minutes: *minutes,
        };
        let meetings: Vec<PatternMeeting> = walls.iter().map(meeting).collect();
        let of = |id| choices.members.iter().find(|member| member.id == id).map(|member| member.reference.as_str());
        let team: Vec<_> = held.team.iter().filter_map(|row| Some((of(row.staff_id)?, row.duty))).collect();
        let lead = team.iter().find(|(_, duty)| *duty == Duty::Lead);
        Self {
            name: format!("{}, ages {}", held.view.site.name, super::ages(&held.view.course)),
            course: held.view.course.code.clone(),
            site: held.view.site.reference.clone(),
            language: held.view.session.language.to_string(),
            lead: lead.map(|(reference, _)| (*reference).to_owned()).unwrap_or_default(),
            most: held.limits.and_then(|limits| limits.choice).map_or_else(String::new, |most| most.to_string()),
            ..Self::with_meetings(&meetings)
        }
        .with_team(team.into_iter())
    }

    fn with_meetings(meetings: &[PatternMeeting]) -> Self {
        let clock = |time: NaiveTime| language::time(Lang::En, time);
        let mut form = Self::default();
        for (ordinal, meeting) in (1..).zip(meetings.iter().take(MEETINGS)) {
            if ordinal == 1 {
                (form.starts, form.minutes) = (clock(meeting.starts), meeting.minutes.to_string());
                continue;
            }
            form.rest.insert(format!("after{ordinal}"), meeting.day.to_string());
            form.rest.insert(format!("starts{ordinal}"), clock(meeting.starts));
            form.rest.insert(format!("minutes{ordinal}"), meeting.minutes.to_string());
        }
        form
    }

    fn with_team<'a>(mut self, team: impl Iterator<Item = (&'a str, Duty)>) -> Self {
        let others = team.filter(|(_, duty)| *duty != Duty::Lead);
        self.rest.extend(others.map(|(reference, duty)| (field_of(reference), duty.to_string())));
        self
    }

    /// The meetings after the first.
    fn later(&self) -> Vec<Later> {
        let typed = |stem: &str, ordinal| self.rest.get(&format!("{stem}{ordinal}")).cloned().unwrap_or_default();
        let later = |ordinal| Later {
            ordinal,
            after: typed("after", ordinal),
            starts: typed("starts", ordinal),
            minutes: typed("minutes", ordinal),
        };
        (2..=MEETINGS).map(later).collect()
    }

    /// Whether anything is typed in the rows after the first.
    fn has_more(&self) -> bool {
        self.later().iter().any(|row| !row.is_empty())
    }

    /// The duty typed for a person's field.
    fn duty(&self, field: &str) -> &str {
        self.rest.get(field).map_or("", String::as_str)
    }

    fn read(&self) -> Result<PatternWish, FieldErrors> {
        let mut reading = Reading::default();
        let wish = PatternWish {
            name: reading.line("name", "the name of the pattern", &self.name, NAME),
            course: reading.chosen("course", "the course", &self.course),
            site: reading.chosen("site", "the site", &self.site),
            meetings: self.read_meetings(&mut reading),
            language: reading.choice("language", "the language", &self.language, Lang::En),
            lead: reading.chosen("lead", "the lead", &self.lead),
            others: read_team(&mut reading, &self.rest),
            choice: reading.whole_if_any("most", "the most seats wanted", &self.most, 1..=500),
        };
        reading.done(wish)
    }

    /// The meetings. A later one that gives only its day starts when the first does and is as long.
    fn read_meetings(&self, reading: &mut Reading) -> Vec<PatternMeeting> {
        let first = PatternMeeting {
            day: 0,
            starts: reading.time("starts", "when it starts", &self.starts),
            minutes: reading.whole("minutes", "the length in minutes", &self.minutes, super::sittings::LENGTH),
        };
        let mut meetings = vec![first];
        for row in self.later().iter().filter(|row| !row.is_empty()) {
            let (after, starts, minutes) = (row.field("after"), row.field("starts"), row.field("minutes"));
            let day = reading.whole(&after, "the days after the first meeting", &row.after, 1..=SPAN);
            let day = u64::try_from(day).unwrap_or(1);
            if meetings.last().is_some_and(|before| before.day >= day) && meetings.len() > 1 {
                reading.fault(&after, "Each meeting comes after the one above it");
            }
            meetings.push(PatternMeeting {
                day,
                starts: match row.starts.trim().is_empty() {
                    true => first.starts,
                    false => reading.time(&starts, "when it starts", &row.starts),
                },
                minutes: match row.minutes.trim().is_empty() {
                    true => first.minutes,
                    false => reading.whole(&minutes, "the length in minutes", &row.minutes, super::sittings::LENGTH),
                },
            });
        }
        meetings
    }
}

/// "8:30 AM to 1:00 PM", and for a later meeting how many days after the first.
pub(super) fn meeting_words(meeting: &PatternMeeting) -> String {
    let until = meeting.starts + chrono::TimeDelta::minutes(meeting.minutes);
    let times = language::time_range(Lang::En, meeting.starts, until);
    match meeting.day {
        0 => times,
        1 => format!("{times}, the day after"),
        days => format!("{times}, {days} days after"),
    }
}

/// The times of a pattern's meetings in one line.
pub(super) fn all_meetings(meetings: &[PatternMeeting]) -> String {
    meetings.iter().map(meeting_words).collect::<Vec<_>>().join("; ")
}

/// "Rafael Tso leads, Dewey Blackwater helps".
fn team_words(team: &[Wanted]) -> String {
    let told: Vec<String> = team.iter().map(|one| format!("{} {}", one.name, super::duty(&one.duty))).collect();
    told.join(", ")
}

/// How many sessions of the pattern are to come, are over or were called off.
fn planned(sessions: &[SeasonRow]) -> String {
    match sessions.len() {
        1 => "1 session planned from it".to_owned(),
        many => format!("{many} sessions planned from it"),
    }
}
