//! The page of a plan carried on: the answers, what is lost and mended, and the year before and
//! after.

use super::{Frame, inline};
use crate::domain::Scenario;
use crate::plan::{Planting, YearPlan};
use crate::render::sides::Row;
use crate::render::svg::{self, Axis, Look};
use crate::render::text::{filled, filled_under, lesson, measured};
use crate::render::words::{amount, counted, isolated, money};
use crate::repair::{AnswerLine, ChangedJob, Difference, Job, LostFood, Replan};
use crate::units::Week;
use askama::Template;
use std::collections::BTreeSet;

struct FoodRow {
    name: String,
    lost: String,
    back: String,
    rest: String,
    buy: String,
    again: String,
    filled: Vec<String>,
}

struct JobRow {
    week: Week,
    change: &'static str,
    job: &'static str,
    what: String,
    place: String,
    from: String,
}

struct BedPair {
    name: String,
    notes: String,
    before: String,
    after: String,
}

#[derive(Template)]
#[template(path = "replan.html", config = "src/render/html/askama.toml")]
struct ReplanPage {
    frame: Frame,
    name: String,
    currency: String,
    from: Week,
    date: String,
    has_plan: bool,
    happened: Vec<String>,
    notes: Vec<String>,
    answers: Vec<AnswerLine>,
    answer_rows: Vec<Row>,
    measured: String,
    chart: String,
    foods: Vec<FoodRow>,
    buy: String,
    jobs_line: String,
    jobs: Vec<JobRow>,
    clearings: Vec<JobRow>,
    beds_line: String,
    beds: Vec<BedPair>,
    lessons: Vec<String>,
}

/// The page; `before` and `after` are scenario and plan that were carried on and that came of it;
/// `has_plan` says that the new plan's own page lies beside it.
pub fn replan(
    replan: &Replan,
    before: (&Scenario, &YearPlan),
    after: (&Scenario, &YearPlan),
    has_plan: bool,
) -> String {
    let axis = |left| Axis::of(after.1, left, 2.0);
    let (beds, same) = beds(before, after);
    let mut happened: Vec<String> = replan.events.clone();
    if replan.records > 0 {
        happened.push(counted(replan.records, "harvest record"));
    }
    if replan.known > 0 {
        let known = replan.known;
        happened.push(format!(
            "{known} more events and records, which the plan knew of already"
        ));
    }
    let buy: f64 = replan.lost.iter().map(|food| food.buy_money).sum();
    let rows = |wanted: &dyn Fn(&ChangedJob) -> bool| -> Vec<JobRow> {
        let jobs = replan.jobs.iter().filter(|job| wanted(job));
        jobs.map(job_row).collect()
    };
    let page = ReplanPage {
        frame: Frame::new(format!("Planned anew: {}", replan.name)),
        name: replan.name.clone(),
        currency: replan.currency.clone(),
        from: replan.from,
        date: replan.from.monday().format("%-d %B %Y").to_string(),
        has_plan,
        happened,
        notes: replan.notes.clone(),
        answer_rows: answer_rows(&replan.answers),
        answers: replan.answers.clone(),
        measured: measured(replan, &isolated(&replan.currency)),
        chart: inline(svg::lost(&axis(svg::FOOD_LEFT), &replan.lost)),
        foods: replan.lost.iter().map(food_row).collect(),
        buy: money(buy),
        jobs_line: jobs_line(&replan.jobs),
        jobs: rows(&|job| job.job != Job::Clear),
        clearings: rows(&|job| job.job == Job::Clear),
        beds_line: beds_line(beds.len(), &same),
        beds,
        lessons: (replan.learned.iter())
            .map(|l| format!("{}, {}: {}", isolated(&l.crop), isolated(&l.way), lesson(l)))
            .collect(),
    };
    page.render().expect("the template only writes text")
}

fn answer_rows(answers: &[AnswerLine]) -> Vec<Row> {
    let row = |name: &str, inner: bool, cell: &dyn Fn(&AnswerLine) -> String| Row {
        name: name.to_string(),
        inner,
        cells: answers.iter().map(cell).collect(),
    };
    vec![
        row("worth", false, &|a| money(a.worth)),
        row("no such answer is worth more than", true, &|a| {
            a.bound.map_or("-".into(), money)
        }),
        row("gap, per cent", true, &|a| {
            a.gap
                .map_or("-".into(), |gap| format!("{:.2}", 100.0 * gap))
        }),
        row("price of its changes", true, &|a| money(a.changes_money)),
        row("needs met, per cent", false, &|a| {
            format!("{:.1}", 100.0 * a.needs_met)
        }),
        row("weeks with a floor missed", false, &|a| {
            a.weeks_short.to_string()
        }),
        row("missing to the floors, at price", true, &|a| {
            money(a.short_money)
        }),
        row("changed plantings", false, &|a| a.changes.all().to_string()),
        row("dropped", true, &|a| a.changes.dropped.to_string()),
        row("moved", true, &|a| a.changes.moved.to_string()),
        row("added", true, &|a| a.changes.added.to_string()),
    ]
}

