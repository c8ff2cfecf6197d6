//! The program's own questions for families: what is asked, how it was answered, a new one. Staff pages, in English.

use actix_web::{HttpRequest, web};
use askama::Template;
use serde::Deserialize;

use crate::domain::curriculum::LocalText;
use crate::domain::voluntary::{Choices, ChoicesFault, MOST_CHOICES};
use crate::services::App;
use crate::services::voluntary::{self, Counted};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{FieldErrors, Typed};
use crate::web::page::Page;
use crate::web::staff_form::Reading;

const WAY: &str = "/program/questions";

#[derive(Template)]
#[template(path = "program/questions.html")]
struct Index {
    page: Page,
    errors: FieldErrors,
    questions: Vec<Counted>,
    typed: Written,
}

/// What the form of a new question sends.
#[derive(Debug, Default, Clone, Deserialize)]
#[serde(default)]
pub struct Written {
    words_en: String,
    words_es: String,
    choices_en: String,
    choices_es: String,
}

/// Every question, and the form of a new one.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let questions = blocking(&app, move |app| voluntary::list(app, &caller)).await?;
    let page = staff_page(&request, "Voluntary questions");
    shown(&Index { page, errors: FieldErrors::default(), questions, typed: Written::default() })
}

fn read(typed: &Written) -> Result<(LocalText, Choices), FieldErrors> {
    let mut read = Reading::default();
    let en = read.line("words_en", "the question in English", &typed.words_en, 200);
    let es = read.line("words_es", "the question in Spanish", &typed.words_es, 200);
    let list_en = read.lines("choices_en", "the answers in English", &typed.choices_en, 1000);
    let list_es = read.lines("choices_es", "the answers in Spanish", &typed.choices_es, 1000);
    let choices = Choices::read(&list_en, &list_es);
    match choices {
        Ok(_) => {}
        Err(ChoicesFault::Number) => {
            read.fault("choices_en", format!("Write 2 to {MOST_CHOICES} answers, one on each line"));
        }
        Err(ChoicesFault::Unequal) => {
            read.fault("choices_es", "Write as many answers in Spanish as in English, in the same order");
        }
        Err(ChoicesFault::Twice) => read.fault("choices_en", "Write each answer once, in both languages"),
    }
    match (read.done(LocalText { en, es }), choices) {
        (Ok(words), Ok(choices)) => Ok((words, choices)),
        (Err(errors), _) => Err(errors),
        (Ok(_), Err(_)) => Err(FieldErrors::default()),
    }
}

/// Asks one more question.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(typed): Typed<Written>,
) -> Answer {
    match read(&typed) {
        Ok((words, choices)) => {
            blocking(&app, move |app| voluntary::add(app, &caller, words.clone(), choices.clone())).await?;
            Ok(go(WAY))
        }
        Err(errors) => {
            let questions = blocking(&app, move |app| voluntary::list(app, &caller)).await?;
            let page = staff_page(&request, "Voluntary questions").with_errors(errors.len());
            shown_again(&Index { page, errors, questions, typed })
        }
    }
}

/// Whether a question goes on.
#[derive(Debug, Default, Deserialize)]
#[serde(default)]
pub struct GoesOn {
    asked: String,
}

/// Stops asking a question, or asks it again.
pub async fn update(
    app: web::Data<App>,
    Asking(caller): Asking,
    question: web::Path<String>,
    Typed(typed): Typed<GoesOn>,
) -> Answer {
    let asked = match typed.asked.as_str() {
        "yes" => true,
        "no" => false,
        _ => return Err(Trouble::Malformed),
    };
    blocking(&app, move |app| voluntary::set_asked(app, &caller, &question, asked)).await?;
    Ok(go(WAY))
}
