//! What pages say about a sheet that cannot be read.

use crate::services::imports::SheetFault;

/// What is wrong with a file: a sentence with a capital letter.
#[must_use]
pub fn of_file(fault: &SheetFault) -> String {
    let text = fault.to_string();
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}
