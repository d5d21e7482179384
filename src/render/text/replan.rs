//! A plan carried on, told; and the life of a plan.

use super::lines::{amount, cut, title, wrap};
use crate::plan::YearPlan;
use crate::render::words::counted;
use crate::repair::{ChangedJob, CoverFiller, Difference, Filler, Job, Learned, LostFood, Replan};
use crate::units::Week;
use std::fmt::Write;

/// Changed jobs, clearings left out, that are spelled out; the others are counted.
const MOST_JOBS: usize = 60;
/// Crops whose changed clearings are told, and how many of each.
const MOST_CROPS: usize = 12;
const MOST_CLEARINGS: usize = 4;
/// Columns for the name of a food.
const NAME_WIDTH: usize = 18;
/// Longest part of a name that is written out.
const MOST_NAME: usize = 30;

/// The whole report of a replan.
pub fn replanned(replan: &Replan) -> String {
    let mut out = format!("{}, planned anew from {}\n", replan.name, replan.from);
    out += &happened(replan);
    out += &answers(replan);
    out += &lost(replan);
    out += &unmended(replan);
    out += &learned(replan);
    out += &jobs(replan);
    out
}

fn happened(replan: &Replan) -> String {
    let mut out = title("What happened");
    for event in &replan.events {
        out += &wrap("  ", event);
    }
    if replan.events.is_empty() {
        out += "  no events\n";
    }
    if replan.records > 0 {
        let _ = writeln!(out, "  {}", counted(replan.records, "harvest record"));
    }
    if replan.known > 0 {
        let _ = writeln!(
            out,
            "  {} more events and records, which the plan knew of already",
            replan.known
        );
    }
    for note in &replan.notes {
        out += &wrap("  - ", note);
    }
    out
}

fn answers(replan: &Replan) -> String {
    let mut out = title("Three answers");
    let _ = writeln!(
        out,
        "  {:<16}{:>10}{:>9}{:>8}{:>12}{:>9}{:>8}{:>8}{:>8}",
        "", "worth", "gap", "needs", "weeks short", "changes", "drop", "move", "add"
    );
    for a in &replan.answers {
        let gap = (a.gap).map_or("-".to_string(), |g| format!("{:.2} %", 100.0 * g));
        let _ = writeln!(
            out,
            "  {:<16}{:>10.2}{gap:>9}{:>6.1} %{:>12}{:>9}{:>8}{:>8}{:>8}",
            a.answer,
            a.worth,
            100.0 * a.needs_met,
            a.weeks_short,
            a.changes.all(),
            a.changes.dropped,
            a.changes.moved,
            a.changes.added
        );
    }
    out += &wrap("  ", &measured(replan, &replan.currency));
    out
}

/// How the answers are measured.
pub fn measured(replan: &Replan, currency: &str) -> String {
    let repaired = replan.answers.first();
    let price = repaired.map_or(0.0, |a| a.changes_money);
    let none = match repaired.is_some_and(|a| a.changes.all() == 0) && !replan.lost.is_empty() {
        true => {
            " No change was found that brings more than it costs: the repair leaves the plan as it is."
        }
        false => "",
    };
    format!(
        "Worth in {currency} without the price of changes; the changes of the repair are priced at \
         {price:.2}. Needs: what is eaten at price, of what is wished. Weeks short: weeks in which the \
         floor of some food is missed.{none}"
    )
}

fn lost(replan: &Replan) -> String {
    let mut out = title("What is lost if the plan is left as it is, and what mends it");
    if replan.lost.is_empty() {
        out += "  nothing: every week gives what it was to give\n";
    }
    for food in &replan.lost {
        let first = format!("  {:<NAME_WIDTH$} ", cut(&food.food, MOST_NAME));
        out += &wrap(&first, &sentence(food));
        let indent = " ".repeat(first.chars().count());
        let missing = food.weeks.iter().map(|w| (w.week, w.planned - w.as_it_is));
        out += &wrap(&format!("{indent}lost: "), &by_week(missing, "-"));
        for filler in &food.filled_by {
            out += &wrap(&format!("{indent}+ "), &filled(food, filler, &filler.crop));
        }
        for filler in &food.filled_under {
            let names = [&filler.cover, &filler.bed, &filler.crop].map(String::as_str);
            out += &wrap(&format!("{indent}+ "), &filled_under(food, filler, names));
        }
    }
    out
}

