//! The words for papers of staff and of sites: what each kind is called, and why one does not hold. Decides nothing about them.

use crate::domain::certification::{BlockingPaper, CertificationKind, PaperFault};
use crate::domain::site_paper::{BlockingSitePaper, SitePaperKind};
use crate::domain::words::{Lang, Word};
use crate::language::{self, Value};

/// What a kind of paper is called, in the middle of a sentence.
#[must_use]
pub fn kind(lang: Lang, kind: CertificationKind) -> String {
    language::say(lang, &format!("paper-{}", kind.as_str()), &[])
}

/// What a kind of paper of a site is called, in the middle of a sentence.
#[must_use]
pub fn site_kind(lang: Lang, kind: SitePaperKind) -> String {
    language::say(lang, &format!("paper-{}", kind.as_str()), &[])
}

/// A paper that blocks, with why: "first-aid card (held through June 12, 2026)".
#[must_use]
pub fn blocking(lang: Lang, paper: BlockingPaper) -> String {
    with_why(lang, kind(lang, paper.kind), paper.fault)
}

/// A paper of a site that blocks, with why.
#[must_use]
pub fn blocking_site(lang: Lang, paper: BlockingSitePaper) -> String {
    with_why(lang, site_kind(lang, paper.kind), paper.fault)
}

fn with_why(lang: Lang, name: String, fault: PaperFault) -> String {
    let (key, day) = match fault {
        PaperFault::NotYetValid(day) => ("paper-not-yet", Some(day)),
        PaperFault::Expired(day) => ("paper-expired", Some(day)),
        PaperFault::Suspended(day) => ("paper-suspended", Some(day)),
        PaperFault::Revoked(day) => ("paper-revoked", Some(day)),
        PaperFault::Missing => ("paper-missing", None),
    };
    let day = day.map(|day| language::date_short(lang, day)).unwrap_or_default();
    language::say(lang, key, &[("paper", Value::from(name)), ("day", Value::from(day))])
}
