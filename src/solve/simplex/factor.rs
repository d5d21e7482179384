//! The basis of the simplex method, taken apart: a sparse lower and an upper factor, which is kept upper as columns are
//! exchanged (Forrest and Tomlin, Updated triangular factors of the basis to maintain sparsity in the product form
//! simplex method, Mathematical Programming 2, 1972). A column of the basis stands at the row that it is pivot of.

use super::lists::Lists;
use super::making::Making;
use std::sync::Arc;

/// Entries smaller than this are noise.
pub(super) const NOISE: f64 = 1e-13;
/// A pivot smaller than this depends on the others.
pub(super) const DEPENDENT: f64 = 1e-9;
/// No row, no column.
pub(super) const NONE: usize = usize::MAX;

/// A sparse vector: places and values.
pub type Sparse = Vec<(usize, f64)>;

/// The factors of one basis. Copies share what does not change.
#[derive(Clone, Debug, Default)]
pub struct Factor {
    lower: Arc<Lower>,
    /// Rows taken from later ones since, in the order of their exchanges.
    changes: Vec<Arc<Change>>,
    upper: Upper,
}

/// The lower factor: pivots in order whose row is taken from rows below, and how much of it from which.
#[derive(Debug, Default)]
pub(super) struct Lower {
    pub rows: Vec<usize>,
    pub below: Lists,
}

/// So much of other rows is taken from a row.
#[derive(Debug)]
struct Change {
    row: usize,
    taken: Sparse,
}

/// The upper factor.
#[derive(Clone, Debug, Default)]
pub(super) struct Upper {
    /// Rows in the order of their pivots, none where one has gone to the end since.
    pub order: Vec<usize>,
    /// By row: its place in that order.
    pub place: Vec<usize>,
    /// By row of the pivot.
    pub pivots: Vec<f64>,
    /// By columns and by rows, both told by rows of pivots.
    pub columns: Lists,
    pub rows: Lists,
}

impl Factor {
    /// Takes apart a basis of `size` rows. Gives with it, for each row, which column is its pivot; rows
    /// left without one, since columns depend on each other, have the number of columns in place of it (there the
    /// factor has a unit column).
    pub fn new(size: usize, basis: &[&[(usize, f64)]]) -> (Factor, Vec<usize>) {
        let mut making = Making::new(size, basis);
        making.single_columns();
        making.single_rows();
        making.rest();
        let (lower, upper, pivot_of) = making.finish();
        let factor = Factor {
            lower: Arc::new(lower),
            changes: Vec::new(),
            upper,
        };
        (factor, pivot_of)
    }

    /// Columns exchanged since the basis was taken apart.
    pub fn exchanged(&self) -> usize {
        self.changes.len()
    }

    /// Solves `basis x = v` in place.
    pub fn solve(&self, v: &mut [f64]) {
        self.solve_lower(v);
        self.solve_upper(v);
    }

    /// The same for a column that is to enter the basis, with what [`Factor::exchange`] is to be given then.
    pub fn solve_to_enter(&self, v: &mut [f64]) -> Sparse {
        self.solve_lower(v);
        let half = v.iter().enumerate().filter(|it| it.1.abs() > NOISE);
        let half = half.map(|(row, &value)| (row, value)).collect();
        self.solve_upper(v);
        half
    }

    fn solve_lower(&self, v: &mut [f64]) {
        for (step, &row) in self.lower.rows.iter().enumerate() {
            let value = v[row];
            if value != 0.0 {
                for (i, share) in self.lower.below.of(step) {
                    v[i] -= share * value;
                }
            }
        }
        for change in &self.changes {
            let sum: f64 = change.taken.iter().map(|&(i, share)| share * v[i]).sum();
            v[change.row] -= sum;
        }
    }

    fn solve_upper(&self, v: &mut [f64]) {
        let upper = &self.upper;
        for &row in upper.order.iter().rev() {
            if row == NONE || v[row] == 0.0 {
                continue;
            }
            if v[row].abs() < NOISE {
                v[row] = 0.0;
                continue;
            }
            let value = v[row] / upper.pivots[row];
            v[row] = value;
            for (i, entry) in upper.columns.of(row) {
                v[i] -= entry * value;
            }
        }
    }

    /// Solves `y basis = v` in place.
    pub fn solve_transposed(&self, v: &mut [f64]) {
        let upper = &self.upper;
        for &row in &upper.order {
            if row == NONE || v[row] == 0.0 {
                continue;
            }
            if v[row].abs() < NOISE {
                v[row] = 0.0;
                continue;
            }
            let value = v[row] / upper.pivots[row];
            v[row] = value;
            for (i, entry) in upper.rows.of(row) {
                v[i] -= entry * value;
            }
        }
        for change in self.changes.iter().rev() {
            let value = v[change.row];
            if value != 0.0 {
                for &(i, share) in &change.taken {
                    v[i] -= share * value;
                }
            }
        }
        for (step, &row) in self.lower.rows.iter().enumerate().rev() {
            let sum: f64 = self
                .lower
                .below
                .of(step)
                .map(|(i, share)| share * v[i])
                .sum();
            v[row] -= sum;
        }
    }

