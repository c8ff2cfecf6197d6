//! The cautions every page of a kind shows. Holds no wording; that is data.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use crate::domain::words::Lang;

/// The kind of page a caution belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CautionKey {
    /// Every page of the program.
    Riding,
    /// Rider and machine.
    Fit,
    /// One machine.
    Machine,
    /// Go or no-go.
    Weather,
    /// Registering a child.
    Registration,
    /// Signing a consent.
    Consent,
    /// A rider's certificate.
    Certificate,
    /// Reporting an incident.
    Incident,
    /// First aid.
    FirstAid,
    /// Lessons and marks.
    Skills,
    /// Figures for the people who pay.
    Report,
}

impl CautionKey {
    /// Every kind of page.
    pub const ALL: [CautionKey; 11] = [
        CautionKey::Riding,
        CautionKey::Fit,
        CautionKey::Machine,
        CautionKey::Weather,
        CautionKey::Registration,
        CautionKey::Consent,
        CautionKey::Certificate,
        CautionKey::Incident,
        CautionKey::FirstAid,
        CautionKey::Skills,
        CautionKey::Report,
    ];

    /// The word of it in data and addresses.
    pub fn as_str(self) -> &'static str {
        match self {
            CautionKey::Riding => "riding",
            CautionKey::Fit => "fit",
            CautionKey::Machine => "machine",
            CautionKey::Weather => "weather",
            CautionKey::Registration => "registration",
            CautionKey::Consent => "consent",
            CautionKey::Certificate => "certificate",
            CautionKey::Incident => "incident",
            CautionKey::FirstAid => "first_aid",
            CautionKey::Skills => "skills",
            CautionKey::Report => "report",
        }
    }

    /// The kind of page in the office's words.
    pub fn label(self) -> &'static str {
        match self {
            CautionKey::Riding => "Every page",
            CautionKey::Fit => "Fit check",
            CautionKey::Machine => "Machines",
            CautionKey::Weather => "Weather",
            CautionKey::Registration => "Registration",
            CautionKey::Consent => "Consent",
            CautionKey::Certificate => "Certificates",
            CautionKey::Incident => "Incident report",
            CautionKey::FirstAid => "First aid",
            CautionKey::Skills => "Lessons and marks",
            CautionKey::Report => "Reports",
        }
    }
}

/// One caution in every language, and where it comes from if somebody else says so.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Caution {
    /// English words.
    pub en: String,
    /// Spanish words.
    pub es: String,
    /// The outside source, as cited.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<String>,
}

impl Caution {
    /// The words in one language.
    pub fn in_lang(&self, lang: Lang) -> &str {
        match lang {
            Lang::En => &self.en,
            Lang::Es => &self.es,
        }
    }
}

/// All cautions; cannot be made with one missing or without words.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "BTreeMap<CautionKey, Caution>", into = "BTreeMap<CautionKey, Caution>")]
pub struct Cautions(BTreeMap<CautionKey, Caution>);

/// The kinds of page whose caution is missing or lacks words in a language.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("cautions missing or without words: {0:?}")]
pub struct MissingCautions(pub Vec<CautionKey>);

impl TryFrom<BTreeMap<CautionKey, Caution>> for Cautions {
    type Error = MissingCautions;
    fn try_from(map: BTreeMap<CautionKey, Caution>) -> Result<Cautions, MissingCautions> {
        let has_words = |c: &Caution| !c.en.trim().is_empty() && !c.es.trim().is_empty();
        let missing: Vec<CautionKey> =
            CautionKey::ALL.into_iter().filter(|key| !map.get(key).is_some_and(has_words)).collect();
        if missing.is_empty() { Ok(Cautions(map)) } else { Err(MissingCautions(missing)) }
    }
}

impl From<Cautions> for BTreeMap<CautionKey, Caution> {
    fn from(cautions: Cautions) -> BTreeMap<CautionKey, Caution> {
        cautions.0
    }
}

impl Cautions {
    /// The caution of one kind of page.
    pub fn of(&self, key: CautionKey) -> &Caution {
        self.0.get(&key).expect("cautions are complete by construction")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SHIPPED: &str = include_str!("../../seed/cautions.toml");

    #[test]
    fn house_3_every_kind_of_page_has_a_caution_in_both_languages() {
        let cautions: Cautions = toml::from_str(SHIPPED).unwrap();
        for key in CautionKey::ALL {
            let caution = cautions.of(key);
            assert_eq!(serde_json::to_string(&key).unwrap(), format!("\"{}\"", key.as_str()));
            assert!(!caution.in_lang(Lang::En).is_empty() && caution.in_lang(Lang::En) != caution.in_lang(Lang::Es));
        }
    }

    /// American Academy of Pediatrics, Pediatrics 150(4), October 2022, e2022059279.
    #[test]
    fn house_3_registration_and_consent_cite_the_paediatric_statement() {
        let cautions: Cautions = toml::from_str(SHIPPED).unwrap();
        for key in [CautionKey::Registration, CautionKey::Consent] {
            let caution = cautions.of(key);
            assert!(caution.source.as_deref().unwrap().contains("e2022059279"), "{key:?}");
            assert!(caution.en.contains("16") && caution.es.contains("16"), "{key:?}");
        }
    }

    #[test]
    fn house_3_a_missing_or_empty_caution_is_named() {
        let mut map = BTreeMap::from(toml::from_str::<Cautions>(SHIPPED).unwrap());
        map.remove(&CautionKey::Incident);
        map.get_mut(&CautionKey::Weather).unwrap().es = "  ".into();
        let missing = MissingCautions(vec![CautionKey::Weather, CautionKey::Incident]);
        assert_eq!(Cautions::try_from(map), Err(missing));
        assert!(toml::from_str::<Cautions>(&SHIPPED.replace("[first_aid]", "[firstaid]")).is_err());
    }
}
