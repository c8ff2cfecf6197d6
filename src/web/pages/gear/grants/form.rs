//! The form of a grant's record: what it holds, and what was typed in it.

use std::collections::BTreeMap;

use chrono::{Datelike, NaiveDate};
use serde::Deserialize;

use crate::domain::seen::Seen;
use crate::services::gear::grants::{GrantFacts, Sheet, Wish};
use crate::web::form::FieldErrors;
use crate::web::moved::{Told, told};
use crate::web::staff_form::Reading;

/// What the form of a grant sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct GrantForm {
    pub seen: Seen,
    pub grant_code: String,
    pub grant_name: String,
    pub payer: String,
    pub award: String,
    pub title_holder: String,
    pub starts_month: String,
    pub starts_day: String,
    pub starts_year: String,
    pub ends_month: String,
    pub ends_day: String,
    pub ends_year: String,
    pub federal_share: String,
    pub budget: String,
    pub helmets_target: String,
    pub match_wanted: String,
    pub hour_worth: String,
    pub mile_worth: String,
    pub least_age: String,
    pub most_age: String,
    pub again_after: String,
    /// Counties that were ticked, as `county_<code>`.
    #[serde(flatten)]
    pub others: BTreeMap<String, String>,
}

fn amount(cents: Option<i64>) -> String {
    cents.map(|cents| format!("{}.{:02}", cents / 100, cents % 100)).unwrap_or_default()
}

fn tenth(number: Option<i64>) -> String {
    number.map(|number| format!("{}.{}", number / 10, number % 10)).unwrap_or_default()
}

fn whole(number: Option<i64>) -> String {
    number.map(|number| number.to_string()).unwrap_or_default()
}

impl GrantForm {
    /// The record as it is kept.
    pub fn of(sheet: &Sheet) -> Self {
        let row = &sheet.standing.row;
        let parts = |on: NaiveDate| [on.month().to_string(), on.day().to_string(), on.year().to_string()];
        let [starts_month, starts_day, starts_year] = parts(row.starts_on);
        let [ends_month, ends_day, ends_year] = parts(row.ends_on);
        let ticked = sheet.counties.iter().map(|(code, _)| (format!("county_{code}"), "yes".to_owned()));
        Self {
            seen: sheet.seen.clone(),
            grant_code: row.code.clone(),
            grant_name: row.name.clone(),
            payer: row.payer.clone(),
            award: row.award.clone(),
            title_holder: row.title_holder.clone(),
            starts_month,
            starts_day,
            starts_year,
            ends_month,
            ends_day,
            ends_year,
            federal_share: tenth(row.federal_permille),
            budget: amount(row.budget_cents),
            helmets_target: row.helmets_target.to_string(),
            match_wanted: amount(row.match_cents),
            hour_worth: amount(row.hour_cents),
            mile_worth: tenth(row.mile_tenth_cents),
            least_age: whole(row.least_age),
            most_age: whole(row.most_age),
            again_after: whole(row.again_after_years),
            others: ticked.collect(),
        }
    }

    /// Codes of the counties that are ticked.
    pub fn counties(&self) -> Vec<String> {
        let ticked = self.others.iter().filter(|(_, value)| *value == "yes");
        ticked.filter_map(|(name, _)| name.strip_prefix("county_")).map(str::to_owned).collect()
    }

    /// Whether a county is ticked.
    pub fn has_county(&self, code: &str) -> bool {
        self.others.get(&format!("county_{code}")).is_some_and(|value| value == "yes")
    }

    /// Labels and answers, to tell what moved.
    pub fn told(&self) -> Told {
        let counties = self.counties().join(", ");
        let starts = format!("{}/{}/{}", self.starts_month, self.starts_day, self.starts_year);
        let ends = format!("{}/{}/{}", self.ends_month, self.ends_day, self.ends_year);
        told([
            ("Grant code", &self.grant_code),
            ("Name", &self.grant_name),
            ("Who pays", &self.payer),
            ("Number of the award", &self.award),
            ("Who holds the title", &self.title_holder),
            ("First day of its period", &starts),
            ("Last day of its period", &ends),
            ("Federal share in percent", &self.federal_share),
            ("Money for gear in dollars", &self.budget),
            ("Helmets it is to give", &self.helmets_target),
            ("To bring beside it in dollars", &self.match_wanted),
            ("An hour counts for, in dollars", &self.hour_worth),
            ("A mile counts for, in cents", &self.mile_worth),
            ("Least age", &self.least_age),
            ("Greatest age", &self.most_age),
            ("Years between two helmets", &self.again_after),
            ("Codes of counties", &counties),
        ])
    }

    /// What was typed, read.
    ///
    /// # Errors
    /// Sentences by field.
    pub fn read(&self) -> Result<Wish, FieldErrors> {
        let mut reading = Reading::default();
        let most = 10_000_000_000;
        let facts = GrantFacts {
            code: reading.line("grant_code", "the grant code", &self.grant_code, 40),
            name: reading.line("grant_name", "the grant's name", &self.grant_name, 160),
            payer: reading.line_if_any("payer", "who pays", &self.payer, 160),
            award: reading.line_if_any("award", "the number of the award", &self.award, 80),
            title_holder: reading.line_if_any("title_holder", "who holds the title", &self.title_holder, 160),
            starts_on: reading.day("starts", [&self.starts_month, &self.starts_day, &self.starts_year]),
            ends_on: reading.day("ends", [&self.ends_month, &self.ends_day, &self.ends_year]),
            federal_permille: reading.decimal_if_any(
                "federal_share",
                "the federal share",
                &self.federal_share,
                1,
                1000,
            ),
            budget_cents: reading.decimal_if_any("budget", "the money for gear", &self.budget, 2, most),
            helmets_target: reading.whole("helmets_target", "the helmets to give", &self.helmets_target, 0..=100_000),
            match_cents: reading.decimal_if_any("match_wanted", "what to bring", &self.match_wanted, 2, most),
            hour_cents: reading.decimal_if_any("hour_worth", "what an hour counts for", &self.hour_worth, 2, 100_000),
            mile_tenth_cents: reading.decimal_if_any(
                "mile_worth",
                "what a mile counts for",
                &self.mile_worth,
                1,
                100_000,
            ),
            least_age: reading.whole_if_any("least_age", "the least age", &self.least_age, 6..=18),
            most_age: reading.whole_if_any("most_age", "the greatest age", &self.most_age, 6..=18),
            again_after_years: reading.whole_if_any("again_after", "the years", &self.again_after, 1..=20),
        };
        if facts.ends_on < facts.starts_on && facts.ends_on != NaiveDate::MIN {
            reading.fault("ends", "The last day comes before the first. Look at both");
        }
        if facts.least_age.zip(facts.most_age).is_some_and(|(least, most)| most < least) {
            reading.fault("most_age", "The greatest age is below the least. Look at both");
        }
        reading.done(Wish { facts, counties: self.counties() })
    }
}
