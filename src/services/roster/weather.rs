//! The weather of a session's day: why nobody rides, the latest reading, and everything that was entered. Reads only.

use chrono::{NaiveDateTime, NaiveTime};

use super::super::{App, Failure, program};
use super::Head;
use super::opened::{Opened, open};
use crate::domain::access::Caller;
use crate::domain::acts::{Act, Body};
use crate::domain::cautions::CautionKey;
use crate::domain::ids::AccountId;
use crate::domain::refusal::WeatherRefusal;
use crate::domain::weather::today::{Weather, WeatherStop};
use crate::domain::weather::{Finding, WeatherRule};
use crate::store::AnyConn;
use crate::store::accounts::names_of;
use crate::store::acts::KeptAct;

/// The weather as a page tells it.
#[derive(Clone, Debug)]
pub struct WeatherPage {
    /// The session.
    pub head: Head,
    /// The program's limits now.
    pub rule: WeatherRule,
    /// Now, on the wall.
    pub now: NaiveTime,
    /// Whole minutes until the thunder clock runs out, rounded up.
    pub minutes_left: Option<i64>,
    /// The latest finding on each matter, and when it was read, on the wall.
    pub standing: Vec<(Finding, NaiveTime)>,
    /// Whether the lead stopped riding and that stop stands.
    pub is_called: bool,
    /// Whether the reader leads.
    pub may_call: bool,
    /// Everything that was entered today, the newest first: when on the wall, what, by whom.
    pub log: Vec<(NaiveTime, Body, String)>,
}

/// The weather of a session's day.
///
/// # Errors
/// `NotFound` when the caller may not know of the session.
pub fn show(app: &App, caller: &Caller, reference: &str) -> Result<WeatherPage, Failure> {
    let now = app.clock.now();
    app.store.read(|conn| {
        let opened = open(conn, caller, reference, now)?;
        let acts = opened.acts(conn)?;
        let head = opened.head(conn, caller, &acts, CautionKey::Weather)?;
        let meeting = opened.meeting.ordinal;
        let weather = opened.weather(&acts, meeting);
        let rule = program::load(conn)?.settings.weather;
        let minutes_left = match weather.stop(now, &rule) {
            Some(WeatherStop::Thunder { until }) => Some(((until - now).num_seconds() + 59) / 60),
            _ => None,
        };
        let entered = acts.iter().filter(|kept| kept.counts() && kept.act.meeting == meeting && is_weather(&kept.act));
        let mut entered: Vec<&KeptAct> = entered.collect();
        entered.sort_by_key(|kept| std::cmp::Reverse(kept.act.order()));
        let people: Vec<AccountId> = entered.iter().map(|kept| kept.account).collect();
        let names = names_of(conn, &people)?;
        let log = entered.iter().map(|kept| {
            (opened.clock(kept.act.at), kept.act.body.clone(), names.get(&kept.account).cloned().unwrap_or_default())
        });
        Ok(WeatherPage {
            minutes_left,
            now: opened.clock(now),
            standing: weather.standing.values().map(|(finding, at)| (*finding, opened.clock(*at))).collect(),
            is_called: weather.called.is_some(),
            may_call: opened.is_led_by_caller(),
            log: log.collect(),
            rule,
            head,
        })
    })
}

fn is_weather(act: &Act) -> bool {
    matches!(act.body, Body::Weather { .. } | Body::Thunder | Body::WeatherCall { .. })
}

impl Opened {
    /// The weather of a meeting, from the acts that count.
    pub(in crate::services) fn weather(&self, acts: &[KeptAct], meeting: i64) -> Weather {
        let of_meeting = acts.iter().filter(|kept| kept.counts() && kept.act.meeting == meeting);
        let mut ordered: Vec<&Act> = of_meeting.map(|kept| &kept.act).collect();
        ordered.sort_by_key(|act| (act.order(), act.id));
        Weather::of(&ordered)
    }

    /// Why the weather lets nobody ride now.
    pub(in crate::services) fn weather_stop(
        &self,
        conn: &mut AnyConn,
        acts: &[KeptAct],
        meeting: i64,
    ) -> Result<Option<WeatherRefusal>, Failure> {
        let rule = program::load(conn)?.settings.weather;
        let clock = |at: NaiveDateTime| self.clock(at);
        Ok(self.weather(acts, meeting).stop(self.now, &rule).map(|stop| match stop {
            WeatherStop::Thunder { until } => WeatherRefusal::Thunder { until: clock(until) },
            WeatherStop::Numbers { findings } => WeatherRefusal::Numbers { findings },
            WeatherStop::Called { why } => WeatherRefusal::Called { why },
        }))
    }
}
