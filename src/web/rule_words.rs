//! The words of the pages that edit rules: faults at their field, marks of sources, and a setting as one line of a list.
//! Staff pages, in English. Decides nothing.

use crate::domain::consent::{ConsentFault, ConsentKind};
use crate::domain::curriculum::{CurriculumFault, Part, Place, SourceMark, Spot};
use crate::domain::point_list::{PointListFault, PointText};
use crate::domain::rule_setting::{RuleSetting, RuleUnit, RuleValue, SettingFault};
use crate::domain::rulebook::Book;
use crate::domain::season_turn::Review;
use crate::domain::words::{Lang, Word};

use super::page::Choice;

/// What people call a book.
#[must_use]
pub fn name(book: Book) -> &'static str {
    match book {
        Book::Curriculum => "Curriculum",
        Book::Fit => "Fit rules",
        Book::DayList => "Day list",
        Book::LookOver => "Looking a machine over",
        Book::HelmetCheck => "Checking a helmet",
        Book::Cautions => "Cautions",
        Book::ConsentRide => "Consent to ride",
        Book::ConsentPhoto => "Consent to pictures",
    }
}

/// Where a book's pages begin.
#[must_use]
pub fn base(book: Book) -> String {
    match book {
        Book::Curriculum => "/curriculum".to_owned(),
        Book::ConsentRide => format!("/consents/{}", ConsentKind::Ride),
        Book::ConsentPhoto => format!("/consents/{}", ConsentKind::Photo),
        other => format!("/rules/{other}"),
    }
}

/// Where a book is read by whoever looks it over.
#[must_use]
pub fn way(book: Book) -> String {
    match book {
        Book::ConsentRide | Book::ConsentPhoto => "/consents".to_owned(),
        other => base(other),
    }
}

/// What people call something that is read anew once a year.
#[must_use]
pub fn review_name(review: Review) -> &'static str {
    match review {
        Review::Book(book) => name(book),
        Review::Settings => "Settings of the program",
        Review::EmergencyPlans => "Emergency plans of the sites",
    }
}

/// Where it is read.
#[must_use]
pub fn review_way(review: Review) -> String {
    match review {
        Review::Book(book) => way(book),
        Review::Settings => "/program".to_owned(),
        Review::EmergencyPlans => "/sites".to_owned(),
    }
}

/// How well a figure is founded, in words.
#[must_use]
pub fn mark(mark: SourceMark) -> &'static str {
    match mark {
        SourceMark::R => "read in its source",
        SourceMark::R2 => "second-hand: a page that quotes the source",
        SourceMark::P => "read in a published data file",
        SourceMark::K => "worked out",
        SourceMark::M => "from memory of the source, not looked up",
        SourceMark::C => "no source",
    }
}

/// What is wrong with a typed value, and what helps.
#[must_use]
pub fn setting_fault(setting: &RuleSetting, fault: &SettingFault) -> String {
    let example = match setting.unit {
        RuleUnit::GroundLength => "such as 40 ft, 5 ft 6 in or 12 m",
        RuleUnit::BodyLength => "such as 3 in or 76 mm",
        RuleUnit::TenthDegrees => "such as 12.5",
        RuleUnit::Permille => "such as 1.3",
        RuleUnit::Hundredths => "such as 4 or -2.5",
        _ => "such as 4",
    };
    match fault {
        SettingFault::Missing => "Write an answer here".to_owned(),
        SettingFault::MissingIn(Lang::En) => "Write the English words".to_owned(),
        SettingFault::MissingIn(Lang::Es) => "Write the Spanish words".to_owned(),
        SettingFault::NotANumber => format!("Write a number, {example}"),
        SettingFault::NotALength => format!("Write a length with its unit, {example}"),
        SettingFault::TooSmall(least) => format!("Write {least} or more"),
        SettingFault::TooBig(most) => format!("Write {most} or less"),
        SettingFault::NotInTheList => "Choose one of the list".to_owned(),
        SettingFault::TooLong(most) => format!("Write at most {most} letters"),
        SettingFault::Malformed => "Take out the characters that are no letters, digits or signs".to_owned(),
        SettingFault::NotAPhone => "Write a phone number with its area code, such as (406) 555-0142".to_owned(),
        SettingFault::NotAMail => "Write an e-mail address, such as office@example.org".to_owned(),
        SettingFault::NothingMandatory => {
            "Leave it mandatory. It is the last one, and without any every rider would start".to_owned()
        }
        SettingFault::EndsCross => {
            "The lower figure would be over the upper one. Change the other one first".to_owned()
        }
        SettingFault::Fixed => "This limit was read in its source. It is fixed".to_owned(),
        SettingFault::Unknown => "There is no such setting".to_owned(),
    }
}

