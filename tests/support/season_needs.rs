//! Needs, directives and mixed plantings of random seasons.

use super::SeasonOptions;
use bedweek::candidates::*;
use rand::Rng;
use rand_chacha::ChaCha8Rng;

/// Pairs a slow planting with a quick one that stands among it for a while.
pub(super) fn add_recipes(season: &mut Season, rng: &mut ChaCha8Rng) {
    let sown = season.candidates.len();
    for first in (0..sown).step_by(29) {
        let slow = season.candidates[first].clone();
        let quick = (0..sown).find(|&q| {
            let q = &season.candidates[q];
            q.kind == slow.kind
                && q.families[0].family != slow.families[0].family
                && q.start >= slow.start
                && q.start <= slow.start + 1
                && q.end < slow.end
                && q.states[..] == slow.states[q.start - slow.start..q.end - slow.start]
        });
        let Some(quick) = quick.filter(|_| rng.random_range(0..3) > 0) else {
            continue;
        };
        let quick = season.candidates[quick].clone();
        let mut both = slow.clone();
        both.name = format!("{}+{}", slow.name, quick.name);
        both.families.extend(&quick.families);
        for lot in &mut both.lots {
            lot.amount *= 0.9;
        }
        both.lots.extend(quick.lots.iter().map(|lot| Lot {
            amount: 0.4 * lot.amount,
            ..*lot
        }));
        both.shelf.extend(&quick.shelf);
        both.cost += 0.4 * quick.cost;
        for &(week, minutes) in &quick.work {
            match both.work.iter_mut().find(|(w, _)| *w == week) {
                Some((_, sum)) => *sum += 0.4 * minutes,
                None => both.work.push((week, 0.4 * minutes)),
            }
        }
        both.work.sort_by_key(|(week, _)| *week);
        both.members[0].yield_share = 0.9;
        both.members.push(Member {
            yield_share: 0.4,
            plant_share: 0.4,
            ..quick.members[0].clone()
        });
        season.candidates.push(both);
    }
}

/// Sizes wishes so that about four fifths of the ground would be needed for them.
pub(super) fn add_needs(
    season: &mut Season,
    rng: &mut ChaCha8Rng,
    foods: usize,
    total_m2: f64,
    options: SeasonOptions,
) {
    for f in 0..foods {
        // Units per m² and week of ground, mean over the food's candidates.
        let (mut rates, mut count) = (0.0, 0.0);
        for c in season.candidates.iter().filter(|c| c.members.len() == 1) {
            let units: f64 = c
                .lots
                .iter()
                .filter(|l| season.products[l.product].food == f)
                .map(|l| l.amount)
                .sum();
            if units > 0.0 && c.end > c.start {
                let ground = (c.end - c.start) as f64 * season.kinds[c.kind].strip_m2;
                rates += units / ground;
                count += 1.0;
            }
        }
        let rate = if count > 0.0 { rates / count } else { 0.1 };
        let per_week = 0.8 * total_m2 / foods as f64 * rate * rng.random_range(0.6..1.4);
        let price = rng.random_range(0.25..0.7) / rate;
        let floor_share = rng.random_range(0.3..0.7);
        // One food in five is wished for in half of the year only.
        let seasonal = f % 5 == 4;
        let wish: Vec<f64> = (0..season.weeks)
            .map(|w| {
                if seasonal && (w / 26) % 2 == 0 {
                    0.0
                } else {
                    per_week
                }
            })
            .collect();
        season.foods.push(FoodNeed {
            name: format!("food{f}"),
            price,
            short_cost: vec![price; season.weeks],
            floor: wish.iter().map(|d| d * floor_share).collect(),
            wish,
            single_crop_share: if f % 3 == 0 { 0.6 } else { 1.0 },
        });
    }
    if options.level {
        let (mut low, mut high) = (Vec::new(), Vec::new());
        for w in 0..season.weeks {
            let all: f64 = season.foods.iter().map(|f| f.price * f.wish[w]).sum();
            low.push(0.6 * all);
            high.push(0.85 * all);
        }
        season.level = Some(LevelBand {
            low,
            high,
            below_cost: 0.8,
        });
    }
    season.shelf_lit_m2 = 0.004 * total_m2;
    season.shelf_unlit_m2 = 0.01 * total_m2;
    if options.work_limit {
        season.minutes_per_week = Some(2.5 * total_m2);
    }
}

pub(super) fn add_directives(
    season: &mut Season,
    rng: &mut ChaCha8Rng,
    crops: usize,
    options: SeasonOptions,
) {
    if options.never {
        for _ in 0..2 {
            let bed = rng.random_range(0..season.beds.len());
            season.never.push((bed, rng.random_range(0..crops)));
        }
        season.never.sort_unstable();
        season.never.dedup();
        // What stands already cannot be undone by a "never".
        let standing: Vec<(usize, usize)> = season
            .groups
            .iter()
            .filter_map(|g| {
                let s = g.standing?;
                let c = season.candidates.iter().find(|c| c.standing == Some(s))?;
                Some((g.bed, c.members[0].crop))
            })
            .collect();
        season.never.retain(|pair| !standing.contains(pair));
    }
    if options.always {
        for bed in [None, Some(rng.random_range(0..season.beds.len()))] {
            season.always.push(Always {
                of: Counted::Crop {
                    crop: rng.random_range(0..crops),
                    from: 0,
                    to: season.weeks - 1,
                },
                bed,
                units: 2.0,
                missing_money: 10.0,
            });
        }
    }
}
