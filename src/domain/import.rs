//! What the columns of an office's sheet mean, and what one row says about a child and the adult who answers for it.
//! Common practice, no source. Must not know families that are here already; `plan` compares with them.

mod days;
mod names;
pub mod plan;

use std::collections::BTreeMap;

use chrono::NaiveDate;

pub use days::{DayFault, DayOrder, day, order_of};
pub use names::{NameFault, whole_name};

use super::people::{BirthDateFault, check_birth_date};
use super::words::{Email, Lang, PersonName, Phone, Word, word_list};

word_list! {
    /// What a column says.
    Meaning {
        /// The child's name in one cell.
        ChildName = "child_name",
        /// The child's given name.
        ChildGiven = "child_given",
        /// The child's family name.
        ChildFamily = "child_family",
        /// The child's birth date.
        BirthDate = "birth_date",
        /// The home county, by name or code.
        County = "county",
        /// The adult's name in one cell.
        AdultName = "adult_name",
        /// The adult's given name.
        AdultGiven = "adult_given",
        /// The adult's family name.
        AdultFamily = "adult_family",
        /// The adult's telephone.
        Phone = "phone",
        /// The adult's address for letters.
        Email = "email",
        /// The language that the adult reads.
        Language = "language",
    }
}

/// Words of headings in English and Spanish, lower case without accents, and what such a column says. The first that
/// fits counts.
const WORDS: &[(&str, Meaning)] = &[
    ("email", Meaning::Email),
    ("e mail", Meaning::Email),
    ("correo", Meaning::Email),
    ("phone", Meaning::Phone),
    ("mobile", Meaning::Phone),
    ("cell", Meaning::Phone),
    ("telefono", Meaning::Phone),
    ("celular", Meaning::Phone),
    ("birth", Meaning::BirthDate),
    ("dob", Meaning::BirthDate),
    ("born", Meaning::BirthDate),
    ("nacimiento", Meaning::BirthDate),
    ("county", Meaning::County),
    ("condado", Meaning::County),
    ("language", Meaning::Language),
    ("idioma", Meaning::Language),
];

/// Words that say that a column is about the adult.
const ADULT: &[&str] = &["parent", "guardian", "adult", "mother", "father", "padre", "madre", "tutor", "adulto"];
/// Words of given names.
const GIVEN: &[&str] = &["given", "first", "forename", "nombre", "nombres"];
/// Words of family names.
const FAMILY: &[&str] = &["family", "last", "surname", "apellido", "apellidos"];
/// Words of names in one cell.
const WHOLE: &[&str] = &["name", "child", "rider", "student", "nino", "nina", "alumno"];

/// A heading as it is remembered and compared: lower case, without accents, single blanks.
#[must_use]
pub fn heading_key(heading: &str) -> String {
    super::name_form::words_of(heading).join(" ")
}

/// What a column of this heading probably says; nothing when no word tells.
#[must_use]
pub fn guess(heading: &str) -> Option<Meaning> {
    let key = heading_key(heading);
    if let Some((_, meaning)) = WORDS.iter().find(|(word, _)| key.contains(word)) {
        return Some(*meaning);
    }
    let words: Vec<&str> = key.split(' ').collect();
    let has = |list: &[&str]| words.iter().any(|word| list.contains(word));
    match (has(ADULT), has(GIVEN), has(FAMILY)) {
        (true, true, false) => Some(Meaning::AdultGiven),
        (true, false, true) => Some(Meaning::AdultFamily),
        (true, _, _) => Some(Meaning::AdultName),
        (false, true, false) => Some(Meaning::ChildGiven),
        (false, false, true) => Some(Meaning::ChildFamily),
        (false, _, _) if has(WHOLE) => Some(Meaning::ChildName),
        _ => None,
    }
}

/// What the columns say, by their headings: what the office said before, else a guess; each meaning once, the first
/// column that has it.
#[must_use]
pub fn columns(headings: &[String], remembered: &BTreeMap<String, Option<Meaning>>) -> Vec<Option<Meaning>> {
    let mut taken = Vec::new();
    let one = |heading: &String| {
        let known = remembered.get(&heading_key(heading)).copied();
        let meaning = known.unwrap_or_else(|| guess(heading)).filter(|meaning| !taken.contains(meaning))?;
        taken.push(meaning);
        Some(meaning)
    };
    headings.iter().map(one).collect()
}

