//! What the guardian answered about a child's health, for the session's own teaching and first-aid staff alone.
//! Opening the page is noted in the audit log; nothing of a note is ever logged or told to anybody else.

use super::super::{App, Failure, ask};
use super::day_list::PlanShown;
use super::opened::open;
use super::{Head, Line};
use crate::domain::access::{Action, Caller};
use crate::domain::cautions::CautionKey;
use crate::domain::day::Day;
use crate::domain::health_note::{Condition, HealthNote, Known};
use crate::domain::ids::RegistrationId;
use crate::domain::words::{Lang, Phone, full_name};
use crate::store::AnyConn;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::families::{GuardianRow, active_adults_of};
use crate::store::registrations::{ContactRow, contacts_of, find_health};
use crate::store::sites::SiteRow;

/// The emergency page of one child.
#[derive(Clone, Debug)]
pub struct Emergency {
    /// The session.
    pub head: Head,
    /// The child.
    pub line: Line,
    /// What the guardian answered; none when nothing was kept.
    pub note: Option<HealthNote>,
    /// The language that the family reads and wrote in.
    pub language: Lang,
    /// Whom to call, the guardian first.
    pub contacts: Vec<Contact>,
    /// Where everybody is.
    pub place: Place,
    /// The emergency plan of the site.
    pub plan: PlanShown,
}

/// What somebody to call is to the child.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ContactKind {
    /// Answers for the child.
    Guardian,
    /// Is there on the day for the guardian.
    OnTheDay,
    /// Is called when no guardian answers.
    Emergency,
    /// May take the child home.
    PickUp,
}

/// Somebody to call.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Contact {
    /// What the person is, each once.
    pub kinds: Vec<ContactKind>,
    /// Name.
    pub name: String,
    /// Telephone as people read it.
    pub phone: String,
    /// The same as a `tel:` address; empty without a telephone.
    pub href: String,
}

/// A site as one tells it to those who come to help.
#[derive(Clone, Debug, PartialEq)]
pub struct Place {
    /// Its name.
    pub name: String,
    /// Street, town and ZIP code.
    pub address: String,
    /// Degrees north and east.
    pub coordinates: Option<(f64, f64)>,
    /// Nearest hospital as staff typed it.
    pub hospital: String,
    /// Gate code, landing place, spot with signal.
    pub notes: String,
}

/// Opens the emergency page of a child and notes that it was opened.
///
/// # Errors
/// `NotFound` for everybody but the session's own teaching and first-aid staff.
pub fn show(app: &App, caller: &Caller, reference: &str, rider: &str) -> Result<Emergency, Failure> {
    let (app_too, caller, reference, rider) = (app.clone(), caller.clone(), reference.to_owned(), rider.to_owned());
    let now = app.clock.now();
    app.store.write("read health", move |conn| {
        let opened = open(conn, &caller, &reference, now)?;
        ask(&caller, Action::ReadHealth, opened.subject())?;
        let row = opened.rider(conn, &rider)?;
        add_audit_row(
            conn,
            &AuditRow {
                at: now,
                account: caller.account(),
                action: "health.read",
                subject: format!("registration {}", row.0.reference),
                request: caller.request.clone(),
                detail: String::new(),
            },
        )?;
        let acts = opened.acts(conn)?;
        let head = opened.head(conn, &caller, &acts, CautionKey::FirstAid)?;
        let line = opened.line(&app_too, conn, &row, Day::default(), true)?;
        let note = note(&app_too, conn, row.0.id)?;
        Ok(Emergency {
            language: note.as_ref().and_then(|note| note.language).unwrap_or(row.0.language),
            note,
            contacts: contacts(conn, &row.0)?,
            place: place(&opened.view.site),
            plan: PlanShown::of(conn, &opened)?,
            head,
            line,
        })
    })
}

/// A site as one tells it to those who come to help.
pub(super) fn place(site: &SiteRow) -> Place {
    Place {
        name: site.name.clone(),
        address: format!("{}, {} {}", site.street, site.city, site.zip),
        coordinates: site.latitude.zip(site.longitude),
        hospital: site.hospital.clone(),
        notes: site.emergency_notes.clone(),
    }
}

pub(super) fn contacts(
    conn: &mut AnyConn,
    registration: &crate::store::registrations::RegistrationRow,
) -> Result<Vec<Contact>, Failure> {
    let mut guardians = active_adults_of(conn, registration.rider_id)?;
    // Who registered the child is called first.
    guardians.sort_by_key(|guardian| guardian.id != registration.guardian_id);
    let name = |guardian: &GuardianRow| full_name(&guardian.given_name, &guardian.family_name);
    let mut found: Vec<Contact> =
        guardians.iter().map(|one| contact(ContactKind::Guardian, name(one), &one.phone)).collect();
    let of_kind = |rows: &[ContactRow], kind: &str, is: ContactKind| -> Vec<Contact> {
        let these = rows.iter().filter(|row| row.kind == kind);
        these.map(|row| contact(is, row.name.clone(), &row.phone)).collect()
    };
    let rows = contacts_of(conn, registration.id)?;
    found.extend(of_kind(&rows, "on_the_day", ContactKind::OnTheDay));
    found.extend(of_kind(&rows, "emergency", ContactKind::Emergency));
    found.extend(of_kind(&rows, "pick_up", ContactKind::PickUp));
    Ok(each_once(found))
}

