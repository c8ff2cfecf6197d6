//! The curriculum that ships against the program's decisions, and every fault by name.

use super::settings::names_in;
use super::*;

const SHIPPED: &str = include_str!("../../../seed/curriculum.toml");

fn shipped() -> Curriculum {
    toml::from_str(SHIPPED).unwrap_or_else(|fault| panic!("{fault}"))
}

fn draft() -> CurriculumDraft {
    shipped().into()
}

fn code(text: &str) -> CheckCode {
    CheckCode::parse(text).unwrap()
}

#[test]
fn house_3_the_shipped_curriculum_has_no_fault_and_survives_json() {
    let curriculum = shipped();
    let json = serde_json::to_string(&curriculum).unwrap();
    assert_eq!(serde_json::from_str::<Curriculum>(&json).unwrap(), curriculum);
}

#[test]
fn house_3_every_lesson_has_three_to_six_checks() {
    for lesson in shipped().lessons() {
        assert!((3..=6).contains(&lesson.checks.len()), "lesson {}", lesson.number);
    }
}

/// The program's decisions: no riding lesson before the four that come first; 9 needs 6 and 7; 11 needs all before it.
#[test]
fn house_3_riding_waits_for_the_lessons_before_it() {
    let curriculum = shipped();
    let standing_still: BTreeSet<u16> = curriculum.lessons().iter().filter(|l| !l.riding).map(|l| l.number).collect();
    assert_eq!(standing_still, BTreeSet::from([1, 2, 3, 4]));
    for lesson in curriculum.lessons().iter().filter(|lesson| lesson.riding) {
        assert!(curriculum.prerequisites(lesson).is_superset(&standing_still), "lesson {}", lesson.number);
    }
    let needs = |number| curriculum.prerequisites(curriculum.lesson(number).unwrap());
    assert!(needs(9).is_superset(&BTreeSet::from([6, 7])));
    assert_eq!(needs(11), (1..=10).collect());
}

#[test]
fn house_3_what_a_needed_lesson_needs_is_needed_too() {
    let mut chained = draft();
    for (index, needs) in [(4, vec![3]), (5, vec![5]), (2, vec![2])] {
        chained.lessons[index].needs = needs;
    }
    let curriculum = Curriculum::try_from(chained).unwrap();
    assert_eq!(curriculum.prerequisites(curriculum.lesson(6).unwrap()), BTreeSet::from([2, 3, 5]));
}

#[test]
fn house_3_braking_hard_stop_slopes_and_trail_ride_take_no_whole_lesson_mark() {
    let curriculum = shipped();
    let one_by_one: Vec<&str> =
        curriculum.lessons().iter().filter(|l| !l.whole_lesson_marks).map(|l| l.title.en.as_str()).collect();
    let expected = [
        "Braking to a mark",
        "Hard stop and going round an obstacle",
        "Slopes and rough ground",
        "Trail ride as a group",
    ];
    assert_eq!(one_by_one, expected);
}

#[test]
fn house_3_stop_switch_brake_and_stop_signal_come_before_any_wheel_turns() {
    let curriculum = shipped();
    let titles: Vec<&str> = curriculum.before_wheels().map(|check| check.title.en.as_str()).collect();
    assert_eq!(
        titles,
        ["Finds the stop switch without looking", "Finds the brake without looking", "Answers the stop signal"]
    );
}

/// Figures of common practice that ship as starting values; each unsourced one says so by its mark.
#[test]
fn house_3_shipped_geometry_carries_its_mark_and_reads_in_us_units_first() {
    let curriculum = shipped();
    let cases = [
        ("circle_diameter_um", 12_000_000, SourceMark::C, "39 ft (12 m)"),
        ("small_circle_diameter_um", 9_000_000, SourceMark::C, "30 ft (9 m)"),
        ("weave_gap_um", 6_000_000, SourceMark::C, "20 ft (6 m)"),
        ("weave_close_gap_um", 4_500_000, SourceMark::C, "15 ft (4.5 m)"),
        ("lane_length_um", 30_000_000, SourceMark::C, "98 ft (30 m)"),
        ("stop_mark_tolerance_um", 500_000, SourceMark::C, "20 in (50 cm)"),
        ("stop_mark_overshoot_um", 1_000_000, SourceMark::C, "39 in (1 m)"),
        ("bump_height_um", 100_000, SourceMark::C, "4 in (10 cm)"),
        ("gate_speed_mph", 10, SourceMark::C, "10 mph"),
        ("hard_stop_permille", 1300, SourceMark::C, "1.3"),
        ("slope_most_tenth_deg", 150, SourceMark::C, "15 degrees"),
        ("following_gap_seconds", 3, SourceMark::R2, "3 seconds"),
    ];
    for (name, value, mark, words) in cases {
        let setting = &curriculum.settings()[name];
        assert_eq!((setting.value, setting.mark), (value, mark), "{name}");
        assert_eq!(Unit::of_name(name).unwrap().words(value, Lang::En), words, "{name}");
    }
    assert_eq!(Unit::Micrometres.words(76_200, Lang::En), "3 in (7.6 cm)");
    assert_eq!(Unit::TenthDegrees.words(125, Lang::Es), "12.5 grados");
    assert_eq!(Unit::Permille.words(1050, Lang::Es), "1.05");
}

