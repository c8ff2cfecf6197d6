//! One value that an administrator may set: what it is, its unit and bounds, what it is now, what ships and where that
//! comes from. A page is drawn from a list of these, so a new setting is one more line of its owner's list, not a new form.
//! Must not know who owns the value; `program`, `rulebook` and its books do.

use super::curriculum::{LocalText, SourceMark};
use super::measures::{FOOT_UM, INCH_UM, Length, read_distance};
use super::words::{Email, Lang, Line, Phone, WordFault};

/// What a value is counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RuleUnit {
    /// Micrometres, typed in inches and shown in inches and millimetres.
    BodyLength,
    /// Micrometres, typed with a unit and shown in feet or inches and in metres or centimetres.
    GroundLength,
    /// Tenths of a degree.
    TenthDegrees,
    /// Thousandths, shown as a factor.
    Permille,
    /// Whole miles an hour.
    MilesPerHour,
    /// A number of these, as in "years": singular and plural.
    Count(&'static str, &'static str),
    /// One of a closed list: what is stored and what is read.
    Choice(&'static [(&'static str, &'static str)]),
    /// Any of a closed list: what is stored and what is read.
    Several(&'static [(&'static str, &'static str)]),
    /// Hundredths, shown as a score: how many deviations from the median.
    Hundredths,
    /// One line of at most so many letters.
    Text(usize),
    /// A telephone number.
    Phone,
    /// A mail address.
    Mail,
    /// A text in both languages of at most so many letters.
    Words(usize),
}

/// A value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RuleValue {
    /// Left open on purpose.
    Open,
    /// A whole number in the unit.
    Number(i64),
    /// A word of the list, a line, a number to dial or an address.
    Text(String),
    /// Those of the list that are chosen, in its order; may be none.
    Chosen(Vec<String>),
    /// A text in both languages.
    Words(LocalText),
}

/// One value with all that a page tells of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RuleSetting {
    /// Its name in addresses and in the audit log.
    pub key: String,
    /// The heading that it stands under.
    pub group: String,
    /// What it is.
    pub label: String,
    /// What it does, in a sentence; may be empty.
    pub hint: String,
    /// Its unit.
    pub unit: RuleUnit,
    /// What it is now.
    pub now: RuleValue,
    /// What ships; nothing for a value that each program must write itself.
    pub shipped: Option<RuleValue>,
    /// The least and the most that is taken, for numbers.
    pub bounds: (i64, i64),
    /// Whether it may be left open.
    pub may_be_open: bool,
    /// How well the shipped value is founded; none for what is the program's own to say.
    pub mark: Option<SourceMark>,
    /// Where the shipped value comes from.
    pub source: String,
}

/// Why a typed value is not taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SettingFault {
    /// Nothing was typed.
    Missing,
    /// The text of one language is missing.
    MissingIn(Lang),
    /// Not a number.
    NotANumber,
    /// Not a length with a unit.
    NotALength,
    /// Under the least, told with its unit.
    TooSmall(String),
    /// Over the most, told with its unit.
    TooBig(String),
    /// None of the list.
    NotInTheList,
    /// Longer than so many letters.
    TooLong(usize),
    /// A character that has no place in a text.
    Malformed,
    /// Not a telephone number.
    NotAPhone,
    /// Not a mail address.
    NotAMail,
    /// At least one fit criterion must stay mandatory.
    NothingMandatory,
    /// The lower end would lie above the upper end.
    EndsCross,
    /// No longer the mark of what ships: fixed, because the source was read.
    Fixed,
    /// There is no such setting.
    Unknown,
}

impl RuleSetting {
    /// Whether the value is the one that ships.
    pub fn is_as_shipped(&self) -> bool {
        self.shipped.as_ref().is_none_or(|shipped| *shipped == self.now)
    }

    /// A value for people, US units first.
    pub fn told(&self, value: &RuleValue, lang: Lang) -> String {
        match value {
            RuleValue::Open => "left open".to_owned(),
            RuleValue::Number(number) => self.unit.told(*number),
            RuleValue::Words(text) => text.in_lang(lang).to_owned(),
            RuleValue::Chosen(chosen) if chosen.is_empty() => "none".to_owned(),
            RuleValue::Chosen(chosen) => {
                let words = self.unit.list().iter().filter(|(word, _)| chosen.iter().any(|one| one == word));
                words.map(|(_, words)| *words).collect::<Vec<_>>().join(", ")
            }
            RuleValue::Text(text) => match self.unit {
                RuleUnit::Phone => Phone::shown(text),
                RuleUnit::Choice(list) => {
                    list.iter().find(|(word, _)| word == text).map_or(text.clone(), |(_, words)| (*words).to_owned())
                }
                _ => text.clone(),
            },
        }
    }

