//! Rows that every whole point keeps and the relaxation does not: mixed-integer rounding of sums of rows
//! (Marchand & Wolsey 2001, "Aggregation and mixed integer rounding to solve MIPs").
//!
//! A sum of rows says `sum a_j x_j = b`, what rows leave over among the columns. Each column is taken as its distance
//! from one of its bounds, `z_j >= 0`. What is continuous and only helps is left out; what remains of it, `s >= 0`, stands on
//! the right: `sum a_j z_j <= b + s` over whole columns. Divided by any `delta`, with `f = b/delta - floor(b/delta)`,
//! whole `z` keep
//!
//! `sum (floor(a_j/delta) + max(0, frac(a_j/delta) - f) / (1 - f)) z_j <= floor(b/delta) + s / (delta (1 - f))`.

use super::{At, Simplex};
use crate::programme::{Row, Sense, Terms};

/// Least part that is rounded away, and most: beyond them digits count for too much (usual).
const LEAST_PART: f64 = 0.01;
/// Entries smaller than this, of the greatest of a row, go into its right side.
const SMALL: f64 = 1e-7;
/// Greatest factor between entries of a row (usual).
const SPREAD: f64 = 1e6;
/// What a row must cut off, in relation to its length.
const LEAST_CUT: f64 = 1e-3;
/// Room given for digits, of the size of the numbers in a row.
const DIGITS: f64 = 1e-10;
/// Columns looked at for divisors, and rows of the table of the basis looked at in a round (estimates).
const DIVISORS: usize = 24;
const TABLE_ROWS: usize = 250;
/// Rows that are added up at the most (usual).
const ADDED_UP: usize = 6;
/// Longest row (estimate).
const LONGEST: usize = 1_500;
/// Distance from a whole number, and from a bound.
const APART: f64 = 1e-6;

/// A row found: `terms <= right`.
#[derive(Clone, Debug)]
pub struct Rounded {
    pub terms: Terms,
    pub right: f64,
    /// How far it cuts the point off, in relation to its length.
    pub depth: f64,
}

impl Rounded {
    /// As a row to add.
    pub fn row(self) -> Row {
        Row::unnamed(self.terms, Sense::AtMost, self.right)
    }
}

/// A sum of rows: by column, what rows leave over behind the programme's columns.
struct Sum {
    entries: Vec<f64>,
    places: Vec<usize>,
    right: f64,
}

impl Sum {
    fn new(size: usize) -> Sum {
        Sum {
            entries: vec![0.0; size],
            places: Vec::new(),
            right: 0.0,
        }
    }

    fn clear(&mut self) {
        for place in self.places.drain(..) {
            self.entries[place] = 0.0;
        }
        self.right = 0.0;
    }

    fn add(&mut self, place: usize, value: f64) {
        if self.entries[place] == 0.0 {
            self.places.push(place);
        }
        self.entries[place] += value;
    }

    /// Places with entries that are none but digits, ascending.
    fn tidy(&mut self) {
        self.places.sort_unstable();
        self.places.dedup();
        let most = (self.places.iter()).fold(0.0f64, |most, &p| most.max(self.entries[p].abs()));
        let entries = &mut self.entries;
        self.places.retain(|&place| {
            let kept = entries[place].abs() > DIGITS * most;
            if !kept {
                entries[place] = 0.0;
            }
            kept
        });
    }
}

/// A column as its distance from a bound: the entry, the distance where the point stands, how far it goes.
#[derive(Clone, Copy)]
struct Distance {
    column: usize,
    entry: f64,
    at: f64,
    most: f64,
    from_upper: bool,
}

/// A sum of rows in distances, `whole <= right + rest`.
struct Base {
    whole: Vec<Distance>,
    /// Continuous columns that count: entries as they stand on the right.
    rest: Vec<Distance>,
    rest_at: f64,
    right: f64,
}

