//! Forms to fill in by hand: upright Letter sheets in black, each with a head, a code that leads back to the record, cells and lines
//! to write in, and a foot. Words come from the caller. Equal forms give equal bytes. Decides no words.

use super::document::{Binding, HEIGHT, WIDTH, lines};
use super::font::Face;
use super::pen::{Ink, Pen, rectangle};
use super::qr::Symbol;

const LEFT: f32 = 40.0;
const RIGHT: f32 = WIDTH - LEFT;
const TOP: f32 = 40.0;
/// Where the cells of a page end.
const BOTTOM: f32 = HEIGHT - 52.0;
/// Where the foot stands.
const FOOT: f32 = HEIGHT - 30.0;
/// Words are read on paper at arm's length (bar U25: 11 points).
const SIZE: f32 = 11.0;
const STEP: f32 = 13.5;
const WHAT: f32 = 16.0;
/// Side of the code with its quiet zone of four modules.
const CODE: f32 = 66.0;
/// Between a line and what stands in its cell.
const PAD: f32 = 3.0;
/// Between two lines to write on.
const RULED: f32 = 24.0;
/// A copier gives black back, and little of anything else.
const INK: Ink = [0, 0, 0];
/// Thickness of lines.
const THIN: f32 = 0.6;

/// A part of a sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FormPart {
    /// The heading of what follows.
    Heading(String),
    /// A paragraph.
    Words(String),
    /// Cells to write in.
    Grid(Grid),
    /// So many lines to write on.
    Lines(u16),
}

/// Cells to write in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Grid {
    /// Widths of the columns, in parts of their sum.
    pub shares: Vec<u16>,
    /// Heads of the columns; empty for a table without a head.
    pub head: Vec<String>,
    /// Its rows. A row with one cell goes over the whole width, as a heading does.
    pub rows: Vec<Vec<String>>,
    /// The height of a row, in points; more where its words need it.
    pub tall: u16,
}

/// One sheet; what does not fit goes on under the same head.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FormSheet {
    /// What it is for.
    pub what: String,
    /// Which session, and how to fill it in.
    pub lead: String,
    /// Its parts.
    pub parts: Vec<FormPart>,
}

/// Forms that belong together. All words are in the language of their binding.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Forms {
    /// What they say of themselves.
    pub binding: Binding,
    /// The code on every page.
    pub code: Option<Symbol>,
    /// The sheets.
    pub sheets: Vec<FormSheet>,
}

/// One column: its left edge and its width.
type Column = (f32, f32);

/// Sets one sheet after the other.
struct Setter<'a> {
    forms: &'a Forms,
    pages: Vec<Pen>,
    y: f32,
}

impl Setter<'_> {
    fn page(&mut self) -> &mut Pen {
        self.pages.last_mut().expect("there is always a page")
    }

    /// Begins a page with the head of its sheet.
    fn turn(&mut self, sheet: &FormSheet) {
        self.pages.push(Pen::of(HEIGHT));
        self.y = TOP;
        if let Some(code) = &self.forms.code {
            let module = CODE / (code.side + 8) as f32;
            let runs = code.runs.iter().map(|run| [run.left, run.top, run.length, 1].map(|modules| modules as i64));
            let corner = (RIGHT - CODE + module * 4.0, TOP - 12.0 + module * 4.0);
            let runs = runs.collect();
            self.page().fill_modules(INK, corner, module, runs);
        }
        let width = RIGHT - LEFT - CODE - PAD;
        self.lines(Face::Bold, WHAT, LEFT, width, &sheet.what);
        self.y += 2.0;
        self.lines(Face::Regular, SIZE, LEFT, width, &sheet.lead);
        self.y = (self.y + 6.0).max(TOP + CODE - 10.0);
    }

    /// Writes words in as many lines as they need.
    fn lines(&mut self, face: Face, size: f32, left: f32, width: f32, text: &str) {
        for line in lines(face, text, size, width) {
            let baseline = self.y + size;
            self.page().write(face, size, INK, left, baseline, &line);
            self.y += size * STEP / SIZE;
        }
    }

    /// Makes room for so many points, on the next page if need be. Whether the page was turned.
    fn room(&mut self, sheet: &FormSheet, points: f32) -> bool {
        let turns = self.y + points > BOTTOM;
        if turns {
            self.turn(sheet);
        }
        turns
    }

    fn words(&mut self, sheet: &FormSheet, face: Face, text: &str) {
        let many = lines(face, text, SIZE, RIGHT - LEFT).len() as f32;
        self.room(sheet, STEP * many + if face == Face::Bold { RULED * 2.0 } else { 0.0 });
        self.lines(face, SIZE, LEFT, RIGHT - LEFT, text);
        self.y += 4.0;
    }

    fn ruled(&mut self, sheet: &FormSheet, many: u16) {
        for _ in 0..many {
            self.room(sheet, RULED);
            self.y += RULED;
            let top = self.y;
            self.page().fill(INK, vec![rectangle(LEFT, top, RIGHT - LEFT, THIN)]);
        }
        self.y += 8.0;
    }

    fn grid(&mut self, sheet: &FormSheet, grid: &Grid) {
        let whole: f32 = grid.shares.iter().map(|share| f32::from(*share)).sum();
        let mut left = LEFT;
        let mut columns: Vec<Column> = Vec::new();
        for share in &grid.shares {
            let width = (RIGHT - LEFT) * f32::from(*share) / whole;
            columns.push((left, width));
            left += width;
        }
        let tall = f32::from(grid.tall);
        let head = |setter: &mut Self| {
            if !grid.head.is_empty() {
                setter.row(&columns, Face::Bold, &grid.head, 0.0);
            }
        };
        // A head never stands alone at the foot of a page.
        self.room(sheet, STEP * 2.0 + tall * 2.0);
        head(self);
        for row in &grid.rows {
            let over = [(LEFT, RIGHT - LEFT)];
            let (columns, face, tall) =
                if row.len() == 1 { (&over[..], Face::Bold, 0.0) } else { (&columns[..], Face::Regular, tall) };
            let needs = Self::height(columns, face, row, tall);
            let with_next = if row.len() == 1 { f32::from(grid.tall) } else { 0.0 };
            if self.room(sheet, needs + with_next) {
                head(self);
            }
            self.row(columns, face, row, tall);
        }
        self.y += 8.0;
    }

    fn height(columns: &[Column], face: Face, row: &[String], tall: f32) -> f32 {
        let cell = |(words, (_, width)): (&String, &Column)| lines(face, words, SIZE, width - PAD * 2.0).len();
        let many = row.iter().zip(columns).map(cell).max().unwrap_or(1);
        (STEP * many as f32 + PAD * 2.0).max(tall)
    }

    /// One row of cells with lines around each.
    fn row(&mut self, columns: &[Column], face: Face, row: &[String], tall: f32) {
        let height = Self::height(columns, face, row, tall);
        let top = self.y;
        let mut drawn = vec![
            rectangle(LEFT, top, RIGHT - LEFT, THIN),
            rectangle(LEFT, top + height, RIGHT - LEFT + THIN, THIN),
            rectangle(RIGHT, top, THIN, height),
        ];
        drawn.extend(columns.iter().map(|(left, _)| rectangle(*left, top, THIN, height)));
        self.page().fill(INK, drawn);
        for (words, (left, width)) in row.iter().zip(columns) {
            let mut baseline = top + PAD + SIZE;
            for line in lines(face, words, SIZE, width - PAD * 2.0) {
                // A number stands in the middle of its column, words at its edge.
                let is_number = words.len() <= 2;
                let at = if is_number { left + (width - face.width(&line, SIZE)) / 2.0 } else { left + PAD };
                self.page().write(face, SIZE, INK, at, baseline, &line);
                baseline += STEP;
            }
        }
        self.y = top + height;
    }
}

