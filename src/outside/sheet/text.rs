//! Text with separators: its encoding, what separates the cells, and the cells. Must not know what they mean.

use std::borrow::Cow;

use csv::{ReaderBuilder, StringRecord};
use encoding_rs::{UTF_8, UTF_16BE, UTF_16LE, WINDOWS_1252};

use super::grid::Grid;
use super::{Cell, Encoding, Limits, PassedOver, PassedRows, ReadAs, Sheet, SheetFault, arrange, kind};

/// How many records are looked at to find the separator.
const LOOK: usize = 60;
/// Candidates, the one that is rarest in ordinary text first.
const SEPARATORS: [char; 4] = ['\t', '|', ';', ','];
/// Added as a last record of its own. Where an earlier record runs to its end, a quotation mark was never closed.
const END_MARK: &str = "\u{10FFFE}";

/// Reads a table from text.
pub(super) fn read(bytes: &[u8], limits: &Limits) -> Result<Sheet, SheetFault> {
    let (encoding, text) = decoded(bytes);
    if text.chars().all(|c| c.is_whitespace() || c == '\0') {
        return Err(SheetFault::Empty);
    }
    if let Some(kind) = kind::of_text(&text) {
        return Err(SheetFault::Foreign(kind));
    }
    // Every line break as one line feed, so that lines can be counted whatever program wrote them.
    let mut text = text.replace("\r\n", "\n").replace('\r', "\n");
    let told = told_separator(&text);
    let start = if told.is_some() { text.find('\n').map_or(text.len(), |end| end + 1) } else { 0 };
    let separator = told.or_else(|| separator(&text[start..]));
    if !text.ends_with('\n') {
        text.push('\n');
    }
    text.push_str(END_MARK);
    let grid = cells(&text, start, separator.unwrap_or(','), limits)?;
    let mut table = arrange::arranged(grid, limits)?;
    if told.is_some() {
        table.passed_over.insert(0, PassedRows { first: 1, last: 1, why: PassedOver::SeparatorLine });
    }
    Ok(table.into_sheet(Vec::new(), ReadAs::Csv { encoding, separator }))
}

/// The text of the bytes. A byte order mark decides; then zero bytes that stand in every second place; then what is
/// valid UTF-8. All else is Windows-1252, in which any byte is a character.
fn decoded(bytes: &[u8]) -> (Encoding, Cow<'_, str>) {
    let encoding = match bytes {
        [0xEF, 0xBB, 0xBF, ..] => Encoding::Utf8,
        [0xFF, 0xFE, ..] => Encoding::Utf16Le,
        [0xFE, 0xFF, ..] => Encoding::Utf16Be,
        _ => wide(bytes)
            .unwrap_or_else(|| if std::str::from_utf8(bytes).is_ok() { Encoding::Utf8 } else { Encoding::Windows1252 }),
    };
    let decoder = match encoding {
        Encoding::Utf8 => UTF_8,
        Encoding::Utf16Le => UTF_16LE,
        Encoding::Utf16Be => UTF_16BE,
        Encoding::Windows1252 => WINDOWS_1252,
    };
    (encoding, decoder.decode_with_bom_removal(bytes).0)
}

/// UTF-16 without a mark: of the high bytes most are zero, of the low bytes hardly any.
fn wide(bytes: &[u8]) -> Option<Encoding> {
    let pairs = bytes.as_chunks::<2>().0;
    let pairs = &pairs[..pairs.len().min(2_048)];
    let zeros = |place: usize| pairs.iter().filter(|pair| pair[place] == 0).count();
    let (first, second) = (zeros(0), zeros(1));
    let (most, few) = (pairs.len().div_ceil(2), pairs.len() / 20);
    if pairs.is_empty() {
        None
    } else if second >= most && first <= few {
        Some(Encoding::Utf16Le)
    } else if first >= most && second <= few {
        Some(Encoding::Utf16Be)
    } else {
        None
    }
}

/// The separator that the first line tells, such as "sep=;".
fn told_separator(text: &str) -> Option<char> {
    let line = text.lines().next()?.trim_matches('"');
    let (word, separator) = line.split_at_checked(4)?;
    let mut separator = separator.chars();
    let told = separator.next().filter(|c| c.is_ascii() && !matches!(c, '"' | '\0'))?;
    (word.eq_ignore_ascii_case("sep=") && separator.next().is_none()).then_some(told)
}

/// The candidate that splits the most of the first records into one same number of cells above one; of several, the
/// one with the most cells.
fn separator(text: &str) -> Option<char> {
    let mut best: Option<((usize, usize), char)> = None;
    for candidate in SEPARATORS {
        let score = consistency(text, candidate);
        if score.0 > 0 && best.is_none_or(|(most, _)| score > most) {
            best = Some((score, candidate));
        }
    }
    best.map(|(_, separator)| separator)
}

/// How many of the first records have the most frequent number of cells, and that number. Cells outside quotes count.
fn consistency(text: &str, separator: char) -> (usize, usize) {
    let mut widths: Vec<(usize, usize)> = Vec::new();
    let mut reader = builder(separator).from_reader(text.as_bytes());
    for record in reader.records().map_while(Result::ok).take(LOOK).filter(|record| record.len() > 1) {
        match widths.iter_mut().find(|(_, width)| *width == record.len()) {
            Some((count, _)) => *count += 1,
            None => widths.push((1, record.len())),
        }
    }
    widths.into_iter().max().unwrap_or_default()
}

fn builder(separator: char) -> ReaderBuilder {
    let mut builder = ReaderBuilder::new();
    builder.has_headers(false).flexible(true).delimiter(separator as u8);
    builder
}

/// The cells of a text that ends with the end mark, from the byte `start` on.
fn cells(text: &str, start: usize, separator: char, limits: &Limits) -> Result<Grid, SheetFault> {
    let mut reader = builder(separator).from_reader(&text.as_bytes()[start..]);
    let mut grid = Grid::behind(u32::from(start > 0));
    let mut record = StringRecord::new();
    let mut lines = Lines { text, at: 0, number: 1 };
    while reader.read_record(&mut record).expect("memory gives every byte and the text is valid") {
        let place = record.position().map_or(0, |position| position.byte() as usize);
        let number = lines.number_at(start + place);
        if lines.at + END_MARK.len() == text.len() {
            break;
        }
        if start + reader.position().byte() as usize == text.len() {
            return Err(SheetFault::QuoteNeverClosed { row: number });
        }
        for (column, raw) in (0..).zip(&record) {
            grid.add(number, column, Cell::of_text(raw), limits)?;
        }
        let breaks = record.iter().flat_map(str::bytes).filter(|&byte| byte == b'\n').count();
        grid.end_row(number, number + breaks as u32);
    }
    Ok(grid)
}

/// Counts lines from place to place.
struct Lines<'a> {
    text: &'a str,
    at: usize,
    number: u32,
}

impl Lines<'_> {
    /// The number of the line on which the record starts whose bytes begin at `place`, blank lines before it included.
    fn number_at(&mut self, place: usize) -> u32 {
        let bytes = self.text.as_bytes();
        let blank = bytes[place..].iter().take_while(|&&byte| byte == b'\n').count();
        let breaks = bytes[self.at..place + blank].iter().filter(|&&byte| byte == b'\n').count();
        self.at = place + blank;
        self.number += breaks as u32;
        self.number
    }
}
