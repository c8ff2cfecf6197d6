//! A machine from the side with a rider who stands on its rests: the numbers that were measured, drawn to one scale. Only the
//! heights are true; wheels and bars are there for the eye. Judges nothing.

use crate::domain::measures::{Length, Measures};
use crate::services::roster::fit::Machine;

/// Millimetres of the picture, from its upper edge to the ground.
const GROUND: i64 = 1_480;
/// Where the machine's middle lies, in millimetres from the left.
const MIDDLE: i64 = 560;

/// Between lines of words.
const LINE: i64 = 120;

/// A height that is marked: from and to in millimetres below the upper edge, and its words.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Mark {
    /// Upper end.
    pub top: i64,
    /// Lower end.
    pub bottom: i64,
    /// What it is, with its number.
    pub words: String,
}

/// How the room above the seat is known.
#[derive(Clone, Copy)]
enum How {
    /// On the machine.
    Measured,
    /// From the inseam.
    WorkedOut,
}

impl Mark {
    fn of(top: i64, bottom: i64, words: String) -> Self {
        Self { top, bottom, words }
    }

    /// Where its words stand.
    #[must_use]
    pub fn middle(&self) -> i64 {
        i64::midpoint(self.top, self.bottom) + 30
    }
}

/// Everything that the picture needs, in millimetres.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SideView {
    /// Top of the seat.
    pub seat: i64,
    /// Top of the footrests.
    pub rests: i64,
    /// Where a standing rider's legs meet, when the inseam is known.
    pub crotch: Option<i64>,
    /// Radius of a wheel.
    pub wheel: i64,
    /// Seat above the ground.
    pub seat_mark: Mark,
    /// Seat above the rests.
    pub rest_mark: Mark,
    /// Inseam.
    pub inseam_mark: Option<Mark>,
    /// Between seat and rider.
    pub room_mark: Option<Mark>,
    /// Whether the room was measured on the machine.
    pub is_measured: bool,
    /// Other numbers that were measured on it.
    pub more: Vec<String>,
    /// The picture in sentences.
    pub told: String,
}

impl SideView {
    /// Of a machine, and of the rider as far as measured: by the room that was measured on it, else by the inseam. `more` are other
    /// numbers that were measured on it, in words.
    #[must_use]
    pub fn of(machine: &Machine, measures: &Measures, room: Option<Length>, more: Vec<String>) -> Self {
        let mm = |length: Length| (length.um() + 500).div_euclid(1000);
        let seat = GROUND - mm(machine.seat);
        let rests = seat + mm(machine.rests);
        // What was measured on the machine counts more than what was worked out.
        let by_inseam = measures.inseam.map(|inseam| inseam - machine.rests);
        let shown = room.map(|room| (room, How::Measured)).or(by_inseam.map(|room| (room, How::WorkedOut)));
        let crotch = shown.map(|(room, _)| seat - mm(room));
        let (high, below) = (machine.seat.inches_text(), machine.rests.inches_text());
        let mut told = format!("The seat is {high} above the ground and {below} above the rests.");
        let inseam_mark = measures.inseam.filter(|_| room.is_none()).zip(crotch).map(|(inseam, crotch)| {
            told.push_str(&format!(" The rider's inseam is {}.", inseam.inches_text()));
            Mark::of(crotch, rests, format!("Inseam {}", inseam.inches_text()))
        });
        let room_mark = shown.zip(crotch).map(|((room, how), crotch)| {
            let words = match (room.um() >= 0, how) {
                (true, How::Measured) => format!("Measured {}", room.inches_text()),
                (true, How::WorkedOut) => format!("Room about {}", room.inches_text()),
                (false, _) => "No room".to_owned(),
            };
            told.push_str(&format!(" {words} between seat and rider."));
            Mark::of(crotch.min(seat), crotch.max(seat), words)
        });
        more.iter().for_each(|number| told.push_str(&format!(" {number}.")));
        Self {
            seat,
            rests,
            crotch,
            wheel: (mm(machine.seat) * 3 / 10).clamp(90, 320),
            seat_mark: Mark::of(seat, GROUND, format!("Seat {high} high")),
            rest_mark: Mark::of(seat, rests, format!("Rests {below} below")),
            inseam_mark,
            room_mark,
            is_measured: room.is_some(),
            more,
            told,
        }
    }

