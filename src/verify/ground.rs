//! Strips, what stands already, recipes, and the grower's "never".

use super::names::Stand;
use super::sums::{differ, say};
use super::{Check, Facts, Findings};
use crate::domain::{DirectiveKind, RecipePart};

pub fn check(facts: &Facts, found: &mut Findings) {
    occupied_once(facts, found);
    standing_once(facts, found);
    for stand in facts.stands {
        shares(facts, stand, found);
        directives(facts, stand, found);
        in_use(facts, stand, found);
    }
}

/// Beds out of use are empty then.
fn in_use(facts: &Facts, stand: &Stand, found: &mut Findings) {
    let scenario = facts.scenario;
    for closed in &scenario.carried.closed_beds {
        let (from, until) = (scenario.week(stand.from), scenario.week(stand.until));
        if closed.bed == stand.bed && from <= closed.to && closed.from < until {
            found.add(
                Check::Ground,
                format!(
                    "{} stands there while the bed is out of use, {} to {}",
                    stand.called(),
                    closed.from,
                    closed.to
                ),
            );
        }
    }
}

/// No strip holds two plantings in a week, unless they are partners.
fn occupied_once(facts: &Facts, found: &mut Findings) {
    for (bed, ground) in facts.scenario.beds.iter().enumerate() {
        for strip in 0..ground.strips as usize {
            let here: Vec<(usize, &Stand)> = (facts.over_years.iter().enumerate())
                .filter(|(_, s)| s.bed == bed && s.strips.contains(&strip))
                .collect();
            for (n, (i, a)) in here.iter().enumerate() {
                for (j, b) in &here[n + 1..] {
                    let partners = a.partner == Some(*j) && b.partner == Some(*i);
                    let from = a.from.max(b.from);
                    if !partners && from < a.until.min(b.until) {
                        let week = facts.scenario.week(from);
                        found.add(
                            Check::Ground,
                            format!(
                                "strip {} of bed {} holds both {} and {} in {week}",
                                strip + 1,
                                ground.name,
                                a.called(),
                                b.called()
                            ),
                        );
                    }
                }
            }
        }
    }
}

/// Every strip of what stands at the start goes on once, as it is.
fn standing_once(facts: &Facts, found: &mut Findings) {
    for (id, standing) in facts.scenario.standing.iter().enumerate() {
        let bed = &facts.scenario.beds[standing.bed].name;
        let strips: Vec<usize> = standing.strips.iter().map(|&s| s as usize).collect();
        for &strip in &strips {
            let times = (facts.stands.iter())
                .filter(|s| s.standing == Some(id) && s.bed == standing.bed)
                .filter(|s| s.strips.contains(&strip))
                .count();
            if times != 1 {
                found.add(
                    Check::Standing,
                    format!(
                        "{} stands on strip {} of bed {bed}; the plan treats it {times} times",
                        standing.name,
                        strip + 1
                    ),
                );
            }
        }
        for stand in facts.stands.iter().filter(|s| s.standing == Some(id)) {
            let within = stand.strips.iter().all(|s| strips.contains(s));
            let same = stand.bed == standing.bed
                && stand.crop == standing.crop
                && stand.plan.sown == standing.sown
                && stand.plan.planted == standing.planted;
            let way = standing.way.is_none() || stand.way.is_none() || stand.way == standing.way;
            if !(within && same && way) {
                found.add(
                    Check::Standing,
                    format!(
                        "{} is not what stands there as {}",
                        stand.called(),
                        standing.name
                    ),
                );
            }
        }
    }
}

/// Shares of yield and plants are the recipe's, or the stand's, or whole.
fn shares(facts: &Facts, stand: &Stand, found: &mut Findings) {
    let plan = stand.plan;
    if differ(plan.area_m2, stand.area_m2) {
        found.add(
            Check::Ground,
            format!("{} takes {} m²", stand.called(), say(stand.area_m2)),
        );
    }
    let (yield_share, plant_share) = match (stand.standing, &plan.recipe) {
        (Some(standing), _) => {
            let share = facts.scenario.standing[standing].share;
            (share, share)
        }
        (None, None) => (1.0, 1.0),
        (None, Some(name)) => match recipe_part(facts, stand, name) {
            Ok(part) => (part.yield_share, part.plant_share),
            Err(reason) => {
                found.add(Check::Recipes, format!("{}: {reason}", stand.called()));
                return;
            }
        },
    };
    if plan.recipe.is_some() != stand.partner.is_some() {
        found.add(
            Check::Recipes,
            format!("{} has a recipe or a partner, but not both", stand.called()),
        );
    }
    if differ(plan.yield_share, yield_share) || differ(plan.plant_share, plant_share) {
        found.add(
            Check::Recipes,
            format!(
                "{} has shares {} of yield and {} of plants instead of {} and {}",
                stand.called(),
                say(plan.yield_share),
                say(plan.plant_share),
                say(yield_share),
                say(plant_share)
            ),
        );
    }
}

/// The part of the recipe that a planting plays; checks the recipe's weeks once, from its first.
fn recipe_part<'a>(facts: &'a Facts, stand: &Stand, name: &str) -> Result<&'a RecipePart, String> {
    let recipe = (facts.scenario.recipes.iter())
        .find(|r| r.name == name)
        .ok_or_else(|| format!("there is no recipe {name:?}"))?;
    let partner =
        (stand.partner.and_then(|p| facts.stands.get(p))).ok_or("a recipe needs a partner")?;
    let same_ground = partner.bed == stand.bed && partner.strips == stand.strips;
    let returned = (partner.partner.and_then(|p| facts.stands.get(p)))
        .is_some_and(|back| back.plan.id == stand.plan.id);
    if !same_ground || !returned || partner.plan.recipe.as_deref() != Some(name) {
        return Err(format!(
            "{} is not its partner in {name:?}",
            partner.called()
        ));
    }
    let plays = |who: &Stand, part: &RecipePart| {
        who.crop == part.crop && who.raising == Some(part.raising) && who.way == Some(part.way)
    };
    if plays(partner, &recipe.first) && plays(stand, &recipe.second) {
        return Ok(&recipe.second);
    }
    if !(plays(stand, &recipe.first) && plays(partner, &recipe.second)) {
        return Err(format!(
            "with {} it does not follow {name:?}",
            partner.called()
        ));
    }
    let overlap = stand.until.min(partner.until).saturating_sub(partner.from);
    let allowed = recipe.min_overlap_weeks as usize..=recipe.max_overlap_weeks as usize;
    if partner.from < stand.from || !allowed.contains(&overlap) {
        return Err(format!(
            "it shares the ground with {} for {overlap} weeks, {name:?} allows {} to {}",
            partner.called(),
            recipe.min_overlap_weeks,
            recipe.max_overlap_weeks
        ));
    }
    Ok(&recipe.first)
}

/// "Never" and the settings of a crop; both leave alone what stands already.
fn directives(facts: &Facts, stand: &Stand, found: &mut Findings) {
    if stand.standing.is_some() {
        return;
    }
    let never = facts.scenario.directives.iter().any(|d| {
        d.kind == DirectiveKind::Never
            && d.crop == stand.crop
            && d.bed.is_none_or(|bed| bed == stand.bed)
    });
    if never {
        found.add(
            Check::Directives,
            format!("{} is never to be there", stand.called()),
        );
    }
    let setting = facts.scenario.beds[stand.bed].setting;
    if !facts.scenario.crops[stand.crop].settings.contains(&setting) {
        found.add(
            Check::Directives,
            format!("{} does not grow in such a bed", stand.called()),
        );
    }
}
