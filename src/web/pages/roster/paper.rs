//! The roster on Letter paper. Decides how many riders and checks stand on a sheet, and nothing else.

use askama::Template;

use crate::domain::curriculum::CheckCode;
use crate::domain::gear::GearPiece;
use crate::domain::skill::Standing;
use crate::domain::words::Lang;
use crate::language;
use crate::services::roster::paper::{Paper, PaperLesson, PaperRider, show};
use crate::web::answer::{Answer, shown};
use crate::web::context;
use crate::web::page::Page;

use super::{Ask, words};

/// Riders on one sheet: a row of the day is 31 points high, so that a gloved hand can write in it; a row of marks 25.
const RIDERS: usize = 12;
/// Skill checks on one sheet, 22 points wide each.
const CHECKS: usize = 18;

#[derive(Template)]
#[template(path = "roster/print.html")]
struct Show {
    page: Page,
    view: Paper,
    /// Lessons that share a sheet.
    sheets: Vec<Vec<PaperLesson>>,
}

impl Show {
    /// The riders, a sheet's worth at a time, each with its number in the whole list.
    fn parts(&self) -> Vec<Vec<(usize, &PaperRider)>> {
        let numbered: Vec<(usize, &PaperRider)> = (1..).zip(&self.view.riders).collect();
        numbered.chunks(RIDERS).map(<[_]>::to_vec).collect()
    }
    /// Empty rows for children who come without a place on the list yet.
    fn spare(&self, part: &[(usize, &PaperRider)]) -> usize {
        (RIDERS - part.len()).min(2)
    }
    /// Lines for notes under the table of the day, in the room of the rows that are not there.
    fn lines_of_day(&self, part: &[(usize, &PaperRider)]) -> usize {
        1 + (RIDERS - part.len() - self.spare(part)) * 4 / 3
    }
    /// The same under a table of marks, whose rows are lower.
    fn lines_of_marks(&self, part: &[(usize, &PaperRider)]) -> usize {
        RIDERS - part.len()
    }
    fn made_at(&self) -> String {
        language::moment(Lang::En, self.view.made_at)
    }
    fn sheet_code(&self) -> String {
        sheet_code(&self.view.head.reference)
    }
    fn staff(&self) -> String {
        staff(&self.view)
    }
    fn letter(&self, rider: &PaperRider, code: &CheckCode) -> &'static str {
        letter(rider, code)
    }
    fn worn(&self, rider: &PaperRider, piece: &GearPiece) -> &'static str {
        if rider.line.day.worn.as_ref().is_some_and(|worn| worn.contains(piece)) { "✓" } else { "" }
    }
    fn checked(&self, rider: &PaperRider) -> &'static str {
        if rider.line.day.helmet_is_right() { "✓" } else { "" }
    }
    fn gear(&self) -> [(char, GearPiece); 6] {
        use GearPiece::{Boots, EyeProtection, Gloves, Helmet, LongSleeves, LongTrousers};
        [('H', Helmet), ('E', EyeProtection), ('G', Gloves), ('S', LongSleeves), ('T', LongTrousers), ('B', Boots)]
    }
    fn came(&self, rider: &PaperRider) -> &'static str {
        match (rider.line.day.arrived_at, rider.line.day.late) {
            (None, _) => "",
            (Some(_), true) => "late",
            (Some(_), false) => "✓",
        }
    }
    fn left_with<'a>(&self, rider: &'a PaperRider) -> &'a str {
        rider.line.day.left_with.as_ref().map_or("", |(adult, _)| adult)
    }
    fn machine<'a>(&self, rider: &'a PaperRider) -> &'a str {
        machine(rider)
    }
    fn helmet<'a>(&self, rider: &'a PaperRider) -> &'a str {
        helmet(rider)
    }
    fn lessons_of(&self, sheet: &[PaperLesson]) -> String {
        lessons_of(sheet)
    }
}

/// A code in groups is easier to read aloud.
pub(super) fn sheet_code(reference: &str) -> String {
    let letters: Vec<char> = reference.to_uppercase().chars().collect();
    letters.chunks(4).map(|four| four.iter().collect::<String>()).collect::<Vec<_>>().join("-")
}

/// Everybody of the team with what each does there.
pub(super) fn staff(paper: &Paper) -> String {
    let told = |(name, duty): &(String, _)| format!("{name}, {}", words::duty(duty).trim_start_matches("the "));
    paper.staff.iter().map(told).collect::<Vec<_>>().join(". ")
}

/// One letter for what stands at a check, as people write it.
pub(super) fn letter(rider: &PaperRider, code: &CheckCode) -> &'static str {
    match rider.standing.get(code) {
        Some(Standing::Meets) => "M",
        Some(Standing::NeedsPractice) => "P",
        Some(Standing::Stopped { .. }) => "S",
        Some(Standing::NotTried) | None => "",
    }
}

/// "Lessons 1 to 4".
pub(super) fn lessons_of(lessons: &[PaperLesson]) -> String {
    match lessons {
        [only] => format!("Lesson {}", only.number),
        [first, .., last] => format!("Lessons {} to {}", first.number, last.number),
        [] => String::new(),
    }
}

/// The number of the machine that the rider was tried on last.
pub(super) fn machine(rider: &PaperRider) -> &str {
    rider.line.day.fit.as_ref().map_or("", |(number, _)| number)
}

/// The lot of the helmet that the rider had last from the program.
pub(super) fn helmet(rider: &PaperRider) -> &str {
    rider.line.day.helmets.last().map_or("", |(lot, _)| lot)
}

/// Whole lessons, as many as the checks of one sheet allow.
fn sheets(lessons: &[PaperLesson]) -> Vec<Vec<PaperLesson>> {
    let mut sheets: Vec<Vec<PaperLesson>> = Vec::new();
    for lesson in lessons {
        let taken = |sheet: &Vec<PaperLesson>| sheet.iter().map(|lesson| lesson.checks.len()).sum::<usize>();
        match sheets.last_mut() {
            Some(sheet) if taken(sheet) + lesson.checks.len() <= CHECKS => sheet.push(lesson.clone()),
            _ => sheets.push(vec![lesson.clone()]),
        }
    }
    sheets
}

pub(super) async fn draw(ask: &Ask) -> Answer {
    let view = ask.read(show).await?;
    let title = format!("Paper for {}, {}", view.head.site, words::day(&view.head.meeting.on));
    let page = context::staff_page(&ask.request, title).with_caution_words(view.head.caution.clone());
    let sheets = sheets(&view.lessons);
    shown(&Show { page, view, sheets })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn lesson(number: u16, checks: u16) -> PaperLesson {
        let code = |n: u16| CheckCode::parse(&format!("{number}.{n}")).expect("a code");
        PaperLesson { number, title: String::new(), checks: (1..=checks).map(|n| (code(n), String::new())).collect() }
    }

    #[test]
    fn u25_a_sheet_holds_whole_lessons_and_no_more_checks_than_fit_its_width() {
        let sizes = [4, 3, 4, 6, 4, 4, 4, 3, 4, 4, 4];
        let lessons: Vec<_> = (1..).zip(sizes).map(|(number, checks)| lesson(number, checks)).collect();
        let sheets = sheets(&lessons);
        let counts: Vec<usize> = sheets.iter().map(|sheet| sheet.iter().map(|one| one.checks.len()).sum()).collect();
        assert_eq!(counts, [17, 15, 12]);
        assert_eq!(sheets.concat().len(), lessons.len());
    }
}
