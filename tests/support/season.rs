//! Random seasons for tests: realistic in shape (winter stops growth, covers help, families need
//! breaks), free of any growth model. The same seed and sizes give the same season.
//!
//! Every figure here is invented; only the shape matters. Used by integration tests through
//! `#[path]` and by unit tests as `crate::test_season`.
#![allow(dead_code)]

use bedweek::candidates::*;
use bedweek::units::Week;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

#[path = "season_growth.rs"]
mod growth;
#[path = "season_needs.rs"]
mod needs;
#[path = "season_start.rs"]
mod start;

use growth::{RandomCrop, World, random_crop};
use needs::{add_directives, add_needs, add_recipes};

/// What a random season holds beside beds, crops and needs.
#[derive(Clone, Copy, Debug)]
pub struct SeasonOptions {
    /// Kinds of movable covers.
    pub cover_kinds: usize,
    /// Kinds of beds: 1 (open), 2 (and tunnel), 3 (and large open ones).
    pub bed_kinds: usize,
    pub foods: usize,
    pub history: bool,
    pub standing: bool,
    pub shelf: bool,
    pub level: bool,
    pub always: bool,
    pub never: bool,
    pub work_limit: bool,
    /// Some families are discouraged instead of forbidden, some off in a bed.
    pub discourage: bool,
    pub recipes: bool,
    /// Food in store, plants on the shelf, plantings decided on.
    pub start: bool,
    /// Every so many weeks of the sowing window a sowing is possible.
    pub sowing_stride: usize,
}

impl SeasonOptions {
    /// Everything on, sized for a handful of beds.
    pub fn small() -> SeasonOptions {
        SeasonOptions {
            cover_kinds: 2,
            bed_kinds: 1,
            foods: 8,
            history: true,
            standing: true,
            shelf: true,
            level: true,
            always: true,
            never: true,
            work_limit: false,
            discourage: true,
            recipes: true,
            start: true,
            sowing_stride: 3,
        }
    }

    /// Only ground, lots and needs.
    pub fn bare(foods: usize) -> SeasonOptions {
        SeasonOptions {
            cover_kinds: 0,
            bed_kinds: 1,
            foods,
            history: false,
            standing: false,
            shelf: false,
            level: false,
            always: false,
            never: false,
            work_limit: false,
            discourage: false,
            recipes: false,
            start: false,
            sowing_stride: 3,
        }
    }

    /// The size of a full holding.
    pub fn full() -> SeasonOptions {
        SeasonOptions {
            cover_kinds: 3,
            bed_kinds: 3,
            foods: 25,
            work_limit: false,
            start: false,
            sowing_stride: 1,
            ..SeasonOptions::small()
        }
    }
}

/// A season close to the full-size demo: 32 beds of 10 strips, 40 crops, 78 weeks.
pub fn full_season(seed: u64) -> Season {
    random_season(seed, 32, 10, 40, 78, SeasonOptions::full())
}

