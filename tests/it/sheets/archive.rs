//! Hand-made workbooks: whole, or with one thing wrong.

use std::io::{Cursor, Write};

use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipWriter};

const TYPES: &str = r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/><Override PartName="/xl/styles.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml"/><Override PartName="/xl/sharedStrings.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/></Types>"#;
const RELS: &str = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;
const WORKBOOK_RELS: &str = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="r2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/styles" Target="styles.xml"/><Relationship Id="r3" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/sharedStrings" Target="sharedStrings.xml"/></Relationships>"#;
const MAIN: &str = r#"xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships""#;

/// The parts of a workbook with one worksheet, "List".
pub struct Parts {
    pub workbook: String,
    pub sheet: String,
    pub strings: String,
    pub styles: String,
}

impl Parts {
    /// A worksheet with these rows, given as XML. Cell format 1 is a day, 2 a length of time, 3 five digits.
    pub fn with_rows(rows: &str) -> Self {
        Self {
            workbook: format!(
                r#"<workbook {MAIN}><sheets><sheet name="List" sheetId="1" r:id="r1"/></sheets></workbook>"#
            ),
            sheet: format!("<worksheet {MAIN}><sheetData>{rows}</sheetData></worksheet>"),
            strings: format!(r#"<sst {MAIN} count="1" uniqueCount="1"><si><t>Name</t></si></sst>"#),
            styles: format!(
                r#"<styleSheet {MAIN}><numFmts count="1"><numFmt numFmtId="164" formatCode="00000"/></numFmts><fonts count="1"><font><name val="Calibri"/></font></fonts><fills count="1"><fill><patternFill patternType="none"/></fill></fills><borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs><cellXfs count="4"><xf numFmtId="0"/><xf numFmtId="14"/><xf numFmtId="46"/><xf numFmtId="164"/></cellXfs></styleSheet>"#
            ),
        }
    }

    /// Counts days from 1904.
    pub fn counting_from_1904(mut self) -> Self {
        self.workbook = self.workbook.replace("<sheets>", r#"<workbookPr date1904="1"/><sheets>"#);
        self
    }

    /// Adds XML behind the rows.
    pub fn and_then(mut self, xml: &str) -> Self {
        self.sheet = self.sheet.replace("</sheetData>", &format!("</sheetData>{xml}"));
        self
    }

    pub fn packed(&self) -> Vec<u8> {
        self.packed_beside(&[])
    }

    /// The workbook in an archive that begins with other members.
    pub fn packed_beside(&self, others: &[(&str, &[u8])]) -> Vec<u8> {
        let parts: [(&str, &[u8]); 7] = [
            ("[Content_Types].xml", TYPES.as_bytes()),
            ("_rels/.rels", RELS.as_bytes()),
            ("xl/workbook.xml", self.workbook.as_bytes()),
            ("xl/_rels/workbook.xml.rels", WORKBOOK_RELS.as_bytes()),
            ("xl/sharedStrings.xml", self.strings.as_bytes()),
            ("xl/styles.xml", self.styles.as_bytes()),
            ("xl/worksheets/sheet1.xml", self.sheet.as_bytes()),
        ];
        zipped(&[others, &parts].concat())
    }
}

/// A row of XML. A cell is its reference and its inside; text is written inline.
pub fn row(number: u32, cells: &[&str]) -> String {
    let mut xml = format!(r#"<row r="{number}">"#);
    for (letter, text) in ('A'..).zip(cells).filter(|(_, text)| !text.is_empty()) {
        match text.strip_prefix('<') {
            Some(_) => xml.push_str(&text.replace("@", &format!("{letter}{number}"))),
            None => xml.push_str(&format!(r#"<c r="{letter}{number}" t="inlineStr"><is><t>{text}</t></is></c>"#)),
        }
    }
    xml + "</row>"
}

/// An archive of deflated members.
pub fn zipped(members: &[(&str, &[u8])]) -> Vec<u8> {
    let mut writer = ZipWriter::new(Cursor::new(Vec::new()));
    let options = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    for (name, content) in members {
        writer.start_file(*name, options).unwrap();
        writer.write_all(content).unwrap();
    }
    writer.finish().unwrap().into_inner()
}

/// Overwrites a field of a member's directory entry: 8 for its flags, 10 for its method, 24 for its size.
pub fn with_field(mut archive: Vec<u8>, name: &str, field: usize, value: &[u8]) -> Vec<u8> {
    let entry = (0..archive.len()).rev().find(|&at| {
        archive[at..].starts_with(b"PK\x01\x02") && archive.get(at + 46..at + 46 + name.len()) == Some(name.as_bytes())
    });
    let at = entry.unwrap() + field;
    archive[at..at + value.len()].copy_from_slice(value);
    archive
}
