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
            ("harvest", harvest(plan, week)),
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
    format!("{} strips {}", planting.bed, strips(&planting.strips))
}

fn pieces(planting: &Planting) -> String {
    planting
        .seeds
        .map_or(String::new(), |n| format!(", {:.0} pieces", n.ceil()))
}

/// What is listed of the plantings that `which` picks.
fn each(
    plan: &YearPlan,
    which: impl Fn(&Planting) -> bool,
    say: impl Fn(&Planting) -> String,
) -> Vec<String> {
    plan.plantings
        .iter()
        .filter(|p| which(p))
        .map(say)
        .collect()
}

fn clear(plan: &YearPlan, week: Week) -> Vec<String> {
    let which = |p: &Planting| p.cleared == week;
    each(plan, which, |p| format!("{} from {}", p.crop, place(p)))
}

fn sow(plan: &YearPlan, week: Week) -> Vec<String> {
    let which = |p: &Planting| p.raising.is_some() && p.shelf.is_none() && p.sown == week;
    each(plan, which, |p| {
        format!("{} in {}{}", p.crop, place(p), pieces(p))
    })
}

fn raise(plan: &YearPlan, week: Week) -> Vec<String> {
    let which = |p: &Planting| p.shelf.is_some() && p.sown == week;
    each(plan, which, |p| {
        let lit = p.shelf.as_ref().is_some_and(|s| s.lit);
        format!(
            "{} on the {} shelf{} (for {} in {})",
            p.crop,
            if lit { "lit" } else { "unlit" },
            pieces(p),
            p.bed,
            p.planted
        )
    })
}

fn plant(plan: &YearPlan, week: Week) -> Vec<String> {
    let which = |p: &Planting| p.shelf.is_some() && p.planted == week;
    each(plan, which, |p| {
        let plants = p.plants.unwrap_or_default().ceil();
        format!("{} into {}, {plants:.0} plants", p.crop, place(p))
    })
}

fn cover(plan: &YearPlan, week: Week) -> Vec<String> {
    (plan.covers.iter())
        .filter(|c| c.on == week && !c.before)
        .map(|c| format!("{} onto {}", c.cover, c.bed))
        .collect()
}

fn uncover(scenario: &Scenario, plan: &YearPlan, week: Week) -> Vec<String> {
    let removed = (plan.covers.iter())
        .filter(|c| c.off == week && !c.stays)
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

fn harvest(plan: &YearPlan, week: Week) -> Vec<String> {
    let mut sums: BTreeMap<(&str, &str), f64> = BTreeMap::new();
    for planting in &plan.plantings {
        if let Some(units) = planting.harvest.get(&week) {
            *sums.entry((&planting.crop, &planting.bed)).or_default() += units;
        }
    }
    sums.into_iter()
        .map(|((crop, bed), units)| {
            let unit = unit_of(plan, crop);
            format!("{crop} {} {unit} from {bed}", amount(units))
        })
        .collect()
}

/// The unit in which a crop's harvest is counted.
fn unit_of<'a>(plan: &'a YearPlan, crop: &str) -> &'a str {
    let food = plan.draws.iter().find(|d| d.crop == crop).map(|d| &d.food);
    (plan.supply.iter())
        .find(|s| food.is_some_and(|f| *f == s.food))
        .map_or("", |s| s.unit.as_str())
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
        "Labels, local rules and licensed practice come before anything said here.",
    );
    out
}
