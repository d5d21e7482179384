//! Narrows the columns of a programme to what a better point may use.
//!
//! Prices of the rows come from an interior-point solve of the relaxation. For any prices of the
//! right sign, weak duality gives a bound in our own arithmetic, and with it how far each column
//! may leave the bound it is held at before the bound falls below what is known already.

use super::interior::Lp;
use crate::programme::{Goal, Programme, Sense};
/// Accuracy asked of the prices, relative; the bound is right for any accuracy.
const PRICE_ACCURACY: f64 = 1e-8;
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
    let mut lp = Lp::default();
    // Each column as what it is above its lower bound, or below its upper one where there is no other; one
    // without bounds as two.
    let placed: Vec<(f64, Vec<(usize, f64)>)> = programme
        .columns
        .iter()
        .map(|column| {
            if column.lower >= column.upper {
                return (column.lower, Vec::new());
            }
            let (from, signs): (f64, &[f64]) =
                match (column.lower.is_finite(), column.upper.is_finite()) {
                    (true, _) => (column.lower, &[1.0]),
                    (false, true) => (column.upper, &[-1.0]),
                    (false, false) => (0.0, &[1.0, -1.0]),
                };
            let cols: Vec<(usize, f64)> = signs
                .iter()
                .map(|&sign| (lp.col(-sign * column.objective), sign))
                .collect();
            if column.lower.is_finite() && column.upper.is_finite() {
                let row = lp.at_most(column.upper - column.lower);
                lp.term(row, cols[0].0, 1.0);
            }
            (from, cols)
        })
        .collect();
    let rows: Vec<usize> = programme
        .rows
        .iter()
        .map(|row| {
            let side = side(row.sense);
            let mut right = row.rhs;
            let mut terms = Vec::with_capacity(row.terms.len());
            for &(column, coefficient) in &row.terms {
                let (from, cols) = &placed[column];
                right -= coefficient * from;
                terms.extend(
                    cols.iter()
                        .map(|&(col, sign)| (col, side * sign * coefficient)),
                );
            }
            let made = match row.sense {
                Sense::Equal => lp.equal(right),
                Sense::AtMost | Sense::AtLeast => lp.at_most(side * right),
            };
            for (col, coefficient) in terms {
                lp.term(made, col, coefficient);
            }
            made
        })
        .collect();
    let point = lp.solve(PRICE_ACCURACY)?;
    if point.prices.iter().any(|price| !price.is_finite()) {
        return None;
    }
    let rows = programme
        .rows
        .iter()
        .zip(rows)
        .map(|(row, made)| match row.sense {
            Sense::Equal => point.prices[made],
            Sense::AtMost | Sense::AtLeast => side(row.sense) * point.prices[made].max(0.0),
        })
        .collect();
    Some(weigh(programme, rows))
}

/// Sign that makes an "at least" an "at most".
fn side(sense: Sense) -> f64 {
    match sense {
        Sense::AtLeast => -1.0,
        Sense::AtMost | Sense::Equal => 1.0,
    }
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
