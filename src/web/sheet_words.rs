//! What pages say about a sheet that cannot be read.

use crate::domain::carried_sheet::SheetColumn;
use crate::services::carried_sheet::Brought;
use crate::services::imports::SheetFault;

/// What is wrong with a file: a sentence with a capital letter.
#[must_use]
pub fn of_file(fault: &SheetFault) -> String {
    let text = fault.to_string();
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// A file that was brought, when its rows can be looked at; else what is wrong with it.
///
/// # Errors
/// A sentence for the field of the file.
pub fn whole<C: SheetColumn>(read: Result<Brought<C>, SheetFault>) -> Result<Brought<C>, String> {
    let brought = read.map_err(|fault| of_file(&fault))?;
    if brought.missing.is_empty() {
        return Ok(brought);
    }
    let names: Vec<&str> = brought.missing.iter().map(|column| column.heading()).collect();
    Err(format!("Name these columns in its first row: {}", names.join(", ")))
}
