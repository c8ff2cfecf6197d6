//! The program's own settings: rules that each program may set for itself, kept as data.

use serde::{Deserialize, Serialize};

use super::curriculum::LocalText;
use super::measures::growth::GrowthLimits;
use super::people::LeapRule;
use super::retention::RetentionRule;
use super::session::RatioRule;
use super::site_paper::{SitePaperKind, shipped_blocking_kinds};
use super::staffing::DutyPapers;

/// Settings of the program. Each has a shipped default in `seed/program.toml`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ProgramSettings {
    /// Riders an instructor, by the youngest rider's age.
    pub ratio: RatioRule,
    /// The papers without which nobody does a duty.
    #[serde(default)]
    pub papers: DutyPapers,
    /// Years that a helmet is used, from the end of the month it was made.
    pub helmet_years: u32,
    /// Papers of a site without which no session is announced there.
    #[serde(default = "shipped_blocking_kinds")]
    pub site_papers: Vec<SitePaperKind>,
    /// When somebody born on 29 February has a birthday in a common year.
    #[serde(default)]
    pub leap_rule: LeapRule,
    /// When the office answers.
    pub office_hours: LocalText,
    /// From where on a typed height or weight is asked about again.
    #[serde(default)]
    pub growth: GrowthLimits,
    /// How long signed texts and reports of incidents are kept.
    #[serde(default)]
    pub retention: RetentionRule,
}
