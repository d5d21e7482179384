//! The root of the exact search: its relaxation, tightened by rounding rows and by narrowing columns to what a better
//! plan may use.

use super::simplex::{End, Rounded};
use super::tree::{Node, Search};
use crate::programme::{Cutter, Row, Sense};

/// Rounds of rows, and rows of each kind added in one (estimates).
const CUT_ROUNDS: usize = 40;
const ROWS_A_ROUND: usize = 300;
/// Cosine from which on two rows are alike (estimate).
const ALIKE: f64 = 0.8;
/// A round closes at least this share of what lies between the bound and the plan known; so many that do not may follow each
/// other (measured, docs/decisions/40).
const LEAST_CUT_GAIN: f64 = 0.01;
const IDLE_ROUNDS: usize = 3;
/// What a row leaves over from which on it is taken out again, share of its right side (and of one).
const LOOSE: f64 = 1e-6;

/// What became of the root.
pub(super) enum Root {
    /// A node to branch on.
    Node(Node),
    /// Nothing better than what is known.
    Nothing,
    /// A limit ended it, or the gap asked for is reached.
    Ended,
}

impl Search<'_> {
    /// Solves the relaxation and tightens it; columns narrowed stay so in the programme.
    pub fn root(&mut self) -> Root {
        let cutter = Cutter::new(self.season, self.layout);
        let mut own_rows = self.simplex.rows();
        let mut before = f64::INFINITY;
        let mut idle = 0;
        self.simplex.move_costs();
        for round in 0..=CUT_ROUNDS {
            let end = self.solve_surely();
            let (bound, worths) = self.simplex.bound();
            self.root_bound = self.root_bound.min(bound);
            self.tell(self.root_bound);
            match end {
                End::Infeasible | End::Beaten => return Root::Nothing,
                End::Stopped | End::Stuck => return Root::Ended,
                End::Optimal => {}
            }
            if self.root_bound <= self.cutoff {
                return Root::Nothing;
            }
            if self.must_stop() || self.enough(self.root_bound) {
                return Root::Ended;
            }
            self.root_prices = (bound, worths);
            self.narrow_root();
            self.take_bounds(&None);
            // What the point leaves much over is not needed, what no point can break neither.
            let out: Vec<bool> = (0..self.simplex.rows())
                .map(|row| match row < own_rows {
                    true => self.simplex.always(row),
                    false => self.simplex.left_over(row) > LOOSE,
                })
                .collect();
            let gone = self.simplex.drop_rows(&|row| out[row]);
            own_rows -= gone.iter().filter(|&&row| row < own_rows).count();
            let gained = before - bound >= LEAST_CUT_GAIN * (bound - self.cutoff);
            idle = if gained { 0 } else { idle + 1 };
            before = bound;
            let rows = self.rows_to_add(&cutter);
            // What is branched on is solved with all rows that it has.
            if round == CUT_ROUNDS || idle > IDLE_ROUNDS || rows.is_empty() {
                break;
            }
            self.simplex.add_rows(&rows);
        }
        Root::Node(self.node(self.root_bound, None, 0))
    }

    /// Rows that every whole plan keeps and the point does not: of what is eaten, of shelf and work; of covers and
    /// what stands under them; of any sums of rows.
    fn rows_to_add(&self, cutter: &Cutter) -> Vec<Row> {
        let point = self.simplex.point();
        let (mut cuts, rounded) = std::thread::scope(|scope| {
            let rounded = scope.spawn(|| self.simplex.rounded_rows());
            let cuts = cutter.find(&self.programme, &point);
            (cuts, rounded.join().expect("rounding does not panic"))
        });
        cuts.truncate(ROWS_A_ROUND);
        let mut found = self.simplex.implied_rows();
        found.extend(rounded);
        let mut rows: Vec<Row> = cuts
            .into_iter()
            .map(|cut| Row::unnamed(cut.terms, Sense::AtLeast, cut.rhs))
            .collect();
        rows.extend(unlike(found));
        rows
    }
}

/// The deepest rows, none of which says nearly the same as another.
fn unlike(found: Vec<Rounded>) -> Vec<Row> {
    let mut taken: Vec<(Rounded, f64)> = Vec::new();
    for rounded in found {
        if taken.len() >= ROWS_A_ROUND {
            break;
        }
        let length = rounded.terms.iter().map(|t| t.1 * t.1).sum::<f64>().sqrt();
        let alike = |(other, its): &(Rounded, f64)| {
            dot(&rounded.terms, &other.terms) > ALIKE * length * its
        };
        if !taken.iter().any(alike) {
            taken.push((rounded, length));
        }
    }
    taken
        .into_iter()
        .map(|(rounded, _)| rounded.row())
        .collect()
}

/// Sum of products of two ascending rows.
fn dot(a: &[(usize, f64)], b: &[(usize, f64)]) -> f64 {
    let (mut i, mut j, mut sum) = (0, 0, 0.0);
    while i < a.len() && j < b.len() {
        match a[i].0.cmp(&b[j].0) {
            std::cmp::Ordering::Less => i += 1,
            std::cmp::Ordering::Greater => j += 1,
            std::cmp::Ordering::Equal => {
                sum += a[i].1 * b[j].1;
                i += 1;
                j += 1;
            }
        }
    }
    sum
}
