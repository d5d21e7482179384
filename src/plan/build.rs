//! From a scenario, its season and an answer of the search to the year plan.

use super::year::{Asked, Ending, FORMAT, Outcome, ScenarioRef, YearPlan};
use super::{classes, cycle, duties, layout, ledger, plantings, start, supply};
use crate::candidates::Season;
use crate::domain::Scenario;
use crate::solve::{Answer, Options, Status};

/// A bound smaller than this does not divide.
const SMALLEST_BOUND: f64 = 1e-9;

/// Share by which sums of the same terms in another order may differ.
const NOISE: f64 = 1e-9;

/// What a plan says about itself beyond the answer.
#[derive(Clone, Debug)]
pub struct About {
    /// The scenario's file as the user named it.
    pub file: String,
    /// Fingerprint of everything read from it and from the models.
    pub fingerprint: String,
    /// What the search was asked.
    pub options: Options,
    /// Leave out the seconds, so that equal runs give equal bytes.
    pub timeless: bool,
}

/// The year plan. Amounts are rounded here, once; the worth is that of the rounded plan.
pub fn build(scenario: &Scenario, season: &Season, answer: &Answer, about: &About) -> YearPlan {
    let shown = (season.cycle.as_ref()).map(|cycle| cycle::shown(season, cycle, answer));
    let candidates = season.candidates.len();
    let (season, answer) = shown.as_ref().map_or((season, answer), |(s, a)| (s, a));
    // Where a plan is carried on, what it keeps is to be found on the strips that it was on.
    let strips = match season.cycle.is_some() || scenario.carried.covered.is_some() {
        true => answer.strips.clone(),
        false => layout::arrange(season, &answer.strips),
    };
    let uses = plantings::uses(season, &strips);
    let classes = classes::classes(season, &strips, &answer.draws);
    let covers = &answer.covers;
    let supply = supply::supply(scenario, season, &classes);
    let changes = start::changes(scenario, season, &uses);
    let ledger = ledger::ledger(
        scenario, season, &strips, &uses, covers, &classes, &supply, &changes,
    );
    let worth: f64 = ledger.iter().map(|line| line.money).sum();
    YearPlan {
        format: FORMAT,
        made_by: format!("{} {}", env!("CARGO_PKG_NAME"), env!("CARGO_PKG_VERSION")),
        scenario: ScenarioRef {
            name: scenario.name.clone(),
            file: about.file.clone(),
            fingerprint: about.fingerprint.clone(),
            currency: scenario.currency.clone(),
            start: scenario.start,
            weeks: scenario.weeks,
            tail: scenario.tail,
        },
        standing_year: (season.cycle.as_ref()).map(|cycle| cycle::sections(season, cycle)),
        life: None,
        options: Asked {
            gap: about.options.gap,
            time_limit_seconds: about.options.seconds,
            work_limit: about.options.work,
        },
        result: outcome(candidates, answer, worth, about.timeless),
        shortfalls: supply::shortfalls(season, &supply),
        ledger,
        plantings: plantings::plantings(scenario, season, &uses, covers, &classes),
        covers: duties::cover_spells(scenario, season, covers),
        changes,
        in_store: start::in_store(scenario),
        stores: supply::stores(scenario, season, &classes),
        shelf: duties::shelf(scenario, season, &uses),
        work: duties::work(scenario, season, &uses, covers, &classes),
        buying: duties::buying(scenario, season, &uses),
        draws: supply::draws(scenario, season, &classes),
        supply,
    }
}

/// The result for a plan of that worth. The bound is the answer's, raised to the worth where only
/// the rounding of sums has put it below.
fn outcome(candidates: usize, answer: &Answer, worth: f64, timeless: bool) -> Outcome {
    let noise = NOISE * worth.abs().max(1.0);
    let bound = if worth > answer.bound && worth <= answer.bound + noise {
        worth
    } else {
        answer.bound
    };
    let gap_money = (bound - worth).max(0.0);
    Outcome {
        status: match answer.status {
            Status::Optimal => Ending::Optimal,
            Status::WithinGap => Ending::WithinGap,
            Status::WorkLimit => Ending::WorkLimit,
            Status::TimeLimit => Ending::TimeLimit,
            Status::Interrupted => Ending::Interrupted,
        },
        worth,
        bound,
        gap: if gap_money.is_infinite() {
            f64::INFINITY
        } else if gap_money > 0.0 {
            gap_money / bound.abs().max(SMALLEST_BOUND)
        } else {
            0.0
        },
        gap_money,
        candidates,
        work: answer.work,
        seconds: (!timeless).then(|| (answer.seconds * 1e3).round() / 1e3),
    }
}
