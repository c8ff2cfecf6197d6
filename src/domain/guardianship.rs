//! Who speaks for a child among its adults, and who may join them. How each adult stands is `access::Guardianship`.

use super::access::Guardianship;
use super::ids::GuardianId;

/// The adult who is written to and called about a place: who registered the child, or, when that adult may not decide for
/// it now, the first of those who may. `deciding` are the adults who may decide now, in the order in which they came.
#[must_use]
pub fn speaker(deciding: &[GuardianId], registered_by: GuardianId) -> Option<GuardianId> {
    let own = deciding.iter().find(|one| **one == registered_by);
    own.or(deciding.first()).copied()
}

/// Whether an adult who is invited answers for the child from then on. What the office restricted or ended stays so,
/// whoever invites.
#[must_use]
pub fn joins(tie: Option<Guardianship>) -> bool {
    match tie {
        None | Some(Guardianship::Active) => true,
        Some(Guardianship::Restricted | Guardianship::Revoked) => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn s30_who_registered_speaks_while_they_may_decide_and_else_the_first_who_may() {
        let ids = |raw: &[i64]| raw.iter().copied().map(GuardianId::new).collect::<Vec<_>>();
        for (deciding, registered_by, speaks) in [
            (&[1, 2][..], 1, Some(1)),
            (&[1, 2], 2, Some(2)),
            (&[2, 3], 1, Some(2)),
            (&[3], 1, Some(3)),
            (&[], 1, None),
        ] {
            let found = speaker(&ids(deciding), GuardianId::new(registered_by));
            assert_eq!(found, speaks.map(GuardianId::new), "{deciding:?} registered by {registered_by}");
        }
    }

    #[test]
    fn s30_an_invitation_does_not_undo_what_the_office_decided() {
        use Guardianship::{Active, Restricted, Revoked};
        let all = [None, Some(Active), Some(Restricted), Some(Revoked)];
        assert_eq!(all.map(joins), [true, true, false, false]);
    }
}
