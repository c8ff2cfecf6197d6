//! Marks by keyboard: a table that works as a plain form, and saves by the same rules as the phone.

use crate::house::app::TestApp;
use crate::house::field::Field;

fn cell(field: &Field, check: &str, shown: &str) -> String {
    format!("m.{}.{check}.{shown}", field.zoe)
}

#[test]
fn u26_a_table_of_marks_is_saved_with_one_press_and_an_untouched_cell_says_nothing() {
    let house = TestApp::start();
    let field = house.field_day();
    let page = field.lead.get(&field.at("/grid"));
    page.must_be(200).must_say("Nobody is checked in");
    field.make_ready(&house);
    let page = field.lead.get(&field.at("/grid?lesson=1"));
    page.must_say("1.1").must_say("Reads the age label").must_say("Zoë Marisol Okafor-Lindqvist");
    let (first, second) = (cell(&field, "1.1", "not_tried"), cell(&field, "1.2", "not_tried"));
    assert!(page.body.contains(&format!("name=\"{first}\"")), "a cell says what it showed");
    let id = house.act_id();
    let form = [("act", "grid"), ("act_id", id.as_str()), ("back", "/grid?lesson=1")];
    // Meanwhile somebody marks 1.2 on a phone; the table shows it as not tried still, and sends it untouched.
    field.tap(&house, &field.lead, "mark", &[("check", "1.2"), ("mark", "practice")]).must_be(303);
    let sent: Vec<_> = form.into_iter().chain([(first.as_str(), "meets"), (second.as_str(), "not_tried")]).collect();
    for _ in 0..2 {
        let saved = field.lead.post(&field.at("/acts"), &sent);
        assert_eq!(saved.location(), field.at("/grid?lesson=1"));
    }
    assert_eq!(house.acts_kept("mark"), 2, "one of the table, one of the phone, and a double press makes no more");
    let all = field.lead.get(&field.at("/grid?lesson=all"));
    for name in [cell(&field, "1.1", "meets"), cell(&field, "1.2", "practice"), cell(&field, "11.1", "not_tried")] {
        assert!(all.body.contains(&format!("name=\"{name}\"")), "{name}");
    }
    field.lead.get(&field.at("/grid?lesson=99")).must_be(404);
    field.lead.get(&field.at("/grid?lesson=x")).must_be(404);
}

#[test]
fn u26_a_cell_that_a_rule_refuses_is_named_kept_and_marked_and_the_others_are_saved() {
    let house = TestApp::start();
    let field = house.field_day();
    field.make_ready(&house);
    let (good, early) = (cell(&field, "1.1", "not_tried"), cell(&field, "5.1", "not_tried"));
    let id = house.act_id();
    let sent = [
        ("act", "grid"),
        ("act_id", id.as_str()),
        ("back", "/grid?lesson=all"),
        (good.as_str(), "meets"),
        (early.as_str(), "meets"),
    ];
    field.lead.get(&field.at("/grid?lesson=all"));
    let back = field.lead.post(&field.at("/acts"), &sent);
    back.must_be(422).must_say("must be met before any wheel turns");
    assert!(back.body.contains(&format!("href=\"#{early}\"")), "the summary leads to the cell");
    let refused = back.body.split(&format!("id=\"{early}\"")).nth(1).and_then(|rest| rest.split("</select>").next());
    let refused = refused.expect("the cell");
    assert!(refused.contains("aria-invalid=\"true\"") && refused.contains("value=\"meets\" selected"), "{refused}");
    assert_eq!(house.acts_kept("mark"), 1);
    // What no table of ours sends is refused whole.
    for (name, value) in [("m.x", "meets"), ("m.a.1.1.gone", "meets"), (good.as_str(), "perfect")] {
        let sent = [("act", "grid"), ("act_id", id.as_str()), ("back", "/grid?lesson=1"), (name, value)];
        field.lead.post(&field.at("/acts"), &sent).must_be(400);
    }
}
