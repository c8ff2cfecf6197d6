//! The words of a certificate, ready for the font: composed, trimmed, and looked through for letters that no face has.
//! Decides no places.

use std::collections::BTreeSet;

use unicode_normalization::UnicodeNormalization;

use super::font::Face;

/// The words of one sheet, composed (NFC) so that an accent typed apart joins its letter.
pub(super) struct Words {
    pub(super) program_name: String,
    pub(super) heading: String,
    pub(super) lead_in: String,
    pub(super) rider_name: String,
    pub(super) statement: Vec<String>,
    pub(super) signers: Vec<(String, String)>,
    pub(super) code_label: String,
    pub(super) code: String,
    pub(super) valid_from_line: String,
    pub(super) check_url_shown: String,
    pub(super) caution: String,
}

impl Words {
    /// Takes the words off a sheet.
    pub(super) fn of(sheet: &super::Sheet) -> Self {
        let composed = |text: &str| text.trim().nfc().collect::<String>();
        Self {
            program_name: composed(sheet.program_name),
            heading: composed(sheet.heading),
            lead_in: composed(sheet.lead_in),
            rider_name: composed(sheet.rider_name),
            statement: sheet.statement.iter().map(|line| composed(line)).collect(),
            signers: sheet.signers.iter().take(2).map(|(name, role)| (composed(name), composed(role))).collect(),
            code_label: composed(sheet.code_label),
            code: composed(sheet.code),
            valid_from_line: composed(sheet.valid_from_line),
            check_url_shown: composed(sheet.check_url_shown),
            caution: composed(sheet.caution),
        }
    }

    /// Every text. Both faces hold the same letters, so it does not matter which one sets it.
    fn texts(&self) -> impl Iterator<Item = &str> {
        let single = [
            &self.program_name,
            &self.heading,
            &self.lead_in,
            &self.rider_name,
            &self.code_label,
            &self.code,
            &self.valid_from_line,
            &self.check_url_shown,
            &self.caution,
        ];
        let signers = self.signers.iter().flat_map(|(name, role)| [name, role]);
        single.into_iter().chain(&self.statement).chain(signers).map(String::as_str)
    }

    /// The characters that some face lacks, once each, in order of appearance.
    pub(super) fn missing(&self) -> Vec<char> {
        let mut seen = BTreeSet::new();
        let lacks = |c: &char| [Face::Regular, Face::Bold].iter().any(|face| !face.has(*c));
        self.texts().flat_map(str::chars).filter(lacks).filter(|c| seen.insert(*c)).collect()
    }
}
