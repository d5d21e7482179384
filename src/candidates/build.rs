//! The season of a scenario: ground, needs and every candidate, in one fixed order.

use super::cycle::standing_year;
use super::draft::on_strip;
use super::season::{
    Always, BedKind, Candidate, Counted, CoverStock, FoodNeed, LevelBand, Product, Season,
};
use super::site::{Site, sites};
use super::{ground, meant, names, planned, prune, recipes, sowings, standing, store};
use crate::domain::{CropId, DirectiveKind, Scenario, StandingId};
use crate::growth::Grower;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Minutes in an hour.
const HOUR_MINUTES: f64 = 60.0;
/// Threads that share the work.
const THREADS: usize = 2;

/// Everything the optimiser knows of the scenario, with every planting that can succeed.
///
/// The same scenario gives the same season, candidates in the same order. Thinnings of the
/// choice are listed in `docs/method/candidates.md`.
pub fn season(scenario: &Scenario) -> Season {
    if scenario.repeats {
        return standing_year(scenario);
    }
    let sites = sites(scenario);
    let (kinds, kind_of_bed) = ground::kinds(scenario, &sites);
    let drafts = drafts(scenario, &sites);
    let mut candidates: Vec<Candidate> = Vec::new();
    for (id, sited) in kinds.iter().enumerate() {
        let here = drafts.iter().filter(|(site, _)| *site == sited.site);
        for draft in here.flat_map(|(_, drafts)| drafts) {
            let elsewhere = draft
                .standing
                .is_some_and(|s| kind_of_bed[scenario.standing[s].bed] != id);
            if !elsewhere {
                candidates.push(on_strip(draft, id, &sited.kind));
            }
        }
    }
    candidates.sort_by(listed);
    names::make_unique(candidates.iter_mut().map(|candidate| &mut candidate.name));
    let bed_kinds: Vec<BedKind> = kinds.into_iter().map(|sited| sited.kind).collect();
    let mut counted_on = always(scenario);
    counted_on.extend(planned::always(scenario, &bed_kinds, &kind_of_bed));
    let mut products = products(scenario);
    let in_store = store::in_store(scenario, &mut products);
    names::make_unique(products.iter_mut().map(|product| &mut product.name));
    Season {
        weeks: scenario.horizon(),
        start: scenario.start,
        beds: kind_of_bed
            .iter()
            .enumerate()
            .map(|(bed, &kind)| ground::bed_ground(scenario, bed, kind))
            .collect(),
        groups: ground::groups(scenario),
        covers: covers(scenario),
        family_names: scenario.families.iter().map(|f| f.name.clone()).collect(),
        products,
        in_store,
        foods: foods(scenario),
        level: level(scenario),
        shelf_lit_m2: scenario.shelf.lit_m2,
        shelf_unlit_m2: scenario.shelf.unlit_m2,
        minute_money: scenario.work.hour_money / HOUR_MINUTES,
        minutes_per_week: scenario.work.hours_per_week.map(|h| h * HOUR_MINUTES),
        on_shelf: store::on_shelf(scenario),
        always: counted_on,
        planned: planned::uses(scenario, &candidates, &kind_of_bed),
        add_money_per_m2: planned::add_money_per_m2(scenario),
        given_back: planned::given_back(scenario, &bed_kinds, &kind_of_bed),
        kinds: bed_kinds,
        never: scenario
            .directives
            .iter()
            .filter(|directive| directive.kind == DirectiveKind::Never)
            .filter_map(|directive| Some((directive.bed?, directive.crop)))
            .collect(),
        cycle: None,
        candidates,
    }
}

/// The order of a season's candidates.
pub(super) fn listed(a: &Candidate, b: &Candidate) -> std::cmp::Ordering {
    (a.kind, a.standing.is_none(), a.standing, a.start, &a.name).cmp(&(
        b.kind,
        b.standing.is_none(),
        b.standing,
        b.start,
        &b.name,
    ))
}

/// A piece of the work that depends on nothing else.
enum Task<'a> {
    Crop(&'a Site<'a>, CropId),
    Recipe(&'a Site<'a>, usize),
    Standing(&'a Site<'a>, StandingId),
}

