//! One rider's place in one session: who may have one, and whether it is a seat or a place on the waitlist.

use chrono::NaiveDate;

use super::refusal::Refusal;
use super::session::Openness;
use super::words::word_list;

word_list! {
    /// Where a registration stands. Held and offered places count as taken seats.
    RegistrationState {
        /// A seat kept for a short time until the address is confirmed.
        Held = "held",
        /// A seat.
        Confirmed = "confirmed",
        /// A place in line.
        Waitlisted = "waitlisted",
        /// A freed seat offered until a time.
        Offered = "offered",
        /// An offer or a hold that ran out.
        Lapsed = "lapsed",
        /// Given up by the family or the office.
        Cancelled = "cancelled",
    }
}

impl RegistrationState {
    /// Whether it takes one of the seats.
    pub fn takes_a_seat(self) -> bool {
        matches!(self, Self::Held | Self::Confirmed | Self::Offered)
    }
}

word_list! {
    /// How a rider's day ended. A participation is attended, late, left early or chose to stop.
    Outcome {
        /// Was there from the start.
        Attended = "attended",
        /// Came late and rode.
        Late = "late",
        /// Went home before the end.
        LeftEarly = "left_early",
        /// Was not let start: gear, consent, fit or behaviour.
        TurnedAway = "turned_away",
        /// Chose to stop.
        ChoseToStop = "chose_to_stop",
        /// Did not come.
        Absent = "absent",
    }
}

word_list! {
    /// Whether a family names the adult who comes with the child and stays.
    DayAdult {
        /// Nobody asks.
        Unasked = "unasked",
        /// It may.
        Asked = "asked",
        /// It must.
        Needed = "needed",
    }
}

impl Default for DayAdult {
    /// Common practice, no source. A setting.
    fn default() -> Self {
        Self::Asked
    }
}

impl Outcome {
    /// Whether it counts as a participation.
    pub fn participated(self) -> bool {
        !matches!(self, Self::TurnedAway | Self::Absent)
    }
    /// Whether the rider can complete: only attended and late.
    pub fn can_complete(self) -> bool {
        matches!(self, Self::Attended | Self::Late)
    }
}

word_list! {
    /// How much a child has ridden, as the guardian says.
    Ridden {
        /// Never.
        Never = "never",
        /// A few times.
        Few = "few",
        /// Often.
        Often = "often",
        /// The guardian does not know.
        Unknown = "unknown",
    }
}

/// What a place depends on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Wish {
    /// Whether the session takes registrations.
    pub openness: Openness,
    /// The course's least age.
    pub least_age: i64,
    /// The course's greatest age.
    pub most_age: i64,
    /// The rider's completed years on the session's first day.
    pub age_on_the_day: i64,
    /// The rider's registration for this session, if there is one already.
    pub existing: Option<RegistrationState>,
    /// Families waiting for this session.
    pub waiting: i64,
}

/// Which place to try for. The guarded seat update has the last word.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Try for a seat; when none is left, join the end of the waitlist.
    SeatIfFree,
    /// Others wait already: join the end.
    EndOfWaitlist,
}

/// Decides whether this rider may have a place at all, and which.
pub fn decide(wish: &Wish) -> Result<Place, Refusal> {
    let Openness { held_on, .. } = wish.openness;
    if !wish.openness.takes_registrations() {
        return Err(Refusal::SessionTakesNoRegistrations { held_on });
    }
    if matches!(wish.existing, Some(state) if state != RegistrationState::Cancelled && state != RegistrationState::Lapsed)
    {
        return Err(Refusal::AlreadyRegistered);
    }
    age_fits(wish.age_on_the_day, wish.least_age, wish.most_age, held_on)?;
    Ok(if wish.waiting > 0 { Place::EndOfWaitlist } else { Place::SeatIfFree })
}

/// A place of a child whose birth date is to be another.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PlaceByAge {
    /// Whether it still counts.
    pub is_open: bool,
    /// Whether the day has ended for the child: its age was relied on.
    pub has_outcome: bool,
    /// The child's age on the day, by the new birth date.
    pub age: i64,
    /// The least and the greatest age of the course.
    pub ages: (i64, i64),
    /// The session's first day.
    pub on: NaiveDate,
}

/// Whether a child's birth date may be another: every place that stands must fit it, and once the child has taken part only
/// the office changes it.
///
/// # Errors
/// `TookPart`, `TooYoung`, `TooOld`.
pub fn birth_date_fits(places: &[PlaceByAge], by_office: bool) -> Result<(), Refusal> {
    for place in places {
        match place {
            PlaceByAge { has_outcome: true, .. } if !by_office => return Err(Refusal::TookPart),
            PlaceByAge { has_outcome: false, is_open: true, age, ages: (least, most), on } => {
                age_fits(*age, *least, *most, *on)?;
            }
            _ => {}
        }
    }
    Ok(())
}

