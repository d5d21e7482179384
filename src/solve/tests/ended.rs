//! A search that is ended, by the clock or by the gap asked for, keeps a bound that holds.
//!
//! Where the answers come from: the same search left to its end.

use super::*;
use crate::solve::linear::{NoPoint, Relaxation};

#[test]
fn a_relaxation_ends_with_the_clock() {
    let season = small(0);
    let (programme, _) = lay_out(&season, Form::Bed, &|_| true);
    let relaxed = |seconds| Relaxation::new(&programme, seconds).map(|r| r.objective());
    assert_eq!(relaxed(Some(0.0)), Err(NoPoint::Limit));
    // A limit beyond all clocks is none.
    assert_eq!(relaxed(Some(1e300)), relaxed(None));
    assert!(relaxed(None).is_ok());
}

#[test]
fn a_search_ended_by_the_clock_keeps_the_bound_that_it_had() {
    let season = small(0);
    let none = vec![false; season.candidates.len()];
    let best = optimum(&season, &none).worth;
    let first = {
        let (programme, _) = lay_out(&season, Form::Bed, &|_| true);
        let relaxed = Relaxation::new(&programme, None).expect("idle ground is a plan");
        relaxed.objective()
    };
    let mut cut = 0;
    // The clock runs at every look, so it ends the search wherever it looks.
    for looks in 1..40 {
        let limits = ExactLimits {
            until: Some(f64::from(looks) + 0.5),
            ..ExactLimits::default()
        };
        let found = exact(&season, &none, -1e6, limits, &Restless::default());
        assert!(
            found.bound >= best - slack(best),
            "{} for {best}",
            found.bound
        );
        assert!(
            found.bound <= first + slack(first),
            "{} after {looks}",
            found.bound
        );
        cut += usize::from(!found.finished);
    }
    assert!(cut > 0, "the clock never ended it");
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
        let found = exact(&season, &none, known, limits, &Restless::default());
        let worth = found.better.map_or(known, |better| better.worth);
        assert!(found.bound >= best.worth - slack(best.worth));
        assert!(found.bound - worth <= gap * found.bound.abs() + slack(best.worth));
        relaxations.push(found.relaxations);
    }
    assert!(relaxations.is_sorted_by(|a, b| a >= b), "{relaxations:?}");
    assert!(relaxations[3] < relaxations[0], "{relaxations:?}");
}
