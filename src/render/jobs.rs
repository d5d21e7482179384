//! The jobs of a plan, week by week: every written form lists the same ones.
//!
//! Read from the plan alone; what stands in a bed, where and how much, is the scenario's wording.

use super::words::amount;
use crate::domain::{Period, Raising, Scenario};
use crate::plan::{Planting, YearPlan, raising_named};
use crate::units::Week;
use std::collections::BTreeMap;

/// Least harvest that is worth a walk, in the food's unit (estimate): plans hold crumbs of standing
/// crops, and a list of crumbs hides the work.
const CRUMB: f64 = 0.05;
/// Plants to a strip from which parts of a plant are not told.
const MANY: f64 = 5.0;
/// Square centimetres in a square metre.
const CM2_PER_M2: f64 = 1e4;

/// What is done, in the order of a week's work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// Take a cover off.
    Uncover,
    /// Clear the ground.
    Clear,
    /// Carry a container or a basket in or out.
    Carry,
    /// Sow or set in its place.
    Sow,
    /// Sow on the shelf.
    Raise,
    /// Move seedlings on the shelf from their tray into modules.
    PrickOut,
    /// Plant out from the shelf.
    Plant,
    /// Put a cover on.
    Cover,
    /// Lift, pick or cut.
    Harvest,
}

impl Kind {
    /// Whether what is done has details beside the amount.
    pub fn has_detail(self) -> bool {
        self != Kind::Harvest
    }

    /// All kinds, in order.
    pub const ALL: [Kind; 9] = [
        Kind::Uncover,
        Kind::Clear,
        Kind::Carry,
        Kind::Sow,
        Kind::Raise,
        Kind::PrickOut,
        Kind::Plant,
        Kind::Cover,
        Kind::Harvest,
    ];

    /// The word in lists and files.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Uncover => "uncover",
            Kind::Clear => "clear",
            Kind::Carry => "carry",
            Kind::Sow => "sow",
            Kind::Raise => "raise",
            Kind::PrickOut => "prick out",
            Kind::Plant => "plant",
            Kind::Cover => "cover",
            Kind::Harvest => "harvest",
        }
    }
}

/// Where a job is done; strips are counted from 1 and left out where it concerns the whole bed.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Place {
    pub bed: String,
    pub strips: Vec<u32>,
}

/// One thing to do in a week.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    pub week: Week,
    pub kind: Kind,
    /// Crop, cover, or bed that is carried.
    pub what: String,
    pub places: Vec<Place>,
    /// How much, and of what: seeds, plants, kg.
    pub amount: Option<(f64, String)>,
    /// Spacing, shelf, way of harvest, what it stands among; may be empty.
    pub detail: String,
    /// What else tells it from other jobs of its week, kind and crop.
    pub apart: String,
}

impl Job {
    /// The amount in words, whole pieces rounded up; empty where there is none.
    pub fn quantity(&self) -> String {
        match &self.amount {
            None => String::new(),
            Some((units, unit)) if self.kind == Kind::Harvest => {
                let of = match self.detail == *unit || self.detail.is_empty() {
                    true => String::new(),
                    false => format!(" of {}", self.detail),
                };
                format!("{} {unit}{of}", amount(*units))
            }
            Some((pieces, noun)) => format!("{:.0} {noun}", whole(*pieces)),
        }
    }

    /// The same job of the same holding has the same name in every plan.
    pub fn id(&self) -> String {
        format!(
            "{} {} {} / {}",
            self.week,
            self.kind.word(),
            self.what,
            self.apart
        )
    }

    /// Whether it is done in that bed, or for it.
    pub fn concerns(&self, bed: &str) -> bool {
        self.places.iter().any(|place| place.bed == bed)
    }
}

/// Pieces as they are counted out; what is over a whole by rounding in the plan is none.
fn whole(pieces: f64) -> f64 {
    const ROUNDING: f64 = 1e-6;
    (pieces - ROUNDING).ceil().max(0.0)
}

/// The jobs of the planned weeks, by week and kind.
pub fn jobs(scenario: &Scenario, plan: &YearPlan) -> Vec<Job> {
    let mut list = Vec::new();
    covers(scenario, plan, &mut list);
    carrying(scenario, plan, &mut list);
    for planting in &plan.plantings {
        ground(scenario, plan, planting, &mut list);
        harvest(scenario, planting, &mut list);
    }
    let first = plan.scenario.start;
    let weeks = i32::try_from(plan.scenario.weeks).expect("short");
    list.retain(|job| first <= job.week && job.week < first.plus(weeks));
    let mut list = merged(list);
    list.retain(|job| {
        job.kind != Kind::Harvest
            || job
                .amount
                .as_ref()
                .is_some_and(|(units, _)| *units >= CRUMB)
    });
    list
}

