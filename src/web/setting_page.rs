//! The page that changes one setting, the same for the program and for every book of rules: what it is now, what ships,
//! its unit both ways, its source, and one field. Saves nothing itself.

use askama::Template;

use crate::domain::rule_setting::{RuleSetting, RuleUnit, RuleValue};
use crate::domain::words::Lang;

use super::form::{Answers, FieldErrors};
use super::page::{Choice, Page};
use super::rule_words::{self, SettingLine};

/// One setting being changed.
#[derive(Template)]
#[template(path = "rules/setting.html")]
pub struct SettingPage {
    /// The page.
    pub page: Page,
    /// What is wrong with the answer.
    pub errors: FieldErrors,
    /// What stands in the fields.
    pub form: Answers,
    /// The setting in words.
    pub line: SettingLine,
    /// What it does.
    pub hint: String,
    /// What ships, in words; empty when nothing does.
    pub shipped: String,
    /// How it is typed.
    pub how: String,
    /// The bounds.
    pub bounds: String,
    /// The answers to choose from.
    pub choices: Vec<Choice>,
    /// Whether any number of them may be chosen, a box each.
    pub is_several: bool,
    /// Whether it is a text in two languages.
    pub is_words: bool,
    /// Whether it may stay empty.
    pub may_be_open: bool,
    /// Where the form goes.
    pub action: String,
    /// The page it belongs to: address and name.
    pub back: (String, &'static str),
    /// The revision that the form carries.
    pub revision: i64,
    /// Said when the setting was changed in another window.
    pub notice: Option<String>,
    /// What saving does, for the margin.
    pub effect: &'static str,
}

impl SettingPage {
    /// The page of a setting as it stands.
    #[must_use]
    pub fn new(page: Page, setting: &RuleSetting, revision: i64) -> Self {
        let form = match &setting.now {
            RuleValue::Words(text) => Answers::default().with("value_en", &text.en).with("value_es", &text.es),
            RuleValue::Chosen(chosen) => {
                chosen.iter().fold(Answers::default(), |form, word| form.with_tick(format!("value_{word}"), true))
            }
            other => Answers::default().with("value", setting.typed(other)),
        };
        let shipped = setting.shipped.as_ref().map(|value| setting.told(value, Lang::En)).unwrap_or_default();
        Self {
            page,
            errors: FieldErrors::default(),
            form,
            line: SettingLine::of(setting),
            hint: setting.hint.clone(),
            shipped,
            how: rule_words::how_typed(setting),
            bounds: rule_words::bounds(setting),
            choices: rule_words::choices(setting),
            is_several: matches!(setting.unit, RuleUnit::Several(_)),
            is_words: matches!(setting.unit, RuleUnit::Words(_)),
            may_be_open: setting.may_be_open,
            action: String::new(),
            back: (String::new(), ""),
            revision,
            notice: None,
            effect: "",
        }
    }

    fn is_ticked(&self, word: &str) -> bool {
        self.form.ticked(&format!("value_{word}"))
    }

    /// The same page with what was typed and what is wrong with it.
    #[must_use]
    pub fn again(self, form: Answers, errors: FieldErrors) -> Self {
        let page = self.page.with_errors(errors.len());
        Self { page, form, errors, ..self }
    }

    /// The same page, drawn because another window changed the draft: what was typed stays, what stands now is told.
    #[must_use]
    pub fn moved(self, form: Answers, notice: String) -> Self {
        Self { form, notice: Some(notice), ..self }
    }
}

/// Reads the answer of a setting's form.
///
/// # Errors
/// The sentence at its field.
pub fn read(setting: &RuleSetting, form: &Answers) -> Result<RuleValue, FieldErrors> {
    let read = match setting.unit {
        RuleUnit::Words(_) => setting.read(form.of("value_en"), form.of("value_es")),
        RuleUnit::Several(_) => Ok(setting.read_ticks(|word| form.ticked(&format!("value_{word}")))),
        _ => setting.read(form.of("value"), ""),
    };
    read.map_err(|fault| faulty(setting, &fault))
}

/// The sentence of a fault, at the field that it is about.
#[must_use]
pub fn faulty(setting: &RuleSetting, fault: &crate::domain::rule_setting::SettingFault) -> FieldErrors {
    use crate::domain::rule_setting::SettingFault;
    let field = match (setting.unit, fault) {
        (RuleUnit::Words(_), SettingFault::MissingIn(Lang::Es)) => "value_es",
        (RuleUnit::Words(_), _) => "value_en",
        _ => "value",
    };
    let mut errors = FieldErrors::default();
    errors.add(field, rule_words::setting_fault(setting, fault));
    errors
}
