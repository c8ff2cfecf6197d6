//! What a file is, told by its first bytes. Must not trust a name.

use std::fmt;

/// A kind of file that holds no table that can be read. [`Kind::Zip`] is one only when it holds no workbook.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Kind {
    /// A workbook of the years before 2007.
    OldWorkbook,
    /// A workbook that a password locks.
    LockedWorkbook,
    /// A workbook in the binary form, .xlsb.
    BinaryWorkbook,
    /// An OpenDocument file.
    OpenDocument,
    /// An Apple Numbers, Pages or Keynote file.
    Numbers,
    /// A text document or slides of an office program.
    OfficeDocument,
    /// A PDF.
    Pdf,
    /// A web page. Some programs export one under the name .xls.
    WebPage,
    /// An XML file.
    Xml,
    /// A picture.
    Picture,
    /// A zip archive.
    Zip,
    /// Bytes that are neither text nor any of these.
    Unknown,
}

impl Kind {
    /// What to do with such a file, as the end of a sentence.
    pub fn advice(self) -> &'static str {
        match self {
            Self::LockedWorkbook => "remove the password and save it again",
            Self::OldWorkbook | Self::BinaryWorkbook | Self::OpenDocument | Self::WebPage | Self::Xml => {
                "open it in a spreadsheet program and save it as .xlsx"
            }
            Self::Numbers => "export it as .xlsx or CSV",
            Self::Zip => "unpack it and take the .xlsx or CSV file",
            Self::OfficeDocument | Self::Pdf | Self::Picture | Self::Unknown => "take a file in .xlsx or CSV",
        }
    }
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::OldWorkbook => "an old .xls workbook",
            Self::LockedWorkbook => "a workbook locked with a password",
            Self::BinaryWorkbook => "a binary .xlsb workbook",
            Self::OpenDocument => "an OpenDocument file, such as .ods",
            Self::Numbers => "a Numbers file",
            Self::OfficeDocument => "a text document or slides",
            Self::Pdf => "a PDF",
            Self::WebPage => "a web page",
            Self::Xml => "an XML file",
            Self::Picture => "a picture",
            Self::Zip => "a zip archive without a workbook",
            Self::Unknown => "not a spreadsheet",
        })
    }
}

const SIGNATURES: &[(&[u8], Kind)] = &[
    (b"PK\x03\x04", Kind::Zip),
    (b"PK\x05\x06", Kind::Zip),
    (b"%PDF-", Kind::Pdf),
    (b"\xFF\xD8\xFF", Kind::Picture),
    (b"\x89PNG\r\n", Kind::Picture),
    (b"GIF8", Kind::Picture),
    (b"II*\0", Kind::Picture),
    (b"MM\0*", Kind::Picture),
    (b"{\\rtf", Kind::OfficeDocument),
    // A worksheet stream of BIFF 2 to 4, which stood in a file of its own.
    (b"\x09\x00\x04\x00", Kind::OldWorkbook),
    (b"\x09\x02\x06\x00", Kind::OldWorkbook),
    (b"\x09\x04\x06\x00", Kind::OldWorkbook),
    (b"\x1F\x8B", Kind::Unknown),
    (b"\x7FELF", Kind::Unknown),
];

/// The compound file that holds old workbooks, and new ones under a password ([MS-CFB] 2.2).
const COMPOUND: &[u8] = b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1";

/// The kind that the bytes begin like; none for what may be text.
pub(super) fn of(bytes: &[u8]) -> Option<Kind> {
    if bytes.starts_with(COMPOUND) {
        return Some(of_compound(bytes));
    }
    if bytes.get(4..8) == Some(b"ftyp") && bytes.starts_with(&[0, 0]) {
        return Some(Kind::Picture);
    }
    SIGNATURES.iter().find(|(start, _)| bytes.starts_with(start)).map(|&(_, kind)| kind)
}

/// Looks for the names of streams, which a compound file keeps in UTF-16.
fn of_compound(bytes: &[u8]) -> Kind {
    let names = |name: &str| {
        let wide: Vec<u8> = name.encode_utf16().flat_map(u16::to_le_bytes).collect();
        bytes.windows(wide.len()).any(|window| window == wide)
    };
    if names("EncryptedPackage") {
        Kind::LockedWorkbook
    } else if names("WordDocument") || names("PowerPoint Document") {
        Kind::OfficeDocument
    } else if names("Workbook") || names("Book") {
        Kind::OldWorkbook
    } else {
        Kind::Unknown
    }
}

/// The kind of a zip archive with members of these names; none for what may be a workbook.
pub(super) fn of_archive<'a>(mut names: impl Iterator<Item = &'a str> + Clone) -> Option<Kind> {
    let has = |wanted: &dyn Fn(&str) -> bool| names.clone().any(wanted);
    if has(&|name| name == "mimetype") && has(&|name| name == "content.xml") {
        Some(Kind::OpenDocument)
    } else if has(&|name| name.ends_with(".iwa")) {
        Some(Kind::Numbers)
    } else if has(&|name| name == "xl/workbook.bin") {
        Some(Kind::BinaryWorkbook)
    } else if has(&|name| name == "word/document.xml" || name == "ppt/presentation.xml") {
        Some(Kind::OfficeDocument)
    } else if names.any(|name| name.eq_ignore_ascii_case("[Content_Types].xml")) {
        None
    } else {
        Some(Kind::Zip)
    }
}

/// The kind of a text that is no table: markup, or characters that no text has.
pub(super) fn of_text(text: &str) -> Option<Kind> {
    let start: String = text.trim_start().chars().take(64).collect::<String>().to_ascii_lowercase();
    let begins = |tags: &[&str]| tags.iter().any(|tag| start.starts_with(tag));
    if begins(&["<!doctype html", "<html", "<head", "<body", "<table", "<meta", "<style", "<div", "<!--"]) {
        return Some(Kind::WebPage);
    }
    if begins(&["<?xml"]) {
        return Some(Kind::Xml);
    }
    let is_strange = |c: &char| c.is_control() && !matches!(c, '\t' | '\r' | '\n');
    let (strange, all) = (text.chars().filter(is_strange).count(), text.chars().count());
    (strange > 8 && strange * 20 > all).then_some(Kind::Unknown)
}
