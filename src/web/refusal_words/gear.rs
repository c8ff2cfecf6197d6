//! The words for every "no" about helmets. The table has no rest arm.

use super::Values;
use crate::domain::grant::GrantNo;
use crate::domain::refusal::GearRefusal;
use crate::domain::words::Lang;
use crate::language::{self, Value};

pub(super) fn message(refusal: &GearRefusal) -> &'static str {
    match refusal {
        GearRefusal::NoHelmetLeft => "refusal-no-helmet-left",
        GearRefusal::HelmetSize => "refusal-helmet-size",
        GearRefusal::HelmetTooOld => "refusal-helmet-too-old",
        GearRefusal::MadeToCome => "refusal-helmet-made-to-come",
        GearRefusal::HelmetAlready => "refusal-helmet-already",
        GearRefusal::NotTheirs => "refusal-helmet-not-theirs",
        GearRefusal::BackAlready => "refusal-helmet-back-already",
        GearRefusal::NotChecked => "refusal-helmet-not-checked",
        GearRefusal::NotRight => "refusal-helmet-not-right",
        GearRefusal::Recalled => "refusal-helmet-recalled",
        GearRefusal::Grant(GrantNo::OutsidePeriod) => "refusal-grant-period",
        GearRefusal::Grant(GrantNo::TooYoung { .. }) => "refusal-grant-too-young",
        GearRefusal::Grant(GrantNo::TooOld { .. }) => "refusal-grant-too-old",
        GearRefusal::Grant(GrantNo::OtherCounty) => "refusal-grant-other-county",
        GearRefusal::Grant(GrantNo::HadOne { .. }) => "refusal-grant-had-one",
        GearRefusal::RecallStands => "refusal-recall-stands",
        GearRefusal::NoRate => "refusal-match-no-rate",
        GearRefusal::Short { .. } => "refusal-helmets-short",
    }
}

pub(super) fn values(lang: Lang, refusal: &GearRefusal) -> Values {
    match refusal {
        GearRefusal::Grant(GrantNo::TooYoung { least }) => vec![("least", Value::from(*least))],
        GearRefusal::Grant(GrantNo::TooOld { most }) => vec![("most", Value::from(*most))],
        GearRefusal::Grant(GrantNo::HadOne { on, again }) => {
            let day = |name, on| (name, Value::from(language::date_short(lang, on)));
            vec![day("day", *on), day("again", *again)]
        }
        GearRefusal::Short { left } => vec![("left", Value::from(*left))],
        _ => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use crate::domain::grant::GrantNo;
    use crate::domain::refusal::{GearRefusal, Refusal};
    use crate::domain::words::{Lang, Word};
    use crate::web::refusal_words::words;

    fn day(year: i32) -> chrono::NaiveDate {
        chrono::NaiveDate::from_ymd_opt(year, 6, 13).unwrap()
    }

    #[test]
    fn day_4_every_no_about_helmets_has_words_of_its_own_in_both_languages() {
        let all = [
            GearRefusal::NoHelmetLeft,
            GearRefusal::HelmetSize,
            GearRefusal::HelmetTooOld,
            GearRefusal::MadeToCome,
            GearRefusal::HelmetAlready,
            GearRefusal::NotTheirs,
            GearRefusal::BackAlready,
            GearRefusal::NotChecked,
            GearRefusal::NotRight,
            GearRefusal::Short { left: 17 },
            GearRefusal::Recalled,
            GearRefusal::RecallStands,
            GearRefusal::NoRate,
            GearRefusal::Grant(GrantNo::OutsidePeriod),
            GearRefusal::Grant(GrantNo::TooYoung { least: 6 }),
            GearRefusal::Grant(GrantNo::TooOld { most: 15 }),
            GearRefusal::Grant(GrantNo::OtherCounty),
            GearRefusal::Grant(GrantNo::HadOne { on: day(2025), again: day(2028) }),
        ];
        let had_one = Refusal::Gear(all[all.len() - 1].clone());
        assert!(Lang::ALL.iter().all(|lang| ["2025", "2028"].iter().all(|year| words(*lang, &had_one).contains(year))));
        let told = |lang: Lang| -> std::collections::BTreeSet<String> {
            all.iter().map(|refusal| words(lang, &Refusal::Gear(refusal.clone()))).collect()
        };
        let (english, spanish) = (told(Lang::En), told(Lang::Es));
        assert_eq!((english.len(), spanish.len()), (all.len(), all.len()));
        assert!(english.is_disjoint(&spanish));
        assert!(
            Lang::ALL.iter().all(|lang| words(*lang, &Refusal::Gear(GearRefusal::Short { left: 17 })).contains("17"))
        );
    }
}
