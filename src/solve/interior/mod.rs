//! Linear programmes, solved by an interior-point method of our own: good prices fast. Nothing that is
//! claimed rests on its accuracy; bounds are computed from the prices in `bound`.

mod barrier;
mod cholesky;
mod dense;
mod midway;
mod newton;
mod symbolic;

use barrier::{Problem, minimise};
pub use midway::Midway;

/// Minimise `cost x` over `x >= 0` and rows that are `<= right` or `= right`.
#[derive(Clone, Debug, Default)]
pub struct Lp {
    pub cost: Vec<f64>,
    rows: Vec<(f64, bool)>,
    columns_called: Vec<Called>,
    rows_called: Vec<Called>,
    entries: Vec<(usize, usize, f64)>,
}

/// What a column or a row is called. The same name in two programmes stands for the same thing; where several of one
/// programme share a name (rounding rows that differ in their divisor, cover rows in what lies), the last speaks for all.
pub type Called = (&'static str, [usize; 3]);

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
    /// Multiplications that it took: how dear it was, the same on every machine.
    pub effort: u64,
}

/// What rows and columns are multiplied by while a programme is solved.
struct Scales {
    rows: Vec<f64>,
    columns: Vec<f64>,
}

impl Lp {
    /// A new column.
    pub fn col(&mut self, called: Called, cost: f64) -> Col {
        self.columns_called.push(called);
        self.cost.push(cost);
        self.cost.len() - 1
    }

    /// A new row `... <= right`.
    pub fn at_most(&mut self, called: Called, right: f64) -> Row {
        self.row(called, (right, false))
    }

    /// A new row `... = right`.
    pub fn equal(&mut self, called: Called, right: f64) -> Row {
        self.row(called, (right, true))
    }

    fn row(&mut self, called: Called, row: (f64, bool)) -> Row {
        self.rows_called.push(called);
        self.rows.push(row);
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
        self.solve_by(accuracy, None, &|| true)
    }

    /// The same from where a programme like it was midway, which becomes where this one was; `None` as well where it is
    /// told before one of its steps not to go on.
    pub fn solve_from(
        &self,
        midway: &mut Midway,
        accuracy: f64,
        go_on: &dyn Fn() -> bool,
    ) -> Option<Point> {
        self.solve_by(accuracy, Some(midway), go_on)
    }

    fn solve_by(
        &self,
        accuracy: f64,
        midway: Option<&mut Midway>,
        go_on: &dyn Fn() -> bool,
    ) -> Option<Point> {
        if self.cost.is_empty() {
            // Nothing to decide: bare ground before any harvest.
            return Some(Point {
                x: Vec::new(),
                prices: vec![0.0; self.rows.len()],
                value: 0.0,
                effort: 0,
            });
        }
        let scales = self.scales();
        let mut starts = vec![0];
        let mut entries = Vec::with_capacity(self.entries.len());
        for (col, list) in self.by_column().into_iter().enumerate() {
            let by = scales.columns[col];
            let scaled = |(row, value)| (row, value * by * scales.rows[row]);
            entries.extend(list.into_iter().map(scaled));
            starts.push(entries.len());
        }
        let problem = Problem {
            cost: (self.cost.iter().zip(&scales.columns))
                .map(|(c, s)| c * s)
                .collect(),
            rows: (self.rows.iter().zip(&scales.rows))
                .map(|(r, s)| (r.0 * s, r.1))
                .collect(),
            starts,
            entries,
        };
        let begun = (midway.as_ref()).and_then(|midway| midway.state(self, &problem, &scales));
        let found = minimise(&problem, accuracy, begun, go_on)?;
        if let (Some(midway), Some((mean, state))) = (midway, &found.midway) {
            *midway = Midway::of(self, *mean, state, &scales);
        }
        Some(Point {
            x: (found.x.iter().zip(&scales.columns))
                .map(|(x, s)| x * s)
                .collect(),
            prices: (found.prices.iter().zip(&scales.rows))
                .map(|(p, s)| p * s)
                .collect(),
            value: found.value,
            effort: found.effort,
        })
    }

