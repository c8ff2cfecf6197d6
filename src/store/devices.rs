//! The devices that sent acts of a session, as far as the acts name them.

use chrono::NaiveDateTime;
use diesel::prelude::*;

use super::connection::AnyConn;
use super::error::StoreError;
use super::schema::{accounts, acts};
use crate::domain::ids::SessionId;

/// One device at one session.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DeviceRow {
    /// As the acts name it: `web:<sign-in>` for the web form.
    pub device: String,
    /// Given name of the person whose acts came last from it.
    pub given_name: String,
    /// Family name.
    pub family_name: String,
    /// How many acts it sent.
    pub acts: usize,
    /// When the last one reached the server, in UTC.
    pub last_at: NaiveDateTime,
}

/// The devices of a session by name.
pub fn devices_of(conn: &mut AnyConn, session: SessionId) -> Result<Vec<DeviceRow>, StoreError> {
    let sent: Vec<(String, String, String, NaiveDateTime)> = acts::table
        .inner_join(accounts::table)
        .filter(acts::session_id.eq(session))
        .order((acts::device, acts::received_at, acts::id))
        .select((acts::device, accounts::given_name, accounts::family_name, acts::received_at))
        .load(conn)?;
    let mut devices: Vec<DeviceRow> = Vec::new();
    for (device, given_name, family_name, last_at) in sent {
        match devices.last_mut().filter(|last| last.device == device) {
            Some(last) => *last = DeviceRow { device, given_name, family_name, acts: last.acts + 1, last_at },
            None => devices.push(DeviceRow { device, given_name, family_name, acts: 1, last_at }),
        }
    }
    Ok(devices)
}
