//! Whose signature a consent needs.

use crate::domain::ids::GuardianId;
use crate::domain::words::word_list;

word_list! {
    /// Whose signature a consent to ride needs.
    Signers {
        /// That of one adult who may decide for the child.
        One = "one",
        /// That of every adult who may decide for the child here.
        All = "all",
    }
}

impl Default for Signers {
    /// Common practice, no source; local counsel decides. A setting.
    fn default() -> Self {
        Self::One
    }
}

impl Signers {
    /// Whether a consent stands. What somebody signed who may no longer decide for the child does not count.
    #[must_use]
    pub fn are_met(self, deciding: &[GuardianId], signed: &[GuardianId]) -> bool {
        let has_signed = |one: &GuardianId| signed.contains(one);
        match self {
            Self::One => deciding.iter().any(has_signed),
            Self::All => !deciding.is_empty() && deciding.iter().all(has_signed),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn family_3_one_signature_or_all_of_them_and_never_that_of_who_may_not_decide() {
        use Signers::{All, One};
        let ids = |raw: &[i64]| raw.iter().copied().map(GuardianId::new).collect::<Vec<_>>();
        for (signers, deciding, signed, stands) in [
            (One, &[1, 2][..], &[1][..], true),
            (One, &[1, 2], &[2], true),
            (One, &[1, 2], &[], false),
            (One, &[2], &[1], false),
            (One, &[], &[1], false),
            (All, &[1, 2], &[1], false),
            (All, &[1, 2], &[2, 1], true),
            (All, &[1], &[1], true),
            (All, &[1], &[1, 2], true),
            (All, &[2], &[1], false),
            (All, &[], &[], false),
        ] {
            assert_eq!(signers.are_met(&ids(deciding), &ids(signed)), stands, "{signers}: {deciding:?} {signed:?}");
        }
    }
}
