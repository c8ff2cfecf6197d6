//! Writes to people of the staff before a paper runs out that their roles ask for. Comes round; a letter goes out once.

use chrono::NaiveDate;

use super::people::{Member, members};
use super::{App, Failure, program};
use crate::domain::certification::{CertificationKind, InstructorState};
use crate::domain::ids::AccountId;
use crate::domain::program::ProgramSettings;
use crate::domain::staffing::holds_through;
use crate::domain::time::LocalTime;
use crate::domain::words::{Phone, Word};
use crate::outside::mail::message_id;
use crate::store::accounts::find_addressee;
use crate::store::audit::{AuditRow, add_audit_row};
use crate::store::outbox::{NewLetter, add_letter};
use crate::store::paper_reminders::{NewPaperReminder, add_paper_reminder, find_paper_reminder, has_paper_reminder};
use crate::store::staff::find_member_address;
use crate::store::{AnyConn, StoreError};

/// The kind of letter.
pub const LETTER: &str = "paper_runs_out";

/// Asks for every letter that is due now.
///
/// # Errors
/// When the database does not answer.
pub fn remind(app: &App) -> Result<(), Failure> {
    let now = app.clock.now();
    let due = app.store.read(|conn| {
        let program = program::load(conn)?;
        let wall = LocalTime::from_utc(now, program.zone).wall;
        if !program.settings.reminders.is_hour(wall.time()) {
            return Ok(Vec::new());
        }
        all_due(conn, &program.settings, wall.date())
    })?;
    for (member, new) in due {
        let letter = message_id(app.random.uuid_v7(now), app.settings.server.public_host());
        app.store.write("remind of paper", move |conn| -> Result<(), Failure> {
            let Some(subject_id) = add_paper_reminder(conn, &new, now)? else { return Ok(()) };
            let language = find_addressee(conn, member.account)?.ok_or(StoreError::Missing)?.language;
            let account_id = member.account;
            add_letter(
                conn,
                &NewLetter { message_id: letter.clone(), kind: LETTER, subject_id, account_id, language, at: now },
            )?;
            let detail = format!("{} through {}, {} days before", new.kind, new.valid_through, new.days);
            let subject = format!("account {}", member.reference);
            let (action, request) = ("paper.remind", "job papers".into());
            Ok(add_audit_row(conn, &AuditRow { at: now, account: None, action, subject, request, detail })?)
        })?;
    }
    Ok(())
}

/// Every letter about a paper that runs out which has not been asked for.
fn all_due(
    conn: &mut AnyConn,
    settings: &ProgramSettings,
    today: NaiveDate,
) -> Result<Vec<(Member, NewPaperReminder)>, Failure> {
    let mut found = Vec::new();
    for member in members(conn)?.into_iter().filter(|member| member.state != InstructorState::Suspended) {
        for kind in settings.papers.of_roles(&member.roles) {
            let Ok(through) = holds_through(kind, &member.papers, today) else { continue };
            let Some(days) = settings.paper_reminders.due((through - today).num_days()) else { continue };
            let new = NewPaperReminder { staff: member.id, kind, valid_through: through, days };
            if !has_paper_reminder(conn, &new)? {
                found.push((member.clone(), new));
            }
        }
    }
    Ok(found)
}

/// What a letter tells.
#[derive(Clone, Debug)]
pub struct ForLetter {
    /// The person.
    pub to_name: String,
    /// Their address.
    pub to_address: String,
    /// Which paper.
    pub kind: CertificationKind,
    /// Its last day.
    pub through: NaiveDate,
    /// How many days are left.
    pub left: i64,
    /// The office's telephone as people read it.
    pub phone: String,
}

/// A letter by its row; `None` when the paper was renewed, has run out, or is of somebody else.
///
/// # Errors
/// When the database does not answer.
pub fn for_letter(app: &App, id: i64, account: AccountId) -> Result<Option<ForLetter>, Failure> {
    app.store.read(|conn| {
        let Some(row) = find_paper_reminder(conn, id)? else { return Ok(None) };
        let program = program::load(conn)?;
        let today = app.clock.today(program.zone);
        let kind = CertificationKind::from_word(&row.kind).ok_or(StoreError::Unreadable("paper_reminders.kind"))?;
        let member = members(conn)?.into_iter().find(|member| member.id == row.staff_id && member.account == account);
        let stands = member.is_some_and(|member| holds_through(kind, &member.papers, today) == Ok(row.valid_through));
        let address = find_member_address(conn, row.staff_id)?.filter(|_| stands);
        Ok(address.map(|(to_name, to_address)| ForLetter {
            to_name,
            to_address,
            kind,
            through: row.valid_through,
            left: (row.valid_through - today).num_days(),
            phone: Phone::shown(&program.row.office_phone),
        }))
    })
}
