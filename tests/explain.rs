//! Scenarios side by side, what one more is worth.
//!
//! Sources of truth: intervals and concavity as docs/method/what-if.md proves them; `verify` for every
//! plan on the way.

#[path = "support/holding.rs"]
mod holding;
#[path = "support/solved.rs"]
mod solved;
#[path = "support/still.rs"]
mod still;

use bedweek::domain::*;
use bedweek::explain::*;
use bedweek::solve::Options;
use holding::{leaves, raising};
use solved::*;

/// The base, a bed more, the same once more.
fn three() -> [Case; 3] {
    let mut scenario = small(vec![leaves("greens")]);
    scenario.foods[0].wish = vec![5.0; WEEKS];
    let more = Thing::Bed(Setting::Open).more(&scenario, 1);
    [
        case("base", &scenario),
        case("a bed more", &more),
        case("the same", &scenario),
    ]
}

#[test]
fn differences_hold_between_what_is_proven() {
    let cases = three();
    let sides = solve_all(&cases, &options(0.0), false, &Quiet);
    let comparison = compare(&cases, &sides, false);
    for (case, side) in cases.iter().zip(&sides) {
        holds(&case.scenario, side);
    }
    let verdicts: Vec<Verdict> = comparison.differences.iter().map(|d| d.verdict).collect();
    assert_eq!(verdicts, [Verdict::Better, Verdict::Same]);
    for d in &comparison.differences {
        assert!(
            d.at_least <= d.found + 1e-9 && d.found <= d.at_most + 1e-9,
            "{d:?}"
        );
    }
    // Side by side gives what one after the other gives.
    for (case, side) in cases.iter().zip(&sides) {
        assert_eq!(solved(case, &options(0.0), &Quiet).plan, side.plan);
    }
    assert!(comparison.same_measure);
}

#[test]
fn what_wide_gaps_leave_open_is_decided_by_solving_on() {
    let cases = three();
    let wide = options(5.0);
    let sides = solve_all(&cases, &wide, false, &Quiet);
    let open = compare(&cases, &sides, false);
    assert_eq!(open.differences[0].verdict, Verdict::Undecided, "{open:?}");
    let sides = solve_all(&cases, &wide, true, &Quiet);
    let decided = compare(&cases, &sides, true);
    assert_eq!(decided.differences[0].verdict, Verdict::Better);
    for (case, side) in cases.iter().zip(&sides) {
        holds(&case.scenario, side);
    }
}

/// Every plan of the base is a plan of one with more, of one without breaks too; not of one with less of
/// another thing.
#[test]
fn more_of_something_is_never_said_to_be_worse() {
    let cases = three();
    let base = &cases[0].scenario;
    let changed = |change: &dyn Fn(&mut Scenario)| {
        let mut other = base.clone();
        change(&mut other);
        case("changed", &other)
    };
    let more = [
        changed(&|s| s.covers[0].count += 1),
        changed(&|s| s.shelf.lit_m2 += 1.0),
        changed(&|s| s.families[0].rule = RotationRule::Off),
        case("a bed more", &Thing::Bed(Setting::Open).more(base, 1)),
    ];
    let less = changed(&|s| {
        s.covers[0].count += 1;
        s.shelf.lit_m2 -= 0.5;
    });
    // Found nothing yet, so that the gaps are as wide as can be.
    let wide = Options {
        gap: 1.0,
        work: Some(1),
        ..options(1.0)
    };
    for (other, ordered) in more.into_iter().map(|c| (c, true)).chain([(less, false)]) {
        let cases = [cases[0].clone(), other];
        let sides = solve_all(&cases, &wide, false, &Quiet);
        let found = &compare(&cases, &sides, false).differences[0];
        assert_eq!(found.at_least >= 0.0, ordered, "{found:?}");
        assert!(
            !ordered || found.found >= 0.0,
            "the plan is handed on: {found:?}"
        );
        let turned = [cases[1].clone(), cases[0].clone()];
        let sides = solve_all(&turned, &wide, false, &Quiet);
        let found = &compare(&turned, &sides, false).differences[0];
        assert_eq!(found.at_most <= 0.0, ordered, "{found:?}");
        for (case, side) in turned.iter().zip(&sides) {
            holds(&case.scenario, side);
        }
    }
}