/// Jobs of one name are one job.
fn merged(list: Vec<Job>) -> Vec<Job> {
    let mut named: BTreeMap<(Week, Kind, String, String), Job> = BTreeMap::new();
    for job in list {
        let key = (job.week, job.kind, job.what.clone(), job.id());
        match named.get_mut(&key) {
            None => {
                named.insert(key, job);
            }
            Some(known) => {
                for place in job.places {
                    match known.places.iter_mut().find(|p| p.bed == place.bed) {
                        Some(same) => same.strips.extend(place.strips),
                        None => known.places.push(place),
                    }
                }
                known.amount = match (known.amount.take(), job.amount) {
                    (Some((a, noun)), Some((b, _))) => Some((a + b, noun)),
                    (a, b) => a.or(b),
                };
                if !known.detail.contains(&job.detail) {
                    if !known.detail.is_empty() {
                        known.detail += "; ";
                    }
                    known.detail += &job.detail;
                }
            }
        }
    }
    let mut list: Vec<Job> = named.into_values().collect();
    for job in &mut list {
        for place in &mut job.places {
            place.strips.sort_unstable();
            place.strips.dedup();
        }
        job.places.sort();
    }
    list
}

fn place(planting: &Planting) -> Place {
    Place {
        bed: planting.bed.clone(),
        strips: planting.strips.clone(),
    }
}

/// Sowing, raising, pricking out, planting and clearing of a planting.
fn ground(scenario: &Scenario, plan: &YearPlan, planting: &Planting, list: &mut Vec<Job>) {
    let bed = || planting.bed.clone();
    let mut add = |week, kind, amount, detail, apart| {
        list.push(Job {
            week,
            kind,
            what: planting.crop.clone(),
            places: vec![place(planting)],
            amount,
            detail,
            apart,
        });
    };
    if let Some(raising) = &planting.raising {
        let seeds = planting.seeds.map(|seeds| (seeds, pieces(raising).into()));
        let plants = planting.plants.map(|plants| (plants, "plants".to_string()));
        match &planting.shelf {
            None => add(
                planting.sown,
                Kind::Sow,
                seeds,
                spacing(plan, planting),
                bed(),
            ),
            Some(shelf) => {
                let part = if shelf.lit { "under lamps" } else { "unlit" };
                let detail = format!("on the shelf, {part}, until {}", planting.planted);
                let apart = format!("{part} {}", planting.planted);
                let (tray, modules) = shelf_words(scenario, planting, raising);
                let words = |extra: String| match extra.is_empty() {
                    true => detail.clone(),
                    false => format!("{extra}; {detail}"),
                };
                let pricked_out = pricked_out(scenario, planting, raising);
                let sown = match pricked_out {
                    Some(_) => tray,
                    None => modules.clone(),
                };
                add(
                    planting.sown,
                    Kind::Raise,
                    seeds,
                    words(sown),
                    apart.clone(),
                );
                if let Some(week) = pricked_out {
                    let plants = plants.clone();
                    add(week, Kind::PrickOut, plants, words(modules), apart);
                }
                let detail = spacing(plan, planting);
                add(planting.planted, Kind::Plant, plants, detail, bed());
            }
        }
    }
    add(planting.cleared, Kind::Clear, None, String::new(), bed());
}

/// How a planting is raised, by the name that the plan has for it.
fn raising_of<'a>(scenario: &'a Scenario, planting: &Planting, name: &str) -> Option<&'a Raising> {
    let crop = scenario
        .crops
        .iter()
        .find(|crop| crop.name == planting.crop)?;
    raising_named(crop, name).map(|index| &crop.raisings[index])
}

/// The week in which seedlings are moved into modules: none where they are sown there, or planted
/// out by then.
fn pricked_out(scenario: &Scenario, planting: &Planting, name: &str) -> Option<Week> {
    let weeks = raising_of(scenario, planting, name)?.prick_out_weeks;
    let week = planting
        .sown
        .plus(i32::try_from(weeks).expect("a year at most"));
    (weeks > 0 && week < planting.planted).then_some(week)
}

/// What plants are raised in on the shelf: first, and in the end with the room that each has.
fn shelf_words(scenario: &Scenario, planting: &Planting, name: &str) -> (String, String) {
    let modules = (raising_of(scenario, planting, name))
        .map(|raising| raising.plants_per_shelf_m2)
        .filter(|per_m2| *per_m2 > 0.0)
        .map_or(String::new(), |per_m2| {
            let apart_cm = (CM2_PER_M2 / per_m2).sqrt();
            format!("modules, {apart_cm:.0} cm each way")
        });
    ("in a tray".to_string(), modules)
}

