//! The last step: the answers once more, each with a way to change it, the consent, the signature and the button.

use std::collections::BTreeMap;

use actix_web::{HttpRequest, web};
use askama::Template;

use super::{Around, desk_for, path, refused, step_page, visitor};
use crate::domain::measures::{Length, Mass};
use crate::domain::proof::ProofAnswer;
use crate::domain::registration::DayAdult;
use crate::domain::words::{Phone, Word};
use crate::language;
use crate::services::App;
use crate::services::register::answers::Step;
use crate::services::register::{Desk, Finished, Signing, Summary, register, summary};
use crate::services::sign_in::Token;
use crate::services::voluntary::VoluntaryQuestion;
use crate::web::answer::{Answer, go, shown, shown_again};
use crate::web::consent_form::{self, ConsentForm};
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::{Choice, Page};
use crate::web::{blocking, context};

/// One answer with the step that changes it.
struct Line {
    label: String,
    words: Vec<String>,
    href: String,
}

#[derive(Template)]
#[template(path = "register/check.html")]
struct Check {
    page: Page,
    around: Around,
    errors: FieldErrors,
    given: String,
    name: String,
    rider: Vec<Line>,
    adults: Vec<Line>,
    caution: String,
    source: String,
    ride: ConsentForm,
    photo: Option<ConsentForm>,
    /// What the earlier part is called; empty when the course asks for none.
    earlier_part: String,
    proof_hint: String,
    proof: String,
    proof_answers: Vec<Choice>,
    signature: String,
    signer: String,
    email: String,
    key: String,
}

/// The answers to check, and the text to sign.
pub async fn edit(request: HttpRequest, app: web::Data<App>, reference: web::Path<String>) -> Answer {
    let desk = match desk_for(&request, &app, reference.into_inner(), Step::Check).await? {
        Ok(desk) => desk,
        Err(first) => return Ok(first),
    };
    let page = step_page(&request, &desk, Step::Check, 0);
    let signing = Signing { key: app.random.reference(), ..Signing::default() };
    match checked(page, &desk, &signing, FieldErrors::default()) {
        Ok(page) => shown(&page),
        Err(first) => Ok(go(&path(&desk.session.reference, first))),
    }
}

fn checked(page: Page, desk: &Desk, signing: &Signing, errors: FieldErrors) -> Result<Check, Step> {
    let answers = summary(desk)?;
    let sentence = desk.ride.text.caution.clone().unwrap_or_default();
    Ok(Check {
        around: Around::new(&page, desk, Step::Check, false),
        given: answers.rider_given.clone(),
        name: answers.rider_name.clone(),
        rider: rider_lines(&page, desk, &answers),
        adults: adult_lines(&page, desk, &answers),
        caution: sentence,
        source: desk.caution.source.clone().unwrap_or_default(),
        ride: ConsentForm::new(&desk.ride, "ride", &signing.ticks),
        photo: desk.photo.as_ref().map(|photo| ConsentForm::new(photo, "photo", &signing.photo_ticks)),
        earlier_part: desk.session.earlier_part(page.lang).unwrap_or_default().to_owned(),
        proof_hint: page.t(if desk.session.needs_proof { "check-proof-needed" } else { "check-proof-asked" }),
        proof: signing.proof.clone(),
        proof_answers: proof_answers(&page),
        signature: signing.signature.clone(),
        signer: answers.guardian_name,
        email: answers.guardian_email,
        key: signing.key.clone(),
        errors,
        page,
    })
}

/// "Done", "not yet" and "I bring the paper", in the page's language.
fn proof_answers(page: &Page) -> Vec<Choice> {
    let choice = |answer: &ProofAnswer| Choice::new(answer, page.t(&format!("check-proof-{}", key_of(*answer))));
    ProofAnswer::ALL.iter().map(choice).collect()
}

/// The word of an answer as messages are named.
fn key_of(answer: ProofAnswer) -> String {
    answer.as_str().replace('_', "-")
}

fn rider_lines(page: &Page, desk: &Desk, answers: &Summary) -> Vec<Line> {
    let line = |key: &str, step: Step, words: Vec<String>| Line {
        label: page.t(key),
        words,
        href: format!("{}?from=check", path(&desk.session.reference, step)),
    };
    let born = page.t2(
        "check-birth",
        "date",
        language::date_short(page.lang, answers.birth_date),
        "age",
        answers.age_on_the_day,
    );
    let county = page.t1("session-county", "county", &answers.county);
    let ridden = page.t(&format!("rider-ridden-{}", answers.ridden));
    let mut lines = vec![
        line("check-name", Step::Rider, vec![answers.rider_name.clone()]),
        line("check-birth-label", Step::Rider, vec![born]),
        line("check-county", Step::Rider, vec![county]),
        line("rider-ridden", Step::Rider, vec![ridden]),
        line("check-health", Step::Health, health_words(page, answers)),
        line("check-sizes", Step::Sizes, size_words(page, answers)),
    ];
    if !answers.paper_name.is_empty() {
        lines.insert(1, line("rider-paper-name", Step::Rider, vec![answers.paper_name.clone()]));
    }
    if !desk.questions.is_empty() {
        lines.push(line("check-questions", Step::Questions, question_words(page, desk)));
    }
    lines
}