/// What is wrong with a curriculum, and what helps. One sentence a fault; `place` tells where.
#[must_use]
pub fn curriculum_fault(fault: &CurriculumFault) -> String {
    use CurriculumFault::*;
    match fault {
        VersionBelowOne => "The version must be 1 or more".to_owned(),
        NoLessons => "Add a lesson. There is nothing to teach yet".to_owned(),
        NothingBeforeWheels => "Name at least one check that must be met before any wheel turns".to_owned(),
        LessonOutOfOrder { number } => format!("Lesson {number} stands out of order. Move it"),
        TitleTwice { number, other } => format!("Lessons {other} and {number} have the same title. Change one"),
        DuplicateCode { code } => format!("Check {code} stands twice. Take one out"),
        CodeOfOtherLesson { code, lesson } => format!("Check {code} stands in lesson {lesson}. Move it"),
        NoRequiredCheck { lesson } => format!("Make at least one check of lesson {lesson} required"),
        UnknownPrerequisite { lesson, needs } => {
            format!("Lesson {lesson} needs lesson {needs}, which is not there. Take the tick out")
        }
        LaterPrerequisite { lesson, needs } => {
            format!("Lesson {lesson} needs lesson {needs}, which comes later. Move one or take the tick out")
        }
        BeforeWheelsWhileRiding { code } => {
            format!("Check {code} comes before any wheel turns, but its lesson is a riding lesson. Change one")
        }
        BeforeWheelsOptional { code } => format!("Check {code} comes before any wheel turns. Make it required"),
        EmptyText(spot) => format!("Write the {} in {}", spot.part.as_str(), language(spot)),
        TextTooLong { spot, most } => {
            format!("Shorten the {} in {} to {most} letters", spot.part.as_str(), language(spot))
        }
        UnknownSetting { spot, name } => {
            format!("The {} in {} names the figure {{{name}}}, which is not there", spot.part.as_str(), language(spot))
        }
        LooseBrace(spot) => {
            format!("The {} in {} has a brace that names no figure", spot.part.as_str(), language(spot))
        }
        OtherSettingsInSpanish { part, .. } => {
            format!("Name the same figures in both languages of the {}", part.as_str())
        }
        SettingWithoutUnit { name } => format!("The name {name} ends in no known unit"),
        SettingNotPositive { .. } => "Write a figure above zero".to_owned(),
        SettingTooLarge { .. } => "Write a smaller figure".to_owned(),
        LeastOverMost { .. } => "The fewest are more than the most. Change one of the two".to_owned(),
        SettingWithoutSource { .. } => "Say where the figure comes from".to_owned(),
    }
}

/// What is wrong with a day list, and what helps.
#[must_use]
pub fn point_list_fault(fault: &PointListFault) -> String {
    match fault {
        PointListFault::Empty => "Add a point. Riding would begin with nothing looked at".to_owned(),
        PointListFault::Key(_) => "This point stands twice. Take one out".to_owned(),
        PointListFault::Words(_, PointText::Title) => "Write its name in both languages".to_owned(),
        PointListFault::Words(_, PointText::LookFor) => "Write what is looked for, in both languages".to_owned(),
    }
}

/// What is wrong with a consent text, and what helps.
#[must_use]
pub fn consent_fault(fault: &ConsentFault) -> String {
    match fault {
        ConsentFault::NoClauses => "Add a clause. There is nothing to agree to".to_owned(),
        ConsentFault::DuplicateClause { .. } => "A clause stands twice. Take one out".to_owned(),
        ConsentFault::Empty { .. } => "Write the words of the empty part, in both languages".to_owned(),
        ConsentFault::SampleWithoutNotice => "A sample must say that it is one".to_owned(),
        ConsentFault::RideWithoutCaution => "Say what the paediatric society advises".to_owned(),
    }
}

fn language(spot: &Spot) -> &'static str {
    if spot.lang == Some(Lang::Es) { "Spanish" } else { "English" }
}

/// Where a fault stands, for a list of all of them.
#[must_use]
pub fn place(place: &Place) -> String {
    match place {
        Place::Whole => "Curriculum".to_owned(),
        Place::Lesson(number) => format!("Lesson {number}"),
        Place::Check(code) => format!("Check {code}"),
        Place::Setting(_) => "Figure".to_owned(),
    }
}

/// The address at which a fault is mended, its field named.
#[must_use]
pub fn address(spot: &Spot) -> String {
    let field = field(spot);
    match &spot.place {
        Place::Whole => "/curriculum/draft#lessons".to_owned(),
        Place::Lesson(number) => format!("/curriculum/draft/lessons/{number}#{field}"),
        Place::Check(code) => format!("/curriculum/draft/checks/{code}#{field}"),
        Place::Setting(name) => format!("/curriculum/draft/settings/{name}#value"),
    }
}

