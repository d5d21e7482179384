//! Leaves out candidates that no plan needs: those that cannot be worth their cost, and those
//! for which another is at least as good in every respect. Both are exact.

use super::planned;
use super::season::{Candidate, Lot, PlantUse};
use crate::domain::{CropId, DirectiveKind, Scenario};
use std::collections::BTreeMap;

/// Minutes in an hour.
const HOUR_MINUTES: f64 = 60.0;

/// Removes needless ones among new candidates (per m²); order is kept.
pub(super) fn prune(scenario: &Scenario, candidates: &mut Vec<Candidate>) {
    let asked = asked_for(scenario);
    let is_asked = |c: &Candidate| c.members.iter().any(|m| asked.contains(&m.crop));
    let is_planned = |c: &Candidate| planned::is_planned(scenario, &c.members);
    candidates.retain(|c| is_asked(c) || is_planned(c) || can_pay(scenario, c));
    let work_is_limited = scenario.work.hours_per_week.is_some();
    let replaces = |a: &Candidate, b: &Candidate| {
        (a.start == b.start || !is_asked(b))
            && (planned::begin_alike(&a.members, &b.members) || !is_planned(b))
            && dominates(a, b, work_is_limited)
    };
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
                    && replaces(a, b)
                    && (other < index || !replaces(b, a))
            });
        }
    }
    let mut index = 0;
    candidates.retain(|_| {
        index += 1;
        !needless[index - 1]
    });
}

/// Crops that an "always" asks for: their very beginning, in its week, has a worth.
fn asked_for(scenario: &Scenario) -> Vec<CropId> {
    scenario
        .directives
        .iter()
        .filter(|directive| directive.kind != DirectiveKind::Never)
        .map(|directive| directive.crop)
        .collect()
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
    let short = (0..scenario.horizon()).map(|week| food.short_money_in(week));
    let worth = food.price_money * (1.0 + below) + short.fold(food.short_money, f64::max);
    (worth - way.harvest_minutes_per_unit * minute_money).max(0.0)
}

/// Whether any plan with `b` is at least as good with `a` in its place: same crops, no more
/// weeks of ground, the same covers in them, no more shelf, plants to hand, work and cost, at least its
/// lots.
fn dominates(a: &Candidate, b: &Candidate, work_is_limited: bool) -> bool {
    a.start >= b.start
        && a.end <= b.end
        && a.cost <= b.cost
        && no_more_work(a, b, work_is_limited)
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
        && (a.plants.iter()).all(|mine| {
            let as_many = |p: &PlantUse| p.of == mine.of && mine.plants <= p.plants;
            b.plants.iter().any(as_many)
        })
        && gives_as_much(a, b)
}

/// Work has a price; where it also has a limit, no week may have more of it.
fn no_more_work(a: &Candidate, b: &Candidate, is_limited: bool) -> bool {
    if is_limited {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::candidates::{FamilyUse, PlantUse, ShelfUse};

    /// In the ground in weeks 10 to 19 with a lot in its last five weeks.
    fn planting() -> Candidate {
        Candidate {
            name: "planting".into(),
            kind: 0,
            standing: None,
            start: 10,
            end: 20,
            states: vec![0; 10],
            families: vec![FamilyUse {
                family: 0,
                from: 10,
                until: 20,
            }],
            lots: vec![Lot {
                product: 0,
                from: 15,
                fresh_until: 19,
                until: 22,
                amount: 4.0,
            }],
            shelf: vec![ShelfUse {
                week: 9,
                lit: false,
                m2: 0.1,
            }],
            work: vec![(9, 1.0), (10, 2.0), (20, 1.0)],
            plants: vec![PlantUse { of: 0, plants: 3.0 }],
            cost: 0.5,
            members: Vec::new(),
        }
    }

    /// The same harvest from two weeks less of ground.
    fn later() -> Candidate {
        let mut later = planting();
        later.start = 12;
        later.states.truncate(8);
        later.families[0].from = 12;
        later.work[1].0 = 12;
        later
    }

    #[test]
    fn less_ground_for_the_same_harvest_is_enough() {
        assert!(dominates(&later(), &planting(), false));
        assert!(!dominates(&planting(), &later(), false));
    }

    #[test]
    fn with_work_limited_a_busier_week_counts() {
        assert!(!dominates(&later(), &planting(), true));
        let mut lighter = planting();
        lighter.work.remove(0);
        assert!(dominates(&lighter, &planting(), true));
    }

    #[test]
    fn no_candidate_is_left_out_for_one_worse_in_anything() {
        let worse: [fn(&mut Candidate); 12] = [
            |c| c.cost += 0.1,
            |c| c.shelf[0].m2 += 0.1,
            |c| c.shelf[0].lit = true,
            |c| c.plants[0].plants += 0.1,
            |c| c.plants[0].of = 1,
            |c| c.work[0].1 += 0.1,
            |c| c.states[7] = 1,
            |c| c.families[0].family = 1,
            |c| c.lots[0].amount -= 0.1,
            |c| c.lots[0].from += 1,
            |c| c.lots[0].until -= 1,
            |c| c.lots[0].product = 1,
        ];
        for make in worse {
            let mut other = later();
            make(&mut other);
            assert!(!dominates(&other, &planting(), false), "{other:?}");
        }
    }
}
