//! The words of what must be seen first on every page of a session. Decides nothing: what is wrong was worked out below.

use crate::domain::refusal::Refusal;
use crate::domain::words::Lang;
use crate::language;
use crate::services::roster::alarms::{Alarms, HeadsCounted};

use super::act_words::at_moment;
use super::area_words::some;
use super::page::Alarm;
use super::refusal_words;

/// The weather first, then the riding area, then wrong counts, then riders on machines with a fault, then who is out, then whether anybody may ride.
#[must_use]
pub fn of(reference: &str, alarms: &Alarms) -> Vec<Alarm> {
    let at = |below: &str| format!("/roster/{reference}/{below}");
    let clock = |at| language::time(Lang::En, at);
    let wrong = alarms.wrong.iter().map(|count| Alarm {
        kind: "stop",
        shape: "caution",
        title: format!("{} of {} heads. Stop all engines.", count.counted, count.expected),
        words: format!("{}, {} at {}.", whose(count), at_moment(count.moment), clock(count.at)),
        href: at("counts"),
        way: "Count again",
    });
    let out = alarms.out.iter().map(|out| Alarm {
        kind: "watch",
        shape: "unsent",
        title: format!("{} out on the trail since {}.", some(out.counted, "rider"), clock(out.at)),
        words: format!("{}.", whose(out)),
        href: at("counts"),
        way: "Count them in",
    });
    let on_parked = alarms.on_parked.iter().map(|(number, rider)| Alarm {
        kind: "stop",
        shape: "stopped",
        title: format!("Machine {number} is out of use."),
        words: format!("{rider} starts on it. Stop this rider."),
        href: at("machines"),
        way: "Open the machines",
    });
    let no_riding = alarms.no_riding.iter().map(|why| Alarm {
        kind: if alarms.had_begun { "stop" } else { "watch" },
        shape: if alarms.had_begun { "stopped" } else { "note" },
        title: if alarms.had_begun { "Riding stops.".into() } else { "Before the first engine.".into() },
        words: refusal_words::words(Lang::En, why),
        href: at("day-list"),
        way: "Open the day list",
    });
    let weather = alarms.weather.iter().map(|why| Alarm {
        kind: "stop",
        shape: "stopped",
        title: "Nobody rides for now.".into(),
        words: refusal_words::words(Lang::En, &Refusal::Weather(why.clone())),
        href: at("weather"),
        way: "Open the weather",
    });
    let area = alarms.area.iter().map(|stop| Alarm {
        kind: "stop",
        shape: "stopped",
        title: "Riding stops.".into(),
        words: refusal_words::words(Lang::En, &Refusal::RidingStops(*stop)),
        href: at("area"),
        way: "Who is on the area",
    });
    weather.chain(area).chain(wrong).chain(on_parked).chain(out).chain(no_riding).collect()
}

fn whose(count: &HeadsCounted) -> String {
    count.group.as_ref().map_or_else(|| "All riders".to_owned(), |name| format!("Group of {name}"))
}
