//! One setting of a book's draft.

use actix_web::http::StatusCode;
use actix_web::{HttpRequest, web};

use super::{base, book_of, moved_words, name};
use crate::domain::refusal::Refusal;
use crate::domain::rule_setting::RuleSetting;
use crate::domain::rulebook::Book;
use crate::services::rules::draft::{self, Draft, SetValue};
use crate::services::{App, Failure};
use crate::web::answer::{Answer, Trouble, go, shown, shown_again, shown_as};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::form::{Answers, Typed};
use crate::web::setting_page::{self, SettingPage};

/// The setting as it stands.
pub async fn edit(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let book = book_of(&request)?;
    let found = blocking(&app, move |app| draft::find(app, &caller, book)).await?;
    let setting = find(&request, &found)?;
    shown(&page_of(&request, book, &setting, found.head.revision))
}

/// Keeps what was typed.
pub async fn update(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    Typed(form): Typed<Answers>,
) -> Answer {
    let book = book_of(&request)?;
    let (asking, revision) = (caller.clone(), form.revision());
    let found = blocking(&app, move |app| draft::find(app, &asking, book)).await?;
    let setting = find(&request, &found)?;
    let page = |revision| page_of(&request, book, &setting, revision);
    let value = match setting_page::read(&setting, &form) {
        Ok(value) => value,
        Err(errors) => return shown_again(&page(revision).again(form, errors)),
    };
    let wanted = SetValue { key: setting.key.clone(), value };
    match blocking(&app, move |app| draft::change(app, &caller, book, revision, wanted)).await {
        Ok(Ok(())) => Ok(go(&format!("{}/draft#{}", base(book), setting.key))),
        Ok(Err(fault)) => shown_again(&page(revision).again(form, setting_page::faulty(&setting, &fault))),
        Err(Failure::Refused(Refusal::DraftMoved)) => {
            shown_as(StatusCode::CONFLICT, &page(found.head.revision).moved(form, moved_words()))
        }
        Err(other) => Err(other.into()),
    }
}

fn find(request: &HttpRequest, draft: &Draft) -> Result<RuleSetting, Trouble> {
    let key = request.match_info().get("key").unwrap_or_default();
    let all = draft.book.settings(&draft.shipped);
    all.into_iter().find(|setting| setting.key == key).ok_or(Trouble::NotFound)
}

fn page_of(request: &HttpRequest, book: Book, setting: &RuleSetting, revision: i64) -> SettingPage {
    let page = staff_page(request, setting.label.clone());
    SettingPage {
        action: format!("{}/draft/settings/{}", base(book), setting.key),
        back: (format!("{}/draft#{}", base(book), setting.key), name(book)),
        effect: "Saved into the draft. Nothing changes for anybody until the draft is published.",
        ..SettingPage::new(page, setting, revision)
    }
}
