//! The form of a pattern: what it shows of a pattern or a session, and how its answers are read.

use std::collections::BTreeMap;

use chrono::NaiveTime;
use serde::Deserialize;

use super::offer::{Offer, field_of, read_team};
use crate::domain::access::Duty;
use crate::domain::seen::Seen;
use crate::domain::words::Lang;
use crate::language;
use crate::services::patterns::{Pattern, PatternMeeting, PatternWish};
use crate::services::plan_session::Choices;
use crate::services::season;
use crate::web::form::FieldErrors;
use crate::web::moved::Told;
use crate::web::page::Choice;
use crate::web::staff_form::Reading;

/// The most characters of a pattern's name.
const NAME: usize = 80;
/// How many meetings a pattern may have.
const MEETINGS: usize = super::sittings::MOST;
/// How many days a pattern may span.
const SPAN: i64 = 60;

/// What the form sends. The rows of meetings and the duties of the team come as fields of their own.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct PatternForm {
    pub(super) seen: Seen,
    pub(super) name: String,
    pub(super) course: String,
    pub(super) site: String,
    pub(super) language: String,
    pub(super) starts: String,
    pub(super) minutes: String,
    pub(super) lead: String,
    pub(super) most: String,
    #[serde(flatten)]
    pub(super) rest: BTreeMap<String, String>,
}

/// A later meeting as it was typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Later {
    pub(super) ordinal: usize,
    pub(super) after: String,
    pub(super) starts: String,
    pub(super) minutes: String,
}

impl Later {
    pub(super) fn field(&self, stem: &str) -> String {
        format!("{stem}{}", self.ordinal)
    }

    pub(super) fn is_empty(&self) -> bool {
        [&self.after, &self.starts, &self.minutes].iter().all(|typed| typed.trim().is_empty())
    }

    pub(super) fn title(&self) -> &'static str {
        match self.ordinal {
            2 => "Second meeting",
            3 => "Third meeting",
            _ => "Fourth meeting",
        }
    }
}

impl PatternForm {
    /// What a pattern holds.
    pub(super) fn of(pattern: &Pattern) -> Self {
        let row = &pattern.row;
        let meetings = &pattern.meetings;
        Self {
            seen: Seen::of(pattern),
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
    pub(super) fn like(held: &season::SessionSheet, choices: &Choices) -> Self {
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

    /// Its answers in the words of the form.
    pub(super) fn told(&self, offer: &Offer) -> Told {
        let words = |choices: &[Choice], value: &str| {
            choices.iter().find(|choice| choice.value == value).map(|choice| choice.label.clone()).unwrap_or_default()
        };
        let mut all = vec![
            ("Name of the pattern".to_owned(), self.name.clone()),
            ("Course".to_owned(), words(&offer.courses, &self.course)),
            ("Site".to_owned(), words(&offer.sites, &self.site)),
            ("Start".to_owned(), self.starts.clone()),
            ("Length in minutes".to_owned(), self.minutes.clone()),
            ("Language".to_owned(), words(&offer.languages, &self.language)),
            ("Lead".to_owned(), words(&offer.leads, &self.lead)),
            ("Most seats wanted".to_owned(), self.most.clone()),
        ];
        for row in self.later() {
            let parts = [row.after.trim(), row.starts.trim(), row.minutes.trim()];
            let words = if row.is_empty() { String::new() } else { parts.join(" · ") };
            all.push((format!("{}: days after, start, minutes", row.title()), words));
        }
        all.extend(offer.team.iter().map(|(field, name)| (name.clone(), words(&offer.duties, self.duty(field)))));
        all
    }

    /// The meetings after the first.
    pub(super) fn later(&self) -> Vec<Later> {
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
    pub(super) fn has_more(&self) -> bool {
        self.later().iter().any(|row| !row.is_empty())
    }

    /// The duty typed for a person's field.
    pub(super) fn duty(&self, field: &str) -> &str {
        self.rest.get(field).map_or("", String::as_str)
    }

    pub(super) fn read(&self) -> Result<PatternWish, FieldErrors> {
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
