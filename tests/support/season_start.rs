//! What a random season starts with: food in store, plants on the shelf, plantings decided on.

use bedweek::candidates::*;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// What a new planting costs besides, money per m².
const ADD_MONEY: f64 = 0.3;

/// Adds all three. Draws from numbers of its own, so that the rest of the season stays as it was.
pub(super) fn add_start(season: &mut Season, seed: u64) {
    let mut rng = ChaCha8Rng::seed_from_u64(seed ^ 0x5747);
    if season.candidates.iter().all(|c| c.standing.is_some()) {
        return;
    }
    add_store(season, &mut rng);
    add_shelf(season, &mut rng);
    add_planned(season, &mut rng);
}

fn add_store(season: &mut Season, rng: &mut ChaCha8Rng) {
    for grown in season.products.clone() {
        if rng.random_range(0..3) > 0 {
            continue;
        }
        let product = season.products.len();
        let wish = season.foods[grown.food].wish[season.weeks - 1];
        for _ in 0..rng.random_range(1..3) {
            season.in_store.push(Lot {
                product,
                from: 0,
                fresh_until: 0,
                until: rng.random_range(0..season.weeks.min(16)),
                amount: wish * rng.random_range(0.3..4.0),
            });
        }
        season.products.push(Product {
            name: format!("{}.in_store", grown.name),
            minutes_per_unit: 0.0,
            in_store: true,
            ..grown
        });
    }
}

/// Plantings sown before the start, cheaper than those sown now.
fn add_shelf(season: &mut Season, rng: &mut ChaCha8Rng) {
    let early: Vec<usize> = (0..season.candidates.len())
        .filter(|&c| {
            let c = &season.candidates[c];
            c.standing.is_none() && c.members.len() == 1 && c.start < 12
        })
        .collect();
    for (of, &c) in early.iter().step_by(7).take(3).enumerate() {
        let mut planting = season.candidates[c].clone();
        let per_strip = rng.random_range(5.0..20.0);
        planting.name = format!("shelf{of}.{}", planting.name);
        planting.cost = 0.0;
        planting.members[0].sown = season.start.plus(-3);
        planting.plants = vec![PlantUse {
            of,
            plants: per_strip,
        }];
        season.on_shelf.push(Plants {
            name: format!("tray {of}"),
            plants: per_strip * rng.random_range(0.5..3.5),
        });
        season.candidates.push(planting);
    }
}

fn add_planned(season: &mut Season, rng: &mut ChaCha8Rng) {
    let new: Vec<usize> = (0..season.candidates.len())
        .filter(|&c| season.candidates[c].standing.is_none())
        .collect();
    season.add_money_per_m2 = ADD_MONEY;
    for _ in 0..4 {
        let candidate = new[rng.random_range(0..new.len())];
        let c = &season.candidates[candidate];
        let kind = c.kind;
        let bed = rng.random_range(0..season.beds.len());
        let strips = rng.random_range(1..=season.beds[bed].strips.min(3));
        let m2 = season.kinds[season.beds[bed].kind].strip_m2 * f64::from(strips);
        let drop = rng.random_range(0.1..2.0);
        let moving = rng.random_range(0.0..drop + ADD_MONEY);
        let members = |there: bool| -> Vec<Beginning> {
            let members = c.members.iter();
            members
                .map(|m| Beginning {
                    crop: m.crop,
                    raising: m.raising.expect("new plantings are raised"),
                    lit: m.lit,
                    sown: m.sown,
                    planted: there.then_some(m.planted),
                })
                .collect()
        };
        let place = Counted::Planned(members(true));
        let sowing = Counted::Planned(members(false));
        if season.always.iter().any(|a| a.of == sowing) {
            continue;
        }
        season.always.push(Always {
            of: place,
            bed: Some(bed),
            units: m2,
            missing_money: moving,
        });
        season.always.push(Always {
            of: sowing,
            bed: None,
            units: m2,
            missing_money: drop + ADD_MONEY - moving,
        });
        season.given_back += ADD_MONEY * m2;
        if kind == season.beds[bed].kind {
            season.planned.push(PlannedUse {
                bed,
                strips: (0..strips).collect(),
                candidate,
            });
        }
    }
    for c in new {
        let kind = season.candidates[c].kind;
        season.candidates[c].cost += ADD_MONEY * season.kinds[kind].strip_m2;
    }
}
