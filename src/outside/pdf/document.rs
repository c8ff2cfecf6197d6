//! A plain document of many Letter pages: headings, words, facts and tables, with a foot on each page. Words come from the caller.
//! Equal documents give equal bytes. Decides what stands on which page and nothing else.

use unicode_normalization::UnicodeNormalization;

use super::font::Face;
use super::pen::{Ink, Pen, rectangle};

/// Width of an upright Letter sheet, in points.
pub(super) const WIDTH: f32 = 612.0;
/// Height of an upright Letter sheet, in points.
pub(super) const HEIGHT: f32 = 792.0;

const LEFT: f32 = 54.0;
const RIGHT: f32 = WIDTH - LEFT;
const TOP: f32 = 54.0;
/// Where the words of a page end.
const BOTTOM: f32 = HEIGHT - 66.0;
/// Where the foot stands.
const FOOT: f32 = HEIGHT - 40.0;
/// Words are read on paper at arm's length (bar U25: 11 points).
const SIZE: f32 = 11.0;
const STEP: f32 = 15.0;
const HEADING: f32 = 14.0;
const TITLE: f32 = 20.0;
/// Room between the columns of a table.
const GAP: f32 = 9.0;
/// Where the answers of facts begin.
const ANSWER: f32 = 168.0;

const INK: Ink = [0x1d, 0x24, 0x20];
const QUIET: Ink = [0x43, 0x4c, 0x46];
const LINE: Ink = [0x9a, 0xa3, 0x9c];

/// A part of a document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Part {
    /// The heading of what follows.
    Heading(String),
    /// A paragraph; line ends stay.
    Words(String),
    /// Names with their answers.
    Facts(Vec<(String, String)>),
    /// A table; `shares` are the widths of its columns, in parts of their sum.
    Table {
        /// Widths of the columns.
        shares: Vec<u16>,
        /// Its heads.
        head: Vec<String>,
        /// Its rows.
        rows: Vec<Vec<String>>,
    },
}

/// What holds pages together: what they say of themselves, and the foot of each.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Binding {
    /// Its title.
    pub title: String,
    /// Who made it, for the document's own record.
    pub author: String,
    /// What stands at the foot of each page beside its number.
    pub foot: String,
    /// Word of the page number: "Page", with "of" before the last.
    pub page_of: (String, String),
    /// What makes the document's fixed identifier.
    pub identifier: String,
    /// The language tag of the words.
    pub lang: &'static str,
}

impl Binding {
    /// Writes foot and number on every page, between two edges.
    pub(super) fn number(&self, pages: &mut [Pen], ink: Ink, (left, right): (f32, f32), baseline: f32) {
        let many = pages.len();
        let (page, of) = &self.page_of;
        for (nth, pen) in pages.iter_mut().enumerate() {
            let number = settable(&format!("{page} {} {of} {many}", nth + 1));
            pen.write(Face::Regular, SIZE, ink, right - Face::Regular.width(&number, SIZE), baseline, &number);
            let foot = lines(Face::Regular, &self.foot, SIZE, right - left - 90.0).swap_remove(0);
            pen.write(Face::Regular, SIZE, ink, left, baseline, &foot);
        }
    }
}

/// A document to be set. All words are in the language of its binding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Document {
    /// What it says of itself.
    pub binding: Binding,
    /// Under the title.
    pub lead: String,
    /// Its parts.
    pub parts: Vec<Part>,
}

/// The words as a face can set them: composed, with a question mark for a letter that it lacks.
fn settable(text: &str) -> String {
    let has = |letter: char| letter == '\n' || (Face::Regular.has(letter) && Face::Bold.has(letter));
    text.nfc().map(|letter| if has(letter) { letter } else { '?' }).collect()
}

