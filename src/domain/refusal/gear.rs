//! Every "no" of the rules about helmets and where they are.

use crate::domain::grant::GrantNo;

/// A press about gear that the rules refuse.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum GearRefusal {
    /// No helmet of that lot is left to hand out.
    NoHelmetLeft,
    /// The helmet's range does not hold the rider's head.
    HelmetSize,
    /// The helmet is past the age that the program allows.
    HelmetTooOld,
    /// It would have been made in a month to come.
    MadeToCome,
    /// The rider already has a helmet from this session.
    HelmetAlready,
    /// The rider has no such helmet of the program's.
    NotTheirs,
    /// The lent helmet came back already.
    BackAlready,
    /// Nobody has checked the helmet on the rider's head.
    NotChecked,
    /// The helmet on the rider's head is not right.
    NotRight,
    /// Its maker or an agency calls it back.
    Recalled,
    /// The grant that paid for it pays for none of this child.
    Grant(GrantNo),
    /// The same helmets are called back already.
    RecallStands,
    /// The grant does not say what an hour or a mile counts for.
    NoRate,
    /// Fewer are there than are wanted.
    Short {
        /// How many are there.
        left: i64,
    },
}