impl Simplex {
    /// Whether a column takes whole numbers only; of what a row leaves over, as well.
    fn is_whole(&self, column: usize) -> bool {
        self.whole[column]
    }

    /// Rows that cut off the point where the simplex stands, the deepest first.
    pub fn rounded_rows(&self) -> Vec<Rounded> {
        let mut found = Vec::new();
        let mut sum = Sum::new(self.now.at.len());
        self.of_table(&mut sum, &mut found);
        self.of_chains(&mut sum, &mut found);
        found.sort_by(|a, b| b.depth.total_cmp(&a.depth));
        found
    }

    /// From the rows of the table of the basis whose column ought to be whole.
    fn of_table(&self, sum: &mut Sum, found: &mut Vec<Rounded>) {
        let mut rows: Vec<(f64, usize)> = (self.now.head.iter().enumerate())
            .filter(|&(_, &column)| self.is_whole(column))
            .map(|(row, &column)| {
                (
                    (self.now.value[column] - self.now.value[column].round()).abs(),
                    row,
                )
            })
            .filter(|&(part, _)| part > LEAST_PART)
            .collect();
        rows.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut factors = vec![0.0; self.rows()];
        for (_, row) in rows.into_iter().take(TABLE_ROWS) {
            factors.iter_mut().for_each(|f| *f = 0.0);
            factors[row] = 1.0;
            self.now.factor.solve_transposed(&mut factors);
            sum.clear();
            for (row, &factor) in factors.iter().enumerate() {
                if factor.abs() > DIGITS {
                    self.add_row(sum, row, factor);
                }
            }
            sum.tidy();
            found.extend(self.rounded(sum));
        }
    }

    /// From every row that leaves nothing over, and what comes of it when a continuous column between its bounds is
    /// replaced by another row, again and again.
    fn of_chains(&self, sum: &mut Sum, found: &mut Vec<Rounded>) {
        for first in 0..self.rows() {
            if self.now.at[self.columns + first] == At::Basis {
                continue;
            }
            sum.clear();
            self.add_row(sum, first, 1.0);
            let mut used = vec![first];
            for added in 0..ADDED_UP {
                sum.tidy();
                if let Some(rounded) = self.rounded(sum) {
                    found.push(rounded);
                    break;
                }
                if added + 1 == ADDED_UP || sum.places.len() > LONGEST {
                    break;
                }
                let Some((column, row, entry)) = self.next_row(sum, &used) else {
                    break;
                };
                let factor = -sum.entries[column] / entry;
                self.add_row(sum, row, factor);
                sum.entries[column] = 0.0;
                used.push(row);
            }
        }
    }

    /// The continuous column farthest from its bounds, and a row that leaves nothing over to replace it by.
    fn next_row(&self, sum: &Sum, used: &[usize]) -> Option<(usize, usize, f64)> {
        let mut columns: Vec<(f64, usize)> = sum
            .places
            .iter()
            .filter(|&&c| c < self.columns && !self.is_whole(c) && sum.entries[c] != 0.0)
            .map(|&c| {
                (
                    (self.now.value[c] - self.lower[c]).min(self.upper[c] - self.now.value[c]),
                    c,
                )
            })
            .filter(|&(apart, _)| apart > APART)
            .collect();
        columns.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        columns.into_iter().find_map(|(_, column)| {
            let rows = self.by_column[column].iter();
            rows.filter(|&&(row, _)| {
                self.now.at[self.columns + row] != At::Basis && !used.contains(&row)
            })
            .min_by_key(|&&(row, _)| (self.by_row[row].len(), row))
            .map(|&(row, entry)| (column, row, entry))
        })
    }

    fn add_row(&self, sum: &mut Sum, row: usize, factor: f64) {
        for &(column, a) in &self.by_row[row] {
            sum.add(column, factor * a);
        }
        sum.add(self.columns + row, factor);
        sum.right += factor * self.right[row];
    }