fn food_row(food: &LostFood) -> FoodRow {
    let of = |units: f64| format!("{} {}", amount(units), food.unit);
    FoodRow {
        name: isolated(&food.food),
        lost: format!("{} in {}", of(food.lost), counted(food.weeks.len(), "week")),
        back: of((food.lost - food.lost_after_repair).max(0.0)),
        rest: of(food.lost_after_repair),
        buy: money(food.buy_money),
        again: match food.recovers {
            Some(week) => format!("from {week} on"),
            None => "not before the plan ends".into(),
        },
        filled: (food.filled_by.iter())
            .map(|filler| filled(food, filler, &isolated(&filler.crop)))
            .chain(food.filled_under.iter().map(|filler| {
                let names = [&filler.cover, &filler.bed, &filler.crop].map(|name| isolated(name));
                filled_under(food, filler, names.each_ref().map(String::as_str))
            }))
            .collect(),
    }
}

fn jobs_line(jobs: &[ChangedJob]) -> String {
    let count = |change| {
        let counted = |job: &&ChangedJob| job.change == change && job.job != Job::Clear;
        jobs.iter().filter(counted).count()
    };
    match jobs.is_empty() {
        true => "None.".into(),
        false => format!(
            "{} to drop, {} to move, {} to add, clearings left out.",
            count(Difference::Drop),
            count(Difference::Move),
            count(Difference::Add)
        ),
    }
}

fn job_row(job: &ChangedJob) -> JobRow {
    let strips = job.strips.map_or(String::new(), |count| {
        format!(", {}", counted(count as usize, "strip"))
    });
    let week = job.from_week.map(|week| week.to_string());
    let bed = job.from_bed.as_ref().map(|bed| isolated(bed));
    let from: Vec<String> = week.into_iter().chain(bed).collect();
    JobRow {
        week: job.week,
        change: job.change.name(),
        job: job.job.name(),
        what: isolated(&job.what),
        place: format!("{}{strips}", isolated(&job.bed)),
        from: match job.change {
            Difference::Move => from.join(", "),
            Difference::Add | Difference::Drop => String::new(),
        },
    }
}

/// What stands on a strip, and when: as far as the chart can tell two years apart.
type Stand = (u32, String, Week, Week);

fn stands(planting: &Planting, from: Week, end: Week) -> Vec<Stand> {
    let (planted, cleared) = (planting.planted.max(from), planting.cleared.min(end));
    (planting.strips.iter())
        .filter(|_| planted < cleared)
        .map(|&strip| (strip, planting.crop.clone(), planted, cleared))
        .collect()
}

/// The beds whose year is not as it was, and the names of the others.
fn beds(
    before: (&Scenario, &YearPlan),
    after: (&Scenario, &YearPlan),
) -> (Vec<BedPair>, Vec<String>) {
    let axis = Axis::of(after.1, svg::BED_LEFT, 2.0);
    let weeks = |weeks: usize| i32::try_from(weeks).expect("short");
    let end_of = |plan: &YearPlan| {
        let about = &plan.scenario;
        about.start.plus(weeks(about.weeks + about.tail))
    };
    let end = end_of(before.1).min(end_of(after.1));
    let mut pairs = Vec::new();
    let mut same = Vec::new();
    for bed in &after.0.beds {
        let in_bed = |plan: &YearPlan| -> Vec<(String, Vec<Stand>)> {
            (plan.plantings.iter())
                .filter(|p| p.bed == bed.name)
                .map(|p| (p.id.clone(), stands(p, axis.start, end)))
                .collect()
        };
        let (old, new) = (in_bed(before.1), in_bed(after.1));
        let (gone, come) = (unlike(&old, &new), unlike(&new, &old));
        if gone.is_empty() && come.is_empty() {
            same.push(isolated(&bed.name));
            continue;
        }
        let draw = |(scenario, plan): (&Scenario, &YearPlan), ids, mark| {
            // A bed may be new, or have been changed since.
            let own = scenario.beds.iter().find(|b| b.name == bed.name);
            let look = Look {
                axis,
                links: false,
                marked: Some((ids, mark)),
            };
            inline(svg::bed(scenario, plan, own.unwrap_or(bed), &look))
        };
        pairs.push(BedPair {
            name: bed.name.clone(),
            notes: svg::bed_notes(bed),
            before: draw(before, &gone, "gone"),
            after: draw(after, &come, "new"),
        });
    }
    (pairs, same)
}

/// Plantings of which some strip does not stand the same in the other year.
fn unlike(one: &[(String, Vec<Stand>)], other: &[(String, Vec<Stand>)]) -> BTreeSet<String> {
    let known: BTreeSet<&Stand> = other.iter().flat_map(|(_, stands)| stands).collect();
    (one.iter())
        .filter(|(_, stands)| stands.iter().any(|stand| !known.contains(stand)))
        .map(|(id, _)| id.clone())
        .collect()
}

fn beds_line(changed: usize, same: &[String]) -> String {
    let mut line = match changed {
        0 => "No bed's year has changed.".to_string(),
        _ => "From the first week that is planned anew; the dashed line ends the planned weeks."
            .into(),
    };
    if changed > 0 && !same.is_empty() {
        line += &format!(" As they were: {}.", same.join(", "));
    }
    line
}
