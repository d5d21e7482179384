//! The basis of the simplex method, taken apart: a sparse lower and upper factor, and one column for each
//! exchange since (product form). A column of the basis stands at the row that it is pivot of.

use std::sync::Arc;

/// Smallest pivot, as a share of the greatest entry of its column, that is taken for its few neighbours (usual).
const THRESHOLD: f64 = 0.1;
/// Entries smaller than this are noise of the elimination.
const NOISE: f64 = 1e-13;
/// A column whose greatest entry is smaller than this depends on the others.
const DEPENDENT: f64 = 1e-9;
/// No row, no column.
const NONE: usize = usize::MAX;

/// A sparse vector: places and values.
pub type Sparse = Vec<(usize, f64)>;

/// The factors of one basis. Copies share what they have in common.
#[derive(Clone, Debug, Default)]
pub struct Factor {
    base: Arc<Base>,
    exchanges: Vec<Arc<Exchange>>,
}

/// A column that has come into the basis since: row, pivot, the rest of it.
#[derive(Debug)]
struct Exchange {
    row: usize,
    pivot: f64,
    rest: Sparse,
}

/// The basis as it was taken apart.
#[derive(Debug, Default)]
struct Base {
    size: usize,
    /// Rows in the order of their pivots.
    order: Vec<usize>,
    /// Pivots in order whose row is taken from rows below: the row, and how much of it from which.
    lower: Vec<(usize, Sparse)>,
    /// By row of the pivot.
    pivots: Vec<f64>,
    /// The upper factor by columns and by rows, both told by rows of pivots.
    columns: Vec<Sparse>,
    rows: Vec<Sparse>,
}

impl Factor {
    /// Takes apart a basis of `size` columns. Gives with it, for each row, which column is its pivot; rows
    /// left without one, since columns depend on each other, have the number of columns in place of it (there the
    /// factor has a unit column).
    pub fn new(size: usize, basis: &[Sparse]) -> (Factor, Vec<usize>) {
        let mut making = Making::new(size, basis);
        making.single_columns();
        making.single_rows();
        making.rest();
        making.finish(basis.len())
    }

    /// Columns exchanged since the basis was taken apart.
    pub fn exchanged(&self) -> usize {
        self.exchanges.len()
    }

    /// The column at `row` is exchanged for one that is `column` in terms of the basis.
    pub fn exchange(&mut self, row: usize, column: &[f64]) {
        let rest = column.iter().enumerate();
        let rest = rest.filter(|&(i, v)| i != row && v.abs() > NOISE);
        let rest = rest.map(|(i, &v)| (i, v)).collect();
        self.exchanges.push(Arc::new(Exchange {
            row,
            pivot: column[row],
            rest,
        }));
    }

    /// Solves `basis x = v` in place.
    pub fn solve(&self, v: &mut [f64]) {
        let base = &*self.base;
        for (row, below) in &base.lower {
            let value = v[*row];
            if value != 0.0 {
                for &(i, share) in below {
                    v[i] -= share * value;
                }
            }
        }
        for &row in base.order.iter().rev() {
            if v[row] != 0.0 {
                let value = v[row] / base.pivots[row];
                v[row] = value;
                for &(i, entry) in &base.columns[row] {
                    v[i] -= entry * value;
                }
            }
        }
        for it in &self.exchanges {
            if v[it.row] != 0.0 {
                let value = v[it.row] / it.pivot;
                v[it.row] = value;
                for &(i, entry) in &it.rest {
                    v[i] -= entry * value;
                }
            }
        }
    }

    /// Solves `y basis = v` in place.
    pub fn solve_transposed(&self, v: &mut [f64]) {
        for it in self.exchanges.iter().rev() {
            let sum: f64 = it.rest.iter().map(|&(i, entry)| entry * v[i]).sum();
            v[it.row] = (v[it.row] - sum) / it.pivot;
        }
        let base = &*self.base;
        for &row in &base.order {
            if v[row] != 0.0 {
                let value = v[row] / base.pivots[row];
                v[row] = value;
                for &(i, entry) in &base.rows[row] {
                    v[i] -= entry * value;
                }
            }
        }
        for (row, below) in base.lower.iter().rev() {
            let sum: f64 = below.iter().map(|&(i, share)| share * v[i]).sum();
            v[*row] -= sum;
        }
    }
}

