//! The consent texts: versions in both languages, the draft of the next one, and who approved what. Outside a
//! demonstration families sign only the newest text that is approved in their language.

use chrono::NaiveDate;
use sha2::{Digest, Sha256};

use super::{App, Failure, ask, program, seed};
use crate::domain::access::{Action, Caller, Subject};
use crate::domain::consent::{ConsentFault, ConsentKind, ConsentPair, ConsentText};
use crate::domain::ids::ConsentTextId;
use crate::domain::refusal::Refusal;
use crate::domain::rulebook::OpenBook;
use crate::domain::words::{Lang, Line, Word};
use crate::services::rules::draft::Change;
use crate::store::audit::{AuditRow, add_audit_row, hex};
use crate::store::consents::{
    ConsentTextRow, NewConsentText, add_consent_text, approve_consent_text, count_signatures, list_consent_texts,
};
use crate::store::rule_drafts::{RuleDraftRow, add_rule_draft, find_rule_draft, remove_rule_draft};
use crate::store::{AnyConn, StoreError};

/// One version in one language as the page lists it.
#[derive(Clone, Debug)]
pub struct Listed {
    /// The row.
    pub row: ConsentTextRow,
    /// How many families signed it.
    pub signed: i64,
    /// Whether families sign it now.
    pub in_force: bool,
}

/// One kind of consent.
#[derive(Clone, Debug)]
pub struct Kind {
    /// What is agreed to.
    pub kind: ConsentKind,
    /// Newest first; both languages of a version side by side.
    pub texts: Vec<Listed>,
    /// The revision of the open draft, if there is one.
    pub draft: Option<i64>,
}

impl Kind {
    /// Whether families can sign in this language.
    pub fn is_open(&self, lang: &Lang) -> bool {
        self.texts.iter().any(|listed| listed.in_force && listed.row.language == *lang)
    }
}

/// The kind under which a draft of this consent is kept.
pub fn draft_kind(kind: ConsentKind) -> String {
    format!("consent_{kind}")
}

/// The text that families sign in a language: the newest approved one; in a demonstration the newest one.
pub(super) fn in_force(
    conn: &mut AnyConn,
    demo: bool,
    kind: &str,
    lang: Lang,
) -> Result<Option<ConsentTextRow>, StoreError> {
    crate::store::consents::find_consent_text_in_force(conn, kind, lang, !demo)
}

/// A consent text to be shown and signed.
#[derive(Clone, Debug)]
pub struct Shown {
    pub(super) id: ConsentTextId,
    /// The text.
    pub text: ConsentText,
    /// SHA-256 in hex of the text as shown.
    pub hash: String,
}

/// The text of a kind that families sign. In a demonstration nobody signs for a real child.
pub(super) fn shown(app: &App, conn: &mut AnyConn, kind: ConsentKind, lang: Lang) -> Result<Option<Shown>, Failure> {
    let Some(row) = in_force(conn, app.settings.demo, kind.as_str(), lang)? else { return Ok(None) };
    let text = serde_json::from_str(&row.body).map_err(Failure::broken)?;
    Ok(Some(Shown { id: row.id, text, hash: row.shown_hash }))
}

/// Every kind with its versions.
pub fn list(app: &App, caller: &Caller) -> Result<Vec<Kind>, Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    let demo = app.settings.demo;
    app.store.read(|conn| {
        let rows = list_consent_texts(conn)?;
        let mut kinds = Vec::new();
        for kind in ConsentKind::ALL {
            let mut texts = Vec::new();
            for row in rows.iter().filter(|row| row.kind == kind.as_str()) {
                let now = in_force(conn, demo, kind.as_str(), row.language)?;
                let in_force = now.is_some_and(|now| now.id == row.id);
                texts.push(Listed { signed: count_signatures(conn, row.id)?, in_force, row: row.clone() });
            }
            let draft = find_rule_draft(conn, &draft_kind(*kind))?.map(|row| row.revision);
            kinds.push(Kind { kind: *kind, texts, draft });
        }
        Ok(kinds)
    })
}

/// One version in one language, as families read it.
pub fn find(
    app: &App,
    caller: &Caller,
    kind: ConsentKind,
    version: i64,
    lang: Lang,
) -> Result<(Listed, ConsentText), Failure> {
    let found = list(app, caller)?.into_iter().find(|one| one.kind == kind).ok_or(Failure::NotFound)?;
    let is_it = |listed: &Listed| listed.row.version == version && listed.row.language == lang;
    let listed = found.texts.into_iter().find(is_it).ok_or(Failure::NotFound)?;
    let text = serde_json::from_str(&listed.row.body).map_err(Failure::broken)?;
    Ok((listed, text))
}

/// Enters who approved a text, and when. From then on families sign it in its language.
///
/// # Errors
/// `NotFound`, `Refused(AlreadyApproved)`, `Refused(DayToCome)` for a day after today.
pub fn approve(
    app: &App,
    caller: &Caller,
    (kind, version, lang): (ConsentKind, i64, Lang),
    by: Line,
    on: NaiveDate,
) -> Result<(), Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    let (now, clock, caller) = (app.clock.now(), app.clock.clone(), caller.clone());
    app.store.write("approve consent", move |conn| {
        if on > clock.today(program::load(conn)?.zone) {
            return Err(Refusal::DayToCome { on }.into());
        }
        let rows = list_consent_texts(conn)?;
        let is_it = |row: &&ConsentTextRow| row.kind == kind.as_str() && row.version == version && row.language == lang;
        let row = rows.iter().find(is_it).ok_or(Failure::NotFound)?;
        if !approve_consent_text(conn, row.id, by.as_str(), on)? {
            return Err(Refusal::AlreadyApproved.into());
        }
        let subject = format!("consent {kind} version {version} {}", lang.as_str());
        add_audit_row(conn, &AuditRow::by(&caller, now, "consent.approve", subject, format!("on {on}")))?;
        Ok(())
    })
}

