//! A Saturday on the field: a session of today with its staff, a registered rider, machines and helmets, and the taps
//! that an instructor makes.

use chrono::NaiveDate;
use diesel::prelude::*;
use waymark::domain::access::{Duty, Role};
use waymark::domain::curriculum::Curriculum;
use waymark::domain::fit::FitRules;
use waymark::domain::machine::record::LabelSeen;
use waymark::domain::point_list::PointList;
use waymark::store::StoreError;
use waymark::store::connection::AnyConn;
use waymark::store::gear::{NewLot, add_lot};
use waymark::store::gear_stock::list_stock;
use waymark::store::grants::{GrantFacts, add_grant};
use waymark::store::machines::{MachineFacts, add_machine};
use waymark::store::schema::{accounts, acts, session_staff};
use waymark::store::sessions::find_session;

use super::app::{TestApp, saturday};
use super::browser::{Answered, Browser, field_value};
use super::people::Member;
use super::saturday::shelve;
use super::season::rider;

/// The session of a Saturday, with Zoë registered and Rafael leading it.
pub struct Field {
    pub session: String,
    pub zoe: String,
    pub lead: Browser,
    /// Account references of Rafael, who leads, and Dewey, who helps.
    pub team: [String; 2],
}

impl TestApp {
    /// Reads the database itself.
    pub fn rows<T>(&self, work: impl FnOnce(&mut AnyConn) -> QueryResult<T>) -> T {
        self.app.store.read(|conn| work(conn).map_err(StoreError::from)).expect("a read")
    }

    /// Puts a member on a session.
    pub fn put_on(&self, session: &str, member: Member, duty: Duty) {
        let session = session.to_owned();
        let put = move |conn: &mut AnyConn| {
            let view = find_session(conn, &session)?.expect("a session");
            let row = (
                session_staff::session_id.eq(view.session.id),
                session_staff::staff_id.eq(member.staff),
                session_staff::duty.eq(duty),
            );
            diesel::insert_into(session_staff::table).values(row).execute(conn)?;
            Ok::<_, StoreError>(())
        };
        self.app.store.write("put on session", put).expect("a duty");
    }

    /// A machine of the fleet, 20 inches from seat to rests.
    pub fn add_atv(&self, number: &str, category: &str, state: &str) {
        let new = MachineFacts {
            number: number.into(),
            make_model: "Alder 70".into(),
            serial: String::new(),
            seats: None,
            category: category.into(),
            built_on: NaiveDate::from_ymd_opt(2023, 3, 1).expect("a day"),
            engine_cc_tenths: 690,
            dry_weight_g: 110_000,
            seat_height_um: 650_000,
            seat_to_rest_um: 430_000,
            grip_to_lever_um: None,
            rest_to_pedal_um: None,
            limiter_tenths_mph: Some(100),
            limiter_set_on: None,
            limiter_set_by: String::new(),
            tire_front_tenths_psi: None,
            tire_rear_tenths_psi: None,
            label: LabelSeen::There,
        };
        let (reference, state) = (format!("atv{number}"), state.to_owned());
        let add = move |conn: &mut AnyConn| add_machine(conn, &new, &reference, &state);
        self.app.store.write("add machine", add).expect("a machine");
    }

    /// A lot of helmets for heads of 54 to 56 cm, made in a month of this year.
    pub fn add_lot_of(&self, code: &str, on_hand: i64, made: NaiveDate) {
        let code = code.to_owned();
        let day = |month, day| NaiveDate::from_ymd_opt(2026, month, day).expect("a day");
        let add = move |conn: &mut AnyConn| {
            let facts = GrantFacts::named(&format!("G-{code}"), "Trailhead Fund", (day(1, 1), day(12, 31)), 150);
            let grant_id = add_grant(conn, &format!("grant{code}"), &facts)?;
            let new = NewLot {
                reference: format!("lot{code}"),
                code: code.clone(),
                grant_id,
                model: "Alder shell".into(),
                size_label: "M".into(),
                least_head_um: 540_000,
                most_head_um: 560_000,
                standard: "DOT".into(),
                made_month: made,
                unit_cost_cents: 4_200,
                received: on_hand,
                received_on: None,
            };
            let id = add_lot(conn, &new)?;
            shelve(conn, id, on_hand)
        };
        self.app.store.write("add lot", add).expect("a lot");
    }

    /// Helmets on all shelves and out with sessions.
    pub fn helmets_on_hand(&self) -> i64 {
        self.app.store.read(list_stock).expect("the stock").iter().map(|one| one.count).sum()
    }

    /// The Saturday at 8:40 AM: the lead and a helper are on the riding area, nothing else is done.
    pub fn field_day(&self) -> Field {
        let field = self.field_at_dawn();
        for member in &field.team {
            field.area(self, &field.lead, member, true).must_be(303);
        }
        field
    }