    /// The upper edge: over the head of whoever is drawn.
    #[must_use]
    pub fn top(&self) -> i64 {
        self.crotch.map_or(self.seat - 260, |crotch| (crotch - 660).min(self.seat - 260))
    }

    /// Everything from the upper edge to below the ground.
    #[must_use]
    pub fn height(&self) -> i64 {
        GROUND + 30 + LINE * i64::try_from(self.more.len()).unwrap_or(0) - self.top()
    }

    /// Where a line of words under the ground stands, by its place from 0 on.
    #[must_use]
    pub fn under(&self, place: &usize) -> i64 {
        GROUND + LINE * (i64::try_from(*place).unwrap_or(0) + 1)
    }

    /// The ground.
    #[must_use]
    pub fn ground(&self) -> i64 {
        GROUND
    }

    /// The machine's middle.
    #[must_use]
    pub fn x(&self, off: i64) -> i64 {
        MIDDLE + off
    }

    /// So far below a height.
    #[must_use]
    pub fn below(&self, height: &i64, off: i64) -> i64 {
        height + off
    }

    /// The height of the wheels' middle.
    #[must_use]
    pub fn axle(&self) -> i64 {
        GROUND - self.wheel
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::measures::Mass;
    use chrono::NaiveDate;

    fn machine(seat_mm: i64, rests_mm: i64) -> Machine {
        Machine {
            number: "4".into(),
            make_model: "Alder 70".into(),
            category: "Y-6+",
            least_age: Some(6),
            limiter: "none".into(),
            seat: Length::from_um(seat_mm * 1000),
            rests: Length::from_um(rests_mm * 1000),
            dry_weight: Mass::from_g(100_000),
        }
    }

    fn rider(inseam_mm: Option<i64>) -> Measures {
        Measures {
            height: None,
            weight: None,
            inseam: inseam_mm.map(|mm| Length::from_um(mm * 1000)),
            reach: None,
            hand: None,
            foot: None,
            head: None,
            taken_on: NaiveDate::from_ymd_opt(2026, 6, 13).expect("a day"),
        }
    }

    #[test]
    fn day_2_heights_are_drawn_to_one_scale_and_the_room_is_what_is_left_of_the_inseam() {
        let drawn = SideView::of(&machine(600, 400), &rider(Some(480)), None, vec![]);
        assert_eq!((drawn.ground() - drawn.seat, drawn.rests - drawn.seat), (600, 400));
        assert_eq!(drawn.crotch.map(|crotch| drawn.rests - crotch), Some(480));
        let room = drawn.room_mark.expect("an inseam");
        assert_eq!(room.bottom - room.top, 80);
        assert!(room.words.starts_with("Room about 3 "), "{}", room.words);
        assert!(drawn.told.contains("The seat is 23 5/8 in above the ground"), "{}", drawn.told);
    }

    #[test]
    fn day_2_without_an_inseam_nobody_is_drawn_and_a_seat_that_is_too_high_says_so() {
        let empty = SideView::of(&machine(600, 400), &rider(None), None, vec![]);
        assert_eq!((empty.crotch, empty.room_mark), (None, None));
        let short = SideView::of(&machine(600, 400), &rider(Some(390)), None, vec![]);
        let room = short.room_mark.expect("an inseam");
        assert_eq!((room.words.as_str(), room.bottom - room.top), ("No room", 10));
    }

    #[test]
    fn day_2_what_was_measured_on_the_machine_is_drawn_and_not_what_the_inseam_says() {
        let (room, more) = (Some(Length::from_um(95_250)), vec!["Reach to the brake lever 1/2 in".to_owned()]);
        let drawn = SideView::of(&machine(600, 400), &rider(Some(480)), room, more);
        let mark = drawn.room_mark.as_ref().expect("a room");
        assert_eq!((mark.words.as_str(), mark.bottom - mark.top), ("Measured 3 3/4 in", 95));
        assert!(drawn.is_measured && drawn.inseam_mark.is_none());
        assert!(drawn.told.ends_with("Reach to the brake lever 1/2 in."), "{}", drawn.told);
        assert!(drawn.height() > SideView::of(&machine(600, 400), &rider(Some(480)), room, vec![]).height());
    }
}
