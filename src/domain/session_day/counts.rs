//! Head counts of one day: by group or for all, at lesson changes and out and in of the trail ride.
//! A wrong count stands until a right one of the same riders follows; a group that rode out is out until it is counted in.

use std::collections::BTreeMap;

use chrono::NaiveDateTime;

use crate::domain::acts::{Act, Body, CountMoment};

/// Whose heads are counted.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum Scope {
    /// Everybody on the site.
    #[default]
    All,
    /// The group of one instructor, by the account's reference.
    Group(String),
}

impl Scope {
    /// The scope that an act names.
    pub fn of(group: Option<&String>) -> Self {
        group.map_or(Self::All, |instructor| Self::Group(instructor.clone()))
    }

    /// Whether a count of this scope also counts the heads of the other.
    fn covers(&self, other: &Self) -> bool {
        *self == Self::All || self == other
    }
}

/// One head count.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Counted {
    /// Whose heads.
    pub scope: Scope,
    /// When in the day.
    pub moment: CountMoment,
    /// How many should have been there.
    pub expected: i64,
    /// How many were.
    pub counted: i64,
    /// The device's time.
    pub at: NaiveDateTime,
}

impl Counted {
    /// Whether somebody is missing, or one too many.
    pub fn is_wrong(&self) -> bool {
        self.expected != self.counted
    }

    fn of(act: &Act) -> Option<Self> {
        match &act.body {
            Body::Count { moment, expected, counted, group } => Some(Self {
                scope: Scope::of(group.as_ref()),
                moment: *moment,
                expected: *expected,
                counted: *counted,
                at: act.at,
            }),
            _ => None,
        }
    }
}

/// Riders who are out on the trail.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Out {
    /// Whose group.
    pub scope: Scope,
    /// When they were counted out.
    pub since: NaiveDateTime,
    /// How many went.
    pub counted: i64,
}

/// The head counts of one day.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// The latest count of each scope.
    pub last: BTreeMap<Scope, Counted>,
    /// Wrong counts that no right one has followed, by scope.
    pub wrong: BTreeMap<Scope, Counted>,
    /// Who rode out and was not counted in.
    pub out: BTreeMap<Scope, Out>,
}

impl Counts {
    /// Reads the acts of the day, already in their one order.
    pub(super) fn of(ordered: &[&Act]) -> Self {
        let mut counts = Self::default();
        for counted in ordered.iter().filter_map(|act| Counted::of(act)) {
            counts.take(counted);
        }
        counts
    }

    fn take(&mut self, counted: Counted) {
        if counted.is_wrong() {
            self.wrong.insert(counted.scope.clone(), counted.clone());
        } else {
            self.wrong.retain(|scope, _| !counted.scope.covers(scope));
        }
        match counted.moment {
            CountMoment::TrailOut => {
                let (scope, since) = (counted.scope.clone(), counted.at);
                self.out.insert(scope.clone(), Out { scope, since, counted: counted.counted });
            }
            // A wrong count at the gate means that somebody may still be out there.
            CountMoment::TrailIn if !counted.is_wrong() => self.out.retain(|scope, _| !counted.scope.covers(scope)),
            CountMoment::TrailIn | CountMoment::Lesson | CountMoment::Other => {}
        }
        self.last.insert(counted.scope.clone(), counted);
    }

    /// Whether any count is wrong and not yet put right.
    pub fn is_loud(&self) -> bool {
        !self.wrong.is_empty()
    }
}
