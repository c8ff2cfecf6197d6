//! Reads typed answers into values, and tells every fault of a step at once. Decides no rule about who may ride.

use chrono::{Datelike, NaiveDate};

use super::answers::{AdultsAnswers, HealthAnswers, RiderAnswers, SizesAnswers};
use super::faults::Faults;
use crate::domain::health_note::{Condition, HealthNote, Known};
use crate::domain::measures::growth::GrowthCheck;
use crate::domain::measures::{Doubt, Measures, UnitSystem, Windows, doubts, read_length, read_mass};
use crate::domain::people::{BirthDateFault, check_birth_date};
use crate::domain::registration::{DayAdult, Ridden};
use crate::domain::words::{Email, Lang, Line, PersonName, Phone, Word, WordFault};

/// A rider as read from the form.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RiderRead {
    pub name: PersonName,
    pub birth_date: NaiveDate,
    pub county: String,
    /// The name on the certificate; empty when it is the child's own.
    pub paper_name: String,
}

/// A person with a telephone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contact {
    pub kind: &'static str,
    pub ordinal: i64,
    pub name: String,
    pub phone: String,
}

/// A new guardian.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct GuardianRead {
    pub name: PersonName,
    pub phone: String,
    pub email: String,
}

const LONG: &str = "register-too-long";

fn name_fault(fault: WordFault) -> &'static str {
    match fault {
        WordFault::Empty => "form-required",
        WordFault::TooLong { .. } => LONG,
        WordFault::Malformed => "form-wrong-characters",
    }
}

