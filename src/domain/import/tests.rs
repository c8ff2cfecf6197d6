//! Tables and properties of reading and planning an import.

use std::collections::{BTreeMap, HashSet};

use chrono::NaiveDate;
use proptest::prelude::*;

use super::plan::{Adult, Here, KnownAdult, KnownChild, Outcome, plan};
use super::*;

fn on(year: i32, month: u32, day: u32) -> NaiveDate {
    NaiveDate::from_ymd_opt(year, month, day).expect("a day")
}
fn today() -> NaiveDate {
    on(2026, 6, 1)
}

#[test]
fn u35_a_heading_is_understood_in_both_languages_and_each_meaning_is_given_once() {
    for (heading, meaning) in [
        ("Child's First Name", Some(Meaning::ChildGiven)),
        ("LAST NAME", Some(Meaning::ChildFamily)),
        ("Rider", Some(Meaning::ChildName)),
        ("DOB", Some(Meaning::BirthDate)),
        ("Date of Birth (mm/dd/yyyy)", Some(Meaning::BirthDate)),
        ("Parent First", Some(Meaning::AdultGiven)),
        ("Guardian Last Name", Some(Meaning::AdultFamily)),
        ("Mother", Some(Meaning::AdultName)),
        ("Parent E-Mail", Some(Meaning::Email)),
        ("Cell #", Some(Meaning::Phone)),
        ("Teléfono", Some(Meaning::Phone)),
        ("Fecha de nacimiento", Some(Meaning::BirthDate)),
        ("Apellidos", Some(Meaning::ChildFamily)),
        ("Nombre del tutor", Some(Meaning::AdultGiven)),
        ("Condado", Some(Meaning::County)),
        ("T-shirt", None),
        ("", None),
    ] {
        assert_eq!(guess(heading), meaning, "{heading}");
    }
    let headings: Vec<String> = ["Phone", "Cell phone", "Notes", "Kid"].map(str::to_owned).to_vec();
    let remembered = BTreeMap::from([("kid".to_owned(), Some(Meaning::ChildName)), ("phone".to_owned(), None)]);
    let told = columns(&headings, &remembered);
    assert_eq!(told, [None, Some(Meaning::Phone), None, Some(Meaning::ChildName)], "what the office said counts");
    let twice = [Some(Meaning::Phone), Some(Meaning::Phone)];
    assert!(check_columns(&twice, false).contains(&ColumnFault::Twice(Meaning::Phone)));
    assert_eq!(check_columns(&[], true).len(), 4);
    assert_eq!(check_columns(&[], false).len(), 5);
}

#[test]
fn u35_a_name_in_one_cell_is_parted_or_asked_about() {
    for (text, given, family) in [
        ("Smith, John", "John", "Smith"),
        ("John Smith", "John", "Smith"),
        ("John Smith, Jr.", "John", "Smith Jr."),
        ("Smith, Jr., John", "John", "Smith Jr."),
        ("Smith, John, III", "John", "Smith III"),
        ("John Smith Jr", "John", "Smith Jr"),
        ("Ana de la Cruz", "Ana", "de la Cruz"),
        ("de la Cruz, Ana María", "Ana María", "de la Cruz"),
        ("Zoë Marisol Okafor-Lindqvist", "Zoë Marisol", "Okafor-Lindqvist"),
        ("Suri", "Suri", ""),
        ("Van Nguyen", "Van", "Nguyen"),
        (" Jude  St. James ", "Jude", "St. James"),
    ] {
        assert_eq!(whole_name(text), Ok((given.to_owned(), family.to_owned())), "{text}");
    }
    for (text, fault) in [
        ("", NameFault::Missing),
        (" , ", NameFault::Missing),
        ("Smith, Jr.", NameFault::Unclear),
        ("Jr.", NameFault::Unclear),
        ("Smith, John, Ann", NameFault::Unclear),
    ] {
        assert_eq!(whole_name(text), Err(fault), "{text}");
    }
}

