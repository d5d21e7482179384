//! The steps of the dual method: which row leaves, which column enters, which columns change to their other bound
//! on the way.

use super::{At, EXCHANGES, End, FEASIBLE, Simplex};

/// Entries of a pivot row smaller than this are noise.
const NOISE: f64 = 1e-9;
/// Factors of rows smaller than this are left out.
const TINY: f64 = 1e-12;
/// A pivot at least so great, as a share of the greatest there is, is taken.
const GREAT: f64 = 0.1;
/// And any at least so great.
const GREAT_ENOUGH: f64 = 1e-3;
/// How far two reckonings of one pivot may differ, relative.
const ACCURACY: f64 = 1e-7;
/// Pivots that may differ more before the method is given up.
const RETRIED: usize = 50;
/// Least steepest-edge weight.
const LEAST_WEIGHT: f64 = 1e-4;
/// Costs are moved by this share of their size (and of one money), up to twice, against ties.
const MOVED: f64 = 1e-6;
/// Pivots between looks at the clock and at the worth.
const LOOK: u64 = 16;
/// Times that costs are put right and solving goes on.
const PUT_RIGHT: usize = 20;

/// When to stop a solve.
pub struct Until<'a> {
    /// Points worth no more than this are of no interest.
    pub least: f64,
    /// Pivots at the most.
    pub pivots: u64,
    /// Asked now and then.
    pub go_on: &'a dyn Fn() -> bool,
}

/// A row of the table of the basis.
struct PivotRow {
    /// Factors of the programme's rows in it.
    rho: Vec<f64>,
    /// Entries of columns outside the basis, and where they are.
    alpha: Vec<f64>,
    touched: Vec<usize>,
}

/// A column that may enter.
struct Entering {
    column: usize,
    ratio: f64,
    size: f64,
}

impl Simplex {
    /// Moves costs a little, each by its own share, to the side on which its column stays where it is.
    pub fn move_costs(&mut self) {
        for column in 0..self.columns {
            // A fixed sequence without a pattern: the golden ratio's multiples.
            let share = (column as f64 * 0.618_033_988_749_894_9).fract();
            let by = MOVED * (1.0 + share) * (1.0 + self.now.cost[column].abs());
            if self.now.at[column] == At::Basis || self.lower[column] >= self.upper[column] {
                continue;
            }
            let by = if self.now.at[column] == At::Lower {
                by
            } else {
                -by
            };
            self.now.cost[column] += by;
            self.now.reduced[column] += by;
        }
    }

    /// Solves from where it stands.
    pub fn solve(&mut self, until: &Until) -> End {
        let first = self.pivots;
        for _ in 0..PUT_RIGHT {
            match self.steps(until, first) {
                End::Optimal => {}
                other => return other,
            }
            if self.now.cost == self.true_cost {
                return End::Optimal;
            }
            self.now.cost.clone_from(&self.true_cost);
            self.reckon_prices();
            self.right_side();
            self.reckon_values();
            if self.leaving().is_none() {
                return End::Optimal;
            }
        }
        End::Stuck
    }