/// Whether a child of this age on the day may take a course for ages from `least` to `most`, both included.
///
/// # Errors
/// `TooYoung`, `TooOld`.
fn age_fits(age: i64, least: i64, most: i64, on: NaiveDate) -> Result<(), Refusal> {
    if age < least {
        return Err(Refusal::TooYoung { least, on });
    }
    if age > most {
        return Err(Refusal::TooOld { most, on });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::session::SessionState;
    use super::*;

    fn day(d: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(2026, 7, d).expect("a day of July")
    }
    fn wish() -> Wish {
        let openness = Openness { state: SessionState::Announced, held_on: day(4), today: day(1) };
        Wish { openness, least_age: 10, most_age: 15, age_on_the_day: 10, existing: None, waiting: 0 }
    }

    #[test]
    fn house_3_a_rider_of_the_right_age_gets_a_seat_or_joins_the_end_of_the_line() {
        assert_eq!(decide(&wish()), Ok(Place::SeatIfFree));
        assert_eq!(decide(&Wish { waiting: 1, ..wish() }), Ok(Place::EndOfWaitlist));
        assert_eq!(decide(&Wish { age_on_the_day: 15, ..wish() }), Ok(Place::SeatIfFree));
    }

    #[test]
    fn family_8_a_birth_date_fits_every_place_that_stands_and_stays_for_families_once_the_child_took_part() {
        let place = PlaceByAge { is_open: true, has_outcome: false, age: 12, ages: (10, 15), on: day(4) };
        let (young, old) = (PlaceByAge { age: 9, ..place }, PlaceByAge { age: 16, ..place });
        let (over, ended) = (PlaceByAge { is_open: false, ..young }, PlaceByAge { has_outcome: true, ..young });
        let (too_young, too_old) =
            (Refusal::TooYoung { least: 10, on: day(4) }, Refusal::TooOld { most: 15, on: day(4) });
        for (places, family, office) in [
            (vec![], Ok(()), Ok(())),
            (vec![place], Ok(()), Ok(())),
            (vec![place, young], Err(too_young.clone()), Err(too_young.clone())),
            (vec![old], Err(too_old.clone()), Err(too_old)),
            (vec![over], Ok(()), Ok(())),
            (vec![ended], Err(Refusal::TookPart), Ok(())),
            (vec![ended, young], Err(Refusal::TookPart), Err(too_young)),
        ] {
            assert_eq!(
                (birth_date_fits(&places, false), birth_date_fits(&places, true)),
                (family, office),
                "{places:?}"
            );
        }
    }

    #[test]
    fn house_3_age_on_the_day_decides_below_and_above() {
        assert_eq!(decide(&Wish { age_on_the_day: 9, ..wish() }), Err(Refusal::TooYoung { least: 10, on: day(4) }));
        assert_eq!(decide(&Wish { age_on_the_day: 16, ..wish() }), Err(Refusal::TooOld { most: 15, on: day(4) }));
    }

    #[test]
    fn house_3_a_rider_has_one_place_and_may_come_back_after_giving_it_up() {
        for (existing, taken) in [
            (RegistrationState::Confirmed, true),
            (RegistrationState::Waitlisted, true),
            (RegistrationState::Offered, true),
            (RegistrationState::Held, true),
            (RegistrationState::Cancelled, false),
            (RegistrationState::Lapsed, false),
        ] {
            let answer = decide(&Wish { existing: Some(existing), ..wish() });
            assert_eq!(answer == Err(Refusal::AlreadyRegistered), taken, "{existing}");
        }
    }

    #[test]
    fn house_3_a_closed_cancelled_or_past_session_takes_nobody() {
        for (state, today) in [(SessionState::Closed, 1), (SessionState::Cancelled, 1), (SessionState::Announced, 5)] {
            let openness = Openness { state, held_on: day(4), today: day(today) };
            let refused = decide(&Wish { openness, ..wish() });
            assert_eq!(refused, Err(Refusal::SessionTakesNoRegistrations { held_on: day(4) }));
        }
        let on_the_day = Openness { state: SessionState::Announced, held_on: day(4), today: day(4) };
        assert_eq!(decide(&Wish { openness: on_the_day, ..wish() }), Ok(Place::SeatIfFree));
    }

    #[test]
    fn house_3_turned_away_and_absent_are_no_participation_and_only_attended_and_late_complete() {
        use super::super::words::Word;
        let took_part: Vec<_> = Outcome::ALL.iter().filter(|o| o.participated()).collect();
        assert_eq!(took_part, [&Outcome::Attended, &Outcome::Late, &Outcome::LeftEarly, &Outcome::ChoseToStop]);
        let complete: Vec<_> = Outcome::ALL.iter().filter(|o| o.can_complete()).collect();
        assert_eq!(complete, [&Outcome::Attended, &Outcome::Late]);
    }
}
