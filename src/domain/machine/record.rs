//! The record of one machine: what its label and plate say, how it is set, where it stands and what happened to it. Says
//! which days and readings cannot be; knows no form and no table.

use chrono::NaiveDate;

use super::MachineState;
use crate::domain::measures::Length;
use crate::domain::words::word_list;

word_list! {
    /// For how many a machine is made, as ANSI/SVIA 1 parts them.
    Riders {
        /// Type I: the rider alone.
        One = "one",
        /// Type II: a rider, and a passenger in a seat of its own behind.
        WithPassenger = "passenger",
    }
}

impl Riders {
    /// The name of the type in the standard.
    #[must_use]
    pub fn type_name(self) -> &'static str {
        match self {
            Self::One => "Type I",
            Self::WithPassenger => "Type II",
        }
    }
}

word_list! {
    /// Whether the maker's warning label with the least age is on the machine.
    LabelSeen {
        /// It is there and can be read.
        There = "there",
        /// It is gone or cannot be read.
        Missing = "missing",
        /// Nobody looked yet.
        NotLooked = "not_looked",
    }
}

word_list! {
    /// A kind of place where machines and gear are kept.
    PlaceKind {
        /// A building.
        Store = "store",
        /// A trailer that goes to the sites.
        Trailer = "trailer",
    }
}

word_list! {
    /// What happened to a machine, besides the faults that were found and mended.
    EventKind {
        /// It came into the fleet.
        Added = "added",
        /// Its record was changed.
        Changed = "changed",
        /// It stands somewhere else now.
        Moved = "moved",
        /// Its hour meter was read.
        Hours = "hours",
        /// It left the fleet.
        Retired = "retired",
        /// It came back into the fleet.
        Returned = "returned",
    }
}

word_list! {
    /// A part of the record that can be changed.
    RecordPart {
        /// The number painted on it.
        Number = "number",
        /// Make and model.
        MakeModel = "make_model",
        /// The number on its frame.
        Serial = "serial",
        /// The category.
        Category = "category",
        /// For how many it is made.
        Riders = "riders",
        /// The build date.
        Built = "built",
        /// The engine.
        Engine = "engine",
        /// The dry weight.
        Weight = "weight",
        /// What was measured on it.
        Sizes = "sizes",
        /// The limiter: its speed, when it was set, and by whom.
        Limiter = "limiter",
        /// The tire pressures.
        Tires = "tires",
        /// The warning label.
        Label = "label",
    }
}

/// The order of machines by the numbers painted on them: 2 before 10, and numbers before names.
#[must_use]
pub fn number_order(number: &str) -> (u64, String) {
    (number.parse().unwrap_or(u64::MAX), number.to_owned())
}

/// The state of a machine of the fleet: one open fault is enough to keep it standing.
#[must_use]
pub fn state_by_faults(open: usize) -> MachineState {
    if open == 0 { MachineState::Ready } else { MachineState::OutOfUse }
}

/// What of a record can be wrong by itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct RecordClaims {
    /// When the machine was built.
    pub built_on: NaiveDate,
    /// Whether it has a speed limiter.
    pub has_limiter: bool,
    /// When the limiter was set as it is now; none when nobody wrote that down.
    pub limiter_set_on: Option<NaiveDate>,
    /// Ground to seat.
    pub seat_height: Length,
    /// Seat to footrests, downwards.
    pub seat_to_rest: Length,
}

/// Why a record cannot be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RecordFault {
    /// It is to be built yet.
    BuiltToCome,
    /// Its limiter is to be set yet.
    LimiterToCome,
    /// Its limiter was set before it was built.
    LimiterBeforeBuilt,
    /// A limiter that it does not have was set.
    NoLimiterToSet,
    /// Its footrests would lie in or under the ground.
    RestsInGround,
}

/// What cannot be in a record on a day.
#[must_use]
pub fn record_faults(claims: RecordClaims, today: NaiveDate) -> Vec<RecordFault> {
    let mut faults = Vec::new();
    if claims.built_on > today {
        faults.push(RecordFault::BuiltToCome);
    }
    match claims.limiter_set_on {
        Some(_) if !claims.has_limiter => faults.push(RecordFault::NoLimiterToSet),
        Some(on) if on > today => faults.push(RecordFault::LimiterToCome),
        Some(on) if on < claims.built_on => faults.push(RecordFault::LimiterBeforeBuilt),
        _ => {}
    }
    if claims.seat_to_rest >= claims.seat_height {
        faults.push(RecordFault::RestsInGround);
    }
    faults
}

/// Whether an hour meter may show so much, in tenths of an hour: not less than before, unless it is another meter.
#[must_use]
pub fn may_read(before: Option<i64>, now: i64, is_new_meter: bool) -> bool {
    is_new_meter || before.is_none_or(|before| now >= before)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(year: i32, month: u32, day: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(year, month, day).expect("a day of the calendar")
    }

    #[test]
    fn day_1_a_machine_is_neither_built_nor_set_on_a_day_to_come_nor_set_before_it_was_built() {
        let (built, today) = (day(2023, 3, 1), day(2026, 6, 13));
        let (seat_height, seat_to_rest) = (Length::from_um(640_000), Length::from_um(380_000));
        let days = |built_on, limiter_set_on| RecordClaims {
            built_on,
            has_limiter: true,
            limiter_set_on,
            seat_height,
            seat_to_rest,
        };
        for (record, faults) in [
            (days(built, None), &[][..]),
            (days(built, Some(built)), &[]),
            (days(built, Some(today)), &[]),
            (days(today, Some(today)), &[]),
            (days(day(2026, 6, 14), None), &[RecordFault::BuiltToCome]),
            (days(built, Some(day(2026, 6, 14))), &[RecordFault::LimiterToCome]),
            (days(built, Some(day(2023, 2, 28))), &[RecordFault::LimiterBeforeBuilt]),
            (RecordClaims { has_limiter: false, ..days(built, Some(today)) }, &[RecordFault::NoLimiterToSet]),
            (RecordClaims { has_limiter: false, ..days(built, None) }, &[]),
            (RecordClaims { seat_to_rest: seat_height, ..days(built, None) }, &[RecordFault::RestsInGround]),
        ] {
            assert_eq!(record_faults(record, today), faults, "{record:?}");
        }
    }

    #[test]
    fn day_1_machines_stand_in_the_order_of_their_numbers() {
        let mut numbers = ["Spare", "10", "2", "B7", "1"];
        numbers.sort_by_key(|number| number_order(number));
        assert_eq!(numbers, ["1", "2", "10", "B7", "Spare"]);
    }

    #[test]
    fn day_1_one_open_fault_is_enough_to_keep_a_machine_standing() {
        assert_eq!(
            [0, 1, 2].map(state_by_faults),
            [MachineState::Ready, MachineState::OutOfUse, MachineState::OutOfUse]
        );
    }

    #[test]
    fn day_1_an_hour_meter_does_not_run_back_unless_it_is_another_one() {
        for (before, now, is_new, may) in [
            (None, 0, false, true),
            (Some(120), 120, false, true),
            (Some(120), 121, false, true),
            (Some(120), 119, false, false),
            (Some(120), 0, true, true),
        ] {
            assert_eq!(may_read(before, now, is_new), may, "{before:?} {now} {is_new}");
        }
    }
}
