//! The meetings of a session: one day, or several mornings for the young. Each has a day of its own, so that the day
//! alone says which meeting it is. Must not know clocks: the caller says which day it is at the site.

use chrono::NaiveDate;

/// One meeting by its number within the session.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Meeting {
    /// First, second ...
    pub ordinal: i64,
    /// Its day, at the site.
    pub on: NaiveDate,
}

/// The meetings of one session in order; never empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Meetings(Vec<Meeting>);

/// Why days cannot be the meetings of a session.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoMeetings {
    /// There is none.
    Empty,
    /// A meeting does not lie after the one before it; this day comes twice or out of order.
    NotInOrder(NaiveDate),
}

impl Meetings {
    /// Meetings in order of their ordinals.
    ///
    /// # Errors
    /// None, two on one day, or days out of order.
    pub fn of(meetings: Vec<Meeting>) -> Result<Self, NoMeetings> {
        if meetings.is_empty() {
            return Err(NoMeetings::Empty);
        }
        match meetings.windows(2).find(|pair| pair[0].on >= pair[1].on) {
            Some(pair) => Err(NoMeetings::NotInOrder(pair[1].on)),
            None => Ok(Self(meetings)),
        }
    }

    /// Meetings on these days, numbered from one.
    ///
    /// # Errors
    /// As `of`.
    pub fn on_days(days: &[NaiveDate]) -> Result<Self, NoMeetings> {
        Self::of((1..).zip(days).map(|(ordinal, on)| Meeting { ordinal, on: *on }).collect())
    }

    /// All of them in order.
    pub fn all(&self) -> &[Meeting] {
        &self.0
    }

    /// How many there are.
    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// The first.
    pub fn first(&self) -> Meeting {
        self.0[0]
    }

    /// The last: its outcome decides, and nobody closes before its day.
    pub fn last(&self) -> Meeting {
        self.0[self.0.len() - 1]
    }

    /// The meeting of this number.
    pub fn find(&self, ordinal: i64) -> Option<Meeting> {
        self.0.iter().copied().find(|meeting| meeting.ordinal == ordinal)
    }

    /// The meeting that a day belongs to: the latest that has come, or the first while none has. Who is still on the
    /// site after midnight belongs to the meeting before.
    pub fn of_day(&self, today: NaiveDate) -> Meeting {
        self.0.iter().copied().rfind(|meeting| meeting.on <= today).unwrap_or(self.0[0])
    }

    /// Meetings before this one, in order.
    pub fn before(&self, ordinal: i64) -> impl Iterator<Item = Meeting> {
        self.0.iter().copied().filter(move |meeting| meeting.ordinal < ordinal)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn june(day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 6, day).expect("a day of June")
    }

    fn two_mornings() -> Meetings {
        Meetings::on_days(&[june(13), june(20)]).expect("two days in order")
    }

    #[test]
    fn saturday_1_a_day_belongs_to_the_latest_meeting_that_has_come() {
        for (today, meeting) in [(1, 1), (13, 1), (14, 1), (19, 1), (20, 2), (21, 2), (30, 2)] {
            assert_eq!(two_mornings().of_day(june(today)).ordinal, meeting, "June {today}");
        }
    }

    #[test]
    fn saturday_1_the_first_and_the_last_meeting_are_known_and_no_other_is_found() {
        let meetings = two_mornings();
        assert_eq!((meetings.first().on, meetings.last().on, meetings.count()), (june(13), june(20), 2));
        assert_eq!(meetings.find(2).map(|meeting| meeting.on), Some(june(20)));
        assert_eq!((meetings.find(0), meetings.find(3)), (None, None));
        assert_eq!(meetings.before(2).map(|meeting| meeting.ordinal).collect::<Vec<_>>(), [1]);
    }

    #[test]
    fn saturday_1_each_meeting_has_a_day_of_its_own_in_order() {
        assert_eq!(Meetings::on_days(&[]), Err(NoMeetings::Empty));
        assert_eq!(Meetings::on_days(&[june(13), june(13)]), Err(NoMeetings::NotInOrder(june(13))));
        assert_eq!(Meetings::on_days(&[june(20), june(13)]), Err(NoMeetings::NotInOrder(june(13))));
    }
}
