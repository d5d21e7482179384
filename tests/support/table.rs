//! Reads the small comma-separated tables in `tests/data`, where the sources stand. Used through
//! `#[path]`.
#![allow(dead_code)]

use std::path::Path;

const MONTH_NAMES: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// A table with a header line; lines that begin with `#` are remarks.
pub struct Table {
    header: Vec<String>,
    lines: Vec<Vec<String>>,
}

/// One line of a table.
#[derive(Clone, Copy, Debug)]
pub struct Row<'a> {
    header: &'a [String],
    cells: &'a [String],
}

impl Table {
    pub fn read(name: &str) -> Table {
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("tests/data")
            .join(name);
        let text = std::fs::read_to_string(&path).expect("the table is there");
        let mut lines = text
            .lines()
            .filter(|line| !line.starts_with('#'))
            .map(|line| line.split(',').map(String::from).collect::<Vec<_>>());
        let header = lines.next().expect("a header");
        let lines: Vec<_> = lines.collect();
        assert!(!lines.is_empty() && lines.iter().all(|line| line.len() == header.len()));
        Table { header, lines }
    }

    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.lines.iter().map(|cells| Row {
            header: &self.header,
            cells,
        })
    }

    /// The first row with these cells.
    pub fn find(&self, cells: &[(&str, &str)]) -> Row<'_> {
        self.rows()
            .find(|row| cells.iter().all(|(column, text)| row.text(column) == *text))
            .unwrap_or_else(|| panic!("a row with {cells:?}"))
    }
}

impl<'a> Row<'a> {
    pub fn text(&self, column: &str) -> &'a str {
        let index = self.header.iter().position(|name| name == column);
        &self.cells[index.unwrap_or_else(|| panic!("a column {column}"))]
    }

    pub fn number(&self, column: &str) -> f64 {
        self.maybe(column).expect("a number")
    }

    /// `None` where the cell is empty.
    pub fn maybe(&self, column: &str) -> Option<f64> {
        let text = self.text(column);
        (!text.is_empty()).then(|| text.parse().expect("a number or nothing"))
    }

    pub fn months(&self) -> [f64; 12] {
        MONTH_NAMES.map(|month| self.number(month))
    }
}
