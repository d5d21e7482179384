//! Musts that cannot all be kept: the smallest set of them, and of limits, that clash.
//!
//! A deletion filter: each must, then each limit, is left out if what remains still clashes, which a
//! bound proves anew each time. Of what is left at the end none can be done without. Method:
//! docs/method/programme.md, "Musts".

use super::cases::{Case, Watches};
use super::more::Thing;
use super::musts::{self, Asked, Musts, Proof};
use crate::candidates::{self, Season};
use crate::domain::{DirectiveKind, FamilyId, FoodId, RotationRule, Scenario, Setting};
use crate::solve::{Options, Watch};
use crate::strips::Prices;
use crate::units::Week;

/// Shelf space when it is no limit, m²: more than any holding fills.
const AMPLE_SHELF_M2: f64 = 1_000.0;

/// A floor that must be met in weeks `from..=to`.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    pub food: String,
    pub unit: String,
    /// Units a week, all households together.
    pub floor: f64,
    pub from: Week,
    pub to: Week,
}

/// A limit as the scenario gives it.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Its key in the scenario, such as `covers.fleece.count`.
    pub key: String,
    /// What it says.
    pub words: String,
}

/// A set of musts and limits that clash.
#[derive(Clone, Debug, PartialEq)]
pub struct Clash {
    pub demands: Vec<Demand>,
    pub limits: Vec<Limit>,
    /// How it is proven that no plan keeps all musts.
    pub proof: Proof,
    /// Weeks' musts that every plan misses, and how many there are (a share of one counts).
    pub missed: f64,
    pub of: usize,
    /// Whether each single one is proven to be needed for the clash.
    pub smallest: bool,
    /// Whether in each week asked for something could be ready or in store, were there room for it.
    pub ready: bool,
}

/// What is known of the musts of a case.
pub enum Kept {
    /// All can be kept; where there is none, trivially.
    Yes(Option<Box<candidates::Decided>>),
    No(Clash),
    /// The limits of the search left it open.
    Open,
}

/// Whether the musts of a case can all be kept, and which clash if not.
pub fn kept(case: &Case, options: &Options, watches: &dyn Watches) -> Kept {
    let scenario = &case.scenario;
    if !scenario.musts_bind() {
        return Kept::Yes(None);
    }
    if let Some(clash) = too_dear(scenario) {
        return Kept::No(clash);
    }
    let watch = watches.of(&case.label);
    let season = candidates::season(scenario);
    match musts::keep(&season, &musts::all(scenario), options, &*watch) {
        Musts::Kept(plan) => Kept::Yes(Some(plan)),
        Musts::Open => Kept::Open,
        Musts::Clash {
            missed,
            proof,
            prices,
        } => {
            let proofs = (prices.into_iter())
                .map(|prices| (names(&season), *prices))
                .collect();
            let mut filter = Filter {
                scenario,
                options,
                watch: &*watch,
                asked: musts::all(scenario),
                lifted: Vec::new(),
                proofs,
                smallest: true,
            };
            filter.run();
            if !filter.smallest && !filter.over() {
                // What was left open among many may be decided among few.
                filter.smallest = true;
                filter.run();
            }
            let mut limits: Vec<Limit> = (limits(scenario).into_iter())
                .filter(|limit| !filter.lifted.contains(limit))
                .map(|limit| limit.told(scenario))
                .collect();
            let ready = ready(&season, &filter.asked);
            if limits.is_empty() && ready {
                // Ground is lifted by as many beds again, which need not be enough.
                let Limit { key, words } = Lift::Ground.told(scenario);
                let words = format!("{words}, nor would as many again be enough");
                limits.push(Limit { key, words });
            }
            Kept::No(Clash {
                demands: filter.demands(),
                limits,
                ready,
                proof,
                missed,
                of: count(&musts::all(scenario)),
                smallest: filter.smallest,
            })
        }
    }
}

/// Whether some lot can be eaten in each week asked for.
fn ready(season: &Season, asked: &Asked) -> bool {
    let there = |food: FoodId, week: usize| {
        let of_food = |product: usize| season.products[product].food == food;
        let grown = season.candidates.iter().flat_map(|c| &c.lots);
        grown
            .chain(&season.in_store)
            .any(|lot| of_food(lot.product) && lot.from <= week && week <= lot.until)
    };
    (asked.iter().enumerate()).all(|(f, weeks)| (0..weeks.len()).all(|w| !weeks[w] || there(f, w)))
}

fn count(asked: &Asked) -> usize {
    asked.iter().flatten().filter(|asked| **asked).count()
}

