//! What the address of a report asks for. Everything stays as typed until it is read; what cannot be used is told at its
//! field.

use serde::Deserialize;

use crate::domain::report::{Figure, Period, PeriodFaults, RowOrder, Scope, TableOrder};
use crate::domain::words::Word;
use crate::services::report::Choices;
use crate::services::report::map::CountedBy;
use crate::services::report::rows::Question;
use crate::web::answer::Trouble;
use crate::web::form::FieldErrors;
use crate::web::links;

/// What the address says.
#[derive(Debug, Default, Clone, Deserialize)]
pub struct Wish {
    #[serde(default)]
    pub(super) from: String,
    #[serde(default)]
    pub(super) to: String,
    #[serde(default)]
    pub(super) course: String,
    #[serde(default)]
    pub(super) grant: String,
    #[serde(default)]
    pub(super) by: String,
    #[serde(default)]
    pub(super) order: String,
    #[serde(default)]
    pub(super) figure: String,
    #[serde(default)]
    pub(super) county: String,
    #[serde(default)]
    pub(super) page: String,
}

/// A choice that is left open is the first of its words.
fn chosen<T: Word + Copy>(typed: &str) -> Option<T> {
    if typed.is_empty() { T::ALL.first().copied() } else { T::from_word(typed) }
}

fn given(text: &str) -> Option<String> {
    Some(text.to_owned()).filter(|text| !text.is_empty())
}

impl Wish {
    /// The report asked for: this year when no day is typed.
    pub(super) fn scope(&self, choices: &Choices, year: Period) -> Result<(Scope, TableOrder), FieldErrors> {
        let mut errors = FieldErrors::default();
        let period = match (self.from.trim(), self.to.trim()) {
            ("", "") => year,
            (from, to) => Period::read(from, to).unwrap_or_else(|faults| {
                tell(&mut errors, faults);
                year
            }),
        };
        let knows =
            |list: &[(String, String)], typed: &str| typed.is_empty() || list.iter().any(|(code, _)| code == typed);
        if !knows(&choices.courses, &self.course) {
            errors.add("course", "Choose a course from the list");
        }
        if !knows(&choices.grants, &self.grant) {
            errors.add("grant", "Choose a grant from the list");
        }
        if !self.by.is_empty() && CountedBy::from_word(&self.by).is_none() {
            errors.add("by", "Choose home or site");
        }
        let order = chosen(&self.order).unwrap_or(TableOrder::Name);
        let scope = Scope { period, course: given(&self.course), grant: given(&self.grant) };
        if errors.is_empty() { Ok((scope, order)) } else { Err(errors) }
    }

    /// What our own pages ask about rows; anything else is no question of ours.
    pub(super) fn question(&self) -> Result<Question, Trouble> {
        let figure = Figure::from_word(&self.figure).ok_or(Trouble::Malformed)?;
        let period = Period::read(&self.from, &self.to).map_err(|_| Trouble::Malformed)?;
        let order: RowOrder = chosen(&self.order).ok_or(Trouble::Malformed)?;
        let is_code = self.county.len() == 5 && self.county.bytes().all(|byte| byte.is_ascii_digit());
        if !(self.county.is_empty() || is_code) || self.grant.len() > 80 || self.course.len() > 80 {
            return Err(Trouble::Malformed);
        }
        let scope = Scope { period, course: given(&self.course), grant: given(&self.grant) };
        Ok(Question { figure, scope, county: given(&self.county), order })
    }

    /// The page asked for, from 1.
    pub(super) fn page(&self) -> Result<i64, Trouble> {
        let page = if self.page.is_empty() { Ok(1) } else { self.page.parse::<u32>() };
        page.map(i64::from).map_err(|_| Trouble::Malformed)
    }
}

fn tell(errors: &mut FieldErrors, faults: PeriodFaults) {
    if faults.from {
        errors.add("from", "Write the first day, such as 2026-05-01");
    }
    if faults.to {
        errors.add("to", "Write the last day, such as 2026-10-31");
    }
    if faults.turned_round {
        errors.add("to", "The last day comes before the first. Change one of them");
    }
}

/// A scope as part of an address.
pub(super) fn query(scope: &Scope) -> String {
    let mut query = format!("from={}&to={}", scope.period.from.format("%Y-%m-%d"), scope.period.to.format("%Y-%m-%d"));
    for (name, code) in [("course", &scope.course), ("grant", &scope.grant)] {
        if let Some(code) = code {
            query.push_str(&format!("&{name}={}", links::encoded(code)));
        }
    }
    query
}
