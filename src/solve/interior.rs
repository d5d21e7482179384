//! Linear programmes solved by Clarabel's interior-point method: good prices fast. Nothing that is
//! claimed rests on its accuracy; bounds are computed from the prices in `bound`.

use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettingsBuilder, DefaultSolver, IPSolver, NonnegativeConeT, SolverStatus, ZeroConeT,
};

/// Minimise `cost x` over `x >= 0` and rows that are `<= right` or `= right`.
#[derive(Clone, Debug, Default)]
pub struct Lp {
    pub cost: Vec<f64>,
    rows: Vec<(f64, bool)>,
    entries: Vec<(usize, usize, f64)>,
}

/// A column of an [`Lp`].
pub type Col = usize;
/// A row of an [`Lp`].
pub type Row = usize;

/// An optimal (or nearly so) point with the prices of its rows (`>= 0` for `<=` rows).
#[derive(Clone, Debug)]
pub struct Point {
    pub x: Vec<f64>,
    pub prices: Vec<f64>,
    pub value: f64,
}

impl Lp {
    /// A new column.
    pub fn col(&mut self, cost: f64) -> Col {
        self.cost.push(cost);
        self.cost.len() - 1
    }

    /// A new row `... <= right`.
    pub fn at_most(&mut self, right: f64) -> Row {
        self.rows.push((right, false));
        self.rows.len() - 1
    }

    /// A new row `... = right`.
    pub fn equal(&mut self, right: f64) -> Row {
        self.rows.push((right, true));
        self.rows.len() - 1
    }

    /// Adds a term to a row.
    pub fn term(&mut self, row: Row, col: Col, value: f64) {
        self.entries.push((row, col, value));
    }

    /// Raises the right side of a row.
    pub fn raise(&mut self, row: Row, by: f64) {
        self.rows[row].0 += by;
    }

    /// Solves to a relative accuracy; `None` where the method fails.
    pub fn solve(&self, accuracy: f64) -> Option<Point> {
        const MOST_STEPS: u32 = 100;
        let (columns, rows) = (self.cost.len(), self.rows.len());
        if columns == 0 {
            // Nothing to decide, which Clarabel cannot be asked: bare ground before any harvest.
            return Some(Point {
                x: Vec::new(),
                prices: vec![0.0; rows],
                value: 0.0,
            });
        }
        // Equalities first, then inequalities, then the signs.
        let mut place = vec![0; rows];
        let mut right = Vec::with_capacity(rows + columns);
        for equality in [true, false] {
            for (row, &(value, is_equal)) in self.rows.iter().enumerate() {
                if is_equal == equality {
                    place[row] = right.len();
                    right.push(value);
                }
            }
        }
        let equalities = self.rows.iter().filter(|(_, equal)| *equal).count();
        right.resize(rows + columns, 0.0);
        let matrix = self.matrix(&place);
        let settings = DefaultSettingsBuilder::default()
            .verbose(false)
            .max_iter(MOST_STEPS)
            .max_threads(1)
            .direct_solve_method("qdldl".to_string())
            .tol_gap_rel(accuracy)
            .tol_gap_abs(accuracy)
            .tol_feas(accuracy.min(1e-6))
            .presolve_enable(false)
            .build()
            .ok()?;
        let cones = [
            ZeroConeT(equalities),
            NonnegativeConeT(rows - equalities + columns),
        ];
        let nothing = CscMatrix::<f64>::zeros((columns, columns));
        let mut solver =
            DefaultSolver::new(&nothing, &self.cost, &matrix, &right, &cones, settings).ok()?;
        solver.solve();
        let usable = matches!(
            solver.solution.status,
            SolverStatus::Solved | SolverStatus::AlmostSolved | SolverStatus::InsufficientProgress
        );
        usable.then(|| Point {
            x: solver.solution.x.clone(),
            prices: place.iter().map(|&p| solver.solution.z[p]).collect(),
            value: solver.solution.obj_val,
        })
    }

    /// Rows in their places, then `-x <= 0`; terms of one row and column are added up.
    fn matrix(&self, place: &[usize]) -> CscMatrix<f64> {
        let (columns, rows) = (self.cost.len(), self.rows.len());
        let mut by_column: Vec<Vec<(usize, f64)>> = vec![Vec::new(); columns];
        for &(row, col, value) in &self.entries {
            by_column[col].push((place[row], value));
        }
        let mut starts = Vec::with_capacity(columns + 1);
        let (mut row_numbers, mut values) = (Vec::new(), Vec::new());
        starts.push(0);
        for (col, entries) in by_column.iter_mut().enumerate() {
            entries.push((rows + col, -1.0));
            entries.sort_by_key(|e| e.0);
            for &(row, value) in entries.iter() {
                if row_numbers.len() > starts[col] && row_numbers.last() == Some(&row) {
                    *values.last_mut().expect("as many values as rows") += value;
                } else {
                    row_numbers.push(row);
                    values.push(value);
                }
            }
            starts.push(row_numbers.len());
        }
        CscMatrix::new(rows + columns, columns, starts, row_numbers, values)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_to_decide_costs_nothing() {
        let mut lp = Lp::default();
        lp.at_most(1.0);
        let point = lp.solve(1e-6).expect("solved");
        assert_eq!(
            (point.x.len(), point.prices, point.value),
            (0, vec![0.0], 0.0)
        );
    }

    #[test]
    fn solves_a_programme_with_a_known_optimum() {
        // max 3x + 5y, x <= 4, 2y <= 12, 3x + 2y <= 18: optimum 36 at (2, 6), prices 0, 1.5, 1.
        // Source: Hillier & Lieberman, Introduction to Operations Research, prototype example
        // (from memory; the optimum is checked by hand).
        let mut lp = Lp::default();
        let (x, y) = (lp.col(-3.0), lp.col(-5.0));
        let rows = [lp.at_most(4.0), lp.at_most(12.0), lp.at_most(18.0)];
        lp.term(rows[0], x, 1.0);
        lp.term(rows[1], y, 2.0);
        lp.term(rows[2], x, 3.0);
        lp.term(rows[2], y, 2.0);
        let point = lp.solve(1e-9).unwrap();
        assert!((point.value + 36.0).abs() < 1e-6);
        assert!((point.prices[1] - 1.5).abs() < 1e-6);
        assert!((point.prices[2] - 1.0).abs() < 1e-6);
    }
}
