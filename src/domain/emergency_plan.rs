//! The emergency plan of a site: how to call for help from there, and who leads it in.
//! The gate code shows on the field and in the office, and nowhere else: it has no words of its own for a log.

use std::fmt;

/// A code that opens a gate. Its debug form is blind, so that no log or error can tell it.
#[derive(Clone, PartialEq, Eq, Default)]
pub struct GateCode(String);

impl GateCode {
    /// The code as typed; may be empty.
    pub fn new(typed: impl Into<String>) -> Self {
        Self(typed.into())
    }

    /// The code, for the pages of the session's staff and of the office.
    pub fn reveal(&self) -> &str {
        &self.0
    }
}

impl fmt::Debug for GateCode {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(if self.0.is_empty() { "GateCode(none)" } else { "GateCode(hidden)" })
    }
}

/// The plan. Hospital, coordinates and further notes stand with the site itself.
#[derive(Clone, Debug, PartialEq, Eq, Default)]
pub struct EmergencyPlan {
    /// The nearest spot from which a phone reaches the network.
    pub signal_spot: String,
    /// Radio or satellite device: which, and where it is kept.
    pub device: String,
    /// What opens the gate.
    pub gate_code: GateCode,
    /// Where a helicopter can land.
    pub landing_place: String,
    /// Who meets the ambulance, and where.
    pub meets_ambulance: String,
}

impl EmergencyPlan {
    /// Whether somebody could follow it: a way to call, and somebody who meets the ambulance.
    pub fn can_be_followed(&self) -> bool {
        let has_a_way = !self.signal_spot.is_empty() || !self.device.is_empty();
        has_a_way && !self.meets_ambulance.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn saturday_1_a_gate_code_never_shows_in_words_made_for_a_log() {
        let plan = EmergencyPlan { gate_code: GateCode::new("4455#"), ..EmergencyPlan::default() };
        let logged = format!("{plan:?} {:?}", plan.gate_code);
        assert!(!logged.contains("4455"), "{logged}");
        assert_eq!(plan.gate_code.reveal(), "4455#");
    }

    #[test]
    fn saturday_1_a_plan_needs_a_way_to_call_and_somebody_who_meets_the_ambulance() {
        for (signal, device, meets, expected) in [
            ("", "", "", false),
            ("Gate post", "", "", false),
            ("", "", "Hal", false),
            ("Gate post", "", "Hal", true),
            ("", "Satellite messenger, red box", "Hal", true),
        ] {
            let plan = EmergencyPlan {
                signal_spot: signal.into(),
                device: device.into(),
                meets_ambulance: meets.into(),
                ..EmergencyPlan::default()
            };
            assert_eq!(plan.can_be_followed(), expected, "{plan:?}");
        }
    }
}