/// A week in which the musts alone are worth more than may be eaten.
fn too_dear(scenario: &Scenario) -> Option<Clash> {
    let level = scenario.level.as_ref()?;
    (0..scenario.horizon()).find_map(|w| {
        let here = || scenario.foods.iter().filter(move |f| f.must[w]);
        let worth: f64 = here().map(|f| f.floor[w] * f.price_money).sum();
        let high = level.high_money[w];
        (worth > high).then(|| Clash {
            demands: here()
                .filter(|f| f.floor[w] > 0.0 && f.price_money > 0.0)
                .map(|f| Demand {
                    food: f.name.clone(),
                    unit: f.unit.symbol().into(),
                    floor: f.floor[w],
                    from: scenario.week(w),
                    to: scenario.week(w),
                })
                .collect(),
            limits: vec![Limit {
                key: "level.high_money".into(),
                words: format!(
                    "no more than {high:.2} {0} of food in a week; these are worth {worth:.2} {0}",
                    scenario.currency
                ),
            }],
            proof: Proof::Prices,
            missed: 1.0,
            of: count(&musts::all(scenario)),
            // Of several foods one may be needless; which, nobody asked.
            smallest: here().filter(|f| f.floor[w] > 0.0).count() == 1,
            ready: true,
        })
    })
}

/// Something that can be lifted.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Lift {
    Ground,
    Cover(usize),
    Family(FamilyId),
    Shelf,
    Work,
    Never,
    Variety(FoodId),
}

/// The limits that may have to do with the musts.
fn limits(scenario: &Scenario) -> Vec<Lift> {
    let mut all: Vec<Lift> = Vec::new();
    let asked = |food: FoodId| scenario.foods[food].must.contains(&true);
    let serves = |family: FamilyId| {
        let crops = scenario.crops.iter().filter(move |c| c.family == family);
        crops.flat_map(|crop| &crop.ways).any(|way| asked(way.food))
    };
    if scenario
        .directives
        .iter()
        .any(|d| d.kind == DirectiveKind::Never)
    {
        all.push(Lift::Never);
    }
    all.extend(
        (0..scenario.foods.len())
            .filter(|&f| asked(f) && scenario.foods[f].single_crop_share < 1.0)
            .map(Lift::Variety),
    );
    if scenario.work.hours_per_week.is_some() {
        all.push(Lift::Work);
    }
    all.push(Lift::Shelf);
    all.extend((0..scenario.covers.len()).map(Lift::Cover));
    all.extend(
        (0..scenario.families.len())
            .filter(|&f| {
                let family = &scenario.families[f];
                let binds = |rule| rule == RotationRule::Forbid;
                serves(f)
                    && family.break_weeks > 0
                    && (binds(family.rule) || family.exceptions.iter().any(|(_, r)| binds(*r)))
            })
            .map(Lift::Family),
    );
    all.push(Lift::Ground);
    all
}

impl Lift {
    /// The scenario without it.
    fn off(self, scenario: &Scenario) -> Scenario {
        let mut free = scenario.clone();
        match self {
            Lift::Ground => {
                for setting in [Setting::Open, Setting::Tunnel] {
                    let here = scenario.beds.iter().filter(|b| b.setting == setting);
                    let beds = u32::try_from(here.count()).expect("beds are few");
                    free = Thing::Bed(setting).more(&free, beds);
                }
            }
            Lift::Cover(cover) => {
                let beds = u32::try_from(scenario.beds.len()).expect("beds are few");
                free.covers[cover].count = free.covers[cover].count.max(beds);
            }
            Lift::Family(family) => {
                free.families[family].rule = RotationRule::Off;
                free.families[family].exceptions.clear();
            }
            Lift::Shelf => {
                let shelf = &mut free.shelf;
                shelf.unlit_m2 = AMPLE_SHELF_M2;
                if shelf.lamp_mj > 0.0 {
                    shelf.lit_m2 = AMPLE_SHELF_M2;
                }
            }
            Lift::Work => free.work.hours_per_week = None,
            Lift::Never => free.directives.retain(|d| d.kind != DirectiveKind::Never),
            Lift::Variety(food) => free.foods[food].single_crop_share = 1.0,
        }
        free
    }

    fn told(self, scenario: &Scenario) -> Limit {
        let (key, words) = match self {
            Lift::Ground => {
                let strips: u32 = scenario.beds.iter().map(|bed| bed.strips).sum();
                let beds = scenario.beds.len();
                let noun = if beds == 1 { "bed" } else { "beds" };
                ("beds".into(), format!("{beds} {noun} with {strips} strips"))
            }
            Lift::Cover(cover) => {
                let cover = &scenario.covers[cover];
                let words = format!("{} of {}", cover.count, cover.name);
                (format!("covers.{}.count", cover.name), words)
            }
            Lift::Family(family) => {
                let family = &scenario.families[family];
                let (name, weeks) = (&family.name, family.break_weeks);
                let words = format!("{name} comes back to a strip after {weeks} weeks");
                (format!("rotation.{name}"), words)
            }
            Lift::Shelf => {
                let shelf = &scenario.shelf;
                let words = format!(
                    "{} m2 of shelf, {} m2 of it lit",
                    shelf.lit_m2 + shelf.unlit_m2,
                    shelf.lit_m2
                );
                ("shelf".into(), words)
            }
            Lift::Work => {
                let hours = scenario.work.hours_per_week.unwrap_or_default();
                let words = format!("{hours} hours of work a week");
                ("work.hours_per_week".into(), words)
            }
            Lift::Never => ("directives".into(), "what is never to be planted".into()),
            Lift::Variety(food) => {
                let food = &scenario.foods[food];
                let percent = 100.0 * food.single_crop_share;
                let words = format!(
                    "one crop supplies no more than {percent:.0} % of the wish for {}",
                    food.name
                );
                (format!("needs.{}.single_crop_share", food.name), words)
            }
        };
        Limit { key, words }
    }
}

