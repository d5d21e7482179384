//! What one more of something is worth: by solving again with more of it, with the interval that the
//! gaps allow, and in the bound, where it can only fall with each further one. And what ground is
//! worth week by week. How, and why it holds: docs/method/what-if.md.

use super::cases::{Case, Solved, Watches, side_by_side, solved_from, solved_on};
use super::compare::{Difference, Known, difference};
use super::known;
use super::more::Thing;
use crate::candidates::{self, Season};
use crate::domain::{Scenario, Setting};
use crate::solve::{Options, bound_at, ground_worth, lowered};
use crate::strips::{Prices, VarietyRows};
use crate::units::Week;
use serde::Serialize;

/// Weeks in a year.
const YEAR_WEEKS: f64 = 52.0;
/// Steps by which prices are lowered for each thing when nothing is solved again.
const LOWER_STEPS: usize = 60;

/// The k-th one more of a thing, money over the horizon.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    /// Which one: 1 is the first more.
    pub more: u32,
    /// What the bound rises by; never more than for the one before.
    pub in_bound: f64,
    /// Between the plans found with it and without; `None` when nothing was solved again.
    pub solved: Option<Difference>,
    /// What is known of the best plans: at least, at most.
    pub at_least: f64,
    pub at_most: f64,
}

/// Whether a thing pays for its yearly cost.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Pays {
    Yes,
    No,
    /// The gaps leave it open; the plans found say yes, or no.
    #[serde(rename = "perhaps (found: yes)")]
    PerhapsYes,
    #[serde(rename = "perhaps (found: no)")]
    PerhapsNo,
}

/// What more of a thing is worth.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ThingWorth {
    pub thing: String,
    /// What one more is.
    pub one: String,
    pub yearly_cost: Option<f64>,
    pub steps: Vec<Step>,
    /// For each step, where a yearly cost is given.
    pub pays: Vec<Option<Pays>>,
}

/// What a bed-week is worth, money: mean over the beds of the setting; `None` where there is no such
/// bed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GroundWeek {
    pub week: Week,
    pub open: Option<f64>,
    pub tunnel: Option<f64>,
}

/// What more of everything is worth.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WorthOfMore {
    pub scenario: String,
    pub currency: String,
    /// Weeks over which worth is reckoned: planned weeks and tail.
    pub weeks: usize,
    pub worth: f64,
    pub bound: f64,
    pub things: Vec<ThingWorth>,
    /// Week by week; empty where there are no prices.
    pub ground: Vec<GroundWeek>,
}

impl WorthOfMore {
    /// A sum over the horizon as a sum for a year.
    pub fn a_year(&self, money: f64) -> f64 {
        money * YEAR_WEEKS / self.weeks as f64
    }
}

/// What is asked.
#[derive(Clone, Debug)]
pub struct Asked {
    pub things: Vec<Thing>,
    /// How many more of each.
    pub most: u32,
    /// Solve again with more of each; otherwise the bound alone says what it is worth.
    pub solve: bool,
}

/// The limits of each search that begins from a plan already found: a quarter of those of the first, and
/// a quarter of its gap, so that it does more than find the gap asked for kept already.
fn further(options: &Options) -> Options {
    const PART: u32 = 4;
    Options {
        gap: options.gap / f64::from(PART),
        seconds: options.seconds.map(|seconds| seconds / f64::from(PART)),
        work: options.work.map(|work| work.div_ceil(u64::from(PART))),
    }
}

/// What more is worth to the solved case, which is solved on for as long as each of the others. The
/// plans found on the way are given back to be checked.
pub fn worth_of_more(
    case: &Case,
    base: &mut Solved,
    asked: &Asked,
    options: &Options,
    watches: &dyn Watches,
) -> (WorthOfMore, Vec<(Case, Solved)>) {
    let scenario = &case.scenario;
    let options = &further(options);
    if asked.solve {
        solved_on(case, base, options, watches);
    }
    let base = &*base;
    // The plan of each is where the search with one more begins.
    let more: Vec<Vec<(Case, Solved)>> = side_by_side(&asked.things, |&thing| {
        let steps = if asked.solve { asked.most } else { 0 };
        let mut found: Vec<(Case, Solved)> = Vec::new();
        for more in 1..=steps {
            let case = Case {
                label: format!("{} +{more}", thing.name(scenario)),
                scenario: thing.more(scenario, more),
                ..case.clone()
            };
            let before = found.last().map_or(base, |(_, solved)| solved);
            let solved = solved_from(&case, options, watches, |season| {
                known::of_answer(&before.season, &before.answer, season)
            });
            found.push((case, solved));
        }
        found
    });
    let weeks = scenario.horizon();
    let jobs: Vec<(Thing, Vec<&Solved>)> = (asked.things.iter().zip(&more))
        .map(|(&thing, more)| (thing, more.iter().map(|(_, solved)| solved).collect()))
        .collect();
    let things = side_by_side(&jobs, |(thing, of)| {
        let bounds = bounds(*thing, scenario, base, of, asked.most, watches);
        thing_worth(*thing, scenario, base, of, &bounds, weeks)
    });
    let result = WorthOfMore {
        scenario: scenario.name.clone(),
        currency: scenario.currency.clone(),
        weeks,
        worth: base.plan.result.worth,
        bound: base.plan.result.bound,
        things,
        ground: (base.prices.as_ref())
            .map_or(Vec::new(), |prices| ground(scenario, &base.season, prices)),
    };
    (result, more.into_iter().flatten().collect())
}

