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
            sowing_stride: 1,
            ..SeasonOptions::small()
        }
    }
}

/// A season close to the full-size demo: 32 beds of 10 strips, 40 crops, 78 weeks.
pub fn full_season(seed: u64) -> Season {
    random_season(seed, 32, 10, 40, 78, SeasonOptions::full())
}

#[derive(Clone, Copy, PartialEq)]
enum Harvest {
    /// Weeks of picking.
    Picking(usize),
    /// Weeks it stands.
    Standing(usize),
    /// Weeks it keeps.
    Clearing(usize),
}

struct RandomCrop {
    family: usize,
    food: usize,
    harvest: Harvest,
    ready_units: f64,
    /// First sowing week of the year (0..52) and weeks in which it can be begun.
    sow_first: usize,
    sow_weeks: usize,
    /// Weeks on the shelf before planting; 0: sown in place.
    shelf_weeks: usize,
    per_m2: f64,
    /// Survives only where warmth (0..1) stays above this.
    hardiness: f64,
    keeps: usize,
}

/// Warmth of a week of the year in the open, 0 (mid January) to 1 (mid July).
fn warmth(week_of_year: usize) -> f64 {
    let angle = std::f64::consts::TAU * (week_of_year as f64 - 3.0) / 52.0;
    0.5 * (1.0 - angle.cos())
}

/// Growth units of a week at that warmth.
fn units(warmth: f64) -> f64 {
    7.0 * (0.05 + 0.95 * warmth.clamp(0.0, 1.0).powf(1.3))
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
        foods: Vec::new(),
        level: None,
        shelf_lit_m2: 0.0,
        shelf_unlit_m2: 0.0,
        minute_money: 0.1,
        minutes_per_week: None,
        always: Vec::new(),
        never: Vec::new(),
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
            });
        }
    }
    total_m2
}

fn random_crop(rng: &mut ChaCha8Rng, c: usize, families: usize, foods: usize) -> RandomCrop {
    let harvest = match c % 3 {
        0 => Harvest::Picking(rng.random_range(4..12)),
        1 => Harvest::Standing(rng.random_range(4..18)),
        _ => Harvest::Clearing(rng.random_range(2..30)),
    };
    // Half of the crops are winter's: sown from July on and hardy.
    let winter = rng.random_range(0..2) == 0;
    RandomCrop {
        family: c % families,
        food: c % foods,
        harvest,
        ready_units: rng.random_range(18.0..85.0),
        sow_first: if winter {
            rng.random_range(26..36)
        } else {
            rng.random_range(6..18)
        },
        sow_weeks: rng.random_range(6..24),
        shelf_weeks: if rng.random_range(0..2) == 0 {
            rng.random_range(2..6)
        } else {
            0
        },
        per_m2: rng.random_range(1.0..6.0),
        hardiness: if winter { -0.2 } else { 0.08 },
        keeps: rng.random_range(0..4),
    }
}

struct World<'a> {
    crops: &'a [RandomCrop],
    first_week_of_year: usize,
    options: SeasonOptions,
}