/// The pages of the forms.
pub(super) fn pages(forms: &Forms) -> Vec<Pen> {
    let mut setter = Setter { forms, pages: Vec::new(), y: TOP };
    for sheet in &forms.sheets {
        setter.turn(sheet);
        for part in &sheet.parts {
            match part {
                FormPart::Heading(text) => setter.words(sheet, Face::Bold, text),
                FormPart::Words(text) => setter.words(sheet, Face::Regular, text),
                FormPart::Grid(grid) => setter.grid(sheet, grid),
                FormPart::Lines(many) => setter.ruled(sheet, *many),
            }
        }
    }
    forms.binding.number(&mut setter.pages, INK, (LEFT, RIGHT), FOOT);
    setter.pages
}

#[cfg(test)]
mod tests {
    use super::*;

    fn forms(sheets: Vec<FormSheet>) -> Forms {
        Forms {
            binding: Binding {
                title: "A packet".into(),
                author: "A program".into(),
                foot: "Made on June 13".into(),
                page_of: ("Page".into(), "of".into()),
                identifier: "one".into(),
                lang: "en",
            },
            code: super::super::qr::symbol("https://waymark.example.org/roster/1"),
            sheets,
        }
    }

    #[test]
    fn u25_a_form_that_is_longer_than_a_page_goes_on_under_its_heads_and_loses_no_row() {
        let rows: Vec<Vec<String>> =
            (1..=70).map(|row| vec![row.to_string(), format!("Row {row}."), String::new()]).collect();
        let grid =
            Grid { shares: vec![1, 6, 6], head: ["No.", "What", "Seen"].map(String::from).to_vec(), rows, tall: 24 };
        let sheet = FormSheet { what: "Marks".into(), lead: "How".into(), parts: vec![FormPart::Grid(grid)] };
        let blank = FormSheet { what: "What went wrong".into(), lead: String::new(), parts: vec![FormPart::Lines(9)] };
        let texts: Vec<String> = pages(&forms(vec![sheet, blank])).iter().map(Pen::text).collect();
        assert!((4..=5).contains(&texts.len()), "{} pages", texts.len());
        let (last, marks) = texts.split_last().expect("pages");
        for (nth, text) in marks.iter().enumerate() {
            for said in ["Marks", "No.", "Made on June 13", &format!("Page {} of {}", nth + 1, texts.len())] {
                assert!(text.contains(said), "{said} is not on page {}: {text}", nth + 1);
            }
        }
        for row in 1..=70 {
            assert_eq!(texts.iter().filter(|text| text.contains(&format!("Row {row}."))).count(), 1, "row {row}");
        }
        assert!(last.contains("What went wrong") && !last.contains("No."), "{last}");
    }
}
