//! The program's own settings: read with the revision that a form carries, and set one at a time.

use super::program::load;
use super::{App, Failure, ask};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::program::OpenProgram;
use crate::domain::refusal::Refusal;
use crate::domain::rule_setting::{RuleSetting, RuleValue, SettingFault};
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::programs::{ProgramChange, set_program};

/// The settings with the revision that a change must name.
#[derive(Clone, Debug)]
pub struct Settings {
    /// In the order of the page.
    pub settings: Vec<RuleSetting>,
    /// Rises with each change.
    pub revision: i64,
}

fn opened(program: &super::program::Program) -> OpenProgram {
    OpenProgram {
        name: program.row.name.clone(),
        office_phone: program.row.office_phone.clone(),
        office_email: program.row.office_email.clone(),
        settings: program.settings.clone(),
    }
}

/// Every setting of the program.
pub fn list(app: &App, caller: &Caller) -> Result<Settings, Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    app.store.read(|conn| {
        let program = load(conn)?;
        Ok(Settings { settings: opened(&program).settings(), revision: program.row.revision })
    })
}

/// Sets one value, already held to its bounds. It counts from the next request on; sessions keep their seats.
///
/// # Errors
/// `NotFound` for a setting that there is none of, `Refused(DraftMoved)` when another change came first.
pub fn set(app: &App, caller: &Caller, revision: i64, key: &str, value: RuleValue) -> Result<(), Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    let (now, caller, key) = (app.clock.now(), caller.clone(), key.to_owned());
    app.store.write("set program", move |conn| {
        let program = load(conn)?;
        if program.row.revision != revision {
            return Err(Refusal::DraftMoved.into());
        }
        let before = opened(&program);
        let mut after = before.clone();
        after.set(&key, value.clone()).map_err(|_: SettingFault| Failure::NotFound)?;
        if after == before {
            return Ok(());
        }
        let change = ProgramChange {
            name: after.name,
            office_phone: after.office_phone,
            office_email: after.office_email,
            settings: serde_json::to_string(&after.settings).map_err(Failure::broken)?,
            revision: revision + 1,
        };
        if !set_program(conn, revision, &change)? {
            return Err(Refusal::DraftMoved.into());
        }
        add_audit_row(conn, &AuditRow::by(&caller, now, "program.set", "program", format!("setting {key}")))?;
        Ok(())
    })
}