#[test]
fn u35_days_are_read_as_they_are_written() {
    use DayOrder::{DayFirst, MonthFirst};
    for (text, order, read) in [
        ("2016-04-27", MonthFirst, Ok(on(2016, 4, 27))),
        ("2016-04-27T00:00:00", MonthFirst, Ok(on(2016, 4, 27))),
        ("2016/4/27", DayFirst, Ok(on(2016, 4, 27))),
        ("4/27/2016", MonthFirst, Ok(on(2016, 4, 27))),
        ("4/27/2016 12:00 AM", MonthFirst, Ok(on(2016, 4, 27))),
        ("27/4/2016", DayFirst, Ok(on(2016, 4, 27))),
        ("27/4/2016", MonthFirst, Err(DayFault::OtherOrder)),
        ("4/27/2016", DayFirst, Err(DayFault::OtherOrder)),
        ("3-4-2015", MonthFirst, Ok(on(2015, 3, 4))),
        ("3-4-2015", DayFirst, Ok(on(2015, 4, 3))),
        ("27.4.2016", MonthFirst, Ok(on(2016, 4, 27))),
        ("04/27/16", MonthFirst, Ok(on(2016, 4, 27))),
        ("04/27/87", MonthFirst, Ok(on(1987, 4, 27))),
        ("April 27, 2016", MonthFirst, Ok(on(2016, 4, 27))),
        ("27 April 2016", MonthFirst, Ok(on(2016, 4, 27))),
        ("27 de abril de 2016", MonthFirst, Ok(on(2016, 4, 27))),
        ("Apr 27th, 2016", MonthFirst, Ok(on(2016, 4, 27))),
        ("20160427", MonthFirst, Ok(on(2016, 4, 27))),
        ("2/29/2016", MonthFirst, Ok(on(2016, 2, 29))),
        ("2/29/2015", MonthFirst, Err(DayFault::NotADay)),
        ("31/31/2015", MonthFirst, Err(DayFault::NotADay)),
        ("spring 2016", MonthFirst, Err(DayFault::NotADay)),
        ("42487", MonthFirst, Err(DayFault::Serial)),
        ("4/27", MonthFirst, Err(DayFault::NotADay)),
        ("", MonthFirst, Err(DayFault::Missing)),
    ] {
        assert_eq!(day(text, order, today()), read, "{text} {order}");
    }
    let order = |texts: &[&str]| order_of(texts.iter().copied(), today());
    assert_eq!(order(&["3/4/2015", "27/4/2016"]), DayFirst);
    assert_eq!(order(&["3/4/2015", "4/27/2016"]), MonthFirst);
    assert_eq!(order(&["13/4/2015", "4/27/2016"]), MonthFirst, "a column that is neither stays as it is usual here");
    assert_eq!(order(&[]), MonthFirst);
}

fn counties() -> BTreeMap<String, String> {
    let known = [("Lewis and Clark", "30049"), ("Lake", "30047")];
    known.iter().flat_map(|(name, code)| county_keys(name, code).map(|key| (key, (*code).to_owned()))).collect()
}

const COLUMNS: [Option<Meaning>; 7] = [
    Some(Meaning::ChildName),
    Some(Meaning::BirthDate),
    Some(Meaning::County),
    Some(Meaning::AdultName),
    Some(Meaning::Phone),
    Some(Meaning::Email),
    Some(Meaning::Language),
];

fn read(cells: [&str; 7]) -> Result<Entry, Vec<RowFault>> {
    let counties = counties();
    let reader =
        Reader { columns: &COLUMNS, order: DayOrder::MonthFirst, county: None, counties: &counties, today: today() };
    reader.read(&cells.map(|cell| Said::Text(cell.to_owned())), false)
}

const WHOLE: [&str; 7] = [
    "Baeza, Mateo",
    "2/28/2017",
    "Lewis and Clark County",
    "Rosa Baeza",
    "406 555 0171",
    "ROSA@example.org",
    "Spanish",
];

#[test]
fn u35_a_row_is_read_whole_or_everything_wrong_with_it_is_told() {
    let cells = WHOLE;
    let entry = read(cells).expect("a whole row");
    assert_eq!((entry.child.to_string().as_str(), entry.county.as_str()), ("Mateo Baeza", "30049"));
    assert_eq!((entry.phone.as_str(), entry.email.as_deref()), ("+14065550171", Some("rosa@example.org")));
    assert_eq!(entry.language, Lang::Es);
    for (at, cell, fault) in [
        (0, "", RowFault::Name(Meaning::ChildName, NameFault::Missing)),
        (1, "2/30/2017", RowFault::Born(DayFault::NotADay)),
        (1, "2/28/2027", RowFault::Born(DayFault::InTheFuture)),
        (1, "2/28/1827", RowFault::Born(DayFault::TooLongAgo)),
        (2, "Elsewhere", RowFault::County),
        (2, "", RowFault::County),
        (3, "Smith, Jr.", RowFault::Name(Meaning::AdultName, NameFault::Unclear)),
        (4, "", RowFault::Phone),
        (4, "call me", RowFault::Phone),
        (5, "rosa at home", RowFault::Email),
        (6, "Klingon", RowFault::Language),
    ] {
        let mut wrong = cells;
        wrong[at] = cell;
        assert_eq!(read(wrong), Err(vec![fault]), "{cell}");
    }
    assert_eq!(read(["", "", "", "", "", "", ""]).map_err(|faults| faults.len()), Err(5));
    let counties = counties();
    let reader = Reader {
        columns: &COLUMNS,
        order: DayOrder::MonthFirst,
        county: Some("30047"),
        counties: &counties,
        today: today(),
    };
    let mut said = cells.map(|cell| Said::Text(cell.to_owned()));
    said[2] = Said::Text(String::new());
    said[1] = Said::Day(on(2017, 2, 28));
    assert_eq!(reader.read(&said, false).map(|entry| entry.county), Ok("30047".to_owned()));
    assert_eq!(reader.read(&said, true), Err(vec![RowFault::TooMany]));
    said[4] = Said::Unreadable;
    assert_eq!(reader.read(&said, false), Err(vec![RowFault::Unreadable(Meaning::Phone), RowFault::Phone]));
}

