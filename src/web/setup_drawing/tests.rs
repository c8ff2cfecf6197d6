//! Every drawing lies inside its picture, tells its sizes and follows the settings.

use super::*;
use crate::domain::curriculum::Curriculum;
use crate::domain::words::Word;

fn shipped() -> CurriculumDraft {
    let read: Curriculum = toml::from_str(include_str!("../../../seed/curriculum.toml")).expect("it is sound");
    read.into()
}

fn inside(shape: &Shape, height: i64) -> bool {
    let at = |x: i64, y: i64| (0..=WIDTH).contains(&x) && (0..=height).contains(&y);
    match shape {
        Shape::Cone(x, y) | Shape::Machine(x, y) | Shape::Words(x, y, _) => at(*x, *y),
        Shape::Ground(x, y, x2, y2) | Shape::Size(x, y, x2, y2) => at(*x, *y) && at(*x2, *y2),
        Shape::Thing(x, y, wide, tall) => at(*x, *y) && at(x + wide, y + tall),
        Shape::Way(_) => true,
    }
}

#[test]
fn day_8_every_setup_is_drawn_inside_its_picture_and_told_with_its_sizes_in_both_languages() {
    let (draft, riding) = (shipped(), RidingRule::default());
    for setup in Setup::ALL {
        for lang in Lang::ALL {
            let drawn = drawing(*setup, &draft, &riding, *lang);
            for shape in &drawn.shapes {
                assert!(inside(shape, drawn.height), "{setup}: {shape:?} of {}", drawn.height);
            }
            let figure = setup.figures().iter().find(|name| name.ends_with("_um") || name.ends_with("_deg"));
            if let Some(name) = figure {
                let words = Unit::of_name(name).expect("a unit").words(draft.figure(name), *lang);
                assert!(drawn.told.contains(&words), "{setup}: {} lacks {words}", drawn.told);
            }
        }
        let told = |lang| drawing(*setup, &draft, &riding, lang).told;
        assert_ne!(told(Lang::En), told(Lang::Es), "{setup}");
    }
}

/// 10 mph on 0.5 is 2.04 m (row 66 of the check values); times 1.3 is 2.65 m, 9 feet.
#[test]
fn day_8_the_hard_stop_is_drawn_with_the_worked_out_distance_and_follows_the_settings() {
    let (mut draft, riding) = (shipped(), RidingRule::default());
    assert!(drawing(Setup::HardStop, &draft, &riding, Lang::En).told.contains("9 ft (2.6 m)"));
    draft.settings.get_mut("gate_speed_mph").expect("it is there").value = 15;
    assert!(drawing(Setup::HardStop, &draft, &riding, Lang::En).told.contains("20 ft (6 m)"));
}

#[test]
fn day_8_figures_at_their_limits_still_make_a_drawing() {
    let riding = RidingRule::default();
    for value in [1, i64::MAX] {
        let mut draft = shipped();
        for (name, setting) in &mut draft.settings {
            setting.value = value.min(Unit::of_name(name).expect("a unit").most());
        }
        for setup in Setup::ALL {
            assert!(drawing(*setup, &draft, &riding, Lang::En).height > 0, "{setup}");
        }
    }
}
