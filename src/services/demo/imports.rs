//! Two files of families in the demonstration: one that was taken, and one that the office still looks at.

use super::Builder;
use crate::domain::access::Caller;
use crate::domain::import::{DayOrder, Meaning};
use crate::services::{Failure, imports};

const LAST_SEASON: &str = "Rider,Birth date,County,Parent,Phone,E-mail\n\
    Tova Brandt,5/14/2016,Lake,Ines Brandt,406 555 0231,\n\
    Arlo Brandt,9/2/2018,Lake,Ines Brandt,406 555 0231,\n";

const FROM_A_SCHOOL: &str = "Rider;Birth date;County;Parent;Phone;E-mail;Teacher\n\
    Tova Brandt;14/5/2016;Lake;Ines Brandt;406 555 0231;;Ms. Roe\n\
    \"Whitehorse, Eli\";3/11/2015;Lake;Nora Whitehorse;406 555 0236;nora@example.org;Ms. Roe\n\
    Pia Moreno;;Lake;Smith, Jr.;call the school;;Mr. Vance\n\
    Total;3;;;;;\n";

/// Brings both, as the coordinator does.
pub(super) fn bring(builder: &Builder) -> Result<(), Failure> {
    let caller = &builder.members.coordinator();
    let columns = [
        Some(Meaning::ChildName),
        Some(Meaning::BirthDate),
        Some(Meaning::County),
        Some(Meaning::AdultName),
        Some(Meaning::Phone),
        Some(Meaning::Email),
        None,
    ];
    let taken = kept(builder, caller, "last-season.csv", LAST_SEASON, (&columns[..6], DayOrder::MonthFirst))?;
    if let Some(preview) = imports::preview(&builder.app, caller, &taken)? {
        imports::run(&builder.app, caller, &taken, &preview.seen, false)?;
    }
    kept(builder, caller, "from-a-school.csv", FROM_A_SCHOOL, (&columns, DayOrder::DayFirst))?;
    Ok(())
}

/// Brings a file and says what its columns are; gives its reference.
fn kept(
    builder: &Builder,
    caller: &Caller,
    name: &str,
    text: &str,
    (columns, order): (&[Option<Meaning>], DayOrder),
) -> Result<String, Failure> {
    let app = &builder.app;
    let reference = imports::bring(app, caller, name, text.as_bytes())?.map_err(Failure::broken)?;
    imports::set_columns(app, caller, &reference, columns, (order, None))?;
    Ok(reference)
}
