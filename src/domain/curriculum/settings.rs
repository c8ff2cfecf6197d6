//! The named figures of a curriculum and how they read in its texts. Does not decide which figures there are.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};

use super::LocalText;
use crate::domain::words::Lang;

/// How well a figure is founded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum SourceMark {
    /// Read in the named source.
    R,
    /// Read in a page that quotes the source.
    R2,
    /// Read in a file of a package or standard.
    P,
    /// Computed from a stated formula.
    K,
    /// From memory of the source, not looked up.
    M,
    /// Common practice without a source.
    C,
}

impl SourceMark {
    /// The letter shown beside a source.
    pub fn as_str(self) -> &'static str {
        match self {
            Self::R => "R",
            Self::R2 => "R2",
            Self::P => "P",
            Self::K => "K",
            Self::M => "M",
            Self::C => "C",
        }
    }
}

/// One figure a program may change.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Setting {
    /// Above zero; the unit is told by the setting's name, see `Unit`.
    pub value: i64,
    /// What the figure is.
    pub title: LocalText,
    /// Where the figure comes from, in words.
    pub source: String,
    /// How well it is founded.
    pub mark: SourceMark,
}

/// What a setting is counted in; told by the ending of its name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unit {
    /// `_um`: micrometres.
    Micrometres,
    /// `_mph`: whole miles per hour.
    MilesPerHour,
    /// `_tenth_deg`: tenths of a degree.
    TenthDegrees,
    /// `_permille`: thousandths, shown as a factor: 1300 reads 1.3.
    Permille,
    /// `_seconds`: whole seconds.
    Seconds,
    /// `_count`: a number of things.
    Count,
}

impl Unit {
    /// The unit told by a setting's name; `None` when its ending is none of ours.
    pub fn of_name(name: &str) -> Option<Unit> {
        const ENDINGS: [(&str, Unit); 6] = [
            ("_um", Unit::Micrometres),
            ("_mph", Unit::MilesPerHour),
            ("_tenth_deg", Unit::TenthDegrees),
            ("_permille", Unit::Permille),
            ("_seconds", Unit::Seconds),
            ("_count", Unit::Count),
        ];
        ENDINGS.iter().find(|(ending, _)| name.ends_with(ending)).map(|(_, unit)| *unit)
    }

    /// The largest figure that is taken: beyond it a typing slip is more likely than a riding area.
    pub fn most(self) -> i64 {
        match self {
            Unit::Micrometres => 1_000_000_000,
            Unit::MilesPerHour => 60,
            Unit::TenthDegrees => 450,
            Unit::Permille => 10_000,
            Unit::Seconds => 600,
            Unit::Count => 100,
        }
    }

    /// The figure as people read it. Lengths show US units first, then metric: "39 ft (12 m)".
    pub fn words(self, value: i64, lang: Lang) -> String {
        match (self, lang) {
            (Unit::Micrometres, _) => length_words(value, lang),
            (Unit::MilesPerHour, Lang::En) => format!("{value} mph"),
            (Unit::MilesPerHour, Lang::Es) => format!("{value} millas por hora"),
            (Unit::TenthDegrees, Lang::En) => format!("{} degrees", decimal(value, 10)),
            (Unit::TenthDegrees, Lang::Es) => format!("{} grados", decimal(value, 10)),
            (Unit::Permille, _) => decimal(value, 1000),
            (Unit::Seconds, Lang::En) => format!("{value} seconds"),
            (Unit::Seconds, Lang::Es) => format!("{value} segundos"),
            (Unit::Count, _) => value.to_string(),
        }
    }
}

/// Under 6 ft in whole inches, from there in whole feet. Metric in centimetres under a metre, else in metres, to one decimal.
fn length_words(micrometres: i64, lang: Lang) -> String {
    const INCH: i64 = 25_400;
    const FOOT: i64 = 304_800;
    let nearest = |unit: i64| (micrometres + unit / 2) / unit;
    let us = match (micrometres < 6 * FOOT, lang) {
        (true, Lang::En) => format!("{} in", nearest(INCH)),
        (true, Lang::Es) => format!("{} pulgadas", nearest(INCH)),
        (false, Lang::En) => format!("{} ft", nearest(FOOT)),
        (false, Lang::Es) => format!("{} pies", nearest(FOOT)),
    };
    if micrometres < 1_000_000 {
        format!("{us} ({} cm)", decimal(nearest(1_000), 10))
    } else {
        format!("{us} ({} m)", decimal(nearest(100_000), 10))
    }
}

/// A whole number of parts as a decimal without zeros at the end: 1300 of 1000 is "1.3".
fn decimal(value: i64, parts: i64) -> String {
    let (whole, rest) = (value / parts, value % parts);
    if rest == 0 {
        return whole.to_string();
    }
    let digits = parts.ilog10() as usize;
    format!("{whole}.{}", format!("{rest:0digits$}").trim_end_matches('0'))
}

/// The names between braces in a text, in order. A brace that is not closed ends the search.
pub(super) fn names_in(text: &str) -> Vec<&str> {
    let closed = |part: &'_ str| part.find('}');
    text.split('{').skip(1).filter_map(|part| closed(part).map(|end| &part[..end])).collect()
}

/// Whether the braces of a text stand in pairs round a name.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Braces {
    /// Each pair holds a name, or there is none.
    Paired,
    /// One is not closed, not opened, or holds no name.
    Loose,
}

/// How the braces of a text stand.
pub(super) fn braces_in(text: &str) -> Braces {
    let is_name = |name: &str| {
        !name.is_empty() && name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_')
    };
    let named = names_in(text).into_iter().filter(|name| is_name(name)).count();
    let count = |brace| text.matches(brace).count();
    if named == count('{') && named == count('}') { Braces::Paired } else { Braces::Loose }
}

/// The text with each known `{name}` replaced by its figure.
pub(super) fn fill(text: &str, settings: &BTreeMap<String, Setting>, lang: Lang) -> String {
    let mut filled = text.to_string();
    for name in names_in(text) {
        if let (Some(setting), Some(unit)) = (settings.get(name), Unit::of_name(name)) {
            filled = filled.replace(&format!("{{{name}}}"), &unit.words(setting.value, lang));
        }
    }
    filled
}
