//! Who pays for helmets, and the helmets that came: the list, and adding a grant or a lot.

use chrono::NaiveDate;

use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::measures::Length;
use crate::domain::refusal::Refusal;
use crate::store::StoreError;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::gear::{NewLot, add_grant as keep_grant, add_lot as keep_lot, list_grants, list_lots};

pub use crate::store::gear::{GrantRow, LotRow};

/// The grants and the lots of the program.
#[derive(Clone, Debug, Default)]
pub struct Gear {
    /// Who pays, by code.
    pub grants: Vec<GrantRow>,
    /// Helmets, smallest heads first.
    pub lots: Vec<LotRow>,
}

/// A grant about to be added.
#[derive(Clone, Debug)]
pub struct NewGrant {
    /// A short code.
    pub code: String,
    /// Name.
    pub name: String,
    /// First day of its period.
    pub starts_on: NaiveDate,
    /// Last day; not before the first.
    pub ends_on: NaiveDate,
    /// Helmets it is to give.
    pub helmets_target: i64,
}

/// Helmets of one model and size that came at once.
#[derive(Clone, Debug)]
pub struct NewHelmets {
    /// A short code, as written on the box.
    pub code: String,
    /// The code of the grant that paid.
    pub grant: String,
    /// Make and model.
    pub model: String,
    /// The maker's size word.
    pub size_label: String,
    /// Smallest head.
    pub least_head: Length,
    /// Largest head; not smaller.
    pub most_head: Length,
    /// Standard on the label.
    pub standard: String,
    /// First day of the month they were made.
    pub made_month: NaiveDate,
    /// Cost of one, in cents.
    pub unit_cost_cents: i64,
    /// How many came.
    pub received: i64,
}

/// Grants and lots.
pub fn list(app: &App, caller: &Caller) -> Result<Gear, Failure> {
    ask(caller, Action::SeeOffice, Subject::Program)?;
    app.store.read(|conn| Ok(Gear { grants: list_grants(conn)?, lots: list_lots(conn)? }))
}

/// Adds a grant.
///
/// # Errors
/// `CodeTaken` when another grant has the code.
pub fn add_grant(app: &App, caller: &Caller, new: NewGrant) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("add grant", move |conn| {
        let kept = keep_grant(conn, &new.code, &new.name, (new.starts_on, new.ends_on), new.helmets_target);
        once(kept, &new.code)?;
        add_audit_row(conn, &AuditRow::by(&caller, now, "grant.add", format!("grant {}", new.code), ""))?;
        Ok(())
    })
}

/// Receives helmets.
///
/// # Errors
/// `CodeTaken` when another lot has the code; `NotFound` when no grant has its code.
pub fn add_lot(app: &App, caller: &Caller, new: NewHelmets) -> Result<(), Failure> {
    ask(caller, Action::Plan, Subject::Program)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("add helmet lot", move |conn| {
        let grant = list_grants(conn)?.into_iter().find(|grant| grant.code == new.grant).ok_or(Failure::NotFound)?;
        let lot = NewLot {
            code: new.code.clone(),
            grant_id: grant.id,
            model: new.model.clone(),
            size_label: new.size_label.clone(),
            least_head_um: new.least_head.um(),
            most_head_um: new.most_head.um(),
            standard: new.standard.clone(),
            made_month: new.made_month,
            unit_cost_cents: new.unit_cost_cents,
            received: new.received,
            on_hand: new.received,
        };
        once(keep_lot(conn, &lot), &new.code)?;
        let detail = format!("{} helmets", new.received);
        add_audit_row(conn, &AuditRow::by(&caller, now, "lot.add", format!("lot {}", new.code), detail))?;
        Ok(())
    })
}

fn once<T>(kept: Result<T, StoreError>, code: &str) -> Result<T, Failure> {
    match kept {
        Err(StoreError::Duplicate(_)) => Err(Refusal::CodeTaken { code: code.to_owned() }.into()),
        other => Ok(other?),
    }
}