    /// Entries by column, rows ascending; terms of one row and column are added up.
    fn by_column(&self) -> Vec<Vec<(usize, f64)>> {
        let mut by_column: Vec<Vec<(usize, f64)>> = vec![Vec::new(); self.cost.len()];
        for &(row, col, value) in &self.entries {
            by_column[col].push((row, value));
        }
        for list in &mut by_column {
            list.sort_by_key(|e| e.0);
            list.dedup_by(|next, one| {
                let same = next.0 == one.0;
                if same {
                    one.1 += next.1;
                }
                same
            });
        }
        by_column
    }

    /// Scales of rows and columns, powers of two, that bring entries near 1 (Ruiz 2001, RAL-TR-2001-034).
    fn scales(&self) -> Scales {
        const PASSES: usize = 4;
        let mut row_scale = vec![1.0; self.rows.len()];
        let mut column_scale = vec![1.0; self.cost.len()];
        for _ in 0..PASSES {
            let mut of_rows = vec![0.0f64; self.rows.len()];
            let mut of_columns = vec![0.0f64; self.cost.len()];
            for &(row, col, value) in &self.entries {
                let size = (value * row_scale[row] * column_scale[col]).abs();
                of_rows[row] = of_rows[row].max(size);
                of_columns[col] = of_columns[col].max(size);
            }
            for (scales, sizes) in [(&mut row_scale, &of_rows), (&mut column_scale, &of_columns)] {
                for (scale, size) in scales.iter_mut().zip(sizes) {
                    if *size > 0.0 {
                        *scale /= 2f64.powi((size.log2() / 2.0).round() as i32);
                    }
                }
            }
        }
        Scales {
            rows: row_scale,
            columns: column_scale,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Names matter only where another programme begins midway in this one.
    const NAMELESS: Called = ("", [0; 3]);

    #[test]
    fn nothing_to_decide_costs_nothing() {
        let mut lp = Lp::default();
        lp.at_most(NAMELESS, 1.0);
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
        let (x, y) = (lp.col(NAMELESS, -3.0), lp.col(NAMELESS, -5.0));
        let rows = [
            lp.at_most(NAMELESS, 4.0),
            lp.at_most(NAMELESS, 12.0),
            lp.at_most(NAMELESS, 18.0),
        ];
        lp.term(rows[0], x, 1.0);
        lp.term(rows[1], y, 2.0);
        lp.term(rows[2], x, 3.0);
        lp.term(rows[2], y, 2.0);
        // Cut short after three steps: no point.
        let steps = std::cell::Cell::new(0);
        let three = || steps.replace(steps.get() + 1) < 3;
        assert!(
            lp.solve_from(&mut Midway::default(), 1e-9, &three)
                .is_none()
                && steps.get() == 4
        );
        let point = lp.solve(1e-9).unwrap();
        assert!((point.value + 36.0).abs() < 1e-6);
        assert!((point.prices[1] - 1.5).abs() < 1e-6);
        assert!((point.prices[2] - 1.0).abs() < 1e-6);
    }

    #[test]
    fn rows_that_repeat_each_other_do_no_harm() {
        // min x + 2y + 3z, x + y + z = 2 (twice, once doubled), x <= 0.5, y <= 0.5: by hand 4.5 at (0.5, 0.5, 1).
        let mut lp = Lp::default();
        let cols = [
            lp.col(NAMELESS, 1.0),
            lp.col(NAMELESS, 2.0),
            lp.col(NAMELESS, 3.0),
        ];
        for times in [1.0, 2.0] {
            let row = lp.equal(NAMELESS, 2.0 * times);
            for col in cols {
                lp.term(row, col, times);
            }
        }
        for col in &cols[..2] {
            let row = lp.at_most(NAMELESS, 0.5);
            lp.term(row, *col, 1.0);
        }
        let point = lp.solve(1e-8).unwrap();
        assert!((point.value - 4.5).abs() < 1e-6, "{}", point.value);
        for (x, expected) in point.x.iter().zip([0.5, 0.5, 1.0]) {
            assert!((x - expected).abs() < 1e-6, "{:?}", point.x);
        }
    }

    #[test]
    fn what_cannot_be_is_no_point() {
        // x >= 2 and x <= 1.
        let mut lp = Lp::default();
        let x = lp.col(NAMELESS, 1.0);
        for (sign, right) in [(-1.0, -2.0), (1.0, 1.0)] {
            let row = lp.at_most(NAMELESS, right);
            lp.term(row, x, sign);
        }
        assert!(lp.solve(1e-8).is_none());
    }
}
