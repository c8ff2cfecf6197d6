//! Which drawings show how a lesson is set up: those whose figures its texts name. The curriculum is data, so no lesson is known by
//! number; a lesson that names a circle has the drawing of a circle.

use super::settings::names_in;
use super::{CurriculumDraft, Lesson, LocalText};
use crate::domain::words::word_list;

word_list! {
    /// An exercise as it is set up.
    Setup {
        /// A straight lane.
        Lane = "lane",
        /// A gate and a mark to stop at.
        StopMark = "stop_mark",
        /// A large circle, and a small one in it.
        Circle = "circle",
        /// Two circles that meet.
        Eight = "eight",
        /// A row of cones.
        Weave = "weave",
        /// A gate and the distance within which a hard stop ends.
        HardStop = "hard_stop",
        /// A gate and an obstacle to go round.
        Obstacle = "obstacle",
        /// A slope.
        Slope = "slope",
        /// A low bump.
        Bump = "bump",
        /// A group on the trail.
        Group = "group",
    }
}

impl Setup {
    /// The figures that its drawing needs; the first is the one that a lesson names to have it.
    #[must_use]
    pub fn figures(self) -> &'static [&'static str] {
        match self {
            Self::Lane => &["lane_length_um", "lane_width_um"],
            Self::StopMark => &["stop_mark_distance_um", "stop_mark_tolerance_um", "gate_speed_mph"],
            Self::Circle => &["circle_diameter_um", "small_circle_diameter_um"],
            Self::Eight => &["eight_rounds_count", "small_circle_diameter_um"],
            Self::Weave => &["weave_gap_um", "weave_close_gap_um", "weave_cones_least_count"],
            Self::HardStop => &["hard_stop_permille", "gate_speed_mph"],
            Self::Obstacle => &["obstacle_distance_um", "obstacle_width_um", "gate_speed_mph"],
            Self::Slope => &["slope_most_tenth_deg", "slope_first_tenth_deg", "slope_length_um"],
            Self::Bump => &["bump_height_um"],
            Self::Group => &["group_riders_count", "following_gap_seconds"],
        }
    }
}

impl CurriculumDraft {
    /// The drawings of a lesson, in the order of the list; none without every figure that it needs.
    #[must_use]
    pub fn setups(&self, lesson: &Lesson) -> Vec<Setup> {
        let checks = lesson.checks.iter().flat_map(|check| [&check.title, &check.looks_like, &check.not_yet]);
        let texts: Vec<&LocalText> = [&lesson.setup, &lesson.caution].into_iter().chain(checks).collect();
        let names = |figure: &str| texts.iter().any(|text| names_in(&text.en).contains(&figure));
        let has = |setup: &Setup| {
            let figures = setup.figures();
            names(figures[0]) && figures.iter().all(|figure| self.settings.contains_key(*figure))
        };
        <Setup as crate::domain::words::Word>::ALL.iter().copied().filter(has).collect()
    }

    /// A figure; 0 for one that there is not.
    #[must_use]
    pub fn figure(&self, name: &str) -> i64 {
        self.settings.get(name).map_or(0, |setting| setting.value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::domain::curriculum::Curriculum;
    use crate::domain::words::Word;

    fn shipped() -> CurriculumDraft {
        let read: Curriculum = toml::from_str(include_str!("../../../seed/curriculum.toml")).expect("it is sound");
        read.into()
    }

    #[test]
    fn day_8_each_drawing_belongs_to_one_lesson_that_names_its_figures() {
        let draft = shipped();
        let all: Vec<(u16, Vec<Setup>)> =
            draft.lessons.iter().map(|lesson| (lesson.number, draft.setups(lesson))).collect();
        for setup in Setup::ALL {
            let many = all.iter().filter(|(_, setups)| setups.contains(setup)).count();
            assert_eq!(many, 1, "{setup}: {all:?}");
        }
        // Every lesson in which machines move has one.
        for lesson in draft.lessons.iter().filter(|lesson| lesson.riding) {
            assert!(!draft.setups(lesson).is_empty(), "lesson {}", lesson.number);
        }
    }

    #[test]
    fn day_8_a_lesson_that_names_no_figure_or_lacks_one_has_no_drawing() {
        let mut draft = shipped();
        assert_eq!(draft.setups(&draft.lessons[0].clone()), []);
        draft.settings.remove("lane_width_um");
        assert!(draft.lessons.iter().all(|lesson| !draft.setups(lesson).contains(&Setup::Lane)));
    }
}
