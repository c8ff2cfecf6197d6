//! Who asks for which page of which session, as the request has it: every page of the roster begins here.

use std::future::{Ready, ready};

use actix_web::dev::Payload;
use actix_web::{FromRequest, HttpRequest, web};
use serde::Deserialize;

use super::place::Place;
use super::{
    Said, Show, answered, area, assignment, day, day_list, fit, grid, groups, helmet, incidents, lesson, look_over,
    rider, roll_call, weather, words,
};
use crate::domain::access::Caller;
use crate::domain::acts::CountMoment;
use crate::domain::words::Word;
use crate::services::field_act::ActIds;
use crate::services::roster::{self, Head};
use crate::services::{App, Failure};
use crate::web::answer::Answer;
use crate::web::page::{Choice, Page};
use crate::web::{alarm_words, blocking, caller, context, field_ways};

/// Who asks for which page of which session.
pub struct Ask {
    pub(super) app: web::Data<App>,
    pub(super) request: HttpRequest,
    /// What the address names.
    pub(super) about: About,
    caller: Caller,
}

/// The session that an address names, and what else its line of the route table does; empty where it does not.
#[derive(Deserialize)]
pub struct About {
    pub(super) reference: String,
    #[serde(default)]
    pub(super) rider: String,
    #[serde(default)]
    pub(super) machine: String,
    #[serde(default)]
    pub(super) number: String,
    #[serde(default)]
    pub(super) language: String,
}

impl FromRequest for Ask {
    type Error = actix_web::Error;
    type Future = Ready<Result<Self, Self::Error>>;

    fn from_request(request: &HttpRequest, payload: &mut Payload) -> Self::Future {
        let mut read = || {
            let app = web::Data::<App>::from_request(request, payload).into_inner()?;
            let about = web::Path::<About>::from_request(request, payload).into_inner()?.into_inner();
            Ok(Self { app, request: request.clone(), about, caller: caller::of(request) })
        };
        ready(read())
    }
}

impl Ask {
    /// Reads on a blocking thread, as this caller, from this session.
    pub(super) async fn read<T: Send + 'static>(
        &self,
        work: impl FnOnce(&App, &Caller, &str) -> Result<T, Failure> + Send + 'static,
    ) -> Result<T, Failure> {
        let (caller, reference) = (self.caller.clone(), self.about.reference.clone());
        blocking(&self.app, move |app| work(app, &caller, &reference)).await
    }

    pub(super) fn page(&self, title: impl Into<String>, head: &Head, said: &Said) -> Page {
        let mut page = context::staff_page(&self.request, title).for_field().with_errors(said.errors.len());
        page.caution = head.caution.clone();
        page.alarms = alarm_words::of(&head.reference, &head.alarms);
        page.with_nav(field_ways::of(self.request.path(), &head.reference, head.may_close))
    }

    /// The page of a place, drawn anew: after a form that could not be taken with what was said about it.
    pub(super) async fn draw(&self, place: &Place, said: Said) -> Answer {
        match place {
            Place::Roster => self.roster(said).await,
            Place::Area => area::draw(self, said).await,
            Place::RollCall => roll_call::draw(self, said).await,
            Place::Grid { lesson } => grid::draw(self, *lesson, said).await,
            Place::Lesson { number, check } => lesson::draw(self, *number, check.clone(), said).await,
            Place::Rider { rider } => rider::draw(self, rider.clone(), said).await,
            Place::Helmet { rider } => helmet::draw(self, rider.clone(), said).await,
            Place::Machines { rider } => fit::draw_machines(self, rider.clone(), said).await,
            Place::Fit { rider, machine } => fit::draw(self, rider.clone(), machine.clone(), said).await,
            Place::DayList => day_list::draw(self, said).await,
            Place::Assignment => assignment::draw(self, None, said).await,
            Place::LookOvers => look_over::draw_list(self, said).await,
            Place::LookOver { machine } => look_over::draw(self, machine.clone(), said).await,
            Place::Weather => weather::draw(self, said).await,
            Place::Incidents => incidents::draw(self, said).await,
            Place::Groups => groups::draw(self, said).await,
            Place::Counts => groups::draw_counts(self, said).await,
        }
    }

    async fn roster(&self, said: Said) -> Answer {
        let view = self.read(roster::show).await?;
        let title = format!("{}, {}", view.head.site, day(&view.head.meeting.on));
        let page = self.page(title, &view.head, &said);
        let moments = CountMoment::ALL.iter().map(|moment| Choice::new(moment, words::moment(*moment))).collect();
        let ids = ActIds::of(&self.app);
        let Said { errors, typed } = said;
        answered(&errors.clone(), &Show { page, view, ids, errors, typed, moments })
    }
}
