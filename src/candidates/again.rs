//! Strip-years of one season in another one of the same holding, or of one that has the same beds
//! first: the candidates there that are the same plantings.

use super::decided::Decided;
use super::season::{BARE, Candidate, CandidateId, CoverState, Season};
use std::collections::BTreeMap;

/// The strip-years and covers of `from` in the season `to`. Plantings that are no candidates there
/// are left out; `None` where what stands cannot go on as in them.
pub fn in_season(
    from: &Season,
    strips: &[Vec<Vec<CandidateId>>],
    covers: &[Vec<CoverState>],
    to: &Season,
) -> Option<Decided> {
    let mut known: BTreeMap<(usize, usize, usize), Vec<CandidateId>> = BTreeMap::new();
    for (id, candidate) in to.candidates.iter().enumerate() {
        known.entry(place(candidate)).or_default().push(id);
    }
    let there = |id: CandidateId| {
        let candidate = &from.candidates[id];
        let like = known.get(&place(candidate))?;
        like.iter().copied().find(|&other| {
            let other = &to.candidates[other];
            (other.standing, &other.states, &other.members)
                == (candidate.standing, &candidate.states, &candidate.members)
        })
    };
    let mut found = Decided::idle(to);
    for (bed, years) in strips.iter().enumerate() {
        found.covers[bed].clone_from(&covers[bed]);
        for (strip, year) in years.iter().enumerate() {
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

impl Decided {
    /// No planting on any strip, no cover on any bed.
    pub fn idle(season: &Season) -> Decided {
        Decided {
            strips: (season.beds.iter())
                .map(|bed| vec![Vec::new(); bed.strips as usize])
                .collect(),
            covers: vec![vec![BARE; season.weeks]; season.beds.len()],
            left_out: Vec::new(),
        }
    }
}

/// What tells most candidates apart.
fn place(candidate: &Candidate) -> (usize, usize, usize) {
    (candidate.kind, candidate.start, candidate.end)
}
