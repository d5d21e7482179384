//! Strip-years and covers that are given: their worth, and where a search may begin from.

use super::answer::{Answer, Status, Watch};
use super::context::Context;
use super::draft::{Draft, idle_year};
use super::finish::{Finished, finish, finish_near};
use super::larder::Larder;
use crate::candidates::{CandidateId, CoverState, Season};

/// For each bed and strip, candidates in order of time; for each bed and week, what lies on it.
#[derive(Clone, Copy, Debug)]
pub struct Given<'a> {
    pub strips: &'a [Vec<Vec<CandidateId>>],
    pub covers: &'a [Vec<CoverState>],
}

/// The answer that is just what is given, its supply divided as well as can be; its bound is its own
/// worth, for nothing is sought. `None` where a limit on shelf or work is broken.
pub fn evaluate(season: &Season, given: Given, watch: &dyn Watch) -> Option<Answer> {
    let context = Context::new(season);
    let larder = Larder::of(&context);
    let draft = draft(&context, &larder, given)?;
    let finished = finish(&context, &draft)?;
    Some(answer(given, finished, watch))
}

/// The same; of the divisions that are worth the same, the one with what is eaten nearest to `meant`
/// (units, by food and week).
pub fn evaluate_near(
    season: &Season,
    given: Given,
    meant: &[Vec<f64>],
    watch: &dyn Watch,
) -> Option<Answer> {
    let context = Context::new(season);
    let larder = Larder::of(&context);
    let draft = draft(&context, &larder, given)?;
    let finished = finish_near(&context, &draft, meant)?;
    Some(answer(given, finished, watch))
}

fn answer(given: Given, finished: Finished, watch: &dyn Watch) -> Answer {
    Answer {
        status: Status::WorkLimit,
        strips: given.strips.to_vec(),
        covers: given.covers.to_vec(),
        draws: finished.draws,
        worth: finished.worth,
        bound: finished.worth,
        work: 0,
        seconds: watch.seconds(),
    }
}

/// The draft of what is given; `None` where something that stands is left out of it and cannot be
/// treated under those covers.
pub(super) fn draft(context: &Context, larder: &Larder, given: Given) -> Option<Draft> {
    const ROUNDS: usize = 2;
    let season = context.season;
    for (g, group) in season.groups.iter().enumerate() {
        idle_year(context, g, Some(&given.covers[group.bed]))?;
    }
    // Every year of a standing year is the same.
    let of_ring = |mask: &Vec<CoverState>| -> Vec<CoverState> {
        let year = mask.iter().copied().take(season.weeks);
        year.cycle().take(season.ground_weeks()).collect()
    };
    let masks = given.covers.iter().map(of_ring).collect();
    let mut draft = Draft::idle(context, larder, masks);
    for (g, group) in season.groups.iter().enumerate() {
        for (s, &strip) in group.strips.iter().enumerate() {
            let year = &given.strips[group.bed][strip as usize];
            if !year.is_empty() {
                draft.replace(context, larder, g, s, year.clone());
            }
        }
    }
    draft.refresh(context, larder, ROUNDS);
    Some(draft)
}
