//! Sparse Cholesky factors by the multifrontal method (Duff and Reid 1983, ACM TOMS 9, 302-325): columns of
//! like structure are eliminated together in small dense matrices, which are handed up a tree. The
//! structure is found once, the numbers as often as wanted.

use super::dense::{Scratch, backward, eliminate, forward};
use super::symbolic::{Structure, Supernode};

/// Structure and numbers of a factor.
pub struct Factor {
    structure: Structure,
    /// By supernode: its columns of the factor, by columns, all rows of its front.
    blocks: Vec<Vec<f64>>,
    /// The front at hand.
    front: Vec<f64>,
    /// What children have left for their parents, the last one last: lower halves by columns.
    waiting: Vec<f64>,
    scratch: Scratch,
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
        let largest = structure.supernodes.iter().map(|node| node.rows.len());
        Factor {
            front: vec![0.0; largest.max().map_or(0, |size| size * size)],
            waiting: Vec::new(),
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
                let left = node.below().len();
                let squares = |n: usize| n * (n + 1) * (2 * n + 1) / 6;
                ((squares(node.rows.len()) - squares(left)) / 2) as u64
            })
            .sum()
    }

    /// Factors the matrix with these values (in the order of the places given).
    pub fn refactor(&mut self, values: &[f64]) {
        self.waiting.clear();
        for (node, block) in self.structure.supernodes.iter().zip(&mut self.blocks) {
            let size = node.rows.len();
            let pivots = node.columns();
            let front = &mut self.front[..size * size];
            for (j, column) in front.chunks_exact_mut(size).enumerate() {
                column[j..].fill(0.0);
            }
            for &(entry, at) in &node.entries {
                front[at as usize] += values[entry as usize];
            }
            let whole: Vec<f64> = (0..pivots).map(|j| front[j * size + j]).collect();
            // Children end right before their parent: what they left is what waits last.
            for &child in node.children.iter().rev() {
                let below = &self.structure.supernodes[child];
                let left = below.below().len();
                let from = self.waiting.len() - left * (left + 1) / 2;
                assemble(front, size, &self.waiting[from..], below);
                self.waiting.truncate(from);
            }
            eliminate(front, size, pivots, &whole, &mut self.scratch);
            block.copy_from_slice(&front[..pivots * size]);
            for (j, column) in front.chunks_exact(size).enumerate().skip(pivots) {
                self.waiting.extend_from_slice(&column[j..]);
            }
        }
    }

    /// Solves for a right side in place.
    pub fn solve(&self, right: &mut [f64]) {
        let structure = &self.structure;
        let mut x: Vec<f64> = structure.order.iter().map(|&row| right[row]).collect();
        let mut below = Vec::new();
        for (node, block) in structure.supernodes.iter().zip(&self.blocks) {
            let own = &mut x[node.first..node.first + node.columns()];
            below.clear();
            below.resize(node.below().len(), 0.0);
            forward(block, own, &mut below);
            for (&row, value) in node.below().iter().zip(&below) {
                x[row as usize] -= value;
            }
        }
        for (node, block) in structure.supernodes.iter().zip(&self.blocks).rev() {
            below.clear();
            below.extend(node.below().iter().map(|&row| x[row as usize]));
            backward(
                block,
                &mut x[node.first..node.first + node.columns()],
                &below,
            );
        }
        for (&row, value) in structure.order.iter().zip(x) {
            right[row] = value;
        }
    }
}

/// Adds what a child left to the front of its parent.
fn assemble(front: &mut [f64], size: usize, update: &[f64], child: &Supernode) {
    let mut left = update;
    for (n, run) in child.above.iter().enumerate() {
        for column in run.clone() {
            let values = &mut front[column * size..(column + 1) * size];
            let here = std::iter::once(column..run.end);
            for rows in here.chain(child.above[n + 1..].iter().cloned()) {
                let (these, rest) = left.split_at(rows.len());
                for (value, more) in values[rows].iter_mut().zip(these) {
                    *value += more;
                }
                left = rest;
            }
        }
    }
}