    /// The column at `row` is exchanged for the one of which `half` was told; whether the factors can be used on: not
    /// where its pivot is next to nothing.
    pub fn exchange(&mut self, row: usize, half: &[(usize, f64)]) -> bool {
        let upper = &mut self.upper;
        let mut work = vec![0.0; upper.pivots.len()];
        for (column, value) in upper.rows.of(row) {
            work[column] = value;
            upper.columns.remove(column, row);
        }
        upper.rows.clear(row);
        // The row is emptied by later rows and goes to the end.
        let mut taken = Sparse::new();
        for &later in &upper.order[upper.place[row] + 1..] {
            if later == NONE || work[later] == 0.0 {
                continue;
            }
            let share = std::mem::take(&mut work[later]) / upper.pivots[later];
            if share.abs() < NOISE {
                continue;
            }
            for (column, value) in upper.rows.of(later) {
                work[column] -= share * value;
            }
            taken.push((later, share));
        }
        for (above, _) in upper.columns.of(row) {
            upper.rows.remove(above, row);
        }
        upper.columns.clear(row);
        for &(at, value) in half {
            work[at] = value;
            if at != row {
                upper.columns.push(row, at, value);
                upper.rows.push(at, row, value);
            }
        }
        let sum: f64 = taken
            .iter()
            .map(|&(later, share)| share * work[later])
            .sum();
        let pivot = work[row] - sum;
        upper.pivots[row] = pivot;
        upper.order[upper.place[row]] = NONE;
        upper.place[row] = upper.order.len();
        upper.order.push(row);
        self.changes.push(Arc::new(Change { row, taken }));
        pivot.abs() >= DEPENDENT
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn times(basis: &[Sparse], at: &[usize], x: &[f64]) -> Vec<f64> {
        let mut product = vec![0.0; x.len()];
        for (row, &column) in at.iter().enumerate() {
            for &(i, value) in &basis[column] {
                product[i] += value * x[row];
            }
        }
        product
    }

    proptest! {
        /// A basis times what its factors give is what was asked for, both ways, after exchanges too.
        #[test]
        fn factors_solve(
            size in 2usize..30,
            entries in prop::collection::vec((0usize..30, 0usize..30, -3.0f64..3.0), 0..150),
            exchanged in prop::collection::vec((0usize..30, -2.0f64..2.0), 0..80),
        ) {
            let mut basis: Vec<Sparse> = (0..size).map(|i| vec![(i, 4.0)]).collect();
            for (row, column, value) in entries {
                let (row, column) = (row % size, column % size);
                if !basis[column].iter().any(|e| e.0 == row) {
                    basis[column].push((row, value));
                }
            }
            let slices: Vec<&[(usize, f64)]> = basis.iter().map(|c| &c[..]).collect();
            let (mut factor, mut at) = Factor::new(size, &slices);
            prop_assume!(at.iter().all(|&c| c < size));
            // Where pivots are tiny nothing can be said of digits.
            prop_assume!(factor.upper.pivots.iter().all(|p| p.abs() > 1e-3));
            for chunk in exchanged.chunks(4) {
                let column: Sparse = chunk.iter().enumerate().map(|(i, &(r, v))| ((r + i * 7) % size, v)).collect();
                let mut merged = vec![0.0; size];
                for &(r, v) in &column { merged[r] += v; }
                let mut alpha = merged.clone();
                let half = factor.solve_to_enter(&mut alpha);
                let row = (0..size).max_by(|&a, &b| alpha[a].abs().total_cmp(&alpha[b].abs())).unwrap();
                if alpha[row].abs() < 1e-2 { continue; }
                let expected = factor.upper.pivots[row] * alpha[row];
                prop_assert!(factor.exchange(row, &half));
                let pivot = factor.upper.pivots[row];
                prop_assert!((pivot - expected).abs() < 1e-7 * (1.0 + pivot.abs()), "{pivot} {expected}");
                basis.push(merged.into_iter().enumerate().filter(|e| e.1 != 0.0).collect());
                at[row] = basis.len() - 1;
            }
            let wanted: Vec<f64> = (0..size).map(|i| ((i * 37) % 11) as f64 - 5.0).collect();
            let mut x = wanted.clone();
            factor.solve(&mut x);
            let size_of_x = x.iter().fold(1.0f64, |a, v| a.max(v.abs()));
            for (a, b) in times(&basis, &at, &x).iter().zip(&wanted) {
                prop_assert!((a - b).abs() < 1e-7 * size_of_x, "{a} {b}");
            }
            let mut y = wanted.clone();
            factor.solve_transposed(&mut y);
            let size_of_y = y.iter().fold(1.0f64, |a, v| a.max(v.abs()));
            for row in 0..size {
                let sum: f64 = basis[at[row]].iter().map(|&(i, v)| v * y[i]).sum();
                prop_assert!((sum - wanted[row]).abs() < 1e-7 * size_of_y);
            }
        }
    }
}
