//! What the reader has just done, for the bar that offers to undo it, and what a wrong head count says.

use crate::domain::acts::Body;
use crate::services::roster::{Counts, JustDone};

pub use crate::web::act_words::in_words;
use crate::web::act_words::lower_first;

/// What the reader has just done, for the bar that offers to undo it.
pub fn did(done: &JustDone) -> String {
    let said = in_words(&done.body);
    let said = match (done.acts.len(), done.rider.is_empty()) {
        (1, true) => said,
        (1, false) => format!("{}: {}", done.rider, lower_first(&said)),
        (many, _) => match done.body {
            Body::CheckIn { .. } => format!("{many} riders checked in"),
            Body::Mark { .. } | Body::LessonMarks { .. } => format!("{many} marks saved"),
            Body::Assign { .. } => format!("Machines for {many} riders planned"),
            _ => format!("{many} entries saved"),
        },
    };
    if done.is_undo { format!("Undone. {said}") } else { said }
}

/// Whether the last head count was wrong.
pub fn is_loud(counts: &Counts) -> bool {
    counts.heads.is_some_and(|heads| heads.is_wrong())
}

/// What a wrong head count says in the folded bar.
pub fn loud(counts: &Counts) -> Option<String> {
    let heads = counts.heads.filter(|heads| heads.is_wrong())?;
    Some(format!("Counted {} of {}. Stop.", heads.counted, heads.expected))
}