#[test]
fn other_needs_are_another_measure() {
    let cases = three();
    let mut hungry = cases[0].clone();
    hungry.scenario.foods[0].wish[20] += 1.0;
    let cases = [cases[0].clone(), hungry];
    let sides = solve_all(&cases, &options(0.0), false, &Quiet);
    assert!(!compare(&cases, &sides, false).same_measure);
}

#[test]
fn one_more_is_worth_less_and_less_in_the_bound() {
    let mut crop = leaves("greens");
    crop.raisings.push(raising(Method::Modules));
    let mut scenario = small(vec![crop]);
    scenario.foods[0].wish = vec![1.0; WEEKS];
    scenario.work.hours_per_week = Some(1.0);
    scenario.shelf.unlit_m2 = 0.01;
    let base = case("", &scenario);
    let mut solved = solve(&scenario);
    for again in [false, true] {
        let asked = Asked {
            things: Thing::all(&scenario),
            most: 3,
            solve: again,
        };
        let (worth, found) = worth_of_more(&base, &mut solved, &asked, &options(0.0), &Quiet);
        all_hold(&found);
        assert_eq!(
            worth.things.len(),
            6,
            "covers, two settings, two shelves, work"
        );
        let mut something = 0.0_f64;
        for thing in &worth.things {
            let mut before = f64::INFINITY;
            for step in &thing.steps {
                assert!(
                    step.in_bound >= -1e-9,
                    "more never lowers the bound: {thing:?}"
                );
                assert!(step.in_bound <= before + 1e-9, "it falls: {thing:?}");
                before = step.in_bound;
                something = something.max(step.in_bound);
                assert!(0.0 <= step.at_least && step.at_least <= step.at_most + 1e-9);
                assert_eq!(step.solved.is_some(), again);
                if let Some(d) = &step.solved {
                    assert!(
                        d.found >= -1e-9 && d.found <= step.at_most + 1e-6,
                        "{thing:?}"
                    );
                }
            }
        }
        assert!(something > 0.1, "more ground is worth something: {worth:?}");
        let frame = &worth.things[0];
        assert_eq!(frame.yearly_cost, Some(15.0));
        assert!(frame.pays.iter().all(Option::is_some));
        // Ground is worth something while the crop stands, nothing before it can.
        let open: Vec<f64> = worth.ground.iter().filter_map(|m| m.open).collect();
        assert!(open.iter().all(|w| *w >= 0.0) && open.iter().any(|w| *w > 0.0));
    }
}

/// The first bed in the tunnel brings candidates that no search has priced yet.
#[test]
fn the_first_of_a_kind_is_worth_something_in_the_bound_too() {
    let mut scenario = small(vec![leaves("greens")]);
    scenario.crops[0].settings.push(Setting::Tunnel);
    scenario.foods[0].wish = vec![1.0; WEEKS];
    let base = case("", &scenario);
    let thing = Thing::Bed(Setting::Tunnel);
    let best = solve(&thing.more(&scenario, 1)).plan.result.worth;
    for again in [false, true] {
        let mut solved = solve(&scenario);
        let asked = Asked {
            things: vec![thing],
            most: 2,
            solve: again,
        };
        let (worth, found) = worth_of_more(&base, &mut solved, &asked, &options(0.0), &Quiet);
        all_hold(&found);
        let [first, second] = &worth.things[0].steps[..] else {
            panic!("two steps: {worth:?}");
        };
        assert!(
            first.in_bound > 0.1 && first.in_bound.is_finite(),
            "{worth:?}"
        );
        assert!(
            (-1e-9..=first.in_bound + 1e-9).contains(&second.in_bound),
            "{worth:?}"
        );
        let gain = best - worth.worth;
        assert!(gain > 0.1 && gain <= first.at_most + 1e-6, "{worth:?}");
    }
}
