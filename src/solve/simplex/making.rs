//! Takes a basis apart into its two factors. Columns and rows with a single entry left come first, for they cost nothing; as a rule
//! little is left then to be eliminated.

use super::factor::{DEPENDENT, Lower, NOISE, NONE, Sparse, Upper};
use super::lists::Lists;

/// Smallest pivot, as a share of the greatest entry of its column, that is taken for its few neighbours (usual).
const THRESHOLD: f64 = 0.1;

/// Factors in the making.
pub(super) struct Making<'b> {
    basis: &'b [&'b [(usize, f64)]],
    /// For each row the columns that have an entry there.
    in_row: Lists,
    lower: Lower,
    order: Vec<usize>,
    pivots: Vec<f64>,
    /// For each column the row that it is pivot of, and the other way round.
    row_of: Vec<usize>,
    column_of: Vec<usize>,
    /// Rows whose pivot was the only entry left in its column: as they are they belong to the upper factor.
    as_it_is: Vec<bool>,
    /// What is left, with what was eliminated: by rows with values, by columns where they have entries.
    rows: Vec<Sparse>,
    columns: Vec<Vec<usize>>,
    /// Entries of the upper factor from it: row of the pivot, column, value.
    upper: Vec<(usize, usize, f64)>,
}

impl<'b> Making<'b> {
    pub fn new(size: usize, basis: &'b [&'b [(usize, f64)]]) -> Making<'b> {
        let mut lengths = vec![0; size];
        for &(row, _) in basis.iter().copied().flatten() {
            lengths[row] += 1;
        }
        let mut in_row = Lists::with_room(&lengths);
        for (c, column) in basis.iter().enumerate() {
            for &(row, value) in *column {
                in_row.push(row, c, value);
            }
        }
        Making {
            basis,
            in_row,
            lower: Lower::default(),
            order: Vec::with_capacity(size),
            pivots: vec![1.0; size],
            row_of: vec![NONE; basis.len()],
            column_of: vec![NONE; size],
            as_it_is: vec![false; size],
            rows: Vec::new(),
            columns: Vec::new(),
            upper: Vec::new(),
        }
    }

    fn take(&mut self, row: usize, column: usize, pivot: f64) {
        self.pivots[row] = pivot;
        self.order.push(row);
        self.row_of[column] = row;
        self.column_of[row] = column;
    }

    /// What is taken of a pivot's row in rows below it.
    fn add_lower(&mut self, row: usize, below: Sparse) {
        if !below.is_empty() {
            self.lower.rows.push(row);
            self.lower.below.add(below.into_iter());
        }
    }

    /// Columns with one entry: nothing is to be eliminated below it.
    pub fn single_columns(&mut self) {
        let mut entries: Vec<usize> = self.basis.iter().map(|column| column.len()).collect();
        let mut open: Vec<usize> = (0..entries.len()).filter(|&c| entries[c] == 1).collect();
        while let Some(column) = open.pop() {
            let mut left = self.basis[column].iter();
            let Some(&(row, value)) = left.find(|it| self.column_of[it.0] == NONE) else {
                continue;
            };
            if value.abs() < DEPENDENT {
                continue;
            }
            self.take(row, column, value);
            self.as_it_is[row] = true;
            for (other, _) in self.in_row.of(row) {
                entries[other] -= 1;
                if entries[other] == 1 && self.row_of[other] == NONE {
                    open.push(other);
                }
            }
        }
    }

    /// Rows with one entry: what stands below it is eliminated without any fill.
    pub fn single_rows(&mut self) {
        let mut entries = vec![0; self.column_of.len()];
        for (row, entries) in entries.iter_mut().enumerate() {
            if self.column_of[row] == NONE {
                let open = self.in_row.of(row).filter(|it| self.row_of[it.0] == NONE);
                *entries = open.count();
            }
        }
        let mut open: Vec<usize> = (0..entries.len()).filter(|&r| entries[r] == 1).collect();
        while let Some(row) = open.pop() {
            let mut left = self.in_row.of(row);
            let Some((column, pivot)) = left.find(|it| self.row_of[it.0] == NONE) else {
                continue;
            };
            drop(left);
            let of_column = self.basis[column].iter();
            let of_column = of_column.filter(|it| self.column_of[it.0] == NONE);
            let greatest = of_column.clone().map(|it| it.1.abs()).fold(0.0, f64::max);
            if pivot.abs() < (THRESHOLD * greatest).max(DEPENDENT) {
                continue;
            }
            let below: Sparse = of_column
                .filter(|it| it.0 != row)
                .map(|&(below, value)| (below, value / pivot))
                .collect();
            self.take(row, column, pivot);
            for &(below, _) in &below {
                entries[below] -= 1;
                if entries[below] == 1 {
                    open.push(below);
                }
            }
            self.add_lower(row, below);
        }
    }

    /// What is left: the column with fewest entries first, in it the row with fewest among those that are great enough.
    pub fn rest(&mut self) {
        self.rows = vec![Sparse::new(); self.column_of.len()];
        self.columns = vec![Vec::new(); self.basis.len()];
        let mut open: Vec<usize> = Vec::new();
        for (c, column) in self.basis.iter().enumerate() {
            if self.row_of[c] != NONE {
                continue;
            }
            for &(row, value) in *column {
                if self.column_of[row] == NONE {
                    self.rows[row].push((c, value));
                    self.columns[c].push(row);
                }
            }
            if !self.columns[c].is_empty() {
                open.push(c);
            }
        }
        while let Some(at) = (0..open.len()).min_by_key(|&i| (self.columns[open[i]].len(), open[i]))
        {
            let column = open.swap_remove(at);
            let entries: Sparse = (self.columns[column].iter())
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
            let (row, pivot) = entries
                .iter()
                .filter(|e| e.1.abs() >= THRESHOLD * greatest)
                .min_by_key(|e| (self.rows[e.0].len(), e.0))
                .copied()
                .expect("the greatest entry is one of them");
            self.eliminate(row, column, pivot);
            self.take(row, column, pivot);
        }
    }

    fn entry(&self, row: usize, column: usize) -> f64 {
        let found = self.rows[row].iter().find(|&&(c, _)| c == column);
        found.map_or(0.0, |&(_, value)| value)
    }

    /// Takes the pivot row off the rows below it; it goes to the upper factor, what they took of it to the lower.
    fn eliminate(&mut self, row: usize, column: usize, pivot: f64) {
        let mut pivot_row = std::mem::take(&mut self.rows[row]);
        pivot_row.retain(|&(c, _)| c != column);
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
            for &(c, value) in &pivot_row {
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
        for (c, value) in pivot_row {
            self.columns[c].retain(|&r| r != row);
            self.upper.push((row, c, value));
        }
        self.add_lower(row, lower);
    }

    /// The factors, and the column that is pivot of each row.
    pub fn finish(mut self) -> (Lower, Upper, Vec<usize>) {
        let size = self.column_of.len();
        // Rows left without a pivot have their own unit column.
        for row in 0..size {
            if self.column_of[row] == NONE {
                self.order.push(row);
                self.column_of[row] = self.basis.len();
            }
        }
        let (mut columns, mut rows) = (vec![0; size], vec![0; size]);
        self.each_upper(|row, of, _| {
            columns[of] += 1;
            rows[row] += 1;
        });
        let mut columns = Lists::with_room(&columns);
        let mut rows = Lists::with_room(&rows);
        self.each_upper(|row, of, value| {
            columns.push(of, row, value);
            rows.push(row, of, value);
        });
        let mut place = vec![NONE; size];
        for (at, &row) in self.order.iter().enumerate() {
            place[row] = at;
        }
        let upper = Upper {
            order: self.order,
            place,
            pivots: self.pivots,
            columns,
            rows,
        };
        (self.lower, upper, self.column_of)
    }

    /// Calls for each entry of the upper factor: its row, the row of its column's pivot, its value.
    fn each_upper(&self, mut call: impl FnMut(usize, usize, f64)) {
        for (c, column) in self.basis.iter().enumerate() {
            let of = self.row_of[c];
            if of == NONE {
                continue;
            }
            for &(row, value) in *column {
                if row != of && self.as_it_is[row] {
                    call(row, of, value);
                }
            }
        }
        for &(row, column, value) in &self.upper {
            let of = self.row_of[column];
            if of != NONE && value.abs() > NOISE {
                call(row, of, value);
            }
        }
    }
}
