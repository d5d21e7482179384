//! Mehrotra's predictor-corrector method (1992, SIAM J. Optimization 2, 575-601) for
//!
//! ```text
//! minimise c x   over   A x <= b (or = b in some rows),   x >= 0
//! ```
//!
//! by normal equations: with the slack of a row as a column of its own, each step asks for one factor of
//! `A D A' + E`, `D` and `E` diagonal.

use super::newton::{EQUATION, Newton, Normal, Way};

/// A programme by columns.
pub struct Problem {
    pub cost: Vec<f64>,
    /// Right side, and whether the row is an equation.
    pub rows: Vec<(f64, bool)>,
    /// Where each column's entries begin; one more than columns.
    pub starts: Vec<usize>,
    /// Rows of the entries, ascending in each column, and their values.
    pub entries: Vec<(usize, f64)>,
}

/// Where the method ended.
pub struct Point {
    pub x: Vec<f64>,
    /// Prices of rows: at least 0 where the row is no equation.
    pub prices: Vec<f64>,
    pub value: f64,
    /// Where the method was well on the way, not yet near any edge, with the mean product of pairs there.
    pub midway: Option<(f64, State)>,
    /// Multiplications of all factors.
    pub effort: u64,
}

/// A point to be improved: columns, slacks, prices of rows, reduced costs.
#[derive(Clone)]
pub struct State {
    pub x: Vec<f64>,
    pub slack: Vec<f64>,
    pub price: Vec<f64>,
    pub reduced: Vec<f64>,
}

/// How far a state is from feasible, and its gap.
pub struct Residuals {
    /// `b - A x - slack`, by row.
    pub rows: Vec<f64>,
    /// `reduced - c - A' price`, by column.
    pub columns: Vec<f64>,
    /// Largest of each, relative to the size of the right sides and of the costs.
    worst: f64,
    /// Difference of the two objectives, relative.
    gap: f64,
    /// Mean product of complementary pairs.
    mean: f64,
}

/// Step that keeps this share of the way to the edge free.
const SHORT_OF_EDGE: f64 = 0.9995;
/// Most corrections of a direction towards equal products of pairs (Gondzio 1996, Computational Optimization
/// and Applications 6, 137-156); how much longer the step is that each aims at, by which factor products may
/// stay off the mean aimed at, and the share of that length that must be won. Values of that paper but for the first
/// two (measured, docs/decisions/41).
const CORRECTIONS: usize = 3;
const LONGER: f64 = 0.3;
const SPREAD: f64 = 10.0;
const WORTH_IT: f64 = 0.1;

/// How far rows and columns may be off midway, relative, and how wide the gap still is there, relative (measured,
/// docs/decisions/41).
const NEARLY: f64 = 1e-3;
const WIDE: f64 = 0.5;

/// Solves to a relative accuracy of value and rows, from the state given if there is one and, should that fail, anew;
/// `None` where the method stays far from it or is told, before a step, not to go on.
pub fn minimise(
    problem: &Problem,
    accuracy: f64,
    begun: Option<State>,
    go_on: &dyn Fn() -> bool,
) -> Option<Point> {
    let mut normal = Normal::of(problem);
    let mut factors = 0;
    for begun in begun.into_iter().map(Some).chain([None]) {
        let state = begun.unwrap_or_else(|| {
            factors += 1;
            start(problem, &mut normal)
        });
        match descend(problem, accuracy, &mut normal, state, &mut factors, go_on) {
            End::Near { state, midway } => {
                return Some(Point {
                    value: dot(&problem.cost, &state.x),
                    x: state.x,
                    prices: state.price,
                    midway,
                    effort: factors * normal.effort(),
                });
            }
            End::Far => {}
            End::Stopped => return None,
        }
    }
    None
}

/// How steps from one state end.
enum End {
    Near {
        state: State,
        midway: Option<(f64, State)>,
    },
    Far,
    /// Told not to go on.
    Stopped,
}

