//! Moving a session and calling it off: when it may be done, why it is done, and what held before.
//! Must not know who is told, or how.

use chrono::{NaiveDate, NaiveDateTime};
use serde::{Deserialize, Serialize};

use super::refusal::Refusal;
use super::registration::RegistrationState;
use super::session::{Limits, SessionState};
use super::words::word_list;

word_list! {
    /// What families must be told of.
    ChangeKind {
        /// Another day, time or site.
        Moved = "moved",
        /// Called off.
        Cancelled = "cancelled",
    }
}

word_list! {
    /// Why. Each has its sentence in both languages, so that nobody has to translate in a hurry.
    ChangeReason {
        /// Storm, heat or cold.
        Weather = "weather",
        /// Smoke.
        Air = "air",
        /// Mud, ice or water on the ground.
        Ground = "ground",
        /// The owner needs the site, or a paper of the site has lapsed.
        Site = "site",
        /// Somebody of the team cannot be there.
        Staff = "staff",
        /// Machines or gear are missing.
        Machines = "machines",
        /// Too few riders.
        FewRiders = "few_riders",
        /// Something else, which the office says in its own words.
        Other = "other",
    }
}

/// A meeting as it was before a change.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct EarlierMeeting {
    /// Wall time at the site.
    pub wall: NaiveDateTime,
    /// Zone name.
    pub zone: String,
    /// Length.
    pub minutes: i64,
}

/// What held before a change.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Earlier {
    /// The site's name.
    pub site: String,
    /// Its town.
    pub city: String,
    /// The meetings in order.
    pub meetings: Vec<EarlierMeeting>,
}

/// How a session stands when somebody wants to change it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Standing {
    /// Where it stands.
    pub state: SessionState,
    /// Its first day.
    pub held_on: NaiveDate,
    /// Today at the site.
    pub today: NaiveDate,
    /// Whether a child was ever checked in.
    pub has_begun: bool,
    /// How often it was changed, as it is now.
    pub revision: i64,
    /// The same, as the page of the person who asks showed it.
    pub seen: i64,
}

impl Standing {
    /// Whether the session may be edited, moved or called off.
    ///
    /// # Errors
    /// `SessionNotOpen` when it is closed, called off or over, `SessionHasBegun` once a child was checked in: then it is
    /// closed and not called off. `SessionChanged` when the page is older than the last change.
    pub fn may_change(&self) -> Result<(), Refusal> {
        if self.state != SessionState::Announced || self.today > self.held_on {
            return Err(Refusal::SessionNotOpen);
        }
        if self.has_begun {
            return Err(Refusal::SessionHasBegun);
        }
        if self.revision == self.seen { Ok(()) } else { Err(Refusal::SessionChanged) }
    }
}

/// Whether a family waits for what becomes of the session: a seat, or a place in line.
#[must_use]
pub fn concerns(state: RegistrationState) -> bool {
    state.takes_a_seat() || state == RegistrationState::Waitlisted
}

/// Nobody loses a seat by a change.
///
/// # Errors
/// `SeatsTaken` when the limits leave fewer seats than are taken, `NoSeats` when they leave none.
pub fn keeps_seats(limits: &Limits, taken: i64) -> Result<(), Refusal> {
    let seats = limits.seats();
    if seats.count < taken {
        return Err(Refusal::SeatsTaken { taken, seats: seats.count, limit: seats.binding });
    }
    if seats.count == 0 { Err(Refusal::NoSeats { limit: seats.binding }) } else { Ok(()) }
}

#[cfg(test)]
mod tests {
    use super::super::session::Limit;
    use super::*;

    fn june(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 6, day).expect("a day of June")
    }

    #[test]
    fn saturday_4_a_session_is_changed_until_a_child_is_there_and_only_from_a_page_that_shows_it_as_it_is() {
        let open = Standing {
            state: SessionState::Announced,
            held_on: june(13),
            today: june(13),
            has_begun: false,
            revision: 2,
            seen: 2,
        };
        assert_eq!(open.may_change(), Ok(()));
        for (standing, refusal) in [
            (Standing { today: june(14), ..open }, Refusal::SessionNotOpen),
            (Standing { state: SessionState::Cancelled, ..open }, Refusal::SessionNotOpen),
            (Standing { state: SessionState::Closed, ..open }, Refusal::SessionNotOpen),
            (Standing { has_begun: true, ..open }, Refusal::SessionHasBegun),
            (Standing { seen: 1, ..open }, Refusal::SessionChanged),
        ] {
            assert_eq!(standing.may_change(), Err(refusal));
        }
    }

    #[test]
    fn saturday_4_a_change_never_takes_a_seat_away() {
        let limits = |site| Limits {
            site,
            instructors: 2,
            riders_per_instructor: 6,
            machines: 20,
            helmets: 20,
            choice: None,
            overbooked: 0,
        };
        assert_eq!(keeps_seats(&limits(8), 8), Ok(()));
        let refused = Refusal::SeatsTaken { taken: 8, seats: 7, limit: Limit::Site };
        assert_eq!(keeps_seats(&limits(7), 8), Err(refused));
        assert_eq!(keeps_seats(&limits(0), 0), Err(Refusal::NoSeats { limit: Limit::Site }));
    }
}
