//! What instructors teach from: all lessons with the talks and the numbers, one lesson with its drawings, and cards to print. Staff
//! pages in English; the words of a lesson in the language that is taught.

use actix_web::{HttpRequest, web};
use askama::Template;

use crate::domain::cautions::CautionKey;
use crate::domain::curriculum::{Lesson, LessonShown};
use crate::domain::riding::{FOOT, Ground, MPH, braking, percent, stopping};
use crate::domain::words::{Lang, Word};
use crate::services::teaching::{self, Teaching};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Asked, WordsIn};
use crate::web::page::Page;
use crate::web::setup_drawing::{Drawing, Shape, drawing};

/// Speeds of the table, in miles an hour: those of limited youth machines.
const SPEEDS: [i64; 3] = [5, 10, 15];
/// Slopes of the table, in degrees.
const SLOPES: [i64; 4] = [0, 5, 10, 15];

fn way(version: i64) -> String {
    format!("/teaching/{version}")
}

#[derive(Template)]
#[template(path = "teaching/index.html")]
struct Index {
    page: Page,
    teaching: Teaching,
}

impl Index {
    fn way(&self) -> String {
        way(self.teaching.curriculum.version)
    }
    fn grounds(&self) -> Vec<&'static str> {
        Ground::ALL.iter().map(|ground| ground_words(*ground)).collect()
    }
    fn grip(&self, nth: usize) -> String {
        Ground::ALL.get(nth).map(|ground| self.teaching.riding.grip(*ground).to_string()).unwrap_or_default()
    }
    fn reaction(&self) -> f64 {
        self.teaching.riding.reaction()
    }
    /// Each speed with the stopping distance on each ground.
    fn stopping(&self) -> Vec<(String, Vec<(String, String)>)> {
        let rule = &self.teaching.riding;
        let cell = |mph: i64, ground: Ground| {
            let speed = mph as f64 * MPH;
            let whole = stopping(speed, rule.reaction(), rule.grip(ground), 0.0);
            let alone = braking(speed, rule.grip(ground), 0.0);
            (distance(whole), distance(alone))
        };
        let row = |mph: &i64| {
            let cells = Ground::ALL.iter().map(|ground| cell(*mph, *ground)).collect();
            (format!("{mph} mph"), cells)
        };
        SPEEDS.iter().map(row).collect()
    }
    /// Each slope with the braking distance downhill on each ground.
    fn downhill(&self) -> Vec<(String, Vec<String>)> {
        let rule = &self.teaching.riding;
        let row = |slope: &i64| {
            let cell = |ground: &Ground| distance(braking(10.0 * MPH, rule.grip(*ground), -(*slope as f64)));
            let cells = Ground::ALL.iter().map(cell).collect();
            (format!("{slope}°, {:.0} %", percent(*slope as f64)), cells)
        };
        SLOPES.iter().map(row).collect()
    }
}

fn ground_words(ground: Ground) -> &'static str {
    match ground {
        Ground::PackedDirt => "Packed dirt",
        Ground::DryGrass => "Dry grass",
        Ground::WetGrass => "Wet grass",
    }
}

/// A distance in whole feet, rounded up, and metres; or that the brakes do not hold.
fn distance(metres: Option<f64>) -> String {
    match metres {
        Some(metres) => format!("{:.0} ft, {metres:.1} m", (metres / FOOT).ceil()),
        None => "Does not stop".to_owned(),
    }
}

async fn found(
    app: &web::Data<App>,
    caller: crate::domain::access::Caller,
    version: Option<i64>,
) -> Result<Teaching, Failure> {
    blocking(app, move |app| teaching::find(app, &caller, version)).await
}

/// Leads to the version that holds today.
pub async fn today(app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let teaching = found(&app, caller, None).await?;
    Ok(go(&way(teaching.curriculum.version)))
}

/// All lessons of a version, the talks and the numbers.
pub async fn index(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    version: web::Path<i64>,
) -> Answer {
    let teaching = found(&app, caller, Some(version.into_inner())).await?;
    shown(&Index { page: staff_page(&request, "To teach from").with_caution(CautionKey::Skills), teaching })
}

#[derive(Template)]
#[template(path = "teaching/lesson.html")]
struct OfLesson {
    page: Page,
    way: String,
    code: &'static str,
    lesson: LessonShown,
    drawings: Vec<Drawing>,
    before: Option<u16>,
    after: Option<u16>,
}

impl OfLesson {
    fn query(&self) -> &'static str {
        if self.code == "es" { "?words=es" } else { "" }
    }
}

fn drawings(teaching: &Teaching, lesson: &Lesson, lang: Lang) -> Vec<Drawing> {
    let draft = &teaching.curriculum;
    draft.setups(lesson).into_iter().map(|setup| drawing(setup, draft, &teaching.riding, lang)).collect()
}

/// One lesson with its drawings.
pub async fn lesson(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    path: web::Path<(i64, u16)>,
    Asked(wanted): Asked<WordsIn>,
) -> Answer {
    let (version, number) = path.into_inner();
    let teaching = found(&app, caller, Some(version)).await?;
    let draft = &teaching.curriculum;
    let lesson = draft.lesson(number).ok_or(Trouble::NotFound)?;
    let numbers = || draft.lessons.iter().map(|lesson| lesson.number);
    let (lang, title) = (wanted.lang(Lang::En), format!("{number}. {}", lesson.title.en));
    shown(&OfLesson {
        page: staff_page(&request, title).with_caution(CautionKey::Skills),
        way: way(version),
        code: lang.as_str(),
        lesson: draft.lesson_shown(lesson, lang),
        drawings: drawings(&teaching, lesson, lang),
        before: numbers().rfind(|other| *other < number),
        after: numbers().find(|other| *other > number),
    })
}

/// A lesson on a card.
struct Card {
    lesson: LessonShown,
    drawings: Vec<Drawing>,
}

#[derive(Template)]
#[template(path = "teaching/cards.html")]
struct Cards {
    page: Page,
    way: String,
    code: &'static str,
    version: i64,
    cards: Vec<Card>,
    caution: String,
}

/// Every lesson on a card, to print.
pub async fn cards(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    version: web::Path<i64>,
    Asked(wanted): Asked<WordsIn>,
) -> Answer {
    let teaching = found(&app, caller, Some(version.into_inner())).await?;
    let (draft, lang) = (&teaching.curriculum, wanted.lang(Lang::En));
    let card = |lesson: &Lesson| Card {
        lesson: draft.lesson_shown(lesson, lang),
        drawings: drawings(&teaching, lesson, lang),
    };
    let page = staff_page(&request, "Cards to print").with_caution(CautionKey::Skills);
    let in_lang = page.clone().in_language(lang).with_caution(CautionKey::Skills);
    shown(&Cards {
        way: way(draft.version),
        code: lang.as_str(),
        version: draft.version,
        cards: draft.lessons.iter().map(card).collect(),
        caution: in_lang.caution,
        page,
    })
}
