//! Acts about the session as a whole: looking at the day list and signing it, groups, head counts. Worked out and held
//! against the rules of the day here; kept by the door like every other act.

use std::collections::BTreeMap;

use super::{About, Hand};
use crate::domain::acts::{Act, Body, CountMoment, Taking};
use crate::domain::point_list::{PointKey, PointListKind};
use crate::domain::refusal::Refusal;
use crate::domain::session_day::{Entry, Looked, Scope, SessionDay};
use crate::services::Failure;
use crate::store::AnyConn;
use crate::store::acts::acts_of_kinds;
use crate::store::emergency_plans::find_emergency_plan;

/// Points of the day list as a form tells them, and the signature if it is one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DayListWish {
    /// What was seen at the points looked at.
    pub points: BTreeMap<PointKey, Looked>,
    /// The version of the emergency plan that was read, when the lead signs; none of no plan is 0.
    pub signs: Option<i64>,
    /// The session's counter when the page was drawn: what came later, the looker had not heard of.
    pub seen: i64,
}

impl Hand {
    /// Heads as counted beside the number that should be there, which is worked out.
    pub(super) fn count(
        &self,
        conn: &mut AnyConn,
        (moment, counted): (CountMoment, i64),
        group: Option<String>,
        meeting: i64,
    ) -> Result<Body, Failure> {
        if let Some(instructor) = &group {
            self.opened.must_be_group(conn, instructor)?;
        }
        let acts = acts_of_kinds(conn, self.opened.view.session.id, SessionDay::KINDS)?;
        let (_, day) = self.opened.session_day(conn, &acts, meeting)?;
        let expected = i64::try_from(day.expected(&Scope::of(group.as_ref()))).unwrap_or(i64::MAX);
        Ok(Body::Count { moment, expected, counted, group })
    }

    /// The rider goes into an instructor's group, or out of any.
    pub(super) fn group(&self, conn: &mut AnyConn, with: Option<String>) -> Result<Body, Failure> {
        if let Some(instructor) = &with {
            self.opened.must_teach(conn, instructor)?;
        }
        Ok(Body::Group { with })
    }

    /// A group rides in a part of the riding area.
    pub(super) fn group_place(&self, conn: &mut AnyConn, with: &str, place: Option<String>) -> Result<Body, Failure> {
        self.opened.must_be_group(conn, with)?;
        Ok(Body::GroupPlace { with: with.to_owned(), place })
    }

    /// Points of the list of this session. A signature is one of the plan that was read, and of no other.
    pub(super) fn day_list(&self, conn: &mut AnyConn, wish: DayListWish) -> Result<Body, Failure> {
        let version = self.opened.points(conn, PointListKind::DayList)?.version();
        if let Some(read) = wish.signs {
            if !self.opened.is_led_by_caller() {
                return Err(Refusal::OnlyTheLead.into());
            }
            let kept = find_emergency_plan(conn, self.opened.view.site.id)?;
            let kept = kept.filter(|kept| kept.plan.can_be_followed()).ok_or(Refusal::EmergencyPlanMissing)?;
            if kept.version != read {
                return Err(Refusal::EmergencyPlanChanged.into());
            }
        }
        Ok(Body::DayList { version, points: wish.points, signed: wish.signs })
    }

    /// The rules of the whole session before an act. They hold while there can still be riding: an act that is keyed in
    /// after the meeting's day, or came after closing, is about engines that have stopped.
    pub(super) fn pass_session_rules(
        &self,
        conn: &mut AnyConn,
        about: Option<&About>,
        act: &Act,
        taking: Taking,
    ) -> Result<(), Failure> {
        use Body::{Count, DayList, Group, LessonMarks, Mark};
        let concerns =
            matches!(act.body, Mark { .. } | LessonMarks { .. } | Count { .. } | DayList { .. } | Group { .. });
        if taking == Taking::Late || !concerns || self.opened.is_over(act.meeting) {
            return Ok(());
        }
        let acts = acts_of_kinds(conn, self.opened.view.session.id, SessionDay::KINDS)?;
        let (list, day) = self.opened.session_day(conn, &acts, act.meeting)?;
        let entry = Entry { rider: about.map(|about| about.id), is_today: true, act: act.clone() };
        Ok(day.may_take(&entry, &list, self.opened.curriculum(conn)?)?)
    }
}