/// Candidates and crops' shares by which prices of one season fit another.
fn names(season: &Season) -> Vec<String> {
    let candidates = season.candidates.iter().map(|c| c.name.clone());
    let shares = (season.foods.iter()).map(|f| (f.single_crop_share < 1.0).to_string());
    candidates.chain(shares).collect()
}

struct Filter<'s> {
    scenario: &'s Scenario,
    options: &'s Options,
    watch: &'s dyn Watch,
    asked: Asked,
    lifted: Vec<Lift>,
    /// Prices that proved a clash, with what they fit.
    proofs: Vec<(Vec<String>, Prices)>,
    smallest: bool,
}

impl Filter<'_> {
    fn run(&mut self) {
        // Musts first: the fewer there are, the clearer what limits them.
        for (food, from, to) in runs(self.scenario, &self.asked) {
            let mut fewer = self.asked.clone();
            fewer[food][from..=to].fill(false);
            if self.clashes(&fewer, &self.lifted.clone()) {
                self.asked = fewer;
            }
        }
        for (food, from, to) in runs(self.scenario, &self.asked) {
            self.shorten(food, from, to);
        }
        for limit in limits(self.scenario) {
            if self.lifted.contains(&limit) {
                continue;
            }
            let mut more = self.lifted.clone();
            more.push(limit);
            if self.clashes(&self.asked.clone(), &more) {
                self.lifted = more;
            }
        }
    }

    /// Fewer weeks of a must from both its ends, as long as it clashes; by halves.
    fn shorten(&mut self, food: FoodId, from: usize, to: usize) {
        let (mut first, mut last) = (from, to);
        for at_start in [true, false] {
            let mut step = (last - first).div_ceil(2);
            while step > 0 {
                if step <= last - first {
                    let mut fewer = self.asked.clone();
                    let out = match at_start {
                        true => first..first + step,
                        false => last + 1 - step..last + 1,
                    };
                    fewer[food][out].fill(false);
                    if self.clashes(&fewer, &self.lifted.clone()) {
                        self.asked = fewer;
                        match at_start {
                            true => first += step,
                            false => last -= step,
                        }
                        continue;
                    }
                }
                step /= 2;
            }
        }
    }

    /// Whether it is proven that these musts clash although those limits are lifted. What stays open
    /// counts as no, and is remembered.
    fn clashes(&mut self, asked: &Asked, lifted: &[Lift]) -> bool {
        if count(asked) == 0 {
            return false;
        }
        let free = (lifted.iter()).fold(self.scenario.clone(), |free, limit| limit.off(&free));
        let season = candidates::season(&free);
        let fits = names(&season);
        let mut known = self.proofs.iter().filter(|(names, _)| *names == fits);
        if known.any(|(_, prices)| musts::clash_at(&season, asked, prices)) {
            return true;
        }
        if self.over() {
            self.smallest = false;
            return false;
        }
        match musts::keep(&season, asked, self.options, self.watch) {
            Musts::Kept(_) => false,
            Musts::Open => {
                self.smallest = false;
                false
            }
            Musts::Clash { prices, .. } => {
                self.proofs.extend(prices.map(|prices| (fits, *prices)));
                true
            }
        }
    }

    /// Whether the clock's limit is reached, or the user has seen enough.
    fn over(&self) -> bool {
        let limit = self.options.seconds;
        limit.is_some_and(|limit| self.watch.seconds() >= limit) || self.watch.interrupted()
    }

    fn demands(&self) -> Vec<Demand> {
        (runs(self.scenario, &self.asked).into_iter())
            .map(|(food, from, to)| {
                let food = &self.scenario.foods[food];
                Demand {
                    food: food.name.clone(),
                    unit: food.unit.symbol().into(),
                    floor: food.floor[from],
                    from: self.scenario.week(from),
                    to: self.scenario.week(to),
                }
            })
            .collect()
    }
}

/// Musts as the scenario gives them: a food and a run of weeks with one floor.
fn runs(scenario: &Scenario, asked: &Asked) -> Vec<(FoodId, usize, usize)> {
    let mut runs: Vec<(FoodId, usize, usize)> = Vec::new();
    for (f, (food, asked)) in scenario.foods.iter().zip(asked).enumerate() {
        for week in (0..asked.len()).filter(|&w| asked[w] && food.floor[w] > 0.0) {
            match runs.last_mut() {
                Some((last, _, to))
                    if *last == f && *to + 1 == week && food.floor[*to] == food.floor[week] =>
                {
                    *to = week;
                }
                _ => runs.push((f, week, week)),
            }
        }
    }
    runs
}
