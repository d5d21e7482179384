//! Which candidates no better plan can hold: at given prices, the bound with the candidate forced onto
//! one strip falls below the plan known.

use super::context::Context;
use crate::strips::{Path, Prices, Values};

/// For each candidate: whether no plan worth more than `worth` holds it. `whole` is the bound at these
/// prices (or a better one; then less is left out).
pub fn needless(context: &Context, prices: &Prices, whole: f64, worth: f64) -> Vec<bool> {
    const SAFETY: f64 = 1e-7; // share of the bound, against rounding
    let best = context.price(prices, None, true);
    let own = super::bound::bound(context, prices, &best);
    let whole = whole.max(own);
    let room = whole - worth + SAFETY * whole.abs();
    let losses = losses(context, prices, &best);
    losses.iter().map(|&loss| loss > room).collect()
}

/// What a strip loses at least, in money, when it takes a candidate in place of its best year: the least
/// over all groups, by candidate, at these prices and the best years at them. Rotation and cover moves
/// left out.
pub fn losses(context: &Context, prices: &Prices, best: &[Path]) -> Vec<f64> {
    let season = context.season;
    let values = Values::of(season, &context.classes, &context.variety, prices);
    let mut losses = vec![f64::INFINITY; season.candidates.len()];
    for (group, path) in best.iter().enumerate() {
        let bed = season.groups[group].bed;
        let terrain = &context.terrains.list[context.terrains.of_bed[bed]];
        let value = |c: usize| {
            let value = values.directed(season, prices, terrain, bed, c);
            match season.candidates[c].standing {
                Some(_) => value - values.costs.lids(season, group, c),
                None => value,
            }
        };
        let (before, after) = ends(context, group, &terrain.candidates, &value);
        let all = terrain
            .candidates
            .iter()
            .chain(&context.terrains.alternatives[group]);
        for &c in all {
            let candidate = &season.candidates[c];
            let head = if candidate.standing.is_some() {
                0.0
            } else {
                before[candidate.start]
            };
            let through = head + value(c) + after[candidate.end];
            losses[c] = losses[c].min(path.value - through);
        }
    }
    losses
}

/// Most that a strip of the group can earn before each week, and from each week on, rotation and cover
/// moves left out.
fn ends(
    context: &Context,
    group: usize,
    candidates: &[usize],
    value: &impl Fn(usize) -> f64,
) -> (Vec<f64>, Vec<f64>) {
    let season = context.season;
    let weeks = season.ground_weeks();
    let mut after = vec![0.0f64; weeks + 1];
    for &c in candidates.iter().rev() {
        let candidate = &season.candidates[c];
        // Sorted by start: what comes later is settled already.
        let through = value(c)
            + after[candidate.end..=weeks]
                .iter()
                .copied()
                .fold(0.0, f64::max);
        after[candidate.start] = after[candidate.start].max(through);
    }
    for week in (0..weeks).rev() {
        after[week] = after[week].max(after[week + 1]);
    }
    let mut before = vec![f64::NEG_INFINITY; weeks + 1];
    if season.groups[group].standing.is_none() {
        before[0] = 0.0;
    }
    for &a in &context.terrains.alternatives[group] {
        let end = season.candidates[a].end;
        before[end] = before[end].max(value(a));
    }
    let mut next = candidates.iter().peekable();
    for week in 0..=weeks {
        if week > 0 {
            before[week] = before[week].max(before[week - 1]);
        }
        while let Some(&&c) = next
            .peek()
            .filter(|&&&c| season.candidates[c].start == week)
        {
            let candidate = &season.candidates[c];
            let through = before[week] + value(c);
            before[candidate.end] = before[candidate.end].max(through);
            next.next();
        }
    }
    (before, after)
}
