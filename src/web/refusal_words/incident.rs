//! The words for every "no" about a report of what happened. The tables have no rest arm.

use super::Values;
use crate::domain::refusal::IncidentRefusal;
use crate::language::Value;

pub(super) fn message(refusal: &IncidentRefusal) -> &'static str {
    match refusal {
        IncidentRefusal::Closed => "refusal-incident-closed",
        IncidentRefusal::Lacks { .. } => "refusal-incident-lacks",
        IncidentRefusal::NotSigned => "refusal-incident-not-signed",
        IncidentRefusal::SamePerson => "refusal-incident-same-person",
        IncidentRefusal::ToldAlready => "refusal-incident-told-already",
        IncidentRefusal::TooManyPhotos { .. } => "refusal-incident-too-many-photos",
        IncidentRefusal::Kept { .. } => "refusal-incident-kept",
    }
}

pub(super) fn values(refusal: &IncidentRefusal) -> Values {
    match refusal {
        IncidentRefusal::Lacks { parts } => vec![("count", Value::from(parts.len()))],
        IncidentRefusal::TooManyPhotos { most } => vec![("most", Value::from(*most))],
        IncidentRefusal::Kept { case } => vec![("case", Value::from(*case))],
        IncidentRefusal::Closed
        | IncidentRefusal::NotSigned
        | IncidentRefusal::SamePerson
        | IncidentRefusal::ToldAlready => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::incident::ReportPart;
    use crate::domain::refusal::Refusal;
    use crate::domain::words::{Lang, Word};
    use crate::web::refusal_words::words;

    #[test]
    fn day_9_every_no_about_a_report_says_why_in_both_languages() {
        for (refusal, part) in [
            (IncidentRefusal::Closed, ""),
            (IncidentRefusal::Lacks { parts: ReportPart::ALL[..3].to_vec() }, "3"),
            (IncidentRefusal::NotSigned, ""),
            (IncidentRefusal::SamePerson, ""),
            (IncidentRefusal::ToldAlready, ""),
            (IncidentRefusal::TooManyPhotos { most: 20 }, "20"),
            (IncidentRefusal::Kept { case: 7 }, "7"),
        ] {
            let told = |lang| words(lang, &Refusal::Incident(refusal.clone()));
            assert_ne!(told(Lang::En), told(Lang::Es));
            assert!(Lang::ALL.iter().all(|lang| told(*lang).contains(part)), "{}", told(Lang::En));
        }
    }
}