/// A random season; `strips` per bed, `weeks` of horizon (tail included).
pub fn random_season(
    seed: u64,
    beds: usize,
    strips: u32,
    crops: usize,
    weeks: usize,
    options: SeasonOptions,
) -> Season {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let families = (crops / 4).clamp(2, 11);
    let foods = options.foods.clamp(1, crops);
    let start = Week::from_iso(2026, 42).expect("a valid week");
    let first_week_of_year = start.iso().1 as usize - 1;

    let mut season = Season {
        weeks,
        start,
        kinds: kinds(options.bed_kinds),
        beds: Vec::new(),
        groups: Vec::new(),
        covers: (0..options.cover_kinds)
            .map(|k| CoverStock {
                name: ["low tunnel", "frame top", "fleece", "mesh"][k % 4].into(),
                count: (beds as u32).div_ceil(4 + k as u32).max(1),
                place_minutes: 15.0 - 4.0 * (k % 3) as f64,
                remove_minutes: 8.0 - 2.0 * (k % 3) as f64,
            })
            .collect(),
        family_names: (0..families).map(|f| format!("family{f}")).collect(),
        products: Vec::new(),
        in_store: Vec::new(),
        foods: Vec::new(),
        level: None,
        shelf_lit_m2: 0.0,
        shelf_unlit_m2: 0.0,
        minute_money: 0.1,
        minutes_per_week: None,
        on_shelf: Vec::new(),
        always: Vec::new(),
        planned: Vec::new(),
        add_money_per_m2: 0.0,
        given_back: 0.0,
        never: Vec::new(),
        cycle: None,
        candidates: Vec::new(),
    };
    let total_m2 = add_beds(&mut season, &mut rng, beds, strips, options);

    let crops: Vec<RandomCrop> = (0..crops)
        .map(|c| random_crop(&mut rng, c, families, foods))
        .collect();
    for (c, crop) in crops.iter().enumerate() {
        season.products.push(Product {
            name: format!("product{c}"),
            crop: c,
            way: 0,
            food: crop.food,
            weekly_loss: [0.0, 0.02, 0.05, 0.1][rng.random_range(0..4)],
            minutes_per_unit: rng.random_range(0.5..3.0),
            in_store: false,
        });
    }
    let world = World {
        crops: &crops,
        first_week_of_year,
        options,
    };
    for kind in 0..season.kinds.len() {
        for c in 0..crops.len() {
            world.add_sowings(&mut season, kind, c);
        }
    }
    if options.recipes {
        add_recipes(&mut season, &mut rng);
    }
    if options.standing {
        world.add_standing(&mut season, &mut rng);
    }
    add_needs(&mut season, &mut rng, foods, total_m2, options);
    add_directives(&mut season, &mut rng, crops.len(), options);
    if options.start {
        start::add_start(&mut season, seed);
    }
    season
}

fn kinds(count: usize) -> Vec<BedKind> {
    [("open", 0.55), ("tunnel", 0.6), ("wide", 0.7)][..count.clamp(1, 3)]
        .iter()
        .map(|(name, strip_m2)| BedKind {
            name: (*name).into(),
            strip_m2: *strip_m2,
        })
        .collect()
}

/// Adds beds with their groups and history; returns the area of all ground, m².
fn add_beds(
    season: &mut Season,
    rng: &mut ChaCha8Rng,
    beds: usize,
    strips: u32,
    options: SeasonOptions,
) -> f64 {
    let families = season.family_names.len();
    let breaks: Vec<usize> = (0..families)
        .map(|_| [0, 26, 52, 52, 104][rng.random_range(0..5)])
        .collect();
    let mut total_m2 = 0.0;
    for b in 0..beds {
        // One bed in five is in the tunnel, one in four of the others wide.
        let kind = match (season.kinds.len(), b % 5, b % 4) {
            (2 | 3, 4, _) => 1,
            (3, _, 3) => 2,
            _ => 0,
        };
        let rotation = (0..families)
            .map(|f| match breaks[f] {
                0 => Rotation::Off,
                weeks if options.discourage && f % 4 == 1 => Rotation::Discourage {
                    weeks,
                    money_per_strip_week: 0.05,
                },
                _ if options.discourage && f == 2 && b == 1 => Rotation::Off,
                weeks => Rotation::Forbid { weeks },
            })
            .collect();
        season.beds.push(BedGround {
            name: format!("B{:02}", b + 1),
            kind,
            strips,
            state_before: if kind != 1 && options.cover_kinds > 0 && b % 7 == 3 {
                1
            } else {
                BARE
            },
            // Tunnel borders take the first cover only.
            covers: (0..options.cover_kinds)
                .filter(|k| kind != 1 || *k == 0)
                .collect(),
            rotation,
        });
        total_m2 += f64::from(strips) * season.kinds[kind].strip_m2;
        let cut = if options.history && strips > 1 {
            rng.random_range(1..=strips)
        } else {
            strips
        };
        for range in [0..cut, cut..strips] {
            if range.is_empty() {
                continue;
            }
            let release = (0..families)
                .map(|f| {
                    if options.history && breaks[f] > 0 && rng.random_range(0..4) == 0 {
                        rng.random_range(0..breaks[f].min(season.weeks))
                    } else {
                        0
                    }
                })
                .collect();
            season.groups.push(StripGroup {
                bed: b,
                strips: range.collect(),
                standing: None,
                release,
                weeks: season.weeks,
            });
        }
    }
    total_m2
}
