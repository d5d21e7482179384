//! Rows of two columns that one row implies for whole numbers: where a column of zero or one is at one of them, another
//! one is at most so much.
//!
//! `sum x <= 4 y` lets a quarter of a cover do for one strip; with `y` whole each `x` that is at most one strip keeps `x <= y`.

use super::Simplex;
use super::round::Rounded;
use crate::programme::Sense;

/// Distance from whole numbers from which on a column counts as shared out, and least depth of a row.
const APART: f64 = 1e-3;
const LEAST_DEPTH: f64 = 1e-2;
/// Rows for each column at the most (estimate).
const EACH: usize = 2;

impl Simplex {
    /// Rows of two columns that cut off the point where the simplex stands, the deepest of each column.
    pub fn implied_rows(&self) -> Vec<Rounded> {
        let mut found: Vec<Vec<Rounded>> = vec![Vec::new(); self.columns];
        for row in 0..self.rows() {
            let side = match self.sense[row] {
                Sense::AtMost => 1.0,
                Sense::AtLeast => -1.0,
                Sense::Equal => continue,
            };
            self.implied_by(row, side, &mut found);
        }
        let mut all = Vec::new();
        for mut of_column in found {
            of_column.sort_by(|a, b| b.depth.total_cmp(&a.depth));
            of_column.truncate(EACH);
            all.extend(of_column);
        }
        all.sort_by(|a, b| b.depth.total_cmp(&a.depth));
        all
    }

    fn implied_by(&self, row: usize, side: f64, found: &mut [Vec<Rounded>]) {
        let terms = &self.by_row[row];
        let shared = |&&(column, _): &&(usize, f64)| {
            let value = self.now.value[column];
            self.whole[column]
                && self.lower[column] == 0.0
                && self.upper[column] == 1.0
                && value > APART
                && value < 1.0 - APART
        };
        let ones: Vec<(usize, f64)> = terms.iter().filter(shared).copied().collect();
        if ones.is_empty() {
            return;
        }
        let least = |c: usize, a: f64| (side * a * self.lower[c]).min(side * a * self.upper[c]);
        let all: f64 = terms.iter().map(|&(c, a)| least(c, a)).sum();
        let room = side * self.right[row] - all;
        for &(column, a) in terms {
            let own = side * a;
            if !self.whole[column]
                || own <= 0.0
                || self.now.value[column] <= self.lower[column] + APART
            {
                continue;
            }
            // In steps from its lower bound.
            let (lower, most) = (self.lower[column], self.upper[column] - self.lower[column]);
            for &(one, b) in ones.iter().filter(|o| o.0 != column) {
                let b = side * b;
                // Room for the column where the one is at its dearer side, and at the other.
                let dear = ((room - b.abs()) / own + APART).floor().max(0.0).min(most);
                let cheap = (room / own + APART).floor().min(most);
                if dear >= cheap {
                    continue;
                }
                // column <= lower + cheap - (cheap - dear) * dearer side
                let step = cheap - dear;
                let (factor, right) = match b > 0.0 {
                    true => (step, lower + cheap),
                    false => (-step, lower + dear),
                };
                let left = self.now.value[column] + factor * self.now.value[one];
                let depth = (left - right) / (1.0 + step * step).sqrt();
                if depth > LEAST_DEPTH {
                    let mut terms = vec![(column, 1.0), (one, factor)];
                    terms.sort_by_key(|t| t.0);
                    found[column].push(Rounded {
                        terms,
                        right,
                        depth,
                    });
                }
            }
        }
    }
}
