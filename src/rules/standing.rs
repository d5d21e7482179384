//! What stands in the beds when the plan begins.

use super::model::{Rule, Sense, Terms};
use super::sketch::Sketch;
use crate::candidates::Season;
use crate::domain::{BedId, FamilyId, StandingId};
use std::collections::BTreeMap;

pub static STANDS: Rule = Rule {
    id: "stands",
    sentence: "Every strip of a standing planting takes one of its alternatives.",
    unit: "strips",
};

/// Families that every alternative of a standing planting is of. Its own window then reaches at least as far
/// as any history of the family on its strips, which need not be counted again.
pub struct OwnFamilies(BTreeMap<StandingId, Vec<FamilyId>>);

impl OwnFamilies {
    /// Those of all that stands when the season begins.
    pub fn of(season: &Season) -> OwnFamilies {
        let mut own: BTreeMap<StandingId, Vec<FamilyId>> = BTreeMap::new();
        for candidate in &season.candidates {
            let Some(standing) = candidate.standing else {
                continue;
            };
            let families = || candidate.families.iter().map(|used| used.family);
            own.entry(standing)
                .and_modify(|kept| kept.retain(|&family| families().any(|f| f == family)))
                .or_insert_with(|| families().collect());
        }
        OwnFamilies(own)
    }

    /// Whether what stands on a strip, if anything does, is of the family, whatever becomes of it.
    pub fn holds(&self, standing: Option<StandingId>, family: FamilyId) -> bool {
        standing
            .and_then(|standing| self.0.get(&standing))
            .is_some_and(|own| own.contains(&family))
    }
}

/// Adds a row for each bed and what stands in it, in both forms.
pub fn add(sketch: &mut Sketch) {
    let season = sketch.season;
    let mut strips: BTreeMap<(BedId, StandingId), usize> = BTreeMap::new();
    for group in &season.groups {
        if let Some(standing) = group.standing {
            *strips.entry((group.bed, standing)).or_default() += group.strips.len();
        }
    }
    let mut taken: BTreeMap<(BedId, StandingId), Terms> = BTreeMap::new();
    for (&(place, candidate), &column) in &sketch.layout.strips {
        if let Some(standing) = season.candidates[candidate].standing {
            let beds = sketch.layout.places[place].beds.iter();
            for &bed in beds.filter(|&&bed| strips.contains_key(&(bed, standing))) {
                taken
                    .entry((bed, standing))
                    .or_default()
                    .push((column, 1.0));
            }
        }
    }
    for ((bed, standing), count) in strips {
        let name = season.beds[bed].name.clone();
        sketch.programme.row(
            Some(&STANDS),
            &[&name, &format!("planting{standing}")],
            taken.remove(&(bed, standing)).unwrap_or_default(),
            Sense::Equal,
            count as f64,
        );
    }
}
