//! Space on the raising shelf, and the plants that are on it at the start.

use super::model::{Rule, Terms};
use super::sketch::Sketch;

pub static SHELF: Rule = Rule {
    id: "shelf",
    sentence: "Shelf space taken by plants being raised is at most the space there (lit, unlit).",
    unit: "m2",
};

pub static PLANTS: Rule = Rule {
    id: "plants",
    sentence: "Plants taken from those on the shelf at the start are at most what is there.",
    unit: "plants",
};

/// Adds the rows of plants on the shelf at the start.
pub fn add_plants(sketch: &mut Sketch) {
    let season = sketch.season;
    let mut taken = vec![Terms::new(); season.on_shelf.len()];
    for (&(_, candidate), &column) in &sketch.layout.strips {
        for used in &season.candidates[candidate].plants {
            taken[used.of].push((column, used.plants));
        }
    }
    for (n, (plants, terms)) in season.on_shelf.iter().zip(taken).enumerate() {
        sketch.at_most(&PLANTS, &[&format!("{}", n + 1)], terms, plants.plants);
    }
}

/// Adds the rows of shelf space.
pub fn add(sketch: &mut Sketch) {
    let season = sketch.season;
    for (part, lit, space) in [
        ("lit", true, season.shelf_lit_m2),
        ("unlit", false, season.shelf_unlit_m2),
    ] {
        let mut taken = vec![Terms::new(); season.weeks];
        for (&(_, candidate), &column) in &sketch.layout.strips {
            for used in &season.candidates[candidate].shelf {
                if used.lit == lit {
                    taken[used.week].push((column, used.m2));
                }
            }
        }
        for (week, terms) in taken.into_iter().enumerate() {
            let week_name = sketch.week(week);
            sketch.at_most(&SHELF, &[part, &week_name], terms, space);
        }
    }
}
