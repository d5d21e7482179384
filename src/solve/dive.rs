//! Diving: from the best mix of strip-years, settle some strips at a time where the mix is surest, price
//! new strip-years for the rest, mix again. Ends in whole strip-years for all strips.

use super::context::{Context, Masks};
use super::generate::{Pool, idle_columns};
use super::master::{Column, Master, Settled};
use crate::candidates::CandidateId;
use crate::strips::Prices;

/// How a dive goes.
#[derive(Clone, Copy, Debug)]
pub struct Dive {
    /// Rounds of pricing before the first strip is settled.
    pub warm_rounds: usize,
    /// Share of the open strips settled at a time.
    pub share: f64,
    /// Open strips at which the dive stops, to be filled one by one.
    pub leave: usize,
    /// Accuracy of each mix.
    pub accuracy: f64,
}

/// Most columns carried from one mix to the next: the interior-point method slows with more.
const MOST_COLUMNS: usize = 380;

/// Years of all strips (those left open are idle), and the last prices; `None` where no mix was found.
pub fn dive(
    context: &Context,
    masks: &Masks,
    pool: &mut Pool,
    guide: &Prices,
    how: &Dive,
    mut go_on: impl FnMut() -> bool,
) -> Option<(Vec<Vec<Vec<CandidateId>>>, Prices)> {
    let groups = context.season.groups.len();
    let mut open: Vec<usize> = (0..groups).map(|g| context.count(g)).collect();
    let mut settled = Settled::none(context);
    let mut years: Vec<Vec<Vec<CandidateId>>> = vec![Vec::new(); groups];
    let idle = idle_columns(context, Some(masks));
    for column in &idle {
        pool.add(column.clone());
    }
    let mut prices = guide.clone();
    let mut round = 0;
    add_priced(context, masks, pool, &open, guide);
    while open.iter().sum::<usize>() > how.leave {
        let master = Master {
            context,
            columns: &pool.list,
            open: &open,
            settled: &settled,
            masks: Some(masks),
        };
        let mixed = master.solve(how.accuracy)?;
        round += 1;
        let mut strips = mixed.strips;
        if round > how.warm_rounds {
            for (index, count) in choose(&strips, &open, pool, how.share) {
                let column = &pool.list[index];
                settled.add(context, column, count as f64);
                open[column.group] -= count;
                strips[index] -= count as f64;
                for _ in 0..count {
                    years[column.group].push(column.candidates.clone());
                }
            }
        }
        keep_useful(pool, &strips, &open, &idle);
        let calm = prices.blend(&mixed.prices, 0.5);
        prices = mixed.prices;
        add_priced(context, masks, pool, &open, &prices);
        if round <= how.warm_rounds {
            add_priced(context, masks, pool, &open, &calm);
        }
        if !go_on() {
            break;
        }
    }
    for column in idle {
        let missing = context.count(column.group) - years[column.group].len();
        years[column.group].extend(std::iter::repeat_n(column.candidates, missing));
    }
    Some((years, prices))
}

/// Which columns get how many strips now: one strip at a time to the column that carries most.
fn choose(strips: &[f64], open: &[usize], pool: &Pool, share: f64) -> Vec<(usize, usize)> {
    let mut left: Vec<f64> = strips.to_vec();
    let mut room = open.to_vec();
    let total: usize = open.iter().sum();
    let target = ((total as f64 * share).ceil() as usize).max(4).min(total);
    let mut counts = vec![0usize; strips.len()];
    for settled in 0..target {
        let best = (0..left.len())
            .filter(|&i| room[pool.list[i].group] > 0)
            .max_by(|&a, &b| left[a].total_cmp(&left[b]).then(b.cmp(&a)));
        let Some(best) = best else { break };
        // Past the sure ones, settle no more than is needed to go on.
        const SURE: f64 = 0.7;
        if left[best] < SURE && settled * 3 >= target {
            break;
        }
        left[best] -= 1.0;
        room[pool.list[best].group] -= 1;
        counts[best] += 1;
    }
    counts
        .into_iter()
        .enumerate()
        .filter(|(_, count)| *count > 0)
        .collect()
}

/// Drops columns of full groups and those the mix does not use, the oldest first.
fn keep_useful(pool: &mut Pool, strips: &[f64], open: &[usize], idle: &[Column]) {
    const USED: f64 = 1e-3;
    let unused = strips
        .iter()
        .zip(&pool.list)
        .filter(|(x, column)| **x <= USED && open[column.group] > 0)
        .count();
    let used = strips
        .iter()
        .zip(&pool.list)
        .filter(|(x, column)| **x > USED && open[column.group] > 0)
        .count();
    let mut to_drop = (used + unused).saturating_sub(MOST_COLUMNS).min(unused);
    pool.retain(|index, column| {
        if open[column.group] == 0 {
            return false;
        }
        if strips[index] <= USED && to_drop > 0 && !idle.contains(column) {
            to_drop -= 1;
            return false;
        }
        true
    });
}

fn add_priced(context: &Context, masks: &Masks, pool: &mut Pool, open: &[usize], prices: &Prices) {
    let paths = context.price(prices, Some(masks), false);
    for (group, path) in paths.into_iter().enumerate() {
        if open[group] > 0 && path.value > f64::NEG_INFINITY {
            pool.add(Column {
                group,
                candidates: path.candidates,
            });
        }
    }
}
