//! A coordinator's desk: every act goes through the pages, as a program without a demonstration begins.

use waymark::domain::access::Role;

use crate::house::app::TestApp;
use crate::house::browser::{Answered, Browser};

/// Priya's desk in a house with no site, machine or helmet yet.
pub struct Office {
    pub house: TestApp,
    pub priya: Browser,
}

/// A form's fields with some of them changed.
pub fn changed<'a>(fields: &[(&'a str, &'a str)], changes: &[(&'a str, &'a str)]) -> Vec<(&'a str, &'a str)> {
    let kept = fields.iter().filter(|(name, _)| changes.iter().all(|(changed, _)| changed != name));
    kept.chain(changes).copied().collect()
}

/// A site in Missoula County on Mountain time.
pub const SITE: &[(&str, &str)] = &[
    ("name", "Alder Flat"),
    ("street", "12 Gravel Pit Road"),
    ("city", "Lolo"),
    ("zip", "59847"),
    ("county", "Missoula"),
    ("time_zone", "America/Denver"),
    ("most_riders", "12"),
    ("hospital", "County Hospital, Missoula, 406 555 0190"),
    ("emergency_notes", "Signal at the gate."),
    ("directions", ""),
    ("latitude", ""),
    ("longitude", ""),
];

/// The Saturday of the stories at half past eight.
pub const SESSION: &[(&str, &str)] = &[
    ("course", "young"),
    ("held_month", "6"),
    ("held_day", "13"),
    ("held_year", "2026"),
    ("starts", "8:30 AM"),
    ("minutes", "270"),
    ("language", "en"),
    ("most", ""),
];

const MACHINE: &[(&str, &str)] = &[
    ("make_model", "Brisk 70"),
    ("category", "Y-6+"),
    ("built_month", "3"),
    ("built_day", "14"),
    ("built_year", "2023"),
    ("engine_cc", "69.5"),
    ("dry_weight", "165"),
    ("seat_height", "23 5/8"),
    ("seat_to_rest", "13 1/2"),
    ("limiter", "10"),
    ("label", "there"),
];

const GRANT: &[(&str, &str)] = &[
    ("grant_code", "TF-26"),
    ("grant_name", "Trailhead Fund"),
    ("starts_month", "1"),
    ("starts_day", "1"),
    ("starts_year", "2026"),
    ("ends_month", "12"),
    ("ends_day", "31"),
    ("ends_year", "2026"),
    ("helmets_target", "150"),
];

const LOT: &[(&str, &str)] = &[
    ("lot_code", "L1"),
    ("lot_grant", "TF-26"),
    ("model", "Hollow H2"),
    ("size_label", "Youth M"),
    ("least_head", "51 cm"),
    ("most_head", "52 cm"),
    ("standard", "FMVSS 218"),
    ("made_month", "2"),
    ("made_year", "2026"),
    ("unit_cost", "42.50"),
    ("received", "60"),
];

impl Office {
    /// Nothing but Priya, who plans, Rafael, who leads, and Dewey, who helps.
    pub fn bare() -> Self {
        Self::bare_in(TestApp::start())
    }

    fn bare_in(house: TestApp) -> Self {
        house.add_coordinator();
        house.add_instructor();
        house.add_member("dewey@example.org", "Dewey", "Blackwater", &[Role::Helper]);
        let priya = house.signed_in("priya@example.org");
        Self { house, priya }
    }

    /// A site for 12, 9 machines, 60 helmets.
    pub fn furnished() -> Self {
        Self::furnished_in(TestApp::start())
    }

    /// The same in a house of the story's own settings.
    pub fn furnished_in(house: TestApp) -> Self {
        let office = Self::bare_in(house);
        office.add_site(&[]).must_be(303);
        office.add_machines(1..=9);
        office.add_helmets("60");
        office
    }

    /// Adds a site and, when it is taken, the two papers without which no session is held there.
    pub fn add_site(&self, changes: &[(&str, &str)]) -> Answered {
        let added = self.add_site_without_papers(changes);
        if added.status == 303 {
            let site = added.location().trim_end_matches("#papers").to_owned();
            for kind in ["owner_permission", "insurance"] {
                self.add_site_paper(&site, kind, ["12", "31", "2030"]).must_be(303);
            }
        }
        added
    }

    pub fn add_site_without_papers(&self, changes: &[(&str, &str)]) -> Answered {
        self.priya.submit("/sites/new", "/sites", &changed(SITE, changes))
    }

    /// Adds a paper by the site's page, valid from the beginning of the year 2026 through a day.
    pub fn add_site_paper(&self, site: &str, kind: &str, [month, day, year]: [&str; 3]) -> Answered {
        let fields = [
            ("kind", kind),
            ("from_month", "1"),
            ("from_day", "1"),
            ("from_year", "2026"),
            ("through_month", month),
            ("through_day", day),
            ("through_year", year),
        ];
        self.priya.submit(site, &format!("{site}/papers"), &fields)
    }