#[test]
fn house_3_no_text_is_shown_with_a_brace_left_and_every_setting_is_used() {
    let curriculum = shipped();
    let mut used = BTreeSet::new();
    for lesson in curriculum.lessons() {
        let checks = lesson.checks.iter().flat_map(|check| [&check.looks_like, &check.not_yet, &check.title]);
        for text in checks.chain([&lesson.title, &lesson.setup, &lesson.caution]) {
            for lang in [Lang::En, Lang::Es] {
                assert!(!curriculum.words(text, lang).contains(['{', '}']));
            }
            used.extend(names_in(&text.en).into_iter().map(str::to_string));
            assert_eq!(BTreeSet::from_iter(names_in(&text.en)), BTreeSet::from_iter(names_in(&text.es)));
        }
    }
    assert_eq!(used, curriculum.settings().keys().cloned().collect());
}

#[test]
fn house_3_no_shipped_sentence_runs_over_twenty_words() {
    let curriculum = shipped();
    for lesson in curriculum.lessons() {
        let checks = lesson.checks.iter().flat_map(|check| [&check.looks_like, &check.not_yet]);
        for text in checks.chain([&lesson.setup, &lesson.caution]) {
            for sentence in [Lang::En, Lang::Es].iter().flat_map(|lang| text.in_lang(*lang).split(". ")) {
                assert!(sentence.split_whitespace().count() <= 20, "{}: {sentence}", lesson.number);
            }
        }
    }
}

#[test]
fn house_3_neighbours_and_lookups_follow_the_data() {
    let curriculum = shipped();
    assert_eq!(curriculum.next(6).unwrap().number, 7);
    assert_eq!(curriculum.previous(6).unwrap().number, 5);
    assert!(curriculum.previous(1).is_none() && curriculum.next(curriculum.lessons().last().unwrap().number).is_none());
    assert_eq!(curriculum.lesson_of(&code("6.2")).unwrap().title.en, "Braking to a mark");
    assert!(curriculum.check(&code("6.99")).is_none() && curriculum.lesson_of(&code("6.99")).is_none());
    assert!(curriculum.required_checks().count() < curriculum.checks().count());
}

#[test]
fn house_3_a_code_has_one_spelling_and_orders_by_number() {
    assert!(code("4.9") < code("4.10") && code("9.1") < code("10.1"));
    for bad in ["", "6", "6.", ".2", "06.2", "6.02", "6.0", "0.1", "+6.2", "6.2.1", " 6.2", "6,2", "six.two", "70000.1"]
    {
        assert!(CheckCode::parse(bad).is_err(), "{bad}");
    }
}

/// A lesson more or fewer is a matter of data: no rule names a lesson.
#[test]
fn house_3_a_curriculum_of_another_length_is_as_good() {
    let mut shorter = draft();
    shorter.lessons.truncate(6);
    let mut longer = draft();
    let mut extra = longer.lessons[0].clone();
    extra.number = 40;
    extra.title.en = "After the ride".into();
    for check in &mut extra.checks {
        check.code = code(&check.code.to_string().replace("1.", "40."));
    }
    longer.lessons.push(extra);
    assert!(Curriculum::try_from(shorter).is_ok() && Curriculum::try_from(longer).is_ok());
}

