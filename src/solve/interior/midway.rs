//! Where the method was midway, and how it begins there again in another programme. A point near the optimum of one
//! programme lies at the edge of the next; one that is well inside still is, and spares the first steps (Gondzio
//! 1998, Mathematical Programming 83, 125-143).

use super::barrier::{Problem, State};
use super::{Called, Lp, Scales};
use std::collections::BTreeMap;

/// Where the method was midway, by names; at first nowhere.
#[derive(Clone, Debug, Default)]
pub struct Midway {
    /// Value and reduced cost.
    columns: BTreeMap<Called, [f64; 2]>,
    /// Slack and price.
    rows: BTreeMap<Called, [f64; 2]>,
    /// Mean product of pairs.
    mean: f64,
}

impl Midway {
    /// A state of the method in a programme, and the mean product of its pairs.
    pub(super) fn of(lp: &Lp, mean: f64, state: &State, scales: &Scales) -> Midway {
        let columns = lp.columns_called.iter().zip(&scales.columns);
        let values = state.x.iter().zip(&state.reduced);
        let rows = lp.rows_called.iter().zip(&scales.rows);
        let prices = state.slack.iter().zip(&state.price);
        Midway {
            columns: (columns.zip(values))
                .map(|((&called, by), (x, reduced))| (called, [x * by, reduced / by]))
                .collect(),
            rows: (rows.zip(prices))
                .map(|((&called, by), (slack, price))| (called, [slack / by, price * by]))
                .collect(),
            mean,
        }
    }

    /// Whether a programme has been well on the way yet.
    pub fn is_somewhere(&self) -> bool {
        !self.columns.is_empty()
    }

    /// The state in a programme; `None` where there is none yet. What is new there begins where its product is the mean
    /// of all, or as near to that as its row or column lets it.
    pub(super) fn state(&self, lp: &Lp, problem: &Problem, scales: &Scales) -> Option<State> {
        /// Products of pairs are at least this share of the mean.
        const LEAST: f64 = 0.1;
        if !self.is_somewhere() {
            return None;
        }
        let even = self.mean.sqrt();
        let known = |n: usize| self.columns.get(&lp.columns_called[n]);
        let mut x: Vec<f64> = (0..problem.cost.len())
            .map(|n| known(n).map_or(0.0, |[x, _]| x / scales.columns[n]))
            .collect();
        let mut used = vec![0.0; problem.rows.len()];
        problem.times(&x, &mut used);
        let mut slack = vec![0.0; used.len()];
        let mut price = vec![0.0; used.len()];
        for (row, &(right, equation)) in problem.rows.iter().enumerate() {
            let by = scales.rows[row];
            if let Some([left, paid]) = self.rows.get(&lp.rows_called[row]) {
                (slack[row], price[row]) = (left * by, paid / by);
            } else if !equation {
                slack[row] = (right - used[row]).max(even);
                price[row] = self.mean / slack[row];
            }
        }
        let paid = problem.mirrored(&price);
        let mut reduced = vec![0.0; x.len()];
        for n in 0..x.len() {
            let rest = problem.cost[n] + paid[n];
            if known(n).is_some() {
                reduced[n] = rest.max(LEAST * self.mean / x[n]);
            } else {
                reduced[n] = rest.max(even);
                x[n] = self.mean / reduced[n];
            }
        }
        Some(State {
            x,
            slack,
            price,
            reduced,
        })
    }
}
