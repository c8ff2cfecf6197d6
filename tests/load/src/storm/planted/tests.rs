//! The judge's own proofs, one by one.

use super::*;

#[test]
fn r01_the_judge_passes_a_sound_story() {
    let story = sound();
    assert_eq!(judge(&story.history, &story.rows), []);
}

#[test]
fn r01_the_judge_finds_every_planted_fault() {
    assert_eq!(prove().expect("every fault is found"), PLANTED.len());
}

#[test]
fn r24_a_retry_that_is_refused_although_its_answer_is_kept_is_a_fault() {
    let mut story = sound();
    story.history.push(register(4, 45, Answer::Refused(303)));
    let kinds: Vec<Kind> = judge(&story.history, &story.rows).into_iter().map(|fault| fault.kind).collect();
    assert_eq!(kinds, [Kind::Key]);
    story.history.last_mut().expect("it").answer = Answer::Refused(503);
    assert_eq!(judge(&story.history, &story.rows), [], "later is no answer");
}

#[test]
fn r24_what_was_cut_off_may_have_happened_or_not() {
    let mut story = sound();
    story.history.retain(|event| !matches!(&event.asked, Asked::Register { child: of, .. } if *of == child(5)));
    story.history.push(register(5, 50, Answer::Cut));
    assert_eq!(judge(&story.history, &story.rows), [], "it happened");
    story.rows.places.retain(|place| place.reference != "r5");
    story.rows.steps.retain(|step| step.reference != "r5");
    story.rows.keys.retain(|key| key.answer != "r5");
    story.rows.sessions[0].waiting = 1;
    assert_eq!(judge(&story.history, &story.rows), [], "it did not happen");
}
