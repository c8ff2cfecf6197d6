//! What nobody needs any more goes, at its hour and not before, and the audit log says how much went.

use chrono::TimeDelta;
use diesel::prelude::*;
use waymark::jobs::tidy;
use waymark::store::StoreError;
use waymark::store::drafts::set_draft;
use waymark::store::request_keys::add_answer;
use waymark::store::schema::{audit_rows, drafts, request_keys, sessions, sign_ins};

use crate::house::app::{TestApp, saturday};

impl TestApp {
    /// Drafts, request keys and logins that are kept.
    fn kept(&self) -> (i64, i64, i64) {
        let counts = self.app.store.read(|conn| {
            let drafts = drafts::table.count().get_result(conn)?;
            let keys = request_keys::table.count().get_result(conn)?;
            Ok::<_, StoreError>((drafts, keys, sign_ins::table.count().get_result(conn)?))
        });
        counts.expect("counts")
    }

    fn tidied(&self) -> Vec<String> {
        let told = self.app.store.read(|conn| {
            let rows = audit_rows::table.filter(audit_rows::action.eq("tidy.remove")).order(audit_rows::id);
            Ok::<_, StoreError>(rows.select(audit_rows::detail).load(conn)?)
        });
        told.expect("rows")
    }

    fn leave_a_draft_and_an_answer(&self) {
        let now = self.app.clock.now();
        let left = self.app.store.write("leave", move |conn| {
            let session = sessions::table.select(sessions::id).first(conn)?;
            set_draft(conn, b"owner", session, b"key", b"sealed", now)?;
            add_answer(conn, b"owner", "key", b"digest", "answer", now)
        });
        left.expect("a draft and an answer");
    }

    fn tidy_at(&self, after: TimeDelta) {
        self.app.clock.set(crate::house::app::story_begins() + after);
        tidy::run(&self.app).expect("tidied");
    }
}

#[test]
fn house_1_drafts_go_after_seven_days_request_keys_after_two_and_old_logins_after_thirty() {
    let house = TestApp::start();
    house.add_session("young", 4, saturday());
    house.leave_a_draft_and_an_answer();
    house.add_coordinator();
    let (old, _new) = (house.signed_in("priya@example.org"), house.signed_in("priya@example.org"));
    let number =
        |page: &str| page.split("/sign-ins/").nth(1).and_then(|rest| rest.split('/').next().map(str::to_owned));
    let listed = old.get("/sign-ins");
    let mine = number(&listed.body).expect("a login");
    old.post(&format!("/sign-ins/{mine}/end"), &[]).must_be(303);
    let second = TimeDelta::seconds(1);
    house.tidy_at(tidy::ANSWERS);
    assert_eq!(house.kept(), (1, 1, 2), "at 48 hours all is kept");
    assert_eq!(house.tidied(), Vec::<String>::new(), "nothing went, nothing is told");
    house.tidy_at(tidy::ANSWERS + second);
    assert_eq!(house.kept(), (1, 0, 2));
    house.tidy_at(tidy::DRAFTS);
    assert_eq!(house.kept(), (1, 0, 2), "at seven days the draft is kept");
    house.tidy_at(tidy::DRAFTS + second);
    assert_eq!(house.kept(), (0, 0, 2));
    house.tidy_at(tidy::SIGN_INS);
    assert_eq!(house.kept(), (0, 0, 2), "at thirty days an ended login is kept");
    house.tidy_at(TimeDelta::days(400));
    assert_eq!(house.kept(), (0, 0, 1), "the newest stays, so that its number is not given again");
    assert_eq!(
        house.tidied(),
        [
            "0 drafts, 1 request keys, 0 sign-ins, 0 links, 0 tries, 0 invitations, 0 imports",
            "1 drafts, 0 request keys, 0 sign-ins, 0 links, 0 tries, 0 invitations, 0 imports",
            "0 drafts, 0 request keys, 1 sign-ins, 0 links, 0 tries, 0 invitations, 0 imports"
        ]
    );
}

#[test]
fn house_1_a_draft_that_is_touched_again_is_kept_from_then_on_and_a_login_in_use_never_goes() {
    let house = TestApp::start();
    house.add_session("young", 4, saturday());
    house.leave_a_draft_and_an_answer();
    house.add_coordinator();
    house.app.clock.advance(TimeDelta::days(5));
    let session = house.app.store.read(|conn| Ok::<_, StoreError>(sessions::table.select(sessions::id).first(conn)?));
    let (session, now) = (session.expect("a session"), house.app.clock.now());
    house.app.store.write("touch", move |conn| set_draft(conn, b"owner", session, b"key", b"new", now)).expect("kept");
    house.tidy_at(TimeDelta::days(11));
    assert_eq!(house.kept().0, 1);
    let browser = house.signed_in("priya@example.org");
    house.signed_in("priya@example.org");
    tidy::run(&house.app).expect("tidied");
    browser.get("/sign-ins").must_be(200).must_say("2 sign-ins");
}
