//! Relaxations by the dual simplex method, solved again and again as columns are narrowed and rows are added.
//!
//! Every column lies between two bounds (those that have only one get the other from a row), so any basis
//! can be begun from: what is not in it lies at the bound that its price prefers, and only the dual method is needed.
//! Nothing that is claimed rests on its accuracy: [`Simplex::bound`] is a sum of our own over the rows at whatever
//! prices were reached, [`Simplex::clashing`] over one row made of all.

mod dual;
mod factor;
mod implied;
mod lists;
mod making;
mod proof;
mod round;
mod rows;
mod state;

use crate::programme::{Goal, Programme, Row, Sense};
pub use dual::Until;
use factor::{Factor, Sparse};
use lists::Lists;
pub use round::Rounded;
pub use state::Basis;
use state::State;
use std::sync::Arc;

/// How far a value may lie outside its bounds, and a price on the wrong side (usual).
const FEASIBLE: f64 = 1e-7;
/// Bound of columns for which no row tells one (nothing that is proven uses it).
const FAR: f64 = 1e7;
/// Exchanges after which the basis is taken apart anew (usual).
const EXCHANGES: usize = 100;

/// Where a column is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum At {
    Basis,
    Lower,
    Upper,
}

/// How a solve ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// No point of the relaxation is better.
    Optimal,
    /// There is no point (shown by a row made of all rows).
    Infeasible,
    /// No point is worth more than the least worth asked for.
    Beaten,
    /// It was told to stop, or the pivots allowed were done.
    Stopped,
    /// The method got stuck: what bound there is stands, no point does.
    Stuck,
}

/// A relaxation and where its solution stands.
#[derive(Clone, Debug)]
pub struct Simplex {
    columns: usize,
    constant: f64,
    /// Of columns and then of what each row leaves over.
    by_column: Vec<Sparse>,
    by_row: Vec<Sparse>,
    right: Vec<f64>,
    sense: Vec<Sense>,
    /// Of columns and then of what each row leaves over. Costs are to be small, so they are worths turned round.
    true_cost: Vec<f64>,
    lower: Vec<f64>,
    upper: Vec<f64>,
    /// Whether both bounds of a column are known.
    bounded: Vec<bool>,
    /// Whether every point sought has whole numbers there.
    whole: Vec<bool>,

    /// Where it stands: all that solving changes.
    now: State,
    pub pivots: u64,
}

impl Simplex {
    /// The relaxation of a maximisation by the rows that are `telling`, at the basis of what rows leave over.
    ///
    /// # Panics
    /// When the programme is to be minimised.
    pub fn new(programme: &Programme, telling: &[bool]) -> Simplex {
        assert_eq!(programme.goal, Goal::Maximise);
        let columns = programme.columns.len();
        let mut simplex = Simplex {
            columns,
            constant: programme.constant,
            by_column: vec![Sparse::new(); columns],
            by_row: Vec::new(),
            right: Vec::new(),
            sense: Vec::new(),
            true_cost: programme.columns.iter().map(|c| -c.objective).collect(),
            lower: programme.columns.iter().map(|c| c.lower).collect(),
            upper: programme.columns.iter().map(|c| c.upper).collect(),
            bounded: vec![true; columns],
            whole: programme.columns.iter().map(|c| c.integer).collect(),
            now: State {
                at: vec![At::Lower; columns],
                value: vec![0.0; columns],
                reduced: vec![0.0; columns],
                ..State::default()
            },
            pivots: 0,
        };
        simplex.imply_bounds(programme);
        for (row, _) in programme.rows.iter().zip(telling).filter(|(_, t)| **t) {
            if !simplex.holds(&row.terms, row.sense, row.rhs) {
                simplex.push_row(row);
            }
        }
        simplex.now.cost = simplex.true_cost.clone();
        simplex.begin();
        simplex
    }

    /// Bounds that are missing, from rows.
    fn imply_bounds(&mut self, programme: &Programme) {
        for row in &programme.rows {
            if row.sense != Sense::AtLeast {
                self.imply(&row.terms, 1.0, row.rhs);
            }
            if row.sense != Sense::AtMost {
                self.imply(&row.terms, -1.0, -row.rhs);
            }
        }
        for column in 0..self.columns {
            if self.lower[column].is_infinite() || self.upper[column].is_infinite() {
                self.bounded[column] = false;
                self.lower[column] = self.lower[column].max(-FAR);
                self.upper[column] = self.upper[column].min(FAR);
            }
        }
    }

