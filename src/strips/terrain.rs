//! Terrains: beds that admit the same plantings at the same terms share one, so that their
//! strips are priced together.

use crate::candidates::{CandidateId, Season};
use crate::domain::BedId;
use std::collections::BTreeMap;
use std::sync::Arc;

pub type TerrainId = usize;

/// Beds alike in kind, number of strips, and the grower's directives.
#[derive(Clone, Debug)]
pub struct Terrain {
    pub kind: usize,
    pub strips: u32,
    pub beds: Vec<BedId>,
    /// Candidates that may be begun here (none of what stands), by start week.
    pub candidates: Vec<CandidateId>,
    /// Indices into [`Season::always`] that speak of these beds, ascending.
    pub always: Vec<usize>,
    /// See [`Terrains::serves`].
    serves: Arc<Vec<Vec<usize>>>,
}

/// All terrains of a season.
#[derive(Clone, Debug)]
pub struct Terrains {
    pub list: Vec<Terrain>,
    pub of_bed: Vec<TerrainId>,
    /// Alternatives of each group's standing planting (empty where nothing stands).
    pub alternatives: Vec<Vec<CandidateId>>,
    /// For each candidate: indices into [`Season::always`] that it counts for on beds they speak
    /// of, ascending.
    pub serves: Arc<Vec<Vec<usize>>>,
}

/// Kind, strips, crops never grown, directives that speak of the bed.
type Terms = (usize, u32, Vec<usize>, Vec<usize>);

impl Terrains {
    /// Sorts the beds of a season into terrains.
    pub fn of(season: &Season) -> Terrains {
        let mut index: BTreeMap<Terms, Vec<BedId>> = BTreeMap::new();
        for (bed, ground) in season.beds.iter().enumerate() {
            let never: Vec<usize> = season
                .never
                .iter()
                .filter(|(b, _)| *b == bed)
                .map(|(_, crop)| *crop)
                .collect();
            let always: Vec<usize> = (0..season.always.len())
                .filter(|&a| season.always[a].bed.is_none_or(|b| b == bed))
                .collect();
            index
                .entry((ground.kind, ground.strips, never, always))
                .or_default()
                .push(bed);
        }
        let serving = |candidate| {
            let all = 0..season.always.len();
            all.filter(|&a| season.always[a].matches(season.plain(candidate)))
                .collect()
        };
        let serves: Arc<Vec<Vec<usize>>> =
            Arc::new((0..season.candidates.len()).map(serving).collect());
        let mut of_bed = vec![0; season.beds.len()];
        let mut list = Vec::new();
        for ((kind, strips, _, always), beds) in index {
            for &bed in &beds {
                of_bed[bed] = list.len();
            }
            let mut candidates: Vec<CandidateId> = (0..season.candidates.len())
                .filter(|&c| season.candidates[c].standing.is_none() && season.allowed(c, beds[0]))
                .collect();
            candidates.sort_by_key(|&c| (season.candidates[c].start, c));
            list.push(Terrain {
                kind,
                strips,
                beds,
                candidates,
                always,
                serves: serves.clone(),
            });
        }
        let mut of_standing: BTreeMap<usize, Vec<CandidateId>> = BTreeMap::new();
        for (c, candidate) in season.candidates.iter().enumerate() {
            if let Some(standing) = candidate.standing {
                of_standing.entry(standing).or_default().push(c);
            }
        }
        let alternatives = season
            .groups
            .iter()
            .map(|g| {
                g.standing
                    .and_then(|s| of_standing.get(&s).cloned())
                    .unwrap_or_default()
            })
            .collect();
        Terrains {
            list,
            of_bed,
            alternatives,
            serves,
        }
    }
}

impl Terrain {
    /// Indices into [`Season::always`] that the candidate counts for here, ascending.
    pub fn served(&self, candidate: CandidateId) -> impl Iterator<Item = usize> + '_ {
        let served = self.serves[candidate].iter().copied();
        served.filter(|a| self.always.binary_search(a).is_ok())
    }
}
