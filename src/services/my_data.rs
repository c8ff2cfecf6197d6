//! What the program holds about somebody: their account, their family's side, the children for whom they may decide now.

use serde_json::{Map, Value, json};

use super::roster::health::note;
use super::{App, Failure, kept_health};
use crate::domain::access::Caller;
use crate::store::AnyConn;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::families::riders_of;
use crate::store::held::{HELD, Whose, held};
use crate::store::registrations::registrations_of_riders;

fn whose(conn: &mut AnyConn, caller: &Caller) -> Result<Whose, Failure> {
    let account = caller.account().ok_or(Failure::NotAllowed)?;
    let guardians: Vec<_> = caller.guardian().into_iter().collect();
    let mut riders = Vec::new();
    for guardian in &guardians {
        riders.extend(riders_of(conn, *guardian)?.into_iter().map(|rider| rider.id));
    }
    let registered = registrations_of_riders(conn, &riders)?;
    Ok(Whose {
        accounts: vec![account],
        staff: caller.staff().into_iter().collect(),
        sessions: registered.iter().map(|row| row.session_id).collect(),
        registrations: registered.iter().map(|row| row.id).collect(),
        guardians,
        riders,
    })
}

fn all(app: &App, conn: &mut AnyConn, caller: &Caller) -> Result<Map<String, Value>, Failure> {
    let of = whose(conn, caller)?;
    let mut all = held(conn, &of)?;
    let mut notes = Vec::new();
    for registration in &of.registrations {
        if let Some(note) = note(app, conn, *registration)? {
            notes.push(json!({ "registration_id": registration.raw(), "answers": note }));
        }
    }
    all.insert("health_notes".into(), notes.into());
    let mut kept = Vec::new();
    for rider in &of.riders {
        if let Some(found) = kept_health::find(app, conn, *rider)? {
            kept.push(json!({ "rider_id": rider.raw(), "answers": found.answers }));
        }
    }
    all.insert("kept_health".into(), kept.into());
    Ok(all)
}

/// How many entries there are of each kind, by the name of its table; kinds without any are left out.
pub fn counts(app: &App, caller: &Caller) -> Result<Vec<(String, usize)>, Failure> {
    let all = app.store.read(|conn| all(app, conn, caller))?;
    let order = HELD.iter().map(|(table, _)| *table).chain(["health_notes", "kept_health"]);
    let count = |table: &str| (table.to_owned(), all.get(table).and_then(Value::as_array).map_or(0, Vec::len));
    Ok(order.map(count).filter(|(_, entries)| *entries > 0).collect())
}

/// All of it as one file; that it was taken is logged.
pub fn file(app: &App, caller: &Caller) -> Result<String, Failure> {
    let all = app.store.read(|conn| all(app, conn, caller))?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("data taken", move |conn| -> Result<(), Failure> {
        let subject = format!("account {}", caller.account().map_or(0, |account| account.raw()));
        Ok(add_audit_row(conn, &AuditRow::by(&caller, now, "data.take", subject, String::new()))?)
    })?;
    serde_json::to_string_pretty(&json!({ "held_at": now, "held": all })).map_err(Failure::broken)
}