/// Both languages of a version as one text to edit.
pub(super) fn pair_of(conn: &mut AnyConn, kind: ConsentKind, version: i64) -> Result<Option<ConsentPair>, Failure> {
    let rows = list_consent_texts(conn)?;
    let text = |lang: Lang| -> Result<Option<ConsentText>, Failure> {
        let is_it = |row: &&ConsentTextRow| row.kind == kind.as_str() && row.version == version && row.language == lang;
        rows.iter().find(is_it).map(|row| serde_json::from_str(&row.body).map_err(Failure::broken)).transpose()
    };
    Ok(text(Lang::En)?.zip(text(Lang::Es)?).map(|(en, es)| ConsentPair { en, es }))
}

/// The texts that ship.
pub(super) fn shipped_pair(kind: ConsentKind) -> ConsentPair {
    let parsed = |text: &&str| toml::from_str::<ConsentText>(text).expect("the shipped texts are sound");
    let read = |lang: Lang| {
        let mut texts = seed::CONSENTS.iter().map(parsed);
        texts.find(|text| text.kind == kind && text.language == lang).expect("each kind ships in both languages")
    };
    ConsentPair { en: read(Lang::En), es: read(Lang::Es) }
}

/// The newest version of a kind.
fn newest(conn: &mut AnyConn, kind: ConsentKind) -> Result<i64, StoreError> {
    let rows = list_consent_texts(conn)?;
    Ok(rows.iter().filter(|row| row.kind == kind.as_str()).map(|row| row.version).max().unwrap_or(0))
}

/// Starts a draft from the newest version. When one is open already it stays.
pub fn start(app: &App, caller: &Caller, kind: ConsentKind) -> Result<(), Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("start consent draft", move |conn| {
        let name = draft_kind(kind);
        if find_rule_draft(conn, &name)?.is_some() {
            return Ok(());
        }
        let version = newest(conn, kind)?;
        let pair = pair_of(conn, kind, version)?.ok_or(Failure::NotFound)?;
        let row = RuleDraftRow {
            kind: name.clone(),
            base_version: version,
            body: OpenBook::Consent(Box::new(pair)).json(),
            previous: None,
            revision: 1,
            started_at: now,
            changed_at: now,
            changed_by: caller.account().map(crate::domain::ids::AccountId::raw),
        };
        add_rule_draft(conn, &row)?;
        add_audit_row(
            conn,
            &AuditRow::by(&caller, now, "rules.draft", format!("{name} draft"), format!("from version {version}")),
        )?;
        Ok(())
    })
}

/// What publishing came to.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// It is this version now, in both languages, and waits for approval.
    Published(i64),
    /// These faults stand in the way; nothing was written.
    Faulty(Vec<ConsentFault>),
}

/// Makes the draft the next version in both languages. Nobody signs it before it is approved.
///
/// # Errors
/// `NotFound` without a draft, `Refused(DraftMoved)` when it was changed since the page was opened.
pub fn publish(app: &App, caller: &Caller, kind: ConsentKind, revision: i64) -> Result<Outcome, Failure> {
    ask(caller, Action::RunProgram, Subject::Program)?;
    let (now, caller) = (app.clock.now(), caller.clone());
    app.store.write("publish consent", move |conn| {
        let name = draft_kind(kind);
        let row = find_rule_draft(conn, &name)?.ok_or(Failure::NotFound)?;
        if row.revision != revision {
            return Err(Refusal::DraftMoved.into());
        }
        let pair: ConsentPair = serde_json::from_str(&row.body).map_err(Failure::broken)?;
        let version = newest(conn, kind)? + 1;
        let own = pair.as_own(version);
        let faults = own.faults();
        if !faults.is_empty() {
            return Ok(Outcome::Faulty(faults));
        }
        for text in [&own.en, &own.es] {
            add_consent_text(conn, &new_row(text)?)?;
        }
        remove_rule_draft(conn, &name)?;
        add_audit_row(conn, &AuditRow::by(&caller, now, "rules.publish", format!("{name} version {version}"), ""))?;
        Ok(Outcome::Published(version))
    })
}

fn new_row(text: &ConsentText) -> Result<NewConsentText, Failure> {
    Ok(NewConsentText {
        kind: text.kind.as_str().to_owned(),
        version: text.version,
        language: text.language,
        shown_hash: hex(&Sha256::digest(text.shown_text().as_bytes())),
        body: serde_json::to_string(text).map_err(Failure::broken)?,
        sample: text.sample,
        approved_by: None,
        approved_on: None,
    })
}

/// A clause more or fewer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Clauses {
    /// An empty one at the end.
    Add,
    /// This one out.
    Remove(String),
}

impl Change for Clauses {
    /// The key of a new clause.
    type Made = Option<String>;

    fn detail(&self) -> String {
        match self {
            Clauses::Add => "clause added".to_owned(),
            Clauses::Remove(key) => format!("clause {key} removed"),
        }
    }

    fn make(&self, book: &mut OpenBook) -> Result<Option<String>, Failure> {
        let OpenBook::Consent(pair) = book else { return Err(Failure::NotFound) };
        match self {
            Clauses::Add if pair.en.clauses.len() >= 30 => Err(Failure::NotFound),
            Clauses::Add => Ok(Some(pair.add_clause())),
            Clauses::Remove(key) if pair.remove_clause(key) => Ok(None),
            Clauses::Remove(_) => Err(Failure::NotFound),
        }
    }
}
