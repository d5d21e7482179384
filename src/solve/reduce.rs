//! Narrows the columns of a programme to what a better point may use.
//!
//! At any prices of the rows weak duality gives a bound in our own arithmetic, and with it how far each column
//! may leave the bound it is held at before the bound falls below what is known already.

use super::tree::Bounds;
use crate::programme::{ColumnId, Programme};

/// Share of one unit by which a whole column's new bound is rounded away from the cut.
const ROUNDING: f64 = 1e-6;

/// Bounds of whole columns that a point worth more than `cutoff` keeps, where they are narrower than those `within` which
/// `bound` holds; `worths` is what one unit more of each column is worth at the prices of that bound.
pub(super) fn narrowed(
    programme: &Programme,
    within: &dyn Fn(ColumnId) -> (f64, f64),
    bound: f64,
    worths: &[f64],
    cutoff: f64,
) -> Vec<Bounds> {
    let spare = (bound - cutoff).max(0.0);
    let mut found = Vec::new();
    for (column, &worth) in worths.iter().enumerate() {
        let (lower, upper) = within(column);
        if !programme.columns[column].integer || lower >= upper || worth == 0.0 {
            continue;
        }
        // How far it may be from the bound that suits it.
        let far = (spare / worth.abs() + ROUNDING).floor();
        if far >= upper - lower {
            continue;
        }
        found.push(match worth < 0.0 {
            true => (column, lower, lower + far),
            false => (column, upper - far, upper),
        });
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::programme::{Goal, Sense};
    use crate::solve::simplex::{End, Simplex, Until};

    /// max 3x + 2y - 4z, x + y - z <= 4, x + 3y <= 6, x <= 3, by hand: x = 3, y = 1, worth 11.
    #[test]
    fn what_is_dear_is_fixed() {
        let mut p = Programme::new("small", Goal::Maximise);
        let x = p.integer(&["x"], (0.0, 3.0), 3.0);
        let y = p.integer(&["y"], (0.0, 10.0), 2.0);
        let z = p.integer(&["z"], (0.0, 10.0), -4.0);
        let terms = vec![(x, 1.0), (y, 1.0), (z, -1.0)];
        p.row(None, &["a"], terms, Sense::AtMost, 4.0);
        let terms = vec![(x, 1.0), (y, 3.0)];
        p.row(None, &["b"], terms, Sense::AtMost, 6.0);
        let mut simplex = Simplex::new(&p, &vec![true; p.rows.len()]);
        let end = simplex.solve(&Until {
            least: f64::NEG_INFINITY,
            pivots: u64::MAX,
            go_on: &|| true,
        });
        assert_eq!(end, End::Optimal);
        let (bound, worths) = simplex.bound();
        assert!((bound - 11.0).abs() < 1e-9, "{bound}");
        // One z costs 4 and earns at most the price of row a; worth 10 leaves room for none.
        let found = narrowed(&p, &|c| simplex.bounds(c), bound, &worths, 10.0);
        assert!(found.contains(&(z, 0.0, 0.0)), "{found:?}");
    }
}
