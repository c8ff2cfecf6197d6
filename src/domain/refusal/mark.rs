//! Every "no" of the curriculum's rules to a mark.

/// A mark that the curriculum's rules refuse.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum MarkRefusal {
    /// No such check in this session's curriculum.
    UnknownCheck,
    /// Whole-lesson marks are not taken for this lesson.
    WholeLessonNotTaken,
    /// An earlier lesson's required checks are not met.
    LessonFirst {
        /// The lesson that comes first.
        lesson: i64,
    },
    /// A check that is needed before any wheel turns is not met.
    BeforeWheels {
        /// The check's code.
        check: String,
    },
    /// Only the lead clears a safety stop.
    OnlyLeadClears,
    /// Clearing a safety stop needs a reason.
    ReasonNeeded,
    /// The clearing mark must name the stop that it clears.
    MustNameStop,
}
