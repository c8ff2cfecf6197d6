//! Grants: the list, one grant with what it came to, its record, the reports that it asks for, and what the program brings
//! beside it.

mod form;

use actix_web::{HttpRequest, web};
use askama::Template;
use chrono::NaiveDate;
use serde::Deserialize;

use super::{day, dollars, heads, where_words};
use crate::domain::access::Caller;
use crate::domain::grant::MatchKind;
use crate::domain::refusal::Refusal;
use crate::domain::words::{Lang, Word};
use crate::services::gear::grants::{self, Brought, DueRow, MatchRow, Sheet, Standing};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::moved::Moved;
use crate::web::page::{Choice, Page};
use crate::web::refusal_words;
use crate::web::staff_form::Reading;

use form::GrantForm;

/// The address of a grant's page.
fn way(reference: &str) -> String {
    format!("/gear/grants/{reference}")
}

#[derive(Template)]
#[template(path = "gear/grants.html")]
struct List {
    page: Page,
    grants: Vec<Standing>,
}

#[derive(Template)]
#[template(path = "gear/grant_form.html")]
struct Edit {
    page: Page,
    errors: FieldErrors,
    moved: Moved,
    form: GrantForm,
    /// The counties of the state, by code.
    counties: Vec<Choice>,
    /// Where the form goes, and where "stop here" leads.
    action: String,
    back: String,
    button: &'static str,
}

#[derive(Template)]
#[template(path = "gear/grant.html")]
struct Show {
    page: Page,
    errors: FieldErrors,
    sheet: Sheet,
    typed: Said,
    kinds: Vec<Choice>,
}

/// What the forms of a grant's page send.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Said {
    due_month: String,
    due_day: String,
    due_year: String,
    due_what: String,
    done: String,
    kind: String,
    amount: String,
    on_month: String,
    on_day: String,
    on_year: String,
    brought: String,
}

fn kind_words(kind: MatchKind) -> &'static str {
    match kind {
        MatchKind::Hours => "Hours of volunteers",
        MatchKind::Miles => "Miles driven",
        MatchKind::Money => "Money",
    }
}

/// Money that may be less than nothing.
fn money(cents: &i64) -> String {
    if *cents < 0 { format!("−{}", dollars(&-cents)) } else { dollars(cents) }
}

impl Show {
    fn period(&self) -> String {
        let row = &self.sheet.standing.row;
        format!("{} to {}", day(&row.starts_on), day(&row.ends_on))
    }
    fn or_not(&self, text: &str) -> String {
        if text.is_empty() { "Not written down".to_owned() } else { text.to_owned() }
    }
    fn share(&self) -> String {
        let share = self.sheet.standing.row.federal_permille;
        share.map_or_else(|| "Not written down".to_owned(), |share| format!("{}.{} %", share / 10, share % 10))
    }
    fn cents(&self, cents: &Option<i64>) -> String {
        cents.map_or_else(|| "Not written down".to_owned(), |cents| money(&cents))
    }
    fn left(&self) -> String {
        self.cents(&self.sheet.standing.left_cents())
    }
    fn rates(&self) -> String {
        let row = &self.sheet.standing.row;
        let hour = row.hour_cents.map(|cents| format!("an hour {}", dollars(&cents)));
        let mile = row.mile_tenth_cents.map(|rate| format!("a mile {}.{} cents", rate / 10, rate % 10));
        let said: Vec<String> = [hour, mile].into_iter().flatten().collect();
        if said.is_empty() { "Not written down".to_owned() } else { said.join(", ") }
    }
    /// Who may get a helmet, in a sentence.
    fn who(&self) -> String {
        let row = &self.sheet.standing.row;
        let ages = match (row.least_age, row.most_age) {
            (Some(least), Some(most)) => format!("Children of {least} to {most}"),
            (Some(least), None) => format!("Children from {least} on"),
            (None, Some(most)) => format!("Children up to {most}"),
            (None, None) => "Children of every age".to_owned(),
        };
        let names: Vec<String> = self.sheet.counties.iter().map(|(_, name)| name.clone()).collect();
        let counties =
            if names.is_empty() { "from every county".to_owned() } else { format!("from {}", names.join(", ")) };
        let again = match row.again_after_years {
            None => "as often as they come".to_owned(),
            Some(1) => "not twice within a year".to_owned(),
            Some(years) => format!("not twice within {years} years"),
        };
        format!("{ages}, {counties}, {again}.")
    }
    fn due_words(&self, due: &DueRow) -> String {
        due.done_on.map_or_else(|| "not sent".to_owned(), |on| format!("sent {}", day(&on)))
    }
    fn amount(&self, one: &MatchRow) -> String {
        let tenths = format!("{}.{}", one.tenths / 10, one.tenths % 10);
        match one.kind {
            MatchKind::Hours => format!("{tenths} hours"),
            MatchKind::Miles => format!("{tenths} miles"),
            MatchKind::Money => dollars(&one.tenths),
        }
    }
}

