//! The next four weeks' jobs, and the usual cautions for what is grown.

use super::lines::{amount, strips, title, wrap};
use crate::domain::Scenario;
use crate::plan::{Planting, YearPlan};
use crate::units::Week;
use std::collections::BTreeMap;

/// Weeks whose jobs are listed.
const WEEKS: i32 = 4;

/// The jobs of the first weeks.
pub fn next_weeks(scenario: &Scenario, plan: &YearPlan) -> String {
    let mut out = title("The next four weeks");
    for i in 0..WEEKS.min(i32::try_from(plan.scenario.weeks).expect("short")) {
        let week = plan.scenario.start.plus(i);
        out += &format!(
            "{week}, from Monday {}\n",
            week.monday().format("%-d %B %Y")
        );
        let jobs: [(&str, Vec<String>); 7] = [
            ("clear", clear(plan, week)),
            ("sow", sow(plan, week)),
            ("raise", raise(plan, week)),
            ("plant", plant(plan, week)),
            ("cover", cover(plan, week)),
            ("uncover", uncover(scenario, plan, week)),
            ("harvest", harvest(scenario, plan, week)),
        ];
        let mut idle = true;
        for (job, parts) in jobs {
            if !parts.is_empty() {
                idle = false;
                out += &wrap(&format!("  {job:<8} "), &parts.join("; "));
            }
        }
        if idle {
            out += "  nothing to do\n";
        }
    }
    out
}

fn place(planting: &Planting) -> String {
    let noun = if planting.strips.len() == 1 {
        "strip"
    } else {
        "strips"
    };
    format!("{} {noun} {}", planting.bed, strips(&planting.strips))
}

/// The plantings that `which` picks, those with equal `what` taken together: what, how many
/// pieces or plants, where.
fn each(
    plan: &YearPlan,
    which: impl Fn(&Planting) -> bool,
    what: impl Fn(&Planting) -> String,
    count: impl Fn(&Planting) -> Option<f64>,
    counted: &str,
) -> Vec<String> {
    let mut groups: BTreeMap<String, (f64, Vec<String>)> = BTreeMap::new();
    for planting in plan.plantings.iter().filter(|p| which(p)) {
        let group = groups.entry(what(planting)).or_default();
        group.0 += count(planting).unwrap_or_default();
        group.1.push(place(planting));
    }
    groups
        .into_iter()
        .map(|(what, (count, places))| {
            let count = match count.ceil() {
                0.0 => String::new(),
                n => format!(", {n:.0} {counted}"),
            };
            format!("{what}{count}: {}", places.join(", "))
        })
        .collect()
}

fn clear(plan: &YearPlan, week: Week) -> Vec<String> {
    each(
        plan,
        |p| p.cleared == week,
        |p| p.crop.clone(),
        |_| None,
        "",
    )
}

fn sow(plan: &YearPlan, week: Week) -> Vec<String> {
    let which = |p: &Planting| p.raising.is_some() && p.shelf.is_none() && p.sown == week;
    each(plan, which, |p| p.crop.clone(), |p| p.seeds, "pieces")
}

fn raise(plan: &YearPlan, week: Week) -> Vec<String> {
    let which = |p: &Planting| p.shelf.is_some() && p.sown == week;
    let what = |p: &Planting| {
        let lit = p.shelf.as_ref().is_some_and(|s| s.lit);
        let part = if lit { "lit" } else { "unlit" };
        format!("{} on the {part} shelf until {}", p.crop, p.planted)
    };
    each(plan, which, what, |p| p.seeds, "pieces")
}

fn plant(plan: &YearPlan, week: Week) -> Vec<String> {
    let which = |p: &Planting| p.shelf.is_some() && p.planted == week;
    each(plan, which, |p| p.crop.clone(), |p| p.plants, "plants")
}

fn cover(plan: &YearPlan, week: Week) -> Vec<String> {
    (plan.covers.iter())
        .filter(|c| c.placed == week && !c.before)
        .map(|c| format!("{} onto {}", c.cover, c.bed))
        .collect()
}

fn uncover(scenario: &Scenario, plan: &YearPlan, week: Week) -> Vec<String> {
    let removed = (plan.covers.iter())
        .filter(|c| c.removed == week && !c.stays)
        .map(|c| (c.cover.as_str(), c.bed.as_str()));
    // A cover that lies there at the start and is taken off at once has no spell in the plan.
    let at_once = scenario.beds.iter().filter_map(|bed| {
        let cover = &scenario.covers[bed.covered_by?].name;
        let goes_on = (plan.covers.iter()).any(|c| c.before && c.bed == bed.name);
        (week == scenario.start && !goes_on).then_some((cover.as_str(), bed.name.as_str()))
    });
    removed
        .chain(at_once)
        .map(|(cover, bed)| format!("{cover} from {bed}"))
        .collect()
}

fn harvest(scenario: &Scenario, plan: &YearPlan, week: Week) -> Vec<String> {
    let mut sums: BTreeMap<(&str, &str), (f64, Vec<&str>)> = BTreeMap::new();
    for planting in &plan.plantings {
        if let Some(units) = planting.harvest.get(&week) {
            let unit = unit_of(scenario, planting);
            let sum = sums.entry((&planting.crop, unit)).or_default();
            sum.0 += units;
            if !sum.1.contains(&planting.bed.as_str()) {
                sum.1.push(&planting.bed);
            }
        }
    }
    sums.into_iter()
        .map(|((crop, unit), (units, beds))| {
            format!("{crop} {} {unit} from {}", amount(units), beds.join(", "))
        })
        .collect()
}

/// The unit in which a planting's harvest is counted.
fn unit_of<'a>(scenario: &'a Scenario, planting: &Planting) -> &'a str {
    (scenario.crops.iter())
        .filter(|crop| crop.name == planting.crop)
        .flat_map(|crop| &crop.ways)
        .find(|way| Some(&way.name) == planting.way.as_ref())
        .map_or("", |way| scenario.foods[way.food].unit.symbol())
}

/// The usual cautions for the crops grown and the covers used, each once.
pub fn cautions(scenario: &Scenario, plan: &YearPlan) -> String {
    let mut lines: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for crop in &scenario.crops {
        if plan.plantings.iter().any(|p| p.crop == crop.name) {
            for caution in &crop.cautions {
                lines.entry(caution).or_default().push(&crop.name);
            }
        }
    }
    for cover in &scenario.covers {
        if plan.covers.iter().any(|c| c.cover == cover.name) {
            for caution in &cover.cautions {
                lines.entry(caution).or_default().push(&cover.name);
            }
        }
    }
    if lines.is_empty() {
        return String::new();
    }
    let mut out = title("Cautions");
    for (caution, names) in lines {
        out += &wrap("  ", &format!("{}: {caution}", names.join(", ")));
    }
    out += &wrap(
        "  ",
        "Follow the label, local rules and qualified advice: they come before anything said here.",
    );
    out
}