/// Factors in the making.
struct Making {
    factor: Base,
    /// What is left of the basis: by rows with values, by columns where they have entries.
    rows: Vec<Sparse>,
    columns: Vec<Vec<usize>>,
    /// For each column, the row that it is pivot of.
    row_of: Vec<usize>,
    column_of: Vec<usize>,
    /// Entries of the upper factor: (row of the pivot, column, value).
    upper: Vec<(usize, usize, f64)>,
}

impl Making {
    fn new(size: usize, basis: &[Sparse]) -> Making {
        let mut rows = vec![Sparse::new(); size];
        let mut columns = Vec::with_capacity(basis.len());
        for (c, column) in basis.iter().enumerate() {
            for &(row, value) in column {
                rows[row].push((c, value));
            }
            columns.push(column.iter().map(|&(row, _)| row).collect());
        }
        Making {
            factor: Base {
                size,
                pivots: vec![1.0; size],
                ..Base::default()
            },
            rows,
            row_of: vec![NONE; basis.len()],
            column_of: vec![NONE; size],
            columns,
            upper: Vec::new(),
        }
    }

    fn entry(&self, row: usize, column: usize) -> f64 {
        let found = self.rows[row].iter().find(|&&(c, _)| c == column);
        found.map_or(0.0, |&(_, value)| value)
    }

    /// Takes a pivot: its row goes to the upper factor; `lower` is what rows below take of it.
    fn take(&mut self, row: usize, column: usize, lower: Sparse) {
        self.factor.pivots[row] = self.entry(row, column);
        self.factor.order.push(row);
        if !lower.is_empty() {
            self.factor.lower.push((row, lower));
        }
        self.row_of[column] = row;
        self.column_of[row] = column;
        for (c, value) in std::mem::take(&mut self.rows[row]) {
            if c != column {
                self.upper.push((row, c, value));
                self.columns[c].retain(|&r| r != row);
            }
        }
        self.columns[column].clear();
    }

    /// Columns with one entry: nothing is to be eliminated below it.
    fn single_columns(&mut self) {
        let mut open: Vec<usize> = (0..self.columns.len())
            .filter(|&c| self.columns[c].len() == 1)
            .collect();
        while let Some(column) = open.pop() {
            let [row] = self.columns[column][..] else {
                continue;
            };
            if self.entry(row, column).abs() < DEPENDENT {
                continue;
            }
            let others: Vec<usize> = self.rows[row].iter().map(|&(c, _)| c).collect();
            self.take(row, column, Sparse::new());
            open.extend(others.into_iter().filter(|&c| self.columns[c].len() == 1));
        }
    }

    /// Rows with one entry: what stands below it is eliminated without any fill.
    fn single_rows(&mut self) {
        let mut open: Vec<usize> = (0..self.rows.len())
            .filter(|&r| self.rows[r].len() == 1)
            .collect();
        while let Some(row) = open.pop() {
            let [(column, pivot)] = self.rows[row][..] else {
                continue;
            };
            let greatest = self.greatest(column);
            if pivot.abs() < (THRESHOLD * greatest).max(DEPENDENT) {
                continue;
            }
            let below: Vec<usize> = self.columns[column].clone();
            let lower = self.eliminate(row, column, &[]);
            self.take(row, column, lower);
            open.extend(below.into_iter().filter(|&r| self.rows[r].len() == 1));
        }
    }

    fn greatest(&self, column: usize) -> f64 {
        let entries = self.columns[column].iter();
        entries
            .map(|&row| self.entry(row, column).abs())
            .fold(0.0, f64::max)
    }

