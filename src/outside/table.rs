//! Tables as CSV files (RFC 4180) for spreadsheets and other programs. Must not decide which columns a table has.

use csv::{QuoteStyle, Terminator, Writer, WriterBuilder};

/// The media type of a table file.
pub const MEDIA: &str = "text/csv; charset=utf-8; header=present";

/// How a table is written. The default fits a spreadsheet; another program may want the bytes as they are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Form {
    /// Put an apostrophe before cells that a spreadsheet would run as a formula. This alters such a cell.
    pub defused: bool,
    /// Begin with a byte order mark, by which some spreadsheets know UTF-8.
    pub marked: bool,
}

impl Default for Form {
    fn default() -> Self {
        Self { defused: true, marked: true }
    }
}

/// A table being written: a header, then rows of as many cells. All cells are text, so that a code keeps its zeros.
pub struct Table {
    writer: Writer<Vec<u8>>,
    form: Form,
    width: usize,
}

impl Table {
    /// Begins a table with its header.
    pub fn new(form: Form, header: &[&str]) -> Self {
        let mut start = Vec::new();
        if form.marked {
            start.extend_from_slice("\u{feff}".as_bytes());
        }
        let writer =
            WriterBuilder::new().terminator(Terminator::CRLF).quote_style(QuoteStyle::Necessary).from_writer(start);
        let mut table = Self { writer, form, width: header.len() };
        table.add(header);
        table
    }

    /// Adds a row. Panics if it is not as wide as the header: that is a fault of the caller, not of the data.
    pub fn add<S: AsRef<str>>(&mut self, cells: &[S]) {
        assert_eq!(cells.len(), self.width, "a row is as wide as the header");
        let cells = cells.iter().map(|cell| self.form.cell(cell.as_ref()));
        self.writer.write_record(cells).expect("memory takes every write and the width is checked");
    }

    /// The file's bytes.
    pub fn into_bytes(self) -> Vec<u8> {
        self.writer.into_inner().expect("memory takes every write")
    }
}

impl Form {
    fn cell(self, text: &str) -> String {
        if self.defused && text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']) {
            format!("'{text}")
        } else {
            text.to_owned()
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const BARE: Form = Form { defused: false, marked: false };

    fn text(form: Form, cells: &[&str]) -> String {
        let header: Vec<String> = (1..=cells.len()).map(|number| format!("c{number}")).collect();
        let header: Vec<&str> = header.iter().map(String::as_str).collect();
        let mut table = Table::new(form, &header);
        table.add(cells);
        String::from_utf8(table.into_bytes()).unwrap()
    }

    /// RFC 4180 section 2: CRLF, quotes doubled, quoted where a comma, quote or line break stands.
    #[test]
    fn house_1_cells_are_quoted_as_the_standard_asks() {
        let rows = [
            ("say \"hi\", ok", "\"say \"\"hi\"\", ok\""),
            ("two\r\nlines", "\"two\r\nlines\""),
            ("08031", "08031"),
            ("Jos\u{e9}", "Jos\u{e9}"),
        ];
        for (cell, written) in rows {
            assert_eq!(text(BARE, &[cell, "x"]), format!("c1,c2\r\n{written},x\r\n"));
        }
    }

    /// The characters are those of OWASP's page on CSV injection.
    #[test]
    fn s39_a_cell_that_begins_like_a_formula_gets_an_apostrophe_and_only_where_asked() {
        for start in ["=", "+", "-", "@", "\t", "\r"] {
            let cell = format!("{start}1+1");
            let defused = text(Form { marked: false, ..Form::default() }, &[&cell]);
            assert!(defused.contains(&format!("'{start}1+1")), "{defused:?}");
            assert!(!text(BARE, &[&cell]).contains('\''));
        }
        assert!(!text(Form::default(), &["O'Neil = 5"]).contains("'O"));
    }

    #[test]
    fn u36_the_mark_comes_first_and_only_where_asked() {
        assert!(text(Form::default(), &["a"]).starts_with("\u{feff}c1\r\n"));
        assert!(text(BARE, &["a"]).starts_with("c1\r\n"));
    }

    proptest! {
        #[test]
        fn house_1_whatever_is_written_is_read_back(rows in prop::collection::vec(any::<[String; 3]>(), 0..8)) {
            let mut table = Table::new(BARE, &["a", "b", "c"]);
            for row in &rows {
                table.add(row);
            }
            let bytes = table.into_bytes();
            let mut reader = csv::Reader::from_reader(bytes.as_slice());
            let read: Vec<Vec<String>> = reader.records().map(|row| row.unwrap().iter().map(str::to_owned).collect()).collect();
            prop_assert_eq!(read, rows.iter().map(|row| row.to_vec()).collect::<Vec<_>>());
        }
    }
}
