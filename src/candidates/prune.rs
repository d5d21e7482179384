//! Leaves out candidates that no plan needs: those that cannot be worth their cost, and those
//! for which another is at least as good in every respect. Both are exact.

use super::season::{Candidate, Lot};
use crate::domain::{CropId, DirectiveKind, Scenario};
use std::collections::BTreeMap;

/// Minutes in an hour.
const HOUR_MINUTES: f64 = 60.0;

/// Removes needless ones among new candidates (per m²); order is kept.
pub(super) fn prune(scenario: &Scenario, candidates: &mut Vec<Candidate>) {
    candidates.retain(|c| asked_for(scenario, c) || can_pay(scenario, c));
    let mut alike: BTreeMap<_, Vec<usize>> = BTreeMap::new();
    for (index, candidate) in candidates.iter().enumerate() {
        let crops: Vec<CropId> = candidate.members.iter().map(|m| m.crop).collect();
        alike.entry((crops, candidate.end)).or_default().push(index);
    }
    let mut needless = vec![false; candidates.len()];
    for indices in alike.values() {
        for &index in indices {
            needless[index] = indices.iter().any(|&other| {
                let (a, b) = (&candidates[other], &candidates[index]);
                other != index
                    && !needless[other]
                    && dominates(scenario, a, b)
                    && (other < index || !dominates(scenario, b, a))
            });
        }
    }
    let mut index = 0;
    candidates.retain(|_| {
        index += 1;
        !needless[index - 1]
    });
}

/// Whether an "always" asks for one of its crops, so that its very beginning has a worth.
fn asked_for(scenario: &Scenario, candidate: &Candidate) -> bool {
    scenario.directives.iter().any(|directive| {
        directive.kind != DirectiveKind::Never
            && candidate.members.iter().any(|m| m.crop == directive.crop)
    })
}

/// Whether what it gives, all eaten in place of a shortage, is worth more than it costs.
fn can_pay(scenario: &Scenario, candidate: &Candidate) -> bool {
    let minute_money = scenario.work.hour_money / HOUR_MINUTES;
    let minutes: f64 = candidate.work.iter().map(|(_, minutes)| minutes).sum();
    let most: f64 = candidate
        .lots
        .iter()
        .map(|lot| lot.amount * most_per_unit(scenario, lot.product, minute_money))
        .sum();
    most > candidate.cost + minutes * minute_money
}

/// The most that a unit of a product can be worth: bought in, short of the floor, below the band.
fn most_per_unit(scenario: &Scenario, product: usize, minute_money: f64) -> f64 {
    let way = scenario
        .crops
        .iter()
        .flat_map(|crop| &crop.ways)
        .nth(product)
        .expect("lots are of products");
    let food = &scenario.foods[way.food];
    let below = scenario.level.as_ref().map_or(0.0, |l| l.below_cost);
    let worth = food.price_money * (1.0 + below) + food.short_money;
    (worth - way.harvest_minutes_per_unit * minute_money).max(0.0)
}

/// Whether any plan with `b` is at least as good with `a` in its place: same crops, no more
/// weeks of ground, the same covers in them, no more shelf, work and cost, at least its lots.
fn dominates(scenario: &Scenario, a: &Candidate, b: &Candidate) -> bool {
    a.start >= b.start
        && a.end <= b.end
        && (a.start == b.start || !asked_for(scenario, b))
        && a.cost <= b.cost
        && no_more_work(scenario, a, b)
        && a.states == b.states[a.start - b.start..a.end - b.start]
        && a.families.iter().all(|mine| {
            b.families.iter().any(|other| {
                other.family == mine.family && other.from <= mine.from && mine.until <= other.until
            })
        })
        && a.shelf.iter().all(|mine| {
            b.shelf.iter().any(|other| {
                other.week == mine.week && other.lit == mine.lit && mine.m2 <= other.m2
            })
        })
        && gives_as_much(a, b)
}

/// Work has a price; where it also has a limit, no week may have more of it.
fn no_more_work(scenario: &Scenario, a: &Candidate, b: &Candidate) -> bool {
    if scenario.work.hours_per_week.is_some() {
        a.work.iter().all(|&(week, minutes)| {
            b.work
                .iter()
                .any(|&(other, most)| other == week && minutes <= most)
        })
    } else {
        let sum = |c: &Candidate| c.work.iter().map(|(_, minutes)| minutes).sum::<f64>();
        sum(a) <= sum(b)
    }
}

/// Whether each lot of `b` has one of `a` of its own that serves at least as well.
fn gives_as_much(a: &Candidate, b: &Candidate) -> bool {
    let serves = |mine: &Lot, other: &Lot| {
        mine.product == other.product
            && mine.from <= other.from
            && mine.fresh_until >= other.fresh_until
            && mine.until >= other.until
            && mine.amount >= other.amount
    };
    let mut mine = a.lots.iter();
    b.lots
        .iter()
        .all(|other| mine.any(|lot| serves(lot, other)))
}