/// The list.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let grants = blocking(&app, move |app| grants::list(app, &caller)).await?;
    shown(&List { page: staff_page(&request, "Grants"), grants })
}

async fn counties(app: &web::Data<App>, caller: Caller) -> Result<Vec<Choice>, Trouble> {
    let found = blocking(app, move |app| grants::counties(app, &caller)).await?;
    Ok(found.iter().map(|(code, name)| Choice::new(code, name)).collect())
}

fn new_page(request: &HttpRequest, form: GrantForm, counties: Vec<Choice>, errors: FieldErrors) -> Edit {
    let page = staff_page(request, "Add a grant").with_errors(errors.len());
    let (action, back) = ("/gear/grants".to_owned(), "/gear/grants".to_owned());
    Edit { page, errors, moved: Moved::default(), form, counties, action, back, button: "Add this grant" }
}

/// The empty form.
pub async fn new(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let counties = counties(&app, caller).await?;
    shown(&new_page(&request, GrantForm::default(), counties, FieldErrors::default()))
}

/// Adds what was typed.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<GrantForm>,
) -> Answer {
    let asks = caller.clone();
    let errors = match form.read() {
        Err(faults) => faults,
        Ok(wish) => match blocking(&app, move |app| grants::add(app, &asks, wish)).await {
            Ok(reference) => return Ok(go(&way(&reference))),
            Err(Failure::Refused(refusal)) => taken(&refusal),
            Err(other) => return Err(other.into()),
        },
    };
    shown_again(&new_page(&request, form, counties(&app, caller).await?, errors))
}

fn taken(refusal: &Refusal) -> FieldErrors {
    let mut errors = FieldErrors::default();
    errors.add("grant_code", refusal_words::words(Lang::En, refusal));
    errors
}

async fn read(app: &web::Data<App>, caller: Caller, reference: String) -> Result<Sheet, Failure> {
    blocking(app, move |app| grants::find(app, &caller, &reference)).await
}

fn edit_page(request: &HttpRequest, sheet: &Sheet, form: GrantForm, errors: FieldErrors, moved: Moved) -> Edit {
    let row = &sheet.standing.row;
    let page = staff_page(request, format!("Change the record of {}", row.name)).with_errors(errors.len());
    let counties = sheet.all_counties.iter().map(|(code, name)| Choice::new(code, name)).collect();
    let (action, back) = (format!("{}/edit", way(&row.reference)), way(&row.reference));
    Edit { page, errors, moved, form, counties, action, back, button: "Save the record" }
}

/// The form of its record.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let sheet = read(&app, caller, reference.into_inner()).await?;
    let form = GrantForm::of(&sheet);
    shown(&edit_page(&request, &sheet, form, FieldErrors::default(), Moved::default()))
}

/// Changes the record.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(form): Typed<GrantForm>,
) -> Answer {
    let reference = reference.into_inner();
    let errors = match form.read() {
        Err(faults) => faults,
        Ok(wish) => {
            let (asks, asked, seen) = (caller.clone(), reference.clone(), form.seen.clone());
            match blocking(&app, move |app| grants::change(app, &asks, &asked, &seen, wish)).await {
                Ok(reference) => return Ok(go(&way(&reference))),
                Err(Failure::Refused(Refusal::DraftMoved)) => {
                    let now = read(&app, caller, reference).await?;
                    let kept = GrantForm::of(&now);
                    let moved = Moved::between(&form.told(), kept.told());
                    let form = GrantForm { seen: kept.seen, ..form };
                    let page = edit_page(&request, &now, form, FieldErrors::default(), moved);
                    return shown_as(refusal_words::status(&Refusal::DraftMoved), &page);
                }
                Err(Failure::Refused(refusal)) => taken(&refusal),
                Err(other) => return Err(other.into()),
            }
        }
    };
    let sheet = read(&app, caller, reference).await?;
    shown_again(&edit_page(&request, &sheet, form, errors, Moved::default()))
}