    /// The deepest rounding of a sum of rows, read both ways.
    fn rounded(&self, sum: &Sum) -> Option<Rounded> {
        let both = [1.0, -1.0].map(|sign| self.rounded_one_way(sum, sign));
        both.into_iter()
            .flatten()
            .max_by(|a, b| a.depth.total_cmp(&b.depth))
    }

    fn rounded_one_way(&self, sum: &Sum, sign: f64) -> Option<Rounded> {
        let mut base = self.base(sum, sign)?;
        let mut divisors: Vec<f64> = base
            .whole
            .iter()
            .filter(|d| d.at > APART && d.at < d.most - APART)
            .map(|d| d.entry.abs())
            .collect();
        divisors.sort_by(|a, b| b.total_cmp(a));
        divisors.dedup_by(|a, b| (*a - *b).abs() <= 1e-9 * *b);
        divisors.truncate(DIVISORS);
        let mut best: Option<(f64, f64)> = None;
        let consider = |base: &Base, divisor: f64, best: &mut Option<(f64, f64)>| {
            let depth = base.depth(divisor);
            let better = depth > best.map_or(LEAST_CUT, |(most, _)| most);
            if better {
                *best = Some((depth, divisor));
            }
            better
        };
        for &divisor in &divisors {
            consider(&base, divisor, &mut best);
        }
        let (_, divisor) = best?;
        for part in [2.0, 4.0, 8.0] {
            consider(&base, divisor / part, &mut best);
        }
        // Columns between their bounds, taken from the other one.
        let mut inner: Vec<usize> = (0..base.whole.len())
            .filter(|&i| base.whole[i].at > APART && base.whole[i].at < base.whole[i].most - APART)
            .collect();
        inner.sort_by(|&a, &b| {
            let off = |i: usize| (base.whole[i].at - base.whole[i].most / 2.0).abs();
            off(a).total_cmp(&off(b)).then(a.cmp(&b))
        });
        for i in inner.into_iter().take(DIVISORS) {
            let divisor = best.map_or(divisor, |(_, divisor)| divisor);
            base.turn(i);
            if !consider(&base, divisor, &mut best) {
                base.turn(i);
            }
        }
        let (_, divisor) = best?;
        self.written_out(&base, divisor)
    }

    /// A sum of rows in distances from bounds, the nearer one each.
    fn base(&self, sum: &Sum, sign: f64) -> Option<Base> {
        let mut base = Base {
            whole: Vec::new(),
            rest: Vec::new(),
            rest_at: 0.0,
            right: sign * sum.right,
        };
        for &column in &sum.places {
            let entry = sign * sum.entries[column];
            let (lower, upper) = (self.lower[column], self.upper[column]);
            let value = self.now.value[column].clamp(lower, upper);
            let from_upper = self.bounded[column] && upper - value < value - lower;
            let (entry, at) = match from_upper {
                true => {
                    base.right -= entry * upper;
                    (-entry, upper - value)
                }
                false => {
                    base.right -= entry * lower;
                    (entry, value - lower)
                }
            };
            let distance = Distance {
                column,
                entry,
                at,
                most: upper - lower,
                from_upper,
            };
            if lower >= upper {
                continue;
            }
            if self.is_whole(column) {
                base.whole.push(distance);
            } else if entry < 0.0 {
                base.rest_at += -entry * at;
                base.rest.push(distance);
            }
        }
        (!base.whole.is_empty()).then_some(base)
    }

