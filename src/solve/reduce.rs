//! Narrows the columns of a programme to what a better point may use.
//!
//! Prices of the rows come from an interior-point solve of the relaxation. For any prices of the
//! right sign, weak duality gives a bound in our own arithmetic, and with it how far each column
//! may leave the bound it is held at before the bound falls below what is known already.

use crate::programme::{Goal, Programme, Sense};
use clarabel::algebra::CscMatrix;
use clarabel::solver::{
    DefaultSettingsBuilder, DefaultSolver, IPSolver, NonnegativeConeT, SolverStatus,
    SupportedConeT, ZeroConeT,
};

/// Accuracy asked of the prices, relative; the bound is right for any accuracy.
const PRICE_ACCURACY: f64 = 1e-8;
/// Iterations of the interior-point method; it takes 15 to 40.
const MOST_ITERATIONS: u32 = 100;
/// Share of one unit by which a whole column's new bound is rounded away from the cut.
const ROUNDING: f64 = 1e-6;

/// Prices of rows with the bound they prove.
#[derive(Clone, Debug, PartialEq)]
pub struct Prices {
    /// One for each row: worth of one more unit on its right side. Not negative for "at most",
    /// not positive for "at least".
    pub rows: Vec<f64>,
    /// No point of the relaxation is worth more.
    pub bound: f64,
    /// For each column: worth of one more unit, less what it uses at these prices.
    pub reduced: Vec<f64>,
}

/// Prices of a maximisation; `None` when the interior-point method found nothing.
///
/// # Panics
/// When the programme is to be minimised.
pub fn prices(programme: &Programme) -> Option<Prices> {
    assert_eq!(programme.goal, Goal::Maximise);
    let free = |c: usize| programme.columns[c].lower < programme.columns[c].upper;
    let columns: Vec<usize> = (0..programme.columns.len()).filter(|&c| free(c)).collect();
    if columns.is_empty() {
        // Nothing is left to decide; the interior-point method takes no empty programme.
        return Some(weigh(programme, vec![0.0; programme.rows.len()]));
    }
    let mut at = vec![usize::MAX; programme.columns.len()];
    for (n, &column) in columns.iter().enumerate() {
        at[column] = n;
    }
    // Rows in the solver's order: equations, then the rest as "at most", then bounds.
    let mut order: Vec<usize> = (0..programme.rows.len()).collect();
    order.sort_by_key(|&r| programme.rows[r].sense != Sense::Equal);
    let equations = programme
        .rows
        .iter()
        .filter(|r| r.sense == Sense::Equal)
        .count();
    let (mut i, mut j, mut v, mut b) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (n, &r) in order.iter().enumerate() {
        let row = &programme.rows[r];
        let sign = if row.sense == Sense::AtLeast {
            -1.0
        } else {
            1.0
        };
        let mut rhs = row.rhs;
        for &(column, coefficient) in &row.terms {
            if at[column] == usize::MAX {
                rhs -= coefficient * programme.columns[column].lower;
            } else {
                i.push(n);
                j.push(at[column]);
                v.push(sign * coefficient);
            }
        }
        b.push(sign * rhs);
    }
    for (n, &column) in columns.iter().enumerate() {
        let (lower, upper) = (
            programme.columns[column].lower,
            programme.columns[column].upper,
        );
        for (sign, bound) in [(-1.0, lower), (1.0, upper)] {
            if f64::is_finite(bound) {
                i.push(b.len());
                j.push(n);
                v.push(sign);
                b.push(sign * bound);
            }
        }
    }
    let q: Vec<f64> = columns
        .iter()
        .map(|&c| -programme.columns[c].objective)
        .collect();
    let cones: [SupportedConeT<f64>; 2] =
        [ZeroConeT(equations), NonnegativeConeT(b.len() - equations)];
    let a = CscMatrix::new_from_triplets(b.len(), columns.len(), i, j, v);
    let p = CscMatrix::<f64>::zeros((columns.len(), columns.len()));
    let settings = DefaultSettingsBuilder::default()
        .verbose(false)
        .max_iter(MOST_ITERATIONS)
        .tol_gap_rel(PRICE_ACCURACY)
        .tol_feas(PRICE_ACCURACY)
        .build()
        .ok()?;
    let mut solver = DefaultSolver::new(&p, &q, &a, &b, &cones, settings).ok()?;
    solver.solve();
    let useful = matches!(
        solver.solution.status,
        SolverStatus::Solved | SolverStatus::AlmostSolved | SolverStatus::MaxIterations
    );
    if !useful || solver.solution.z.iter().any(|z| !z.is_finite()) {
        return None;
    }
    let mut rows = vec![0.0; programme.rows.len()];
    for (n, &r) in order.iter().enumerate() {
        let price = solver.solution.z[n];
        rows[r] = match programme.rows[r].sense {
            Sense::Equal => price,
            Sense::AtMost => price.max(0.0),
            Sense::AtLeast => -price.max(0.0),
        };
    }
    Some(weigh(programme, rows))
}

