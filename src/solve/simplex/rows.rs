//! Rows that are added to a relaxation, and taken out of it again.

use super::{At, Simplex};
use crate::programme::Row;

impl Simplex {
    /// Adds rows; solve again afterwards.
    pub fn add_rows(&mut self, rows: &[Row]) {
        for row in rows {
            self.push_row(row);
            self.now.cost.push(0.0);
        }
        self.begin();
    }

    /// Takes out the rows for which `out` says so, of those that leave something over, and tells which went.
    pub fn drop_rows(&mut self, out: &dyn Fn(usize) -> bool) -> Vec<usize> {
        let loose = |row: usize| self.now.at[self.columns + row] == At::Basis;
        let gone: Vec<usize> = (0..self.rows())
            .filter(|&row| out(row) && loose(row))
            .collect();
        if gone.is_empty() {
            return gone;
        }
        let mut to = vec![usize::MAX; self.rows()];
        let mut next = 0;
        for row in 0..self.rows() {
            if gone.binary_search(&row).is_err() {
                to[row] = next;
                next += 1;
            }
        }
        let columns = self.columns;
        let kept = |column: usize| column < columns || to[column - columns] != usize::MAX;
        let renamed = |column: usize| match column < columns {
            true => column,
            false => columns + to[column - columns],
        };
        let head = std::mem::take(&mut self.now.head);
        let weight = std::mem::take(&mut self.now.weight);
        for (column, weight) in head.into_iter().zip(weight) {
            if kept(column) {
                self.now.head.push(renamed(column));
                self.now.weight.push(weight);
            }
        }
        keep(&mut self.by_column, &kept);
        for column in &mut self.by_column {
            column.retain(|&(row, _)| to[row] != usize::MAX);
            for entry in column {
                entry.0 = to[entry.0];
            }
        }
        keep(&mut self.by_row, &|row| to[row] != usize::MAX);
        keep(&mut self.right, &|row| to[row] != usize::MAX);
        keep(&mut self.sense, &|row| to[row] != usize::MAX);
        for list in [
            &mut self.true_cost,
            &mut self.lower,
            &mut self.upper,
            &mut self.now.value,
            &mut self.now.reduced,
            &mut self.now.cost,
        ] {
            keep(list, &kept);
        }
        keep(&mut self.now.at, &kept);
        keep(&mut self.bounded, &kept);
        keep(&mut self.whole, &kept);
        self.begin();
        gone
    }
}

fn keep<T>(list: &mut Vec<T>, kept: &dyn Fn(usize) -> bool) {
    let mut at = 0;
    list.retain(|_| {
        at += 1;
        kept(at - 1)
    });
}
