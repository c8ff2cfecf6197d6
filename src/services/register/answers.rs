//! The answers of each step exactly as typed: what a form sends, what a draft keeps and what a page shows again.
//! Reading them into values is done in `reading.rs`, again at every step and once more at the end.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::domain::health_note::Condition;

/// The steps in order, by their names in addresses.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Step {
    /// Who rides.
    Rider,
    /// The child's health.
    Health,
    /// Guardian, contacts, pick-up.
    Adults,
    /// Body measures.
    Sizes,
    /// What nobody has to answer; only where the program asks anything.
    Questions,
    /// Check and sign.
    Check,
}

impl Step {
    /// Every step in order.
    pub const ALL: [Self; 6] = [Self::Rider, Self::Health, Self::Adults, Self::Sizes, Self::Questions, Self::Check];

    /// Its name in addresses.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::Rider => "rider",
            Self::Health => "health",
            Self::Adults => "adults",
            Self::Sizes => "sizes",
            Self::Questions => "questions",
            Self::Check => "check",
        }
    }
}

/// Who rides.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct RiderAnswers {
    /// The reference of a child that the guardian has registered before; empty for a new one.
    pub known: String,
    pub given: String,
    pub family: String,
    /// The name on the certificate, where it is another.
    pub paper_name: String,
    pub birth_month: String,
    pub birth_day: String,
    pub birth_year: String,
    /// Home county, five digits.
    pub county: String,
    /// How much the child has ridden.
    pub ridden: String,
}

/// The child's health.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct HealthAnswers {
    /// `yes`, `no` or `unknown`: is there a condition?
    pub any: String,
    pub asthma: String,
    pub allergy: String,
    pub seizures: String,
    pub diabetes: String,
    pub heart: String,
    pub healing: String,
    pub allergy_what: String,
    pub injector: String,
    pub injector_where: String,
    pub medicine: String,
    pub medicine_what: String,
    pub needs: String,
    pub more: String,
    /// `yes` when the family wants the answers to be kept for the next time.
    pub keep: String,
    /// The language in which the family wrote in its own words.
    pub language: String,
}

impl HealthAnswers {
    /// The tick of a condition.
    pub fn tick(&mut self, condition: Condition) -> &mut String {
        match condition {
            Condition::Asthma => &mut self.asthma,
            Condition::Allergy => &mut self.allergy,
            Condition::Seizures => &mut self.seizures,
            Condition::Diabetes => &mut self.diabetes,
            Condition::Heart => &mut self.heart,
            Condition::Healing => &mut self.healing,
        }
    }

    /// Whether what somebody wrote in their own words is the same in both.
    pub fn says_the_same(&self, other: &Self) -> bool {
        let own = |one: &Self| {
            [&one.allergy_what, &one.injector_where, &one.medicine_what, &one.needs, &one.more]
                .map(|text| text.trim().to_owned())
        };
        own(self) == own(other)
    }
}

/// Guardian, people to call, pick-up.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct AdultsAnswers {
    pub given: String,
    pub family: String,
    pub phone: String,
    pub email: String,
    /// Never kept in a draft: only its hash is.
    #[serde(skip_serializing)]
    pub password: String,
    /// The adult who comes with the child and stays.
    pub day_name: String,
    pub day_phone: String,
    pub first_name: String,
    pub first_phone: String,
    pub second_name: String,
    pub second_phone: String,
    pub pick_up_name: String,
    pub pick_up_phone: String,
    pub pick_up_too_name: String,
    pub pick_up_too_phone: String,
    pub not_release: String,
}

/// Body measures.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct SizesAnswers {
    /// `us` or `metric`.
    pub units: String,
    pub height: String,
    pub height_unknown: String,
    pub weight: String,
    pub weight_unknown: String,
    pub inseam: String,
    pub inseam_unknown: String,
    pub head: String,
    pub head_unknown: String,
    /// `boy` or `girl`: the growth chart that height and weight are compared with to catch slips of typing. Anything
    /// else compares with none. It goes with the draft and is kept nowhere else.
    pub chart: String,
    /// `yes` when odd measures were looked at and are right.
    pub confirmed: String,
}

/// Everything kept on the way.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Draft {
    pub rider: Option<RiderAnswers>,
    pub health: Option<HealthAnswers>,
    pub adults: Option<AdultsAnswers>,
    pub sizes: Option<SizesAnswers>,
    /// What was answered to the program's own questions, by their references.
    pub questions: Option<BTreeMap<String, String>>,
    /// The hash of the password chosen for a new account.
    pub password_hash: Option<String>,
}

impl Draft {
    /// Keeps who rides. Of another child nothing is said yet about health and size.
    pub fn set_rider(&mut self, answers: RiderAnswers) {
        if self.rider.as_ref().is_some_and(|before| before.known != answers.known) {
            self.health = None;
            self.sizes = None;
        }
        self.rider = Some(answers);
    }

    /// Whether a step has its answers.
    pub fn has(&self, step: Step) -> bool {
        match step {
            Step::Rider => self.rider.is_some(),
            Step::Health => self.health.is_some(),
            Step::Adults => self.adults.is_some(),
            Step::Sizes => self.sizes.is_some(),
            Step::Questions => self.questions.is_some(),
            Step::Check => true,
        }
    }
}