/// What is missing in, or wrong with, what the columns are said to mean.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ColumnFault {
    /// Two columns are said to mean the same.
    Twice(Meaning),
    /// No column has the child's name.
    NoChild,
    /// No column has the birth date.
    NoBirthDate,
    /// No column has the adult's name.
    NoAdult,
    /// No column has the adult's telephone.
    NoPhone,
    /// No column has the county, and none is named for all.
    NoCounty,
}

/// Everything wrong with these meanings. `county_for_all` says that rows without a county have one all the same.
#[must_use]
pub fn check_columns(columns: &[Option<Meaning>], county_for_all: bool) -> Vec<ColumnFault> {
    let count = |meaning| columns.iter().filter(|one| **one == Some(meaning)).count();
    let has = |meaning| count(meaning) > 0;
    let mut faults: Vec<ColumnFault> =
        Meaning::ALL.iter().filter(|one| count(**one) > 1).map(|one| ColumnFault::Twice(*one)).collect();
    for (is_there, fault) in [
        (has(Meaning::ChildName) || has(Meaning::ChildGiven), ColumnFault::NoChild),
        (has(Meaning::BirthDate), ColumnFault::NoBirthDate),
        (has(Meaning::AdultName) || has(Meaning::AdultGiven), ColumnFault::NoAdult),
        (has(Meaning::Phone), ColumnFault::NoPhone),
        (has(Meaning::County) || county_for_all, ColumnFault::NoCounty),
    ] {
        if !is_there {
            faults.push(fault);
        }
    }
    faults
}

/// What one cell says, as far as a sheet tells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Said {
    /// Text as it stands there; empty when nothing does.
    Text(String),
    /// A day that the spreadsheet itself knows as one.
    Day(NaiveDate),
    /// Something that cannot be read, such as a formula that failed.
    Unreadable,
}

impl Said {
    fn text(&self) -> &str {
        match self {
            Self::Text(text) => text.trim(),
            Self::Day(_) | Self::Unreadable => "",
        }
    }
}

/// What one row says, when all of it can be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Entry {
    /// The child's name.
    pub child: PersonName,
    /// Its birth date.
    pub born: NaiveDate,
    /// The home county, five characters.
    pub county: String,
    /// The adult's name.
    pub adult: PersonName,
    /// Telephone as dialled.
    pub phone: String,
    /// Address for letters.
    pub email: Option<String>,
    /// The language that the adult reads.
    pub language: Lang,
}

/// What is wrong with a row, at one of its columns.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum RowFault {
    /// A name is missing or cannot be parted into given and family name.
    Name(Meaning, NameFault),
    /// The birth date.
    Born(DayFault),
    /// No county of this name or code.
    County,
    /// The telephone is missing or none.
    Phone,
    /// The address is none.
    Email,
    /// No language that the program speaks.
    Language,
    /// A cell that holds an error.
    Unreadable(Meaning),
    /// There is more in the row than the sheet has columns.
    TooMany,
}

/// What every row of a sheet needs to be read.
#[derive(Clone, Debug)]
pub struct Reader<'a> {
    /// What each column says.
    pub columns: &'a [Option<Meaning>],
    /// How days in numbers are written.
    pub order: DayOrder,
    /// The county of rows that name none.
    pub county: Option<&'a str>,
    /// Codes by the names of counties, lower case without accents and without "county", and by themselves.
    pub counties: &'a BTreeMap<String, String>,
    /// Today at the program's home.
    pub today: NaiveDate,
}

/// The forms under which a county is found: its name and its code.
#[must_use]
pub fn county_keys(name: &str, code: &str) -> [String; 2] {
    [heading_key(name), code.to_owned()]
}

