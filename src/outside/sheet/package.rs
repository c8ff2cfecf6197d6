//! The zip archive that a workbook is: read member by member within a bound, and packed anew without compression,
//! so that whatever reads it next unpacks nothing. Must not know what a worksheet is.

use std::collections::HashSet;
use std::io::{Cursor, ErrorKind, Read, Write};

use zip::read::ZipFile;
use zip::result::ZipError;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use super::{Kind, Limits, SheetFault, guard, kind};

/// Members that hold no cells. They are never unpacked.
const LEFT_OUT: &[&str] = &[
    "/theme/",
    "/drawings/",
    "/charts/",
    "/media/",
    "/comments",
    "/threadedComments/",
    "/pivotCache/",
    "docProps/",
    "customXml/",
];
/// As many as an archive without the large form can have.
const MOST_MEMBERS: usize = 0xFFFF;
const CUT_OFF: SheetFault = SheetFault::Damaged("the archive is cut off");
const TWO_OF_ONE_NAME: SheetFault = SheetFault::Damaged("two members have one name");

type Packed<'a> = Cursor<&'a [u8]>;

/// Packs the XML members of a workbook anew, uncompressed. Also says whether any worksheet merges cells.
///
/// # Errors
/// Another kind of archive; a damaged one; more than `limits.unpacked` bytes, by what comes out and whatever the
/// directory says; XML that the reader of workbooks must not see (see [`guard`]).
pub(super) fn repacked(bytes: &[u8], limits: &Limits) -> Result<(Vec<u8>, bool), SheetFault> {
    let mut packed = ZipArchive::new(Cursor::new(bytes)).map_err(|_| CUT_OFF)?;
    let mut plain = ZipWriter::new(Cursor::new(Vec::new()));
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    let (mut names, mut content) = (HashSet::new(), Vec::new());
    let (mut left, mut merges) = (limits.unpacked, false);
    for place in wanted(&packed)? {
        let member = opened(&mut packed, place)?;
        let name = String::from_utf8_lossy(member.name_raw()).into_owned();
        if !names.insert(name.to_ascii_lowercase()) {
            return Err(TWO_OF_ONE_NAME);
        }
        content.clear();
        let told = member.size();
        // That the bound is passed comes before whatever else is wrong.
        let whole = unpack(member, told, &mut content, left);
        left = left.checked_sub(content.len()).ok_or(SheetFault::TooMuchUnpacked { most: limits.unpacked })?;
        whole?;
        merges |= guard::check(&content).map_err(SheetFault::Damaged)?;
        let written = plain.start_file(name, stored).and_then(|()| Ok(plain.write_all(&content)?));
        written.map_err(|_| SheetFault::Damaged("a member cannot be packed anew"))?;
    }
    let plain = plain.finish().map_err(|_| SheetFault::Damaged("the members cannot be packed anew"))?;
    Ok((plain.into_inner(), merges))
}

/// The places of the members that may hold cells, or say where they are.
fn wanted(archive: &ZipArchive<Packed<'_>>) -> Result<Vec<usize>, SheetFault> {
    // Names of parts are ASCII (ECMA-376 part 2, 6.2.2.2): those that are not even UTF-8 are of no use here.
    let names: Vec<&str> = archive.file_names_raw().map(|name| std::str::from_utf8(name).unwrap_or_default()).collect();
    if let Some(kind) = kind::of_archive(names.iter().copied()) {
        return Err(SheetFault::Foreign(kind));
    }
    if names.len() > MOST_MEMBERS {
        return Err(SheetFault::Damaged("more members than a workbook has"));
    }
    // Of two members with exactly one name the archive shows one.
    if archive.has_duplicate_names() {
        return Err(TWO_OF_ONE_NAME);
    }
    Ok((0..).zip(names).filter(|(_, name)| is_wanted(name)).map(|(place, _)| place).collect())
}

fn is_wanted(name: &str) -> bool {
    (name.ends_with(".xml") || name.ends_with(".rels")) && !LEFT_OUT.iter().any(|part| name.contains(part))
}

/// A member, ready to be unpacked. A locked one is refused, and one that is packed in a way no workbook is.
fn opened<'a, 'b>(
    archive: &'a mut ZipArchive<Packed<'b>>,
    place: usize,
) -> Result<ZipFile<'a, Packed<'b>>, SheetFault> {
    let member = archive.by_index(place).map_err(|error| match error {
        ZipError::UnsupportedArchive(ZipError::PASSWORD_REQUIRED) => SheetFault::Foreign(Kind::LockedWorkbook),
        _ => CUT_OFF,
    })?;
    // What else the library can unpack depends on who else in the program uses it.
    match member.compression() {
        CompressionMethod::Stored | CompressionMethod::Deflated => Ok(member),
        _ => Err(SheetFault::Damaged("a member is packed in an unknown way")),
    }
}

/// Reads a member's content, but no more than one byte past `most`, and compares its size with the `told` one. The
/// library compares the checksum, and stops where the content grows past the size that the directory tells.
pub(super) fn unpack(member: impl Read, told: u64, content: &mut Vec<u8>, most: usize) -> Result<(), SheetFault> {
    const OTHER: SheetFault = SheetFault::Damaged("a member is not what the directory says");
    let read =
        member.take((most as u64).saturating_add(1)).read_to_end(content).map_err(|error| match error.kind() {
            ErrorKind::InvalidData => OTHER,
            _ => SheetFault::Damaged("a member cannot be unpacked"),
        })?;
    if read as u64 == told { Ok(()) } else { Err(OTHER) }
}