    /// The rounding of a base in the programme's columns.
    fn written_out(&self, base: &Base, divisor: f64) -> Option<Rounded> {
        let scale = Scaled::of(base.right, divisor)?;
        let mut sum = Sum::new(self.now.at.len());
        sum.right = scale.down;
        let mut put = |d: &Distance, factor: f64| {
            match d.from_upper {
                true => {
                    sum.right -= factor * self.upper[d.column];
                    sum.add(d.column, -factor);
                }
                false => {
                    sum.right += factor * self.lower[d.column];
                    sum.add(d.column, factor);
                }
            };
        };
        for d in &base.whole {
            let factor = scale.rounded(d.entry);
            if factor != 0.0 {
                put(d, factor);
            }
        }
        for d in &base.rest {
            put(d, d.entry * scale.rest);
        }
        // What rows leave over is what their right side is more than their terms.
        let slacks: Vec<usize> = sum
            .places
            .iter()
            .copied()
            .filter(|&c| c >= self.columns)
            .collect();
        for slack in slacks {
            let row = slack - self.columns;
            let factor = std::mem::take(&mut sum.entries[slack]);
            for &(column, a) in &self.by_row[row] {
                sum.add(column, -factor * a);
            }
            sum.right -= factor * self.right[row];
        }
        sum.places.sort_unstable();
        sum.places.dedup();
        self.checked(&sum)
    }

    /// The row without entries that are all but nothing, given room for digits; none where it does not cut deep enough.
    fn checked(&self, sum: &Sum) -> Option<Rounded> {
        let columns = || sum.places.iter().copied().filter(|&c| c < self.columns);
        let most = columns().fold(0.0f64, |most, c| most.max(sum.entries[c].abs()));
        let mut right = sum.right;
        let mut size = right.abs();
        let mut terms = Terms::new();
        let (mut left, mut length, mut least) = (0.0, 0.0, f64::INFINITY);
        for column in columns() {
            let entry = sum.entries[column];
            let (lower, upper) = (self.lower[column], self.upper[column]);
            if entry == 0.0 {
                continue;
            }
            size += (entry * lower).abs().max((entry * upper).abs());
            if entry.abs() <= SMALL * most {
                if !self.bounded[column] {
                    return None;
                }
                right -= (entry * lower).min(entry * upper);
                continue;
            }
            least = least.min(entry.abs());
            left += entry * self.now.value[column];
            length += entry * entry;
            terms.push((column, entry));
        }
        right += DIGITS * size;
        let depth = (left - right) / length.sqrt();
        let sound = terms.len() <= LONGEST && most <= SPREAD * least && depth.is_finite();
        (sound && depth > LEAST_CUT).then_some(Rounded {
            terms,
            right,
            depth,
        })
    }
}

/// A right side divided.
struct Scaled {
    divisor: f64,
    /// Whole part and the part of one that is left.
    down: f64,
    part: f64,
    /// What one unit of the rest counts.
    rest: f64,
}

impl Scaled {
    fn of(right: f64, divisor: f64) -> Option<Scaled> {
        let parts = right / divisor;
        let part = parts - parts.floor();
        let sound = (LEAST_PART..=1.0 - LEAST_PART).contains(&part);
        sound.then(|| Scaled {
            divisor,
            down: parts.floor(),
            part,
            rest: 1.0 / (divisor * (1.0 - part)),
        })
    }

    fn rounded(&self, entry: f64) -> f64 {
        let parts = entry / self.divisor;
        let down = parts.floor();
        down + ((parts - down - self.part) / (1.0 - self.part)).max(0.0)
    }
}

impl Base {
    /// How deep the rounding by a divisor cuts, in relation to the length that it has in distances.
    fn depth(&self, divisor: f64) -> f64 {
        let Some(scale) = Scaled::of(self.right, divisor) else {
            return 0.0;
        };
        let (mut left, mut length) = (0.0, 0.0);
        for d in &self.whole {
            let factor = scale.rounded(d.entry);
            left += factor * d.at;
            length += factor * factor;
        }
        let rest: f64 = self.rest.iter().map(|d| d.entry * d.entry).sum();
        length += rest * scale.rest * scale.rest;
        (left - scale.down - self.rest_at * scale.rest) / length.sqrt().max(APART)
    }

    /// Takes a column from its other bound.
    fn turn(&mut self, i: usize) {
        let d = &mut self.whole[i];
        self.right -= d.entry * d.most;
        d.entry = -d.entry;
        d.at = d.most - d.at;
        d.from_upper = !d.from_upper;
    }
}