/// What is missing week by week: weeks with the same amount together, those with next to nothing left out.
fn by_week(missing: impl Iterator<Item = (Week, f64)>, sign: &str) -> String {
    let mut runs: Vec<(Week, Week, String)> = Vec::new();
    for (week, missing) in missing {
        let shown = amount(missing.max(0.0));
        if shown == "0" {
            continue;
        }
        match runs.last_mut() {
            Some((_, last, same)) if last.plus(1) == week && *same == shown => *last = week,
            _ => runs.push((week, week, shown)),
        }
    }
    let told = runs.into_iter().map(|(from, to, shown)| match from == to {
        true => format!("{from} {sign}{shown}"),
        false => format!("{from} to {to} {sign}{shown} each"),
    });
    told.collect::<Vec<String>>().join(", ")
}

/// What fills a hole, in words.
pub fn filled(food: &LostFood, filler: &Filler, crop: &str) -> String {
    format!(
        "{crop}, sown from {}, gives {} {} from {} on ({})",
        filler.sown,
        amount(filler.amount),
        food.unit,
        filler.from,
        several(&filler.plantings)
    )
}

/// What a cover does for a hole, in words, with the names of cover, bed and crop.
pub fn filled_under(food: &LostFood, filler: &CoverFiller, names: [&str; 3]) -> String {
    let [cover, bed, crop] = names;
    format!(
        "{cover} over {bed} from {} on: {crop} there gives {} {} more by {} ({})",
        filler.placed,
        amount(filler.more),
        food.unit,
        filler.by,
        several(&filler.plantings)
    )
}

/// What is lost of a food and what becomes of that, in a sentence.
fn sentence(food: &LostFood) -> String {
    let mended = food.lost - food.lost_after_repair;
    let after = match food.recovers {
        Some(week) => format!("as planned again from {week} on"),
        None => "not as planned again before the plan ends".to_string(),
    };
    format!(
        "{} {} in {}; the repair brings back {}; {after}",
        amount(food.lost),
        food.unit,
        counted(food.weeks.len(), "week"),
        amount(mended.max(0.0))
    )
}

fn several(ids: &[String]) -> String {
    const SHOWN: usize = 6;
    if ids.len() > SHOWN {
        format!("{} and {} more", ids[..SHOWN].join(", "), ids.len() - SHOWN)
    } else {
        ids.join(", ")
    }
}

fn unmended(replan: &Replan) -> String {
    let mut out = title("What cannot be mended: to buy, or to do without");
    let mut any = false;
    let mut all = 0.0;
    for food in &replan.lost {
        let missing = food.weeks.iter().map(|w| (w.week, w.planned - w.repaired));
        let weeks = by_week(missing, "");
        if weeks.is_empty() {
            continue;
        }
        any = true;
        all += food.buy_money;
        let first = format!("  {:<NAME_WIDTH$} ", cut(&food.food, MOST_NAME));
        let text = format!(
            "{} {} ({:.2} {} to buy): {}",
            amount(food.lost_after_repair),
            food.unit,
            food.buy_money,
            replan.currency,
            weeks
        );
        out += &wrap(&first, &text);
    }
    if any {
        let _ = writeln!(out, "  all together {all:.2} {} to buy", replan.currency);
    } else {
        out += "  nothing\n";
    }
    out
}

fn learned(replan: &Replan) -> String {
    if replan.learned.is_empty() {
        return String::new();
    }
    let mut out = title("Learned from the record, and used from now on");
    for l in &replan.learned {
        out += &wrap(&format!("  {}, {}: ", l.crop, l.way), &lesson(l));
    }
    out
}

/// Book value, record and what is used, in words.
pub fn lesson(l: &Learned) -> String {
    let mut text = Vec::new();
    if l.plantings > 0 {
        text.push(format!(
            "yield {} {unit}/m2 by the book, {} on record ({}, {}), {} used",
            amount(l.book_per_m2),
            amount(l.recorded_per_m2),
            counted(l.plantings as usize, "planting"),
            counted(l.records as usize, "harvest"),
            amount(l.used_per_m2),
            unit = l.unit
        ));
    }
    if l.first_harvests > 0 {
        text.push(format!(
            "growth units to the first harvest {} by the book, {} on record ({}), {} \
                 used",
            amount(l.book_ready_units),
            amount(l.recorded_ready_units),
            counted(l.first_harvests as usize, "first harvest"),
            amount(l.used_ready_units)
        ));
    }
    text.join("; ")
}

fn jobs(replan: &Replan) -> String {
    let mut out = title("Changed jobs");
    let (clearings, jobs): (Vec<&ChangedJob>, Vec<&ChangedJob>) =
        replan.jobs.iter().partition(|job| job.job == Job::Clear);
    for job in jobs.iter().take(MOST_JOBS) {
        out += &wrap("  ", &job_line(job));
    }
    if replan.jobs.is_empty() {
        out += "  none\n";
    }
    if jobs.len() > MOST_JOBS {
        let more = jobs.len() - MOST_JOBS;
        let _ = writeln!(out, "  and {more} more, listed in replan.yaml");
    }
    out += &cleared(&clearings);
    out
}

