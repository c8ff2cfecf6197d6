//! Who may take a child home: the adult's name against the family's "do not release to" list.
//! Errs on the careful side: a name that only might be the same is refused, with words that ask for the full name.

use super::name_form::{alike, words_of};
use super::refusal::Refusal;

/// Whether this adult may take the child.
///
/// # Errors
/// `AdultNeeded` without a name; `NotReleased` when the name may be one of the list.
pub fn may_release(not_release: &[String], adult: &str) -> Result<(), Refusal> {
    let typed = words_of(adult);
    if typed.is_empty() {
        return Err(Refusal::AdultNeeded);
    }
    match not_release.iter().find(|line| each_name(line).iter().any(|name| may_be_same(&words_of(name), &typed))) {
        Some(line) => Err(Refusal::NotReleased { name: line.trim().to_owned() }),
        None => Ok(()),
    }
}

/// Families write several names in one line.
fn each_name(line: &str) -> Vec<String> {
    let mut names = line.to_lowercase();
    for word in [
        " and ", " or ", " y ", " o ", " & ", ";", "/", "
",
    ] {
        names = names.replace(word, ",");
    }
    names.split(',').map(str::trim).filter(|name| !name.is_empty()).map(str::to_owned).collect()
}

/// One name's words all stand in the other, each as it is or with one letter off.
fn may_be_same(listed: &[String], typed: &[String]) -> bool {
    // Written together or apart, it is the same name.
    let (listed_whole, typed_whole) = (listed.concat(), typed.concat());
    if !listed.is_empty() && alike(&listed_whole, &typed_whole) {
        return true;
    }
    let within = |few: &[String], many: &[String]| few.iter().all(|word| many.iter().any(|other| alike(word, other)));
    !listed.is_empty() && (within(listed, typed) || within(typed, listed))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn refuses(listed: &str, adult: &str) -> bool {
        may_release(&[listed.to_owned()], adult) == Err(Refusal::NotReleased { name: listed.to_owned() })
    }

    #[test]
    fn house_3_a_listed_name_is_refused_however_it_is_written() {
        for typed in
            ["Marcus Webb", "  marcus   WEBB ", "Márcus Webb", "Marcus J. Webb", "Webb", "Marcus", "Marcus Web"]
        {
            assert!(refuses("Marcus Webb", typed), "{typed}");
        }
        assert!(refuses("Łukasz Nygård", "Lukasz Nygard"));
        assert!(refuses("Ana Beltrán-Ruiz", "Ana Beltran Ruiz"));
        for spaces in ["AnaBeltran Ruiz", "anabeltranruiz", "Ana Beltranruiz", "An a Beltrán Ruiz"] {
            assert!(refuses("Ana Beltrán-Ruiz", spaces), "{spaces}");
        }
        for two in ["Marcus Webb; Dale Orr", "Marcus Webb and Dale Orr", "Dale Orr y Marcus Webb"] {
            assert!(refuses(two, "Dale J. Orr") && refuses(two, "Marcus Webb"), "{two}");
        }
    }

    #[test]
    fn house_3_other_adults_may_take_the_child() {
        for typed in ["Ingrid Lindqvist", "Marta Webster", "Mark Webber", "Lee Wu"] {
            assert!(!refuses("Marcus Webb", typed), "{typed}");
        }
        assert_eq!(may_release(&[], "Anybody"), Ok(()));
    }

    #[test]
    fn house_3_nobody_leaves_with_an_unnamed_adult() {
        for typed in ["", "   ", "-", "?!"] {
            assert_eq!(may_release(&[], typed), Err(Refusal::AdultNeeded), "{typed:?}");
        }
    }
}