    pub fn add_machine(&self, changes: &[(&str, &str)]) -> Answered {
        self.priya.submit("/machines/new", "/machines", &changed(MACHINE, changes))
    }

    pub fn add_machines(&self, numbers: std::ops::RangeInclusive<u32>) {
        for number in numbers {
            self.add_machine(&[("number", &format!("{number:02}"))]).must_be(303);
        }
    }

    pub fn add_grant(&self, changes: &[(&str, &str)]) -> Answered {
        self.priya.submit("/gear/grants/new", "/gear/grants", &changed(GRANT, changes))
    }

    pub fn add_lot(&self, changes: &[(&str, &str)]) -> Answered {
        {
            let place = self.value_of("/gear/receive", "Store");
            let lot: Vec<(&str, &str)> = LOT.iter().copied().chain([("lot_place", place.as_str())]).collect();
            self.priya.submit("/gear/receive", "/gear/lots", &changed(&lot, changes))
        }
    }

    /// The address of a lot's page.
    pub fn lot(&self, code: &str) -> String {
        let body = self.priya.get("/gear").body;
        let rows = body.split("href=\"/gear/lots/").skip(1);
        let found = rows.filter_map(|rest| rest.split_once("\">")).find(|(_, rest)| rest.starts_with(code));
        format!("/gear/lots/{}", found.unwrap_or_else(|| panic!("{code} is not on the list")).0)
    }

    pub fn add_helmets(&self, count: &str) {
        self.add_grant(&[]).must_be(303);
        self.add_lot(&[("received", count)]).must_be(303);
    }

    /// The value that a form of a page sends for the choice of these words.
    pub fn value_of(&self, page: &str, words: &str) -> String {
        let body = self.priya.get(page).body;
        let option = body.split("<option ").find(|option| option.contains(words));
        let option = option.unwrap_or_else(|| panic!("{page} offers no {words}"));
        option.split("value=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("an option's value").to_owned()
    }

    /// The first field of a page whose name begins so.
    pub fn value_in(&self, page: &str, begins: &str) -> String {
        let body = self.priya.get(page).body;
        let name = body.split("name=\"").skip(1).filter_map(|rest| rest.split('"').next());
        name.into_iter().find(|name| name.starts_with(begins)).expect("a field").to_owned()
    }

    /// The account reference of a person, from the list of people.
    pub fn reference_of(&self, name: &str) -> String {
        let body = self.priya.get("/people").body;
        let links = body.split("href=\"/people/").skip(1);
        let found =
            links.map(|rest| rest.split_once("\">").expect("a link ends")).find(|(_, rest)| rest.starts_with(name));
        found.unwrap_or_else(|| panic!("{name} is not on the list")).0.to_owned()
    }

    /// Announces a session at the first site, led by Rafael with Dewey's help.
    pub fn announce(&self, changes: &[(&str, &str)]) -> Answered {
        let site = self.value_of("/season/new", "Alder Flat, Missoula");
        let lead = self.reference_of("Rafael Tso");
        let dewey = format!("duty_{}", self.reference_of("Dewey Blackwater"));
        let mut fields = vec![("site", site.as_str()), ("lead", lead.as_str()), (dewey.as_str(), "helper")];
        fields.extend_from_slice(SESSION);
        self.priya.submit("/season/new", "/season", &changed(&fields, changes))
    }

    /// Another instructor with all papers, and the field of their duty.
    pub fn add_teacher(&self, given: &str) -> String {
        let email = format!("{}@example.org", given.to_lowercase());
        self.house.add_member(&email, given, "Moreau", &[Role::Instructor]);
        format!("duty_{}", self.reference_of(given))
    }

    /// Adds a paper by the page, valid from the year 2026 through a day of it.
    pub fn add_paper(&self, name: &str, kind: &str, through: (&str, &str)) -> Answered {
        let page = format!("/people/{}", self.reference_of(name));
        let fields = [
            ("kind", kind),
            ("issued_month", "1"),
            ("issued_day", "1"),
            ("issued_year", "2026"),
            ("through_month", through.0),
            ("through_day", through.1),
            ("through_year", "2026"),
        ];
        self.priya.submit(&page, &format!("{page}/papers"), &fields)
    }

    /// The papers that a duty needs, as the program's settings say it.
    pub fn set_papers(&self, duty: &'static str, kinds: &[&str]) {
        let ticks: Vec<String> = kinds.iter().map(|kind| format!("value_{kind}")).collect();
        let fields: Vec<(&str, &str)> = ticks.iter().map(|tick| (tick.as_str(), "yes")).collect();
        self.house.person(Role::Administrator).set_program(&format!("papers_{duty}"), &fields).must_be(303);
    }

    /// SQL in the database behind the pages, for what no page of ours does.
    pub fn meanwhile(&self, sql: &'static str) {
        let run = move |conn: &mut _| waymark::store::migrations::execute(conn, sql);
        self.house.app.store.write("meanwhile", run).expect("sound SQL");
    }
}