fn contact(kind: ContactKind, name: String, phone: &str) -> Contact {
    let href = if phone.is_empty() { String::new() } else { format!("tel:{phone}") };
    Contact { kinds: vec![kind], name, phone: Phone::shown(phone), href }
}

/// A person at one number stands there once, with all that the person is. Who is in a hurry reads no name twice.
fn each_once(found: Vec<Contact>) -> Vec<Contact> {
    let mut once: Vec<Contact> = Vec::new();
    for one in found {
        match once.iter_mut().find(|kept| kept.name == one.name && kept.href == one.href) {
            Some(kept) => kept.kinds.extend(one.kinds),
            None => once.push(one),
        }
    }
    once
}

/// Opens the sealed note.
pub(in crate::services) fn note(
    app: &App,
    conn: &mut AnyConn,
    registration: RegistrationId,
) -> Result<Option<HealthNote>, Failure> {
    let Some((row_key, sealed)) = find_health(conn, registration)? else { return Ok(None) };
    let row_key: [u8; 16] = row_key.try_into().map_err(|_| Failure::broken("a row key has 16 bytes"))?;
    let plain = app.cipher.open("health_notes", "body", &row_key, &sealed).map_err(Failure::broken)?;
    serde_json::from_slice(&plain).map(Some).map_err(Failure::broken)
}

/// The note in one line for a roster, or none when there is nothing to know.
pub(super) fn flag(app: &App, conn: &mut AnyConn, registration: RegistrationId) -> Result<Option<String>, Failure> {
    Ok(note(app, conn, registration)?.filter(HealthNote::says_something).map(|note| line(&note)))
}

/// The English words of a condition.
pub fn condition(condition: Condition) -> &'static str {
    match condition {
        Condition::Asthma => "Asthma",
        Condition::Allergy => "Allergy",
        Condition::Seizures => "Seizures or fainting",
        Condition::Diabetes => "Diabetes",
        Condition::Heart => "Heart condition",
        Condition::Healing => "Healing injury or operation",
    }
}

fn line(note: &HealthNote) -> String {
    let mut parts: Vec<String> = Vec::new();
    for one in &note.conditions {
        match (one, note.allergy.is_empty()) {
            (Condition::Allergy, false) => parts.push(format!("Allergy: {}", note.allergy)),
            _ => parts.push(condition(*one).to_owned()),
        }
    }
    if note.any == Known::Unknown {
        parts.push("Conditions: guardian does not know".into());
    }
    match note.injector {
        Known::Yes if note.injector_where.is_empty() => parts.push("Auto-injector".into()),
        Known::Yes => parts.push(format!("Auto-injector: {}", note.injector_where)),
        Known::Unknown => parts.push("Auto-injector: guardian does not know".into()),
        Known::No => {}
    }
    if note.medicine == Known::Yes {
        parts.push("Takes medicine".into());
    }
    if parts.is_empty() {
        parts.push("Has a note. Open it".into());
    }
    parts.join(". ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn house_3_a_flag_says_first_what_helps_first() {
        let note = HealthNote {
            any: Known::Yes,
            conditions: vec![Condition::Asthma, Condition::Allergy],
            allergy: "bee stings".into(),
            injector: Known::Yes,
            injector_where: "red bag".into(),
            medicine: Known::No,
            medicine_what: String::new(),
            needs: String::new(),
            more: String::new(),
            language: None,
        };
        assert_eq!(line(&note), "Asthma. Allergy: bee stings. Auto-injector: red bag");
        let quiet = HealthNote { conditions: Vec::new(), injector: Known::No, needs: "quiet".into(), ..note };
        assert_eq!(line(&quiet), "Has a note. Open it");
    }

    #[test]
    fn saturday_3_a_person_at_one_number_is_named_once_with_all_that_the_person_is() {
        use ContactKind::{Emergency, Guardian, PickUp};
        let all = [
            contact(Guardian, "Ruth Vang".into(), "+14065550118"),
            contact(Emergency, "Otis Vang".into(), "+14065550119"),
            contact(PickUp, "Ruth Vang".into(), "+14065550118"),
            contact(PickUp, "Ruth Vang".into(), "+14065550120"),
        ];
        let once: Vec<_> = each_once(all.to_vec()).into_iter().map(|one| (one.kinds, one.href)).collect();
        let expected = [
            (vec![Guardian, PickUp], "tel:+14065550118"),
            (vec![Emergency], "tel:+14065550119"),
            (vec![PickUp], "tel:+14065550120"),
        ];
        assert_eq!(once, expected.map(|(kinds, href)| (kinds, href.to_owned())));
    }
}
