//! The form of a machine's record, and what can be wrong with it.

use serde::Deserialize;

use crate::domain::machine::Category;
use crate::domain::machine::record::{LabelSeen, RecordFault, Riders};
use crate::domain::measures::{Length, Mass};
use crate::domain::seen::Seen;
use crate::domain::words::Word;
use crate::services::fleet::{MachineFacts, MachineRow};
use crate::web::form::FieldErrors;
use crate::web::moved::{Told, told};
use crate::web::page::Choice;
use crate::web::staff_form::Reading;

use super::tenths;

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct MachineForm {
    pub(super) seen: Seen,
    pub(super) number: String,
    pub(super) make_model: String,
    pub(super) serial: String,
    pub(super) category: String,
    pub(super) seats: String,
    pub(super) label: String,
    pub(super) built_month: String,
    pub(super) built_day: String,
    pub(super) built_year: String,
    pub(super) engine_cc: String,
    pub(super) dry_weight: String,
    pub(super) seat_height: String,
    pub(super) seat_to_rest: String,
    pub(super) grip_to_lever: String,
    pub(super) rest_to_pedal: String,
    pub(super) limiter: String,
    pub(super) limiter_set_month: String,
    pub(super) limiter_set_day: String,
    pub(super) limiter_set_year: String,
    pub(super) limiter_by: String,
    pub(super) tire_front: String,
    pub(super) tire_rear: String,
}

/// The answers to choose from.
pub struct Choices {
    pub(super) categories: Vec<Choice>,
    pub(super) seats: Vec<Choice>,
    pub(super) labels: Vec<Choice>,
}

pub(super) fn seats_words(seats: Riders) -> String {
    match seats {
        Riders::One => format!("The rider alone ({})", seats.type_name()),
        Riders::WithPassenger => format!("A rider and a passenger in a seat of its own ({})", seats.type_name()),
    }
}

pub(super) fn label_words(label: LabelSeen) -> &'static str {
    match label {
        LabelSeen::There => "There, and it can be read",
        LabelSeen::Missing => "Gone, or it cannot be read",
        LabelSeen::NotLooked => "Nobody looked yet",
    }
}

impl Choices {
    pub(super) fn new() -> Self {
        Self {
            categories: Category::ALL.iter().map(|category| Choice::new(category, category.as_str())).collect(),
            seats: Riders::ALL.iter().map(|seats| Choice::new(seats, seats_words(*seats))).collect(),
            labels: LabelSeen::ALL.iter().map(|label| Choice::new(label, label_words(*label))).collect(),
        }
    }
}

/// The sentences for days that cannot be.
pub(super) fn record_errors(faults: &[RecordFault]) -> FieldErrors {
    let mut errors = FieldErrors::default();
    for fault in faults {
        match fault {
            RecordFault::BuiltToCome => errors.add("built", "This day is yet to come. Write the day on the plate"),
            RecordFault::LimiterToCome => errors.add("limiter_set", "This day is yet to come. Write when it was set"),
            RecordFault::LimiterBeforeBuilt => {
                errors.add("limiter_set", "This day is before the machine was built. Look at both days");
            }
            RecordFault::NoLimiterToSet => {
                errors.add("limiter", "Write the speed to which it was set, or leave its day empty")
            }
            RecordFault::RestsInGround => {
                errors.add("seat_to_rest", "The footrests would lie in the ground. Measure from the seat down to them")
            }
        }
    }
    errors
}

impl MachineForm {
    /// What is kept, as the form shows it.
    pub(super) fn of(row: &MachineRow) -> Self {
        let [built_month, built_day, built_year] = parts(Some(row.built_on));
        let [limiter_set_month, limiter_set_day, limiter_set_year] = parts(row.limiter_set_on);
        let number = |tenth: Option<i64>| tenth.map(|tenth| tenths(&tenth)).unwrap_or_default();
        let length = |um: i64| Length::from_um(um).inches_text();
        Self {
            seen: Seen::of(row),
            number: row.number.clone(),
            make_model: row.make_model.clone(),
            serial: row.serial.clone(),
            category: row.category.clone(),
            seats: row.seats.map(|seats| seats.to_string()).unwrap_or_default(),
            label: row.label.to_string(),
            built_month,
            built_day,
            built_year,
            engine_cc: tenths(&row.engine_cc_tenths),
            dry_weight: Mass::from_g(row.dry_weight_g).pounds_text(),
            seat_height: length(row.seat_height_um),
            seat_to_rest: length(row.seat_to_rest_um),
            grip_to_lever: row.grip_to_lever_um.map(length).unwrap_or_default(),
            rest_to_pedal: row.rest_to_pedal_um.map(length).unwrap_or_default(),
            limiter: number(row.limiter_tenths_mph),
            limiter_set_month,
            limiter_set_day,
            limiter_set_year,
            limiter_by: row.limiter_set_by.clone(),
            tire_front: number(row.tire_front_tenths_psi),
            tire_rear: number(row.tire_rear_tenths_psi),
        }
    }