/// Bounds with 0, 1, ... more: for each the least over a common set of prices. At given prices the
/// bound is a straight line in how much of the thing there is, and the least of lines is concave: no
/// step is worth more than the one before.
fn bounds(
    thing: Thing,
    scenario: &Scenario,
    base: &Solved,
    more: &[&Solved],
    most: u32,
    watches: &dyn Watches,
) -> Vec<f64> {
    let widest = candidates::season(&thing.more(scenario, most));
    let fits = |season: &Season| {
        let names =
            |s: &Season| -> Vec<String> { s.candidates.iter().map(|c| c.name.clone()).collect() };
        names(season) == names(&widest)
    };
    let mut prices: Vec<Prices> = (more.iter())
        .filter(|solved| fits(&solved.season))
        .filter_map(|solved| solved.prices.clone())
        .collect();
    let of_base = match &base.prices {
        Some(prices) if fits(&base.season) => prices.clone(),
        Some(prices) => taken_over(prices, &base.season, &widest),
        None => Prices::zero(&widest, &VarietyRows::of(&widest)),
    };
    prices.push(of_base.clone());
    // Nothing else tells of more where nothing is solved again; nor of none where the first one brings
    // candidates of its own.
    let untold = match more.is_empty() {
        true => most + 1,
        false if fits(&base.season) => 0,
        false => 1,
    };
    let watch = watches.of(&thing.name(scenario));
    for steps in 0..untold {
        let season = thing.fewer(&widest, most, steps);
        prices.push(lowered(&season, &of_base, LOWER_STEPS, &*watch).prices);
    }
    (0..=most)
        .map(|steps| {
            let season = thing.fewer(&widest, most, steps);
            (prices.iter())
                .map(|prices| bound_at(&season, prices))
                .fold(f64::INFINITY, f64::min)
        })
        .collect()
}

/// Prices of one season for another of the same scenario with more of something, which may have other
/// candidates: those of rows that the first has not are 0, rounding rows are left out.
fn taken_over(prices: &Prices, from: &Season, to: &Season) -> Prices {
    let (old, new) = (VarietyRows::of(from), VarietyRows::of(to));
    let none = Prices::zero(to, &new);
    let variety = (new.rows.iter().zip(&none.variety))
        .map(|(row, none)| match old.rows.binary_search(row) {
            Ok(at) => prices.variety[at].clone(),
            Err(_) => none.clone(),
        })
        .collect();
    Prices {
        variety,
        ..prices.clone().without_rows()
    }
}

fn thing_worth(
    thing: Thing,
    scenario: &Scenario,
    base: &Solved,
    more: &[&Solved],
    bounds: &[f64],
    weeks: usize,
) -> ThingWorth {
    let most = bounds.len() - 1;
    // With more at hand no plan is worth less, and with less none is worth more.
    let mut known: Vec<Known> = std::iter::once(Known::from(base))
        .chain((1..=most).map(|steps| match more.get(steps - 1) {
            Some(solved) => Known::from(*solved),
            None => Known {
                worth: f64::NEG_INFINITY,
                bound: f64::INFINITY,
            },
        }))
        .collect();
    for steps in 0..=most {
        known[steps].bound = known[steps].bound.min(bounds[steps]);
        if steps > 0 {
            known[steps].worth = known[steps].worth.max(known[steps - 1].worth);
        }
    }
    for steps in (0..most).rev() {
        known[steps].bound = known[steps].bound.min(known[steps + 1].bound);
    }
    let yearly_cost = thing.yearly_cost(scenario);
    let name = thing.name(scenario);
    let steps: Vec<Step> = (1..=most)
        .map(|k| {
            let step = difference(&name, known[k - 1], known[k]);
            Step {
                more: u32::try_from(k).expect("steps are few"),
                in_bound: bounds[k] - bounds[k - 1],
                at_least: step.at_least.max(0.0),
                at_most: step.at_most.max(0.0),
                solved: (!more.is_empty()).then_some(step),
            }
        })
        .collect();
    ThingWorth {
        thing: name,
        one: thing.step(scenario),
        pays: steps
            .iter()
            .map(|step| Some(pays(step, yearly_cost? * weeks as f64 / YEAR_WEEKS)))
            .collect(),
        yearly_cost,
        steps,
    }
}

/// Whether a step is worth its cost over the horizon.
fn pays(step: &Step, cost: f64) -> Pays {
    if step.at_least >= cost {
        Pays::Yes
    } else if step.at_most < cost {
        Pays::No
    } else {
        let found = step.solved.as_ref().map_or(step.in_bound, |d| d.found);
        if found >= cost {
            Pays::PerhapsYes
        } else {
            Pays::PerhapsNo
        }
    }
}

/// Worth of ground week by week.
fn ground(scenario: &Scenario, season: &Season, prices: &Prices) -> Vec<GroundWeek> {
    let worth = ground_worth(season, prices);
    let mean = |setting: Setting, week: usize| {
        let beds = (scenario.beds.iter())
            .filter(|b| b.setting == setting)
            .count();
        let groups = season.groups.iter().enumerate();
        let sum: f64 = groups
            .filter(|(_, group)| scenario.beds[group.bed].setting == setting)
            .map(|(g, group)| group.strips.len() as f64 * worth[g][week].unwrap_or(0.0))
            .sum();
        (beds > 0).then(|| sum / beds as f64)
    };
    (0..season.weeks)
        .map(|week| GroundWeek {
            week: scenario.week(week),
            open: mean(Setting::Open, week),
            tunnel: mean(Setting::Tunnel, week),
        })
        .collect()
}
