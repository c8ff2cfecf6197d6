//! A dated running of a course: how many seats it has, which limit binds, and who may lead it.

use chrono::NaiveDate;

use super::words::word_list;

word_list! {
    /// Where a session stands.
    SessionState {
        /// Planned and open to registrations.
        Announced = "announced",
        /// Over; its facts are counted.
        Closed = "closed",
        /// Opened again after closing, to take late acts.
        Reopened = "reopened",
        /// Called off.
        Cancelled = "cancelled",
    }
}

word_list! {
    /// What limits the seats of a session.
    Limit {
        /// The site takes no more riders.
        Site = "site",
        /// Certified instructors times the riders that each may teach.
        Staff = "staff",
        /// Machines in use whose category the course's riders may ride.
        Machines = "machines",
        /// Helmets on hand.
        Helmets = "helmets",
        /// The coordinator chose fewer.
        Choice = "choice",
    }
}

/// The limits as they stand for one session, each a number of riders.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// The site's own limit.
    pub site: i64,
    /// Instructors that count for the ratio: active and provisional, never helpers.
    pub instructors: i64,
    /// Riders that each instructor may teach; the rule for the youngest rider holds for the whole group.
    pub riders_per_instructor: i64,
    /// Machines that can be used.
    pub machines: i64,
    /// Helmets on hand.
    pub helmets: i64,
    /// The most that the coordinator wants.
    pub choice: Option<i64>,
    /// Riders more than there are machines and helmets, because some do not come.
    pub overbooked: i64,
}

/// The seats of a session and the limit that binds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Seats {
    /// Seats.
    pub count: i64,
    /// The smallest limit; of equal ones the first of the list.
    pub binding: Limit,
}

impl Limits {
    /// Each limit in riders, in the order in which a page explains them. Only machines and helmets are overbooked: what the
    /// site takes, what instructors may teach and what was wanted are never exceeded.
    pub fn each(&self) -> Vec<(Limit, i64)> {
        let mut all = vec![
            (Limit::Site, self.site),
            (Limit::Staff, self.instructors * self.riders_per_instructor),
            (Limit::Machines, self.machines + self.overbooked),
            (Limit::Helmets, self.helmets + self.overbooked),
        ];
        all.extend(self.choice.map(|most| (Limit::Choice, most)));
        all
    }

    /// Seats = the smallest limit.
    pub fn seats(&self) -> Seats {
        let (binding, count) = self.each().into_iter().min_by_key(|(_, riders)| *riders).expect("there are limits");
        Seats { count: count.max(0), binding }
    }
}

/// The riders that one instructor may teach when the youngest of the group has this age: a setting of the program
/// (shipped: 4 at ages 6 to 9, else 6; common practice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct RatioRule {
    /// Riders an instructor up to and including `young_through`.
    pub young: i64,
    /// The last age that counts as young.
    pub young_through: i64,
    /// Riders an instructor above it.
    pub older: i64,
}

impl RatioRule {
    /// The shipped default.
    pub const SHIPPED: Self = Self { young: 4, young_through: 9, older: 6 };

    /// Riders an instructor for a group whose youngest has this age. Whatever is set, a younger group never gets more.
    pub fn for_youngest(&self, age: i64) -> i64 {
        if age <= self.young_through { self.young.min(self.older) } else { self.older }
    }
}

/// What a newcomer's place depends on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Openness {
    /// Where the session stands.
    pub state: SessionState,
    /// Its first day, in its own zone.
    pub held_on: NaiveDate,
    /// Today, in that zone.
    pub today: NaiveDate,
}

impl Openness {
    /// Whether somebody may still be registered: announced, and not after its first day.
    pub fn takes_registrations(&self) -> bool {
        self.state == SessionState::Announced && self.today <= self.held_on
    }
    /// Whether acts are taken: not cancelled, and not before its first day.
    pub fn takes_acts(&self) -> bool {
        matches!(self.state, SessionState::Announced | SessionState::Reopened) && self.today >= self.held_on
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn limits() -> Limits {
        Limits {
            site: 40,
            instructors: 9,
            riders_per_instructor: 6,
            machines: 20,
            helmets: 20,
            choice: None,
            overbooked: 0,
        }
    }

    #[test]
    fn house_3_seats_are_the_smallest_limit_and_the_page_can_name_it() {
        let wide = Limits { machines: 40, helmets: 60, ..limits() };
        for (limits, count, binding) in [
            (Limits { site: 12, ..wide }, 12, Limit::Site),
            (Limits { instructors: 2, riders_per_instructor: 4, ..wide }, 8, Limit::Staff),
            (Limits { machines: 7, ..wide }, 7, Limit::Machines),
            (Limits { helmets: 0, ..wide }, 0, Limit::Helmets),
            (Limits { choice: Some(5), ..wide }, 5, Limit::Choice),
            (Limits { site: 8, machines: 8, ..wide }, 8, Limit::Site),
        ] {
            assert_eq!(limits.seats(), Seats { count, binding });
        }
    }

    /// Decided: more riders than machines and helmets by setting, never more than the ratio, the site or the wish.
    #[test]
    fn family_6_overbooking_adds_riders_for_machines_and_helmets_and_never_beyond_ratio_site_or_wish() {
        let over = Limits { overbooked: 3, ..limits() };
        for (limits, count, binding) in [
            (over, 23, Limit::Machines),
            (Limits { machines: 8, ..over }, 11, Limit::Machines),
            (Limits { helmets: 5, ..over }, 8, Limit::Helmets),
            (Limits { instructors: 2, machines: 11, ..over }, 12, Limit::Staff),
            (Limits { site: 21, ..over }, 21, Limit::Site),
            (Limits { choice: Some(20), ..over }, 20, Limit::Choice),
        ] {
            assert_eq!(limits.seats(), Seats { count, binding });
        }
    }

    #[test]
    fn house_3_the_youngest_rider_sets_the_ratio() {
        // Shipped default 4 at ages 6-9, 6 above: common practice, no source; a setting.
        let rule = RatioRule::SHIPPED;
        assert_eq!([6, 9, 10, 15].map(|age| rule.for_youngest(age)), [4, 4, 6, 6]);
    }
}