fn needed(fault: WordFault, missing: &'static str) -> &'static str {
    if fault == WordFault::Empty { missing } else { name_fault(fault) }
}

fn other_fault(fault: WordFault, malformed: &'static str) -> &'static str {
    match fault {
        WordFault::Empty | WordFault::Malformed => malformed,
        other => name_fault(other),
    }
}

/// How much the child has ridden.
pub fn ridden(answers: &RiderAnswers) -> Result<Ridden, Faults> {
    let mut faults = Faults::default();
    let read = Ridden::from_word(&answers.ridden).ok_or(());
    faults.take("ridden", read, |()| "rider-ridden-missing").ok_or(faults)
}

/// A new rider. `counties` are the codes that may be chosen.
pub fn rider(answers: &RiderAnswers, counties: &[(String, String)], today: NaiveDate) -> Result<RiderRead, Faults> {
    let mut faults = Faults::default();
    let name = faults.take("given", PersonName::parse(&answers.given, &answers.family), |fault| {
        needed(fault, "rider-given-missing")
    });
    let paper_name = paper_name(answers, &mut faults);
    let birth_date = birth_date(answers, today, &mut faults);
    let county = answers.county.trim();
    let county = match counties.iter().any(|(code, _)| code == county) {
        true => Ok(county.to_owned()),
        false => Err(if county.is_empty() { "rider-county-missing" } else { "form-unknown-choice" }),
    };
    let county = faults.take("county", county, |message| message);
    match (name, paper_name, birth_date, county) {
        (Some(name), Some(paper_name), Some(birth_date), Some(county)) => {
            Ok(RiderRead { name, birth_date, county, paper_name })
        }
        _ => Err(faults),
    }
}

/// As long as both parts of a name together.
fn paper_name(answers: &RiderAnswers, faults: &mut Faults) -> Option<String> {
    match Line::parse(&answers.paper_name, 2 * PersonName::MOST) {
        Err(WordFault::Empty) => Some(String::new()),
        read => faults.take("paper_name", read, name_fault).map(Line::into_string),
    }
}

fn birth_date(answers: &RiderAnswers, today: NaiveDate, faults: &mut Faults) -> Option<NaiveDate> {
    let month = answers.birth_month.trim().parse::<u32>();
    let day = answers.birth_day.trim().parse::<u32>();
    let year = answers.birth_year.trim();
    if [&answers.birth_month, &answers.birth_day, &answers.birth_year].iter().all(|text| text.trim().is_empty()) {
        faults.add("birth", "form-date-missing");
        return None;
    }
    let month = faults.take("birth_month", month, |_| "form-month-missing");
    let day = faults.take("birth_day", day, |_| "form-day-missing");
    let year = match year.parse::<i32>() {
        Ok(number) if year.len() == 4 && number >= 1000 => Ok(number),
        _ => Err(if year.is_empty() { "form-year-missing" } else { "form-year-four-digits" }),
    };
    let year = faults.take("birth_year", year, |message| message);
    let read = NaiveDate::from_ymd_opt(year?, month?, day?);
    let read = faults.take("birth", read.ok_or(()), |()| "form-not-a-date")?;
    let checked = check_birth_date(read, today).map(|()| read);
    faults.take("birth", checked, |fault| match fault {
        BirthDateFault::InTheFuture => "form-date-future",
        BirthDateFault::TooLongAgo => "form-date-long-ago",
    })
}

/// A stored birth date as the form shows it.
pub fn date_parts(day: NaiveDate) -> [String; 3] {
    [day.month().to_string(), day.day().to_string(), day.year().to_string()]
}

/// The health answers.
pub fn health(answers: &HealthAnswers) -> Result<HealthNote, Faults> {
    let mut faults = Faults::default();
    let any = known(&mut faults, "any", &answers.any, "health-any-missing");
    let conditions = conditions(answers);
    if any == Some(Known::Yes) && conditions.is_empty() && answers.more.trim().is_empty() {
        faults.add("asthma", "health-which-missing");
    }
    let allergic = any == Some(Known::Yes) && conditions.contains(&Condition::Allergy);
    let allergy = told(&mut faults, "allergy_what", &answers.allergy_what, allergic, "health-allergy-missing");
    let injector = known(&mut faults, "injector", &answers.injector, "health-injector-missing");
    let injector_where = told(
        &mut faults,
        "injector_where",
        &answers.injector_where,
        injector == Some(Known::Yes),
        "health-injector-where-missing",
    );
    let medicine = known(&mut faults, "medicine", &answers.medicine, "health-medicine-missing");
    let medicine_what = told(
        &mut faults,
        "medicine_what",
        &answers.medicine_what,
        medicine == Some(Known::Yes),
        "health-medicine-what-missing",
    );
    let needs = prose(&mut faults, "needs", &answers.needs);
    let more = prose(&mut faults, "more", &answers.more);
    let (Some(any), Some(injector), Some(medicine)) = (any, injector, medicine) else { return Err(faults) };
    if !faults.is_empty() {
        return Err(faults);
    }
    let conditions = if any == Known::Yes { conditions } else { Vec::new() };
    let language = Lang::parse(&answers.language);
    Ok(HealthNote {
        any,
        conditions,
        allergy,
        injector,
        injector_where,
        medicine,
        medicine_what,
        needs,
        more,
        language,
    })
}

fn known(faults: &mut Faults, field: &str, typed: &str, missing: &'static str) -> Option<Known> {
    faults.take(field, Known::from_word(typed).ok_or(()), |()| missing)
}

fn conditions(answers: &HealthAnswers) -> Vec<Condition> {
    let ticked = |condition: &Condition| {
        let tick = match condition {
            Condition::Asthma => &answers.asthma,
            Condition::Allergy => &answers.allergy,
            Condition::Seizures => &answers.seizures,
            Condition::Diabetes => &answers.diabetes,
            Condition::Heart => &answers.heart,
            Condition::Healing => &answers.healing,
        };
        tick == "yes"
    };
    Condition::ALL.iter().copied().filter(ticked).collect()
}

/// A line that is needed when `wanted`, and dropped when not.
fn told(faults: &mut Faults, field: &str, typed: &str, wanted: bool, missing: &'static str) -> String {
    if !wanted {
        return String::new();
    }
    faults
        .take(field, Line::parse(typed, 300), |fault| needed(fault, missing))
        .map(Line::into_string)
        .unwrap_or_default()
}

/// Several lines, kept as typed; at most 2000 characters.
fn prose(faults: &mut Faults, field: &str, typed: &str) -> String {
    let text = typed.replace("\r\n", "\n").trim().to_owned();
    if text.chars().count() > 2000 {
        faults.add(field, LONG);
    }
    if text.chars().any(|c| c.is_control() && c != '\n' && c != '\t') {
        faults.add(field, "form-wrong-characters");
    }
    text
}

/// The guardian's name and telephone, for people whom no letter reaches.
pub fn reached_by_phone(answers: &AdultsAnswers) -> Result<(PersonName, String), Faults> {
    let mut faults = Faults::default();
    match named(answers, &mut faults) {
        (Some(name), Some(phone)) => Ok((name, phone)),
        _ => Err(faults),
    }
}

fn named(answers: &AdultsAnswers, faults: &mut Faults) -> (Option<PersonName>, Option<String>) {
    let name = faults.take("given", PersonName::parse(&answers.given, &answers.family), |fault| {
        needed(fault, "adults-given-missing")
    });
    (name, phone(faults, "phone", &answers.phone))
}

/// The guardian's own part, for people without an account.
pub fn guardian(answers: &AdultsAnswers) -> Result<GuardianRead, Faults> {
    let mut faults = Faults::default();
    let (name, phone) = named(answers, &mut faults);
    let email = faults.take("email", Email::parse(&answers.email), |fault| other_fault(fault, "form-not-an-email"));
    match (name, phone, email) {
        (Some(name), Some(phone), Some(email)) => Ok(GuardianRead { name, phone, email: email.as_str().to_owned() }),
        _ => Err(faults),
    }
}

fn phone(faults: &mut Faults, field: &str, typed: &str) -> Option<String> {
    let read = faults.take(field, Phone::parse(typed), |fault| other_fault(fault, "form-not-a-phone"));
    read.map(|phone| phone.as_str().to_owned())
}

/// Who is there on the day, people to call, and who may, or must not, take the child home.
pub fn contacts(answers: &AdultsAnswers, day_adult: DayAdult) -> Result<Vec<Contact>, Faults> {
    let mut faults = Faults::default();
    let mut found = Vec::new();
    let (day_name, day_phone) = match day_adult {
        DayAdult::Unasked => (&String::new(), &String::new()),
        DayAdult::Asked | DayAdult::Needed => (&answers.day_name, &answers.day_phone),
    };
    let rows = [
        ("on_the_day", 1, "day", day_name, day_phone, day_adult == DayAdult::Needed),
        ("emergency", 1, "first", &answers.first_name, &answers.first_phone, true),
        ("emergency", 2, "second", &answers.second_name, &answers.second_phone, true),
        ("pick_up", 1, "pick_up", &answers.pick_up_name, &answers.pick_up_phone, false),
        ("pick_up", 2, "pick_up_too", &answers.pick_up_too_name, &answers.pick_up_too_phone, false),
    ];
    for (kind, ordinal, stem, name, number, must) in rows {
        if !must && name.trim().is_empty() && number.trim().is_empty() {
            continue;
        }
        let name =
            faults.take(&format!("{stem}_name"), Line::parse(name, 200), |fault| needed(fault, "adults-name-missing"));
        let number = phone(&mut faults, &format!("{stem}_phone"), number);
        if let (Some(name), Some(phone)) = (name, number) {
            found.push(Contact { kind, ordinal, name: name.into_string(), phone });
        }
    }
    let barred = answers.not_release.trim();
    if !barred.is_empty()
        && let Some(name) = faults.take("not_release", Line::parse(barred, 300), name_fault)
    {
        found.push(Contact { kind: "not_release", ordinal: 1, name: name.into_string(), phone: String::new() });
    }
    if same_number(&found) {
        faults.add("second_phone", "adults-two-people");
    }
    if faults.is_empty() { Ok(found) } else { Err(faults) }
}

/// Two people to call who share one telephone are one way to be reached.
fn same_number(contacts: &[Contact]) -> bool {
    let mut numbers = contacts.iter().filter(|c| c.kind == "emergency").map(|c| &c.phone);
    matches!((numbers.next(), numbers.next()), (Some(one), Some(other)) if one == other)
}

/// The unit system that a form was filled in with.
pub fn units(answers: &SizesAnswers) -> UnitSystem {
    if answers.units == "metric" { UnitSystem::Metric } else { UnitSystem::Us }
}

/// The measures, and what deserves a second look.
pub fn sizes(
    answers: &SizesAnswers,
    today: NaiveDate,
    growth: Option<&GrowthCheck>,
) -> Result<(Measures, Vec<Doubt>), Faults> {
    let mut faults = Faults::default();
    let units = units(answers);
    let mut length = |field: &str, typed: &str, unknown: &str| {
        wanted(typed, unknown).and_then(|typed| {
            faults.take(field, read_length(typed, units), |_| size_message(typed, "form-not-a-length"))
        })
    };
    let height = length("height", &answers.height, &answers.height_unknown);
    let inseam = length("inseam", &answers.inseam, &answers.inseam_unknown);
    let head = length("head", &answers.head, &answers.head_unknown);
    let weight = wanted(&answers.weight, &answers.weight_unknown).and_then(|typed| {
        faults.take("weight", read_mass(typed, units), |_| size_message(typed, "sizes-not-a-weight"))
    });
    if !["", "none", "boy", "girl"].contains(&answers.chart.as_str()) {
        faults.add("chart", "form-unknown-choice");
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    let measures = Measures { height, weight, inseam, head, ..Measures::none_on(today) };
    let odd = doubts(&measures, &Windows::default(), growth);
    Ok((measures, odd))
}

/// What was typed, unless the guardian does not know it.
fn wanted<'a>(typed: &'a str, unknown: &str) -> Option<&'a str> {
    (unknown != "yes").then(|| typed.trim())
}

fn size_message(typed: &str, not_understood: &'static str) -> &'static str {
    if typed.is_empty() { "sizes-missing" } else { not_understood }
}