/// Breaks words into lines no wider than a width; a word that is wider itself is broken too. A space that must not be broken is none.
pub(super) fn lines(face: Face, text: &str, size: f32, width: f32) -> Vec<String> {
    let mut lines = Vec::new();
    for paragraph in settable(text).split('\n') {
        let mut line = String::new();
        for word in paragraph.split([' ', '\t']).filter(|word| !word.is_empty()) {
            let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            if face.width(&longer, size) <= width {
                line = longer;
                continue;
            }
            if !line.is_empty() {
                lines.push(std::mem::take(&mut line));
            }
            for letter in word.chars() {
                if face.width(&format!("{line}{letter}"), size) > width && !line.is_empty() {
                    lines.push(std::mem::take(&mut line));
                }
                line.push(letter);
            }
        }
        lines.push(line);
    }
    lines
}

/// Sets parts on pages.
struct Setter {
    pages: Vec<Pen>,
    y: f32,
}

impl Setter {
    fn page(&mut self) -> &mut Pen {
        self.pages.last_mut().expect("there is always a page")
    }

    fn turn(&mut self) {
        self.pages.push(Pen::of(HEIGHT));
        self.y = TOP;
    }

    /// Makes room for so many points, on the next page if need be. Whether the page was turned.
    fn room(&mut self, points: f32) -> bool {
        let turns = self.y + points > BOTTOM && self.y > TOP;
        if turns {
            self.turn();
        }
        turns
    }

    fn write(&mut self, face: Face, size: f32, ink: Ink, left: f32, text: &str) {
        let baseline = self.y + size;
        self.page().write(face, size, ink, left, baseline, text);
    }

    fn rule(&mut self) {
        let top = self.y;
        self.page().fill(LINE, vec![rectangle(LEFT, top, RIGHT - LEFT, 0.6)]);
    }

    fn heading(&mut self, text: &str) {
        // A heading never stands alone at the foot of a page.
        self.room(HEADING + STEP * 3.0);
        self.y += 12.0;
        for line in lines(Face::Bold, text, HEADING, RIGHT - LEFT) {
            self.write(Face::Bold, HEADING, INK, LEFT, &line);
            self.y += HEADING * 1.35;
        }
        self.y += 3.0;
    }

    fn words(&mut self, text: &str) {
        for line in lines(Face::Regular, text, SIZE, RIGHT - LEFT) {
            self.room(STEP);
            self.write(Face::Regular, SIZE, INK, LEFT, &line);
            self.y += STEP;
        }
        self.y += 6.0;
    }

    fn facts(&mut self, facts: &[(String, String)]) {
        for (name, answer) in facts {
            let names = lines(Face::Regular, name, SIZE, ANSWER - GAP);
            let answers = lines(Face::Regular, answer, SIZE, RIGHT - LEFT - ANSWER);
            self.row(&[(LEFT, QUIET, &names), (LEFT + ANSWER, INK, &answers)], None);
        }
        self.y += 6.0;
    }

    /// One row of columns of lines, with a rule under it. A long row goes over the page with its table's head.
    fn row(&mut self, columns: &[(f32, Ink, &Vec<String>)], head: Option<&[(f32, String)]>) {
        let many = columns.iter().map(|(_, _, lines)| lines.len()).max().unwrap_or(0);
        if many <= 6 && self.room(STEP * many as f32 + 6.0) {
            self.head(head);
        }
        for nth in 0..many {
            if self.room(STEP) {
                self.head(head);
            }
            for (left, ink, lines) in columns {
                if let Some(line) = lines.get(nth) {
                    self.write(Face::Regular, SIZE, *ink, *left, line);
                }
            }
            self.y += STEP;
        }
        self.y += 3.0;
        self.rule();
        self.y += 3.0;
    }

    fn head(&mut self, head: Option<&[(f32, String)]>) {
        let Some(head) = head else { return };
        for (left, words) in head {
            self.write(Face::Bold, SIZE, INK, *left, words);
        }
        self.y += STEP + 3.0;
        self.rule();
        self.y += 3.0;
    }

