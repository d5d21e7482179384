//! The ledger: every term of a plan's worth, with its place and amount. The lines add up to it.

use super::classes::Classes;
use super::cycle;
use super::duties::cover_minutes;
use super::plantings::{Use, recipe_name};
use super::start::Change;
use super::year::{FoodSupply, LedgerLine, Rule};
use crate::candidates::{CandidateId, Counted, CoverState, Rotation, Season};
use crate::domain::Scenario;
use std::collections::BTreeMap;

/// Lines of less money than this are left out.
const NOTHING: f64 = 1e-9;

/// Amount and money, by rule and place; the unit comes with them.
#[derive(Default)]
struct Lines(BTreeMap<(Rule, String), (f64, String, f64)>);

impl Lines {
    fn add(&mut self, rule: Rule, place: &str, amount: f64, unit: &str, money: f64) {
        let line = self
            .0
            .entry((rule, place.to_string()))
            .or_insert((0.0, unit.to_string(), 0.0));
        line.0 += amount;
        line.2 += money;
    }

    fn finish(self) -> Vec<LedgerLine> {
        self.0
            .into_iter()
            .map(|((rule, place), (amount, unit, money))| LedgerLine {
                rule,
                place,
                amount: round(amount),
                unit,
                money: round(money),
            })
            .filter(|line| line.money.abs() > NOTHING)
            .collect()
    }
}

/// To nine places, half away from zero.
fn round(value: f64) -> f64 {
    (value * 1e9).round() / 1e9 + 0.0
}

/// All lines of a plan.
#[allow(clippy::too_many_arguments)]
pub fn ledger(
    scenario: &Scenario,
    season: &Season,
    strips: &[Vec<Vec<CandidateId>>],
    uses: &[Use],
    covers: &[Vec<CoverState>],
    classes: &Classes,
    supply: &[FoodSupply],
    changes: &[Change],
) -> Vec<LedgerLine> {
    let mut lines = Lines::default();
    table(&mut lines, season, supply);
    band(&mut lines, scenario, season, supply);
    ground(&mut lines, scenario, season, uses);
    for (key, class) in classes {
        let product = &season.products[key.product];
        let minutes = class.eaten.values().sum::<f64>() * product.minutes_per_unit;
        let money = -minutes * season.minute_money;
        let food = &season.foods[product.food].name;
        lines.add(Rule::HarvestWork, food, minutes, "minutes", money);
    }
    for (cover, weeks) in season.covers.iter().zip(cover_minutes(season, covers)) {
        let minutes: f64 = weeks.iter().sum();
        let money = -minutes * season.minute_money;
        lines.add(Rule::CoverWork, &cover.name, minutes, "minutes", money);
    }
    breaks(&mut lines, season, strips);
    always(&mut lines, scenario, season, uses);
    for change in changes {
        let place = change.change.name();
        lines.add(Rule::Changes, place, change.m2, "m²", -change.money);
    }
    lines.finish()
}

/// What is eaten, and the floors missed.
fn table(lines: &mut Lines, season: &Season, supply: &[FoodSupply]) {
    for (need, food) in season.foods.iter().zip(supply) {
        let eaten: f64 = food.weeks.iter().map(|w| w.eaten).sum();
        let short: f64 = food.weeks.iter().map(|w| w.short).sum();
        let cost: f64 = (food.weeks.iter().zip(&need.short_cost))
            .map(|(week, cost)| week.short * cost)
            .sum();
        let (name, unit) = (&food.food, &food.unit);
        lines.add(Rule::Eaten, name, eaten, unit, eaten * need.price);
        lines.add(Rule::Short, name, short, unit, -cost);
    }
}

/// The weeks below the band.
fn band(lines: &mut Lines, scenario: &Scenario, season: &Season, supply: &[FoodSupply]) {
    let Some(level) = &season.level else {
        return;
    };
    for (w, low) in level.low.iter().enumerate() {
        let eaten: f64 = (season.foods.iter().zip(supply))
            .map(|(need, food)| need.price * food.weeks[w].eaten)
            .sum();
        let below = (low - eaten).max(0.0);
        let money = -below * level.below_cost;
        lines.add(Rule::Band, "all food", below, &scenario.currency, money);
    }
}