    /// What its field holds before anybody types.
    pub fn typed(&self, value: &RuleValue) -> String {
        match (value, self.unit) {
            (RuleValue::Open | RuleValue::Chosen(_) | RuleValue::Words(_), _) => String::new(),
            (RuleValue::Number(number), unit) => unit.typed(*number),
            (RuleValue::Text(text), RuleUnit::Phone) => Phone::shown(text),
            (RuleValue::Text(text), _) => text.clone(),
        }
    }

    /// Reads what was typed: `english` alone, or both for a text in two languages.
    ///
    /// # Errors
    /// Why it is not taken.
    pub fn read(&self, english: &str, spanish: &str) -> Result<RuleValue, SettingFault> {
        let typed = english.trim();
        if let RuleUnit::Words(most) = self.unit {
            let part = |text: &str, lang| match clean(text, most) {
                Ok(text) if text.is_empty() => Err(SettingFault::MissingIn(lang)),
                other => other,
            };
            return Ok(RuleValue::Words(LocalText { en: part(english, Lang::En)?, es: part(spanish, Lang::Es)? }));
        }
        if typed.is_empty() {
            return if self.may_be_open { Ok(RuleValue::Open) } else { Err(SettingFault::Missing) };
        }
        match self.unit {
            RuleUnit::Text(most) => Ok(RuleValue::Text(line(typed, most)?)),
            RuleUnit::Choice(list) => match list.iter().find(|(word, _)| *word == typed) {
                Some((word, _)) => Ok(RuleValue::Text((*word).to_owned())),
                None => Err(SettingFault::NotInTheList),
            },
            RuleUnit::Phone => {
                let phone = Phone::parse(typed).map_err(|_| SettingFault::NotAPhone)?;
                Ok(RuleValue::Text(phone.as_str().to_owned()))
            }
            RuleUnit::Mail => {
                let mail = Email::parse(typed).map_err(|_| SettingFault::NotAMail)?;
                Ok(RuleValue::Text(mail.as_str().to_owned()))
            }
            unit => self.bounded(unit.read(typed)?),
        }
    }

    /// Reads which of a list are ticked; that none is may be meant.
    pub fn read_ticks(&self, ticked: impl Fn(&str) -> bool) -> RuleValue {
        let chosen = self.unit.list().iter().filter(|(word, _)| ticked(word));
        RuleValue::Chosen(chosen.map(|(word, _)| (*word).to_owned()).collect())
    }

    fn bounded(&self, number: i64) -> Result<RuleValue, SettingFault> {
        let (least, most) = self.bounds;
        match number {
            number if number < least => Err(SettingFault::TooSmall(self.unit.told(least))),
            number if number > most => Err(SettingFault::TooBig(self.unit.told(most))),
            number => Ok(RuleValue::Number(number)),
        }
    }
}

impl RuleUnit {
    /// The closed list, for a unit that has one.
    pub fn list(self) -> &'static [(&'static str, &'static str)] {
        match self {
            RuleUnit::Choice(list) | RuleUnit::Several(list) => list,
            _ => &[],
        }
    }

    /// A number with its unit, as in "3 in (76.2 mm)".
    pub fn told(self, number: i64) -> String {
        use super::curriculum::Unit;
        match self {
            RuleUnit::BodyLength => {
                format!("{} ({})", Length::from_um(number).inches_text(), Length::from_um(number).mm_text())
            }
            RuleUnit::GroundLength => Unit::Micrometres.words(number, Lang::En),
            RuleUnit::TenthDegrees => format!("{} degrees", parts(number, 10)),
            RuleUnit::Permille => parts(number, 1000),
            RuleUnit::Hundredths => parts(number, 100),
            RuleUnit::MilesPerHour => format!("{number} mph ({} km/h)", parts((number * 16_093 + 500) / 1000, 10)),
            RuleUnit::Count(one, many) => format!("{number} {}", if number == 1 { one } else { many }),
            _ => number.to_string(),
        }
    }

    /// A number as its field holds it; reading it again gives the same number.
    fn typed(self, number: i64) -> String {
        match self {
            RuleUnit::BodyLength | RuleUnit::GroundLength => length_typed(number),
            RuleUnit::TenthDegrees => parts(number, 10),
            RuleUnit::Permille => parts(number, 1000),
            RuleUnit::Hundredths => parts(number, 100),
            _ => number.to_string(),
        }
    }

    fn read(self, typed: &str) -> Result<i64, SettingFault> {
        match self {
            RuleUnit::BodyLength | RuleUnit::GroundLength => length(typed),
            RuleUnit::TenthDegrees => decimal(typed.trim_end_matches(['°']), 1),
            RuleUnit::Permille => decimal(typed, 3),
            RuleUnit::Hundredths => decimal(typed, 2),
            _ => decimal(typed, 0),
        }
    }
}

