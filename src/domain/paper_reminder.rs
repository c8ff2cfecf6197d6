//! When somebody of the staff is written to that a paper of theirs runs out: on some days before, each once.

use serde::{Deserialize, Serialize};

/// Days before a paper's last day. Common practice, no source: each program sets its own; with 0 that letter does not go out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct PaperReminderRule {
    /// For the first letter.
    pub first_days: i64,
    /// For the second.
    pub second_days: i64,
    /// For the third.
    pub third_days: i64,
    /// For the last.
    pub last_days: i64,
}

impl Default for PaperReminderRule {
    fn default() -> Self {
        Self { first_days: 90, second_days: 60, third_days: 30, last_days: 7 }
    }
}

impl PaperReminderRule {
    /// Which letter it is time for, by its days, with so many days left. One that was missed is not made up for once the next
    /// one is due: nobody gets two at once. `None`: none yet, or the paper has run out.
    #[must_use]
    pub fn due(&self, left: i64) -> Option<i64> {
        let all = [self.first_days, self.second_days, self.third_days, self.last_days];
        all.into_iter().filter(|days| *days > 0 && (0..=*days).contains(&left)).min()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn day_5_the_nearest_letter_is_due_from_its_day_until_the_next_ones() {
        let rule = PaperReminderRule::default();
        for (left, due) in [
            (91, None),
            (90, Some(90)),
            (61, Some(90)),
            (60, Some(60)),
            (31, Some(60)),
            (30, Some(30)),
            (8, Some(30)),
            (7, Some(7)),
            (0, Some(7)),
            (-1, None),
        ] {
            assert_eq!(rule.due(left), due, "{left}");
        }
        let one = PaperReminderRule { first_days: 0, second_days: 14, third_days: 0, last_days: 0 };
        assert_eq!([15, 14, 0, -1].map(|left| one.due(left)), [None, Some(14), Some(14), None]);
        let none = PaperReminderRule { second_days: 0, ..one };
        assert!((-5..200).all(|left| none.due(left).is_none()));
    }
}
