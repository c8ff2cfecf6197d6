//! Emergency plans of sites, one each, with a version that rises at each change.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::emergency_plans;
use crate::domain::emergency_plan::{EmergencyPlan, GateCode};
use crate::domain::ids::SiteId;

/// A plan as it is kept.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct KeptPlan {
    /// Rises with each change, from 1.
    pub version: i64,
    /// The plan.
    pub plan: EmergencyPlan,
    /// When it was last changed.
    pub changed_at: NaiveDateTime,
}

/// The plan of a site, once somebody has written one.
pub fn find_emergency_plan(conn: &mut AnyConn, site: SiteId) -> Result<Option<KeptPlan>, StoreError> {
    type Row = (i64, String, String, String, String, String, NaiveDateTime);
    let row: Option<Row> = emergency_plans::table
        .filter(emergency_plans::site_id.eq(site))
        .select((
            emergency_plans::version,
            emergency_plans::signal_spot,
            emergency_plans::device,
            emergency_plans::gate_code,
            emergency_plans::landing_place,
            emergency_plans::meets_ambulance,
            emergency_plans::changed_at,
        ))
        .first(conn)
        .optional()?;
    Ok(row.map(|(version, signal_spot, device, gate_code, landing_place, meets_ambulance, changed_at)| {
        let gate_code = GateCode::new(gate_code);
        let plan = EmergencyPlan { signal_spot, device, gate_code, landing_place, meets_ambulance };
        KeptPlan { version, plan, changed_at }
    }))
}

/// Writes the plan of a site and gives its version. One guarded update: a change never gets the version of another.
pub fn set_emergency_plan(
    conn: &mut AnyConn,
    site: SiteId,
    plan: &EmergencyPlan,
    now: NaiveDateTime,
) -> Result<i64, StoreError> {
    let texts = (
        emergency_plans::signal_spot.eq(&plan.signal_spot),
        emergency_plans::device.eq(&plan.device),
        emergency_plans::gate_code.eq(plan.gate_code.reveal()),
        emergency_plans::landing_place.eq(&plan.landing_place),
        emergency_plans::meets_ambulance.eq(&plan.meets_ambulance),
        emergency_plans::changed_at.eq(now),
    );
    let own = emergency_plans::table.filter(emergency_plans::site_id.eq(site));
    let changed =
        diesel::update(own).set((emergency_plans::version.eq(emergency_plans::version + 1), texts)).execute(conn)?;
    if changed == 0 {
        let first = (emergency_plans::site_id.eq(site), emergency_plans::version.eq(1_i64));
        diesel::insert_into(emergency_plans::table).values((first, texts)).execute(conn)?;
    }
    Ok(own.select(emergency_plans::version).first(conn)?)
}