/// Candidates per m², each with its site, in the order of the tasks.
fn drafts(scenario: &Scenario, sites: &[Site]) -> Vec<(usize, Vec<Candidate>)> {
    let mut tasks: Vec<(usize, Task)> = Vec::new();
    for (id, site) in sites.iter().enumerate() {
        let standing =
            (0..scenario.standing.len()).filter(|&s| site.beds.contains(&scenario.standing[s].bed));
        tasks.extend(standing.map(|s| (id, Task::Standing(site, s))));
        let crops = (0..scenario.crops.len()).filter(|&crop| site.admits(crop));
        tasks.extend(crops.map(|crop| (id, Task::Crop(site, crop))));
        let recipes = 0..scenario.recipes.len();
        tasks.extend(recipes.map(|recipe| (id, Task::Recipe(site, recipe))));
    }
    let grower = Grower::new(scenario);
    let next = AtomicUsize::new(0);
    let work = || {
        let mut done = Vec::new();
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let Some((_, task)) = tasks.get(index) else {
                return done;
            };
            done.push((index, run(scenario, &grower, task)));
        }
    };
    let mut done: Vec<(usize, Vec<Candidate>)> = std::thread::scope(|scope| {
        let threads: Vec<_> = (0..THREADS).map(|_| scope.spawn(work)).collect();
        threads
            .into_iter()
            .flat_map(|thread| thread.join().expect("candidates are built without panics"))
            .collect()
    });
    done.sort_by_key(|&(index, _)| index);
    done.into_iter()
        .map(|(index, drafts)| (tasks[index].0, drafts))
        .collect()
}

fn run(scenario: &Scenario, grower: &Grower, task: &Task) -> Vec<Candidate> {
    let mut drafts = match *task {
        Task::Standing(site, id) => return standing::alternatives(site, grower, id),
        Task::Crop(site, crop) => sowings::of_crop(site, grower, crop),
        Task::Recipe(site, recipe) => recipes::of_recipe(site, grower, &scenario.recipes[recipe]),
    };
    let add_money = planned::add_money_per_m2(scenario);
    for draft in &mut drafts {
        draft.cost += add_money;
    }
    let (Task::Crop(site, _) | Task::Recipe(site, _) | Task::Standing(site, _)) = *task;
    drafts.retain(|draft| meant::open(site, draft));
    prune::prune(scenario, &mut drafts);
    drafts
}

fn covers(scenario: &Scenario) -> Vec<CoverStock> {
    scenario
        .covers
        .iter()
        .map(|cover| CoverStock {
            name: cover.name.clone(),
            count: cover.count,
            place_minutes: cover.place_minutes,
            remove_minutes: cover.remove_minutes,
        })
        .collect()
}

/// Every way of every crop, crop by crop.
fn products(scenario: &Scenario) -> Vec<Product> {
    let mut products: Vec<Product> = Vec::new();
    for (id, crop) in scenario.crops.iter().enumerate() {
        for (number, way) in crop.ways.iter().enumerate() {
            products.push(Product {
                name: names::product(&crop.name, &way.name),
                crop: id,
                way: number,
                food: way.food,
                weekly_loss: way.weekly_loss,
                minutes_per_unit: way.harvest_minutes_per_unit,
                in_store: false,
            });
        }
    }
    products
}

pub(super) fn level(scenario: &Scenario) -> Option<LevelBand> {
    scenario.level.as_ref().map(|level| LevelBand {
        low: level.low_money.clone(),
        high: level.high_money.clone(),
        below_cost: level.below_cost,
    })
}

pub(super) fn foods(scenario: &Scenario) -> Vec<FoodNeed> {
    scenario
        .foods
        .iter()
        .map(|food| FoodNeed {
            name: food.name.clone(),
            price: food.price_money,
            short_cost: (0..scenario.horizon())
                .map(|week| food.short_money_in(week))
                .collect(),
            floor: food.floor.clone(),
            wish: food.wish.clone(),
            single_crop_share: food.single_crop_share,
        })
        .collect()
}

/// The "always" directives whose weeks touch the horizon.
pub(super) fn always(scenario: &Scenario) -> Vec<Always> {
    let last = i32::try_from(scenario.horizon()).expect("horizons are short") - 1;
    let mut found = Vec::new();
    for directive in &scenario.directives {
        let DirectiveKind::Always {
            strips,
            from,
            to,
            missing_money,
        } = directive.kind
        else {
            continue;
        };
        let first = from.since(scenario.start).max(0);
        let until = to.since(scenario.start).min(last);
        if let (Ok(from), Ok(to)) = (usize::try_from(first), usize::try_from(until))
            && from <= to
        {
            found.push(Always {
                of: Counted::Crop {
                    crop: directive.crop,
                    from,
                    to,
                },
                bed: directive.bed,
                units: f64::from(strips),
                missing_money,
            });
        }
    }
    found
}
