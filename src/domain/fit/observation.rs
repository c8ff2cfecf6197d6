//! What an instructor saw and measured for one criterion.
//! Must not conclude; a number is compared in `verdict`.

use serde::{Deserialize, Serialize};

/// What the instructor tapped.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Seen {
    /// Seen to be so.
    Met,
    /// Seen not to be so.
    NotMet,
    /// So with a prosthesis or adapted equipment, which the note names.
    MetWithAdaptation {
        /// Names the adaptation; without it the criterion does not pass.
        note: String,
    },
    /// Nobody looked.
    #[default]
    NotMeasured,
}

/// One criterion as observed: the tap and, if somebody measured, the numbers in the criterion's unit.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Observation {
    /// The tap.
    pub seen: Seen,
    /// The first number.
    pub number: Option<i64>,
    /// The second number, taken when the first lay close to a limit; it decides.
    pub second_number: Option<i64>,
}

impl Observation {
    /// A tap without a number.
    #[must_use]
    pub fn tapped(seen: Seen) -> Self {
        Self { seen, number: None, second_number: None }
    }

    /// A number without a tap.
    #[must_use]
    pub fn measured(number: i64) -> Self {
        Self { seen: Seen::NotMeasured, number: Some(number), second_number: None }
    }

    /// The same with a second number.
    #[must_use]
    pub fn again(self, second_number: i64) -> Self {
        Self { second_number: Some(second_number), ..self }
    }

    /// The number that decides: the second if there is one.
    #[must_use]
    pub fn deciding_number(&self) -> Option<i64> {
        self.second_number.or(self.number)
    }
}
