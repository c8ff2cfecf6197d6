//! Children who may have been entered twice: by the forms of a name, the birth date with day and month swapped, and the
//! adults they share. It only asks the office to look; it decides about nobody. Common practice, no source.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike, NaiveDate};

use super::name_form::{alike, words_of};

/// A shorter beginning of a word is in too many words.
const LEAST_BEGINNING: usize = 3;

/// A child as it is compared.
#[derive(Clone, Debug)]
pub struct Known {
    names: Vec<String>,
    born: NaiveDate,
    marks: BTreeSet<String>,
}

impl Known {
    /// A child of this name and birth date, with what tells its adults: whatever two children of one family share, such as
    /// an adult's row, telephone and address for letters.
    #[must_use]
    pub fn new(name: &str, born: NaiveDate, marks: BTreeSet<String>) -> Self {
        let mut names = words_of(name);
        names.sort();
        Self { names, born, marks }
    }
}

/// How two names are alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Names {
    /// The same words, in any order.
    Same,
    /// A word is missing, shorter, or has another letter.
    Alike,
}

/// How two birth dates are alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Born {
    /// The same day.
    Same,
    /// Day and month are swapped.
    Swapped,
    /// One of year, month and day differs.
    Near,
}

/// Why two children may be one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Likeness {
    /// By their names.
    pub names: Names,
    /// By their birth dates.
    pub born: Born,
    /// Whether they share an adult, a telephone or an address for letters.
    pub is_one_family: bool,
}

/// Whether two children may be one, and why. Who else would be a second José of the same town needs more likeness.
#[must_use]
pub fn likeness(one: &Known, other: &Known) -> Option<Likeness> {
    let (born, names) = (born_alike(one.born, other.born)?, names_alike(&one.names, &other.names)?);
    let is_one_family = !one.marks.is_disjoint(&other.marks);
    let enough = match (names, born) {
        (_, Born::Same) | (Names::Same, Born::Swapped) => true,
        (Names::Alike, Born::Swapped) | (Names::Same, Born::Near) => is_one_family,
        (Names::Alike, Born::Near) => false,
    };
    enough.then_some(Likeness { names, born, is_one_family })
}

fn born_alike(one: NaiveDate, other: NaiveDate) -> Option<Born> {
    let (year, month, day) = (one.year() == other.year(), one.month() == other.month(), one.day() == other.day());
    if year && month && day {
        return Some(Born::Same);
    }
    if year && one.month() == other.day() && one.day() == other.month() {
        return Some(Born::Swapped);
    }
    ([year, month, day].iter().filter(|part| **part).count() == 2).then_some(Born::Near)
}

fn names_alike(one: &[String], other: &[String]) -> Option<Names> {
    if one == other {
        return Some(Names::Same);
    }
    let (short, long) = if one.len() <= other.len() { (one, other) } else { (other, one) };
    // One word of several would be the family name alone.
    let has_enough = short.len() > 1 || (short.len() == 1 && long.len() == 1);
    (has_enough && each_finds_its_own(short, long, &mut vec![false; long.len()])).then_some(Names::Alike)
}

/// Whether each word finds a word of the other name that no other word took.
fn each_finds_its_own(short: &[String], long: &[String], taken: &mut Vec<bool>) -> bool {
    let Some((word, rest)) = short.split_first() else { return true };
    for at in 0..long.len() {
        if taken[at] || !forms_of_one(word, &long[at]) {
            continue;
        }
        taken[at] = true;
        if each_finds_its_own(rest, long, taken) {
            return true;
        }
        taken[at] = false;
    }
    false
}

fn forms_of_one(one: &str, other: &str) -> bool {
    let (short, long) = if one.len() <= other.len() { (one, other) } else { (other, one) };
    alike(one, other) || (short.chars().count() >= LEAST_BEGINNING && long.starts_with(short))
}

