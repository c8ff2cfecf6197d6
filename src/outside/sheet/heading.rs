//! Finds the heading: one row of names, or a row of groups above a row of names. Must not know what a name means.

use std::collections::{BTreeMap, HashSet};
use std::ops::RangeInclusive;

use super::grid::{Grid, GridRow};
use super::{Cell, SheetFault};

/// How many rows are looked at: for the heading, and below a row for what its columns hold.
const LOOK: usize = 30;
const LOOK_BELOW: usize = 5;

/// The heading of a grid.
pub(super) struct Heading {
    /// Which of the grid's rows it takes.
    pub rows: RangeInclusive<usize>,
    /// The names by column. A column without one is not here.
    pub names: BTreeMap<u32, String>,
}

/// A text of the upper row and the columns that it stands over.
struct Group {
    text: String,
    columns: RangeInclusive<u32>,
}

/// Finds the heading: the first row of mostly words that is more than half as wide as the table.
///
/// # Errors
/// No such row among the first.
pub(super) fn find(grid: &Grid) -> Result<Heading, SheetFault> {
    let rows = &grid.rows;
    let Some(width) = usual_width(rows) else {
        return if rows.is_empty() { Err(SheetFault::Empty) } else { Ok(single(rows, 0)) };
    };
    let is_heading = |row: &GridRow| row.cells.len() > 1 && row.cells.len() * 2 > width && is_mostly_words(row);
    let Some(at) = rows.iter().take(LOOK).position(is_heading) else {
        let row = rows.iter().find(|row| row.cells.len() > 1).map_or(1, |row| row.number);
        return Err(SheetFault::NoHeading { row });
    };
    // A row of groups may be wide enough to be found itself, or it stands above what was found.
    let grouped = |upper: usize| grouped(grid, upper).map(|names| Heading { rows: upper..=upper + 1, names });
    Ok(grouped(at).or_else(|| grouped(at.checked_sub(1)?)).unwrap_or_else(|| single(rows, at)))
}

/// The middle one of the numbers of cells that the first rows have, of rows with several; none where no row has.
fn usual_width(rows: &[GridRow]) -> Option<usize> {
    let mut widths: Vec<usize> = rows.iter().map(|row| row.cells.len()).filter(|&width| width > 1).take(LOOK).collect();
    widths.sort_unstable();
    widths.get(widths.len() / 2).copied()
}

fn single(rows: &[GridRow], at: usize) -> Heading {
    let names = rows[at].cells.iter().map(|(column, cell)| (*column, one_line(cell))).collect();
    Heading { rows: at..=at, names }
}

/// The names of two rows, the upper one of groups: "Child" over "First" and "Last" is "Child First", "Child Last".
/// None where the rows are not such a pair. Merged cells tell how far a group goes; without any in the row it goes up
/// to the next, and there must be two such. As a row of families can look like a row of names, one more sign is
/// needed: a name that comes twice, values below where the lower row has words, or a cell merged over both rows.
fn grouped(grid: &Grid, upper: usize) -> Option<BTreeMap<u32, String>> {
    let (above, below) = (grid.rows.get(upper)?, grid.rows.get(upper + 1)?);
    if above.cells.len() < 2 || !is_all_words(above) || !is_all_words(below) {
        return None;
    }
    let merges: Vec<_> = grid.merges.iter().filter(|merge| merge.rows.0 == above.number).collect();
    let groups: Vec<Group> = if merges.is_empty() { filled_right(above, below) } else { merged(grid, above) };
    let in_group = |group: &Group| below.cells.iter().filter(|(column, _)| group.columns.contains(column)).count();
    let is_wide = |group: &&Group| group.columns.start() < group.columns.end() && in_group(group) > 1;
    let wide = groups.iter().filter(is_wide).count();
    let is_deep = merges.iter().any(|merge| merge.rows.1 >= below.number);
    let is_sure = is_deep || has_repeats(below) || stands_over_values(grid, upper + 1);
    let least = if merges.is_empty() { 2 } else { 1 };
    (wide >= least && is_sure).then(|| joined(&groups, below))
}

fn merged(grid: &Grid, above: &GridRow) -> Vec<Group> {
    let last = |column: u32| {
        let merge = grid.merges.iter().find(|merge| (merge.rows.0, merge.columns.0) == (above.number, column));
        merge.map_or(column, |merge| merge.columns.1)
    };
    let group = |(column, cell): &(u32, Cell)| Group { text: one_line(cell), columns: *column..=last(*column) };
    above.cells.iter().map(group).collect()
}

fn filled_right(above: &GridRow, below: &GridRow) -> Vec<Group> {
    let starts = above.cells.iter().map(|&(column, _)| column);
    let ends = starts.clone().skip(1).map(|next| next - 1);
    let end = below.last_column().max(above.last_column());
    let texts = above.cells.iter().map(|(_, cell)| one_line(cell));
    let columns = starts.zip(ends.chain([end])).map(|(start, end)| start..=end);
    texts.zip(columns).map(|(text, columns)| Group { text, columns }).collect()
}

fn joined(groups: &[Group], below: &GridRow) -> BTreeMap<u32, String> {
    let group = |column: u32| groups.iter().find(|group| group.columns.contains(&column));
    let mut names: BTreeMap<u32, String> =
        groups.iter().map(|group| (*group.columns.start(), group.text.clone())).collect();
    for (column, cell) in &below.cells {
        let name = one_line(cell);
        let name = match group(*column) {
            Some(group) if group.text != name => format!("{} {name}", group.text),
            _ => name,
        };
        names.insert(*column, name);
    }
    names
}

fn has_repeats(row: &GridRow) -> bool {
    let mut seen = HashSet::new();
    !row.cells.iter().all(|(_, cell)| seen.insert(cell.to_text().to_lowercase()))
}

/// In some column the row has words, and below it stand values and no words.
fn stands_over_values(grid: &Grid, at: usize) -> bool {
    let below = &grid.rows[at + 1..];
    let below = &below[..below.len().min(LOOK_BELOW)];
    grid.rows[at].cells.iter().any(|&(column, _)| {
        let mut cells = below.iter().filter_map(|row| row.at(column)).peekable();
        cells.peek().is_some() && cells.all(|cell| !is_words(cell))
    })
}

fn is_mostly_words(row: &GridRow) -> bool {
    row.cells.iter().filter(|(_, cell)| is_words(cell)).count() * 2 > row.cells.len()
}

fn is_all_words(row: &GridRow) -> bool {
    row.cells.iter().all(|(_, cell)| is_words(cell))
}

/// Text with a letter or a number sign that is neither a date in digits, nor a telephone number, nor an e-mail address.
fn is_words(cell: &Cell) -> bool {
    let Cell::Text(text) = cell else { return false };
    let is_address = text.contains('@') && text.contains('.') && !text.contains(char::is_whitespace);
    text.chars().any(|c| c.is_alphabetic() || c == '#') && !is_address
}

/// A text on one line, runs of blanks as one.
pub(super) fn one_line(cell: &Cell) -> String {
    cell.to_text().split_whitespace().collect::<Vec<_>>().join(" ")
}
