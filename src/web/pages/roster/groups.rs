//! Groups of riders, each with an instructor, and the head counts of all and of each group.

use askama::Template;

use crate::domain::acts::CountMoment;
use crate::domain::words::Word;
use crate::services::field_act::{ActIds, Wish};
use crate::services::roster::groups::{GroupLine, GroupsPage, HeadsToCount, show};
use crate::web::answer::Answer;
use crate::web::form::FieldErrors;
use crate::web::page::{Choice, Page};

use super::acts::words;
use super::words::moment;
use super::{Ask, Fields, Said, answered};

#[derive(Template)]
#[template(path = "roster/groups.html")]
struct Groups {
    page: Page,
    view: GroupsPage,
    ids: ActIds,
    errors: FieldErrors,
}

impl Groups {
    /// The way back to one rider's line.
    fn back(&self, rider: &str) -> String {
        format!("/groups#r-{rider}")
    }
    /// Groups that a rider may be put into.
    fn open(&self) -> Vec<&HeadsToCount> {
        self.view.groups.iter().filter(|group| group.is_here).collect()
    }
    fn is_in(&self, line: &GroupLine, group: &HeadsToCount) -> bool {
        line.with.as_ref() == Some(&group.reference)
    }
    /// The instructor of a rider's group, when it is nobody who teaches here now.
    fn former(&self, line: &GroupLine) -> Option<&HeadsToCount> {
        self.view.groups.iter().find(|group| !group.is_here && line.with.as_ref() == Some(&group.reference))
    }
}

#[derive(Template)]
#[template(path = "roster/counts.html")]
struct Counts {
    page: Page,
    view: GroupsPage,
    ids: ActIds,
    errors: FieldErrors,
    typed: Fields,
    groups: Vec<Choice>,
    moments: Vec<Choice>,
}

impl Counts {
    /// Everybody, and each group that has riders or is out.
    fn heads(&self) -> Vec<&HeadsToCount> {
        let groups = self.view.groups.iter().filter(|group| group.members > 0 || group.out.is_some());
        std::iter::once(&self.view.all).chain(groups).collect()
    }
}

/// Whose heads, as a heading.
fn whose(heads: &HeadsToCount) -> String {
    match (heads.reference.as_str(), heads.place.as_str()) {
        ("", _) => "All riders".to_owned(),
        (_, "") => format!("Group of {}", heads.name),
        (_, place) => format!("Group of {}, {place}", heads.name),
    }
}

/// "All 4", "The 1 rider".
fn all_of(count: &usize) -> String {
    if *count == 1 { "The 1 rider is".to_owned() } else { format!("All {count} are") }
}

pub(super) async fn draw(ask: &Ask, said: Said) -> Answer {
    let view = ask.read(show).await?;
    let page = ask.page("Groups", &view.head, &said);
    answered(&said.errors.clone(), &Groups { page, view, ids: ActIds::of(&ask.app), errors: said.errors })
}

pub(super) async fn draw_counts(ask: &Ask, said: Said) -> Answer {
    let view = ask.read(show).await?;
    let page = ask.page("Count heads", &view.head, &said);
    let all = Choice::new("", "All riders");
    let with_riders = view.groups.iter().filter(|group| group.members > 0 || group.out.is_some());
    let groups = std::iter::once(all).chain(with_riders.map(|group| Choice::new(&group.reference, whose(group))));
    let groups = groups.collect();
    let moments = CountMoment::ALL.iter().map(|one| Choice::new(one, moment(*one))).collect();
    let ids = ActIds::of(&ask.app);
    answered(&said.errors.clone(), &Counts { page, view, ids, errors: said.errors, typed: said.typed, groups, moments })
}

/// The group that a form names; empty takes the rider out.
pub(super) fn wish(typed: &Fields) -> Wish {
    Wish::Group { with: named(typed.of("with")) }
}

/// Where a group rides; nothing takes it back.
pub(super) fn place(typed: &Fields) -> Wish {
    Wish::GroupPlace { with: typed.of("with").to_owned(), place: words(typed.of("place")) }
}

/// A reference, or nothing.
pub(super) fn named(text: &str) -> Option<String> {
    Some(text).filter(|text| !text.is_empty()).map(str::to_owned)
}
