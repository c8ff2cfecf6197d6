//! Where each word of the certificate stands, in points from the top left. Takes the words as they come and writes no
//! bytes.

use super::fitting::{fitted, name_lines, wrapped};
use super::font::Face;
use super::ornament::{self, PINE};
use super::pen::{HEIGHT, Ink, Pen, WIDTH, rectangle};
use super::qr::Symbol;
use super::words::Words;

/// Running text.
const INK: Ink = [0x1d, 0x24, 0x20];
/// Words of less weight.
const QUIET: Ink = [0x43, 0x4c, 0x46];
/// The dark modules of the QR code.
const BLACK: Ink = [0, 0, 0];

/// The left edge of the text.
const LEFT: f32 = 66.0;
/// The right edge of the text.
const RIGHT: f32 = WIDTH - LEFT;
/// The middle of the sheet.
const MIDDLE: f32 = WIDTH / 2.0;
/// The widest centred line: between the blazes' inner edges.
const MEASURE: f32 = 620.0;

/// Draws the whole sheet.
pub(super) fn draw(words: &Words, symbol: &Symbol, address: &str) -> Pen {
    let mut pen = Pen::of(HEIGHT);
    ornament::draw(&mut pen);
    head(&mut pen, words);
    body(&mut pen, words);
    signatures(&mut pen, words);
    check(&mut pen, words, symbol, address);
    caution(&mut pen, words);
    pen
}

/// Writes one centred line, made smaller if it is too wide.
fn centred(pen: &mut Pen, face: Face, size: f32, ink: Ink, baseline: f32, text: &str) {
    let size = fitted(face, text, size, MEASURE);
    pen.write_centred(face, size, ink, MIDDLE, baseline, text);
}

/// The program, the title and the short rule under it.
fn head(pen: &mut Pen, words: &Words) {
    centred(pen, Face::Bold, 14.0, PINE, 80.0, &words.program_name);
    centred(pen, Face::Regular, 35.0, PINE, 126.0, &words.heading);
    let (rule, gap, half) = (62.0, 8.0, 2.6);
    let y = 148.0;
    pen.fill(
        PINE,
        vec![
            rectangle(MIDDLE - gap - rule, y - 0.35, rule, 0.7),
            rectangle(MIDDLE + gap, y - 0.35, rule, 0.7),
            vec![(MIDDLE, y - half), (MIDDLE + half, y), (MIDDLE, y + half), (MIDDLE - half, y)],
        ],
    );
}

/// The lead-in, the name and the statement, as one block centred between head and foot.
fn body(pen: &mut Pen, words: &Words) {
    let (names, name_size) = name_lines(&words.rider_name, MEASURE);
    let name_step = name_size * 1.25;
    let statement_size =
        words.statement.iter().map(|line| fitted(Face::Regular, line, 15.0, MEASURE)).fold(15.0, f32::min);
    let step = statement_size * 1.5;
    let after_lead_in = name_size * 0.85 + 14.0;
    let tall = after_lead_in + name_step * (names.len() - 1) as f32 + 20.0 + step * words.statement.len() as f32;
    let mut y = 248.0 - tall / 2.0 + 8.0;
    centred(pen, Face::Regular, 15.0, QUIET, y, &words.lead_in);
    y += after_lead_in;
    for (index, line) in names.iter().enumerate() {
        pen.write_centred(Face::Bold, name_size, INK, MIDDLE, y + name_step * index as f32, line);
    }
    y += name_step * (names.len() - 1) as f32 + 20.0;
    for line in &words.statement {
        y += step;
        pen.write_centred(Face::Regular, statement_size, INK, MIDDLE, y - step * 0.25, line);
    }
}

/// A line to sign on for each signer, with name and role under it.
fn signatures(pen: &mut Pen, words: &Words) {
    let (width, gap, line) = (178.0, 26.0, 414.0);
    for (place, (name, role)) in words.signers.iter().enumerate() {
        let left = LEFT + (width + gap) * place as f32;
        pen.fill(INK, vec![rectangle(left, line, width, 0.7)]);
        pen.write(Face::Regular, fitted(Face::Regular, name, 11.5, width), INK, left, line + 15.0, name);
        pen.write(Face::Regular, fitted(Face::Regular, role, 10.5, width), QUIET, left, line + 29.0, role);
    }
}

/// The QR code at the right edge, and beside it the code, the day and the address for people.
fn check(pen: &mut Pen, words: &Words, symbol: &Symbol, address: &str) {
    let (side, bottom) = (86.0, 444.0);
    let (left, top) = (RIGHT - side, bottom - side);
    let module = side / symbol.side as f32;
    let runs = symbol.runs.iter().map(|run| [run.left, run.top, run.length, 1].map(|modules| modules as i64)).collect();
    pen.fill_modules(BLACK, (left, top), module, runs);
    pen.link(left, top, side, side, address);
    let (text_right, width) = (left - 18.0, 158.0);
    for (face, size, ink, baseline, text) in [
        (Face::Regular, 9.5, QUIET, 396.0, &words.code_label),
        (Face::Bold, 9.5, INK, 410.0, &words.code),
        (Face::Regular, 9.5, INK, 428.0, &words.valid_from_line),
        (Face::Regular, 9.5, INK, 443.0, &words.check_url_shown),
    ] {
        let size = fitted(face, text, size, width);
        pen.write(face, size, ink, text_right - face.width(text, size), baseline, text);
    }
}

/// The caution, in as few centred lines as its size allows, on the near ground.
fn caution(pen: &mut Pen, words: &Words) {
    let (size, step, width) = (8.6, 11.6, 640.0);
    let mut size = size;
    let mut lines = wrapped(&words.caution, size, width);
    while lines.len() > 3 && size > 4.0 {
        size -= 0.2;
        lines = wrapped(&words.caution, size, width);
    }
    let first = HEIGHT - 52.0 - step * (lines.len() as f32 - 1.0) / 2.0;
    for (index, line) in lines.iter().enumerate() {
        pen.write_centred(Face::Regular, size, INK, MIDDLE, first + step * index as f32, line);
    }
}
