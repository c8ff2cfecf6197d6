//! Tags to be cut out and put on the machines: the number in large figures and a code that opens the machine's page.

use actix_web::{HttpRequest, web};
use askama::Template;

use crate::domain::cautions::CautionKey;
use crate::domain::machine::MachineState;
use crate::domain::words::Word;
use crate::services::App;
use crate::services::fleet::tags::{self, Tag};
use crate::web::answer::{Answer, shown};
use crate::web::blocking;
use crate::web::caller::Asking;
use crate::web::context::staff_page;
use crate::web::page::Page;

#[derive(Template)]
#[template(path = "machines/tags.html")]
struct Tags {
    page: Page,
    tags: Vec<Tag>,
}

/// The tags of every machine of the fleet.
pub async fn index(request: HttpRequest, app: web::Data<App>, Asking(caller): Asking) -> Answer {
    let mut tags = blocking(&app, move |app| tags::list(app, &caller)).await?;
    tags.retain(|tag| tag.row.state != MachineState::Retired.as_str());
    shown(&Tags { page: staff_page(&request, "Tags of the machines").with_caution(CautionKey::Machine), tags })
}