impl Reader<'_> {
    /// Reads one row. `overhangs`: the row is longer than the heading.
    ///
    /// # Errors
    /// Everything wrong with it, in the order of the columns' meanings.
    pub fn read(&self, cells: &[Said], overhangs: bool) -> Result<Entry, Vec<RowFault>> {
        let mut faults = Vec::new();
        if overhangs {
            faults.push(RowFault::TooMany);
        }
        let nothing = Said::Text(String::new());
        let of = |meaning: Meaning| {
            let at = self.columns.iter().position(|one| *one == Some(meaning));
            at.and_then(|at| cells.get(at)).unwrap_or(&nothing)
        };
        for meaning in Meaning::ALL {
            if *of(*meaning) == Said::Unreadable {
                faults.push(RowFault::Unreadable(*meaning));
            }
        }
        let whole = [of(Meaning::ChildName), of(Meaning::ChildGiven), of(Meaning::ChildFamily)];
        let child = name(whole, Meaning::ChildName, &mut faults);
        let born = self.born(of(Meaning::BirthDate), &mut faults);
        let county = self.county(of(Meaning::County).text(), &mut faults);
        let whole = [of(Meaning::AdultName), of(Meaning::AdultGiven), of(Meaning::AdultFamily)];
        let adult = name(whole, Meaning::AdultName, &mut faults);
        let phone = Phone::parse(of(Meaning::Phone).text()).map_err(|_| faults.push(RowFault::Phone)).ok();
        let email = match of(Meaning::Email).text() {
            "" => Some(None),
            typed => Email::parse(typed).map(Some).map_err(|_| faults.push(RowFault::Email)).ok(),
        };
        let language = language(of(Meaning::Language).text());
        if language.is_none() {
            faults.push(RowFault::Language);
        }
        match (child, born, county, adult, phone, email, language) {
            (Some(child), Some(born), Some(county), Some(adult), Some(phone), Some(email), Some(language))
                if faults.is_empty() =>
            {
                let email = email.map(|email| email.as_str().to_owned());
                Ok(Entry { child, born, county, adult, phone: phone.as_str().to_owned(), email, language })
            }
            _ => Err(faults),
        }
    }

    fn born(&self, cell: &Said, faults: &mut Vec<RowFault>) -> Option<NaiveDate> {
        let read = match cell {
            Said::Day(day) => Ok(*day),
            Said::Text(text) => day(text.trim(), self.order, self.today),
            Said::Unreadable => Err(DayFault::Missing),
        };
        let checked = read.and_then(|day| match check_birth_date(day, self.today) {
            Ok(()) => Ok(day),
            Err(BirthDateFault::InTheFuture) => Err(DayFault::InTheFuture),
            Err(BirthDateFault::TooLongAgo) => Err(DayFault::TooLongAgo),
        });
        checked.map_err(|fault| faults.push(RowFault::Born(fault))).ok()
    }

    fn county(&self, typed: &str, faults: &mut Vec<RowFault>) -> Option<String> {
        if typed.is_empty()
            && let Some(county) = self.county
        {
            return Some(county.to_owned());
        }
        let key = heading_key(typed);
        let bare = key.strip_suffix(" county").or_else(|| key.strip_prefix("condado de ")).unwrap_or(&key);
        let found = self.counties.get(bare).cloned();
        if found.is_none() {
            faults.push(RowFault::County);
        }
        found
    }
}

fn name([whole, given, family]: [&Said; 3], column: Meaning, faults: &mut Vec<RowFault>) -> Option<PersonName> {
    let parts = match given.text() {
        "" => whole_name(whole.text()),
        given => Ok((given.to_owned(), family.text().to_owned())),
    };
    let read = parts.and_then(|(given, family)| PersonName::parse(&given, &family).map_err(NameFault::of));
    read.map_err(|fault| faults.push(RowFault::Name(column, fault))).ok()
}

/// English when nothing is said.
fn language(typed: &str) -> Option<Lang> {
    match heading_key(typed).as_str() {
        "" | "en" | "english" | "ingles" => Some(Lang::En),
        "es" | "spanish" | "espanol" => Some(Lang::Es),
        _ => None,
    }
}

#[cfg(test)]
mod tests;
