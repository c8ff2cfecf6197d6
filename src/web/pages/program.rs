//! The program and its settings: what each is, what ships, its source, and one page to change each. Where the books of rules
//! and the consent texts are found. Staff pages, in English.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};
use askama::Template;

use crate::domain::refusal::Refusal;
use crate::domain::rule_setting::RuleSetting;
use crate::domain::words::Lang;
use crate::services::program_settings::{self, Settings};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::{Face, staff_page};
use crate::web::form::{Answers, Typed};
use crate::web::page::Page;
use crate::web::refusal_words;
use crate::web::rule_words::{SettingLine, grouped};
use crate::web::setting_page::{self, SettingPage};

#[derive(Template)]
#[template(path = "program/show.html")]
struct Show {
    page: Page,
    groups: Vec<(String, Vec<SettingLine>)>,
}

/// Every setting.
pub async fn show(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let found = blocking(&app, move |app| program_settings::list(app, &caller)).await?;
    shown(&Show { page: staff_page(&request, "Program and rules"), groups: grouped(&found.settings) })
}

/// One setting as it stands.
pub async fn edit(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let found = blocking(&app, move |app| program_settings::list(app, &caller)).await?;
    let setting = find(&request, &found)?;
    shown(&page_of(&request, &setting, found.revision))
}

/// Keeps what was typed, and shows the new face at once.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    face: web::Data<Face>,
    Asking(caller): Asking,
    Typed(form): Typed<Answers>,
) -> Answer {
    let (asking, revision) = (caller.clone(), form.revision());
    let found = blocking(&app, move |app| program_settings::list(app, &asking)).await?;
    let setting = find(&request, &found)?;
    let value = match setting_page::read(&setting, &form) {
        Ok(value) => value,
        Err(errors) => return shown_again(&page_of(&request, &setting, revision).again(form, errors)),
    };
    let key = setting.key.clone();
    let kept = blocking(&app, move |app| {
        program_settings::set(app, &caller, revision, &key, value)?;
        face.renew(app);
        Ok(())
    });
    match kept.await {
        Ok(()) => Ok(go(&format!("/program#{}", setting.key))),
        Err(Failure::Refused(Refusal::DraftMoved)) => {
            let notice = refusal_words::words(Lang::En, &Refusal::DraftMoved);
            shown_as(StatusCode::CONFLICT, &page_of(&request, &setting, found.revision).moved(form, notice))
        }
        Err(other) => Err(other.into()),
    }
}

fn find(request: &HttpRequest, found: &Settings) -> Result<RuleSetting, Trouble> {
    let key = request.match_info().get("key").unwrap_or_default();
    found.settings.iter().find(|setting| setting.key == key).cloned().ok_or(Trouble::NotFound)
}

fn page_of(request: &HttpRequest, setting: &RuleSetting, revision: i64) -> SettingPage {
    let page = staff_page(request, setting.label.clone());
    SettingPage {
        action: format!("/program/settings/{}", setting.key),
        back: (format!("/program#{}", setting.key), "Program and rules"),
        effect: "It holds from now on. Sessions already planned keep their seats.",
        ..SettingPage::new(page, setting, revision)
    }
}
