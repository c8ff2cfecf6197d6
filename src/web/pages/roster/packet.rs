//! The forms of a session as one PDF, for a day that is run on paper: roster, signing in and out, fit, skills, helmets, weather and
//! head counts, what went wrong, emergency. In English. Decides no rule.

use super::paper::{helmet, lessons_of, letter, machine, sheet_code, staff};
use super::{Ask, words};
use crate::domain::curriculum::CheckCode;
use crate::domain::fit::{Criterion, Kind};
use crate::domain::words::Lang;
use crate::language;
use crate::services::roster::health::ContactKind;
use crate::services::roster::packet::{Binding, FormPart, FormSheet, Forms, Grid, Home, Packet, set, show};
use crate::services::roster::paper::PaperRider;
use crate::web::answer::{Answer, pdf};
use crate::web::blocking;

/// Riders on one sheet.
const RIDERS: usize = 12;
/// Rows for children who come without a place on the list yet, on a sheet that has room.
const SPARE: usize = 2;

pub(super) async fn draw(ask: &Ask) -> Answer {
    let name = format!("packet-{}.pdf", ask.about.reference);
    let packet = ask.read(show).await?;
    let bytes = blocking(&ask.app, move |_| set(&forms(&packet), packet.paper.made_at)).await?;
    Ok(pdf(&name, bytes))
}

/// What the letters of the gear mean.
const HOW_GEAR: &str = "Circle what each rider wears: H helmet, E eyes, G gloves, S long sleeves, T long trousers, B boots over the ankle. One \
                        missing: no start.";

/// Riders of one sheet with their numbers in the whole list.
type Some12<'a> = [(usize, (&'a PaperRider, &'a Home))];

fn forms(packet: &Packet) -> Forms {
    let paper = &packet.paper;
    let numbered: Vec<_> = (1..).zip(paper.riders.iter().zip(&packet.homes)).collect();
    let mut parts: Vec<&Some12> = numbered.chunks(RIDERS).collect();
    if parts.is_empty() {
        parts.push(&[]);
    }
    let of_each = |sheet: fn(&Packet, &Some12) -> FormSheet| parts.iter().map(move |part| sheet(packet, part));
    let sheets = of_each(roster)
        .chain(of_each(coming_and_going))
        .chain(of_each(fit))
        .chain(of_each(skills))
        .chain(of_each(helmets))
        .chain([weather_and_heads(packet), went_wrong(packet)])
        .chain(of_each(emergency))
        .collect();
    let binding = Binding {
        title: format!("Forms for {}, {}", paper.head.site, words::day(&paper.head.meeting.on)),
        author: packet.program.clone(),
        foot: format!(
            "Made {}, after entry {}. {}",
            language::moment(Lang::En, paper.made_at),
            paper.version,
            sheet_code(&paper.head.reference)
        ),
        page_of: ("Page".into(), "of".into()),
        identifier: format!("{}-packet-{}", paper.head.reference, paper.version),
        lang: "en",
    };
    Forms { binding, code: paper.code.clone(), sheets }
}

fn sheet(packet: &Packet, what: &str, how: &str, parts: Vec<FormPart>) -> FormSheet {
    let head = &packet.paper.head;
    let starts = head.starts.map(|at| format!(", {}", words::clock(&at))).unwrap_or_default();
    let when = format!("{}, {}{starts}.", head.site, words::day(&head.meeting.on));
    FormSheet { what: what.to_owned(), lead: format!("{when} {how}"), parts }
}

fn grid<const N: usize>(columns: [(u16, &str); N], rows: Vec<Vec<String>>, tall: u16) -> FormPart {
    let head = columns.map(|(_, head)| head.to_owned()).to_vec();
    FormPart::Grid(Grid { shares: columns.map(|(share, _)| share).to_vec(), head, rows, tall })
}

/// Rows of riders, and empty ones while the sheet has room.
fn of_riders<const N: usize>(part: &Some12, row: impl Fn(&PaperRider, &Home) -> [String; N]) -> Vec<Vec<String>> {
    let filled = part.iter().map(|(number, (rider, home))| {
        std::iter::once(number.to_string()).chain(row(rider, home)).collect::<Vec<String>>()
    });
    let spare = (RIDERS - part.len()).min(SPARE);
    filled.chain(std::iter::repeat_n(vec![String::new(); N + 1], spare)).collect()
}

fn name_and_age(rider: &PaperRider) -> String {
    format!("{}, {}", rider.line.name, rider.line.age)
}

fn roster(packet: &Packet, part: &Some12) -> FormSheet {
    let rows = of_riders(part, |rider, _| {
        let (name, phone) = &rider.call;
        [
            name_and_age(rider),
            format!("{name}\n{phone}"),
            rider.group.clone(),
            machine(rider).to_owned(),
            helmet(rider).to_owned(),
            "H E G S T B".to_owned(),
        ]
    });
    let columns =
        [(5, "No."), (22, "Rider, age"), (24, "To call"), (9, "Group"), (11, "Machine"), (12, "Helmet"), (17, "Gear")];
    let team = format!("{}. {}", staff(&packet.paper), packet.paper.head.caution);
    sheet(packet, "Roster", HOW_GEAR, vec![grid(columns, rows, 34), FormPart::Words(team)])
}

