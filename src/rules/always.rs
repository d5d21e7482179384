//! "Always this crop there".

use super::model::{Rule, Sense, Terms};
use super::sketch::Sketch;

pub static ALWAYS: Rule = Rule {
    id: "always",
    sentence: "Strips begun with a crop that is always wanted there, and strips missing of it, are at least the strips wanted.",
    unit: "strips",
};

/// Adds the columns of missing strips and their rows. What stands already is not begun.
pub fn add(sketch: &mut Sketch) {
    let season = sketch.season;
    for (a, always) in season.always.iter().enumerate() {
        let strips = f64::from(always.strips);
        let mut terms: Terms = sketch
            .layout
            .strips
            .iter()
            .filter(|((place, candidate), _)| {
                let c = &season.candidates[*candidate];
                let beds = &sketch.layout.places[*place].beds;
                always.matches(c) && always.bed.is_none_or(|bed| beds.contains(&bed))
            })
            .map(|(_, &column)| (column, 1.0))
            .collect();
        let name = format!("{}", a + 1);
        let missing =
            sketch
                .programme
                .column(&["missing", &name], (0.0, strips), -always.missing_money);
        sketch.layout.missing.insert(a, missing);
        terms.push((missing, 1.0));
        sketch
            .programme
            .row(Some(&ALWAYS), &[&name], terms, Sense::AtLeast, strips);
    }
}