/// The noun for what is sown or set, from the name of the raising.
fn pieces(raising: &str) -> &'static str {
    match raising.split(' ').next().unwrap_or_default() {
        "sets" => "sets",
        "tubers" => "tubers",
        "cloves" => "cloves",
        "crowns" => "crowns",
        _ => "seeds",
    }
}

/// Distance of the plants when each has a square to itself, and what they stand among.
fn spacing(plan: &YearPlan, planting: &Planting) -> String {
    let mut parts = Vec::new();
    if let Some(plants) = planting.plants.filter(|plants| *plants > 0.0) {
        let apart_cm = (CM2_PER_M2 * planting.area_m2 / plants).sqrt();
        let to_a_strip = plants / planting.strips.len() as f64;
        parts.push(format!(
            "{apart_cm:.0} cm each way, {} plants to a strip",
            match to_a_strip >= MANY {
                true => format!("{to_a_strip:.0}"),
                false => amount(to_a_strip),
            }
        ));
    }
    let partner = (plan.plantings.iter()).find(|p| Some(&p.id) == planting.partner.as_ref());
    if let Some(partner) = partner {
        parts.push(format!("shares the ground with {}", partner.crop));
    }
    parts.join("; ")
}

fn harvest(scenario: &Scenario, planting: &Planting, list: &mut Vec<Job>) {
    let unit = unit(scenario, planting);
    for (&week, &units) in &planting.harvest {
        list.push(Job {
            week,
            kind: Kind::Harvest,
            what: planting.crop.clone(),
            places: vec![place(planting)],
            amount: Some((units, unit.to_string())),
            detail: planting.way.clone().unwrap_or_default(),
            apart: planting.way.clone().unwrap_or_default(),
        });
    }
}

/// The unit in which a planting's harvest is counted.
pub fn unit<'a>(scenario: &'a Scenario, planting: &Planting) -> &'a str {
    (scenario.crops.iter())
        .filter(|crop| crop.name == planting.crop)
        .flat_map(|crop| &crop.ways)
        .find(|way| Some(&way.name) == planting.way.as_ref())
        .map_or("", |way| scenario.foods[way.food].unit.symbol())
}

fn covers(scenario: &Scenario, plan: &YearPlan, list: &mut Vec<Job>) {
    let mut add = |week, kind, cover: &str, bed: &str| {
        list.push(Job {
            week,
            kind,
            what: cover.to_string(),
            places: vec![Place {
                bed: bed.to_string(),
                strips: Vec::new(),
            }],
            amount: None,
            detail: String::new(),
            apart: bed.to_string(),
        });
    };
    for spell in &plan.covers {
        if !spell.before {
            add(spell.placed, Kind::Cover, &spell.cover, &spell.bed);
        }
        if !spell.stays {
            add(spell.removed, Kind::Uncover, &spell.cover, &spell.bed);
        }
    }
    // A cover that lies there at the start and is taken off at once has no spell in the plan.
    for bed in &scenario.beds {
        let Some(cover) = bed.covered_by else {
            continue;
        };
        if !(plan.covers.iter()).any(|c| c.before && c.bed == bed.name) {
            let cover = &scenario.covers[cover].name;
            add(plan.scenario.start, Kind::Uncover, cover, &bed.name);
        }
    }
}

/// Containers and baskets that go into the polytunnel for part of the year.
fn carrying(scenario: &Scenario, plan: &YearPlan, list: &mut Vec<Job>) {
    let inside = |periods: &[Period], week: Week| {
        (periods.iter()).any(|p| week.of_year().within(p.from, p.to))
    };
    for bed in scenario.beds.iter().filter(|bed| !bed.indoors.is_empty()) {
        for i in 0..plan.scenario.weeks {
            let week = scenario.week(i);
            let (before, now) = (
                inside(&bed.indoors, week.plus(-1)),
                inside(&bed.indoors, week),
            );
            if before != now {
                list.push(Job {
                    week,
                    kind: Kind::Carry,
                    what: if now { "into the tunnel" } else { "outside" }.to_string(),
                    places: vec![Place {
                        bed: bed.name.clone(),
                        strips: Vec::new(),
                    }],
                    amount: None,
                    detail: String::new(),
                    apart: bed.name.clone(),
                });
            }
        }
    }
}
