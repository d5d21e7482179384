//! What is counted on: "always this crop there", and plantings decided on.

use super::model::{Rule, Sense, Terms};
use super::sketch::Sketch;

pub static ALWAYS: Rule = Rule {
    id: "always",
    sentence: "What is begun of something that is counted on there, and what is missing of it, are at least what is counted on.",
    unit: "strips (plantings decided on: m2)",
};

/// Adds the columns of what is missing and their rows. What stands already is not begun.
pub fn add(sketch: &mut Sketch) {
    let season = sketch.season;
    for (a, always) in season.always.iter().enumerate() {
        let mut terms: Terms = sketch
            .layout
            .strips
            .iter()
            .filter(|((place, candidate), _)| {
                let c = &season.candidates[*candidate];
                let beds = &sketch.layout.places[*place].beds;
                always.matches(c) && always.bed.is_none_or(|bed| beds.contains(&bed))
            })
            .map(|((_, candidate), &column)| {
                let kind = season.candidates[*candidate].kind;
                (column, always.per_strip(&season.kinds[kind]))
            })
            .collect();
        let name = format!("{}", a + 1);
        let missing = sketch.programme.column(
            &["missing", &name],
            (0.0, always.units),
            -always.missing_money,
        );
        sketch.layout.missing.insert(a, missing);
        terms.push((missing, 1.0));
        sketch
            .programme
            .row(Some(&ALWAYS), &[&name], terms, Sense::AtLeast, always.units);
    }
}
