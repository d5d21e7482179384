//! The ledger, reckoned again from plantings, draws and covers, line by line.

use super::duties::{ground_minutes, pieces};
use super::food::Table;
use super::growth;
use super::rotation::{overlap, windows};
use super::sums::{differ, say};
use super::{Check, Facts, Findings, start};
use crate::domain::{DirectiveKind, RotationRule};
use crate::growth::Grower;
use crate::plan::Rule;
use std::collections::BTreeMap;

/// Minutes in an hour.
const HOUR_MINUTES: f64 = 60.0;

/// Amount and money by rule and place.
pub type Lines = BTreeMap<(Rule, String), (f64, f64)>;

pub fn add(lines: &mut Lines, rule: Rule, place: impl Into<String>, amount: f64, money: f64) {
    let line = lines.entry((rule, place.into())).or_default();
    line.0 += amount;
    line.1 += money;
}

pub fn check(facts: &Facts, found: &mut Findings) {
    let mut lines = Lines::new();
    table(facts, &mut lines);
    ground(facts, &mut lines);
    work(facts, &mut lines);
    breaks(facts, &mut lines);
    always(facts, &mut lines);
    start::ledger(facts, &mut lines);
    let worth: f64 = lines.values().map(|(_, money)| money).sum();
    if differ(worth, facts.plan.result.worth) {
        found.add(
            Check::Ledger,
            format!(
                "the plan is worth {}, it says {}",
                say(worth),
                say(facts.plan.result.worth)
            ),
        );
    }
    for line in &facts.plan.ledger {
        let sum = lines.entry((line.rule, line.place.clone())).or_default();
        sum.0 -= line.amount;
        sum.1 -= line.money;
        if differ(line.money, 0.0) && differ(sum.0, 0.0) {
            found.add(
                Check::Ledger,
                format!(
                    "the amount of {:?}, {} is off by {}",
                    line.rule.name(),
                    line.place,
                    say(sum.0)
                ),
            );
        }
    }
    for ((rule, place), (_, money)) in lines {
        if differ(money, 0.0) {
            found.add(
                Check::Ledger,
                format!(
                    "{:?}, {place} is off by {} of money",
                    rule.name(),
                    say(money)
                ),
            );
        }
    }
}

/// Food eaten, floors missed, the band.
fn table(facts: &Facts, lines: &mut Lines) {
    let scenario = facts.scenario;
    let table = Table::of(facts);
    for w in 0..scenario.horizon() {
        for (f, food) in scenario.foods.iter().enumerate() {
            let eaten = table.eaten(f, w);
            let short = (food.floor[w] - eaten).max(0.0);
            add(
                lines,
                Rule::Eaten,
                &food.name,
                eaten,
                eaten * food.price_money,
            );
            add(
                lines,
                Rule::Short,
                &food.name,
                short,
                -short * food.short_money_in(w),
            );
        }
        if let Some(level) = &scenario.level {
            let low = (level.low_money[w] - table.worth(scenario, w)).max(0.0);
            add(lines, Rule::Band, "all food", low, -low * level.below_cost);
        }
    }
}

/// Seed, green manure and work on the ground; a recipe's two plantings share a place.
fn ground(facts: &Facts, lines: &mut Lines) {
    let scenario = facts.scenario;
    let grower = Grower::new(scenario);
    for stand in facts.stands {
        let place = stand.plan.recipe.as_ref().unwrap_or(&stand.plan.crop);
        let (pieces, money) = pieces(facts, stand);
        add(lines, Rule::Seed, place, pieces, -money);
        let minutes: f64 = ground_minutes(facts, stand).iter().map(|(_, m)| m).sum();
        let money = -minutes * scenario.work.hour_money / HOUR_MINUTES;
        add(lines, Rule::GroundWork, place, minutes, money);

        let credit = scenario.crops[stand.crop].credit_money_per_m2_week;
        if credit > 0.0 && stand.way.is_none() && stand.until > stand.from {
            let years = if scenario.repeats { 2 } else { 1 };
            let end = scenario.week(years * scenario.horizon());
            if let Ok(course) = growth::course(facts, &grower, stand, stand.until, end) {
                let first = course.first.max(scenario.start);
                let last = course.last.plus(1).min(stand.plan.cleared);
                let weeks = f64::from(last.since(first).max(0));
                let m2_weeks = weeks * stand.area_m2 * stand.plan.yield_share;
                add(lines, Rule::Credit, place, m2_weeks, m2_weeks * credit);
            }
        }
    }
}

