//! Looks through a workbook's XML before it is read, for what would make its reader fail badly: sizes that are
//! reserved unseen, references past the edge of any sheet, styles that multiply. Must not take anything out of it.

/// The edge of a worksheet (ECMA-376 part 1, 18.3.1.4 and the format's known limits).
const MOST_ROWS: u32 = 1_048_576;
const MOST_COLUMNS: u32 = 16_384;
/// The most cell formats a workbook can have.
const MOST_FORMATS: usize = 65_490;
/// Bytes of a tag that is copied once a format: a font's name, a number format.
const LONGEST_COPIED: usize = 1_024;
/// A count of shared texts up to here is believed: some programs count each use of a text.
const MOST_BELIEVED: usize = 1_000_000;
/// A shared text takes at least this many bytes: `<si/>`.
const SHORTEST_TEXT: usize = 5;

/// Whether the XML merges cells; or what is wrong with it.
pub(super) fn check(xml: &[u8]) -> Result<bool, &'static str> {
    let xml = std::str::from_utf8(xml).map_err(|_| "XML that is not UTF-8")?;
    let (mut rest, mut formats, mut merges) = (xml, 0, false);
    while let Some(start) = rest.find('<') {
        rest = &rest[start + 1..];
        let end = if let Some(comment) = rest.strip_prefix("!--") {
            comment.find("-->").map(|end| end + 3)
        } else if rest.starts_with("![CDATA[") {
            rest.find("]]>")
        } else if rest.starts_with('?') {
            rest.find("?>").filter(|&end| is_plain(&rest[..end]))
        } else if rest.starts_with('!') {
            return Err("XML with a document type");
        } else {
            tag_end(rest)
        };
        let end = end.ok_or("XML that is not well formed")?;
        let tag = &rest[..end];
        match local_name(tag) {
            "xf" => formats += 1,
            "mergeCell" => {
                merges = true;
                check_references(tag)?;
            }
            "row" | "c" | "dimension" => check_references(tag)?,
            "sst" => check_count(tag, xml.len())?,
            "name" | "numFmt" if tag.len() > LONGEST_COPIED => return Err("a name that is too long"),
            _ => {}
        }
        rest = &rest[end..];
    }
    if formats > MOST_FORMATS { Err("too many formats") } else { Ok(merges) }
}

/// A processing instruction that names no encoding but UTF-8.
fn is_plain(instruction: &str) -> bool {
    attributes(instruction).all(|(name, value)| name != "encoding" || value.eq_ignore_ascii_case("utf-8"))
}

/// Where a tag ends: at the first `>` outside quotes.
fn tag_end(tag: &str) -> Option<usize> {
    let mut quote = None;
    tag.bytes().position(|byte| {
        match (quote, byte) {
            (None, b'>') => return true,
            (None, b'"' | b'\'') => quote = Some(byte),
            (Some(open), _) if open == byte => quote = None,
            _ => {}
        }
        false
    })
}

/// The name of an opening tag without its prefix; a closing tag has none.
fn local_name(tag: &str) -> &str {
    let name = tag.split([' ', '\t', '\r', '\n', '/']).next().unwrap_or_default();
    name.rsplit(':').next().unwrap_or_default()
}

/// The attributes of a tag, their values as they stand.
fn attributes(tag: &str) -> impl Iterator<Item = (&str, &str)> {
    let mut rest = tag.split_once(char::is_whitespace).map_or("", |(_, rest)| rest);
    std::iter::from_fn(move || {
        let (name, after) = rest.split_once('=')?;
        let after = after.trim_start();
        let quote = after.chars().next().filter(|quote| matches!(quote, '"' | '\''))?;
        let (value, after) = after[1..].split_once(quote)?;
        rest = after;
        Some((name.trim(), value))
    })
}

/// A count is reserved before the texts are seen, so it must fit into the file.
fn check_count(tag: &str, bytes: usize) -> Result<(), &'static str> {
    let count = attributes(tag).filter(|&(name, _)| name == "uniqueCount").map(|(_, value)| value.parse::<usize>());
    for count in count {
        if count.is_err() || count.is_ok_and(|count| count > MOST_BELIEVED.max(bytes / SHORTEST_TEXT)) {
            return Err("a count of texts that cannot be");
        }
    }
    Ok(())
}

/// References must lie on a worksheet, and areas must not run backwards.
fn check_references(tag: &str) -> Result<(), &'static str> {
    for (name, value) in attributes(tag) {
        if !matches!(name, "r" | "ref") {
            continue;
        }
        let (from, to) = value.split_once(':').unwrap_or((value, value));
        let within = place(from).zip(place(to)).is_some_and(|(from, to)| from.0 <= to.0 && from.1 <= to.1);
        if !within {
            return Err("a cell beyond the edge of a worksheet");
        }
    }
    Ok(())
}

/// Column and row of a reference such as "C107"; a row alone has column 0.
fn place(reference: &str) -> Option<(u32, u32)> {
    let digits = reference.find(|c: char| c.is_ascii_digit())?;
    let (letters, row) = reference.split_at(digits);
    if letters.len() > 3 || row.len() > 7 || !letters.bytes().all(|letter| letter.is_ascii_alphabetic()) {
        return None;
    }
    let column = letters.bytes().fold(0, |sum, letter| sum * 26 + u32::from(letter.to_ascii_uppercase() - b'A') + 1);
    let row = row.parse().ok()?;
    (column <= MOST_COLUMNS && (1..=MOST_ROWS).contains(&row)).then_some((column, row))
}
