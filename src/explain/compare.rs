//! Scenarios set side by side, and what the gaps allow to say about the difference of their best
//! plans.
//!
//! The best plan of a scenario is worth between the worth of the plan found and the bound. So the
//! best plan of one is worth more than that of another by at least its worth less the other's bound,
//! and at most its bound less the other's worth.

use super::cases::{Case, Solved, Watches, side_by_side, solved, solved_on, take_given};
use super::figures::{Figures, figures};
use super::known;
use crate::domain::{RotationRule, Scenario};
use crate::solve::{Options, Status};
use serde::Serialize;

/// Differences below this share of the worth are none: sums are rounded.
const SAME: f64 = 1e-6;
/// When a difference is to be decided: shares of the gap asked for that are tried one after another.
const CLOSER: [f64; 2] = [0.25, 0.0];

/// What is known of a difference of best plans.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Verdict {
    /// The variant's best plan is worth more.
    Better,
    /// It is worth less.
    Worse,
    /// Both are worth the same.
    Same,
    /// The gaps leave it open.
    Undecided,
}

/// How much more a variant's best plan is worth than the base's, money.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Difference {
    pub variant: String,
    /// Between the plans found.
    pub found: f64,
    /// Between the bounds: the better estimate where both searches went equally far.
    pub in_bound: f64,
    pub at_least: f64,
    pub at_most: f64,
    pub verdict: Verdict,
}

/// Scenarios side by side; the first is the base.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Comparison {
    pub currency: String,
    /// Planned weeks, and the weeks after them that count in the worth.
    pub weeks: usize,
    pub tail: usize,
    /// Names of the parts of the year, in the order of all lists by part.
    pub parts: Vec<&'static str>,
    pub sides: Vec<Figures>,
    pub differences: Vec<Difference>,
    /// Whether more than the variant's name differs in what worth is reckoned from (needs, prices,
    /// horizon): worths are then of different things.
    pub same_measure: bool,
    /// Whether the search went on to decide what was open.
    pub to_be_decided: bool,
}

/// Worth found and bound of a scenario.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known {
    pub worth: f64,
    pub bound: f64,
}

impl From<&Solved> for Known {
    fn from(solved: &Solved) -> Known {
        Known {
            worth: solved.plan.result.worth,
            bound: solved.plan.result.bound,
        }
    }
}

/// What is known of the difference between a variant and the base.
pub fn difference(label: &str, base: Known, variant: Known) -> Difference {
    let at_least = variant.worth - base.bound;
    let at_most = variant.bound - base.worth;
    Difference {
        variant: label.to_string(),
        found: variant.worth - base.worth,
        in_bound: variant.bound - base.bound,
        at_least,
        at_most,
        verdict: verdict(at_least, at_most, [base, variant]),
    }
}

/// What an interval between two cases says.
fn verdict(at_least: f64, at_most: f64, [base, variant]: [Known; 2]) -> Verdict {
    let none = SAME * base.bound.abs().max(variant.bound.abs()).max(1.0);
    if at_least > none {
        Verdict::Better
    } else if at_most < -none {
        Verdict::Worse
    } else if at_least >= -none && at_most <= none {
        Verdict::Same
    } else {
        Verdict::Undecided
    }
}

/// What is known of the difference between two solved cases: where every plan of the one is a plan of
/// the other, that one's best plan is worth no less.
fn between(cases: [&Case; 2], sides: [&Solved; 2]) -> Difference {
    let [base, variant] = cases.map(|case| &case.scenario);
    let mut found = difference(&cases[1].label, sides[0].into(), sides[1].into());
    if no_less(base, variant) {
        found.at_least = found.at_least.max(0.0);
    }
    if no_less(variant, base) {
        found.at_most = found.at_most.min(0.0);
    }
    found.verdict = verdict(found.at_least, found.at_most, sides.map(Known::from));
    found
}

/// Whether `more` is `less` with more of something and no less of anything, or with breaks let off:
/// then every plan of the one is a plan of the other, worth no less.
fn no_less(less: &Scenario, more: &Scenario) -> bool {
    let mut raised = less.clone();
    raised.name.clone_from(&more.name);
    raised.solving = more.solving.clone();
    for (kind, other) in raised.covers.iter_mut().zip(&more.covers) {
        kind.count = kind.count.max(other.count);
    }
    for (family, other) in raised.families.iter_mut().zip(&more.families) {
        if other.rule == RotationRule::Off && other.exceptions.is_empty() {
            family.rule = RotationRule::Off;
            family.exceptions.clear();
        }
    }
    let shelf = &mut raised.shelf;
    shelf.lit_m2 = shelf.lit_m2.max(more.shelf.lit_m2);
    shelf.unlit_m2 = shelf.unlit_m2.max(more.shelf.unlit_m2);
    let hours = &mut raised.work.hours_per_week;
    *hours = hours.zip(more.work.hours_per_week).map(|(a, b)| a.max(b));
    if more.beds.starts_with(&raised.beds) {
        raised.beds.clone_from(&more.beds);
    }
    raised == *more
}

