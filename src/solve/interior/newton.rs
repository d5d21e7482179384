//! The normal equations of a step and the directions that solve them.

use super::barrier::{Problem, Residuals, State, largest};
use super::cholesky::Factor;

/// Weight put on equations so that the matrix is positive definite, relative.
pub const EQUATION: f64 = 1e-10;
/// Times that a direction is refined.
const REFINEMENTS: usize = 2;
/// What a direction may leave of its right side, as a share: it is refined from there on.
const GOOD: f64 = 1e-9;

/// The matrix `A D A' + E`: where products of entries go, and its factor.
pub struct Normal {
    /// For each column the places of the products of its entries, pair by pair.
    places: Vec<u32>,
    /// Place of each row's diagonal.
    diagonal: Vec<u32>,
    values: Vec<f64>,
    pub factor: Factor,
}

impl Normal {
    /// For a programme.
    pub fn of(problem: &Problem) -> Normal {
        let order = problem.rows.len();
        let mut below: Vec<Vec<usize>> = (0..order).map(|row| vec![row]).collect();
        let lists: Vec<&[(usize, f64)]> = (problem.starts.windows(2))
            .map(|ends| &problem.entries[ends[0]..ends[1]])
            .collect();
        for list in &lists {
            for (n, &(column, _)) in list.iter().enumerate() {
                below[column].extend(list[n + 1..].iter().map(|e| e.0));
            }
        }
        let mut starts = vec![0];
        let mut rows = Vec::new();
        for list in &mut below {
            list.sort_unstable();
            list.dedup();
            rows.extend_from_slice(list);
            starts.push(rows.len());
        }
        drop(below);
        let place = |column: usize, row: usize| {
            let list = &rows[starts[column]..starts[column + 1]];
            (starts[column] + list.binary_search(&row).expect("the place is there")) as u32
        };
        let mut places = Vec::new();
        for list in &lists {
            for (n, &(column, _)) in list.iter().enumerate() {
                places.extend(list[n..].iter().map(|&(row, _)| place(column, row)));
            }
        }
        Normal {
            places,
            diagonal: (0..order).map(|row| starts[row] as u32).collect(),
            values: vec![0.0; rows.len()],
            factor: Factor::of(order, &starts, &rows),
        }
    }

    /// Multiplications of one factor, the matrix included.
    pub fn effort(&self) -> u64 {
        self.factor.effort() + self.places.len() as u64
    }

    /// Factors it for these weights of columns and rows.
    pub fn refactor(&mut self, problem: &Problem, columns: &[f64], rows: &[f64]) {
        self.values.fill(0.0);
        for (&at, weight) in self.diagonal.iter().zip(rows) {
            self.values[at as usize] = *weight;
        }
        let mut places = self.places.iter();
        for (ends, weight) in problem.starts.windows(2).zip(columns) {
            let list = &problem.entries[ends[0]..ends[1]];
            for (n, &(_, a)) in list.iter().enumerate() {
                let by = a * weight;
                for (&(_, b), &at) in list[n..].iter().zip(&mut places) {
                    self.values[at as usize] += by * b;
                }
            }
        }
        self.factor.refactor(&self.values);
    }
}

/// A direction.
pub struct Way {
    pub x: Vec<f64>,
    pub slack: Vec<f64>,
    pub price: Vec<f64>,
    pub reduced: Vec<f64>,
}

/// Newton's method at a state, the matrix factored.
pub struct Newton<'n> {
    pub problem: &'n Problem,
    pub normal: &'n Normal,
    pub columns: &'n [f64],
    pub rows: &'n [f64],
    pub state: &'n State,
    pub residuals: &'n Residuals,
}

impl Newton<'_> {
    /// The direction that takes all residuals away and changes the products of pairs by these amounts.
    pub fn way(&self, pairs: &[f64], of_rows: &[f64]) -> Way {
        let (problem, state) = (self.problem, self.state);
        // What columns would do alone, and what rows then lack.
        let alone: Vec<f64> = (0..state.x.len())
            .map(|j| self.columns[j] * (self.residuals.columns[j] + pairs[j] / state.x[j]))
            .collect();
        let mut right: Vec<f64> = (0..problem.rows.len())
            .map(|row| {
                let slack = if problem.rows[row].1 {
                    0.0
                } else {
                    of_rows[row] / state.price[row]
                };
                slack - self.residuals.rows[row]
            })
            .collect();
        problem.times(&alone, &mut right);
        let mut price = right.clone();
        self.normal.factor.solve(&mut price);
        for _ in 0..REFINEMENTS {
            let mut rest = right.clone();
            let back: Vec<f64> = (problem.mirrored(&price).iter().zip(self.columns))
                .map(|(p, d)| -p * d)
                .collect();
            problem.times(&back, &mut rest);
            for (row, value) in rest.iter_mut().enumerate() {
                let weight = if problem.rows[row].1 {
                    0.0
                } else {
                    self.rows[row]
                };
                *value -= weight * price[row];
            }
            if largest(&rest) <= GOOD * largest(&right) {
                break;
            }
            self.normal.factor.solve(&mut rest);
            price.iter_mut().zip(&rest).for_each(|(p, r)| *p += r);
        }
        let paid = problem.mirrored(&price);
        let x: Vec<f64> = (alone.iter().zip(&paid))
            .zip(self.columns)
            .map(|((a, p), d)| a - d * p)
            .collect();
        let reduced: Vec<f64> = (paid.iter().zip(&self.residuals.columns))
            .map(|(p, r)| p - r)
            .collect();
        let slack: Vec<f64> = (0..problem.rows.len())
            .map(|row| match problem.rows[row].1 {
                true => 0.0,
                false => (of_rows[row] - state.slack[row] * price[row]) / state.price[row],
            })
            .collect();
        Way {
            x,
            slack,
            price,
            reduced,
        }
    }
}
