//! The day list and the site's emergency plan, looked at and signed before the first engine starts.

use std::collections::BTreeMap;

use askama::Template;

use crate::domain::point_list::PointKey;
use crate::domain::session_day::{Looked, PointStanding};
use crate::domain::words::Lang;
use crate::services::field_act::{ActIds, DayListWish, Wish};
use crate::services::roster::day_list::{DayListPage, EmergencyPage, PlanShown, PointShown, emergency, show};
use crate::web::answer::{Answer, shown};
use crate::web::form::FieldErrors;
use crate::web::page::Page;
use crate::web::paper_words;

use super::acts::words;
use super::{Ask, Fields, Said, answered};

#[derive(Template)]
#[template(path = "roster/day_list.html")]
struct Show {
    page: Page,
    view: DayListPage,
    ids: ActIds,
    errors: FieldErrors,
    typed: Fields,
}

impl Show {
    fn plan(&self) -> &PlanShown {
        &self.view.plan
    }
    /// What a point's buttons show as pressed: what was typed, else what stands.
    fn saw(&self, point: &PointShown) -> String {
        self.typed.or(&format!("point_{}", point.key), stands(&point.standing))
    }
    /// What stood when the page was drawn.
    fn stood(&self, point: &PointShown) -> &'static str {
        stands(&point.standing)
    }
    /// What is said to be wrong: what was typed, else what the finders wrote.
    fn wrong(&self, point: &PointShown) -> String {
        self.typed.or(&format!("words_{}", point.key), &self.told(point))
    }
    /// What the finders wrote when the page was drawn.
    fn told(&self, point: &PointShown) -> String {
        match &point.standing {
            PointStanding::NotRight { words, .. } => words.join("; "),
            PointStanding::NotLooked | PointStanding::Right => String::new(),
        }
    }
    fn not_looked(&self) -> usize {
        self.view.points.iter().filter(|point| point.standing == PointStanding::NotLooked).count()
    }
    fn open(&self) -> usize {
        let open = |point: &&PointShown| matches!(point.standing, PointStanding::NotRight { .. });
        self.view.points.iter().filter(open).count()
    }
    /// Whether the plan was ticked as read, in what was typed.
    fn plan_is_read(&self) -> bool {
        self.typed.of("plan_read") == "yes"
    }
    fn lacks(&self) -> String {
        let told = self.view.lacks.iter().map(|paper| paper_words::blocking_site(Lang::En, *paper));
        told.collect::<Vec<_>>().join(", ")
    }
}

fn stands(standing: &PointStanding) -> &'static str {
    match standing {
        PointStanding::NotLooked => "",
        PointStanding::Right => "right",
        PointStanding::NotRight { .. } => "not_right",
    }
}

#[derive(Template)]
#[template(path = "roster/emergency.html")]
struct Emergency {
    page: Page,
    view: EmergencyPage,
    ids: ActIds,
}

impl Emergency {
    fn plan(&self) -> &PlanShown {
        &self.view.plan
    }
}

pub(super) async fn draw(ask: &Ask, said: Said) -> Answer {
    let view = ask.read(show).await?;
    let page = ask.page("Before the first engine", &view.head, &said);
    let ids = ActIds::of(&ask.app);
    answered(&said.errors.clone(), &Show { page, view, ids, errors: said.errors, typed: said.typed })
}

pub(super) async fn draw_emergency(ask: &Ask) -> Answer {
    let view = ask.read(emergency).await?;
    let page = ask.page("Emergency plan", &view.head, &Said::default());
    shown(&Emergency { page, view, ids: ActIds::of(&ask.app) })
}

/// The points whose buttons were pressed since the page was drawn; `None` for what no page of ours sends.
pub(super) fn wish(typed: &Fields, errors: &mut FieldErrors) -> Option<Wish> {
    let mut points = BTreeMap::new();
    for (name, saw) in &typed.0 {
        let Some(key) = name.strip_prefix("point_") else { continue };
        let field = format!("words_{key}");
        let looked = match saw.as_str() {
            "right" => Looked::Right,
            "not_right" => match words(typed.of(&field)) {
                Some(words) => Looked::NotRight { words },
                None => {
                    errors.add(&field, "Write what is not right, such as: badger hole by the third cone.");
                    continue;
                }
            },
            _ => return None,
        };
        // A button that stood so already says nothing new, and must not answer what somebody found meanwhile.
        let says_more = *saw == "not_right" && typed.of(&field).trim() != typed.of(&format!("told_{key}")).trim();
        if says_more || typed.of(&format!("stood_{key}")) != saw {
            points.insert(PointKey(key.to_owned()), looked);
        }
    }
    let signs = match typed.of("sign") {
        "" => None,
        _ => Some(typed.of("plan").parse().ok()?),
    };
    if signs.is_some() && typed.of("plan_read") != "yes" {
        errors.add("plan_read", "Read the emergency plan aloud to the team, then tick it.");
    }
    Some(Wish::DayList(DayListWish { points, signs, seen: typed.of("seen").parse().ok()? }))
}
