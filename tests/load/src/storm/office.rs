//! Prepares the house of a storm as a program does: its own commands for data and staff, then the office's pages for the
//! site, the gear and the sessions. Nothing is written into its tables.

use std::io::Write;
use std::net::Ipv4Addr;
use std::process::{Command, Stdio};

use anyhow::{Context, bail, ensure};
use chrono::{DateTime, Datelike, Days, NaiveDate};
use totp_rs::{Builder, Secret};

use super::browser::Browser;
use super::form::Form;
use super::history::Clock;
use crate::service::Start;

/// Of the staff of the house; drawn by nobody, because the house lasts for minutes on this machine alone.
const PASSWORD: &str = "quiet lanterns over gravel";
/// Riders that an instructor of the course may teach.
const RATIO: usize = 6;

/// Makes the program and its staff, before anything is served: one who plans, and as many who teach as seats ask for.
pub fn found(start: &Start, seats: usize, clock: Clock) -> anyhow::Result<()> {
    if start.database.is_some() {
        command(start, &["doctor", "--draw-keys"], "")?;
    }
    let today = today(clock).to_string();
    command(start, &["seed", "--approved-by", "Counsel", "--approved-on", &today], "")?;
    let member = |name: &str, more: &[&str]| {
        let email = format!("{}@example.org", name.to_lowercase());
        let mut all = vec!["staff", "add", "--email", &email, "--given", name, "--phone", "406-555-0142"];
        all.extend_from_slice(more);
        command(start, &all, PASSWORD)
    };
    member("Priya", &["--role", "coordinator"])?;
    let papers: Vec<String> = ["riding", "first_aid", "background", "child_protection"]
        .iter()
        .flat_map(|kind| ["--paper".to_owned(), format!("{kind}={}", years_around(clock))])
        .collect();
    for number in 0..teachers(seats) {
        let mut more = vec!["--role", "instructor"];
        more.extend(papers.iter().map(String::as_str));
        member(&format!("Lee{}", super::letters(number)), &more)?;
    }
    Ok(())
}

fn teachers(seats: usize) -> usize {
    seats.div_ceil(RATIO).max(2)
}

fn today(clock: Clock) -> NaiveDate {
    DateTime::from_timestamp_micros(clock.now()).unwrap_or_default().date_naive()
}

fn years_around(clock: Clock) -> String {
    let today = today(clock);
    format!("{}..{}", today - Days::new(300), today + Days::new(700))
}

/// One command of the binary, with what it reads.
fn command(start: &Start, arguments: &[&str], typed: &str) -> anyhow::Result<()> {
    let mut child = Command::new(&start.binary)
        .args(arguments)
        .args(start.place())
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::piped())
        .spawn()
        .with_context(|| format!("cannot start {}", start.binary.display()))?;
    child.stdin.take().context("no way to type")?.write_all(typed.as_bytes())?;
    let ended = child.wait_with_output()?;
    ensure!(ended.status.success(), "{}: {}", arguments.join(" "), String::from_utf8_lossy(&ended.stderr));
    Ok(())
}

/// The office's browser.
struct Office(Browser);

impl Office {
    /// Fills a form of a page in, sends it and gives the way on.
    fn submit(&mut self, page: &str, action: &str, fill: impl FnOnce(&mut Form)) -> anyhow::Result<String> {
        let shown = self.0.get(page)?;
        let mut form = Form::of(&shown.body, action).with_context(|| format!("{page} has no form to {action}"))?;
        fill(&mut form);
        let answered = self.0.post(action, &form.body())?;
        if answered.status == 303 {
            return Ok(answered.location);
        }
        let faults = answered.body.split("role=\"alert\"").nth(1).and_then(|rest| rest.split("</div>").next());
        bail!("{action}: {} {}", answered.status, faults.unwrap_or_default())
    }

    fn fill(&mut self, page: &str, action: &str, answers: &[(&str, &str)]) -> anyhow::Result<String> {
        self.submit(page, action, |form| answers.iter().for_each(|(name, value)| form.set(name, *value)))
    }

    fn sign_in(&mut self, clock: Clock) -> anyhow::Result<()> {
        let way = self.fill("/sign-in", "/sign-in", &[("email", "priya@example.org"), ("password", PASSWORD)])?;
        let page = self.0.get(&way)?.body;
        let secret = page.split("class=\"code\">").nth(1).and_then(|rest| rest.split('<').next());
        let secret = secret.with_context(|| format!("{way} sets no second step up"))?.replace(' ', "");
        let code = code(&secret, clock)?;
        let form = Form::of(&page, "/sign-in/second-step").context("the second step has no form")?;
        let answered = self.0.post("/sign-in/second-step", &form.with(&[("code", &code)]).body())?;
        ensure!(answered.status == 303, "the second step is not taken: {}", answered.status);
        Ok(())
    }
}

