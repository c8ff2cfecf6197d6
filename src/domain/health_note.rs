//! What a family says about a child's health for one session. Must not judge it: no answer here keeps a child out.
//! The whole note is sealed where it is stored; this file only gives it its shape.

use serde::{Deserialize, Serialize};

use super::words::{Lang, word_list};

word_list! {
    /// A condition that changes what staff do on the field.
    Condition {
        /// Asthma or trouble with breathing.
        Asthma = "asthma",
        /// An allergy.
        Allergy = "allergy",
        /// Seizures or fainting.
        Seizures = "seizures",
        /// Diabetes.
        Diabetes = "diabetes",
        /// A heart condition.
        Heart = "heart",
        /// An injury or operation that is still healing.
        Healing = "healing",
    }
}

word_list! {
    /// An answer that may be "I don't know".
    Known {
        /// Yes.
        Yes = "yes",
        /// No.
        No = "no",
        /// The guardian does not know.
        Unknown = "unknown",
    }
}

/// One child's health answers for one session.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct HealthNote {
    /// Whether there is a condition at all.
    pub any: Known,
    /// Which ones.
    pub conditions: Vec<Condition>,
    /// To what the child is allergic; empty without an allergy.
    pub allergy: String,
    /// Whether the child carries an auto-injector.
    pub injector: Known,
    /// Where it is kept; empty without one.
    pub injector_where: String,
    /// Whether the child takes medicine on the day.
    pub medicine: Known,
    /// Which and when; empty without one.
    pub medicine_what: String,
    /// What helps the child to take part: hearing, seeing, moving, learning, language.
    pub needs: String,
    /// Anything else, in the guardian's words.
    pub more: String,
    /// The language of those words; that of the registration when it is not said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub language: Option<Lang>,
}

impl HealthNote {
    /// Whether staff have something to read before the child rides.
    pub fn says_something(&self) -> bool {
        self.any != Known::No
            || self.injector != Known::No
            || self.medicine != Known::No
            || !self.needs.is_empty()
            || !self.more.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn quiet() -> HealthNote {
        let empty = String::new;
        HealthNote {
            any: Known::No,
            conditions: Vec::new(),
            allergy: empty(),
            injector: Known::No,
            injector_where: empty(),
            medicine: Known::No,
            medicine_what: empty(),
            needs: empty(),
            more: empty(),
            language: None,
        }
    }

    #[test]
    fn house_3_a_note_is_silent_only_when_every_answer_is_no() {
        assert!(!quiet().says_something());
        for note in [
            HealthNote { any: Known::Unknown, ..quiet() },
            HealthNote { injector: Known::Unknown, ..quiet() },
            HealthNote { medicine: Known::Yes, ..quiet() },
            HealthNote { needs: "hearing aid".into(), ..quiet() },
            HealthNote { more: "shy".into(), ..quiet() },
        ] {
            assert!(note.says_something(), "{note:?}");
        }
    }

    #[test]
    fn house_3_a_note_comes_back_as_it_was_kept() {
        let note = HealthNote {
            any: Known::Yes,
            conditions: vec![Condition::Asthma, Condition::Allergy],
            allergy: "bee stings".into(),
            ..quiet()
        };
        let kept = serde_json::to_string(&note).unwrap();
        assert_eq!(serde_json::from_str::<HealthNote>(&kept).unwrap(), note);
    }
}
