//! What stands in the beds when the plan begins.

use super::model::{Rule, Sense, Terms};
use super::sketch::Sketch;
use std::collections::BTreeMap;

pub static STANDS: Rule = Rule {
    id: "stands",
    sentence: "Every strip of a standing planting takes one of its alternatives.",
    unit: "strips",
};

/// Adds a row for each bed and what stands in it, in both forms.
pub fn add(sketch: &mut Sketch) {
    let season = sketch.season;
    let mut strips: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for group in &season.groups {
        if let Some(standing) = group.standing {
            *strips.entry((group.bed, standing)).or_default() += group.strips.len();
        }
    }
    for ((bed, standing), count) in strips {
        let terms: Terms = sketch
            .layout
            .strips
            .iter()
            .filter(|((place, candidate), _)| {
                sketch.layout.places[*place].beds.contains(&bed)
                    && season.candidates[*candidate].standing == Some(standing)
            })
            .map(|(_, &column)| (column, 1.0))
            .collect();
        let name = season.beds[bed].name.clone();
        sketch.programme.row(
            Some(&STANDS),
            &[&name, &format!("planting{standing}")],
            terms,
            Sense::Equal,
            count as f64,
        );
    }
}
