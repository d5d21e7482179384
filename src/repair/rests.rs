//! What is left of pickings, from plan to plan.

use crate::climate::Place;
use crate::domain::*;
use crate::growth::{Beginning, Grower};
use crate::units::Week;

/// Sets what has been taken of pickings whose rest shrank because more had been taken at the old
/// start than the model knew of: the same rest goes on.
pub fn keep(old: &Scenario, carried: &mut Scenario) {
    let rest_of = |scenario: &Scenario, standing: &Standing, way: usize| {
        let before = picked_before(scenario, standing, standing.way.unwrap_or(way))?;
        Some(if standing.taken > before {
            (1.0 - standing.taken) / (1.0 - before)
        } else {
            1.0
        })
    };
    for i in 0..carried.standing.len() {
        let now = &carried.standing[i];
        let stem = now.name.split(" (").next().unwrap_or(&now.name);
        let named = |name: &str| old.standing.iter().find(|s| s.name == name);
        let Some(then) = named(&now.name).or_else(|| named(stem)) else {
            continue;
        };
        let crop = &carried.crops[now.crop];
        let picking = |way: &usize| matches!(crop.ways[*way].kind, WayKind::Picking { .. });
        let Some(way) = now.way.filter(picking) else {
            continue;
        };
        if now.taken <= 0.0 || crop.perennial.is_some() {
            continue;
        }
        let before = picked_before(carried, now, way);
        let (Some(rest), Some(before)) = (rest_of(old, then, way), before) else {
            continue;
        };
        carried.standing[i].taken = (1.0 - rest * (1.0 - before)).clamp(0.0, 1.0);
    }
}

/// The share of its yield that the model has picked before the start in this way; none where there is no such way.
fn picked_before(scenario: &Scenario, standing: &Standing, way: usize) -> Option<f64> {
    let all = (scenario.crops[standing.crop].ways.get(way)?)
        .yield_per_m2
        .usual;
    let grower = Grower::new(scenario);
    let id = scenario
        .standing
        .iter()
        .position(|s| s.name == standing.name)?;
    let place = |week: Week| Place {
        inside: scenario.inside(standing.bed, week),
        cover: if week < scenario.start {
            scenario.covered_before(standing.bed, week)
        } else {
            None
        },
        exposure: scenario.beds[standing.bed].exposure,
    };
    let beginning = Beginning::of_standing(scenario, id);
    // Of what is not ready by then nothing has been picked.
    let course = grower.course(&beginning, way, &place, scenario.start);
    let harvest = course.map_or(Vec::new(), |course| course.harvest);
    let picked = harvest.iter().filter(|(week, _)| *week < scenario.start);
    Some(picked.map(|(_, amount)| amount).sum::<f64>() / all)
}
