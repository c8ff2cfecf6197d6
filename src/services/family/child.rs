//! One child of the caller's family: the adults who answer for it, and who was asked to.

use chrono::{NaiveDate, NaiveDateTime};

use crate::domain::access::Caller;
use crate::domain::invitation::{INVITATION_LASTS, is_open};
use crate::domain::words::full_name;
use crate::services::ties::{other_adults, own_child};
use crate::services::{App, Failure};
use crate::store::families::riders_of;
use crate::store::invitations::invitations_about;
use crate::store::kept_health::find_kept_health;

use super::{Receipt, county_name, receipts};

/// An adult who was asked and has not answered yet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pending {
    /// Public reference of the invitation.
    pub reference: String,
    /// What the caller calls them.
    pub name: String,
    /// Where the letter went.
    pub address: String,
    /// When it was asked, in UTC.
    pub asked_at: NaiveDateTime,
    /// Until when it can be accepted, in UTC.
    pub until: NaiveDateTime,
}

/// One child.
#[derive(Clone, Debug)]
pub struct Child {
    /// Public reference.
    pub reference: String,
    /// Given name.
    pub given: String,
    /// Name in one line.
    pub name: String,
    /// The name on the certificate, where it is another; empty otherwise.
    pub paper_name: String,
    /// Birth date.
    pub birth_date: NaiveDate,
    /// The home county's name.
    pub county: String,
    /// The names of the adults who answer for the child, beside the caller.
    pub others: Vec<String>,
    /// Adults whom the caller asked.
    pub asked: Vec<Pending>,
    /// When health answers were kept for the next registration, in UTC; none when nothing is kept.
    pub health_kept_at: Option<NaiveDateTime>,
    /// The child's registrations, the newest first.
    pub registrations: Vec<Receipt>,
    /// The caller's other children, to be asked for at once: reference and given name.
    pub siblings: Vec<(String, String)>,
}

/// One child of the caller's family.
///
/// # Errors
/// `NotFound` for a child that is not there or that the caller does not answer for.
pub fn child(app: &App, caller: &Caller, reference: &str) -> Result<Child, Failure> {
    app.store.read(|conn| {
        let (guardian, row) = own_child(conn, caller, reference)?;
        let now = app.clock.now();
        let asked = invitations_about(conn, guardian, row.id)?.into_iter();
        let open = asked.filter(|one| is_open(one.asked_at, one.ended_at, now));
        let siblings = riders_of(conn, guardian)?.into_iter().filter(|other| other.id != row.id);
        Ok(Child {
            others: other_adults(conn, row.id, guardian)?,
            asked: open
                .map(|one| Pending {
                    until: one.asked_at + INVITATION_LASTS,
                    reference: one.reference,
                    name: one.name,
                    address: one.address,
                    asked_at: one.asked_at,
                })
                .collect(),
            siblings: siblings.map(|other| (other.reference, other.given_name)).collect(),
            health_kept_at: find_kept_health(conn, row.id)?.map(|kept| kept.kept_at),
            registrations: receipts(app, conn, std::slice::from_ref(&row))?,
            county: county_name(conn, &row)?,
            name: full_name(&row.given_name, &row.family_name),
            birth_date: row.birth_date,
            paper_name: row.paper_name,
            given: row.given_name,
            reference: row.reference,
        })
    })
}
