//! A concern about an adult of the program: what somebody saw, read by two named people and by nobody else; by a reader whom it is
//! about not even then. The state's reporting number comes first.

use serde::{Deserialize, Serialize};

use super::ids::{AccountId, StaffId};

/// How many people read concerns.
pub const READERS: usize = 2;

/// The state's number for reports about children, as the administrator entered it. Numbers differ by state, so none ships.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct ReportingLine {
    /// Whose number it is.
    pub agency: String,
    /// The number, as people read it.
    pub phone: String,
}

impl ReportingLine {
    /// Whether the administrator has entered it.
    #[must_use]
    pub fn is_set(&self) -> bool {
        !self.phone.trim().is_empty()
    }
}

/// What somebody wrote. Sealed where it is kept.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Concern {
    /// Whom it is about, when the person was not chosen from a list.
    pub about: String,
    /// What was seen or heard.
    pub seen: String,
    /// When and where.
    pub when: String,
    /// Which children it is about.
    pub children: String,
}

/// Somebody who wants to read a concern.
#[derive(Clone, Copy, Debug)]
pub struct Reader<'a> {
    /// The account.
    pub account: AccountId,
    /// The person's place in the staff.
    pub staff: Option<StaffId>,
    /// Those who were named.
    pub named: &'a [AccountId],
}

impl Reader<'_> {
    /// Whether the person was named at all.
    #[must_use]
    pub fn is_named(&self) -> bool {
        self.named.contains(&self.account)
    }

    /// Whether the person may read a concern about somebody.
    #[must_use]
    pub fn may_read(&self, about: Option<StaffId>) -> bool {
        self.is_named() && (about.is_none() || about != self.staff)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn day_9_a_concern_is_read_by_those_who_were_named_and_never_by_whom_it_is_about() {
        let named = [AccountId::new(1), AccountId::new(2)];
        let reader = |account, staff| Reader { account: AccountId::new(account), staff, named: &named };
        let (own, other) = (Some(StaffId::new(11)), Some(StaffId::new(12)));
        for (who, about, may) in [
            (reader(1, own), other, true),
            (reader(1, own), own, false),
            (reader(1, own), None, true),
            (reader(1, None), other, true),
            (reader(2, other), own, true),
            (reader(3, None), None, false),
            (reader(3, own), other, false),
        ] {
            assert_eq!(who.may_read(about), may, "{who:?} about {about:?}");
        }
        assert!(!Reader { account: AccountId::new(1), staff: own, named: &[] }.may_read(other), "nobody is named");
    }

    #[test]
    fn day_9_no_reporting_number_ships() {
        assert!(!ReportingLine::default().is_set());
        assert!(ReportingLine { agency: "State line".into(), phone: "(406) 555-0177".into() }.is_set());
    }
}
