//! The dual method against microlp on random programmes, begun anew and gone on with.

use super::dual::Until;
use super::*;
use crate::programme::Terms;
use crate::solve::linear::{self, Limits, NoPoint};
use proptest::prelude::*;

const UNTIL: Until = Until {
    least: f64::NEG_INFINITY,
    pivots: u64::MAX,
    go_on: &|| true,
};

/// Rows: sense, right side, terms.
type Random = Vec<(u8, f64, Vec<(usize, f64)>)>;

fn row(&(sense, right, ref terms): &(u8, f64, Vec<(usize, f64)>), columns: usize) -> Row {
    let mut sum: Terms = Terms::new();
    for &(column, a) in terms {
        let column = column % columns;
        match sum.iter_mut().find(|t| t.0 == column) {
            Some(term) => term.1 += a,
            None => sum.push((column, a)),
        }
    }
    sum.retain(|t| t.1 != 0.0);
    let sense =
        [Sense::AtMost, Sense::AtMost, Sense::AtLeast, Sense::Equal][usize::from(sense % 4)];
    Row::unnamed(sum, sense, right)
}

fn programme(columns: &[(f64, f64)], rows: &Random) -> Programme {
    let mut p = Programme::new("random", Goal::Maximise);
    for &(worth, width) in columns {
        // Some have no upper bound of their own.
        let upper = if width > 4.5 { f64::INFINITY } else { width };
        p.column(&["x"], (0.0, upper), worth);
    }
    // One row that bounds them all.
    let all = (0..columns.len()).map(|c| (c, 1.0)).collect();
    p.row(None, &["all"], all, Sense::AtMost, 20.0);
    let rows = rows.iter().map(|r| row(r, columns.len()));
    p.rows.extend(rows.filter(|r| !r.terms.is_empty()));
    p
}

/// The best there is, by microlp.
fn best(p: &Programme) -> Option<f64> {
    match linear::solve(p, Limits::default(), None) {
        Ok(solved) => Some(solved.check.objective),
        Err(NoPoint::Infeasible) => None,
        Err(other) => panic!("{other:?}"),
    }
}

/// Point, bound and end agree with what is best.
fn agrees(simplex: &Simplex, end: End, best: Option<f64>, p: &Programme) {
    match best {
        Some(best) => {
            assert_eq!(end, End::Optimal);
            let room = 1e-6 * best.abs().max(1.0);
            assert!(
                (simplex.objective() - best).abs() < room,
                "{} {best}",
                simplex.objective()
            );
            let bound = simplex.bound().0;
            assert!(
                bound >= best - room && bound <= best + room,
                "{bound} {best}"
            );
            let check = crate::programme::check(p, &simplex.point());
            assert!(check.violation() < 1e-6, "{check:?}");
        }
        None => assert_eq!(end, End::Infeasible),
    }
}

fn rows() -> impl Strategy<Value = Random> {
    let terms = prop::collection::vec((0usize..40, -2.0f64..3.0), 1..6);
    prop::collection::vec((0u8..4, -1.0f64..6.0, terms), 0..25)
}

proptest! {
    #[test]
    fn the_dual_method_finds_what_is_best(
        columns in prop::collection::vec((-2.0f64..4.0, 0.0f64..6.0), 1..25),
        first in rows(),
        more in rows(),
        fixed in prop::collection::vec((0usize..25, 0.0f64..1.0), 0..4),
    ) {
        let mut p = programme(&columns, &first);
        let mut simplex = Simplex::new(&p, &vec![true; p.rows.len()]);
        simplex.move_costs();
        let end = simplex.solve(&UNTIL);
        agrees(&simplex, end, best(&p), &p);
        // Narrowed, from a state and from the basis.
        let (state, basis) = (simplex.state(), simplex.basis());
        let before: Vec<(f64, f64)> = (0..columns.len()).map(|c| simplex.bounds(c)).collect();
        let mut narrow = p.clone();
        for (column, share) in fixed {
            let column = column % columns.len();
            let at = share * before[column].1.min(3.0);
            (narrow.columns[column].lower, narrow.columns[column].upper) = (at, at);
            simplex.set_bounds(column, at, at);
        }
        if end == End::Optimal {
            simplex.begin_from(&basis);
            let end = simplex.solve(&UNTIL);
            agrees(&simplex, end, best(&narrow), &narrow);
            for (column, &(lower, upper)) in before.iter().enumerate() {
                simplex.set_bounds(column, lower, upper);
            }
            // Back to the first, as if nothing had been.
            simplex.begin_from(&basis);
            let _ = state;
            let end = simplex.solve(&UNTIL);
            agrees(&simplex, end, best(&p), &p);
            // Rows are added, and those that bind nothing taken out again.
            let added: Vec<Row> = more.iter().map(|r| row(r, columns.len())).filter(|r| !r.terms.is_empty()).collect();
            p.rows.extend(added.iter().cloned());
            simplex.add_rows(&added);
            let end = simplex.solve(&UNTIL);
            let wanted = best(&p);
            agrees(&simplex, end, wanted, &p);
            if end == End::Optimal {
                simplex.drop_rows(&|_| true);
                let end = simplex.solve(&UNTIL);
                prop_assert_eq!(end, End::Optimal);
                prop_assert!((simplex.objective() - wanted.unwrap()).abs() < 1e-6 * wanted.unwrap().abs().max(1.0));
            }
        }
    }
}

/// A programme in whole numbers, with what is shared out between them.
fn whole(columns: &[(f64, u8)], rows: &Random) -> Programme {
    let mut p = Programme::new("random", Goal::Maximise);
    for (n, &(worth, most)) in columns.iter().enumerate() {
        if n % 3 == 2 {
            p.column(&["y"], (0.0, f64::from(most)), worth);
        } else {
            p.integer(&["x"], (0.0, f64::from(most)), worth);
        }
    }
    let rows = rows.iter().map(|r| row(r, columns.len()));
    p.rows.extend(rows.filter(|r| !r.terms.is_empty()));
    p
}

proptest! {
    /// The best whole point, by microlp, keeps all rows that are found round after round.
    #[test]
    fn whole_points_keep_the_rows_found(
        columns in prop::collection::vec((-1.0f64..4.0, 1u8..4), 3..12),
        rows in rows(),
    ) {
        let p = whole(&columns, &rows);
        let Ok(solved) = linear::solve(&p, Limits::default(), None) else {
            return Ok(());
        };
        let mut simplex = Simplex::new(&p, &vec![true; p.rows.len()]);
        for _ in 0..5 {
            if simplex.solve(&UNTIL) != End::Optimal {
                break;
            }
            prop_assert!(simplex.bound().0 >= solved.check.objective - 1e-6);
            let found: Vec<Rounded> = simplex.implied_rows().into_iter().chain(simplex.rounded_rows()).collect();
            for rounded in &found {
                let left: f64 = rounded.terms.iter().map(|&(c, a)| a * solved.point[c]).sum();
                let size: f64 = rounded.terms.iter().map(|&(c, a)| (a * solved.point[c]).abs()).sum();
                prop_assert!(left <= rounded.right + 1e-6 * size.max(1.0), "{rounded:?} at {:?}", solved.point);
            }
            let rows: Vec<Row> = found.into_iter().map(Rounded::row).collect();
            simplex.add_rows(&rows);
        }
    }
}
