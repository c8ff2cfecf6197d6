//! What the address of the list says: the search as typed, what is wrong with it, and the same search elsewhere.

use chrono::NaiveDate;
use serde::Deserialize;

use crate::domain::distance::Miles;
use crate::domain::words::{Lang, Word, word_list};
use crate::services::browse::{Order, REACHES, Wanted};
use crate::web::links;

word_list! {
    /// How the sessions that were found are shown.
    View {
        /// One after another.
        List = "list",
        /// By county on a map.
        Map = "map",
    }
}

/// The filter as the address carries it.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Filter {
    pub(super) near: String,
    pub(super) within: String,
    pub(super) county: String,
    pub(super) age: String,
    pub(super) taught: String,
    pub(super) month: String,
    pub(super) seats: String,
    pub(super) sort: String,
    pub(super) view: String,
    /// The language of a file's words; pages have their own.
    pub(super) words: String,
}

/// A choice that is left open is the first of its words.
fn chosen<T: Word + Copy>(typed: &str) -> Option<T> {
    if typed.is_empty() { T::ALL.first().copied() } else { T::from_word(typed) }
}

fn given(text: &str) -> Option<String> {
    Some(text.trim().to_owned()).filter(|text| !text.is_empty())
}

impl Filter {
    pub(super) fn wanted(&self) -> Wanted {
        Wanted {
            county: given(&self.county),
            near: given(&self.near),
            within: self.within().map(Miles::within),
            age: self.age.trim().parse().ok(),
            language: Lang::parse(&self.taught),
            month: self.month(),
            with_seats: !self.seats.is_empty(),
            order: chosen(&self.sort),
        }
    }

    /// One of the distances of the list.
    fn within(&self) -> Option<i64> {
        let typed = self.within.trim();
        REACHES.into_iter().find(|miles| miles.to_string() == typed)
    }

    /// As in `2026-06`.
    fn month(&self) -> Option<NaiveDate> {
        format!("{}-01", self.month.trim()).parse().ok()
    }

    /// List or map; the list when the word is neither.
    pub(super) fn view(&self) -> View {
        chosen(&self.view).unwrap_or(View::List)
    }

    /// What comes first; the day when the word is none of the list.
    pub(super) fn order(&self) -> Order {
        chosen(&self.sort).unwrap_or(Order::Day)
    }

    /// The fields that cannot be read, each with the message that says what can.
    pub(super) fn faults(&self) -> Vec<(&'static str, &'static str)> {
        let mut faults = Vec::new();
        let within = given(&self.within);
        if within.is_some() && given(&self.near).is_none() {
            faults.push(("near", "sessions-near-first"));
        }
        if within.is_some() && self.within().is_none() {
            faults.push(("within", "sessions-not-a-distance"));
        }
        if self.wanted().age.is_none() && given(&self.age).is_some() {
            faults.push(("age", "form-not-a-number"));
        }
        if self.month().is_none() && given(&self.month).is_some() {
            faults.push(("month", "sessions-not-a-month"));
        }
        if chosen::<View>(&self.view).is_none() {
            faults.push(("view", "sessions-not-a-view"));
        }
        if chosen::<Order>(&self.sort).is_none() {
            faults.push(("sort", "sessions-not-an-order"));
        }
        faults
    }

    /// The same search at an address, with some answers otherwise. What is empty is left out.
    pub(super) fn at(&self, path: &str, other: &[(&str, &str)]) -> String {
        let parts = [
            ("county", self.county.trim()),
            ("near", self.near.trim()),
            ("within", self.within.trim()),
            ("age", self.age.trim()),
            ("taught", &self.taught),
            ("month", self.month.trim()),
            ("seats", &self.seats),
            ("sort", &self.sort),
            ("view", &self.view),
            ("words", &self.words),
        ];
        let answer = |(name, value)| {
            let value = other.iter().find(|(changed, _)| *changed == name).map_or(value, |(_, value)| *value);
            (!value.is_empty()).then(|| format!("{name}={}", links::encoded(value)))
        };
        let query: Vec<String> = parts.into_iter().filter_map(answer).collect();
        if query.is_empty() { path.to_owned() } else { format!("{path}?{}", query.join("&")) }
    }
}
