//! Fills in a form until it is taken: guesses by the names of the fields, then other answers where the page says no.

use std::collections::BTreeMap;

use crate::house::browser::{Answered, unescaped};
use crate::house::crawl::Visitor;
use crate::house::forms::{Field, Form, Kind, tags};

/// Names and what is sent under them.
pub type Values = Vec<(String, String)>;

/// How often a form is tried with other answers.
const ROUNDS: usize = 12;

/// A form with the best answers that were found.
pub struct Filled {
    pub values: Values,
    pub answered: Answered,
}

impl Filled {
    /// What the page says is wrong.
    pub fn said(&self) -> String {
        let all = tags(&self.answered.body);
        let faults = all.iter().skip_while(|tag| tag.get("role") != Some("alert")).take_while(|tag| tag.name != "/div");
        let said: Vec<&str> = faults.map(|tag| tag.text.trim()).filter(|text| !text.is_empty()).collect();
        format!("{} {}", self.answered.status, said.join(" "))
    }

    /// Whether the program took it.
    pub fn is_taken(&self) -> bool {
        matches!(self.answered.status, 200 | 303)
    }
}

/// The answers of a form before anybody looked at what the program says to them.
pub fn guessed(form: &Form, number: u64) -> Values {
    let start = |field: &Field| Some((field.name.clone(), first_answer(field, number)?));
    form.fields.iter().filter(|field| field.name != "form_token").filter_map(start).collect()
}

/// Sends a form with guesses, and again with others wherever the page names a fault.
pub fn fill(visitor: &Visitor<'_>, form: &Form, number: u64) -> Filled {
    let mut values = guessed(form, number);
    let mut tries: BTreeMap<String, usize> = BTreeMap::new();
    let mut answered = visitor.send(form, &values);
    for _ in 0..ROUNDS {
        let faulty = faulty_fields(&answered);
        if answered.status != 422 || faulty.is_empty() {
            break;
        }
        let is_faulty = |name: &str| faulty.iter().any(|one| name == one || name.starts_with(&format!("{one}_")));
        let mut wrong: Vec<&Field> =
            form.fields.iter().filter(|field| field.kind != Kind::Hidden && is_faulty(&field.name)).collect();
        // What was left open comes first: of a day that is none, the month.
        let is_open = |field: &&Field| {
            !field.offers.is_empty() && !values.iter().any(|(name, value)| *name == field.name && !value.is_empty())
        };
        if wrong.iter().any(is_open) {
            wrong.retain(is_open);
        }
        for field in wrong {
            let tried = tries.entry(field.name.clone()).or_default();
            let hinted = signer(&answered).filter(|_| field.name == "signature" && *tried == 0);
            if let Some(answer) = hinted.or_else(|| other_answer(field, *tried)) {
                values.retain(|(name, _)| *name != field.name);
                values.push((field.name.clone(), answer));
            }
            *tried += 1;
        }
        answered = visitor.send(form, &values);
    }
    Filled { values, answered }
}

/// The fields at which a page shows the words of a fault.
pub fn faulty_fields(answered: &Answered) -> Vec<String> {
    let name = |id: &str| id.strip_suffix("-error").map(str::to_owned);
    tags(&answered.body).iter().filter_map(|tag| tag.get("id").and_then(name)).collect()
}

/// The name that the page asks to be typed as it stands: of the person signed in.
fn signer(answered: &Answered) -> Option<String> {
    let line = tags(&answered.body).into_iter().find(|tag| tag.text.trim().starts_with("Signed in as "))?;
    Some(unescaped(line.text.trim().trim_start_matches("Signed in as ")))
}

fn first_answer(field: &Field, number: u64) -> Option<String> {
    let shown = field.value.clone().filter(|value| !value.is_empty());
    match field.kind {
        Kind::Hidden => field.value.clone(),
        Kind::Ticked => shown,
        // A list that opens on its empty line is left so, until the page asks for more.
        Kind::Chosen if field.offers.first().is_some_and(String::is_empty) => Some(shown.unwrap_or_default()),
        Kind::Chosen => shown.or_else(|| field.offers.iter().find(|offer| !offer.is_empty()).cloned()),
        Kind::Typed | Kind::Secret => shown.or_else(|| Some(by_name(&field.name, number))),
    }
}

fn by_name(name: &str, number: u64) -> String {
    let endings: [(&str, &str); 24] = [
        ("birth_year", "2016"),
        ("through_year", "2027"),
        ("_year", "2026"),
        ("_day", "24"),
        ("email", ""),
        ("phone", "(406) 555-0163"),
        ("zip", "59601"),
        ("county", "30049"),
        ("most_riders", "12"),
        ("minutes", "270"),
        ("starts", "8:30 AM"),
        ("latitude", "46.59"),
        ("longitude", "-112.02"),
        ("engine_cc", "69.5"),
        ("dry_weight", "240 lb"),
        ("head", "54 cm"),
        ("height", "4 ft 4"),
        ("weight", "63"),
        ("inseam", "23 5/8"),
        ("cost", "42.50"),
        ("received", "8"),
        ("counted", "8"),
        ("given", "Ingrid"),
        ("family", "Lindqvist"),
    ];
    match name {
        "signature" => "Ingrid Lindqvist".into(),
        "email" => format!("larch{number}@example.org"),
        "password" => "lantern under seven larches".into(),
        "number" | "grant_code" | "lot_code" => format!("K{number}"),
        _ if name.starts_with("length") || name.starts_with("angle") => String::new(),
        _ => endings.iter().find(|(end, _)| name.ends_with(end)).map_or("Alder Flat", |(_, answer)| answer).into(),
    }
}

fn other_answer(field: &Field, tried: usize) -> Option<String> {
    const TYPED: [&str; 10] =
        ["8", "2026", "24", "8:30 AM", "54 cm", "42.50", "30049", "59601", "Chidi Okafor", "(406) 555-0118"];
    match field.kind {
        Kind::Hidden => None,
        Kind::Typed | Kind::Secret => TYPED.get(tried).map(|answer| (*answer).to_owned()),
        Kind::Ticked | Kind::Chosen => field.offers.iter().filter(|offer| !offer.is_empty()).nth(tried).cloned(),
    }
}