/// The six digits that an app shows now.
fn code(secret: &str, clock: Clock) -> anyhow::Result<String> {
    let secret = Secret::try_from_base32(secret).map_err(|_| anyhow::anyhow!("{secret} is no key"))?;
    let app = Builder::new().with_secret(secret).build();
    let app = app.map_err(|_| anyhow::anyhow!("the key is too short"))?;
    Ok(app.generate(u64::try_from(clock.now() / 1_000_000)?).to_string())
}

/// Announces so many sessions of so many seats, a day each, and gives their references.
pub fn announce(start: &Start, clock: Clock, sessions: usize, seats: usize) -> anyhow::Result<Vec<String>> {
    let mut office = Office(Browser::new(Ipv4Addr::LOCALHOST, start.address));
    office.sign_in(clock)?;
    let seats_text = seats.to_string();
    let site = site(&mut office, clock, &seats_text)?;
    machines(&mut office, seats)?;
    helmets(&mut office, clock, sessions * seats)?;
    let mut found = Vec::new();
    for number in 0..sessions {
        let on = today(clock) + Days::new(30 + u64::try_from(number)?);
        let way = office.submit("/season/new", "/season", |form| {
            let leads = form.offers("lead");
            form.set("lead", leads.first().cloned().unwrap_or_default());
            leads.iter().skip(1).for_each(|member| form.set(&format!("duty_{member}"), "instructor"));
            set_day(form, "held", on);
            form.set("course", "older");
            form.set("site", site.as_str());
            form.set("starts", "9:00 AM");
            form.set("minutes", "240");
            form.set("most", seats_text.as_str());
        })?;
        found.push(way.trim_start_matches("/season/").to_owned());
    }
    Ok(found)
}

fn set_day(form: &mut Form, stem: &str, day: NaiveDate) {
    form.set(&format!("{stem}_month"), day.month().to_string());
    form.set(&format!("{stem}_day"), day.day().to_string());
    form.set(&format!("{stem}_year"), day.year().to_string());
}

/// A site with its papers; gives its reference.
fn site(office: &mut Office, clock: Clock, seats: &str) -> anyhow::Result<String> {
    let way = office.fill(
        "/sites/new",
        "/sites",
        &[
            ("name", "Gravel Pit"),
            ("street", "12 Quarry Road"),
            ("city", "Helena"),
            ("zip", "59601"),
            ("county", "30049"),
            ("most_riders", seats),
            ("hospital", "St. Anna, (406) 555-0190"),
            ("emergency_notes", "The gate is open."),
            ("directions", "From Helena north to the gravel lot."),
        ],
    )?;
    let page = way.split('#').next().unwrap_or_default().to_owned();
    for kind in ["owner_permission", "insurance"] {
        office.submit(&page, &format!("{page}/papers"), |form| {
            form.set("kind", kind);
            set_day(form, "from", today(clock) - Days::new(300));
            set_day(form, "through", today(clock) + Days::new(700));
        })?;
    }
    Ok(page.trim_start_matches("/sites/").to_owned())
}

/// One machine for each seat.
fn machines(office: &mut Office, seats: usize) -> anyhow::Result<()> {
    for number in 1..=seats {
        let number = number.to_string();
        let answers = [
            ("number", number.as_str()),
            ("make_model", "Trail 110"),
            ("category", "Y-10+"),
            ("label", "there"),
            ("built_month", "3"),
            ("built_day", "1"),
            ("built_year", "2023"),
            ("engine_cc", "110"),
            ("dry_weight", "245"),
            ("seat_height", "27"),
            ("seat_to_rest", "15"),
            ("limiter", "15"),
        ];
        office.fill("/machines/new", "/machines", &answers)?;
    }
    Ok(())
}

/// A helmet for each seat of every session.
fn helmets(office: &mut Office, clock: Clock, count: usize) -> anyhow::Result<()> {
    let count = count.to_string();
    office.submit("/gear/grants/new", "/gear/grants", |form| {
        form.set("grant_code", "G1");
        form.set("grant_name", "Helmets for all");
        set_day(form, "starts", today(clock) - Days::new(300));
        set_day(form, "ends", today(clock) + Days::new(700));
        form.set("helmets_target", "0");
    })?;
    let year = today(clock).year().to_string();
    let answers = [
        ("lot_code", "L1"),
        ("lot_grant", "G1"),
        ("model", "Trail Youth"),
        ("size_label", "M"),
        ("least_head", "20"),
        ("most_head", "22"),
        ("standard", "DOT FMVSS No. 218"),
        ("made_month", "1"),
        ("made_year", year.as_str()),
        ("unit_cost", "80"),
        ("received", count.as_str()),
    ];
    office.fill("/gear/receive", "/gear/lots", &answers).map(|_| ())
}