/// The name of the field that holds a part.
#[must_use]
pub fn field(spot: &Spot) -> String {
    let name = match spot.part {
        Part::Title => "title",
        Part::Setup => "setup",
        Part::Caution => "caution",
        Part::LooksLike => "looks_like",
        Part::NotYet => "not_yet",
        Part::Needs => "needs",
        Part::Riding => "riding",
        Part::Required => "required",
        Part::BeforeWheels => "before_wheels",
        Part::Checks => "checks",
        Part::Value | Part::Source => "value",
    };
    match spot.lang {
        Some(lang) => format!("{name}_{}", lang.as_str()),
        None => name.to_owned(),
    }
}

/// One setting as a list shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SettingLine {
    /// Its name in addresses.
    pub key: String,
    /// What it is.
    pub label: String,
    /// What it is now.
    pub now: String,
    /// The Spanish words, for a text in two languages.
    pub now_es: String,
    /// What ships, when that differs from now.
    pub shipped: String,
    /// How well it is founded.
    pub mark: String,
    /// Where it comes from.
    pub source: String,
}

impl SettingLine {
    /// A setting in words.
    #[must_use]
    pub fn of(setting: &RuleSetting) -> Self {
        let is_words = matches!(setting.now, RuleValue::Words(_));
        let shipped = setting.shipped.as_ref().filter(|_| !setting.is_as_shipped());
        Self {
            key: setting.key.clone(),
            label: setting.label.clone(),
            now: setting.told(&setting.now, Lang::En),
            now_es: if is_words { setting.told(&setting.now, Lang::Es) } else { String::new() },
            shipped: shipped.map(|value| setting.told(value, Lang::En)).unwrap_or_default(),
            mark: setting.mark.map(mark).unwrap_or_default().to_owned(),
            source: setting.source.clone(),
        }
    }
}

/// Settings under their headings, in order.
#[must_use]
pub fn grouped(settings: &[RuleSetting]) -> Vec<(String, Vec<SettingLine>)> {
    let mut groups: Vec<(String, Vec<SettingLine>)> = Vec::new();
    for setting in settings {
        let line = SettingLine::of(setting);
        match groups.last_mut().filter(|(group, _)| *group == setting.group) {
            Some((_, lines)) => lines.push(line),
            None => groups.push((setting.group.clone(), vec![line])),
        }
    }
    groups
}

/// The answers to choose from; none when the value is typed.
#[must_use]
pub fn choices(setting: &RuleSetting) -> Vec<Choice> {
    setting.unit.list().iter().map(|(word, words)| Choice::new(word, *words)).collect()
}

/// How a value is typed: its hint.
#[must_use]
pub fn how_typed(setting: &RuleSetting) -> String {
    let unit = match setting.unit {
        RuleUnit::GroundLength => "With its unit, such as 40 ft, 5 ft 6 in or 12 m.",
        RuleUnit::BodyLength => "With its unit, such as 3 in or 76 mm.",
        RuleUnit::TenthDegrees => "In degrees, such as 12.5.",
        RuleUnit::Permille => "As a factor, such as 1.3.",
        RuleUnit::Hundredths => "A number, such as 4 or -2.5.",
        RuleUnit::MilesPerHour => "In miles an hour.",
        RuleUnit::Count("", _) => "A number.",
        RuleUnit::Count(_, many) => return format!("A number of {many}, {}.", span(setting)),
        _ => "",
    };
    unit.to_owned()
}

fn span(setting: &RuleSetting) -> String {
    let (least, most) = setting.bounds;
    format!("{least} to {most}")
}

/// The sentence of bounds for the margin; empty for texts and lists.
#[must_use]
pub fn bounds(setting: &RuleSetting) -> String {
    match setting.unit {
        RuleUnit::Text(_)
        | RuleUnit::Phone
        | RuleUnit::Mail
        | RuleUnit::Words(_)
        | RuleUnit::Choice(_)
        | RuleUnit::Several(_) => String::new(),
        unit => format!("From {} to {}.", unit.told(setting.bounds.0), unit.told(setting.bounds.1)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::curriculum::CheckCode;

    #[test]
    fn saturday_2_a_fault_leads_to_its_field() {
        let code = CheckCode::parse("6.2").unwrap();
        for (spot, href) in [
            (Spot::text(Place::Lesson(6), Part::Setup, Lang::Es), "/curriculum/draft/lessons/6#setup_es"),
            (Spot::text(Place::Check(code), Part::NotYet, Lang::En), "/curriculum/draft/checks/6.2#not_yet_en"),
            (Spot::of(Place::Check(code), Part::Required), "/curriculum/draft/checks/6.2#required"),
            (Spot::of(Place::Setting("run_off_um".into()), Part::Value), "/curriculum/draft/settings/run_off_um#value"),
            (Spot::of(Place::Lesson(6), Part::Needs), "/curriculum/draft/lessons/6#needs"),
        ] {
            assert_eq!(address(&spot), href);
        }
    }
}