/// Every two of these children who may be one, by their places in the list.
#[must_use]
pub fn pairs(known: &[Known]) -> Vec<(usize, usize, Likeness)> {
    let mut near: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for (at, child) in known.iter().enumerate() {
        let (month, day) = (child.born.month(), child.born.day());
        let date = format!("born {} {} {}", child.born.year(), month.min(day), month.max(day));
        near.entry(date).or_default().push(at);
        for mark in &child.marks {
            near.entry(format!("mark {mark}")).or_default().push(at);
        }
    }
    let mut met = BTreeSet::new();
    for places in near.values() {
        for (nth, one) in places.iter().enumerate() {
            met.extend(places[nth + 1..].iter().map(|other| (*one, *other)));
        }
    }
    let judged = met.into_iter().map(|(one, other)| (one, other, likeness(&known[one], &known[other])));
    judged.filter_map(|(one, other, found)| found.map(|found| (one, other, found))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn day(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).expect("a day of the calendar")
    }

    fn child(name: &str, born: NaiveDate, marks: &[&str]) -> Known {
        Known::new(name, born, marks.iter().map(ToString::to_string).collect())
    }

    #[test]
    fn u37_two_may_be_one_child_by_names_and_birth_date_and_with_less_likeness_by_their_family() {
        let zoe = child("Zoë Marisol Okafor-Lindqvist", day(2016, 9, 4), &["+14065550118", "ingrid@example.org"]);
        let own = ["+14065550118"];
        for (name, born, marks, expected) in [
            ("Zoë Marisol Okafor-Lindqvist", day(2016, 9, 4), &[][..], Some((Names::Same, Born::Same))),
            ("OKAFOR LINDQVIST Zoe Marisol", day(2016, 9, 4), &[], Some((Names::Same, Born::Same))),
            ("Zoe Okafor", day(2016, 9, 4), &[], Some((Names::Alike, Born::Same))),
            ("Zoe Marisol Okafor-Lindquist", day(2016, 9, 4), &[], Some((Names::Alike, Born::Same))),
            ("Zoe Mari Okafor", day(2016, 9, 4), &[], Some((Names::Alike, Born::Same))),
            ("Zoë Marisol Okafor-Lindqvist", day(2016, 4, 9), &[], Some((Names::Same, Born::Swapped))),
            ("Zoe Okafor", day(2016, 4, 9), &[], None),
            ("Zoe Okafor", day(2016, 4, 9), &own, Some((Names::Alike, Born::Swapped))),
            ("Zoë Marisol Okafor-Lindqvist", day(2015, 9, 4), &[], None),
            ("Zoë Marisol Okafor-Lindqvist", day(2015, 9, 4), &own, Some((Names::Same, Born::Near))),
            ("Zoë Marisol Okafor-Lindqvist", day(2016, 9, 14), &own, Some((Names::Same, Born::Near))),
            ("Zoë Marisol Okafor-Lindqvist", day(2015, 9, 14), &own, None),
            ("Zoe Okafor", day(2015, 9, 4), &own, None),
            ("Ida Okafor-Lindqvist", day(2016, 9, 4), &own, None),
            ("Okafor", day(2016, 9, 4), &own, None),
            ("", day(2016, 9, 4), &own, None),
        ] {
            let found = likeness(&zoe, &child(name, born, marks));
            let is_one_family = !marks.is_empty();
            let expected = expected.map(|(names, born)| Likeness { names, born, is_one_family });
            assert_eq!(found, expected, "{name} {born} {marks:?}");
        }
    }

    #[test]
    fn u37_brothers_and_sisters_of_one_day_are_two_children_unless_their_names_are_a_letter_apart() {
        let (ana, mark) = (child("Ana Ruiz", day(2015, 3, 3), &["mail"]), ["mail"]);
        assert_eq!(likeness(&ana, &child("Eva Ruiz", day(2015, 3, 3), &mark)), None);
        // The office looks, and says that they are two.
        let (kayden, jayden) =
            (child("Kayden Ruiz", day(2015, 3, 3), &mark), child("Jayden Ruiz", day(2015, 3, 3), &mark));
        assert!(likeness(&kayden, &jayden).is_some());
    }

    proptest! {
        /// No pair is lost by looking only at children with a date or a mark in common.
        #[test]
        fn u37_the_pairs_of_a_list_are_those_of_every_two_compared(
            drawn in prop::collection::vec((0usize..4, 0usize..3, 1u32..4, 1u32..4, 2015i32..2017, 0usize..3), 0..24),
        ) {
            let (given, family) = (["Zoë", "Zoe", "Otto", "Ottilie"], ["Okafor", "Okafor-Lind", "Lind"]);
            let children: Vec<Known> = drawn
                .iter()
                .map(|(g, f, m, d, y, mark)| {
                    let marks = if *mark == 0 { vec![] } else { vec![["", "a", "b"][*mark]] };
                    child(&format!("{} {}", given[*g], family[*f]), day(*y, *m, *d), &marks)
                })
                .collect();
            let mut every = Vec::new();
            for one in 0..children.len() {
                for other in one + 1..children.len() {
                    let (found, back) = (likeness(&children[one], &children[other]), likeness(&children[other], &children[one]));
                    prop_assert_eq!(found, back);
                    every.extend(found.map(|found| (one, other, found)));
                }
            }
            prop_assert_eq!(pairs(&children), every);
        }
    }
}
