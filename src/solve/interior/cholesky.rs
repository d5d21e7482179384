//! Sparse Cholesky factors by the multifrontal method (Duff and Reid 1983, ACM TOMS 9, 302-325): columns of
//! like structure are eliminated together in small dense matrices, which are handed up a tree. The
//! structure is found once, the numbers as often as wanted.

use super::dense::{Scratch, eliminate};
use super::symbolic::{Structure, Supernode};

/// Structure and numbers of a factor.
pub struct Factor {
    structure: Structure,
    /// By supernode: its columns of the factor, by columns, all rows of its front.
    blocks: Vec<Vec<f64>>,
    scratch: Scratch,
    /// Row of the matrix to row of the front at hand.
    place: Vec<u32>,
}

impl Factor {
    /// For symmetric matrices of this order with entries at these places of the lower half, by columns,
    /// rows ascending, each with its diagonal.
    pub fn of(order: usize, starts: &[usize], rows: &[usize]) -> Factor {
        let structure = Structure::of(order, starts, rows);
        let blocks = structure
            .supernodes
            .iter()
            .map(|node| vec![0.0; node.columns() * node.rows.len()])
            .collect();
        Factor {
            place: vec![0; order],
            structure,
            blocks,
            scratch: Scratch::default(),
        }
    }

    /// Multiplications of one factor.
    pub fn effort(&self) -> u64 {
        let nodes = self.structure.supernodes.iter();
        nodes
            .map(|node| {
                let left = node.rows.len() - node.columns();
                let squares = |n: usize| n * (n + 1) * (2 * n + 1) / 6;
                ((squares(node.rows.len()) - squares(left)) / 2) as u64
            })
            .sum()
    }

    /// Factors the matrix with these values (in the order of the places given).
    pub fn refactor(&mut self, values: &[f64]) {
        let structure = &self.structure;
        let mut waiting: Vec<Vec<f64>> = vec![Vec::new(); structure.supernodes.len()];
        for (n, node) in structure.supernodes.iter().enumerate() {
            let size = node.rows.len();
            let pivots = node.columns();
            let mut front = vec![0.0; size * size];
            for (at, &row) in node.rows.iter().enumerate() {
                self.place[row as usize] = at as u32;
            }
            for &(entry, row, column) in &node.entries {
                let at = self.place[row as usize] as usize;
                front[(column as usize - node.first) * size + at] += values[entry as usize];
            }
            let whole: Vec<f64> = (0..pivots).map(|j| front[j * size + j]).collect();
            for &child in &node.children {
                let below = &structure.supernodes[child];
                let update = std::mem::take(&mut waiting[child]);
                assemble(&mut front, size, &update, below, &self.place);
            }
            eliminate(&mut front, size, pivots, &whole, &mut self.scratch);
            self.blocks[n].copy_from_slice(&front[..pivots * size]);
            // What is left goes up the tree.
            let left = size - pivots;
            let mut update = Vec::with_capacity(left * (left + 1) / 2);
            for column in pivots..size {
                update.extend_from_slice(&front[column * size + column..(column + 1) * size]);
            }
            waiting[n] = update;
        }
    }

    /// Solves for a right side in place.
    pub fn solve(&self, right: &mut [f64]) {
        let structure = &self.structure;
        let mut x: Vec<f64> = structure.order.iter().map(|&row| right[row]).collect();
        for (node, block) in structure.supernodes.iter().zip(&self.blocks) {
            let size = node.rows.len();
            for j in 0..node.columns() {
                let column = &block[j * size..(j + 1) * size];
                let value = x[node.first + j] / column[j];
                x[node.first + j] = value;
                for (l, &row) in column[j + 1..].iter().zip(&node.rows[j + 1..]) {
                    x[row as usize] -= l * value;
                }
            }
        }
        for (node, block) in structure.supernodes.iter().zip(&self.blocks).rev() {
            let size = node.rows.len();
            for j in (0..node.columns()).rev() {
                let column = &block[j * size..(j + 1) * size];
                let mut value = x[node.first + j];
                for (l, &row) in column[j + 1..].iter().zip(&node.rows[j + 1..]) {
                    value -= l * x[row as usize];
                }
                x[node.first + j] = value / column[j];
            }
        }
        for (&row, value) in structure.order.iter().zip(x) {
            right[row] = value;
        }
    }
}

/// Adds what a child left to the front of its parent.
fn assemble(front: &mut [f64], size: usize, update: &[f64], child: &Supernode, place: &[u32]) {
    let rows = &child.rows[child.columns()..];
    let mut from = 0;
    for (c, &column) in rows.iter().enumerate() {
        let at = place[column as usize] as usize * size;
        let values = &update[from..from + rows.len() - c];
        for (value, &row) in values.iter().zip(&rows[c..]) {
            front[at + place[row as usize] as usize] += value;
        }
        from += rows.len() - c;
    }
}