    /// What is left: the column with fewest entries first, in it the row with fewest among those that are great enough.
    fn rest(&mut self) {
        let mut open: Vec<usize> = (0..self.columns.len())
            .filter(|&c| self.row_of[c] == NONE && !self.columns[c].is_empty())
            .collect();
        while let Some(at) = (0..open.len()).min_by_key(|&i| (self.columns[open[i]].len(), open[i]))
        {
            let column = open.swap_remove(at);
            let entries: Vec<(usize, f64)> = self.columns[column]
                .iter()
                .map(|&row| (row, self.entry(row, column)))
                .collect();
            let greatest = entries.iter().map(|e| e.1.abs()).fold(0.0, f64::max);
            if greatest < DEPENDENT {
                // It depends on the others: out of the basis.
                for (row, _) in entries {
                    self.rows[row].retain(|&(c, _)| c != column);
                }
                self.columns[column].clear();
                continue;
            }
            let (row, _) = entries
                .iter()
                .filter(|e| e.1.abs() >= THRESHOLD * greatest)
                .min_by_key(|e| (self.rows[e.0].len(), e.0))
                .copied()
                .expect("the greatest entry is one of them");
            let others: Sparse = (self.rows[row].iter().copied())
                .filter(|&(c, _)| c != column)
                .collect();
            let lower = self.eliminate(row, column, &others);
            self.take(row, column, lower);
        }
    }

    /// Takes the pivot row off the rows below it; what they took of it.
    fn eliminate(&mut self, row: usize, column: usize, others: &[(usize, f64)]) -> Sparse {
        let pivot = self.entry(row, column);
        let mut lower = Sparse::new();
        for below in std::mem::take(&mut self.columns[column]) {
            if below == row {
                continue;
            }
            let entries = &mut self.rows[below];
            let at = entries
                .iter()
                .position(|&(c, _)| c == column)
                .expect("columns and rows tell the same entries");
            let share = entries.swap_remove(at).1 / pivot;
            for &(c, value) in others {
                match entries.iter_mut().find(|e| e.0 == c) {
                    Some(entry) => entry.1 -= share * value,
                    None => {
                        entries.push((c, -share * value));
                        self.columns[c].push(below);
                    }
                }
            }
            lower.push((below, share));
        }
        self.columns[column].push(row);
        lower
    }

    fn finish(mut self, columns: usize) -> (Factor, Vec<usize>) {
        // Rows left without a pivot have their own unit column.
        for row in 0..self.factor.size {
            if self.column_of[row] == NONE {
                self.factor.order.push(row);
                self.column_of[row] = columns;
            }
        }
        self.factor.columns = vec![Sparse::new(); self.factor.size];
        self.factor.rows = vec![Sparse::new(); self.factor.size];
        for (row, column, value) in self.upper {
            let of = self.row_of[column];
            if of != NONE && value.abs() > NOISE {
                self.factor.columns[of].push((row, value));
                self.factor.rows[row].push((of, value));
            }
        }
        let factor = Factor {
            base: Arc::new(self.factor),
            exchanges: Vec::new(),
        };
        (factor, self.column_of)
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
            exchanged in prop::collection::vec((0usize..30, -2.0f64..2.0), 0..20),
        ) {
            let mut basis: Vec<Sparse> = (0..size).map(|i| vec![(i, 4.0)]).collect();
            for (row, column, value) in entries {
                let (row, column) = (row % size, column % size);
                if !basis[column].iter().any(|e| e.0 == row) {
                    basis[column].push((row, value));
                }
            }
            let (mut factor, mut at) = Factor::new(size, &basis);
            prop_assume!(at.iter().all(|&c| c < size));
            // Where pivots are tiny nothing can be said of digits.
            prop_assume!(factor.base.pivots.iter().all(|p| p.abs() > 1e-3));
            for chunk in exchanged.chunks(4) {
                let column: Sparse = chunk.iter().enumerate().map(|(i, &(r, v))| ((r + i * 7) % size, v)).collect();
                let mut merged = vec![0.0; size];
                for &(r, v) in &column { merged[r] += v; }
                let mut alpha = merged.clone();
                factor.solve(&mut alpha);
                let row = (0..size).max_by(|&a, &b| alpha[a].abs().total_cmp(&alpha[b].abs())).unwrap();
                if alpha[row].abs() < 1e-2 { continue; }
                factor.exchange(row, &alpha);
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
