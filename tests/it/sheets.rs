//! Sheets that offices upload: nasty files, made in memory, and what becomes of each.

mod archive;
mod built_cases;
mod checks;
mod csv_cases;
mod foreign_cases;
mod heading_cases;
mod mutation;
mod second_reader;
mod unpack_cases;
mod workbook_cases;

use waymark::outside::sheet::{Cell, Flaw, Limits, ReadAs, Sheet, SheetFault, read};

/// A file and what is told about it.
struct Case {
    /// In words.
    name: &'static str,
    bytes: Vec<u8>,
    outcome: Outcome,
}

enum Outcome {
    /// The lines of [`told`].
    Lines(Vec<&'static str>),
    Fault(SheetFault),
}

fn table(name: &'static str, bytes: impl Into<Vec<u8>>, lines: &[&'static str]) -> Case {
    Case { name, bytes: bytes.into(), outcome: Outcome::Lines(lines.to_vec()) }
}

fn fault(name: &'static str, bytes: impl Into<Vec<u8>>, fault: SheetFault) -> Case {
    Case { name, bytes: bytes.into(), outcome: Outcome::Fault(fault) }
}

/// Small limits, so that small files can pass them.
const LIMITS: Limits = Limits { bytes: 60_000, rows: 40, columns: 12, characters: 300, unpacked: 120_000 };

fn corpus() -> Vec<Case> {
    let parts = [
        csv_cases::cases(),
        heading_cases::cases(),
        workbook_cases::cases(),
        built_cases::cases(),
        unpack_cases::cases(),
        foreign_cases::cases(),
    ];
    parts.into_iter().flatten().collect()
}

/// A sheet in lines: the headings, "number: cells" a row, "~ first-last why" for what was passed over, "& name" for
/// other worksheets, and "= how it was read". A day has `@` before it, a number `#`, a flaw `!`; a row that overhangs
/// has `>` at its end.
fn told(sheet: &Sheet) -> Vec<String> {
    let mut lines = vec![sheet.headings.join("|")];
    for row in &sheet.rows {
        let cells: Vec<String> = row.cells.iter().map(cell).collect();
        lines.push(format!("{}: {}{}", row.number, cells.join("|"), if row.overhangs { ">" } else { "" }));
    }
    lines.extend(sheet.passed_over.iter().map(|passed| format!("~ {}-{} {:?}", passed.first, passed.last, passed.why)));
    lines.extend(sheet.other_sheets.iter().map(|name| format!("& {name}")));
    lines.push(match &sheet.read_as {
        ReadAs::Csv { encoding, separator } => format!("= {encoding:?} {}", separator.map_or("none".into(), named)),
        ReadAs::Xlsx { worksheet, days } => format!("= {worksheet} {days:?}"),
    });
    lines
}

fn named(separator: char) -> String {
    if separator == '\t' { "tab".into() } else { separator.into() }
}

fn cell(cell: &Cell) -> String {
    match cell {
        Cell::Empty => String::new(),
        Cell::Text(text) => text.clone(),
        Cell::Day(day) => format!("@{day}"),
        Cell::Number(number) => format!("#{number}"),
        Cell::Broken(Flaw::Formula(error)) => format!("!{error}"),
        Cell::Broken(flaw) => format!("!{flaw:?}"),
    }
}

#[test]
fn u35_every_file_of_the_corpus_is_read_as_told() {
    let mut wrong = Vec::new();
    for case in corpus() {
        let outcome = read(&case.bytes, &LIMITS);
        match (&case.outcome, &outcome) {
            (Outcome::Lines(lines), Ok(sheet)) if told(sheet) == *lines => {}
            (Outcome::Fault(expected), Err(fault)) if expected == fault => {}
            (Outcome::Lines(lines), Ok(sheet)) => {
                wrong.push(format!("{}:\n  told {lines:?}\n  read {:?}", case.name, told(sheet)));
            }
            (Outcome::Lines(_), Err(fault)) => wrong.push(format!("{}: {fault:?}", case.name)),
            (Outcome::Fault(expected), _) => {
                wrong.push(format!("{}: told {expected:?}, got {:?}", case.name, outcome.map(|sheet| told(&sheet))));
            }
        }
    }
    assert!(wrong.is_empty(), "{} differ\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn u35_the_corpus_is_large_and_has_every_fault_flaw_and_reason() {
    let corpus = corpus();
    assert!(corpus.len() >= 60, "{}", corpus.len());
    let mut names: Vec<&str> = corpus.iter().map(|case| case.name).collect();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), corpus.len(), "a name stands twice");

    let (mut faults, mut reasons, mut flaws) = (Vec::new(), Vec::new(), Vec::new());
    for case in &corpus {
        match read(&case.bytes, &LIMITS) {
            Err(fault) => faults.push(fault),
            Ok(sheet) => {
                reasons.extend(sheet.passed_over.iter().map(|passed| passed.why));
                for cell in sheet.rows.iter().flat_map(|row| &row.cells) {
                    flaws.extend(if let Cell::Broken(flaw) = cell { Some(flaw.to_owned()) } else { None });
                }
            }
        }
    }
    let kinds: std::collections::HashSet<_> = faults.iter().map(std::mem::discriminant).collect();
    assert_eq!(kinds.len(), checks::all_faults().len(), "every fault occurs: {faults:?}");
    for fault in checks::all_faults() {
        assert!(kinds.contains(&std::mem::discriminant(&fault)), "{fault:?}");
    }
    for kind in checks::all_kinds() {
        assert!(faults.contains(&SheetFault::Foreign(kind)), "{kind:?}");
    }
    for why in checks::all_reasons() {
        assert!(reasons.contains(&why), "{why:?}");
    }
    for flaw in [Flaw::ControlCharacter, Flaw::LostCharacter, Flaw::NoSuchDay, Flaw::Formula("#REF!")] {
        assert!(flaws.contains(&flaw), "{flaw:?}");
    }
}

/// The message names what the file looks like and what to do.
#[test]
fn u35_a_fault_says_what_to_do() {
    let fault = read(b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1W\0o\0r\0k\0b\0o\0o\0k\0", &LIMITS).unwrap_err();
    let words = "this is an old .xls workbook; open it in a spreadsheet program and save it as .xlsx";
    assert_eq!(fault.to_string(), words);
}