    fn table(&mut self, shares: &[u16], head: &[String], rows: &[Vec<String>]) {
        let whole: f32 = shares.iter().map(|share| f32::from(*share)).sum();
        let mut left = LEFT;
        let mut columns = Vec::new();
        for share in shares {
            let width = (RIGHT - LEFT) * f32::from(*share) / whole;
            columns.push((left, width - GAP));
            left += width;
        }
        let fits = |words: &str, width: f32| lines(Face::Bold, words, SIZE, width).swap_remove(0);
        let head: Vec<(f32, String)> =
            head.iter().zip(&columns).map(|(words, (left, width))| (*left, fits(words, *width))).collect();
        self.room(STEP * 3.0);
        self.head(Some(&head));
        for row in rows {
            let cells: Vec<Vec<String>> =
                row.iter().zip(&columns).map(|(words, (_, width))| lines(Face::Regular, words, SIZE, *width)).collect();
            let placed: Vec<(f32, Ink, &Vec<String>)> =
                cells.iter().zip(&columns).map(|(lines, (left, _))| (*left, INK, lines)).collect();
            self.row(&placed, Some(&head));
        }
        self.y += 6.0;
    }
}

/// The pages of a document.
pub(super) fn pages(document: &Document) -> Vec<Pen> {
    let mut setter = Setter { pages: Vec::new(), y: TOP };
    setter.turn();
    for line in lines(Face::Bold, &document.binding.title, TITLE, RIGHT - LEFT) {
        setter.write(Face::Bold, TITLE, INK, LEFT, &line);
        setter.y += TITLE * 1.3;
    }
    setter.y += 4.0;
    setter.words(&document.lead);
    for part in &document.parts {
        match part {
            Part::Heading(text) => setter.heading(text),
            Part::Words(text) => setter.words(text),
            Part::Facts(facts) => setter.facts(facts),
            Part::Table { shares, head, rows } => setter.table(shares, head, rows),
        }
    }
    document.binding.number(&mut setter.pages, QUIET, (LEFT, RIGHT), FOOT);
    setter.pages
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn day_9_words_are_broken_into_lines_that_fit_and_none_is_lost() {
        let text = "The quick onyx goblin jumps over the lazy dwarf.\nAnd again, at https://example.org/a/very/long/address/without/a/space/in/it/at/all/for/the/page.";
        for width in [60.0, 120.0, 300.0] {
            let broken = lines(Face::Regular, text, SIZE, width);
            assert!(broken.iter().all(|line| Face::Regular.width(line, SIZE) <= width), "{width}: {broken:?}");
            let bare = |text: &str| text.chars().filter(|letter| !letter.is_whitespace()).collect::<String>();
            assert_eq!(bare(&broken.concat()), bare(text), "{width}");
        }
        assert_eq!(lines(Face::Regular, "", SIZE, 100.0), [""]);
        assert_eq!(lines(Face::Regular, "A b\u{a0}c", SIZE, Face::Regular.width("A b", SIZE)), ["A", "b\u{a0}c"]);
        assert_eq!(lines(Face::Regular, "Zoe\u{308} 漢", SIZE, 100.0), ["Zoë ?"]);
    }

    #[test]
    fn day_9_a_long_table_goes_over_the_page_with_its_head_and_no_page_is_empty() {
        let rows: Vec<Vec<String>> =
            (1..=120).map(|row| vec![row.to_string(), format!("Row {row}, some words")]).collect();
        let document = Document {
            binding: Binding {
                title: "A title".into(),
                author: "A program".into(),
                foot: "Made on June 13".into(),
                page_of: ("Page".into(), "of".into()),
                identifier: "one".into(),
                lang: "en",
            },
            lead: "A lead".into(),
            parts: vec![
                Part::Heading("A heading".into()),
                Part::Facts(vec![("Name".into(), "Zoë".into())]),
                Part::Table { shares: vec![1, 4], head: vec!["No.".into(), "What".into()], rows },
            ],
        };
        let pages = pages(&document);
        assert!((4..=7).contains(&pages.len()), "{} pages", pages.len());
        let texts: Vec<String> = pages.iter().map(Pen::text).collect();
        for (nth, text) in texts.iter().enumerate() {
            assert!(text.contains("No.") && text.contains(&format!("Page {} of {}", nth + 1, texts.len())), "{text}");
        }
        for row in 1..=120 {
            let many = texts.iter().filter(|text| text.contains(&format!("Row {row},"))).count();
            assert_eq!(many, 1, "row {row}");
        }
    }
}