    pub(super) fn told(&self) -> Told {
        told([
            ("Number", &self.number),
            ("Make and model", &self.make_model),
            ("Number on the frame", &self.serial),
            ("Category", &self.category),
            ("Engine size in cc", &self.engine_cc),
            ("Dry weight in pounds", &self.dry_weight),
            ("Ground to seat in inches", &self.seat_height),
            ("Seat to footrests in inches", &self.seat_to_rest),
            ("Grip to brake lever in inches", &self.grip_to_lever),
            ("Footrest to brake pedal in inches", &self.rest_to_pedal),
            ("Speed limiter in miles an hour", &self.limiter),
            ("Set by", &self.limiter_by),
            ("Front tires in psi", &self.tire_front),
            ("Rear tires in psi", &self.tire_rear),
        ])
    }

    /// The same answers; a mass or a length that nobody touched stays to the last gram and micrometre.
    pub(super) fn read_beside(&self, row: &MachineRow) -> Result<MachineFacts, FieldErrors> {
        let (shown, mut facts) = (Self::of(row), self.read()?);
        let same = |typed: &str, shown: &str| typed.trim() == shown;
        if same(&self.dry_weight, &shown.dry_weight) {
            facts.dry_weight_g = row.dry_weight_g;
        }
        if same(&self.seat_height, &shown.seat_height) {
            facts.seat_height_um = row.seat_height_um;
        }
        if same(&self.seat_to_rest, &shown.seat_to_rest) {
            facts.seat_to_rest_um = row.seat_to_rest_um;
        }
        if same(&self.grip_to_lever, &shown.grip_to_lever) {
            facts.grip_to_lever_um = row.grip_to_lever_um;
        }
        if same(&self.rest_to_pedal, &shown.rest_to_pedal) {
            facts.rest_to_pedal_um = row.rest_to_pedal_um;
        }
        Ok(facts)
    }

    pub(super) fn read(&self) -> Result<MachineFacts, FieldErrors> {
        let mut reading = Reading::default();
        let set_on = [&self.limiter_set_month, &self.limiter_set_day, &self.limiter_set_year];
        let was_set = set_on.iter().any(|part| !part.trim().is_empty());
        let facts = MachineFacts {
            number: reading.line("number", "the number", &self.number, 20),
            make_model: reading.line("make_model", "the make and model", &self.make_model, 120),
            serial: reading.line_if_any("serial", "the number on the frame", &self.serial, 40),
            category: reading.choice("category", "the category", &self.category, Category::Y6).as_str().to_owned(),
            seats: (!self.seats.is_empty())
                .then(|| reading.choice("seats", "for how many it is made", &self.seats, Riders::One)),
            label: reading.choice("label", "whether the warning label is there", &self.label, LabelSeen::NotLooked),
            built_on: reading.day("built", [&self.built_month, &self.built_day, &self.built_year]),
            engine_cc_tenths: reading.decimal("engine_cc", "the engine size", &self.engine_cc, 1, 20_000),
            dry_weight_g: reading.mass("dry_weight", "the dry weight", &self.dry_weight).g(),
            seat_height_um: reading.length("seat_height", "the height of the seat", &self.seat_height).um(),
            seat_to_rest_um: reading.length("seat_to_rest", "the seat above the footrests", &self.seat_to_rest).um(),
            grip_to_lever_um: reading
                .length_if_any("grip_to_lever", "from the grip to the lever", &self.grip_to_lever)
                .map(Length::um),
            rest_to_pedal_um: reading
                .length_if_any("rest_to_pedal", "from the footrest to the pedal", &self.rest_to_pedal)
                .map(Length::um),
            limiter_tenths_mph: reading.decimal_if_any("limiter", "the speed limiter", &self.limiter, 1, 990),
            limiter_set_on: was_set.then(|| reading.day("limiter_set", set_on.map(String::as_str))),
            limiter_set_by: reading.line_if_any("limiter_by", "who set the limiter", &self.limiter_by, 80),
            tire_front_tenths_psi: reading.decimal_if_any("tire_front", "the front tires", &self.tire_front, 1, 600),
            tire_rear_tenths_psi: reading.decimal_if_any("tire_rear", "the rear tires", &self.tire_rear, 1, 600),
        };
        reading.done(facts)
    }
}

/// A day in the three fields of a form.
pub(super) fn parts(day: Option<chrono::NaiveDate>) -> [String; 3] {
    use chrono::Datelike;
    day.map(|day| [day.month().to_string(), day.day().to_string(), day.year().to_string()]).unwrap_or_default()
}
