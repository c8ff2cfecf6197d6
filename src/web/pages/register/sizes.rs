//! The fourth step: sizes. Odd measures are asked about once; the guardian may say that they are right.

use actix_web::{HttpRequest, web};
use askama::Template;

use super::{Around, From, at_desk, desk_for, onward, step_page};
use crate::domain::measures::{Doubt, DoubtAbout};
use crate::services::App;
use crate::services::register::answers::{SizesAnswers, Step};
use crate::services::register::{Desk, Saved, save_sizes};
use crate::web::answer::{Answer, shown, shown_again};
use crate::web::family_form::told;
use crate::web::form::{Asked, FieldErrors, Typed};
use crate::web::page::{Choice, Page};

/// A measure with its "I don't know".
struct Size {
    name: &'static str,
    typed: String,
    unknown: bool,
    hint: String,
}

#[derive(Template)]
#[template(path = "register/sizes.html")]
struct Form {
    page: Page,
    around: Around,
    errors: FieldErrors,
    units: Vec<Choice>,
    chosen: String,
    sizes: Vec<Size>,
    charts: Vec<Choice>,
    chart: String,
    /// Whether odd measures wait for a yes.
    asks: bool,
}

fn form(page: Page, desk: &Desk, typed: SizesAnswers, errors: FieldErrors, from: &From) -> Form {
    let size = |name: &'static str, typed: String, unknown: &str| Size {
        name,
        typed,
        unknown: unknown == "yes",
        hint: page.t(&format!("sizes-{name}-hint")),
    };
    Form {
        around: Around::new(&page, desk, Step::Sizes, from.check()),
        units: ["us", "metric"].map(|word| Choice::new(word, page.t(&format!("sizes-{word}")))).to_vec(),
        chosen: if typed.units == "metric" { "metric".into() } else { "us".into() },
        sizes: vec![
            size("height", typed.height, &typed.height_unknown),
            size("weight", typed.weight, &typed.weight_unknown),
            size("inseam", typed.inseam, &typed.inseam_unknown),
            size("head", typed.head, &typed.head_unknown),
        ],
        charts: ["boy", "girl", "none"].map(|word| Choice::new(word, page.t(&format!("sizes-chart-{word}")))).to_vec(),
        chart: typed.chart,
        asks: false,
        errors,
        page,
    }
}

/// The form, with what was answered before.
pub async fn edit(
    request: HttpRequest,
    app: web::Data<App>,
    reference: web::Path<String>,
    Asked(from): Asked<From>,
) -> Answer {
    let desk = match desk_for(&request, &app, reference.into_inner(), Step::Sizes).await? {
        Ok(desk) => desk,
        Err(first) => return Ok(first),
    };
    let page = step_page(&request, &desk, Step::Sizes, 0);
    let typed = desk.draft.sizes.clone().unwrap_or_default();
    shown(&form(page, &desk, typed, FieldErrors::default(), &from))
}

/// Keeps the answers and leads on.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    reference: web::Path<String>,
    Typed(from): Typed<From>,
    Typed(typed): Typed<SizesAnswers>,
) -> Answer {
    let answers = typed.clone();
    let saving = at_desk(&request, &app, reference.into_inner(), Step::Sizes, |app, who, desk| {
        save_sizes(app, who, desk, answers)
    });
    let (desk, saved) = match saving.await? {
        Ok(done) => done,
        Err(first) => return Ok(first),
    };
    match saved {
        Saved::Faulty(faults) => {
            let page = step_page(&request, &desk, Step::Sizes, faults.list().len());
            let errors = told(&page, &faults);
            shown_again(&form(page, &desk, typed, errors, &from))
        }
        Saved::Doubtful(odd) => {
            let page = step_page(&request, &desk, Step::Sizes, odd.len());
            let errors = asked_about(&page, &odd);
            shown_again(&Form { asks: true, ..form(page, &desk, typed, errors, &from) })
        }
        Saved::Kept => Ok(onward(&desk.session.reference, desk.after(Step::Sizes), &from)),
    }
}

/// Each doubt as a question at its field.
fn asked_about(page: &Page, odd: &[Doubt]) -> FieldErrors {
    let mut errors = FieldErrors::default();
    for doubt in odd {
        let (field, words) = match doubt {
            Doubt::OutsideWindow(about) => (field(*about), page.t("sizes-odd")),
            Doubt::InchesTakenAsCentimetres(about, likely) => {
                (field(*about), page.t1("sizes-odd-inches", "likely", likely.inches_text()))
            }
            Doubt::CentimetresTakenAsInches(about, likely) => {
                (field(*about), page.t1("sizes-odd-centimeters", "likely", likely.cm_text()))
            }
            Doubt::PoundsTakenAsKilograms(likely) => {
                ("weight", page.t1("sizes-odd-pounds", "likely", likely.pounds_text()))
            }
            Doubt::KilogramsTakenAsPounds(likely) => {
                ("weight", page.t1("sizes-odd-kilograms", "likely", likely.kg_text()))
            }
        };
        errors.add(field, words);
    }
    errors
}

fn field(about: DoubtAbout) -> &'static str {
    match about {
        DoubtAbout::Height => "height",
        DoubtAbout::Weight => "weight",
        DoubtAbout::Inseam => "inseam",
        DoubtAbout::Head => "head",
    }
}
