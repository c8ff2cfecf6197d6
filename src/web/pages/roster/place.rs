//! Where a form came from and leads back to: a closed list of places within one session, never an address as sent.

/// A page that acts are entered on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Place {
    /// The roster.
    Roster,
    /// The names to call.
    RollCall,
    /// The table of marks of a lesson, or of all.
    Grid { lesson: Option<u16> },
    /// A lesson, at one of its checks or its first.
    Lesson { number: u16, check: Option<String> },
    /// A rider's day.
    Rider { rider: String },
    /// A rider's helmet.
    Helmet { rider: String },
    /// The machines for a rider.
    Machines { rider: String },
    /// The riding area.
    Area,
    /// A rider on a machine.
    Fit { rider: String, machine: String },
    /// The day list.
    DayList,
    /// Who rides which machine.
    Assignment,
    /// The machines of the day.
    LookOvers,
    /// A machine, looked over.
    LookOver { machine: String },
    /// The weather.
    Weather,
    /// What happened, and what nearly did.
    Incidents,
    /// Who rides with whom.
    Groups,
    /// Head counts.
    Counts,
}

impl Place {
    /// Reads `/lessons/6?check=6.2#r-abc`, as a form below one session names its page: the place, and the anchor with
    /// its `#`. `None` for anything that is no such page.
    pub fn read(text: &str) -> Option<(Self, String)> {
        let (rest, anchor) = text.split_once('#').unwrap_or((text, ""));
        let (path, query) = rest.split_once('?').unwrap_or((rest, ""));
        if !is_plain(anchor) {
            return None;
        }
        let parts: Vec<&str> = path.split('/').collect();
        let check = query.strip_prefix("check=").filter(|check| is_plain(check)).map(str::to_owned);
        let place = match parts.as_slice() {
            [""] if query.is_empty() => Self::Roster,
            ["", "area"] if query.is_empty() => Self::Area,
            ["", "roll-call"] if query.is_empty() => Self::RollCall,
            ["", "grid"] => match query.strip_prefix("lesson=")? {
                "all" => Self::Grid { lesson: None },
                number => Self::Grid { lesson: Some(number.parse().ok()?) },
            },
            ["", "lessons", number] => Self::Lesson { number: number.parse().ok()?, check },
            ["", "riders", rider] if is_word(rider) => Self::Rider { rider: (*rider).to_owned() },
            ["", "riders", rider, "helmet"] if is_word(rider) => Self::Helmet { rider: (*rider).to_owned() },
            ["", "riders", rider, "fit"] if is_word(rider) => Self::Machines { rider: (*rider).to_owned() },
            ["", "riders", rider, "fit", machine] if is_word(rider) && is_word(machine) => {
                Self::Fit { rider: (*rider).to_owned(), machine: (*machine).to_owned() }
            }
            ["", "day-list"] => Self::DayList,
            ["", "assignment"] => Self::Assignment,
            ["", "machines"] => Self::LookOvers,
            ["", "machines", machine] if is_word(machine) => Self::LookOver { machine: (*machine).to_owned() },
            ["", "weather"] => Self::Weather,
            ["", "incidents"] => Self::Incidents,
            ["", "groups"] => Self::Groups,
            ["", "counts"] => Self::Counts,
            _ => return None,
        };
        let anchor = if anchor.is_empty() { String::new() } else { format!("#{anchor}") };
        Some((place, anchor))
    }

    /// The address of the page in this session.
    pub fn path(&self, reference: &str) -> String {
        let below = match self {
            Self::Roster => String::new(),
            Self::Area => "/area".to_owned(),
            Self::RollCall => "/roll-call".to_owned(),
            Self::Grid { lesson: None } => "/grid?lesson=all".to_owned(),
            Self::Grid { lesson: Some(lesson) } => format!("/grid?lesson={lesson}"),
            Self::Lesson { number, check: None } => format!("/lessons/{number}"),
            Self::Lesson { number, check: Some(check) } => format!("/lessons/{number}?check={check}"),
            Self::Rider { rider } => format!("/riders/{rider}"),
            Self::Helmet { rider } => format!("/riders/{rider}/helmet"),
            Self::Machines { rider } => format!("/riders/{rider}/fit"),
            Self::Fit { rider, machine } => format!("/riders/{rider}/fit/{machine}"),
            Self::DayList => "/day-list".to_owned(),
            Self::Assignment => "/assignment".to_owned(),
            Self::LookOvers => "/machines".to_owned(),
            Self::LookOver { machine } => format!("/machines/{machine}"),
            Self::Weather => "/weather".to_owned(),
            Self::Incidents => "/incidents".to_owned(),
            Self::Groups => "/groups".to_owned(),
            Self::Counts => "/counts".to_owned(),
        };
        format!("/roster/{reference}{below}")
    }
}

fn is_plain(text: &str) -> bool {
    text.bytes().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'-' | b'_' | b'.'))
}

fn is_word(text: &str) -> bool {
    !text.is_empty() && text != "." && text != ".." && is_plain(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn s40_a_form_leads_back_only_to_a_page_of_its_session() {
        for (text, path) in [
            ("", "/roster/abc"),
            ("#r-2345", "/roster/abc#r-2345"),
            ("/lessons/6?check=6.2#r-2345", "/roster/abc/lessons/6?check=6.2#r-2345"),
            ("/lessons/5?check=all", "/roster/abc/lessons/5?check=all"),
            ("/area#guard", "/roster/abc/area#guard"),
            ("/riders/2345", "/roster/abc/riders/2345"),
            ("/roll-call", "/roster/abc/roll-call"),
            ("/grid?lesson=6", "/roster/abc/grid?lesson=6"),
            ("/grid?lesson=all", "/roster/abc/grid?lesson=all"),
            ("/riders/2345/fit", "/roster/abc/riders/2345/fit"),
            ("/riders/2345/helmet#check", "/roster/abc/riders/2345/helmet#check"),
            ("/day-list", "/roster/abc/day-list"),
            ("/assignment", "/roster/abc/assignment"),
            ("/machines#m-2345", "/roster/abc/machines#m-2345"),
            ("/machines/2345", "/roster/abc/machines/2345"),
            ("/weather#thunder", "/roster/abc/weather#thunder"),
            ("/incidents#near", "/roster/abc/incidents#near"),
            ("/groups#r-2345", "/roster/abc/groups#r-2345"),
            ("/counts#other", "/roster/abc/counts#other"),
            ("/riders/2345/fit/12#verdict", "/roster/abc/riders/2345/fit/12#verdict"),
        ] {
            let (place, anchor) = Place::read(text).unwrap_or_else(|| panic!("{text}"));
            assert_eq!(format!("{}{anchor}", place.path("abc")), path);
        }
        for evil in [
            "//evil.example",
            "/../../sign-out",
            "/riders/..",
            "/riders/a/b",
            "/lessons/x",
            "/lessons/6\r\nSet-Cookie: a=b",
            "#a b",
            "https://evil.example",
            "/riders/a?next=//evil",
            "/health",
        ] {
            let read = Place::read(evil).map(|(place, anchor)| format!("{}{anchor}", place.path("abc")));
            assert!(read.is_none() || read == Some("/roster/abc/riders/a".into()), "{evil:?} leads to {read:?}");
        }
    }
}
