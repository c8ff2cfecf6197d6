//! Archives, packed by the library's own writer: what is unpacked, how far, and what is refused.

use std::io::{Cursor, Read, Write};

use proptest::prelude::*;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

use super::super::{Limits, SheetFault, package, read};

const TYPES: &str = "[Content_Types].xml";

/// An archive of these members. Level 0 is stored.
fn zipped(members: &[(&str, &[u8])], level: i64) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let options = match level {
        0 => SimpleFileOptions::default().compression_method(CompressionMethod::Stored),
        _ => {
            SimpleFileOptions::default().compression_method(CompressionMethod::Deflated).compression_level(Some(level))
        }
    };
    for (name, content) in members {
        writer.start_file(*name, options).unwrap();
        writer.write_all(content).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

fn repacked(archive: &[u8], unpacked: usize) -> Result<Vec<u8>, SheetFault> {
    package::repacked(archive, &Limits { unpacked, ..Limits::default() }).map(|(archive, _)| archive)
}

/// A file of 10 001 kB is refused unseen, one of 10 000 kB is looked at.
#[test]
fn u35_a_file_of_10_001_kb_is_refused() {
    let blanks = vec![b' '; 10_001 * 1024];
    assert_eq!(read(&blanks, &Limits::default()), Err(SheetFault::TooManyBytes { most: 10_240_000 }));
    assert_eq!(read(&blanks[1024..], &Limits::default()), Err(SheetFault::Empty));
}

/// The bound is for all members together, to the byte, whether they are compressed or stored.
#[test]
fn u35_unpacking_stops_at_the_bound() {
    let blanks = vec![b' '; 50_000];
    for level in [0, 1, 6, 9] {
        let one = zipped(&[(TYPES, &blanks)], level);
        let two = zipped(&[(TYPES, &blanks[..20_000]), ("xl/a.xml", &blanks[..30_000])], level);
        for archive in [one, two] {
            assert!(repacked(&archive, 50_000).is_ok());
            for most in [49_999, 30_000, 1, 0] {
                assert_eq!(repacked(&archive, most), Err(SheetFault::TooMuchUnpacked { most }));
            }
            assert!(repacked(&archive, usize::MAX).is_ok());
        }
    }
}

/// Whatever comes out of a member, no more of it is held than one byte past the bound.
#[test]
fn u35_no_more_is_held_than_the_bound() {
    for most in [0, 1, 100, 65_536] {
        let mut content = Vec::new();
        let outcome = package::unpack(std::io::repeat(b' ').take(1 << 20), 1 << 20, &mut content, most);
        assert_eq!((content.len(), outcome.is_ok()), (most + 1, false));
    }
}

/// The members that hold no cells are neither unpacked nor counted.
#[test]
fn u35_pictures_and_properties_cost_nothing() {
    let big = vec![b' '; 9_000];
    let members: [(&str, &[u8]); 4] =
        [(TYPES, b""), ("xl/media/big.xml", &big), ("docProps/app.xml", &big), ("xl/a.bin", &big)];
    let archive = repacked(&zipped(&members, 6), 10).unwrap();
    assert!(archive.len() < 200, "{}", archive.len());
}

/// What reads the archive next has nothing to unpack, and finds no member that was not looked at.
#[test]
fn u35_what_is_packed_anew_is_stored() {
    let members: [(&str, &[u8]); 3] = [(TYPES, b"<x/>"), ("../../xl/a.xml", b"<y/>"), ("xl/vbaProject.bin", b"z")];
    let archive = repacked(&zipped(&members, 9), 100).unwrap();
    let mut reader = zip::ZipArchive::new(Cursor::new(archive)).unwrap();
    let mut found = Vec::new();
    for place in 0..reader.len() {
        let member = reader.by_index(place).unwrap();
        assert_eq!(member.compression(), CompressionMethod::Stored);
        found.push(String::from_utf8_lossy(member.name_raw()).into_owned());
    }
    assert_eq!(found, [TYPES, "../../xl/a.xml"]);
}

#[test]
fn u35_members_have_a_most() {
    let members: Vec<String> = (0..0x1_0000).map(|number| format!("{number}")).collect();
    let mut members: Vec<(&str, &[u8])> = members.iter().map(|name| (name.as_str(), b"".as_slice())).collect();
    members[0].0 = TYPES;
    let fault = SheetFault::Damaged("more members than a workbook has");
    assert_eq!(repacked(&zipped(&members, 0), 10), Err(fault));
    members.pop();
    assert!(repacked(&zipped(&members, 0), 10).is_ok());
}

/// The directory may name a member longer than a local header can.
#[test]
fn u35_a_name_that_fills_its_field_is_a_fault() {
    let mut archive = zipped(&[(TYPES, b"<x/>"), ("xl/a.xml", b"<x/>")], 0);
    let at = archive.windows(8).rposition(|window| window == b"xl/a.xml").unwrap();
    let more = 0xFFFF - 8;
    archive.splice(at + 3..at + 3, vec![b'a'; more]);
    archive[at - 18..at - 16].copy_from_slice(&0xFFFF_u16.to_le_bytes());
    let end = archive.len() - 22;
    let size = u32::from_le_bytes(*archive[end + 12..].first_chunk().unwrap()) + more as u32;
    archive[end + 12..end + 16].copy_from_slice(&size.to_le_bytes());
    assert_eq!(repacked(&archive, 100), Err(SheetFault::Damaged("a member cannot be packed anew")));
}

/// In the large form a count has 64 bits (APPNOTE 4.3.14): nothing is reserved for it unseen.
#[test]
fn u35_a_count_in_the_large_form_that_cannot_be_is_a_fault() {
    let archive = zipped(&[(TYPES, b"<x/>")], 0);
    let (members, end) = archive.split_at(archive.len() - 22);
    for count in [2u64, 1 << 20, 1 << 40, u64::MAX] {
        let mut large = [members, b"PK\x06\x06", &44u64.to_le_bytes(), &[45, 0, 45, 0], &[0; 8]].concat();
        for long in [count, count, u64::MAX, u64::from(u32::from_le_bytes(*end[16..].first_chunk().unwrap()))] {
            large.extend(long.to_le_bytes());
        }
        large
            .extend([b"PK\x06\x07".as_slice(), &[0; 4], &(members.len() as u64).to_le_bytes(), &[1, 0, 0, 0]].concat());
        large.extend([b"PK\x05\x06".as_slice(), &[0; 4], &[0xFF; 12], &[0; 2]].concat());
        assert_eq!(repacked(&large, 100), Err(SheetFault::Damaged("the archive is cut off")), "{count}");
        let one = large.windows(8).position(|window| window == count.to_le_bytes()).unwrap();
        large[one..one + 8].copy_from_slice(&1u64.to_le_bytes());
        large[one + 8..one + 16].copy_from_slice(&1u64.to_le_bytes());
        assert!(repacked(&large, 100).is_ok());
    }
}

proptest! {
    /// Read back as it was, checksums included.
    #[test]
    fn u35_whatever_is_packed_is_unpacked(
        words in prop::collection::vec("[a-eé>/=\"0-9]{1,12}", 0..400),
        noise in any::<String>(),
        level in 0i64..=9,
    ) {
        let text = [words.concat(), noise.replace('<', ""), words.concat()].concat();
        let archive = zipped(&[(TYPES, text.as_bytes())], level);
        let plain = repacked(&archive, text.len());
        prop_assert!(plain.is_ok(), "{:?}", plain);
        let mut reader = zip::ZipArchive::new(Cursor::new(plain.unwrap_or_default())).unwrap();
        let mut read = String::new();
        reader.by_name(TYPES).unwrap().read_to_string(&mut read).unwrap();
        prop_assert_eq!(&read, &text);
        if let Some(most) = text.len().checked_sub(1) {
            prop_assert_eq!(repacked(&archive, most), Err(SheetFault::TooMuchUnpacked { most }));
        }
    }

    /// Noise in place of the packed bytes, behind a true header.
    #[test]
    fn u35_noise_is_a_fault(noise in prop::collection::vec(any::<u8>(), 60..61)) {
        let mut archive = zipped(&[(TYPES, &[b' '; 50_000])], 6);
        let start = 30 + TYPES.len();
        archive[start..start + 60].copy_from_slice(&noise);
        prop_assert!(matches!(repacked(&archive, 50_000), Err(SheetFault::Damaged(_))));
    }

    /// A directory that is not one, behind a true start.
    #[test]
    fn u35_a_broken_directory_is_a_fault(tail in prop::collection::vec(any::<u8>(), 0..200), end in any::<[u8; 18]>()) {
        let archive = [b"PK\x03\x04".to_vec(), tail, b"PK\x05\x06".to_vec(), end.to_vec()].concat();
        prop_assert!(matches!(repacked(&archive, 1_000), Err(SheetFault::Damaged(_) | SheetFault::Foreign(_))));
    }
}