fn entry(child: &str, adult: &str, phone: &str, email: Option<&str>) -> Entry {
    let name = |text: &str| {
        let (given, family) = whole_name(text).expect("a name");
        PersonName::parse(&given, &family).expect("a name")
    };
    Entry {
        child: name(child),
        born: on(2017, 2, 28),
        county: "30049".into(),
        adult: name(adult),
        phone: phone.into(),
        email: email.map(str::to_owned),
        language: Lang::En,
    }
}

fn here() -> Here {
    let adult = |name: &str, phone: &str, email: Option<&str>| KnownAdult {
        name: name.into(),
        phone: phone.into(),
        email: email.map(str::to_owned),
    };
    let child =
        |name: &str, adults: &[usize]| KnownChild { name: name.into(), born: on(2017, 2, 28), adults: adults.to_vec() };
    Here {
        adults: vec![adult("Ingrid Lindqvist", "+1", Some("ingrid@example.org")), adult("Chidi Okafor", "+2", None)],
        children: vec![child("Zoë Lindqvist", &[0]), child("Ada Okafor", &[1])],
    }
}

#[test]
fn u35_what_becomes_of_a_row_is_decided_by_who_is_here_and_by_the_rows_before_it() {
    let added = |adult| Outcome::Added { adult, may_be_twice: false };
    let rows: Vec<Result<Entry, Vec<RowFault>>> = vec![
        Ok(entry("Zoe Lindqvist", "Ingrid Lindqvist", "+9", Some("INGRID@example.org"))),
        Ok(entry("Lindqvist, Zoë", "Lindqvist, Ingrid", "+1", None)),
        Ok(entry("Nils Lindqvist", "Ingrid Lindqvist", "+1", None)),
        Ok(entry("Mateo Baeza", "Rosa Baeza", "+3", None)),
        Ok(entry("Nina Baeza", "Rosa Baeza", "+3", Some("rosa@example.org"))),
        Ok(entry("Mateo Baeza", "Rosa Baeza", "+3", None)),
        Err(vec![RowFault::Phone]),
        Ok(entry("Ada Okafor", "Somebody Else", "+4", None)),
        // The telephone of another name is not the other person.
        Ok(entry("Ada Okafor", "Ingrid Lindqvist", "+2", None)),
    ];
    assert_eq!(
        plan(&here(), &rows),
        [
            Outcome::Here,
            Outcome::Here,
            added(Adult::Here(0)),
            added(Adult::New),
            added(Adult::OfRow(3)),
            Outcome::Again(3),
            Outcome::Faulty(vec![RowFault::Phone]),
            Outcome::Added { adult: Adult::New, may_be_twice: true },
            Outcome::Added { adult: Adult::New, may_be_twice: true },
        ]
    );
    assert!(plan(&Here::default(), &[]).is_empty());
}

proptest! {
    #[test]
    fn u35_no_child_is_added_twice_and_every_adult_named_was_there_before(
        picks in proptest::collection::vec((0..4_usize, 0..3_usize, 0..3_usize, any::<bool>()), 0..40),
    ) {
        let rows: Vec<Result<Entry, Vec<RowFault>>> = picks
            .iter()
            .map(|(child, adult, phone, good)| {
                let names = ["Zoë Lindqvist", "Mateo Baeza", "Nina Baeza", "Ada Okafor"];
                let adults = ["Ingrid Lindqvist", "Rosa Baeza", "Chidi Okafor"];
                let made = entry(names[*child], adults[*adult], ["+1", "+3", "+2"][*phone], None);
                if *good { Ok(made) } else { Err(vec![RowFault::County]) }
            })
            .collect();
        let outcomes = plan(&here(), &rows);
        prop_assert_eq!(outcomes.len(), rows.len());
        let mut seen = HashSet::new();
        for (at, (outcome, row)) in outcomes.iter().zip(&rows).enumerate() {
            match outcome {
                Outcome::Added { adult, .. } => {
                    let row = row.as_ref().expect("a whole row");
                    let whom = match adult {
                        Adult::New => Adult::OfRow(at),
                        Adult::OfRow(before) => {
                            let is_new = matches!(&outcomes[*before], Outcome::Added { adult: Adult::New, .. });
                            prop_assert!(*before < at && is_new);
                            *adult
                        }
                        Adult::Here(_) => *adult,
                    };
                    prop_assert!(seen.insert((row.child.to_string(), whom)), "added twice");
                }
                Outcome::Again(before) => {
                    let is_added = matches!(&outcomes[*before], Outcome::Added { .. });
                    prop_assert!(*before < at && is_added);
                }
                Outcome::Here => prop_assert!(row.is_ok()),
                Outcome::Faulty(_) => prop_assert!(row.is_err()),
            }
        }
    }
}