    /// What `sign * terms <= right` says of columns without a bound.
    fn imply(&mut self, terms: &[(usize, f64)], sign: f64, right: f64) {
        let least =
            |s: &Simplex, c: usize, a: f64| a * if a > 0.0 { s.lower[c] } else { s.upper[c] };
        for &(column, a) in terms {
            let a = sign * a;
            let open = match a > 0.0 {
                true => self.upper[column].is_infinite(),
                false => self.lower[column].is_infinite(),
            };
            if !open {
                continue;
            }
            let others = terms.iter().filter(|t| t.0 != column);
            let others: f64 = others.map(|&(c, b)| least(self, c, sign * b)).sum();
            if others.is_finite() {
                let bound = (right - others) / a;
                match a > 0.0 {
                    true => self.upper[column] = bound.max(self.lower[column]),
                    false => self.lower[column] = bound.min(self.upper[column]),
                }
            }
        }
    }

    /// Number of rows.
    pub fn rows(&self) -> usize {
        self.right.len()
    }

    /// Adds a row; what it leaves over comes into the basis.
    fn push_row(&mut self, row: &Row) {
        let at = self.rows();
        let slack = self.columns + at;
        let sign = if row.sense == Sense::AtLeast {
            -1.0
        } else {
            1.0
        };
        let least: f64 = row
            .terms
            .iter()
            .map(|&(c, a)| {
                let a = sign * a;
                a * if a > 0.0 {
                    self.lower[c]
                } else {
                    self.upper[c]
                }
            })
            .sum();
        let most = (sign * row.rhs - least).max(0.0);
        let (lower, upper) = match row.sense {
            Sense::AtMost => (0.0, most),
            Sense::AtLeast => (-most, 0.0),
            Sense::Equal => (0.0, 0.0),
        };
        for &(column, value) in &row.terms {
            self.by_column[column].push((at, value));
        }
        let whole = |x: f64| x == x.round();
        let terms = &mut row.terms.iter();
        let whole = whole(row.rhs) && terms.all(|&(c, a)| self.whole[c] && whole(a));
        self.whole.push(whole);
        self.by_column.push(vec![(at, 1.0)]);
        self.by_row.push(row.terms.clone());
        self.right.push(row.rhs);
        self.sense.push(row.sense);
        debug_assert_eq!(self.true_cost.len(), slack);
        self.true_cost.push(0.0);
        self.lower.push(lower);
        self.upper.push(upper);
        self.bounded.push(true);
        self.now.at.push(At::Basis);
        self.now.value.push(0.0);
        self.now.reduced.push(0.0);
        self.now.head.push(slack);
        self.now.weight.push(1.0);
    }

    /// Takes the basis apart, and reckons prices and values anew.
    fn take_apart(&mut self) {
        let basis: Vec<&[(usize, f64)]> = (self.now.head.iter())
            .map(|&c| &self.by_column[c][..])
            .collect();
        let (factor, pivot_of) = Factor::new(self.rows(), &basis);
        self.now.factor = factor;
        let old = std::mem::take(&mut self.now.head);
        let mut left: Vec<bool> = vec![true; old.len()];
        let weights = std::mem::take(&mut self.now.weight);
        for (row, &column) in pivot_of.iter().enumerate() {
            if let Some(&kept) = old.get(column) {
                left[column] = false;
                self.now.head.push(kept);
                self.now.weight.push(weights[column]);
            } else {
                self.now.head.push(self.columns + row);
                self.now.at[self.columns + row] = At::Basis;
                self.now.weight.push(1.0);
            }
        }
        for (place, column) in old.into_iter().enumerate() {
            if left[place] && !self.now.head.contains(&column) {
                self.now.at[column] = At::Lower;
            }
        }
        self.reckon_prices();
        self.note_open();
    }

    /// Notes the columns that can enter the basis: neither in it nor without room.
    fn note_open(&mut self) {
        let mut open = Lists::default();
        for row in &self.by_row {
            let can_enter = |column: usize| {
                self.now.at[column] != At::Basis && self.lower[column] < self.upper[column]
            };
            open.add(row.iter().copied().filter(|it| can_enter(it.0)));
        }
        self.now.open = Arc::new(open);
        self.now.left.clear();
    }

    /// Takes the basis apart to begin a solve from it.
    fn begin(&mut self) {
        self.take_apart();
        self.right_side();
        self.reckon_values();
    }

    /// Takes the basis apart in the middle of a solve.
    fn refresh(&mut self) {
        self.take_apart();
        self.hold_sides();
        self.reckon_values();
    }