/// Solves the base and its variants. With `decide`, those whose difference the gaps leave open are
/// solved again to smaller gaps, until it is decided or the search has nothing left to try.
pub fn solve_all(
    cases: &[Case],
    options: &Options,
    decide: bool,
    watches: &dyn Watches,
) -> Vec<Solved> {
    let mut sides = side_by_side(cases, |case| solved(case, options, watches));
    hand_on(cases, &mut sides, options, watches);
    if !decide {
        return sides;
    }
    for share in CLOSER {
        let open: Vec<usize> = (1..sides.len())
            .filter(|&i| undecided(cases, &sides, i))
            .collect();
        if open.is_empty() {
            break;
        }
        let closer = Options {
            gap: share * options.gap,
            ..*options
        };
        let again: Vec<usize> = std::iter::once(0)
            .chain(open)
            .filter(|&i| may_go_on(&sides[i], closer.gap))
            .collect();
        let found = side_by_side(&again, |&i| {
            let mut side = sides[i].clone();
            solved_on(&cases[i], &mut side, &closer, watches);
            side
        });
        for (&i, side) in again.iter().zip(found) {
            sides[i] = side;
        }
        hand_on(cases, &mut sides, options, watches);
    }
    sides
}

fn undecided(cases: &[Case], sides: &[Solved], variant: usize) -> bool {
    let found = between([&cases[0], &cases[variant]], [&sides[0], &sides[variant]]);
    found.verdict == Verdict::Undecided
}

/// Where every plan of one side is a plan of another, hands the better plan on.
fn hand_on(cases: &[Case], sides: &mut [Solved], options: &Options, watches: &dyn Watches) {
    for (from, to) in (1..sides.len()).flat_map(|i| [(0, i), (i, 0)]) {
        let worse = sides[to].plan.result.worth < sides[from].plan.result.worth;
        if worse && no_less(&cases[from].scenario, &cases[to].scenario) {
            let given =
                known::of_answer(&sides[from].season, &sides[from].answer, &sides[to].season);
            let given = given.filter(|given| given.left_out.is_empty());
            if let Some(given) = given {
                take_given(&cases[to], &mut sides[to], &given, options, watches);
            }
        }
    }
}

/// Whether solving again to a smaller gap can tell more.
fn may_go_on(side: &Solved, gap: f64) -> bool {
    side.answer.status == Status::WithinGap && side.answer.gap() > gap
}

/// The comparison of solved cases, the base first; `decide` as in [`solve_all`].
pub fn compare(cases: &[Case], sides: &[Solved], decide: bool) -> Comparison {
    let base = &cases[0].scenario;
    let measure = |case: &Case| {
        let s = &case.scenario;
        (
            s.weeks,
            s.tail,
            s.start,
            s.foods.clone(),
            s.level.clone(),
            s.work.hour_money,
        )
    };
    Comparison {
        currency: base.currency.clone(),
        weeks: base.weeks,
        tail: base.tail,
        parts: super::figures::PARTS.iter().map(|part| part.name).collect(),
        sides: (cases.iter().zip(sides))
            .map(|(case, side)| figures(&case.label, &case.scenario, &side.plan))
            .collect(),
        differences: (cases.iter().zip(sides).skip(1))
            .map(|(case, side)| between([&cases[0], case], [&sides[0], side]))
            .collect(),
        to_be_decided: decide,
        same_measure: cases.iter().all(|case| measure(case) == measure(&cases[0])),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn known(worth: f64, bound: f64) -> Known {
        Known { worth, bound }
    }

    /// By hand.
    #[test]
    fn the_gaps_bound_the_difference() {
        let d = difference("v", known(100.0, 104.0), known(110.0, 113.0));
        assert_eq!((d.at_least, d.at_most, d.found), (6.0, 13.0, 10.0));
        assert_eq!(d.verdict, Verdict::Better);
    }

    #[test]
    fn a_difference_smaller_than_the_gaps_is_undecided() {
        let d = difference("v", known(100.0, 104.0), known(102.0, 106.0));
        assert_eq!(d.verdict, Verdict::Undecided);
        let d = difference("v", known(100.0, 104.0), known(90.0, 99.0));
        assert_eq!(d.verdict, Verdict::Worse);
        let d = difference("v", known(100.0, 100.0), known(100.0, 100.0));
        assert_eq!(d.verdict, Verdict::Same);
    }
}
