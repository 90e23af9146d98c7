//! Places of the grid and their names: row letters (A … Z, AA …) and column number from 1.
//!
//! Rows and columns count from 0 inside; `A1` is row 0, column 0.

use std::fmt;

/// A place of the grid, row then column, both from 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Cell {
    /// Row, 0 nearest the reference edge.
    pub row: u32,
    /// Column, 0 nearest the reference corner.
    pub column: u32,
}

/// A rectangle of places, both corners included; a single place has them equal.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct CellRange {
    /// Least row and column.
    pub from: Cell,
    /// Greatest row and column.
    pub to: Cell,
}

/// No grid reaches this many rows or columns; a greater number in a name is a slip of the pen.
pub const MOST_ROWS_OR_COLUMNS: u32 = 1000;

impl Cell {
    /// Makes a place.
    pub const fn new(row: u32, column: u32) -> Cell {
        Cell { row, column }
    }

    /// Reads `A1`, `AA12`; small letters are taken as capitals. `None` if it is not such a name.
    pub fn parse(text: &str) -> Option<Cell> {
        let text = text.trim();
        let split = text.find(|c: char| !c.is_ascii_alphabetic())?;
        let (letters, digits) = text.split_at(split);
        if letters.is_empty() || letters.len() > 3 || digits.is_empty() || digits.len() > 4 {
            return None;
        }
        if !digits.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        let row = letters
            .bytes()
            .fold(0u32, |row, b| row * 26 + u32::from(b.to_ascii_uppercase() - b'A') + 1)
            .checked_sub(1)?;
        let column = digits.parse::<u32>().ok()?.checked_sub(1)?;
        (row < MOST_ROWS_OR_COLUMNS && column < MOST_ROWS_OR_COLUMNS).then_some(Cell { row, column })
    }
}

/// The letters of a row: A … Z, AA, AB, …
pub fn row_letters(row: u32) -> String {
    let mut rest = row + 1;
    let mut letters = Vec::new();
    while rest > 0 {
        rest -= 1;
        letters.push(b'A' + (rest % 26) as u8);
        rest /= 26;
    }
    letters.iter().rev().map(|&b| char::from(b)).collect()
}

impl fmt::Display for Cell {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}{}", row_letters(self.row), self.column + 1)
    }
}

impl CellRange {
    /// Reads `C4` or `D4:D9` (any two opposite corners).
    pub fn parse(text: &str) -> Option<CellRange> {
        let (a, b) = match text.split_once(':') {
            Some((a, b)) => (Cell::parse(a)?, Cell::parse(b)?),
            None => (Cell::parse(text)?, Cell::parse(text)?),
        };
        Some(CellRange {
            from: Cell::new(a.row.min(b.row), a.column.min(b.column)),
            to: Cell::new(a.row.max(b.row), a.column.max(b.column)),
        })
    }

    /// Number of its places.
    pub fn places(self) -> u64 {
        let side = |from: u32, to: u32| u64::from(to.saturating_sub(from)) + 1;
        side(self.from.row, self.to.row) * side(self.from.column, self.to.column)
    }

    /// Its places, rows then columns.
    pub fn cells(self) -> impl Iterator<Item = Cell> {
        (self.from.row..=self.to.row)
            .flat_map(move |row| (self.from.column..=self.to.column).map(move |column| Cell::new(row, column)))
    }

    /// True if the place lies in the rectangle.
    pub fn contains(self, cell: Cell) -> bool {
        (self.from.row..=self.to.row).contains(&cell.row) && (self.from.column..=self.to.column).contains(&cell.column)
    }
}

impl CellRange {
    /// One place.
    pub const fn one(cell: Cell) -> CellRange {
        CellRange { from: cell, to: cell }
    }

    /// What is left of the rectangle without a place: at most four rectangles; itself, if the place is
    /// not in it.
    pub fn without(self, cell: Cell) -> Vec<CellRange> {
        if !self.contains(cell) {
            return vec![self];
        }
        let CellRange { from, to } = self;
        let band = |r0, r1, c0, c1| CellRange { from: Cell::new(r0, c0), to: Cell::new(r1, c1) };
        let mut left = Vec::new();
        if cell.row > from.row {
            left.push(band(from.row, cell.row - 1, from.column, to.column));
        }
        if cell.column > from.column {
            left.push(band(cell.row, cell.row, from.column, cell.column - 1));
        }
        if cell.column < to.column {
            left.push(band(cell.row, cell.row, cell.column + 1, to.column));
        }
        if cell.row < to.row {
            left.push(band(cell.row + 1, to.row, from.column, to.column));
        }
        left
    }
}

impl fmt::Display for CellRange {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.from == self.to { write!(f, "{}", self.from) } else { write!(f, "{}:{}", self.from, self.to) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_and_places_agree_both_ways() {
        for (name, row, column) in
            [("A1", 0, 0), ("B12", 1, 11), ("Z3", 25, 2), ("AA1", 26, 0), ("AZ9", 51, 8), ("BA10", 52, 9)]
        {
            assert_eq!(Cell::parse(name), Some(Cell::new(row, column)), "{name}");
            assert_eq!(Cell::new(row, column).to_string(), name);
        }
        for row in 0..MOST_ROWS_OR_COLUMNS {
            let cell = Cell::new(row, row % 7);
            assert_eq!(Cell::parse(&cell.to_string()), Some(cell));
        }
    }

    #[test]
    fn what_is_not_a_place_is_not_read_as_one() {
        for text in ["", "A", "1", "A0", "1A", "A-1", "A1B", "ABCD1", "A99999", "Ä1", "A 1"] {
            assert_eq!(Cell::parse(text), None, "{text}");
        }
    }

    #[test]
    fn a_rectangle_without_a_place_has_all_the_others_once() {
        let range = CellRange::parse("B2:D5").unwrap();
        for hole in range.cells() {
            let mut left: Vec<Cell> = range.without(hole).into_iter().flat_map(CellRange::cells).collect();
            left.sort();
            assert_eq!(left, range.cells().filter(|&c| c != hole).collect::<Vec<_>>(), "{hole}");
        }
        let outside = Cell::parse("A1").unwrap();
        assert_eq!(range.without(outside), [range]);
        assert_eq!(CellRange::one(outside).without(outside), []);
    }

    #[test]
    fn a_range_may_be_written_from_any_corner() {
        let range = CellRange::parse("D9:B4").unwrap();
        assert_eq!(range.to_string(), "B4:D9");
        assert!(range.contains(Cell::new(2, 5)) && !range.contains(Cell::new(0, 5)));
    }
}