impl World<'_> {
    fn warmth(&self, kind: usize, week: usize, state: CoverState) -> f64 {
        let lift = if kind == 1 { 0.12 } else { 0.0 };
        let cover = [0.0, 0.10, 0.14, 0.05, 0.03][usize::from(state)];
        warmth((week + self.first_week_of_year) % 52) + lift + cover
    }

    /// The state in a week when cover `k` is used in its spell (weeks of the year 38 to 16).
    fn state(&self, cover: Option<usize>, week: usize) -> CoverState {
        let of_year = (week + self.first_week_of_year) % 52;
        match cover {
            Some(k) if !(16 - k..38 + k).contains(&of_year) => k as CoverState + 1,
            _ => BARE,
        }
    }

    /// Weeks of growth from `start` until ready, and the state in each week of the horizon.
    fn ready(&self, kind: usize, c: usize, start: usize, cover: Option<usize>) -> Option<usize> {
        let crop = &self.crops[c];
        let mut grown = crop.shelf_weeks as f64 * 4.0;
        for week in start..start + 60 {
            let warm = self.warmth(kind, week, self.state(cover, week));
            if warm < crop.hardiness {
                return None;
            }
            grown += units(warm);
            if grown >= crop.ready_units {
                return Some(week + 1);
            }
        }
        None
    }

    fn add_sowings(&self, season: &mut Season, kind: usize, c: usize) {
        let crop = &self.crops[c];
        let covers = season
            .beds
            .iter()
            .find(|b| b.kind == kind)
            .map_or(vec![], |b| b.covers.clone());
        for start in crop.shelf_weeks..season.weeks {
            let of_year = (start + self.first_week_of_year) % 52;
            let into = (of_year + 52 - crop.sow_first) % 52;
            if into >= crop.sow_weeks || into % self.options.sowing_stride != 0 {
                continue;
            }
            for cover in std::iter::once(None).chain(covers.iter().copied().map(Some)) {
                if let Some(ready) = self.ready(kind, c, start, cover) {
                    self.add_ends(season, kind, c, start, ready, cover, None, 1.0);
                }
            }
        }
    }

    /// Adds the candidates that begin at `start`, are ready at `ready` and end at several weeks.
    #[allow(clippy::too_many_arguments)]
    fn add_ends(
        &self,
        season: &mut Season,
        kind: usize,
        c: usize,
        start: usize,
        ready: usize,
        cover: Option<usize>,
        standing: Option<usize>,
        share: f64,
    ) {
        let crop = &self.crops[c];
        let m2 = season.kinds[kind].strip_m2;
        let whole = crop.per_m2 * m2 * share;
        let ends: Vec<usize> = match crop.harvest {
            Harvest::Picking(weeks) => vec![ready + weeks / 2 + 1, ready + weeks],
            Harvest::Standing(weeks) => vec![ready + weeks / 3 + 1, ready + weeks],
            Harvest::Clearing(_) => vec![ready + 1],
        };
        let mut last_end = 0;
        for end in ends {
            let end = end.min(season.weeks);
            if ready >= season.weeks || end == last_end {
                continue;
            }
            last_end = end;
            let states: Vec<CoverState> = (start..end).map(|w| self.state(cover, w)).collect();
            let covered = states.iter().any(|s| *s != BARE);
            let dead =
                (start..end).any(|w| self.warmth(kind, w, states[w - start]) < crop.hardiness);
            if (cover.is_some() && !covered) || dead {
                continue;
            }
            let lot = |from: usize, fresh: usize, until: usize, amount: f64| Lot {
                product: c,
                from,
                fresh_until: fresh.min(season.weeks - 1),
                until: until.min(season.weeks - 1),
                amount,
            };
            let lots = match crop.harvest {
                Harvest::Picking(weeks) => (ready..end)
                    .map(|w| lot(w, w, w + crop.keeps, whole / weeks as f64))
                    .collect(),
                Harvest::Standing(_) => {
                    vec![lot(ready, end - 1, end - 1 + crop.keeps, whole)]
                }
                Harvest::Clearing(keeps) => vec![lot(ready, ready, ready + keeps, whole)],
            };
            let raised = standing.is_none() && crop.shelf_weeks > 0;
            let shelf = if raised && self.options.shelf {
                (start - crop.shelf_weeks..start)
                    .map(|week| ShelfUse {
                        week,
                        lit: self.warmth(0, week, BARE) < 0.35,
                        m2: 0.05 * m2,
                    })
                    .collect()
            } else {
                Vec::new()
            };
            let mut work = Vec::new();
            if standing.is_none() {
                work.push((start, 4.0 * m2));
            }
            match work.last_mut() {
                Some((week, minutes)) if *week == end => *minutes += 2.0 * m2,
                _ if end < season.weeks => work.push((end, 2.0 * m2)),
                _ => {}
            }
            let week = |w: usize| season.start.plus(w as i32);
            season.candidates.push(Candidate {
                name: format!(
                    "crop{c}/{}/{start}/{}/{end}/k{kind}",
                    standing.map_or("sown".into(), |s| format!("stands{s}")),
                    cover.map_or("bare".into(), |k| format!("cover{k}")),
                ),
                kind,
                standing,
                start,
                end,
                states,
                families: vec![FamilyUse {
                    family: crop.family,
                    from: start,
                    until: end,
                }],
                lots,
                shelf,
                work,
                cost: if standing.is_some() { 0.0 } else { 0.3 * m2 },
                members: vec![Member {
                    crop: c,
                    raising: standing.is_none().then_some(0),
                    lit: false,
                    way: Some(0),
                    sown: week(start).plus(-(crop.shelf_weeks as i32)),
                    planted: week(start),
                    cleared: week(end),
                    yield_share: share,
                    plant_share: share,
                }],
            });
        }
    }

    /// Puts a planting into about half of the groups (weeks before the plan are not modelled).
    fn add_standing(&self, season: &mut Season, rng: &mut ChaCha8Rng) {
        let mut next = 0;
        let mut last: Option<(usize, usize)> = None;
        for g in 0..season.groups.len() {
            let bed = season.groups[g].bed;
            let kind = season.beds[bed].kind;
            // Sometimes the second group of a bed carries the same planting as the first.
            if let Some((same, _)) = last.filter(|(_, b)| *b == bed && rng.random_range(0..2) == 0)
            {
                season.groups[g].standing = Some(same);
                continue;
            }
            last = None;
            if rng.random_range(0..10) < 4 {
                continue;
            }
            let c = rng.random_range(0..self.crops.len());
            let before = season.candidates.len();
            season
                .candidates
                .push(cleared_at_once(season, kind, c, self.crops[c].family, next));
            let ready = rng.random_range(0..8);
            let covers = season.beds[bed].covers.clone();
            for cover in std::iter::once(None).chain(covers.into_iter().map(Some)) {
                self.add_ends(season, kind, c, 0, ready, cover, Some(next), 0.8);
            }
            debug_assert!(season.candidates.len() > before);
            season.groups[g].standing = Some(next);
            last = Some((next, bed));
            next += 1;
        }
    }
}

fn cleared_at_once(
    season: &Season,
    kind: usize,
    crop: usize,
    family: usize,
    standing: usize,
) -> Candidate {
    Candidate {
        name: format!("crop{crop}/stands{standing}/cleared"),
        kind,
        standing: Some(standing),
        start: 0,
        end: 0,
        states: Vec::new(),
        families: vec![FamilyUse {
            family,
            from: 0,
            until: 0,
        }],
        lots: Vec::new(),
        shelf: Vec::new(),
        work: vec![(0, 2.0 * season.kinds[kind].strip_m2)],
        cost: 0.0,
        members: vec![Member {
            crop,
            raising: None,
            lit: false,
            way: None,
            sown: season.start.plus(-20),
            planted: season.start.plus(-16),
            cleared: season.start,
            yield_share: 1.0,
            plant_share: 1.0,
        }],
    }
}

/// Pairs a slow planting with a quick one that stands among it for a while.
fn add_recipes(season: &mut Season, rng: &mut ChaCha8Rng) {
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
fn add_needs(
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
            short_cost: price,
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

fn add_directives(season: &mut Season, rng: &mut ChaCha8Rng, crops: usize, options: SeasonOptions) {
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
                crop: rng.random_range(0..crops),
                bed,
                strips: 2,
                from: 0,
                to: season.weeks - 1,
                missing_money: 10.0,
            });
        }
    }
}