    /// The same, with nobody on the riding area yet.
    pub fn field_at_dawn(&self) -> Field {
        let session = self.add_session("young", 6, saturday());
        let rafael = self.add_instructor();
        self.put_on(&session, rafael, Duty::Lead);
        let dewey = self.add_member("dewey@example.org", "Dewey", "Blackwater", &[Role::Helper]);
        self.put_on(&session, dewey, Duty::Helper);
        let receipt = self.stranger().register(&session, &rider(), "ingrid@example.org");
        self.confirm("ingrid@example.org");
        let zoe = receipt.rsplit('/').next().expect("a reference").to_owned();
        self.app.clock.set("2026-06-13T14:40:00".parse().expect("an instant"));
        self.add_atv("4", "Y-6+", "ready");
        let lead = self.signed_in("rafael@example.org");
        let team = [self.reference_of("rafael@example.org"), self.reference_of("dewey@example.org")];
        Field { session, zoe, lead, team }
    }

    /// The public reference of an account.
    pub fn reference_of(&self, email: &str) -> String {
        self.rows(|conn| accounts::table.filter(accounts::email.eq(email)).select(accounts::reference).first(conn))
    }

    /// One more member of this session's staff, signed in.
    pub fn staff_of(&self, field: &Field, given: &str, role: Role, duty: Duty) -> Browser {
        let email = format!("{}@example.org", given.to_lowercase());
        let member = self.add_member(&email, given, "Ward", &[role]);
        self.put_on(&field.session, member, duty);
        self.signed_in(&email)
    }

    /// A second rider in the session; gives the registration's reference.
    pub fn second_rider(&self, field: &Field, email: &str) -> String {
        let now = self.app.clock.now();
        self.app.clock.set(super::app::story_begins());
        let receipt = self.stranger().register(&field.session, &rider(), email);
        self.confirm(email);
        self.app.clock.set(now);
        receipt.rsplit('/').next().expect("a reference").to_owned()
    }

    /// How many acts of a kind are kept.
    pub fn acts_kept(&self, kind: &str) -> i64 {
        self.rows(|conn| acts::table.filter(acts::kind.eq(kind)).count().get_result(conn))
    }

    /// A one-time id, as a page of ours would carry it.
    pub fn act_id(&self) -> String {
        self.app.random.uuid_v7(self.app.clock.now()).simple().to_string()
    }
}

impl Field {
    /// A page of the session.
    pub fn at(&self, below: &str) -> String {
        format!("/roster/{}{below}", self.session)
    }

    /// The page of a rider's day.
    pub fn of_zoe(&self, below: &str) -> String {
        self.at(&format!("/riders/{}{below}", self.zoe))
    }

    /// Says from the roster that somebody came onto the riding area or left it.
    pub fn area(&self, house: &TestApp, who: &Browser, member: &str, on: bool) -> Answered {
        let on = if on { "yes" } else { "no" };
        self.act(house, who, "area", &[("member", member), ("on", on), ("back", "#guard")])
    }

    /// Sends one act about no rider, from the page of the riding area.
    pub fn act(&self, house: &TestApp, who: &Browser, kind: &str, fields: &[(&str, &str)]) -> Answered {
        let id = house.act_id();
        let mut all = vec![("act", kind), ("act_id", id.as_str()), ("back", "/area#guard")];
        all.retain(|(name, _)| !fields.iter().any(|(other, _)| other == name));
        all.extend_from_slice(fields);
        who.submit(&self.at(""), &self.at("/acts"), &all)
    }

    /// Sends one act about Zoë from her page.
    pub fn tap(&self, house: &TestApp, who: &Browser, kind: &str, fields: &[(&str, &str)]) -> Answered {
        self.tap_about(house, who, &self.zoe, kind, fields)
    }

    /// Sends one act about a rider from that rider's page.
    pub fn tap_about(
        &self,
        house: &TestApp,
        who: &Browser,
        rider: &str,
        kind: &str,
        fields: &[(&str, &str)],
    ) -> Answered {
        let (id, back) = (house.act_id(), format!("/riders/{rider}"));
        let mut all = vec![("act", kind), ("act_id", id.as_str()), ("rider", rider), ("back", back.as_str())];
        all.retain(|(name, _)| !fields.iter().any(|(other, _)| other == name));
        all.extend_from_slice(fields);
        who.submit(&self.at(""), &self.at("/acts"), &all)
    }

    /// Presses the undo that a page offers.
    pub fn press_undo(&self, who: &Browser, page: &Answered) -> Answered {
        let form = page.body.split("class=\"undo\"").nth(1).and_then(|rest| rest.split("</form>").next());
        let form = form.unwrap_or_else(|| panic!("no undo on the page: {}", page.words()));
        let value = |name: &str| field_value(form, name).unwrap_or_else(|| panic!("{name}: {form}"));
        let (id, of, back) = (value("act_id"), value("of"), value("back").replace("&#35;", "#"));
        who.post(&self.at("/acts"), &[("act", "undo"), ("act_id", &id), ("of", &of), ("back", &back)])
    }

