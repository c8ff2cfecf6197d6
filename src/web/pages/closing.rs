//! Closing a session and opening it again. A staff page, in English.

use actix_web::{HttpRequest, web};
use askama::Template;

use crate::domain::refusal::Refusal;
use crate::domain::registration::Outcome;
use crate::domain::session::SessionState;
use crate::domain::skill::Why;
use crate::domain::words::Lang;
use crate::language;
use crate::services::close_session::show::{Closing, RiderEnd};
use crate::services::{App, Failure, close_session};
use crate::web::answer::{Answer, go, shown, shown_again};
use crate::web::caller::Asking;
use crate::web::page::Page;
use crate::web::{alarm_words, blocking, context, field_ways, refusal_words};

#[derive(Template)]
#[template(path = "closing/show.html")]
struct Show {
    page: Page,
    refused: Option<String>,
    closing: Closing,
}

impl Show {
    /// "June 13, 2026", or "June 13, 2026 and June 14, 2026".
    fn days(&self) -> String {
        let days = self.closing.meetings.all().iter().map(|meeting| language::date_long(Lang::En, meeting.on));
        days.collect::<Vec<_>>().join(" and ")
    }

    fn last_day(&self) -> String {
        language::date_long(Lang::En, self.closing.meetings.last().on)
    }

    fn has_several(&self) -> bool {
        self.closing.meetings.count() > 1
    }

    /// "Saturday, June 13: attended. Sunday, June 14: absent."
    fn each(&self, rider: &RiderEnd) -> String {
        let said = |(on, outcome): &(chrono::NaiveDate, Outcome)| {
            format!("{}: {}.", language::date_in_year(Lang::En, *on), outcome_words(*outcome).to_lowercase())
        };
        rider.each.iter().map(said).collect::<Vec<_>>().join(" ")
    }

    /// "Saturday, June 13", the days that a child is not checked out of.
    fn not_out_of(&self, of: &[chrono::NaiveDate]) -> String {
        of.iter().map(|on| language::date_in_year(Lang::En, *on)).collect::<Vec<_>>().join(", ")
    }

    fn moment(&self, at: &chrono::NaiveDateTime) -> String {
        language::moment(Lang::En, *at)
    }

    fn short(&self, day: &chrono::NaiveDate) -> String {
        language::date_short(Lang::En, *day)
    }

    fn roster(&self) -> String {
        format!("/roster/{}", self.closing.reference)
    }

    fn is_closed(&self) -> bool {
        self.closing.state == SessionState::Closed
    }

    fn can_close(&self) -> bool {
        self.closing.is_open && self.closing.not_home.is_empty()
    }

    fn completed(&self) -> usize {
        self.closing.riders.iter().filter(|rider| rider.completes).count()
    }

    fn not_yet(&self) -> usize {
        self.closing.riders.iter().filter(|rider| !rider.completes && rider.outcome.participated()).count()
    }

    fn never_came(&self) -> usize {
        self.closing.riders.iter().filter(|rider| rider.outcome == Outcome::Absent).count()
    }

    fn without_paper(&self) -> usize {
        let lacks = |rider: &&RiderEnd| rider.certificate.as_ref().is_some_and(|given| !given.has_paper);
        self.closing.riders.iter().filter(lacks).count()
    }

    fn outcome(&self, outcome: &Outcome) -> &'static str {
        outcome_words(*outcome)
    }

    fn why(&self, why: &Why) -> &'static str {
        match why {
            Why::NotTried => "not tried",
            Why::NeedsPractice => "needs practice",
            Why::Stopped => "stopped for safety and not cleared",
        }
    }
}

fn outcome_words(outcome: Outcome) -> &'static str {
    match outcome {
        Outcome::Attended => "Attended",
        Outcome::Late => "Came late",
        Outcome::LeftEarly => "Left early",
        Outcome::TurnedAway => "Turned away",
        Outcome::ChoseToStop => "Chose to stop",
        Outcome::Absent => "Absent",
    }
}

fn drawn(request: &HttpRequest, closing: Closing, refused: Option<String>) -> Show {
    let title = if closing.state == SessionState::Closed { "Session closed" } else { "Close the session" };
    let page = context::staff_page(request, title).with_errors(usize::from(refused.is_some()));
    let page = page.for_field().with_nav(field_ways::of(request.path(), &closing.reference, true));
    let page = page.with_alarms(alarm_words::of(&closing.reference, &closing.alarms));
    Show { page, refused, closing }
}

/// Who is not home, who completes, and what closing will do or has done.
pub async fn show(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let closing = blocking(&app, move |app| close_session::show::show(app, &caller, &reference)).await?;
    shown(&drawn(&request, closing, None))
}

/// Closes the session; a child who is not checked out brings the page back with the names.
pub async fn create(
    request: HttpRequest,
    app: web::Data<App>,
    Asking(caller): Asking,
    reference: web::Path<String>,
) -> Answer {
    let (asking, asked) = (caller.clone(), reference.clone());
    match blocking(&app, move |app| close_session::close(app, &caller, &reference)).await {
        Ok(()) => Ok(go(&format!("/roster/{asked}/close"))),
        Err(Failure::Refused(refusal @ (Refusal::ChildrenNotHome { .. } | Refusal::LastMeetingToCome { .. }))) => {
            let words = refusal_words::words(Lang::En, &refusal);
            let closing = blocking(&app, move |app| close_session::show::show(app, &asking, &asked)).await?;
            shown_again(&drawn(&request, closing, Some(words)))
        }
        Err(failure) => Err(failure.into()),
    }
}

/// Opens a closed session again.
pub async fn reopen(app: web::Data<App>, Asking(caller): Asking, reference: web::Path<String>) -> Answer {
    let back = format!("/roster/{reference}/close");
    blocking(&app, move |app| close_session::reopen(app, &caller, &reference)).await?;
    Ok(go(&back))
}
