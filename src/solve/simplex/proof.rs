//! What the simplex method has shown, reckoned anew from prices alone.

use super::Simplex;
use crate::programme::Sense;

/// Margin of a clash between a row and the bounds of its columns, relative to the size of the numbers in it.
const MARGIN: f64 = 1e-9;

impl Simplex {
    /// Worth of one more unit on the right of each row, of the sign that its sense allows.
    pub fn prices(&self) -> Vec<f64> {
        let costs = self.row_prices(&self.true_cost);
        let prices = costs.iter().zip(&self.sense);
        prices
            .map(|(&cost, sense)| match sense {
                Sense::AtMost => (-cost).max(0.0),
                Sense::AtLeast => (-cost).min(0.0),
                Sense::Equal => -cost,
            })
            .collect()
    }

    /// No point within the bounds is worth more: weak duality at the prices where it stands. With it what one unit more
    /// of each column is worth at these prices.
    pub fn bound(&self) -> (f64, Vec<f64>) {
        let prices = self.prices();
        let mut bound = self.constant;
        for (price, right) in prices.iter().zip(&self.right) {
            bound += price * right;
        }
        let mut left = Vec::with_capacity(self.columns);
        for column in 0..self.columns {
            let used: f64 = (self.by_column[column].iter())
                .map(|&(row, a)| prices[row] * a)
                .sum();
            let worth = -self.true_cost[column] - used;
            let (lower, upper) = (self.lower[column], self.upper[column]);
            bound += worth * if worth > 0.0 { upper } else { lower };
            if !self.bounded[column] && worth != 0.0 {
                bound = f64::INFINITY;
            }
            left.push(worth);
        }
        (bound, left)
    }

    /// Whether the sum of all rows, each times a factor, can't be met within the bounds of its columns.
    pub(super) fn clashing(&self, factors: &[f64]) -> bool {
        let mut right = 0.0;
        let mut size = 0.0;
        let (mut least, mut most) = (0.0, 0.0);
        let mut add = |a: f64, column: usize| {
            let (lower, upper) = (self.lower[column], self.upper[column]);
            least += (a * lower).min(a * upper);
            most += (a * lower).max(a * upper);
            size += (a * lower).abs().max((a * upper).abs());
        };
        let mut sum = vec![0.0; self.columns];
        for (row, &factor) in factors.iter().enumerate() {
            if factor == 0.0 {
                continue;
            }
            right += factor * self.right[row];
            add(factor, self.columns + row);
            for &(column, a) in &self.by_row[row] {
                sum[column] += factor * a;
            }
        }
        for (column, &a) in sum.iter().enumerate() {
            if a != 0.0 {
                add(a, column);
            }
        }
        let known = (sum.iter().zip(&self.bounded)).all(|(&a, &bounded)| a == 0.0 || bounded);
        let margin = MARGIN * (size + right.abs());
        known && (right > most + margin || right < least - margin)
    }
}
