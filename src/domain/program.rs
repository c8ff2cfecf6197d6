//! The program's own settings: rules that each program may set for itself, kept as data. To add one: a field of
//! `ProgramSettings` with its default, and one line of `LINES`. The page, its checks and the audit log follow.

use serde::{Deserialize, Serialize};

use super::curriculum::{LocalText, SourceMark};
use super::measures::growth::GrowthLimits;
use super::people::LeapRule;
use super::retention::RetentionRule;
use super::rule_setting::{RuleSetting, RuleUnit, RuleValue, SettingFault};
use super::session::RatioRule;
use super::site_paper::{SitePaperKind, shipped_blocking_kinds};
use super::staffing::DutyPapers;

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
    /// Days before and after a session in which its staff see it.
    #[serde(default = "shipped_staff_window")]
    pub staff_window_days: i64,
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

/// One setting: how it is told, held to bounds, read and written.
struct Declared {
    key: &'static str,
    group: &'static str,
    label: &'static str,
    hint: &'static str,
    unit: RuleUnit,
    bounds: (i64, i64),
    /// How well the shipped value is founded, and on what; none for what only the program can know.
    source: Option<(SourceMark, &'static str)>,
    shipped: Option<fn() -> RuleValue>,
    get: fn(&OpenProgram) -> RuleValue,
    set: fn(&mut OpenProgram, RuleValue) -> Option<()>,
}

const OFFICE: &str = "The office";
const RATIO: &str = "Riders an instructor";
const OTHERS: &str = "Other rules";
const KEEPING: &str = "How long signed texts are kept";
const PRACTICE: &str = "Common practice";
const RIDERS: RuleUnit = RuleUnit::Count("rider", "riders");
const YEARS: RuleUnit = RuleUnit::Count("year", "years");
const LEAP: RuleUnit = RuleUnit::Choice(&[
    ("first_of_march", "1 March in common years"),
    ("last_of_february", "28 February in common years"),
]);

fn number(value: RuleValue) -> Option<i64> {
    if let RuleValue::Number(number) = value { Some(number) } else { None }
}

fn years(value: RuleValue) -> Option<u32> {
    number(value).and_then(|years| u32::try_from(years).ok())
}

fn text(value: RuleValue) -> Option<String> {
    if let RuleValue::Text(text) = value { Some(text) } else { None }
}

/// Every setting, in the order of the page.
const LINES: &[Declared] = &[
    Declared {
        key: "name",
        group: OFFICE,
        label: "Name of the program",
        hint: "Stands at the head of every page and on certificates.",
        unit: RuleUnit::Text(120),
        bounds: (0, 0),
        source: None,
        shipped: None,
        get: |file| RuleValue::Text(file.name.clone()),
        set: |file, value| text(value).map(|name| file.name = name),
    },
    Declared {
        key: "office_phone",
        group: OFFICE,
        label: "Phone of the office",
        hint: "Stands at the foot of every page.",
        unit: RuleUnit::Phone,
        bounds: (0, 0),
        source: None,
        shipped: None,
        get: |file| RuleValue::Text(file.office_phone.clone()),
        set: |file, value| text(value).map(|phone| file.office_phone = phone),
    },
    Declared {
        key: "office_email",
        group: OFFICE,
        label: "E-mail of the office",
        hint: "Stands at the foot of every page.",
        unit: RuleUnit::Mail,
        bounds: (0, 0),
        source: None,
        shipped: None,
        get: |file| RuleValue::Text(file.office_email.clone()),
        set: |file, value| text(value).map(|mail| file.office_email = mail),
    },
    Declared {
        key: "office_hours",
        group: OFFICE,
        label: "When the office answers",
        hint: "Families read it in their language.",
        unit: RuleUnit::Words(160),
        bounds: (0, 0),
        source: None,
        shipped: None,
        get: |file| RuleValue::Words(file.settings.office_hours.clone()),
        set: |file, value| match value {
            RuleValue::Words(words) => {
                file.settings.office_hours = words;
                Some(())
            }
            _ => None,
        },
    },
    Declared {
        key: "ratio_young",
        group: RATIO,
        label: "Riders an instructor, young riders",
        hint: "Holds for the whole group when its youngest rider is this young. Sessions planned before keep their seats.",
        unit: RIDERS,
        bounds: (1, 12),
        source: Some((SourceMark::C, PRACTICE)),
        shipped: Some(|| RuleValue::Number(RatioRule::SHIPPED.young)),
        get: |file| RuleValue::Number(file.settings.ratio.young),
        set: |file, value| number(value).map(|riders| file.settings.ratio.young = riders),
    },
    Declared {
        key: "ratio_young_through",
        group: RATIO,
        label: "Last age that counts as young",
        hint: "A group whose youngest rider is older follows the next line.",
        unit: YEARS,
        bounds: (6, 15),
        source: Some((SourceMark::C, PRACTICE)),
        shipped: Some(|| RuleValue::Number(RatioRule::SHIPPED.young_through)),
        get: |file| RuleValue::Number(file.settings.ratio.young_through),
        set: |file, value| number(value).map(|age| file.settings.ratio.young_through = age),
    },
    Declared {
        key: "ratio_older",
        group: RATIO,
        label: "Riders an instructor, older riders",
        hint: "A course may ask for fewer; the smaller number holds.",
        unit: RIDERS,
        bounds: (1, 12),
        source: Some((SourceMark::C, PRACTICE)),
        shipped: Some(|| RuleValue::Number(RatioRule::SHIPPED.older)),
        get: |file| RuleValue::Number(file.settings.ratio.older),
        set: |file, value| number(value).map(|riders| file.settings.ratio.older = riders),
    },
    Declared {
        key: "helmet_years",
        group: OTHERS,
        label: "Years that a helmet is used",
        hint: "Counted from the end of the month it was made. A hard knock retires it at once.",
        unit: YEARS,
        bounds: (1, 10),
        source: Some((SourceMark::C, "Common practice; no federal rule")),
        shipped: Some(|| RuleValue::Number(5)),
        get: |file| RuleValue::Number(file.settings.helmet_years.into()),
        set: |file, value| years(value).map(|n| file.settings.helmet_years = n),
    },
    Declared {
        key: "leap_rule",
        group: OTHERS,
        label: "Birthday of those born on 29 February",
        hint: "Decides from which day an age counts, on every page and paper.",
        unit: LEAP,
        bounds: (0, 0),
        source: Some((SourceMark::C, "A state statute reads 1 March; other places use 28 February")),
        shipped: Some(|| RuleValue::Text("first_of_march".to_owned())),
        get: |file| RuleValue::Text(leap_word(file.settings.leap_rule).to_owned()),
        set: |file, value| text(value).map(|word| file.settings.leap_rule = leap_rule(&word)),
    },
    Declared {
        key: "staff_window",
        group: OTHERS,
        label: "Days in which staff see their session",
        hint: "Before and after its first day. Outside them the roster and its children's data stay closed.",
        unit: RuleUnit::Count("day", "days"),
        bounds: (2, 60),
        source: Some((SourceMark::C, PRACTICE)),
        shipped: Some(|| RuleValue::Number(shipped_staff_window())),
        get: |file| RuleValue::Number(file.settings.staff_window_days),
        set: |file, value| number(value).map(|days| file.settings.staff_window_days = days),
    },
    Declared {
        key: "majority_age",
        group: KEEPING,
        label: "Age at which a child is grown up",
        hint: "State law; ask your lawyer.",
        unit: YEARS,
        bounds: (18, 21),
        source: Some((SourceMark::C, "Common practice; state law decides")),
        shipped: Some(|| RuleValue::Number(RetentionRule::default().majority_age.into())),
        get: |file| RuleValue::Number(file.settings.retention.majority_age.into()),
        set: |file, value| years(value).map(|n| file.settings.retention.majority_age = n),
    },
    Declared {
        key: "limitation_years",
        group: KEEPING,
        label: "Years in which a claim may still come",
        hint: "Counted from that age. State law; ask your lawyer.",
        unit: YEARS,
        bounds: (1, 20),
        source: Some((SourceMark::C, "Common practice; state law decides")),
        shipped: Some(|| RuleValue::Number(RetentionRule::default().limitation_years.into())),
        get: |file| RuleValue::Number(file.settings.retention.limitation_years.into()),
        set: |file, value| years(value).map(|n| file.settings.retention.limitation_years = n),
    },
    Declared {
        key: "margin_years",
        group: KEEPING,
        label: "Years kept beyond that",
        hint: "Signed texts are kept until all three have passed.",
        unit: YEARS,
        bounds: (0, 10),
        source: Some((SourceMark::C, "Common practice")),
        shipped: Some(|| RuleValue::Number(RetentionRule::default().margin_years.into())),
        get: |file| RuleValue::Number(file.settings.retention.margin_years.into()),
        set: |file, value| years(value).map(|n| file.settings.retention.margin_years = n),
    },
];

fn leap_word(rule: LeapRule) -> &'static str {
    match rule {
        LeapRule::FirstOfMarch => "first_of_march",
        LeapRule::LastOfFebruary => "last_of_february",
    }
}

fn leap_rule(word: &str) -> LeapRule {
    if word == "last_of_february" { LeapRule::LastOfFebruary } else { LeapRule::FirstOfMarch }
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
        LINES.iter().map(one).collect()
    }

    /// Sets one value, already held to its bounds.
    ///
    /// # Errors
    /// `Unknown` for a key or a kind of value that is none of these.
    pub fn set(&mut self, key: &str, value: RuleValue) -> Result<(), SettingFault> {
        let line = LINES.iter().find(|line| line.key == key).ok_or(SettingFault::Unknown)?;
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
        assert_eq!(file().settings.staff_window_days, 14);
    }

    #[test]
    fn saturday_2_settings_kept_before_a_setting_was_known_read_with_its_default() {
        let old =
            r#"{"ratio":{"young":3,"young_through":9,"older":5},"helmet_years":4,"office_hours":{"en":"a","es":"b"}}"#;
        let read: ProgramSettings = serde_json::from_str(old).unwrap();
        assert_eq!((read.leap_rule, read.staff_window_days), (LeapRule::FirstOfMarch, 14));
    }
}