/// Bound and reduced worths at the given prices of rows.
fn weigh(programme: &Programme, rows: Vec<f64>) -> Prices {
    let mut reduced: Vec<f64> = programme.columns.iter().map(|c| c.objective).collect();
    let mut bound = programme.constant;
    for (row, price) in programme.rows.iter().zip(&rows) {
        bound += price * row.rhs;
        for &(column, coefficient) in &row.terms {
            reduced[column] -= price * coefficient;
        }
    }
    for (column, worth) in programme.columns.iter().zip(&reduced) {
        bound += worth
            * if *worth > 0.0 {
                column.upper
            } else {
                column.lower
            };
    }
    Prices {
        rows,
        bound,
        reduced,
    }
}

/// Narrows the integer columns to what a point worth more than `cutoff` may use; returns how many
/// columns became fixed.
pub fn narrow(programme: &mut Programme, prices: &Prices, cutoff: f64) -> usize {
    let spare = (prices.bound - cutoff).max(0.0);
    let mut fixed = 0;
    for (column, worth) in programme.columns.iter_mut().zip(&prices.reduced) {
        if !column.integer || column.lower >= column.upper || *worth == 0.0 {
            continue;
        }
        // How far it may be from the bound that suits it.
        let far = (spare / worth.abs() + ROUNDING).floor();
        if *worth < 0.0 {
            column.upper = column.upper.min(column.lower + far);
        } else {
            column.lower = column.lower.max(column.upper - far);
        }
        fixed += usize::from(column.lower >= column.upper);
    }
    fixed
}

#[cfg(test)]
mod tests {
    use super::*;

    /// max 3x + 2y, x + y <= 4, x + 3y <= 6, x <= 3, by hand: x = 3, y = 1, worth 11.
    fn small() -> Programme {
        let mut p = Programme::new("small", Goal::Maximise);
        let x = p.integer(&["x"], (0.0, 3.0), 3.0);
        let y = p.integer(&["y"], (0.0, 10.0), 2.0);
        let z = p.integer(&["z"], (0.0, 10.0), -4.0);
        p.row(
            None,
            &["a"],
            vec![(x, 1.0), (y, 1.0), (z, -1.0)],
            Sense::AtMost,
            4.0,
        );
        p.row(None, &["b"], vec![(x, 1.0), (y, 3.0)], Sense::AtMost, 6.0);
        p
    }

    #[test]
    fn prices_prove_the_optimum_and_fix_what_is_dear() {
        let mut p = small();
        let prices = prices(&p).unwrap();
        assert!((prices.bound - 11.0).abs() < 1e-6, "{}", prices.bound);
        // One z costs 4 and earns at most the price of row a; worth 10 leaves room for none.
        assert!(narrow(&mut p, &prices, 10.0) >= 1);
        assert_eq!(p.columns[2].upper, 0.0);
    }

    #[test]
    fn any_prices_of_the_right_sign_bound() {
        let p = small();
        for (a, b) in [(0.0, 0.0), (1.0, 0.5), (5.0, 2.0)] {
            assert!(weigh(&p, vec![a, b]).bound >= 11.0 - 1e-9);
        }
    }
}