#[test]
fn house_3_each_fault_is_found_and_named() {
    type Spoil = fn(&mut CurriculumDraft);
    let cases: Vec<(Spoil, CurriculumFault)> = vec![
        (|d| d.lessons[1].number = 1, CurriculumFault::LessonOutOfOrder { number: 1 }),
        (
            |d| d.lessons[0].checks[1].code = d.lessons[0].checks[0].code,
            CurriculumFault::DuplicateCode { code: code("1.1") },
        ),
        (
            |d| d.lessons[0].checks[1].code = code("2.9"),
            CurriculumFault::CodeOfOtherLesson { code: code("2.9"), lesson: 1 },
        ),
        (
            |d| d.lessons[5].checks.iter_mut().for_each(|check| check.required = false),
            CurriculumFault::NoRequiredCheck { lesson: 6 },
        ),
        (|d| d.lessons[4].needs.push(77), CurriculumFault::UnknownPrerequisite { lesson: 5, needs: 77 }),
        (|d| d.lessons[4].needs.push(6), CurriculumFault::LaterPrerequisite { lesson: 5, needs: 6 }),
        (|d| d.lessons[4].needs.push(5), CurriculumFault::LaterPrerequisite { lesson: 5, needs: 5 }),
        (|d| d.lessons[3].riding = true, CurriculumFault::BeforeWheelsWhileRiding { code: code("4.3") }),
        (|d| d.lessons[3].checks[2].required = false, CurriculumFault::BeforeWheelsOptional { code: code("4.3") }),
        (
            |d| d.lessons[3].checks.iter_mut().for_each(|check| check.before_wheels = false),
            CurriculumFault::NothingBeforeWheels,
        ),
        (
            |d| d.lessons[0].checks[0].title.es = " ".into(),
            CurriculumFault::EmptyText(Spot::text(Place::Check(code("1.1")), Part::Title, Lang::Es)),
        ),
        (
            |d| d.lessons[0].setup.en.push_str(" {moon_um}"),
            CurriculumFault::UnknownSetting {
                spot: Spot::text(Place::Lesson(1), Part::Setup, Lang::En),
                name: "moon_um".into(),
            },
        ),
        (
            |d| d.settings.get_mut("run_off_um").unwrap().value = 0,
            CurriculumFault::SettingNotPositive { name: "run_off_um".into() },
        ),
        (
            |d| d.settings.get_mut("run_off_um").unwrap().source.clear(),
            CurriculumFault::SettingWithoutSource { name: "run_off_um".into() },
        ),
        (
            |d| drop(d.settings.insert("run_off".into(), d.settings["run_off_um"].clone())),
            CurriculumFault::SettingWithoutUnit { name: "run_off".into() },
        ),
        (|d| d.lessons[1].title = d.lessons[0].title.clone(), CurriculumFault::TitleTwice { number: 2, other: 1 }),
        (
            |d| d.lessons[5].setup.es = d.lessons[5].setup.es.replace("{stop_mark_distance_um}", "cinco metros"),
            CurriculumFault::OtherSettingsInSpanish { place: Place::Lesson(6), part: Part::Setup },
        ),
        (
            |d| d.lessons[0].caution.en.push_str(" {run_off_um"),
            CurriculumFault::LooseBrace(Spot::text(Place::Lesson(1), Part::Caution, Lang::En)),
        ),
        (
            |d| d.lessons[0].title.en = "a".repeat(81),
            CurriculumFault::TextTooLong { spot: Spot::text(Place::Lesson(1), Part::Title, Lang::En), most: 80 },
        ),
        (
            |d| d.settings.get_mut("slope_most_tenth_deg").unwrap().value = 451,
            CurriculumFault::SettingTooLarge { name: "slope_most_tenth_deg".into(), most: 450 },
        ),
        (
            |d| d.settings.get_mut("weave_cones_least_count").unwrap().value = 8,
            CurriculumFault::LeastOverMost {
                least: "weave_cones_least_count".into(),
                most: "weave_cones_most_count".into(),
            },
        ),
        (|d| d.lessons.clear(), CurriculumFault::NoLessons),
        (|d| d.version = 0, CurriculumFault::VersionBelowOne),
    ];
    for (spoil, fault) in cases {
        let mut spoiled = draft();
        spoil(&mut spoiled);
        let found = Curriculum::try_from(spoiled).unwrap_err().0;
        assert!(found.contains(&fault), "{fault}\nfound: {found:?}");
    }
}

#[test]
fn house_3_all_faults_are_told_at_once_also_through_serde() {
    let text = SHIPPED
        .replacen("needs = [1, 2, 3, 4, 6, 7]", "needs = [99]", 1)
        .replacen("code = \"1.2\"", "code = \"1.1\"", 1)
        .replacen("value = 10,", "value = -10,", 1);
    let told = toml::from_str::<Curriculum>(&text).unwrap_err().to_string();
    for part in ["lesson 9 needs lesson 99", "skill check 1.1 stands twice", "gate_speed_mph must be above zero"] {
        assert!(told.contains(part), "{told}");
    }
}
