//! Papers as PDF: the certificate, a Letter sheet on its side with a QR code, plain documents of many pages, and forms to fill in by
//! hand. Cut fonts and the same bytes every time. Words come from the caller, already in one language. Reads no clock, draws nothing by chance, knows no store.

pub mod document;
mod fitting;
mod font;
pub mod forms;
mod ornament;
mod pen;
pub mod qr;
mod sheet;
mod words;

use std::collections::{BTreeMap, BTreeSet};

use chrono::{Datelike, NaiveDateTime, Timelike};
use lopdf::{Object, StringFormat, dictionary};
use printpdf::{
    CustomPdfConformance, Date, Mm, Offset, OffsetDateTime, Op, PdfConformance, PdfDocument, PdfFont, PdfPage,
    PdfSaveOptions, Pt, Rect, Time,
};
use sha2::{Digest, Sha256};
use thiserror::Error;
use unicode_normalization::UnicodeNormalization;

use pen::Pen;

/// Everything that stands on a certificate. All texts are ready to print, in the language of `lang`.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Sheet<'a> {
    /// The program that gives the certificate.
    pub program_name: &'a str,
    /// The title of the sheet.
    pub heading: &'a str,
    /// The words before the name.
    pub lead_in: &'a str,
    /// The rider's name for certificates. Shrinks, or breaks in two, to fit.
    pub rider_name: &'a str,
    /// What was completed, where and when: one to three lines, broken by the caller.
    pub statement: &'a [&'a str],
    /// Who signs by hand: name and role, at most two; more are left out.
    pub signers: &'a [(&'a str, &'a str)],
    /// The words above the code.
    pub code_label: &'a str,
    /// The code in groups, for people.
    pub code: &'a str,
    /// The code without dashes; it also makes the document's fixed identifier.
    pub code_raw: &'a str,
    /// From which day it counts.
    pub valid_from_line: &'a str,
    /// The whole address of the check page, as the QR code carries it.
    pub check_url: &'a str,
    /// The short form of that address, for people to type.
    pub check_url_shown: &'a str,
    /// What the certificate is not.
    pub caution: &'a str,
    /// The language tag of the texts, "en" or "es".
    pub lang: &'a str,
    /// When the certificate was made, in UTC; the document's dates.
    pub made_at: NaiveDateTime,
}