fn health_words(page: &Page, answers: &Summary) -> Vec<String> {
    let note = &answers.health;
    let mut words: Vec<String> =
        note.conditions.iter().map(|condition| page.t(&format!("health-{condition}"))).collect();
    if words.is_empty() {
        words.push(page.t(&format!("check-health-{}", note.any)));
    }
    let more = [
        ("check-allergy", &note.allergy),
        ("check-injector-where", &note.injector_where),
        ("check-medicine-what", &note.medicine_what),
        ("check-needs", &note.needs),
        ("check-more", &note.more),
    ];
    words
        .extend(more.iter().filter(|(_, said)| !said.is_empty()).map(|(key, said)| format!("{}: {said}", page.t(key))));
    words.push(page.t(&format!("check-injector-{}", note.injector)));
    words.push(page.t(&format!("check-medicine-{}", note.medicine)));
    words
}

/// Each of the program's own questions with its answer.
fn question_words(page: &Page, desk: &Desk) -> Vec<String> {
    let answered = desk.draft.questions.clone().unwrap_or_default();
    let one = |question: &VoluntaryQuestion| {
        let typed = answered.get(&question.reference).map_or("", String::as_str);
        let number = question.choices.answer(typed).flatten().and_then(|number| usize::try_from(number - 1).ok());
        let choice = number.and_then(|number| question.choices.list().get(number));
        let words = choice.map_or_else(|| page.t("questions-none"), |choice| choice.in_lang(page.lang).to_owned());
        format!("{} {words}", question.words.in_lang(page.lang))
    };
    desk.questions.iter().map(one).collect()
}

fn size_words(page: &Page, answers: &Summary) -> Vec<String> {
    let m = &answers.measures;
    let unknown = || page.t("register-unknown");
    let length = |length: Option<Length>| {
        length.map_or_else(unknown, |length| format!("{} ({})", length.inches_text(), length.cm_text()))
    };
    let mass =
        |mass: Option<Mass>| mass.map_or_else(unknown, |mass| format!("{} ({})", mass.pounds_text(), mass.kg_text()));
    [
        ("sizes-height", length(m.height)),
        ("sizes-weight", mass(m.weight)),
        ("sizes-inseam", length(m.inseam)),
        ("sizes-head", length(m.head)),
    ]
    .map(|(key, size)| format!("{}: {size}", page.t(key)))
    .to_vec()
}

fn adult_lines(page: &Page, desk: &Desk, answers: &Summary) -> Vec<Line> {
    let href = format!("{}?from=check", path(&desk.session.reference, Step::Adults));
    let line = |key: &str, words: Vec<String>| Line { label: page.t(key), words, href: href.clone() };
    let people = |kind: &str| -> Vec<String> {
        let told = answers.contacts.iter().filter(|contact| contact.kind == kind);
        told.map(|contact| match contact.phone.is_empty() {
            true => contact.name.clone(),
            false => format!("{}, {}", contact.name, Phone::shown(&contact.phone)),
        })
        .collect()
    };
    let guardian = vec![format!("{}, {}", answers.guardian_name, Phone::shown(&answers.guardian_phone))];
    let mut lines = vec![
        line("check-guardian", guardian),
        line("check-email", vec![answers.guardian_email.clone()]),
        line("check-emergency", people("emergency")),
    ];
    if desk.day_adult != DayAdult::Unasked {
        let found = people("on_the_day");
        lines.insert(2, line("check-day-adult", if found.is_empty() { vec![page.t("check-day-open")] } else { found }));
    }
    for (key, kind) in [("check-pick-up", "pick_up"), ("check-not-release", "not_release")] {
        let found = people(kind);
        let none = vec![page.t("check-nobody")];
        lines.push(line(key, if found.is_empty() { none } else { found }));
    }
    lines
}

/// The signature as the form sends it: one field for each clause.
fn signing(fields: &BTreeMap<String, String>) -> Signing {
    let text = |name: &str| fields.get(name).cloned().unwrap_or_default();
    Signing {
        key: text("key"),
        ride_hash: text("ride_hash"),
        photo_hash: text("photo_hash"),
        ticks: consent_form::ticks(fields, "ride"),
        photo_ticks: consent_form::ticks(fields, "photo"),
        signature: text("signature"),
        proof: text("proof"),
    }
}

/// Registers the child, and leads to the receipt. A repeat leads to the same one.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    reference: web::Path<String>,
    Typed(fields): Typed<BTreeMap<String, String>>,
) -> Answer {
    let reference = reference.into_inner();
    let (who, asked, signing) = (visitor(&request), reference.clone(), signing(&fields));
    let sent = signing.clone();
    match blocking(&app, move |app| register(app, &who, &asked, &sent)).await {
        Ok(Finished::Registered { reference, token }) => receipt(&request, &reference, token.as_ref()),
        Ok(Finished::Missing(step)) => Ok(go(&path(&reference, step))),
        Ok(Finished::Faulty(faults)) => {
            let desk = match desk_for(&request, &app, reference, Step::Check).await? {
                Ok(desk) => desk,
                Err(first) => return Ok(first),
            };
            let page = step_page(&request, &desk, Step::Check, faults.list().len());
            let texts = [("ride", Some(&desk.ride.text)), ("photo", desk.photo.as_ref().map(|photo| &photo.text))];
            let errors = consent_form::errors(&page, &texts, &faults);
            match checked(page, &desk, &signing, errors) {
                Ok(page) => shown_again(&page),
                Err(first) => Ok(go(&path(&desk.session.reference, first))),
            }
        }
        Err(failure) => refused(&request, &reference, failure),
    }
}

/// The way to the receipt; a new guardian is signed in on it.
fn receipt(request: &HttpRequest, reference: &str, token: Option<&Token>) -> Answer {
    let way = format!("/registrations/{reference}");
    token.map_or_else(|| Ok(go(&way)), |token| context::signed_in(request, token, &way))
}