    /// Signs the day list with every point looked at, and looks machine 4 over, unless it was done before.
    #[track_caller]
    pub fn sign_day_list(&self, house: &TestApp) {
        if house.acts_kept("day_list") == 0 {
            self.look_over(&self.lead, &[], true).must_be(303);
        }
        if house.acts_kept("look_over") == 0 {
            self.look_over_machine(house, &self.lead, "4", &[]).must_be(303);
        }
    }

    /// Looks a machine over, with every point right but for what `wrong` says.
    pub fn look_over_machine(&self, house: &TestApp, who: &Browser, number: &str, wrong: &[(&str, &str)]) -> Answered {
        let (machine, id) = (format!("atv{number}"), house.act_id());
        let page = format!("/machines/{machine}");
        let mut fields = vec![("act", "look_over"), ("act_id", id.as_str()), ("machine", machine.as_str())];
        fields.extend([("back", page.as_str())]);
        fields.extend_from_slice(wrong);
        who.submit(&self.at(&page), &self.at("/acts"), &fields)
    }

    /// Sends the day list with every point looked at and right, but for what `changed` says.
    pub fn look_over(&self, who: &Browser, changed: &[(&str, &str)], signs: bool) -> Answered {
        let page = who.get(&self.at("/day-list"));
        let list: PointList = toml::from_str(include_str!("../../../seed/day_list.toml")).expect("the shipped list");
        let names: Vec<String> = list.points().iter().map(|point| format!("point_{}", point.key.0)).collect();
        let [id, seen, plan] = ["act_id", "seen", "plan"].map(|name| page.field(name).expect("the day list's form"));
        let mut fields =
            vec![("act", "day_list"), ("act_id", &id), ("back", "/day-list"), ("seen", &seen), ("plan", &plan)];
        fields.extend(names.iter().map(|name| (name.as_str(), "right")));
        fields.extend(signs.then_some([("sign", "yes"), ("plan_read", "yes")]).into_iter().flatten());
        fields.retain(|(name, _)| !changed.iter().any(|(other, _)| other == name));
        fields.extend(changed.iter().filter(|(_, value)| !value.is_empty()));
        who.post(&self.at("/acts"), &fields)
    }

    /// Checked in, in full gear, every mandatory criterion seen to be met on machine 4.
    #[track_caller]
    pub fn make_ready(&self, house: &TestApp) {
        self.sign_day_list(house);
        self.tap(house, &self.lead, "check_in", &[]).must_be(303);
        self.tap(house, &self.lead, "gear", &[("all", "yes")]).must_be(303);
        self.tap(house, &self.lead, "helmet_check", &[("all", "yes")]).must_be(303);
        self.fit(house, &self.lead, &[]).must_be(303);
    }

    /// A fit check on machine 4 with every criterion tapped as met, but for what `changed` says.
    pub fn fit(&self, house: &TestApp, who: &Browser, changed: &[(&str, &str)]) -> Answered {
        let rules: FitRules = toml::from_str(include_str!("../../../seed/fit.toml")).expect("the shipped rules");
        let names: Vec<String> = rules.criteria.iter().map(|one| format!("seen_{}", one.key.as_str())).collect();
        let mut fields: Vec<(&str, &str)> = vec![("machine", "4")];
        fields.extend(names.iter().filter(|name| *name != "seen_weight_ratio").map(|name| (name.as_str(), "met")));
        fields.retain(|(name, _)| !changed.iter().any(|(other, _)| other == name));
        fields.extend_from_slice(changed);
        let back = format!("/riders/{}/fit/4#verdict", self.zoe);
        fields.push(("back", &back));
        self.tap(house, who, "fit", &fields)
    }

    /// Marks every check of every lesson as met.
    #[track_caller]
    pub fn pass_every_check(&self, house: &TestApp) {
        self.sign_day_list(house);
        let text = include_str!("../../../seed/curriculum.toml");
        let curriculum: Curriculum = toml::from_str(text).expect("the shipped curriculum");
        for lesson in curriculum.lessons() {
            if lesson.whole_lesson_marks {
                self.pass_lessons(house, lesson.number..=lesson.number);
                continue;
            }
            for check in &lesson.checks {
                let code = check.code.to_string();
                self.tap(house, &self.lead, "mark", &[("check", &code), ("mark", "meets")]).must_be(303);
            }
        }
    }

    /// Marks whole lessons as met.
    #[track_caller]
    pub fn pass_lessons(&self, house: &TestApp, lessons: std::ops::RangeInclusive<u16>) {
        self.sign_day_list(house);
        for lesson in lessons {
            let number = lesson.to_string();
            let fields = [("lesson", number.as_str()), ("mark", "meets")];
            self.tap(house, &self.lead, "lesson_marks", &fields).must_be(303);
        }
    }
}
