//! Proof of an earlier part, such as an online one: what a course asks for, what the family answered, and who saw it.

use super::words::word_list;

word_list! {
    /// Whether a course asks for proof of an earlier part.
    ProofRule {
        /// It asks for none.
        None = "none",
        /// It asks; a rider without it may start.
        Asked = "asked",
        /// Nobody starts before somebody of the staff has seen it.
        Needed = "needed",
    }
}

word_list! {
    /// What the family says about the earlier part.
    ProofAnswer {
        /// It is done.
        Done = "done",
        /// It is not done yet.
        NotYet = "not_yet",
        /// It is done, and the paper comes along.
        WillBring = "will_bring",
    }
}

/// How one rider stands to the earlier part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Proof {
    /// What the course asks.
    pub rule: ProofRule,
    /// What the family answered.
    pub answer: Option<ProofAnswer>,
    /// Whether the office saw it.
    pub seen_by_office: bool,
    /// What the latest act on the field says; it stands above the office's word.
    pub seen_on_field: Option<bool>,
}

impl Proof {
    /// A course that asks for nothing.
    pub const NOT_ASKED: Self =
        Self { rule: ProofRule::None, answer: None, seen_by_office: false, seen_on_field: None };

    /// Whether somebody of the staff saw it.
    pub fn is_seen(&self) -> bool {
        self.seen_on_field.unwrap_or(self.seen_by_office)
    }

    /// Whether it is asked for and nobody saw it.
    pub fn is_missing(&self) -> bool {
        self.rule != ProofRule::None && !self.is_seen()
    }

    /// Whether the rider may not start because of it.
    pub fn holds_back(&self) -> bool {
        self.rule == ProofRule::Needed && self.is_missing()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn saturday_1_only_a_proof_that_is_needed_and_unseen_holds_a_rider_back() {
        use ProofRule::{Asked, Needed, None as NotAsked};
        // Rule, seen by the office, said on the field; missing, holds back. What the family answers is no proof.
        for (rule, seen_by_office, seen_on_field, missing, holds_back) in [
            (NotAsked, false, None, false, false),
            (Asked, false, None, true, false),
            (Asked, true, None, false, false),
            (Needed, false, None, true, true),
            (Needed, true, None, false, false),
            (Needed, false, Some(true), false, false),
            (Needed, true, Some(false), true, true),
        ] {
            for answer in [None, Some(ProofAnswer::Done), Some(ProofAnswer::NotYet), Some(ProofAnswer::WillBring)] {
                let proof = Proof { rule, answer, seen_by_office, seen_on_field };
                assert_eq!((proof.is_missing(), proof.holds_back()), (missing, holds_back), "{proof:?}");
            }
        }
    }
}
