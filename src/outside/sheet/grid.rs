//! The cells of a file where they stood, only those that hold anything. Must not know which row is the heading.

use super::{Cell, Limits, SheetFault};

/// A file's cells, row by row. A row without content is not here.
#[derive(Debug, Default)]
pub(super) struct Grid {
    pub rows: Vec<GridRow>,
    pub merges: Vec<Merge>,
    /// Rows at the start of the file that are spoken for and not here.
    pub taken: u32,
    /// Bytes of text so far.
    size: usize,
}

/// A row that holds anything.
#[derive(Debug)]
pub(super) struct GridRow {
    /// Its number in the file, from 1.
    pub number: u32,
    /// The line on which it ends: a CSV record may run over several. Otherwise its number again.
    pub last: u32,
    /// Its cells by column, from 0, in that order. None is empty.
    pub cells: Vec<(u32, Cell)>,
}

/// Cells merged into one: rows from 1 and columns from 0, the last of each included.
#[derive(Clone, Copy, Debug)]
pub(super) struct Merge {
    pub rows: (u32, u32),
    pub columns: (u32, u32),
}

impl Grid {
    /// A grid behind rows that are spoken for.
    pub(super) fn behind(taken: u32) -> Self {
        Self { taken, ..Self::default() }
    }

    /// Adds a cell behind those that are there. An empty one is not kept.
    ///
    /// # Errors
    /// A limit passed, or a cell that does not stand behind the last one.
    pub(super) fn add(&mut self, number: u32, column: u32, cell: Cell, limits: &Limits) -> Result<(), SheetFault> {
        if cell.is_empty() {
            return Ok(());
        }
        if let Cell::Text(text) = &cell {
            if text.len() > limits.characters && text.chars().count() > limits.characters {
                return Err(SheetFault::CellTooLong { row: number, column: letters(column), most: limits.characters });
            }
            self.size += text.len();
            if self.size > limits.unpacked {
                return Err(SheetFault::TooMuchUnpacked { most: limits.unpacked });
            }
        }
        let count = self.rows.len();
        match self.rows.last_mut() {
            Some(row) if row.number > number => return Err(OUT_OF_ORDER),
            Some(row) if row.number == number => row.add(column, cell, limits)?,
            _ if count == limits.rows => return Err(SheetFault::TooManyRows { most: limits.rows }),
            _ => self.rows.push(GridRow { number, last: number, cells: vec![(column, cell)] }),
        }
        Ok(())
    }

    /// Says on which line a row ends. A row without content is not there and has no end.
    pub(super) fn end_row(&mut self, number: u32, last: u32) {
        if let Some(row) = self.rows.last_mut().filter(|row| row.number == number) {
            row.last = last;
        }
    }

    /// Takes the merges, and takes away what stands under one beside its first cell.
    ///
    /// # Errors
    /// More merges in a row than `limits.columns`, on average: they lie one on another.
    pub(super) fn merge(&mut self, merges: Vec<Merge>, limits: &Limits) -> Result<(), SheetFault> {
        let mut left = limits.columns.saturating_mul(self.rows.len());
        for merge in &merges {
            let start = self.rows.partition_point(|row| row.number < merge.rows.0);
            let end = self.rows.partition_point(|row| row.number <= merge.rows.1);
            left = left.checked_sub(end - start).ok_or(SheetFault::Damaged("merged cells lie one on another"))?;
            for row in &mut self.rows[start..end] {
                let first = if row.number == merge.rows.0 { merge.columns.0 + 1 } else { merge.columns.0 };
                row.cells.retain(|&(column, _)| !(first..=merge.columns.1).contains(&column));
            }
        }
        self.rows.retain(|row| !row.cells.is_empty());
        self.merges = merges;
        Ok(())
    }
}

const OUT_OF_ORDER: SheetFault = SheetFault::Damaged("cells out of order");

impl GridRow {
    fn add(&mut self, column: u32, cell: Cell, limits: &Limits) -> Result<(), SheetFault> {
        if self.last_column() >= column {
            return Err(OUT_OF_ORDER);
        }
        if self.cells.len() == limits.columns {
            return Err(SheetFault::TooManyColumns { most: limits.columns });
        }
        self.cells.push((column, cell));
        Ok(())
    }

    /// What stands in a column; none where nothing does.
    pub(super) fn at(&self, column: u32) -> Option<&Cell> {
        let place = self.cells.binary_search_by_key(&column, |&(column, _)| column).ok()?;
        Some(&self.cells[place].1)
    }

    /// The last column that holds anything.
    pub(super) fn last_column(&self) -> u32 {
        self.cells.last().map_or(0, |&(column, _)| column)
    }
}

/// The letters of a column, from 0: A, B, ... Z, AA.
pub(super) fn letters(column: u32) -> String {
    let (mut left, mut letters) = (u64::from(column) + 1, Vec::new());
    while left > 0 {
        left -= 1;
        letters.push(char::from(b'A' + (left % 26) as u8));
        left /= 26;
    }
    letters.iter().rev().collect()
}
