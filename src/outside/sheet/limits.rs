//! The bounds within which a file is read.

/// How large a file, and what it holds, may be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Bytes of the file.
    pub bytes: usize,
    /// Rows that hold anything, the heading and what is passed over among them.
    pub rows: usize,
    /// Columns that hold anything.
    pub columns: usize,
    /// Characters in a cell.
    pub characters: usize,
    /// Bytes of a workbook once unpacked, and of the text of all its cells.
    pub unpacked: usize,
}

impl Default for Limits {
    /// The program's own choice, many times what an office has in a year: 10 000 kB, 60 000 rows, 200 columns,
    /// 5 000 characters, 100 MiB unpacked.
    fn default() -> Self {
        Self { bytes: 10_000 * 1024, rows: 60_000, columns: 200, characters: 5_000, unpacked: 100 << 20 }
    }
}