fn page_of(request: &HttpRequest, sheet: Sheet, typed: Said, errors: FieldErrors) -> Show {
    let page = staff_page(request, sheet.standing.row.name.clone()).with_errors(errors.len());
    let kinds = MatchKind::ALL.iter().map(|kind| Choice::new(kind, kind_words(*kind))).collect();
    Show { page, errors, sheet, typed, kinds }
}

/// One grant.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let sheet = read(&app, caller, reference.into_inner()).await?;
    shown(&page_of(&request, sheet, Said::default(), FieldErrors::default()))
}

/// Adds a report that the grant asks for.
pub async fn add_due(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(said): Typed<Said>,
) -> Answer {
    let reference = reference.into_inner();
    let mut reading = Reading::default();
    let on = reading.day("due", [&said.due_month, &said.due_day, &said.due_year]);
    let what = reading.checked_line("due_what", "what is to be sent", &said.due_what, 120);
    let (asks, asked) = (caller.clone(), reference.clone());
    match (reading.done(()), what) {
        (Ok(()), Some(what)) => {
            let done = blocking(&app, move |app| grants::add_due(app, &asks, &asked, on, what)).await?;
            Ok(go(&way(&done)))
        }
        (faults, _) => {
            let sheet = read(&app, caller, reference).await?;
            shown_again(&page_of(&request, sheet, said, faults.err().unwrap_or_default()))
        }
    }
}

/// Notes that a report was sent, or that it was not.
pub async fn finish_due(
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<(String, i64)>,
    Typed(said): Typed<Said>,
) -> Answer {
    let (reference, number) = path.into_inner();
    let is_done = said.done == "yes";
    let done = blocking(&app, move |app| grants::finish_due(app, &caller, &reference, number, is_done)).await?;
    Ok(go(&way(&done)))
}

/// Writes down what the program brought.
pub async fn add_match(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
    Typed(said): Typed<Said>,
) -> Answer {
    let reference = reference.into_inner();
    let mut errors = FieldErrors::default();
    match said.brought() {
        Err(faults) => errors = faults,
        Ok(brought) => {
            let (asks, asked) = (caller.clone(), reference.clone());
            match blocking(&app, move |app| grants::add_match(app, &asks, &asked, brought)).await {
                Ok(done) => return Ok(go(&way(&done))),
                Err(Failure::Refused(refusal @ Refusal::DayToCome { .. })) => {
                    errors.add("on", refusal_words::words(Lang::En, &refusal));
                }
                Err(Failure::Refused(refusal)) => errors.add("kind", refusal_words::words(Lang::En, &refusal)),
                Err(other) => return Err(other.into()),
            }
        }
    }
    let sheet = read(&app, caller, reference).await?;
    shown_again(&page_of(&request, sheet, said, errors))
}

/// Takes back what was written down by mistake.
pub async fn take_back_match(app: web::Data<App>, Asking(caller): Asking, path: web::Path<(String, i64)>) -> Answer {
    let (reference, number) = path.into_inner();
    let done = blocking(&app, move |app| grants::take_back_match(app, &caller, &reference, number)).await;
    match done {
        Ok(reference) => Ok(go(&way(&reference))),
        Err(other) => Err(other.into()),
    }
}

impl Said {
    fn brought(&self) -> Result<Brought, FieldErrors> {
        let mut reading = Reading::default();
        let kind = reading.choice("kind", "what it was", &self.kind, MatchKind::Hours);
        let places = if kind == MatchKind::Money { 2 } else { 1 };
        let tenths = reading.decimal("amount", "how much", &self.amount, places, 100_000_000);
        let on: NaiveDate = reading.day("on", [&self.on_month, &self.on_day, &self.on_year]);
        let what = reading.checked_line("brought", "what it was for", &self.brought, 160);
        reading.done(())?;
        what.map(|what| Brought { kind, on, tenths, what }).ok_or_else(FieldErrors::default)
    }
}
