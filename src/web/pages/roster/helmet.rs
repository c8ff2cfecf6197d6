//! The helmet of one rider: the check of the one on the head, handing out and taking back, and the receipt on a turned page.

use std::collections::BTreeMap;

use askama::Template;

use crate::domain::gear::{HelmetCheck, SignedOn, Way};
use crate::domain::measures::Length;
use crate::domain::point_list::PointKey;
use crate::domain::words::{Lang, Word};
use crate::language;
use crate::services::Failure;
use crate::services::field_act::{self, ActIds, Wish, Wished, read_id};
use crate::services::roster::helmet::{self, HelmetPage, ReceiptPage, Unsigned};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again};
use crate::web::context::turned_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::refusal_words;

use super::acts::words;
use super::{Ask, Fields, Said, answered};

#[derive(Template)]
#[template(path = "roster/helmet.html")]
struct Show {
    page: Page,
    view: HelmetPage,
    ids: ActIds,
    errors: FieldErrors,
    typed: Fields,
}

impl Show {
    fn back(&self, anchor: &str) -> String {
        format!("/riders/{}/helmet{anchor}", self.view.line.reference)
    }
    fn has(&self, wanted: Way) -> bool {
        self.view.line.day.helmets.iter().any(|(_, way)| *way == wanted)
    }
    fn has_given(&self) -> bool {
        self.has(Way::Given)
    }
    fn has_lent(&self) -> bool {
        self.has(Way::Lent)
    }
    fn check(&self) -> Option<&HelmetCheck> {
        self.view.line.day.helmet_check.as_ref()
    }
    /// The measured head, as the start of a sentence.
    fn head(&self) -> String {
        let head = self.view.line.day.head_um.map(|um| Length::from_um(um).cm_text());
        head.map(|head| format!("The head is {head} around the brows. ")).unwrap_or_default()
    }
    fn size_is_right(&self) -> bool {
        self.check().is_some_and(|check| check.size)
    }
    fn is_comfortable(&self) -> bool {
        self.check().is_some_and(|check| check.comfortable)
    }
    /// Whether the rider has a helmet of the program's for which nobody has signed.
    fn is_unsigned(&self) -> bool {
        let day = &self.view.line.day;
        day.helmets.iter().any(|(lot, _)| !day.receipts.contains_key(lot))
    }
    /// Whether a point was right at the last look.
    fn is_right(&self, key: &str) -> bool {
        self.check().is_some_and(|check| !check.wrong.contains(&PointKey(key.to_owned())))
    }
    /// What is not right, in words.
    fn wrong(&self) -> String {
        self.check().map_or_else(String::new, |check| not_right(check, &self.view.points))
    }
}

/// What is not right with a helmet, in words.
pub(super) fn not_right(check: &HelmetCheck, points: &[(String, String, String)]) -> String {
    let mut said = Vec::new();
    if !check.size {
        said.push("size".to_owned());
    }
    let is_wrong = |(key, ..): &&(String, String, String)| check.wrong.contains(&PointKey(key.clone()));
    said.extend(points.iter().filter(is_wrong).map(|(_, title, _)| title.to_lowercase()));
    if !check.comfortable {
        said.push("the child says it is not comfortable".to_owned());
    }
    said.join(", ")
}

pub(super) async fn draw(ask: &Ask, rider: String, said: Said) -> Answer {
    let view = ask.read(move |app, caller, session| helmet::show(app, caller, session, &rider)).await?;
    let page = ask.page(format!("Helmet of {}", view.line.name), &view.head, &said);
    let Said { errors, typed } = said;
    answered(&errors.clone(), &Show { page, view, ids: ActIds::of(&ask.app), errors, typed })
}

/// The check as a form sends it: all of it right by one press, or what is right ticked.
pub(super) fn check(typed: &Fields) -> Wish {
    let lot = Some(typed.of("lot").to_owned()).filter(|lot| !lot.is_empty());
    let all = typed.of("all") == "yes";
    let is_right = |name: &str| all || typed.of(name) == "yes";
    let asked = typed.0.keys().filter_map(|name| name.strip_prefix("asked_"));
    let wrong = asked.filter(|key| !is_right(&format!("right_{key}"))).map(|key| PointKey(key.to_owned())).collect();
    Wish::HelmetCheck { lot, size: is_right("size"), wrong, comfortable: is_right("comfortable") }
}

/// A receipt that an adult signed on the sheet of the session.
pub(super) fn paper_receipt(typed: &Fields, errors: &mut FieldErrors) -> Wish {
    let name = words(typed.of("signer")).unwrap_or_default();
    if name.is_empty() {
        errors.add("signer", "Write who signed.");
    }
    Wish::Receipt { lot: typed.of("lot").to_owned(), name, on: SignedOn::Paper }
}

