//! What a plan says of its start: food in store, and what became of the plantings decided on.

use super::names::unit_of;
use super::plantings::{Use, id};
use crate::candidates::{Member, Season};
use crate::domain::{Planned, PlannedMember, Scenario};
use crate::units::Week;
use serde::{Deserialize, Serialize};

/// Areas below this are nothing, m².
const NOTHING: f64 = 1e-9;

/// What became of a planting decided on, or a planting that was not.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Change {
    pub change: Fate,
    pub crop: String,
    /// The planting decided on; left out for one that is added.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned: Option<String>,
    /// The planting of this plan (the first of a recipe's two); left out where it is left out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planting: Option<String>,
    pub m2: f64,
    /// What that costs, money.
    pub money: f64,
}

/// How a plan departs from a planting decided on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Fate {
    /// In its bed and in its weeks.
    #[serde(rename = "kept")]
    Kept,
    /// The same sowing in another bed, or planted in another week.
    #[serde(rename = "moved")]
    Moved,
    #[serde(rename = "left out")]
    LeftOut,
    /// Not decided on before.
    #[serde(rename = "added")]
    Added,
}

impl Fate {
    /// As written in the plan file.
    pub fn name(self) -> &'static str {
        match self {
            Fate::Kept => "kept",
            Fate::Moved => "moved",
            Fate::LeftOut => "left out",
            Fate::Added => "added",
        }
    }
}

/// Food in store at the start.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stored {
    pub name: String,
    pub crop: String,
    pub way: String,
    pub food: String,
    pub unit: String,
    pub harvested: Week,
    /// Last week in which it can be eaten.
    pub until: Week,
    pub amount: f64,
}

/// The food in store at the start.
pub fn in_store(scenario: &Scenario) -> Vec<Stored> {
    let entries = scenario.in_store.iter().map(|stored| {
        let crop = &scenario.crops[stored.crop];
        let way = &crop.ways[stored.way];
        let keeps = i32::try_from(way.keeps_weeks).unwrap_or(i32::MAX / 2);
        Stored {
            name: stored.name.clone(),
            crop: crop.name.clone(),
            way: way.name.clone(),
            food: scenario.foods[way.food].name.clone(),
            unit: unit_of(scenario, way.food),
            harvested: stored.harvested,
            until: stored.harvested.plus(keeps),
            amount: stored.amount,
        }
    });
    entries.collect()
}

/// What became of the plantings decided on, and the plantings added; empty where none are.
///
/// A planting takes what is decided on for its own bed and weeks first, then what is decided on
/// of its sowing elsewhere.
pub fn changes(scenario: &Scenario, season: &Season, uses: &[Use]) -> Vec<Change> {
    if scenario.planned.is_empty() {
        return Vec::new();
    }
    let prices = &scenario.changes;
    let area = |bed: usize, strips: usize| scenario.beds[bed].strip_m2() * strips as f64;
    let mut decided: Vec<(&Planned, f64)> = (scenario.planned.iter())
        .map(|planned| (planned, area(planned.bed, planned.strips.len())))
        .collect();
    let mut number = 1;
    let mut new: Vec<(String, &Use, f64)> = Vec::new();
    for used in uses {
        let candidate = &season.candidates[used.candidate];
        if candidate.standing.is_none() {
            new.push((id(number), used, area(used.bed, used.strips.len())));
        }
        number += candidate.members.len();
    }
    let mut lines = Vec::new();
    for fate in [Fate::Kept, Fate::Moved] {
        for (planting, used, left) in &mut new {
            let members = &season.candidates[used.candidate].members;
            for (planned, open) in &mut decided {
                let there = fate == Fate::Kept;
                if (there && planned.bed != used.bed) || !alike(planned, members, there) {
                    continue;
                }
                let m2 = left.min(*open);
                if m2 <= NOTHING {
                    continue;
                }
                *left -= m2;
                *open -= m2;
                let money = match fate {
                    Fate::Kept => 0.0,
                    _ => m2 * move_money(scenario, planned),
                };
                lines.push(Change {
                    change: fate,
                    crop: scenario.crops[members[0].crop].name.clone(),
                    planned: Some(planned.name.clone()),
                    planting: Some(planting.clone()),
                    m2: round(m2),
                    money: round(money),
                });
            }
        }
    }
    for (planned, m2) in decided.into_iter().filter(|(_, m2)| *m2 > NOTHING) {
        lines.push(Change {
            change: Fate::LeftOut,
            crop: scenario.crops[planned.members[0].crop].name.clone(),
            planned: Some(planned.name.clone()),
            planting: None,
            m2: round(m2),
            money: round(m2 * drop_money(scenario, planned)),
        });
    }
    for (planting, used, m2) in new.into_iter().filter(|(_, _, m2)| *m2 > NOTHING) {
        let crop = season.candidates[used.candidate].members[0].crop;
        lines.push(Change {
            change: Fate::Added,
            crop: scenario.crops[crop].name.clone(),
            planned: None,
            planting: Some(planting),
            m2: round(m2),
            money: round(m2 * prices.add_money_per_m2),
        });
    }
    lines
}

/// To nine places.
fn round(value: f64) -> f64 {
    (value * 1e9).round() / 1e9
}

/// Whether the planting begins as decided on, `there`: in the very weeks.
fn alike(planned: &Planned, members: &[Member], there: bool) -> bool {
    let same = |(p, m): (&PlannedMember, &Member)| {
        p.crop == m.crop
            && Some(p.raising) == m.raising
            && p.lit == m.lit
            && p.sown == m.sown
            && (!there || p.planted == m.planted)
    };
    planned.members.len() == members.len() && planned.members.iter().zip(members).all(same)
}

/// What leaving it out costs per m²: the most that any of the same sowing does.
fn drop_money(scenario: &Scenario, planned: &Planned) -> f64 {
    let sowing = |p: &Planned| -> Vec<_> {
        let member = |m: &PlannedMember| (m.crop, m.raising, m.lit, m.sown);
        p.members.iter().map(member).collect()
    };
    let alike = scenario
        .planned
        .iter()
        .filter(|p| sowing(p) == sowing(planned));
    alike.map(|p| scenario.drop_money(p)).fold(0.0, f64::max)
}

/// What moving it costs per m²: nobody moves what is cheaper left out and planted anew.
fn move_money(scenario: &Scenario, planned: &Planned) -> f64 {
    let prices = &scenario.changes;
    let anew = drop_money(scenario, planned) + prices.add_money_per_m2;
    prices.move_money_per_m2.min(anew)
}
