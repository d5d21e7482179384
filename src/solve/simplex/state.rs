//! Where a relaxation stands: bases to begin from again, states to go back to.

use super::factor::Factor;
use super::lists::Lists;
use super::{At, Simplex};
use std::sync::Arc;

/// A basis to begin from again.
#[derive(Clone, Debug)]
pub struct Basis {
    at: Vec<At>,
    /// By column of the basis.
    weights: Vec<(u32, f32)>,
}

/// All that a solve changes, to go back to.
#[derive(Clone, Debug, Default)]
pub struct State {
    /// For each row, the column of the basis that is its pivot.
    pub(super) head: Vec<usize>,
    pub(super) at: Vec<At>,
    pub(super) value: Vec<f64>,
    pub(super) reduced: Vec<f64>,
    /// Costs as they are used: a little off the true ones, so that ties are rare.
    pub(super) cost: Vec<f64>,
    /// Steepest edge, by row.
    pub(super) weight: Vec<f64>,
    pub(super) factor: Factor,
    /// Rows, of columns alone that could enter the basis when it was last taken apart; those that have left it since.
    pub(super) open: Arc<Lists>,
    pub(super) left: Vec<usize>,
}

impl Simplex {
    /// The basis now.
    pub fn basis(&self) -> Basis {
        let weights = self.now.head.iter().zip(&self.now.weight);
        Basis {
            at: self.now.at.clone(),
            weights: weights.map(|(&c, &w)| (c as u32, w as f32)).collect(),
        }
    }

    /// Goes on from a basis, with the bounds as they are now.
    pub fn begin_from(&mut self, basis: &Basis) {
        self.now.at.clone_from(&basis.at);
        self.now.head = basis.weights.iter().map(|&(c, _)| c as usize).collect();
        self.now.weight = basis.weights.iter().map(|&(_, w)| f64::from(w)).collect();
        // Rows that are newer than the basis.
        for row in self.now.head.len()..self.rows() {
            self.now.at.push(At::Basis);
            self.now.head.push(self.columns + row);
            self.now.weight.push(1.0);
        }
        self.now.cost.clone_from(&self.true_cost);
        self.begin();
        self.move_costs();
    }

    /// Goes on from the basis of what rows leave over.
    pub fn begin_anew(&mut self) {
        let columns = self.columns;
        self.now.at = vec![At::Lower; columns];
        self.now.at.resize(columns + self.rows(), At::Basis);
        self.now.head = (columns..columns + self.rows()).collect();
        self.now.weight = vec![1.0; self.rows()];
        self.now.cost.clone_from(&self.true_cost);
        self.begin();
        self.move_costs();
    }

    /// What is changed by solving, but for bounds.
    pub fn state(&self) -> State {
        self.now.clone()
    }

    /// Goes back to a state; bounds and rows must be those of then.
    pub fn back_to(&mut self, state: &State) {
        self.now.clone_from(state);
    }
}