/// Why a certificate cannot be set. The first kind goes to a person: the sheet never prints a box for a letter.
#[derive(Debug, Error)]
pub enum CannotSet {
    /// The font has no shape for these characters, listed once each in order of appearance.
    #[error("the certificate font lacks {}", listed(characters))]
    Characters {
        /// The characters that are missing.
        characters: Vec<char>,
    },
    /// The address of the check page is longer than a QR code can hold.
    #[error("the address of the check page does not fit a QR code")]
    Address,
    /// The embedded font could not be cut.
    #[error("the certificate font could not be cut: {0}")]
    Font(subsetter::Error),
    /// The document could not be written out.
    #[error("the certificate could not be written: {0}")]
    Write(#[from] std::io::Error),
}

/// Characters for a message: each as itself where it shows, always with its code point.
fn listed(characters: &[char]) -> String {
    let shown = characters.iter().map(|c| match c.is_control() {
        true => format!("U+{:04X}", u32::from(*c)),
        false => format!("{c} (U+{:04X})", u32::from(*c)),
    });
    shown.collect::<Vec<_>>().join(", ")
}

/// Sets a certificate as a PDF of one page. Equal sheets give equal bytes.
///
/// # Errors
/// [`CannotSet`], above all when the font lacks a character of a name.
pub fn certificate(sheet: &Sheet) -> Result<Vec<u8>, CannotSet> {
    let words = words::Words::of(sheet);
    let missing = words.missing();
    if !missing.is_empty() {
        return Err(CannotSet::Characters { characters: missing });
    }
    let symbol = qr::symbol(sheet.check_url).ok_or(CannotSet::Address)?;
    let pen = sheet::draw(&words, &symbol, sheet.check_url);
    let mut fonts = BTreeMap::new();
    for (face, characters) in pen.characters() {
        fonts.insert(face, face.cut(&characters).map_err(CannotSet::Font)?);
    }
    let ops = pen.finish(&fonts);
    let nfc = |text: &str| text.nfc().collect::<String>();
    let about = About {
        title: format!("{} · {}", nfc(sheet.heading), nfc(sheet.rider_name)),
        author: nfc(sheet.program_name),
        subject: sheet.code.to_owned(),
        identifier: sheet.code_raw.to_owned(),
        made_at: sheet.made_at,
    };
    let mut document = described(about);
    for (id, cut) in fonts.into_values() {
        document.resources.fonts.map.insert(id, PdfFont::new(cut));
    }
    document.with_pages(vec![page(ops, pen::WIDTH, pen::HEIGHT)]);
    written(&document, sheet.code_raw, sheet.lang)
}

/// Sets a plain document. Equal documents give equal bytes.
///
/// # Errors
/// [`CannotSet`]; a letter that the font lacks is a question mark there.
pub fn plain(document: &document::Document, made_at: NaiveDateTime) -> Result<Vec<u8>, CannotSet> {
    bound(document::pages(document), &document.binding, made_at)
}

/// Sets forms to fill in by hand. Equal forms give equal bytes.
///
/// # Errors
/// [`CannotSet`]; a letter that the font lacks is a question mark there.
pub fn forms(forms: &forms::Forms, made_at: NaiveDateTime) -> Result<Vec<u8>, CannotSet> {
    bound(forms::pages(forms), &forms.binding, made_at)
}

/// Upright pages as one document, with the fonts cut to the letters that stand on any of them.
fn bound(pens: Vec<Pen>, binding: &document::Binding, made_at: NaiveDateTime) -> Result<Vec<u8>, CannotSet> {
    let mut characters: BTreeMap<font::Face, BTreeSet<char>> = BTreeMap::new();
    for (face, own) in pens.iter().flat_map(Pen::characters) {
        characters.entry(face).or_default().extend(own);
    }
    let mut fonts = BTreeMap::new();
    for (face, characters) in characters {
        fonts.insert(face, face.cut(&characters).map_err(CannotSet::Font)?);
    }
    let mut file = described(About {
        title: binding.title.clone(),
        author: binding.author.clone(),
        subject: binding.identifier.clone(),
        identifier: binding.identifier.clone(),
        made_at,
    });
    let (width, height) = (document::WIDTH, document::HEIGHT);
    let pages = pens.into_iter().map(|pen| page(pen.finish(&fonts), width, height)).collect();
    for (id, cut) in fonts.into_values() {
        file.resources.fonts.map.insert(id, PdfFont::new(cut));
    }
    file.with_pages(pages);
    written(&file, &binding.identifier, binding.lang)
}

/// A page of a size in points.
fn page(ops: Vec<Op>, width: f32, height: f32) -> PdfPage {
    let mut page = PdfPage::new(Mm(0.0), Mm(0.0), ops);
    let area = Rect::from_wh(Pt(width), Pt(height));
    (page.media_box, page.trim_box, page.crop_box) = (area.clone(), area.clone(), area);
    page
}

/// What a document says of itself.
struct About {
    title: String,
    author: String,
    subject: String,
    identifier: String,
    made_at: NaiveDateTime,
}

/// An empty document with title, makers and dates.
fn described(about: About) -> PdfDocument {
    let mut document = PdfDocument::new("");
    let info = &mut document.metadata.info;
    info.document_title = about.title;
    info.author = about.author;
    info.subject = about.subject;
    info.creator = "Waymark".to_string();
    info.producer = "Waymark".to_string();
    info.identifier = about.identifier;
    info.conformance = PdfConformance::Custom(CustomPdfConformance {
        requires_icc_profile: false,
        requires_xmp_metadata: false,
        ..CustomPdfConformance::default()
    });
    let date = document_date(about.made_at);
    (info.creation_date, info.modification_date, info.metadata_date) = (date, date, date);
    document
}

/// An instant in UTC in the document's own terms.
fn document_date(at: NaiveDateTime) -> OffsetDateTime {
    let small = |value: u32| u8::try_from(value).expect("months, days and hours stay below 256");
    let date = Date { year: at.year(), month: small(at.month()), day: small(at.day()) };
    let time = Time { hour: small(at.hour()), minute: small(at.minute()), second: small(at.second()), millisecond: 0 };
    OffsetDateTime::new_in_offset(date, time, Offset { hours: 0, minutes: 0, seconds: 0, milliseconds: 0 })
}

/// The document as bytes, with a fixed identifier, its language, and no claim to a printing standard.
fn written(document: &PdfDocument, identifier: &str, lang: &str) -> Result<Vec<u8>, CannotSet> {
    let options = PdfSaveOptions { secure: false, ..PdfSaveOptions::default() };
    let mut file = document.to_lopdf_document(&options, &mut Vec::new());
    file.version = "1.7".to_string();
    let digest = Sha256::digest(identifier.as_bytes());
    let id = Object::String(digest[..16].to_vec(), StringFormat::Hexadecimal);
    file.trailer.set("ID", Object::Array(vec![id.clone(), id]));
    if let Ok(catalog) = file.catalog_mut() {
        catalog.set("Lang", Object::string_literal(lang));
        catalog.set("ViewerPreferences", dictionary! { "DisplayDocTitle" => true });
        catalog.set("PageLayout", "SinglePage");
    }
    if let Ok(Object::Reference(info)) = file.trailer.get(b"Info").cloned()
        && let Ok(info) = file.get_dictionary_mut(info)
    {
        info.remove(b"GTS_PDFXVersion");
        info.remove(b"Trapped");
    }
    file.compress();
    let mut bytes = Vec::new();
    file.save_modern(&mut bytes)?;
    Ok(bytes)
}

#[cfg(test)]
mod tests;
