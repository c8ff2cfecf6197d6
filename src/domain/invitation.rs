//! One adult asks another to answer for children with them: how long that stands, and how often it may be asked.

use chrono::{NaiveDateTime, TimeDelta};

/// For how long an invitation can be accepted.
pub const INVITATION_LASTS: TimeDelta = TimeDelta::days(7);

/// At most so many invitations of one adult in [`INVITATION_WINDOW`].
pub const MOST_INVITATIONS: i64 = 5;

/// The time in which invitations are counted.
pub const INVITATION_WINDOW: TimeDelta = TimeDelta::days(1);

/// Whether an invitation can be accepted now: nobody did, nobody took it back, and its time is not over.
#[must_use]
pub fn is_open(asked_at: NaiveDateTime, ended_at: Option<NaiveDateTime>, now: NaiveDateTime) -> bool {
    ended_at.is_none() && now - asked_at < INVITATION_LASTS
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn family_3_an_invitation_stands_for_seven_days_unless_it_ends_before() {
        let at = |text: &str| text.parse::<NaiveDateTime>().expect("an instant");
        let asked = at("2026-06-01T08:00:00");
        for (ended, now, open) in [
            (None, at("2026-06-01T08:00:00"), true),
            (None, at("2026-06-08T07:59:59"), true),
            (None, at("2026-06-08T08:00:00"), false),
            (Some(at("2026-06-02T08:00:00")), at("2026-06-02T08:00:00"), false),
        ] {
            assert_eq!(is_open(asked, ended, now), open, "{ended:?} {now}");
        }
    }
}
