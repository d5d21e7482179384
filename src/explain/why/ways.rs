//! What could have been sown: candidates gathered by crop, way of harvest, raising, place and cover.

use super::look::{Easiest, Ground};
use crate::candidates::{self, BARE, Candidate, Season};
use crate::domain::{BedId, Carried, FoodId, Scenario, Setting};
use crate::plan::raising_name;
use crate::units::Week;
use serde::Serialize;

/// How far before the plan's start sowings are looked for, weeks.
const BACK_WEEKS: usize = 52;
/// Ways told; the rest yields less.
const MOST_WAYS: usize = 12;

/// A way to what is asked for.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WayIn {
    pub crop: String,
    pub way: Option<String>,
    pub raising: Option<String>,
    /// open, tunnel, container or basket.
    pub place: &'static str,
    pub cover: Option<String>,
    /// First and last week of sowing, and of planting.
    pub sown: (Week, Week),
    pub planted: (Week, Week),
    /// Most units to be eaten in the week asked for, per m²; 0 where no food is asked for.
    pub units_per_m2: f64,
    /// Ground needed for all that is missing.
    pub m2_needed: Option<f64>,
    /// Where least stands in the way; `None` for what would have had to be sown before the start.
    pub easiest: Option<Easiest>,
}

/// Units of the food that a strip of the candidate can put on the table in that week; `None`: none.
pub fn units_in(season: &Season, candidate: usize, food: FoodId, week: usize) -> Option<f64> {
    let lots = season.candidates[candidate].lots.iter();
    let units: f64 = lots
        .filter(|lot| season.products[lot.product].food == food)
        .filter(|lot| (lot.from..=lot.until).contains(&week))
        .map(|lot| lot.amount / lot.used_per_unit(week, season.products[lot.product].weekly_loss))
        .sum();
    (units > super::CRUMB).then_some(units)
}

/// The new plantings among the candidates that `serves` gives units for, gathered.
pub fn ways_in(
    scenario: &Scenario,
    season: &Season,
    serves: impl Fn(usize) -> Option<f64>,
    missing: Option<f64>,
    ground: &Ground,
) -> Vec<WayIn> {
    let all = gathered(scenario, season, serves, missing);
    let mut ways: Vec<WayIn> = all
        .into_iter()
        .map(|(mut way, members)| {
            way.easiest = ground.easiest(season, &members);
            way
        })
        .collect();
    ways.truncate(MOST_WAYS);
    ways
}

/// What would serve had it been sown in the year before the start: the same holding begun a year
/// sooner with nothing in it.
pub fn earlier(scenario: &Scenario, food: FoodId, week: usize, missing: f64) -> Vec<WayIn> {
    let sooner = begun_sooner(scenario, BACK_WEEKS);
    let season = candidates::season(&sooner);
    let serves = |c: usize| {
        let sown_before = season.candidates[c]
            .members
            .iter()
            .any(|m| m.sown < scenario.start);
        units_in(&season, c, food, week + BACK_WEEKS).filter(|_| sown_before)
    };
    let mut ways: Vec<WayIn> = gathered(&sooner, &season, serves, Some(missing))
        .into_iter()
        .map(|(way, _)| way)
        .collect();
    ways.truncate(MOST_WAYS);
    ways
}

/// The scenario begun so many weeks sooner, with empty beds, nothing needed in the weeks before.
pub fn begun_sooner(scenario: &Scenario, weeks: usize) -> Scenario {
    let mut sooner = scenario.clone();
    let back = i32::try_from(weeks).expect("a year");
    sooner.start = scenario.start.plus(-back);
    sooner.weeks += weeks;
    sooner.standing.clear();
    sooner.in_store.clear();
    sooner.on_shelf.clear();
    sooner.planned.clear();
    sooner.carried = Carried::default();
    for bed in &mut sooner.beds {
        bed.covered_by = None;
        bed.history.retain(|past| past.cleared < sooner.start);
    }
    let before = |row: &mut Vec<f64>| {
        row.splice(0..0, std::iter::repeat_n(0.0, weeks));
    };
    for food in &mut sooner.foods {
        before(&mut food.floor);
        before(&mut food.wish);
        food.must.splice(0..0, std::iter::repeat_n(false, weeks));
    }
    if let Some(level) = &mut sooner.level {
        before(&mut level.low_money);
        before(&mut level.high_money);
    }
    sooner
}

/// Ways with the candidates of each, the most yielding first.
fn gathered(
    scenario: &Scenario,
    season: &Season,
    serves: impl Fn(usize) -> Option<f64>,
    missing: Option<f64>,
) -> Vec<(WayIn, Vec<usize>)> {
    let mut ways: Vec<(WayIn, Vec<usize>)> = Vec::new();
    for (c, candidate) in season.candidates.iter().enumerate() {
        let Some(units) = serves(c).filter(|_| candidate.standing.is_none()) else {
            continue;
        };
        let strip_m2 = season.kinds[candidate.kind].strip_m2;
        let new = way(scenario, season, candidate, units / strip_m2);
        let same = |old: &WayIn| {
            (&old.crop, &old.way, &old.raising, old.place, &old.cover)
                == (&new.crop, &new.way, &new.raising, new.place, &new.cover)
        };
        match ways.iter_mut().find(|(old, _)| same(old)) {
            Some((old, members)) => {
                old.sown = (old.sown.0.min(new.sown.0), old.sown.1.max(new.sown.1));
                old.planted = (
                    old.planted.0.min(new.planted.0),
                    old.planted.1.max(new.planted.1),
                );
                old.units_per_m2 = old.units_per_m2.max(new.units_per_m2);
                members.push(c);
            }
            None => ways.push((new, vec![c])),
        }
    }
    for (way, _) in &mut ways {
        way.m2_needed = missing
            .filter(|_| way.units_per_m2 > 0.0)
            .map(|units| units / way.units_per_m2);
    }
    ways.sort_by(|(a, _), (b, _)| b.units_per_m2.total_cmp(&a.units_per_m2));
    ways
}

fn way(scenario: &Scenario, season: &Season, candidate: &Candidate, units_per_m2: f64) -> WayIn {
    let names = |f: &dyn Fn(&candidates::Member) -> Option<String>| -> Option<String> {
        let all: Vec<String> = candidate.members.iter().filter_map(f).collect();
        (!all.is_empty()).then(|| all.join(" with "))
    };
    let member = &candidate.members[0];
    let cover = candidate.states.iter().find(|s| **s != BARE);
    WayIn {
        crop: names(&|m| Some(scenario.crops[m.crop].name.clone())).unwrap_or_default(),
        way: names(&|m| Some(scenario.crops[m.crop].ways[m.way?].name.clone())),
        raising: names(&|m| Some(raising_name(&scenario.crops[m.crop], m.raising?))),
        place: place(scenario, season, candidate),
        cover: cover.map(|s| scenario.covers[usize::from(*s) - 1].name.clone()),
        sown: (member.sown, member.sown),
        planted: (member.planted, member.planted),
        units_per_m2,
        m2_needed: None,
        easiest: None,
    }
}

fn place(scenario: &Scenario, season: &Season, candidate: &Candidate) -> &'static str {
    let bed: Option<BedId> = season.beds.iter().position(|b| b.kind == candidate.kind);
    match bed.map(|bed| scenario.beds[bed].setting) {
        Some(Setting::Tunnel) => "tunnel",
        Some(Setting::Container) => "container",
        Some(Setting::Basket) => "basket",
        _ => "open",
    }
}
