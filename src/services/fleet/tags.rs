//! What stands on the tag of a machine: its number, and a code that opens its page.

use super::{MachineRow, list as list_machines};
use crate::domain::access::Caller;
use crate::outside::pdf::qr::{Symbol, symbol};
use crate::services::{App, Failure};

/// The tag of a machine.
#[derive(Clone, Debug)]
pub struct Tag {
    /// Its record.
    pub row: MachineRow,
    /// The code; none when the address of the service is longer than one can hold.
    pub code: Option<Symbol>,
}

/// The tags of all machines by number.
pub fn list(app: &App, caller: &Caller) -> Result<Vec<Tag>, Failure> {
    let base = app.settings.server.public_url.trim_end_matches('/').to_owned();
    let tag = |row: MachineRow| Tag { code: symbol(&format!("{base}/machines/{}", row.reference)), row };
    Ok(list_machines(app, caller)?.into_iter().map(|one| tag(one.row)).collect())
}