/// Steps from a state until the accuracy is reached or nothing is gained any more; `factors` counts them.
fn descend(
    problem: &Problem,
    accuracy: f64,
    normal: &mut Normal,
    mut state: State,
    factors: &mut u64,
    go_on: &dyn Fn() -> bool,
) -> End {
    const MOST_STEPS: usize = 100;
    const PATIENCE: usize = 15; // steps without gain
    /// Accuracy with which the result is still of use, as a multiple of the one asked.
    const OF_USE: f64 = 1e3;
    let feasible = accuracy.min(1e-6);
    let mut midway = None;
    let mut best: Option<(f64, State)> = None;
    let mut stuck = 0;
    for _ in 0..MOST_STEPS {
        let residuals = Residuals::of(problem, &state);
        let off = (residuals.gap / accuracy).max(residuals.worst / feasible);
        if !off.is_finite() {
            break;
        }
        if best.as_ref().is_none_or(|(least, _)| off < *least) {
            best = Some((off, state.clone()));
            stuck = 0;
        } else {
            stuck += 1;
        }
        if midway.is_none() && residuals.worst < NEARLY && residuals.gap > WIDE {
            midway = Some((residuals.mean, state.clone()));
        }
        if off <= 1.0 || stuck > PATIENCE {
            break;
        }
        if !go_on() {
            return End::Stopped;
        }
        step(problem, normal, &mut state, &residuals);
        *factors += 1;
    }
    match best {
        Some((off, state)) if off <= OF_USE => End::Near { state, midway },
        _ => End::Far,
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// Size of the largest value.
pub fn largest(values: &[f64]) -> f64 {
    values.iter().fold(0.0, |most: f64, v| most.max(v.abs()))
}

impl Problem {
    /// `y += A x`.
    pub fn times(&self, x: &[f64], y: &mut [f64]) {
        for (column, value) in x.iter().enumerate() {
            for &(row, a) in &self.entries[self.starts[column]..self.starts[column + 1]] {
                y[row] += a * value;
            }
        }
    }

    /// `A' y`, by column.
    pub fn mirrored(&self, y: &[f64]) -> Vec<f64> {
        (0..self.cost.len())
            .map(|column| {
                self.entries[self.starts[column]..self.starts[column + 1]]
                    .iter()
                    .map(|&(row, a)| a * y[row])
                    .sum()
            })
            .collect()
    }
}

impl Residuals {
    fn of(problem: &Problem, state: &State) -> Residuals {
        let mut used = vec![0.0; problem.rows.len()];
        problem.times(&state.x, &mut used);
        let rows: Vec<f64> = (problem.rows.iter().zip(&used))
            .zip(&state.slack)
            .map(|((&(right, _), used), slack)| right - used - slack)
            .collect();
        let columns: Vec<f64> = (problem.mirrored(&state.price).iter())
            .zip(&problem.cost)
            .zip(&state.reduced)
            .map(|((paid, cost), reduced)| reduced - cost - paid)
            .collect();
        let value = dot(&problem.cost, &state.x);
        let other: f64 = -(problem.rows.iter().zip(&state.price))
            .map(|((right, _), price)| right * price)
            .sum::<f64>();
        let right = problem.rows.iter().fold(0.0, |m: f64, r| m.max(r.0.abs()));
        let pairs = state.x.len() + problem.rows.iter().filter(|r| !r.1).count();
        let mean = (dot(&state.x, &state.reduced) + dot(&state.slack, &state.price)) / pairs as f64;
        Residuals {
            worst: (largest(&rows) / (1.0 + right))
                .max(largest(&columns) / (1.0 + largest(&problem.cost))),
            gap: (value - other).abs() / (1.0 + value.abs().min(other.abs())),
            rows,
            columns,
            mean,
        }
    }
}

/// Mehrotra's first point: least squares, moved inside.
fn start(problem: &Problem, normal: &mut Normal) -> State {
    let rows = problem.rows.len();
    let weights: Vec<f64> = problem
        .rows
        .iter()
        .map(|r| if r.1 { EQUATION } else { 1.0 })
        .collect();
    normal.refactor(problem, &vec![1.0; problem.cost.len()], &weights);
    let mut share: Vec<f64> = problem.rows.iter().map(|r| r.0).collect();
    normal.factor.solve(&mut share);
    let mut x = problem.mirrored(&share);
    let mut slack: Vec<f64> = (problem.rows.iter().zip(&share))
        .map(|(r, s)| if r.1 { 0.0 } else { *s })
        .collect();
    let mut price = vec![0.0; rows];
    problem.times(&problem.cost, &mut price);
    for value in &mut price {
        *value = -*value;
    }
    normal.factor.solve(&mut price);
    let mut reduced: Vec<f64> = (problem.mirrored(&price).iter().zip(&problem.cost))
        .map(|(p, c)| p + c)
        .collect();
    let inequality = |row: usize| !problem.rows[row].1;
    let lift = |one: &mut [f64], other: &mut [f64], is: &dyn Fn(usize) -> bool| {
        let mut lowest = 0.0f64;
        for &value in one.iter() {
            lowest = lowest.min(value);
        }
        for (row, &value) in other.iter().enumerate() {
            if is(row) {
                lowest = lowest.min(value);
            }
        }
        let by = -1.5 * lowest;
        one.iter_mut().for_each(|v| *v += by);
        for (row, value) in other.iter_mut().enumerate() {
            if is(row) {
                *value += by;
            }
        }
    };
    lift(&mut x, &mut slack, &inequality);
    lift(&mut reduced, &mut price, &inequality);
    let pair = |row: usize, v: f64| if inequality(row) { v } else { 0.0 };
    let product = dot(&x, &reduced)
        + slack
            .iter()
            .zip(&price)
            .enumerate()
            .map(|(r, (s, p))| pair(r, s * p))
            .sum::<f64>();
    let of_points = x.iter().sum::<f64>() + slack.iter().sum::<f64>();
    let of_prices = reduced.iter().sum::<f64>()
        + price
            .iter()
            .enumerate()
            .map(|(r, p)| pair(r, *p))
            .sum::<f64>();
    const LEAST: f64 = 1e-3; // where a start would lie on the edge
    let points = (0.5 * product / of_prices.max(1e-12)).max(LEAST);
    let prices = (0.5 * product / of_points.max(1e-12)).max(LEAST);
    x.iter_mut().for_each(|v| *v += points);
    reduced.iter_mut().for_each(|v| *v += prices);
    for row in 0..rows {
        if inequality(row) {
            slack[row] += points;
            price[row] += prices;
        }
    }
    State {
        x,
        slack,
        price,
        reduced,
    }
}

/// One step: where Newton's method would go for a gap of nothing, how far that leads, then a direction
/// that keeps off the edge and makes up for what the first one leaves out.
fn step(problem: &Problem, normal: &mut Normal, state: &mut State, residuals: &Residuals) {
    let columns: Vec<f64> = state
        .x
        .iter()
        .zip(&state.reduced)
        .map(|(x, z)| x / z)
        .collect();
    let rows: Vec<f64> = (problem.rows.iter().enumerate())
        .map(|(row, r)| {
            if r.1 {
                EQUATION
            } else {
                state.slack[row] / state.price[row]
            }
        })
        .collect();
    normal.refactor(problem, &columns, &rows);
    let newton = Newton {
        problem,
        normal,
        columns: &columns,
        rows: &rows,
        state,
        residuals,
    };
    let pairs: Vec<f64> = state
        .x
        .iter()
        .zip(&state.reduced)
        .map(|(x, z)| -x * z)
        .collect();
    let of_rows: Vec<f64> = state
        .slack
        .iter()
        .zip(&state.price)
        .map(|(s, p)| -s * p)
        .collect();
    let first = newton.way(&pairs, &of_rows);
    let (points, prices) = longest(problem, state, &first);
    let ahead = (state.x.iter().zip(&first.x))
        .zip(state.reduced.iter().zip(&first.reduced))
        .map(|((x, dx), (z, dz))| (x + points * dx) * (z + prices * dz))
        .sum::<f64>()
        + (0..problem.rows.len())
            .filter(|&row| !problem.rows[row].1)
            .map(|row| {
                (state.slack[row] + points * first.slack[row])
                    * (state.price[row] + prices * first.price[row])
            })
            .sum::<f64>();
    let count = state.x.len() + problem.rows.iter().filter(|r| !r.1).count();
    let ratio = (ahead / count as f64 / residuals.mean).clamp(0.0, 1.0);
    let aim = residuals.mean * ratio * ratio * ratio;
    let mut pairs: Vec<f64> = (pairs.iter().zip(&first.x))
        .zip(&first.reduced)
        .map(|((have, dx), dz)| have + aim - dx * dz)
        .collect();
    let mut of_rows: Vec<f64> = (of_rows.iter().zip(&first.slack))
        .zip(&first.price)
        .map(|((have, ds), dp)| have + aim - ds * dp)
        .collect();
    let mut way = newton.way(&pairs, &of_rows);
    let (mut points, mut prices) = longest(problem, state, &way);
    for _ in 0..CORRECTIONS {
        // Where a longer step would end, products of pairs far from the aim are brought nearer to it.
        let (far, high) = ((points + LONGER).min(1.0), (prices + LONGER).min(1.0));
        let mend = |value: f64, by: f64, other: f64, change: f64| {
            let product = (value + far * by) * (other + high * change);
            let wanted = product.clamp(aim / SPREAD, aim * SPREAD);
            (wanted - product).max(-aim * SPREAD)
        };
        let better_pairs: Vec<f64> = (0..pairs.len())
            .map(|j| pairs[j] + mend(state.x[j], way.x[j], state.reduced[j], way.reduced[j]))
            .collect();
        let better_rows: Vec<f64> = (0..of_rows.len())
            .map(|row| {
                let is = !problem.rows[row].1;
                let by = mend(
                    state.slack[row],
                    way.slack[row],
                    state.price[row],
                    way.price[row],
                );
                of_rows[row] + if is { by } else { 0.0 }
            })
            .collect();
        let other = newton.way(&better_pairs, &better_rows);
        let (longer, higher) = longest(problem, state, &other);
        if longer + higher < points + prices + WORTH_IT * LONGER {
            break;
        }
        (pairs, of_rows, way) = (better_pairs, better_rows, other);
        (points, prices) = (longer, higher);
    }
    let (points, prices) = (SHORT_OF_EDGE * points, SHORT_OF_EDGE * prices);
    let go = |values: &mut [f64], way: &[f64], far: f64| {
        values.iter_mut().zip(way).for_each(|(v, d)| *v += far * d);
    };
    go(&mut state.x, &way.x, points);
    go(&mut state.slack, &way.slack, points);
    go(&mut state.price, &way.price, prices);
    go(&mut state.reduced, &way.reduced, prices);
}

/// How far points and prices may go before one of them is nothing, at most a whole step.
fn longest(problem: &Problem, state: &State, way: &Way) -> (f64, f64) {
    let edge =
        |far: f64, (value, by): (&f64, &f64)| if *by < 0.0 { far.min(-value / by) } else { far };
    let inequality = |row: &usize| !problem.rows[*row].1;
    let rows = || (0..problem.rows.len()).filter(inequality);
    let points = state.x.iter().zip(&way.x).fold(1.0, edge);
    let points = rows()
        .map(|r| (&state.slack[r], &way.slack[r]))
        .fold(points, edge);
    let prices = state.reduced.iter().zip(&way.reduced).fold(1.0, edge);
    let prices = rows()
        .map(|r| (&state.price[r], &way.price[r]))
        .fold(prices, edge);
    (points, prices)
}
