//! Children who may have been entered twice: by the forms of a name, the birth date with day and month swapped, and the
//! adults they share. It only asks the office to look; it decides about nobody. Common practice, no source.

use std::collections::BTreeSet;

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
        Self::of_words(words_of(name), born, marks)
    }

    /// The same, of a name whose words are known as they are compared.
    #[must_use]
    pub fn of_words(mut names: Vec<String>, born: NaiveDate, marks: BTreeSet<String>) -> Self {
        names.sort();
        Self { names, born, marks }
    }

    /// Whether the names and birth dates leave it open that the two are one child, whoever their adults are.
    #[must_use]
    pub fn may_be(&self, other: &Self) -> bool {
        born_alike(self.born, other.born).is_some() && names_alike(&self.names, &other.names).is_some()
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

/// The birth dates that one is alike whoever the adults are: the day itself, and day and month swapped.
#[must_use]
pub fn days_alike(born: NaiveDate) -> Vec<NaiveDate> {
    let swapped = NaiveDate::from_ymd_opt(born.year(), born.day(), born.month()).filter(|swapped| *swapped != born);
    [Some(born), swapped].into_iter().flatten().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

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

    #[test]
    fn u37_a_birth_date_is_alike_itself_and_itself_with_day_and_month_swapped() {
        assert_eq!(days_alike(day(2016, 9, 4)), [day(2016, 9, 4), day(2016, 4, 9)]);
        assert_eq!(days_alike(day(2016, 9, 14)), [day(2016, 9, 14)]);
        assert_eq!(days_alike(day(2016, 4, 4)), [day(2016, 4, 4)]);
    }
}