    fn steps(&mut self, until: &Until, first: u64) -> End {
        let rows = self.rows();
        let mut retried = 0;
        let mut pivot_row = PivotRow {
            rho: vec![0.0; rows],
            alpha: vec![0.0; self.now.at.len()],
            touched: Vec::new(),
        };
        loop {
            let done = self.pivots - first;
            if done >= until.pivots {
                return End::Stopped;
            }
            if done % LOOK == LOOK - 1 {
                if !(until.go_on)() {
                    return End::Stopped;
                }
                if self.beaten(until.least) {
                    return End::Beaten;
                }
            }
            if self.now.factor.exchanged() >= EXCHANGES {
                self.refresh();
            }
            let Some(row) = self.leaving() else {
                return End::Optimal;
            };
            let leaving = self.now.head[row];
            let below = self.now.value[leaving] < self.lower[leaving];
            let goal = if below {
                self.lower[leaving]
            } else {
                self.upper[leaving]
            };
            let far = (self.now.value[leaving] - goal).abs();
            self.fill(&mut pivot_row, row);
            let side = if below { -1.0 } else { 1.0 };
            let Some((column, changing)) = self.entering(&pivot_row, side, far) else {
                if self.now.factor.exchanged() > 0 {
                    self.refresh();
                    continue;
                }
                return match self.clashing(&pivot_row.rho) {
                    true => End::Infeasible,
                    false => End::Stuck,
                };
            };
            let mut entering = vec![0.0; rows];
            self.add(&mut entering, column, 1.0);
            let half = self.now.factor.solve_to_enter(&mut entering);
            let pivot = entering[row];
            let off = (pivot - pivot_row.alpha[column]).abs();
            if off > ACCURACY * (1.0 + pivot.abs()) || pivot.abs() < NOISE {
                retried += 1;
                if self.now.factor.exchanged() > 0 {
                    self.refresh();
                    continue;
                }
                if retried > RETRIED || pivot.abs() < NOISE {
                    return End::Stuck;
                }
            }
            self.change_over(&changing);
            self.exchange(row, column, goal, &pivot_row, &entering);
            self.pivots += 1;
            if !self.now.factor.exchange(row, &half) {
                self.refresh();
            }
        }
    }

    /// Whether no point is worth more than `least`, by our own sum.
    fn beaten(&self, least: f64) -> bool {
        least > f64::NEG_INFINITY && self.objective() <= least && self.bound().0 <= least
    }

    /// The row whose column lies farthest outside its bounds, for its weight.
    fn leaving(&self) -> Option<usize> {
        let mut best: Option<(f64, usize)> = None;
        for (row, &column) in self.now.head.iter().enumerate() {
            let value = self.now.value[column];
            let outside = (self.lower[column] - value).max(value - self.upper[column]);
            if outside > FEASIBLE {
                let score = outside * outside / self.now.weight[row];
                if best.is_none_or(|(most, _)| score > most) {
                    best = Some((score, row));
                }
            }
        }
        best.map(|(_, row)| row)
    }

    /// What the columns outside the basis have in a row of its table.
    fn fill(&self, of: &mut PivotRow, row: usize) {
        let PivotRow {
            rho,
            alpha,
            touched,
        } = of;
        rho.fill(0.0);
        rho[row] = 1.0;
        self.now.factor.solve_transposed(rho);
        alpha.fill(0.0);
        for (row, factor) in rho.iter_mut().enumerate() {
            if factor.abs() <= TINY {
                *factor = 0.0;
                continue;
            }
            for (column, a) in self.now.open.of(row) {
                alpha[column] += *factor * a;
            }
            alpha[self.columns + row] = *factor;
        }
        for &column in &self.now.left {
            alpha[column] = self.times(rho, column);
        }
        touched.clear();
        for (column, entry) in alpha.iter_mut().enumerate() {
            if *entry != 0.0 {
                match entry.abs() > TINY && self.now.at[column] != At::Basis {
                    true => touched.push(column),
                    false => *entry = 0.0,
                }
            }
        }
    }

    /// The column that enters, and those that change to their other bound before.
    fn entering(&self, row: &PivotRow, side: f64, far: f64) -> Option<(usize, Vec<usize>)> {
        let mut open: Vec<Entering> = Vec::new();
        for &column in &row.touched {
            let a = side * row.alpha[column];
            let blocks = match self.now.at[column] {
                At::Basis => false,
                At::Lower => a > NOISE,
                At::Upper => a < -NOISE,
            };
            if blocks && self.lower[column] < self.upper[column] {
                open.push(Entering {
                    column,
                    ratio: (self.now.reduced[column] / a).max(0.0),
                    size: a.abs(),
                });
            }
        }
        let mut left = far;
        let mut groups: Vec<Vec<Entering>> = Vec::new();
        while !open.is_empty() {
            let limit = open
                .iter()
                .map(|e| e.ratio + FEASIBLE / e.size)
                .fold(f64::INFINITY, f64::min);
            let (group, rest): (Vec<_>, Vec<_>) = open.into_iter().partition(|e| e.ratio <= limit);
            let slope: f64 = group
                .iter()
                .map(|e| e.size * (self.upper[e.column] - self.lower[e.column]))
                .sum();
            left -= slope;
            groups.push(group);
            open = rest;
            if left < 0.0 {
                break;
            }
        }
        if left > FEASIBLE {
            // All of them at their other bound do not suffice: there is no point.
            return None;
        }
        let greatest = |group: &Vec<Entering>| group.iter().map(|e| e.size).fold(0.0, f64::max);
        let most = groups.iter().map(greatest).fold(0.0, f64::max);
        let enough = (GREAT * most).min(GREAT_ENOUGH);
        let chosen = groups.iter().rposition(|group| greatest(group) >= enough)?;
        let mut best: Option<&Entering> = None;
        for entering in &groups[chosen] {
            if best.is_none_or(|b| entering.size > b.size) {
                best = Some(entering);
            }
        }
        let changing = groups[..chosen].iter().flatten().map(|e| e.column);
        Some((best?.column, changing.collect()))
    }

