//! The program's own face: what every page shows of it.

use super::{App, Failure};
use crate::domain::words::Phone;
use crate::store::programs::find_program;

/// What every page shows of the program.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Face {
    /// What it is called.
    pub name: String,
    /// The office's telephone as people read it.
    pub phone: String,
    /// The same number as dialled.
    pub phone_dialled: String,
    /// The office's e-mail address.
    pub email: String,
}

/// The face of the seeded program; none before `seed`. Anybody may see it.
///
/// # Errors
/// The database does not answer.
pub fn face(app: &App) -> Result<Option<Face>, Failure> {
    let row = app.store.read(find_program)?;
    Ok(row.map(|row| Face {
        phone: Phone::shown(&row.office_phone),
        phone_dialled: row.office_phone,
        name: row.name,
        email: row.office_email,
    }))
}