    /// Prices of columns at the costs in use.
    fn reckon_prices(&mut self) {
        let y = self.row_prices(&self.now.cost);
        for column in 0..self.now.at.len() {
            self.now.reduced[column] = match self.now.at[column] {
                At::Basis => 0.0,
                _ => self.now.cost[column] - self.times(&y, column),
            };
        }
    }

    /// A column times what is given for each row.
    fn times(&self, rows: &[f64], column: usize) -> f64 {
        self.by_column[column]
            .iter()
            .map(|&(r, a)| rows[r] * a)
            .sum()
    }

    /// Columns that lie at the bound that their price does not prefer change over.
    fn right_side(&mut self) {
        for column in 0..self.now.at.len() {
            if self.now.at[column] != At::Basis {
                if self.now.reduced[column] > FEASIBLE {
                    self.now.at[column] = At::Lower;
                } else if self.now.reduced[column] < -FEASIBLE {
                    self.now.at[column] = At::Upper;
                }
            }
        }
    }

    /// On the way of a solve: costs are moved so that no column lies at the wrong bound, for changing over would undo steps.
    fn hold_sides(&mut self) {
        for column in 0..self.now.at.len() {
            let price = self.now.reduced[column];
            let wrong = match self.now.at[column] {
                At::Basis => false,
                At::Lower => price < 0.0,
                At::Upper => price > 0.0,
            };
            if wrong && self.lower[column] < self.upper[column] {
                self.now.cost[column] -= price;
                self.now.reduced[column] = 0.0;
            }
        }
    }

    /// Prices of rows at these costs.
    fn row_prices(&self, cost: &[f64]) -> Vec<f64> {
        let mut y: Vec<f64> = self.now.head.iter().map(|&column| cost[column]).collect();
        self.now.factor.solve_transposed(&mut y);
        y
    }

    /// Values of all columns: bounds for those outside the basis.
    fn reckon_values(&mut self) {
        let mut left = self.right.clone();
        for column in 0..self.now.at.len() {
            let value = match self.now.at[column] {
                At::Basis => continue,
                At::Lower => self.lower[column],
                At::Upper => self.upper[column],
            };
            self.now.value[column] = value;
            if value != 0.0 {
                self.take_off(&mut left, column, value);
            }
        }
        self.now.factor.solve(&mut left);
        for (row, &column) in self.now.head.iter().enumerate() {
            self.now.value[column] = left[row];
        }
    }

    /// Takes so much of a column off the rows.
    fn take_off(&self, rows: &mut [f64], column: usize, amount: f64) {
        for &(row, a) in &self.by_column[column] {
            rows[row] -= a * amount;
        }
    }

    /// New bounds of a column of the programme; solve again afterwards, and begin again before where they are wider.
    pub fn set_bounds(&mut self, column: usize, lower: f64, upper: f64) {
        self.lower[column] = lower;
        self.upper[column] = upper;
    }

    /// After new bounds in the middle of things: columns outside the basis go to theirs, those in it follow.
    pub fn settle(&mut self) {
        self.reckon_values();
    }

    /// Its bounds now.
    pub fn bounds(&self, column: usize) -> (f64, f64) {
        (self.lower[column], self.upper[column])
    }

    /// What a row leaves over where it stands, as a share of its right side (and of one).
    pub fn left_over(&self, row: usize) -> f64 {
        self.now.value[self.columns + row].abs() / self.right[row].abs().max(1.0)
    }

    /// Whether the bounds of its columns keep a row.
    pub fn always(&self, row: usize) -> bool {
        self.holds(&self.by_row[row], self.sense[row], self.right[row])
    }

    fn holds(&self, terms: &[(usize, f64)], sense: Sense, right: f64) -> bool {
        let side = match sense {
            Sense::AtMost => 1.0,
            Sense::AtLeast => -1.0,
            Sense::Equal => return false,
        };
        let most: f64 = terms
            .iter()
            .map(|&(c, a)| (side * a * self.lower[c]).max(side * a * self.upper[c]))
            .sum();
        most <= side * right
    }

    /// Worth of the point where it stands, constant included.
    pub fn objective(&self) -> f64 {
        let worth: f64 = self
            .true_cost
            .iter()
            .zip(&self.now.value)
            .map(|(c, v)| -c * v)
            .sum();
        self.constant + worth
    }

    /// Values of the programme's columns.
    pub fn point(&self) -> Vec<f64> {
        self.now.value[..self.columns].to_vec()
    }
}

#[cfg(test)]
mod tests;
