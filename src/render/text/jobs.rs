//! The jobs of the next weeks, and the usual cautions for what is grown.

use super::lines::{strips, title, wrap};
use crate::domain::Scenario;
use crate::plan::YearPlan;
use crate::render::cautions::cautions as usual;
use crate::render::jobs::{Job, Kind, Place, jobs};
use crate::render::select::Selection;
use crate::render::words::strip_noun;

/// Weeks whose jobs are listed when no number is asked for.
const WEEKS: usize = 4;

/// The jobs of the first weeks, or of those asked for.
pub fn next_weeks(scenario: &Scenario, plan: &YearPlan, selection: &Selection) -> String {
    let weeks = selection.weeks(plan, WEEKS);
    let mut out = title(&match (selection.from, weeks.len()) {
        (None, 4) => "The next four weeks".to_string(),
        (None, count) => format!("The next {count} weeks"),
        (Some(from), count) => format!("{count} weeks from {from}"),
    });
    let all = jobs(scenario, plan);
    for week in weeks {
        out += &format!(
            "{week}, from Monday {}\n",
            week.monday().format("%-d %B %Y")
        );
        let mut idle = true;
        for kind in Kind::ALL {
            let parts: Vec<String> = (all.iter())
                .filter(|job| job.week == week && job.kind == kind)
                .filter(|job| selection.bed.as_ref().is_none_or(|bed| job.concerns(bed)))
                .collect::<Vec<_>>()
                .chunk_by(|a, b| a.what == b.what)
                .map(together)
                .collect();
            if !parts.is_empty() {
                idle = false;
                out += &wrap(&format!("  {:<9} ", kind.word()), &parts.join("; "));
            }
        }
        if idle {
            out += "  nothing to do\n";
        }
    }
    out
}

/// The jobs with one crop, cover or direction in a few words.
fn together(jobs: &[&Job]) -> String {
    let first = jobs[0];
    let places: Vec<String> = (jobs.iter())
        .flat_map(|job| job.places.iter().map(|place| in_words(job.kind, place)))
        .collect();
    let places = places.join(", ");
    match first.kind {
        Kind::Cover => format!("{} onto {places}", first.what),
        Kind::Uncover => format!("{} from {places}", first.what),
        Kind::Carry => format!("{places} {}", first.what),
        Kind::Harvest => format!("{} {} from {places}", first.what, first.quantity()),
        Kind::Raise | Kind::PrickOut => format!(
            "{}, {}, {}: for {places}",
            first.what,
            first.quantity(),
            first.detail
        ),
        Kind::Clear => format!("{}: {places}", first.what),
        Kind::Sow | Kind::Plant => {
            let same = jobs.iter().all(|job| job.detail == first.detail);
            let parts: Vec<String> = (jobs.iter())
                .map(|job| {
                    let places: Vec<String> =
                        job.places.iter().map(|p| in_words(job.kind, p)).collect();
                    let own = match same {
                        true => String::new(),
                        false => format!(" ({})", job.detail),
                    };
                    format!("{} {}{own}", places.join(", "), job.quantity())
                })
                .collect();
            let all = match same {
                true => format!(", {}", first.detail),
                false => String::new(),
            };
            format!("{}{all}: {}", first.what, parts.join(", "))
        }
    }
}

/// A bed, with its strips where they matter.
fn in_words(kind: Kind, place: &Place) -> String {
    if place.strips.is_empty() || kind == Kind::Harvest {
        return place.bed.clone();
    }
    let noun = strip_noun(place.strips.len());
    format!("{} {noun} {}", place.bed, strips(&place.strips))
}

/// The usual cautions for the crops grown and the covers used, each once.
pub fn cautions(scenario: &Scenario, plan: &YearPlan) -> String {
    let lines = usual(scenario, plan);
    if lines.is_empty() {
        return String::new();
    }
    let mut out = title("Cautions");
    for line in lines {
        out += &wrap("  ", &format!("{}: {}", line.of.join(", "), line.words));
    }
    out += &wrap("  ", crate::render::cautions::DEFERENCE);
    out
}
