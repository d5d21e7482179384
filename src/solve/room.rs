//! What shared limits leave over in a draft: shelf, plants to hand, what is counted on.

use super::context::Context;
use super::draft::Draft;
use crate::candidates::{CandidateId, PlantUse, Season, ShelfUse};
use crate::strips::Terrain;
use std::collections::BTreeMap;

/// What candidates take of shelf and plants, told once where many take the same.
pub struct Raisings {
    /// (row, m² or plants), one raising after another, and where each begins. Rows are the weeks of the unlit part,
    /// those of the lit one, and the plants.
    all: Vec<(u32, f64)>,
    from: Vec<usize>,
    /// Raising of each candidate.
    of: Vec<u32>,
    /// The most that a candidate takes, by row.
    most: Vec<f64>,
}

impl Raisings {
    /// Gathers them.
    pub fn of(season: &Season) -> Raisings {
        let mut places = BTreeMap::new();
        let mut all = Vec::new();
        let mut from = vec![0];
        let mut of = Vec::new();
        let mut most = vec![0.0f64; 2 * season.weeks + season.on_shelf.len()];
        for candidate in &season.candidates {
            let shelf = |s: &ShelfUse| (usize::from(s.lit) * season.weeks + s.week, s.m2);
            let plants = |p: &PlantUse| (2 * season.weeks + p.of, p.plants);
            let taken: Vec<(usize, f64)> = (candidate.shelf.iter().map(shelf))
                .chain(candidate.plants.iter().map(plants))
                .collect();
            for &(row, amount) in &taken {
                most[row] = most[row].max(amount);
            }
            let key: Vec<(usize, u64)> = taken.iter().map(|t| (t.0, t.1.to_bits())).collect();
            let next = u32::try_from(from.len() - 1).expect("candidates fit u32");
            let place = *places.entry(key).or_insert(next);
            if place == next {
                let row = |row: usize| u32::try_from(row).expect("rows fit u32");
                all.extend(taken.into_iter().map(|(r, amount)| (row(r), amount)));
                from.push(all.len());
            }
            of.push(place);
        }
        Raisings {
            all,
            from,
            of,
            most,
        }
    }
}

/// What shared limits leave over.
pub struct Room {
    /// m² or plants left, by row of [`Raisings`].
    left: Vec<f64>,
    /// Whether there is enough for any candidate.
    ample: bool,
    /// Units missing of what is counted on; empty where nothing is.
    missing: Vec<f64>,
}

impl Room {
    /// Beside all that a draft holds.
    pub fn of(context: &Context, draft: &Draft) -> Room {
        const SLACK: f64 = 1e-9; // m² and plants
        let season = context.season;
        let part = |space: f64, taken: &[f64]| -> Vec<f64> {
            taken.iter().map(|taken| space - taken + SLACK).collect()
        };
        let mut left = part(season.shelf_unlit_m2, &draft.shelf[0]);
        left.extend(part(season.shelf_lit_m2, &draft.shelf[1]));
        left.extend(
            (season.on_shelf.iter().zip(&draft.plants))
                .map(|(there, taken)| there.plants - taken + SLACK),
        );
        let mut missing: Vec<f64> = (season.always.iter().zip(&draft.always))
            .map(|(rule, begun)| rule.units - begun)
            .collect();
        if missing.iter().all(|&units| units <= 0.0) {
            missing.clear();
        }
        Room {
            ample: (context.raisings.most.iter().zip(&left)).all(|(most, left)| most <= left),
            left,
            missing,
        }
    }

    /// Whether one more strip of a candidate can be raised.
    pub fn takes(&self, context: &Context, candidate: CandidateId) -> bool {
        let Raisings { all, from, of, .. } = &context.raisings;
        let raising = of[candidate] as usize;
        let mut rows = all[from[raising]..from[raising + 1]].iter();
        self.ample || rows.all(|&(row, amount)| amount <= self.left[row as usize])
    }

    /// What one more strip of a candidate brings of what is missing, money.
    pub fn directed(&self, context: &Context, terrain: &Terrain, candidate: CandidateId) -> f64 {
        // Half a strip missing is not worth a strip.
        const LEAST: f64 = 0.5;
        if self.missing.is_empty() {
            return 0.0;
        }
        let season = context.season;
        let money = |a: usize| {
            let rule = &season.always[a];
            let units = rule.per_strip(&season.kinds[terrain.kind]);
            match self.missing[a] > LEAST * units {
                true => rule.missing_money * units,
                false => 0.0,
            }
        };
        terrain.served(candidate).map(money).sum()
    }
}
