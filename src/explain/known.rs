//! Plans that are known as strip-years of a season, for a search to begin from.

use crate::candidates::{Candidate, Decided, Season, decided};
use crate::domain::{Diary, Meant, Scenario};
use crate::plan::YearPlan;
use crate::repair;
use crate::solve::Answer;
use std::collections::BTreeMap;

/// A written plan in `season`, which is that of its scenario or of one that has the same beds first
/// and no less of anything. What finds no place is left out; `None` where the plan cannot be followed.
pub fn of_plan(scenario: &Scenario, plan: &YearPlan, season: &Season) -> Option<Decided> {
    let start = plan.scenario.start;
    let again = repair::carry_on(scenario, plan, scenario, &Diary::default(), start).ok()?;
    let again = again.scenario;
    let mut as_planned = scenario.clone();
    as_planned.planned = again.planned;
    as_planned.carried.covers_meant = again.carried.covers_meant;
    let here = |meant: Meant| {
        let name = &again.standing[meant.standing].name;
        let standing = scenario.standing.iter().position(|s| s.name == *name)?;
        Some(Meant { standing, ..meant })
    };
    as_planned.carried.meant = again.carried.meant.into_iter().filter_map(here).collect();
    Some(decided(&as_planned, season))
}

/// An answer of one season in another one, of a scenario with the same beds first and no less of
/// anything. Plantings that are no candidates there are left out; `None` where what stands cannot go
/// on as in the answer.
pub fn of_answer(from: &Season, answer: &Answer, to: &Season) -> Option<Decided> {
    let mut known: BTreeMap<(usize, usize, usize), Vec<usize>> = BTreeMap::new();
    for (id, candidate) in to.candidates.iter().enumerate() {
        known.entry(place(candidate)).or_default().push(id);
    }
    let there = |id: usize| {
        let candidate = &from.candidates[id];
        let like = known.get(&place(candidate))?;
        like.iter().copied().find(|&other| {
            let other = &to.candidates[other];
            (other.standing, &other.states, &other.members)
                == (candidate.standing, &candidate.states, &candidate.members)
        })
    };
    let mut found = Decided {
        strips: (to.beds.iter())
            .map(|bed| vec![Vec::new(); bed.strips as usize])
            .collect(),
        covers: vec![vec![crate::candidates::BARE; to.weeks]; to.beds.len()],
        left_out: Vec::new(),
    };
    for (bed, strips) in answer.strips.iter().enumerate() {
        found.covers[bed].clone_from(&answer.covers[bed]);
        for (strip, year) in strips.iter().enumerate() {
            for &id in year {
                match there(id) {
                    Some(other) => found.strips[bed][strip].push(other),
                    None if from.candidates[id].standing.is_some() => return None,
                    None => found.left_out.push(from.candidates[id].name.clone()),
                }
            }
        }
    }
    Some(found)
}

/// What tells most candidates apart.
fn place(candidate: &Candidate) -> (usize, usize, usize) {
    (candidate.kind, candidate.start, candidate.end)
}