fn coming_and_going(packet: &Packet, part: &Some12) -> FormSheet {
    let rows = of_riders(part, |rider, home| {
        let not = match home.not_release.as_slice() {
            [] => String::new(),
            names => format!("\nNOT to: {}", names.join(", ")),
        };
        [
            format!("{}\nHome with: {}{not}", rider.line.name, home.may_take.join(", ")),
            String::new(),
            String::new(),
            String::new(),
            String::new(),
        ]
    });
    let columns = [
        (5, "No."),
        (38, "Rider"),
        (9, "In at"),
        (20, "Adult signs"),
        (9, "Out at"),
        (30, "Adult who takes the child: name, signature"),
    ];
    let how = "Look at a paper with a photo when you do not know the adult. A child goes home with nobody else.";
    sheet(packet, "Signing in and out", how, vec![grid(columns, rows, 44)])
}

/// One row of a table with the riders' numbers across.
fn across(first: String, part: &Some12) -> Vec<String> {
    std::iter::once(first).chain(vec![String::new(); part.len().max(1)]).collect()
}

/// Which number is which rider: it stands in the head, so that every page of the table has it.
fn who(part: &Some12) -> String {
    let named = part.iter().map(|(number, (rider, _))| format!("{number}\u{a0}{}", rider.line.name));
    named.collect::<Vec<_>>().join(", ")
}

/// A table with the riders' numbers across; `wide` is the width of a number's column where that of the words is 24.
fn by_number(part: &Some12, what: &str, rows: Vec<Vec<String>>, tall: u16, wide: u16) -> FormPart {
    let numbers: Vec<String> = match part {
        [] => vec![String::new()],
        part => part.iter().map(|(number, _)| number.to_string()).collect(),
    };
    let shares = std::iter::once(24).chain(vec![wide; numbers.len()]).collect();
    let head = std::iter::once(what.to_owned()).chain(numbers).collect();
    FormPart::Grid(Grid { shares, head, rows, tall })
}

fn fit(packet: &Packet, part: &Some12) -> FormSheet {
    let said = |criterion: &Criterion| {
        let label = criterion.label.in_lang(Lang::En);
        let limit = criterion.number.as_ref().and_then(|rule| Some(rule.limit?.text(rule.unit)));
        let limit = limit.map(|limit| format!(": {limit}")).unwrap_or_default();
        format!("{label}{limit}{}", if criterion.mandatory { " *" } else { "" })
    };
    let mut criteria: Vec<&Criterion> = packet.fit.criteria.iter().filter(|one| one.kind == Kind::SeeAndTap).collect();
    criteria.sort_by_key(|criterion| criterion.order);
    let firsts = std::iter::once("Machine no.".to_owned())
        .chain(criteria.into_iter().map(said))
        .chain(["May start: initials of who looked".to_owned()]);
    let rows = firsts.map(|first| across(first, part)).collect();
    let how = format!(
        "With the rider on the machine. M met, N not met, a number where you measured. With * every one must be met, or the rider \
         does not start. {}",
        who(part)
    );
    let first = "The machine's own age label and manual, the law, and the licensing body's rules come first. A missing measurement is \
                 never a pass.";
    let parts = vec![by_number(part, "What is looked at", rows, 31, 3), FormPart::Words(first.into())];
    sheet(packet, "Fit on the machine", &how, parts)
}

fn skills(packet: &Packet, part: &Some12) -> FormSheet {
    let mut rows = Vec::new();
    for lesson in &packet.paper.lessons {
        rows.push(vec![format!("{}. {}", lesson.number, lesson.title)]);
        for (code, title) in &lesson.checks {
            rows.push(marks(code, title, part));
        }
    }
    let how = format!("M meets, P needs practice, S stopped for safety. Empty: not tried. {}", who(part));
    let what = format!("Skills, {}", lessons_of(&packet.paper.lessons).to_lowercase());
    sheet(packet, &what, &how, vec![by_number(part, "Check", rows, 20, 2)])
}

/// A check with what stands for each rider already.
fn marks(code: &CheckCode, title: &str, part: &Some12) -> Vec<String> {
    let mut row = across(format!("{code} {title}"), part);
    for (cell, (_, (rider, _))) in row[1..].iter_mut().zip(part) {
        letter(rider, code).clone_into(cell);
    }
    row
}

fn helmets(packet: &Packet, part: &Some12) -> FormSheet {
    let rows = of_riders(part, |rider, _| {
        [rider.line.name.clone(), helmet(rider).to_owned(), String::new(), String::new(), String::new()]
    });
    let columns = [
        (5, "No."),
        (26, "Rider"),
        (16, "Lot, size"),
        (12, "Lent, given or own"),
        (12, "Checked, initials"),
        (30, "Adult got it: name, signature"),
    ];
    let how =
        "The maker's range on the label holds the head. Checked: size, points, and the child says it is comfortable.";
    sheet(packet, "Helmets and receipts", how, vec![grid(columns, rows, 44)])
}