/// A length with its unit, with a minus sign where a joint may end short of a lever. A zero needs no unit.
fn length(typed: &str) -> Result<i64, SettingFault> {
    let (sign, size) = match typed.strip_prefix(['-', '\u{2212}']) {
        Some(rest) => (-1, rest.trim()),
        None => (1, typed),
    };
    if size.starts_with('0')
        && size.trim_end_matches(|c: char| c.is_alphabetic() || c == ' ').chars().all(|c| matches!(c, '0' | '.'))
    {
        return Ok(0);
    }
    read_distance(size).map(|um| sign * um).map_err(|_| SettingFault::NotALength)
}

/// Whole feet or inches where the length is made of them, else the shortest exact metric figure.
fn length_typed(um: i64) -> String {
    let quarter = INCH_UM / 4;
    let sign = if um < 0 { "-" } else { "" };
    match um.abs() {
        0 => "0 in".to_owned(),
        um if um % FOOT_UM == 0 => format!("{sign}{} ft", um / FOOT_UM),
        um if um % quarter == 0 => {
            let inches = Length::from_um(um).inches_text();
            format!("{sign}{inches}")
        }
        um if um >= 1_000_000 && um % 10_000 == 0 => format!("{sign}{} m", parts(um / 10_000, 100)),
        um if um % 1_000 == 0 => format!("{sign}{} cm", parts(um / 1_000, 10)),
        um => format!("{sign}{} mm", parts(um, 1_000)),
    }
}

/// A number of parts as a decimal without zeros at its end.
fn parts(number: i64, parts: i64) -> String {
    let sign = if number < 0 { "-" } else { "" };
    let (whole, rest) = (number.abs() / parts, number.abs() % parts);
    if rest == 0 {
        return format!("{sign}{whole}");
    }
    let digits = parts.ilog10() as usize;
    format!("{sign}{whole}.{}", format!("{rest:0digits$}").trim_end_matches('0'))
}

/// A number with at most `places` decimals, as a whole number of its smallest part.
fn decimal(typed: &str, places: usize) -> Result<i64, SettingFault> {
    let typed = typed.trim().replace('\u{2212}', "-");
    let (sign, size) = typed.strip_prefix('-').map_or((1, typed.as_str()), |rest| (-1, rest));
    let (whole, part) = size.split_once('.').unwrap_or((size, ""));
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    if whole.is_empty() || whole.len() > 9 || part.len() > places || !digits(whole) || !digits(part) {
        return Err(SettingFault::NotANumber);
    }
    let number: i64 = format!("{whole}{part:0<places$}").parse().map_err(|_| SettingFault::NotANumber)?;
    Ok(sign * number)
}

fn line(typed: &str, most: usize) -> Result<String, SettingFault> {
    Line::parse(typed, most).map(Line::into_string).map_err(|fault| match fault {
        WordFault::Empty => SettingFault::Missing,
        WordFault::TooLong { most } => SettingFault::TooLong(most),
        WordFault::Malformed => SettingFault::Malformed,
    })
}

/// A text of several lines, trimmed; empty is taken here.
///
/// # Errors
/// `TooLong` and `Malformed`.
pub fn clean(typed: &str, most: usize) -> Result<String, SettingFault> {
    if typed.trim().is_empty() {
        return Ok(String::new());
    }
    line(typed, most)
}

#[cfg(test)]
mod tests;
