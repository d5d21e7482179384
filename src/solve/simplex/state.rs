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
#[derive(Clone, Debug)]
pub struct State {
    head: Vec<usize>,
    at: Vec<At>,
    value: Vec<f64>,
    reduced: Vec<f64>,
    cost: Vec<f64>,
    weight: Vec<f64>,
    factor: Factor,
    open: Arc<Lists>,
    left: Vec<usize>,
}

impl Simplex {
    /// The basis now.
    pub fn basis(&self) -> Basis {
        let weights = self.head.iter().zip(&self.weight);
        Basis {
            at: self.at.clone(),
            weights: weights.map(|(&c, &w)| (c as u32, w as f32)).collect(),
        }
    }

    /// Goes on from a basis, with the bounds as they are now.
    pub fn begin_from(&mut self, basis: &Basis) {
        self.at.clone_from(&basis.at);
        self.head = basis.weights.iter().map(|&(c, _)| c as usize).collect();
        self.weight = basis.weights.iter().map(|&(_, w)| f64::from(w)).collect();
        // Rows that are newer than the basis.
        for row in self.head.len()..self.rows() {
            self.at.push(At::Basis);
            self.head.push(self.columns + row);
            self.weight.push(1.0);
        }
        self.cost.clone_from(&self.true_cost);
        self.begin();

        self.move_costs();
    }

    /// Goes on from the basis of what rows leave over.
    pub fn begin_anew(&mut self) {
        let columns = self.columns;
        self.at = vec![At::Lower; columns];
        self.at.resize(columns + self.rows(), At::Basis);
        self.head = (columns..columns + self.rows()).collect();
        self.weight = vec![1.0; self.rows()];
        self.cost.clone_from(&self.true_cost);
        self.begin();
        self.move_costs();
    }

    /// What is changed by solving, but for bounds.
    pub fn state(&self) -> State {
        State {
            head: self.head.clone(),
            at: self.at.clone(),
            value: self.value.clone(),
            reduced: self.reduced.clone(),
            cost: self.cost.clone(),
            weight: self.weight.clone(),
            factor: self.factor.clone(),
            open: self.open.clone(),
            left: self.left.clone(),
        }
    }

    /// Goes back to a state; bounds and rows must be those of then.
    pub fn back_to(&mut self, state: &State) {
        self.head.clone_from(&state.head);
        self.at.clone_from(&state.at);
        self.value.clone_from(&state.value);
        self.reduced.clone_from(&state.reduced);
        self.cost.clone_from(&state.cost);
        self.weight.clone_from(&state.weight);
        self.factor.clone_from(&state.factor);
        self.open.clone_from(&state.open);
        self.left.clone_from(&state.left);
    }
}