/// Changed clearings, a line for each crop, those that come first first.
fn cleared(clearings: &[&ChangedJob]) -> String {
    if clearings.is_empty() {
        return String::new();
    }
    let mut crops: Vec<(&str, Vec<&ChangedJob>)> = Vec::new();
    for job in clearings {
        match crops.iter_mut().find(|(crop, _)| *crop == job.what) {
            Some((_, jobs)) => jobs.push(job),
            None => crops.push((&job.what, vec![job])),
        }
    }
    let mut out = "\n  Cleared otherwise than was planned\n".to_string();
    for (crop, jobs) in crops.iter().take(MOST_CROPS) {
        let mut told: Vec<String> = (jobs.iter().take(MOST_CLEARINGS))
            .map(|job| clearing(job))
            .collect();
        if jobs.len() > MOST_CLEARINGS {
            told.push(format!("and {} more", jobs.len() - MOST_CLEARINGS));
        }
        let first = format!("  {:<NAME_WIDTH$} ", cut(crop, MOST_NAME));
        out += &wrap(&first, &told.join("; "));
    }
    if crops.len() > MOST_CROPS {
        let more = counted(crops.len() - MOST_CROPS, "more crop");
        let _ = writeln!(out, "  and {more}, all listed in replan.yaml");
    }
    out
}

fn clearing(job: &ChangedJob) -> String {
    let strips = counted(job.strips.unwrap_or(1) as usize, "strip");
    let (bed, week) = (&job.bed, job.week);
    match job.change {
        Difference::Add => format!("{strips} in {bed} newly in {week}"),
        Difference::Drop => format!("{strips} in {bed} not in {week}"),
        Difference::Move => format!("{strips} in {bed} in {week}{}", instead(job)),
    }
}

fn job_line(job: &ChangedJob) -> String {
    let strips = match job.strips {
        None => String::new(),
        Some(1) => ", 1 strip".to_string(),
        Some(n) => format!(", {n} strips"),
    };
    let from = instead(job);
    let comma = if from.is_empty() { "" } else { "," };
    format!(
        "{} {:<4} {} {} in {}{strips}{comma}{from}",
        job.week,
        job.change.name(),
        job.job.name(),
        job.what,
        job.bed
    )
}

/// When and where a moved job was to be done.
fn instead(job: &ChangedJob) -> String {
    let week = job.from_week.map(|week| week.to_string());
    let from: Vec<String> = week.into_iter().chain(job.from_bed.clone()).collect();
    match job.change {
        Difference::Move if !from.is_empty() => format!(" instead of {}", from.join(", ")),
        _ => String::new(),
    }
}

/// The plans that carry each other on, the first one first, each with its file.
pub fn history(chain: &[(String, &YearPlan)]) -> String {
    let mut out = String::new();
    for (file, plan) in chain {
        let result = &plan.result;
        match &plan.life {
            None => {
                let _ = writeln!(
                    out,
                    "{file}: {}, made for {}",
                    plan.scenario.name, plan.scenario.file
                );
            }
            Some(life) => {
                let c = life.changes;
                let _ = writeln!(
                    out,
                    "\n{file}: carried on from {} as of {}; {} dropped, {} moved, {} added",
                    life.parent.file,
                    life.day,
                    counted(c.dropped, "planting"),
                    c.moved,
                    c.added
                );
                if let Some(scenario) = &life.edited_scenario {
                    let _ = writeln!(out, "  with the scenario {scenario}");
                }
                for event in &life.events {
                    out += &wrap("  ", event);
                }
                if life.records > 0 {
                    let _ = writeln!(out, "  {}", counted(life.records, "harvest record"));
                }
            }
        }
        let _ = writeln!(
            out,
            "  {} to {}, worth {:.2} {}, gap {:.2} %",
            plan.scenario.start,
            plan.scenario.start.plus(plan.scenario.weeks as i32 - 1),
            result.worth,
            plan.scenario.currency,
            100.0 * result.gap
        );
    }
    out
}

#[cfg(test)]
mod tests {
    use super::by_week;
    use crate::units::Week;

    #[test]
    fn weeks_that_miss_the_same_are_told_together() {
        let first = Week::from_iso(2027, 52).expect("a week");
        let missing = [0.16, 0.162, 0.004, 0.16, 0.2, -1.0];
        let weeks = (0..)
            .zip(missing)
            .map(|(n, missing)| (first.plus(n), missing));
        let told = by_week(weeks, "-");
        assert_eq!(
            told,
            "2027-W52 to 2028-W01 -0.16 each, 2028-W03 -0.16, 2028-W04 -0.2"
        );
    }
}