/// Harvest by food, covers by kind.
fn work(facts: &Facts, lines: &mut Lines) {
    let scenario = facts.scenario;
    let minute_money = scenario.work.hour_money / HOUR_MINUTES;
    // What is in store was harvested before the plan.
    for class in facts.classes.iter().filter(|class| !class.in_store) {
        let way = &scenario.crops[class.crop].ways[class.way];
        let units: f64 = class.eaten.iter().map(|(_, units)| units).sum();
        let minutes = units * way.harvest_minutes_per_unit;
        let food = &scenario.foods[class.food].name;
        add(
            lines,
            Rule::HarvestWork,
            food,
            minutes,
            -minutes * minute_money,
        );
    }
    for (id, cover) in scenario.covers.iter().enumerate() {
        let minutes: f64 = facts.log.minutes(scenario, id).iter().sum();
        add(
            lines,
            Rule::CoverWork,
            &cover.name,
            minutes,
            -minutes * minute_money,
        );
    }
}

/// Discouraged breaks cut short.
fn breaks(facts: &Facts, lines: &mut Lines) {
    let scenario = facts.scenario;
    let counted = facts.counted..facts.counted + scenario.horizon();
    for (bed, ground) in scenario.beds.iter().enumerate() {
        for (family, record) in scenario.families.iter().enumerate() {
            let RotationRule::Discourage { money_per_m2_week } = record.rule_in(bed) else {
                continue;
            };
            let weeks: usize = (0..ground.strips as usize)
                .map(|strip| overlap(&windows(facts, bed, strip, family), counted.clone()))
                .sum();
            let weeks = weeks as f64;
            let money = -weeks * ground.strip_m2() * money_per_m2_week;
            let place = format!("{}, {}", ground.name, record.name);
            add(lines, Rule::Break, place, weeks, money);
        }
    }
}

/// Strips of an "always" that are not begun.
fn always(facts: &Facts, lines: &mut Lines) {
    for directive in &facts.scenario.directives {
        let DirectiveKind::Always {
            strips,
            from,
            to,
            missing_money,
        } = directive.kind
        else {
            continue;
        };
        // What was to be begun before the plan, or after it, is past asking for.
        if to < facts.scenario.start || from >= facts.scenario.week(facts.scenario.horizon()) {
            continue;
        }
        // A recipe begins with its first planting, and counts once.
        let begun: usize = facts
            .stands
            .iter()
            .enumerate()
            .filter(|(i, s)| {
                let partner = s.partner.map(|p| (p, &facts.stands[p]));
                let begins = partner.map_or(s.from, |(_, p)| s.from.min(p.from));
                let week = facts.scenario.week(begins);
                let twice =
                    partner.is_some_and(|(p, other)| other.crop == directive.crop && p < *i);
                s.crop == directive.crop
                    && s.standing.is_none()
                    && !twice
                    && directive.bed.is_none_or(|bed| bed == s.bed)
                    && from <= week
                    && week <= to
            })
            .map(|(_, s)| s.strips.len())
            .sum();
        let missing = (f64::from(strips) - begun as f64).max(0.0);
        let crop = &facts.scenario.crops[directive.crop].name;
        let place = match directive.bed {
            Some(bed) => format!("{crop}, {}", facts.scenario.beds[bed].name),
            None => crop.clone(),
        };
        add(
            lines,
            Rule::Always,
            place,
            missing,
            -missing * missing_money,
        );
    }
}
