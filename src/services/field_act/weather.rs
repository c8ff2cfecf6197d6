//! Acts about the weather: read off and typed, thunder, and the lead's own stop. Each number is held against the program's limits
//! as they stand at that moment, and the act keeps both.

use super::Hand;
use crate::domain::acts::{Act, Body, Taking};
use crate::domain::refusal::{Refusal, WeatherRefusal};
use crate::domain::session_day::is_riding;
use crate::domain::weather::today::WEATHER_KINDS;
use crate::domain::weather::{Reading, findings};
use crate::services::{Failure, program};
use crate::store::AnyConn;
use crate::store::acts::acts_of_kinds;

impl Hand {
    /// A reading with what it comes to.
    pub(super) fn weather(&self, conn: &mut AnyConn, reading: Reading) -> Result<Body, Failure> {
        let rule = program::load(conn)?.settings.weather;
        Ok(Body::Weather { findings: findings(&reading, &rule), reading })
    }

    /// The lead's own stop, or its end.
    pub(super) fn weather_call(
        &self,
        conn: &mut AnyConn,
        stop: bool,
        why: &str,
        meeting: i64,
    ) -> Result<Body, Failure> {
        if !self.opened.is_led_by_caller() {
            return Err(Refusal::OnlyTheLead.into());
        }
        if stop && why.trim().is_empty() {
            return Err(Refusal::NoteNeeded.into());
        }
        let acts = acts_of_kinds(conn, self.opened.view.session.id, WEATHER_KINDS)?;
        if !stop && self.opened.weather(&acts, meeting).called.is_none() {
            return Err(Refusal::Weather(WeatherRefusal::NothingCalled).into());
        }
        Ok(Body::WeatherCall { stop, why: why.to_owned() })
    }

    /// Nobody rides through a weather stop; what is keyed in after the day, or came after closing, is about engines that have
    /// stopped.
    pub(super) fn pass_weather(&self, conn: &mut AnyConn, act: &Act, taking: Taking) -> Result<(), Failure> {
        let concerns = is_riding(act, self.opened.curriculum(conn)?);
        if taking == Taking::Late || !concerns || self.opened.is_over(act.meeting) {
            return Ok(());
        }
        let acts = acts_of_kinds(conn, self.opened.view.session.id, WEATHER_KINDS)?;
        match self.opened.weather_stop(conn, &acts, act.meeting)? {
            Some(stop) => Err(Refusal::Weather(stop).into()),
            None => Ok(()),
        }
    }
}