#[derive(Template)]
#[template(path = "roster/receipt.html")]
struct Receipt {
    page: Page,
    errors: FieldErrors,
    /// The form's address without the language.
    way: String,
    /// The staff's page of this helmet.
    back: String,
    act_id: String,
    view: ReceiptPage,
    signer: String,
    ticked: bool,
}

impl Receipt {
    fn day(&self) -> String {
        language::date_long(self.page.lang, self.view.on)
    }
    fn through(&self, helmet: &Unsigned) -> String {
        self.page.t1("receipt-through", "day", language::date_short(self.page.lang, helmet.usable_through))
    }
    fn how(&self, helmet: &Unsigned) -> String {
        self.page.t(match helmet.way {
            Way::Given => "receipt-given",
            Way::Lent => "receipt-lent",
        })
    }
}

fn page_of(ask: &Ask, lang: Lang, view: ReceiptPage, typed: &Fields, errors: FieldErrors) -> Receipt {
    let page = turned_page(&ask.request, lang, "");
    let page = page.with_errors(errors.len());
    let page = page.clone().with_title(page.t1("receipt-title", "name", &view.given));
    let back = format!("/roster/{}/riders/{}/helmet", ask.about.reference, ask.about.rider);
    Receipt {
        way: format!("/roster/{}/riders/{}/receipt", ask.about.reference, ask.about.rider),
        back,
        act_id: match typed.of("act_id") {
            "" => ActIds::of(&ask.app).draw(),
            id => id.to_owned(),
        },
        signer: typed.or("signer", view.adults.first().map_or("", String::as_str)),
        ticked: typed.of("got_it") == "yes",
        errors,
        page,
        view,
    }
}

async fn read(ask: &Ask) -> Result<ReceiptPage, Failure> {
    let rider = ask.about.rider.clone();
    ask.read(move |app, caller, session| helmet::receipt(app, caller, session, &rider)).await
}

fn language_of(ask: &Ask) -> Result<Lang, Failure> {
    Lang::from_word(&ask.about.language).ok_or(Failure::NotFound)
}

/// The page that staff turn round: what the adult signs for.
///
/// # Errors
/// `NotFound` for a rider of another session, or a language that there is not.
pub async fn receipt(ask: Ask) -> Answer {
    let lang = language_of(&ask)?;
    let view = read(&ask).await?;
    shown(&page_of(&ask, lang, view, &Fields::default(), FieldErrors::default()))
}

/// Signs for every helmet that the page showed.
///
/// # Errors
/// `NotFound` for a rider of another session, or a language that there is not; `Malformed` for what no page of ours sends.
pub async fn create_receipt(ask: Ask, Typed(fields): Typed<BTreeMap<String, String>>) -> Answer {
    let lang = language_of(&ask)?;
    let typed = Fields(fields);
    let form = read_id(typed.of("act_id")).ok_or(Trouble::Malformed)?;
    let mut errors = FieldErrors::default();
    let name = words(typed.of("signer")).unwrap_or_default();
    if name.is_empty() {
        errors.add("signer", language::say(lang, "receipt-who-missing", &[]));
    }
    if typed.of("got_it") != "yes" {
        errors.add("got_it", language::say(lang, "receipt-tick-missing", &[]));
    }
    let lots: Vec<String> = typed.0.keys().filter_map(|name| name.strip_prefix("lot_")).map(str::to_owned).collect();
    if errors.is_empty() {
        let rider = ask.about.rider.clone();
        let one = |lot: &String| Wished {
            id: field_act::derived_id(&form, lot),
            rider: Some(rider.clone()),
            meeting: None,
            wish: Wish::Receipt { lot: lot.clone(), name: name.clone(), on: SignedOn::Screen },
        };
        let wished = lots.iter().map(one).collect();
        let answers = ask.read(move |app, who, session| field_act::take(app, who, session, wished)).await?;
        for answer in answers {
            match answer {
                field_act::Answer::Taken(_) | field_act::Answer::Already => {}
                field_act::Answer::Refused(refusal) => errors.add("signer", refusal_words::words(lang, &refusal)),
                field_act::Answer::Unknown => return Err(Trouble::NotFound),
            }
        }
    }
    if errors.is_empty() {
        return Ok(go(&format!("/roster/{}/riders/{}/helmet#receipt", ask.about.reference, ask.about.rider)));
    }
    let view = read(&ask).await?;
    shown_again(&page_of(&ask, lang, view, &typed, errors))
}
