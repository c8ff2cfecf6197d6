//! The program's own settings: rules that each program may set for itself, kept as data. To add one: a field of
//! `ProgramSettings` with its default, and one line of `declared` or `papers`. The page, its checks and the audit log follow.

mod declared;
mod families;
mod holds;
mod incidents;
mod keeping;
mod papers;
mod reminders;
mod riding;
mod weather;

use serde::{Deserialize, Serialize};

use super::concern::ReportingLine;
use super::consent::Signers;
use super::curriculum::LocalText;
use super::hold::HoldRule;
use super::incident::IncidentRule;
use super::measures::growth::GrowthLimits;
use super::paper_reminder::PaperReminderRule;
use super::people::LeapRule;
use super::registration::DayAdult;
use super::reminder::ReminderRule;
use super::retention::RetentionRule;
use super::riding::RidingRule;
use super::rule_setting::{RuleSetting, RuleValue, SettingFault};
use super::session::RatioRule;
use super::site_paper::{SitePaperKind, shipped_blocking_kinds};
use super::staffing::DutyPapers;
use super::weather::WeatherRule;
use declared::Declared;

/// Settings of the program. Each has a shipped default in `seed/program.toml` or here.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ProgramSettings {
    /// Riders an instructor, by the youngest rider's age.
    pub ratio: RatioRule,
    /// The papers without which nobody does a duty.
    #[serde(default)]
    pub papers: DutyPapers,
    /// Years that a helmet is used, from the end of the month it was made.
    pub helmet_years: u32,
    /// Papers of a site without which no session is announced there.
    #[serde(default = "shipped_blocking_kinds")]
    pub site_papers: Vec<SitePaperKind>,
    /// When somebody born on 29 February has a birthday in a common year.
    #[serde(default)]
    pub leap_rule: LeapRule,
    /// When the office answers.
    pub office_hours: LocalText,
    /// From where on a typed height or weight is asked about again.
    #[serde(default)]
    pub growth: GrowthLimits,
    /// How long signed texts and reports of incidents are kept.
    #[serde(default)]
    pub retention: RetentionRule,
    /// The state's number for reports about children.
    #[serde(default)]
    pub reporting_line: ReportingLine,
    /// By when somebody outside hears of an incident.
    #[serde(default)]
    pub incidents: IncidentRule,
    /// How the ground grips, for the teaching pages.
    #[serde(default)]
    pub riding: RidingRule,
    /// In which weather nobody rides.
    #[serde(default)]
    pub weather: WeatherRule,
    /// How long a seat is kept for somebody who has to answer.
    #[serde(default)]
    pub holds: HoldRule,
    /// When families hear of a session again.
    #[serde(default)]
    pub reminders: ReminderRule,
    /// When people of the staff hear that a paper runs out.
    #[serde(default)]
    pub paper_reminders: PaperReminderRule,
    /// Riders more than there are machines and helmets, because some do not come.
    #[serde(default)]
    pub overbooked: i64,
    /// Whose signature a consent to ride needs.
    #[serde(default)]
    pub signers: Signers,
    /// Whether families name the adult who is there on the day.
    #[serde(default)]
    pub day_adult: DayAdult,
    /// Days before and after a session in which its staff see it.
    #[serde(default = "shipped_staff_window")]
    pub staff_window_days: i64,
    /// Days ahead in which papers that run out stand on the first pages.
    #[serde(default = "shipped_papers_ahead")]
    pub papers_ahead_days: i64,
}

/// Two months are time enough to renew a card or a permit (common practice, no source).
fn shipped_papers_ahead() -> i64 {
    60
}

fn shipped_staff_window() -> i64 {
    super::access::STAFF_WINDOW_DAYS
}

/// The program as its administrator may change it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OpenProgram {
    /// What it is called.
    pub name: String,
    /// The office's telephone, as dialled.
    pub office_phone: String,
    /// The office's address.
    pub office_email: String,
    /// Its rules.
    pub settings: ProgramSettings,
}

fn declared() -> impl Iterator<Item = &'static Declared> {
    declared::LINES
        .iter()
        .chain(families::LINES)
        .chain(holds::LINES)
        .chain(reminders::LINES)
        .chain(papers::LINES)
        .chain(weather::LINES)
        .chain(incidents::LINES)
        .chain(riding::LINES)
        .chain(keeping::LINES)
}

impl OpenProgram {
    /// Every setting, in the order of the page.
    pub fn settings(&self) -> Vec<RuleSetting> {
        let one = |line: &Declared| RuleSetting {
            key: line.key.to_owned(),
            group: line.group.to_owned(),
            label: line.label.to_owned(),
            hint: line.hint.to_owned(),
            unit: line.unit,
            now: (line.get)(self),
            shipped: line.shipped.map(|value| value()),
            bounds: line.bounds,
            may_be_open: false,
            mark: line.source.map(|(mark, _)| mark),
            source: line.source.map(|(_, words)| words.to_owned()).unwrap_or_default(),
        };
        declared().map(one).collect()
    }

    /// Sets one value, already held to its bounds.
    ///
    /// # Errors
    /// `Unknown` for a key or a kind of value that is none of these.
    pub fn set(&mut self, key: &str, value: RuleValue) -> Result<(), SettingFault> {
        let line = declared().find(|line| line.key == key).ok_or(SettingFault::Unknown)?;
        (line.set)(self, value).ok_or(SettingFault::Unknown)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file() -> OpenProgram {
        let seed: toml::Value = toml::from_str(include_str!("../../seed/program.toml")).unwrap();
        OpenProgram {
            name: "Our program".into(),
            office_phone: "+14065550100".into(),
            office_email: "office@example.org".into(),
            settings: seed["settings"].clone().try_into().unwrap(),
        }
    }

    #[test]
    fn saturday_2_each_setting_reads_back_what_it_shows_and_changes_nothing_else() {
        let before = file();
        for setting in before.settings() {
            let mut changed = before.clone();
            changed.set(&setting.key, setting.now.clone()).unwrap();
            assert_eq!(changed, before, "{}", setting.key);
            if let (RuleValue::Number(_), (least, most)) = (&setting.now, setting.bounds) {
                for number in [least, most] {
                    changed.set(&setting.key, RuleValue::Number(number)).unwrap();
                    let now = changed.settings().into_iter().find(|one| one.key == setting.key).unwrap().now;
                    assert_eq!(now, RuleValue::Number(number), "{}", setting.key);
                }
            }
        }
        assert_eq!(file().set("moon", RuleValue::Number(1)), Err(SettingFault::Unknown));
        assert_eq!(file().set("name", RuleValue::Number(1)), Err(SettingFault::Unknown));
    }

    /// Shipped defaults of common practice (no source): 4 riders at 6 to 9, 6 above, helmets 5 years, 14 days.
    #[test]
    fn saturday_2_the_program_ships_with_the_defaults_that_the_page_names() {
        for setting in file().settings() {
            assert!(setting.is_as_shipped(), "{}", setting.key);
            assert_eq!(setting.mark.is_some(), setting.shipped.is_some(), "{}", setting.key);
        }
        assert_eq!((file().settings.staff_window_days, file().settings.papers_ahead_days), (14, 60));
    }

    #[test]
    fn saturday_2_settings_kept_before_a_setting_was_known_read_with_its_default() {
        let old =
            r#"{"ratio":{"young":3,"young_through":9,"older":5},"helmet_years":4,"office_hours":{"en":"a","es":"b"}}"#;
        let read: ProgramSettings = serde_json::from_str(old).unwrap();
        assert_eq!((read.leap_rule, read.staff_window_days), (LeapRule::FirstOfMarch, 14));
    }
}
