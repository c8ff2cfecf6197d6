//! What is due for who runs the program: texts that nobody approved, drafts that wait, letters that came back.

use chrono::NaiveDate;

use crate::domain::access::{Action, Caller, Subject};
use crate::domain::consent::ConsentKind;
use crate::domain::rulebook::Book;
use crate::domain::season_turn::Review;
use crate::domain::words::{Lang, Word};
use crate::services::turn::looked;
use crate::services::{Failure, ask, consent_texts};
use crate::store::AnyConn;
use crate::store::consents::list_consent_texts;
use crate::store::outbox::backlog;
use crate::store::rule_drafts::find_rule_draft;

/// A consent text that families cannot sign in a language.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct MissingText {
    /// What is agreed to.
    pub kind: ConsentKind,
    /// In which language.
    pub language: Lang,
    /// Whether an older version can be signed meanwhile.
    pub older_holds: bool,
}

/// What is due for the program.
#[derive(Clone, Debug, Default)]
pub struct ProgramDue {
    /// Newest texts without an approval.
    pub texts: Vec<MissingText>,
    /// Books with an open draft.
    pub drafts: Vec<Book>,
    /// Rules, settings and texts that nobody looked at for a year.
    pub old: Vec<Review>,
    /// Letters that were given up.
    pub stopped: i64,
    /// Letters that wait to go out.
    pub waiting: i64,
}

impl ProgramDue {
    /// Whether nothing needs the administrator today.
    pub fn is_empty(&self) -> bool {
        self.texts.is_empty() && self.drafts.is_empty() && self.old.is_empty() && self.stopped == 0
    }
}

pub(super) fn due(conn: &mut AnyConn, caller: &Caller, today: NaiveDate) -> Result<ProgramDue, Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    let all = list_consent_texts(conn)?;
    let mut texts = Vec::new();
    for kind in ConsentKind::ALL {
        for language in Lang::ALL {
            let newest = all.iter().find(|row| row.kind == kind.as_str() && row.language == *language);
            if newest.is_some_and(|row| row.approved_on.is_some()) {
                continue;
            }
            let holds = consent_texts::in_force(conn, false, kind.as_str(), *language)?.is_some();
            texts.push(MissingText { kind: *kind, language: *language, older_holds: holds });
        }
    }
    let mut drafts = Vec::new();
    for book in Book::ALL {
        if find_rule_draft(conn, book.as_str())?.is_some() {
            drafts.push(*book);
        }
    }
    let letters = backlog(conn)?;
    let old = looked(conn, today)?.into_iter().filter(|one| one.is_due).map(|one| one.review).collect();
    Ok(ProgramDue { texts, drafts, old, stopped: letters.stopped, waiting: letters.due })
}
