//! Reads a signature: the text on the page is the one of now, every clause is ticked, the name is the guardian's.

use std::collections::BTreeSet;

use crate::domain::consent::ConsentRefusal;
use crate::domain::ids::ConsentTextId;
use crate::domain::refusal::Refusal;
use crate::services::Failure;
use crate::services::consent_texts::Shown;
use crate::services::register::faults::Faults;

/// A signature that counts.
#[derive(Clone)]
pub struct SignedText {
    pub text: ConsentTextId,
    pub kind: &'static str,
    pub hash: String,
    pub ticks: String,
    pub name: String,
}

/// A text that is to be signed, with what the page sent about it.
pub struct Wanted<'a> {
    /// `ride` or `photo`; the fields of its clauses begin with it.
    pub kind: &'static str,
    /// The text as it is now.
    pub shown: &'a Shown,
    /// The hash of the text that was on the page.
    pub hash: &'a str,
    /// The clauses ticked.
    pub ticks: &'a BTreeSet<String>,
}

/// The signatures under these texts, unless there are faults already.
///
/// # Errors
/// `ConsentChanged` when a text is another by now than on the page.
pub fn signatures(
    wanted: &[Wanted<'_>],
    typed_name: &str,
    name: &str,
    mut faults: Faults,
) -> Result<Result<Vec<SignedText>, Faults>, Failure> {
    let mut signed = Vec::new();
    for Wanted { kind, shown, hash, ticks } in wanted {
        if shown.hash != *hash {
            return Err(Refusal::ConsentChanged.into());
        }
        match shown.text.sign(ticks, typed_name, name) {
            Ok(done) => signed.push(SignedText {
                text: shown.id,
                kind,
                hash: shown.hash.clone(),
                ticks: serde_json::to_string(&done.ticks).map_err(Failure::broken)?,
                name: done.typed_name,
            }),
            Err(refusals) => note(kind, &refusals, &mut faults)?,
        }
    }
    Ok(if faults.is_empty() { Ok(signed) } else { Err(faults) })
}

/// What stands against a signature, at the fields of the form.
fn note(kind: &str, refusals: &[ConsentRefusal], faults: &mut Faults) -> Result<(), Failure> {
    for refusal in refusals {
        match refusal {
            ConsentRefusal::NotEveryClause { missing } => {
                missing.iter().for_each(|key| faults.add(format!("{kind}-{key}"), "check-tick-missing"));
            }
            ConsentRefusal::UnknownClause { .. } => return Err(Refusal::ConsentChanged.into()),
            ConsentRefusal::NameMissing => faults.add("signature", "check-signature-missing"),
            ConsentRefusal::NameDiffers => faults.add("signature", "check-signature-differs"),
        }
    }
    Ok(())
}