    fn add(&self, rows: &mut [f64], column: usize, amount: f64) {
        self.take_off(rows, column, -amount);
    }

    /// Columns change to their other bound; those in the basis follow.
    fn change_over(&mut self, columns: &[usize]) {
        if columns.is_empty() {
            return;
        }
        let mut moved = vec![0.0; self.rows()];
        for &column in columns {
            let (to, at) = match self.now.at[column] {
                At::Lower => (self.upper[column], At::Upper),
                _ => (self.lower[column], At::Lower),
            };
            self.add(&mut moved, column, to - self.now.value[column]);
            self.now.value[column] = to;
            self.now.at[column] = at;
        }
        self.now.factor.solve(&mut moved);
        for (row, &by) in moved.iter().enumerate() {
            self.now.value[self.now.head[row]] -= by;
        }
    }

    /// The column enters the basis for that of the row, which goes to its bound.
    fn exchange(
        &mut self,
        row: usize,
        column: usize,
        goal: f64,
        table: &PivotRow,
        entering: &[f64],
    ) {
        let PivotRow {
            rho,
            alpha,
            touched,
            ..
        } = table;
        let leaving = self.now.head[row];
        let pivot = entering[row];
        // Prices.
        let step = self.now.reduced[column] / alpha[column];
        for &other in touched {
            if other == column {
                continue;
            }
            let price = self.now.reduced[other] - step * alpha[other];
            let wrong = match self.now.at[other] {
                At::Lower => price < 0.0,
                At::Upper => price > 0.0,
                At::Basis => false,
            };
            if wrong && self.lower[other] < self.upper[other] {
                // Its cost is moved so that it is not on the wrong side.
                self.now.cost[other] -= price;
                self.now.reduced[other] = 0.0;
            } else {
                self.now.reduced[other] = price;
            }
        }
        self.now.reduced[column] = 0.0;
        self.now.reduced[leaving] = -step;
        // Values.
        let by = (self.now.value[leaving] - goal) / pivot;
        for (at, &a) in entering.iter().enumerate() {
            if a != 0.0 {
                self.now.value[self.now.head[at]] -= by * a;
            }
        }
        self.now.value[column] += by;
        self.now.value[leaving] = goal;
        // Weights of the steepest edge.
        let mut tau = rho.clone();
        self.now.factor.solve(&mut tau);
        let own: f64 = rho.iter().map(|r| r * r).sum();
        for (at, &a) in entering.iter().enumerate() {
            if a != 0.0 && at != row {
                let share = a / pivot;
                let weight = self.now.weight[at] - 2.0 * share * tau[at] + share * share * own;
                self.now.weight[at] = weight.max(LEAST_WEIGHT);
            }
        }
        self.now.weight[row] = (own / (pivot * pivot)).max(LEAST_WEIGHT);
        self.now.at[leaving] = match goal == self.lower[leaving] {
            true => At::Lower,
            false => At::Upper,
        };
        self.now.at[column] = At::Basis;
        self.now.head[row] = column;
        self.now.left.push(leaving);
    }
}