fn weather_and_heads(packet: &Packet) -> FormSheet {
    let rule = &packet.weather;
    let limits = format!(
        "Nobody rides: heat index {} °F or more; wind chill below {} °F; gusts above {} mph; sight below {} feet; air-quality index above \
         {}; until {} minutes after the last thunder or flash. With care: heat index {} °F or more, wind chill below {} °F, air above {}.",
        rule.heat_stop,
        words::degrees(&rule.chill_stop),
        rule.gust_stop,
        rule.sight_stop,
        rule.air_stop,
        rule.thunder_minutes,
        rule.heat_care,
        words::degrees(&rule.chill_care),
        rule.air_care,
    );
    let read = [
        (10, "Time"),
        (12, "°F shade"),
        (14, "Humidity"),
        (14, "Wind, gusts"),
        (10, "Sight"),
        (8, "Air"),
        (20, "Thunder at"),
        (20, "Ride, care, stop"),
        (12, "Initials"),
    ];
    let counts = [(34, "Heads are counted"), (14, "Should be"), (14, "Counted"), (14, "Time"), (14, "Initials")];
    let lessons = packet.paper.lessons.iter().map(|lesson| format!("Before lesson {}", lesson.number));
    let moments = lessons.chain(["Out on the trail", "In from the trail", "At the end"].map(str::to_owned));
    let rows = moments.map(|moment| std::iter::once(moment).chain(vec![String::new(); 4]).collect()).collect();
    let parts = vec![
        FormPart::Words(limits),
        grid(read, vec![vec![String::new(); 9]; 7], 25),
        FormPart::Heading("Head counts. A wrong count stops everything until every child is found.".into()),
        grid(counts, rows, 21),
    ];
    sheet(packet, "Weather and head counts", "Read before the first engine, each hour, and when it changes.", parts)
}

fn went_wrong(packet: &Packet) -> FormSheet {
    let ask = |what: &str| vec![what.to_owned(), String::new()];
    let rows = [
        "Who (name, age, or what the person did here)",
        "Day and time. Where on the site",
        "What the person was doing just before, and with what gear, machine no. and helmet",
        "What happened\n\n\n\n",
        "What was hurt, and how. What hit it",
        "First aid: what, by whom, when",
        "Ambulance or doctor: called when, went where",
        "Who saw it (names, telephones)",
        "Ground, weather, light",
        "Who told the family, and when",
        "Machine and helmet set aside by",
        "Written by (name, signature, time)",
    ];
    let columns = [(30, "What is asked"), (70, "Only what was seen and heard. No guess at the cause, no blame.")];
    let parts = vec![
        FormPart::Words(
            "Hurt: call 911 first. Engines off, everybody in, count heads. Do not move whoever may have hurt neck or back. Leave the machine \
             as it lies."
                .into(),
        ),
        grid(columns, rows.map(ask).to_vec(), 44),
    ];
    sheet(packet, "What went wrong", "One sheet for each person and each thing.", parts)
}

fn emergency(packet: &Packet, part: &Some12) -> FormSheet {
    let (paper, place) = (&packet.paper, &packet.paper.place);
    let at = place.coordinates.map(|(north, east)| format!(" {north:.5}, {east:.5}.")).unwrap_or_default();
    let hospital = if place.hospital.is_empty() { "____________________" } else { &place.hospital };
    let mut parts = vec![
        FormPart::Heading("If someone is hurt: call 911 first".into()),
        FormPart::Words(format!(
            "{}, {}.{at} Nearest hospital: {hospital}. {}",
            place.name, place.address, place.notes
        )),
        FormPart::Words(format!("{}.", staff(paper))),
    ];
    let rows = of_riders(part, |rider, home| {
        let health = match (&rider.line.health, paper.head.reads_health) {
            (_, false) => String::new(),
            (Some(said), true) => said.clone(),
            (None, true) => "Nothing said".to_owned(),
        };
        [name_and_age(rider), health, calls(home)]
    });
    parts.push(grid(
        [(5, "No."), (24, "Rider, age"), (34, "What helps first"), (38, "To call, in this order")],
        rows,
        34,
    ));
    if !paper.head.reads_health {
        parts.push(FormPart::Words("Health is left out, because your duty does not include it.".into()));
    }
    sheet(packet, "Emergency", "Keep it with the first-aid kit, and burn or shred it after the day.", parts)
}

/// Whom to call, a line for each person with every number.
fn calls(home: &Home) -> String {
    let mut people: Vec<(&str, Vec<&str>)> = Vec::new();
    for one in home.contacts.iter().filter(|one| one.kinds != [ContactKind::PickUp]) {
        match people.iter_mut().find(|(name, _)| *name == one.name) {
            Some((_, phones)) => phones.push(&one.phone),
            None => people.push((&one.name, vec![&one.phone])),
        }
    }
    people.iter().map(|(name, phones)| format!("{name} {}", phones.join(", "))).collect::<Vec<_>>().join("\n")
}