/// Seed, credits and the work on the ground.
fn ground(lines: &mut Lines, scenario: &Scenario, season: &Season, uses: &[Use]) {
    for used in uses {
        let candidate = &season.candidates[used.candidate];
        let Some(member) = candidate.members.first() else {
            continue;
        };
        let crop = &scenario.crops[member.crop];
        let place = recipe_name(scenario, &candidate.members).unwrap_or_else(|| crop.name.clone());
        let strips = used.strips.len() as f64;
        let strip_m2 = scenario.beds[used.bed].strip_m2();
        let (mut pieces, mut money) = (0.0, 0.0);
        for member in &candidate.members {
            // What is on the shelf at the start has been bought and sown; a standing year has none.
            let new = scenario.repeats || member.sown >= scenario.start;
            if let Some(raising) = member.raising.filter(|_| new) {
                let raising = &scenario.crops[member.crop].raisings[raising];
                let used =
                    raising.plants_per_m2 * strip_m2 * member.plant_share * raising.seeds_per_plant;
                pieces += used;
                money += used * raising.seed_money;
            }
        }
        let added = match candidate.standing {
            Some(_) => 0.0,
            None => season.add_money_per_m2 * strip_m2,
        };
        let credit = money - (candidate.cost - added);
        lines.add(
            Rule::Seed,
            &place,
            pieces * strips,
            "pieces",
            -money * strips,
        );
        if credit.abs() > NOTHING && crop.credit_money_per_m2_week > 0.0 {
            let amount = credit / crop.credit_money_per_m2_week;
            lines.add(
                Rule::Credit,
                &place,
                amount * strips,
                "m² weeks",
                credit * strips,
            );
        }
        let minutes = candidate.work.iter().map(|(_, m)| m).sum::<f64>() * strips;
        let money = -minutes * season.minute_money;
        lines.add(Rule::GroundWork, &place, minutes, "minutes", money);
    }
}

/// Discouraged breaks cut short: on each strip and in each week, the family's extended windows
/// beyond the first.
fn breaks(lines: &mut Lines, season: &Season, strips: &[Vec<Vec<CandidateId>>]) {
    for (id, group) in season.groups.iter().enumerate() {
        let ground = &season.beds[group.bed];
        for (family, rotation) in ground.rotation.iter().enumerate() {
            let Rotation::Discourage {
                weeks,
                money_per_strip_week,
            } = *rotation
            else {
                continue;
            };
            let mut clashes = 0;
            let rings = season.cycle.as_ref().map(|cycle| &cycle.rings[id]);
            if let Some(rings) = rings {
                clashes = cycle::clashes(season, id, rings, &strips[group.bed], family, weeks);
            }
            for &strip in group.strips.iter().filter(|_| rings.is_none()) {
                let mut windows = vec![0_usize; season.weeks];
                let release = group.release[family].min(season.weeks);
                windows[..release].iter_mut().for_each(|n| *n += 1);
                for &id in &strips[group.bed][strip as usize] {
                    for used in &season.candidates[id].families {
                        if used.family == family {
                            let until = (used.until + weeks).min(season.weeks);
                            let from = used.from.min(until);
                            windows[from..until].iter_mut().for_each(|n| *n += 1);
                        }
                    }
                }
                clashes += windows.iter().map(|n| n.saturating_sub(1)).sum::<usize>();
            }
            let place = format!("{}, {}", ground.name, season.family_names[family]);
            let money = -(clashes as f64) * money_per_strip_week;
            lines.add(Rule::Break, &place, clashes as f64, "strip weeks", money);
        }
    }
}

/// Strips of an "always" that are not begun.
fn always(lines: &mut Lines, scenario: &Scenario, season: &Season, uses: &[Use]) {
    for asked in &season.always {
        let Counted::Crop { crop, from, to } = asked.of else {
            continue;
        };
        let begun: usize = uses
            .iter()
            .filter(|used| asked.bed.is_none_or(|bed| bed == used.bed))
            .filter(|used| {
                let c = &season.candidates[used.candidate];
                c.standing.is_none()
                    && (from..=to).contains(&c.start)
                    && c.members.iter().any(|m| m.crop == crop)
            })
            .map(|used| used.strips.len())
            .sum();
        let missing = (asked.units - begun as f64).max(0.0);
        let crop = &scenario.crops[crop].name;
        let place = match asked.bed {
            Some(bed) => format!("{crop}, {}", scenario.beds[bed].name),
            None => crop.clone(),
        };
        let money = -missing * asked.missing_money;
        lines.add(Rule::Always, &place, missing, "strips", money);
    }
}
