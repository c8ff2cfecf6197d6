//! What the office's planning forms offer: courses, sites, languages, people and their duties, and how the people's
//! fields are read.

use std::collections::BTreeMap;

use crate::domain::access::Duty;
use crate::domain::words::{Lang, Word};
use crate::services::plan_session::{self, Choices};
use crate::web::page::Choice;
use crate::web::staff_form::Reading;

/// What the field of a person's duty is called, before the account's reference.
pub const DUTY: &str = "duty_";

/// The choices of a planning form.
pub struct Offer {
    pub courses: Vec<Choice>,
    pub sites: Vec<Choice>,
    pub languages: Vec<Choice>,
    pub leads: Vec<Choice>,
    pub duties: Vec<Choice>,
    /// The field and the name of everybody.
    pub team: Vec<(String, String)>,
}

impl Offer {
    pub fn of(choices: &Choices) -> Self {
        let leads = choices.members.iter().filter(|member| plan_session::may_be_asked_to_lead(member));
        let duty = |(duty, words): &(Duty, &str)| Choice::new(duty, *words);
        let offered = [(Duty::Instructor, "Teaches"), (Duty::Helper, "Helps"), (Duty::FirstAid, "First aid")];
        let site = |(site, county): &(plan_session::SiteRow, String)| {
            Choice::new(&site.reference, format!("{}, {county}", site.name))
        };
        let everybody = choices.members.iter();
        Self {
            courses: choices.courses.iter().map(|course| Choice::new(&course.code, course.title(Lang::En))).collect(),
            sites: choices.sites.iter().map(site).collect(),
            languages: Lang::ALL.iter().map(|lang| Choice::new(lang, english_name(*lang))).collect(),
            leads: leads.map(|member| Choice::new(&member.reference, member.name.clone())).collect(),
            duties: offered.iter().map(duty).collect(),
            team: everybody.map(|member| (field_of(&member.reference), member.name.clone())).collect(),
        }
    }
}

/// The field of a person's duty.
pub fn field_of(reference: &str) -> String {
    format!("{DUTY}{reference}")
}

/// Reads the duties of everybody beside the lead.
pub fn read_team(reading: &mut Reading, fields: &BTreeMap<String, String>) -> Vec<(String, Duty)> {
    let answered = fields.iter().filter(|(field, duty)| field.starts_with(DUTY) && !duty.is_empty());
    let person = |(field, word): (&String, &String)| {
        let reference = field.strip_prefix(DUTY)?.to_owned();
        Some((reference, reading.choice(field, "the duty", word, Duty::Helper)))
    };
    answered.filter_map(person).collect()
}

/// A language as staff read it.
pub fn english_name(lang: Lang) -> &'static str {
    match lang {
        Lang::En => "English",
        Lang::Es => "Spanish",
    }
}
