//! What a family has told is put right: by the family itself on its own pages, or by the office for a family that called.
//! Every change is one line of the audit log that says what was changed, and never to what.

mod adult;
mod child;
mod health;
mod people;

pub use adult::{find_adult, find_self, set_adult, set_self};
pub use child::{ChildNow, find_child, set_child};
pub use health::{HealthNow, find_health_answers, set_health_answers};
pub use people::{PeopleNow, find_people, set_people};

use super::Failure;
use super::places::{self, Side};
use super::register::faults::Faults;
use crate::domain::access::Caller;
use crate::domain::refusal::Refusal;
use crate::store::AnyConn;
use crate::store::families::RiderRow;
use crate::store::registrations::{RegistrationRow, find_registration_by_id};

/// What became of a change.
#[derive(Debug)]
pub enum Changed {
    /// It is kept.
    Kept,
    /// Some of it cannot be used.
    Faulty(Faults),
}

/// A registration whose people and health answers this side may change: until the day has ended for the child. What one
/// adult wrote is not shown to the other: of a family only who registered the child changes it.
///
/// # Errors
/// `NotFound`; `WorldMoved` when there is no place any more.
fn place(
    conn: &mut AnyConn,
    caller: &Caller,
    side: Side,
    reference: &str,
) -> Result<(RegistrationRow, RiderRow), Failure> {
    let row = places::find(conn, caller, side, reference)?;
    if side == Side::Family && caller.guardian() != Some(row.guardian_id) {
        return Err(Failure::NotFound);
    }
    if !row.state.may_be_corrected(row.outcome.is_some()) {
        return Err(Refusal::WorldMoved.into());
    }
    Ok(find_registration_by_id(conn, row.id)?)
}
