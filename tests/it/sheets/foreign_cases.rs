//! Files that are no spreadsheet, or no whole one.

use waymark::outside::sheet::{Kind, SheetFault};

use super::archive::{Parts, row, with_field, zipped};
use super::{Case, fault, table};

const COMPOUND: &[u8] = b"\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1";

/// A compound file with a stream of this name.
fn compound(stream: &str) -> Vec<u8> {
    let mut bytes = [COMPOUND, &[0; 504]].concat();
    bytes.extend(stream.encode_utf16().flat_map(u16::to_le_bytes));
    bytes.extend([0; 64]);
    bytes
}

fn foreign(name: &'static str, bytes: impl Into<Vec<u8>>, kind: Kind) -> Case {
    fault(name, bytes, SheetFault::Foreign(kind))
}

fn whole() -> Vec<u8> {
    with_members(&[])
}

fn with_members(others: &[(&str, &[u8])]) -> Vec<u8> {
    Parts::with_rows(&(row(1, &["Name", "Town"]) + &row(2, &["Ana", "Elm"]))).packed_beside(others)
}

pub fn cases() -> Vec<Case> {
    let noise: Vec<u8> = (0u32..400).map(|step| (step.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
    let cut = whole()[..whole().len() / 2].to_vec();
    let mut scratched = whole();
    let member = "xl/worksheets/sheet1.xml";
    let content =
        scratched.windows(member.len()).position(|window| window == member.as_bytes()).unwrap() + member.len();
    scratched[content + 40..content + 60].fill(0xFF);
    vec![
        table("a hand-made workbook without anything wrong", whole(), &["Name|Town", "2: Ana|Elm", "= List From1900"]),
        foreign("an old workbook", compound("Workbook"), Kind::OldWorkbook),
        foreign("an older workbook", compound("Book"), Kind::OldWorkbook),
        foreign("a workbook older still, without a container", *b"\x09\x04\x06\x00\x00\x00\x10\x00", Kind::OldWorkbook),
        foreign("a workbook with a password", compound("EncryptedPackage"), Kind::LockedWorkbook),
        foreign("an old text document", compound("WordDocument"), Kind::OfficeDocument),
        foreign("a compound file of something else", compound("Mail"), Kind::Unknown),
        foreign(
            "a binary workbook",
            zipped(&[("[Content_Types].xml", b""), ("xl/workbook.bin", b"")]),
            Kind::BinaryWorkbook,
        ),
        foreign(
            "an OpenDocument table",
            zipped(&[("mimetype", b"application/vnd.oasis"), ("content.xml", b"<x/>")]),
            Kind::OpenDocument,
        ),
        foreign("a Numbers file", zipped(&[("Index/Document.iwa", b"x")]), Kind::Numbers),
        foreign(
            "a text document",
            zipped(&[("[Content_Types].xml", b"<x/>"), ("word/document.xml", b"<x/>")]),
            Kind::OfficeDocument,
        ),
        foreign("an archive of pictures", zipped(&[("one.jpg", b"x"), ("two.jpg", b"y")]), Kind::Zip),
        foreign("an archive of nothing", *b"PK\x05\x06\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0", Kind::Zip),
        foreign("a PDF", *b"%PDF-1.7\n%\xE2\xE3", Kind::Pdf),
        foreign("a photo", *b"\xFF\xD8\xFF\xE0\0\x10JFIF", Kind::Picture),
        foreign("a photo of a telephone", *b"\0\0\0\x18ftypheic", Kind::Picture),
        foreign("a web page", "\u{feff}\n <!DOCTYPE html><table><tr><td>a,b", Kind::WebPage),
        foreign(
            "a table of a web page, as some programs export",
            "<table><tr><td>Name</td></tr></table>",
            Kind::WebPage,
        ),
        foreign("an XML file", "<?xml version=\"1.0\"?><Workbook/>", Kind::Xml),
        foreign("noise", noise, Kind::Unknown),
        fault("a workbook cut off half way", cut, SheetFault::Damaged("the archive is cut off")),
        fault("a workbook with a scratch", scratched, SheetFault::Damaged("a member cannot be unpacked")),
        fault("an archive's first bytes alone", *b"PK\x03\x04", SheetFault::Damaged("the archive is cut off")),
        foreign("a member with a password", with_field(whole(), member, 8, &[1]), Kind::LockedWorkbook),
        fault(
            "a member packed in another way",
            with_field(whole(), member, 10, &[12]),
            SheetFault::Damaged("a member is packed in an unknown way"),
        ),
        fault(
            "a member with another checksum",
            with_field(whole(), member, 16, &[1, 2, 3, 4]),
            SheetFault::Damaged("a member is not what the directory says"),
        ),
        fault(
            "two members of exactly one name",
            with_field(
                zipped(&[("[Content_Types].xml", b"<x/>"), ("xl/a.xml", b"<x/>"), ("xl/b.xml", b"<x/>")]),
                "xl/b.xml",
                46,
                b"xl/a.xml",
            ),
            SheetFault::Damaged("two members have one name"),
        ),
        table(
            "members whose names lead out of any folder",
            with_members(&[("../../evil.xml", b"<x/>"), ("/etc/evil.rels", b"<x/>"), ("C:\\evil.xml", b"<x/>")]),
            &["Name|Town", "2: Ana|Elm", "= List From1900"],
        ),
        fault(
            "two members of one name",
            with_field(
                zipped(&[("[Content_Types].xml", b"<x/>"), ("xl/a.xml", b"<x/>"), ("xl/b.xml", b"<x/>")]),
                "xl/b.xml",
                46,
                b"xl/A.xml",
            ),
            SheetFault::Damaged("two members have one name"),
        ),
        fault(
            "a package without a workbook",
            zipped(&[("[Content_Types].xml", b"<x/>")]),
            SheetFault::Damaged("the workbook's parts do not fit together"),
        ),
    ]
}
