//! What the guardian answered the last time, so that nobody types it twice: home county, people to call, pick-up. It
//! fills the fields of a new registration and can be changed there. Health answers do not come along.

use super::answers::AdultsAnswers;
use crate::domain::ids::GuardianId;
use crate::domain::words::Phone;
use crate::services::Failure;
use crate::store::AnyConn;
use crate::store::families::RiderRow;
use crate::store::registrations::{ContactRow, contacts_of, registrations_of_riders};

/// Answers of before.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Earlier {
    /// The home county of the newest registration's child; empty when there was none.
    pub county: String,
    /// The people of the newest registration that this guardian made.
    pub adults: Option<AdultsAnswers>,
}

/// What this guardian answered the last time. What another guardian of the same children wrote stays with that one.
pub(super) fn earlier(conn: &mut AnyConn, guardian: GuardianId, riders: &[RiderRow]) -> Result<Earlier, Failure> {
    let ids: Vec<_> = riders.iter().map(|rider| rider.id).collect();
    let own = registrations_of_riders(conn, &ids)?.into_iter().find(|row| row.guardian_id == guardian);
    let Some(newest) = own else { return Ok(Earlier::default()) };
    let county = riders.iter().find(|rider| rider.id == newest.rider_id).map(|rider| rider.county.clone());
    Ok(Earlier { county: county.unwrap_or_default(), adults: Some(adults_of_before(&contacts_of(conn, newest.id)?)) })
}

/// The people of a registration as the form asks for them.
pub(in crate::services) fn adults_of_before(contacts: &[ContactRow]) -> AdultsAnswers {
    let of = |kind: &str, ordinal: i64| {
        let found = contacts.iter().find(|contact| contact.kind == kind && contact.ordinal == ordinal);
        found.map(|contact| (contact.name.clone(), Phone::shown(&contact.phone))).unwrap_or_default()
    };
    let ((first_name, first_phone), (second_name, second_phone)) = (of("emergency", 1), of("emergency", 2));
    let ((pick_up_name, pick_up_phone), (pick_up_too_name, pick_up_too_phone)) = (of("pick_up", 1), of("pick_up", 2));
    let (day_name, day_phone) = of("on_the_day", 1);
    let not_release = of("not_release", 1).0;
    AdultsAnswers {
        day_name,
        day_phone,
        first_name,
        first_phone,
        second_name,
        second_phone,
        pick_up_name,
        pick_up_phone,
        pick_up_too_name,
        pick_up_too_phone,
        not_release,
        ..AdultsAnswers::default()
    }
}
