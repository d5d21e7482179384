//! A search that is ended, by the clock or by the gap asked for, keeps a bound that holds.
//!
//! Where the answers come from: the same search left to its end.

use super::*;
use crate::solve::simplex::{End, Simplex, Until};

/// The relaxation of a season by beds, and how its solution ended.
fn relaxed(season: &Season, go_on: &dyn Fn() -> bool) -> (End, Simplex) {
    let (programme, _) = lay_out(season, Form::Bed, &|_| true);
    let mut simplex = Simplex::new(&programme, &vec![true; programme.rows.len()]);
    let end = simplex.solve(&Until {
        least: f64::NEG_INFINITY,
        pivots: u64::MAX,
        go_on,
    });
    (end, simplex)
}

#[test]
fn a_relaxation_ends_when_told_to_and_keeps_a_bound() {
    let season = small(0);
    let (end, whole) = relaxed(&season, &|| true);
    assert_eq!(end, End::Optimal);
    let (end, cut) = relaxed(&season, &|| false);
    assert_eq!(end, End::Stopped);
    assert!(cut.bound().0 >= whole.bound().0 - slack(whole.bound().0));
}

#[test]
fn a_search_ended_by_the_clock_keeps_the_bound_that_it_had() {
    let season = small(0);
    let none = vec![false; season.candidates.len()];
    let best = optimum(&season, &none).worth;
    let first = relaxed(&season, &|| true).1.objective();
    let mut last = f64::INFINITY;
    let mut cut = 0;
    // The clock runs at every look of either core, so it ends the search wherever they look.
    for looks in 1..60 {
        let limits = ExactLimits {
            until: Some(f64::from(looks) + 0.5),
            ..ExactLimits::default()
        };
        let found =
            exact(&season, &none, -1e6, None, limits, &Restless::default()).expect("small enough");
        assert!(
            found.bound >= best - slack(best),
            "{} for {best}",
            found.bound
        );
        last = found.bound;
        cut += usize::from(!found.finished);
    }
    assert!(cut > 0, "the clock never ended it");
    assert!(last <= first + slack(first), "{last} in the end");
}

#[test]
fn a_search_ends_within_the_gap_asked_for() {
    let season = small(0);
    let none = vec![false; season.candidates.len()];
    let best = optimum(&season, &none);
    let known = best.worth - 0.02 * best.worth.abs();
    let mut relaxations = Vec::new();
    for gap in [0.0, 0.01, 0.05, 0.3] {
        let limits = ExactLimits {
            gap,
            ..ExactLimits::default()
        };
        let found =
            exact(&season, &none, known, None, limits, &Restless::default()).expect("small enough");
        let worth = found.better.map_or(known, |better| better.worth);
        assert!(found.bound >= best.worth - slack(best.worth));
        assert!(found.bound - worth <= gap * found.bound.abs() + slack(best.worth));
        relaxations.push(found.relaxations);
    }
    assert!(relaxations.is_sorted_by(|a, b| a >= b), "{relaxations:?}");
    assert!(relaxations[3] < relaxations[0], "{relaxations:?}");
}
