//! Leaves of the exact search: whole solutions by beds become plans strip by strip.

use super::Draw;
use super::exact::{Better, LEAST_GAIN, LEAST_WORTH};
use super::tree::{Node, Search};
use crate::candidates::{CandidateId, CoverState};
use crate::programme::{
    ColumnId, Drawn, LotClass, PlaceId, Placing, Split, by_bed, check, clashes, counts, covers,
    place, point, split,
};
use std::collections::{BTreeMap, BTreeSet};

/// Units of food smaller than this are digits of the relaxation.
const LEAST_UNITS: f64 = 1e-9;

impl Search<'_> {
    /// A node whose columns are all whole: splits it into strip-years or branches on.
    pub fn leaf(&mut self, node: &Node) {
        let mut years = Vec::new();
        let mut unknown = false;
        for place in 0..self.layout.places.len() {
            let counts = self.counts(node, place);
            let split_up = match split(self.season, place, &counts, self.clashes(node, place)) {
                Split::Found(years) => Some(years),
                Split::Impossible => None,
                Split::Unknown => {
                    unknown = true;
                    None
                }
            };
            let Some(found) = split_up else {
                self.unsplit(node, place, unknown);
                return;
            };
            years.push(found);
        }
        self.take(node, by_bed(self.season, years));
    }

    /// Strips of each candidate in a place.
    fn counts(&self, node: &Node, place: PlaceId) -> Vec<(CandidateId, u32)> {
        counts(self.layout, place, &|column| node.value(column))
    }

    /// Clashes of discouraged families in a place, by family and week; `None` without such.
    fn clashes(&self, node: &Node, place: PlaceId) -> Option<Vec<Vec<f64>>> {
        clashes(self.season, self.layout, place, &|column| {
            node.value(column)
        })
    }

    /// Tries to place a node whose totals are whole, beds regardless; whether that settles it.
    pub fn placed(&mut self, node: &Node) -> bool {
        let mut totals: BTreeMap<CandidateId, f64> = BTreeMap::new();
        for (&(_, candidate), &column) in &self.layout.strips {
            *totals.entry(candidate).or_default() += node.value(column);
        }
        let counts: Vec<(CandidateId, u32)> = totals
            .into_iter()
            .map(|(candidate, strips)| (candidate, strips.round() as u32))
            .filter(|&(_, strips)| strips > 0)
            .collect();
        let Some(strips) = place(self.season, &counts, &self.covers(node)) else {
            return false;
        };
        let worth = self.take(node, strips);
        worth >= node.bound - LEAST_GAIN * worth.abs().max(LEAST_WORTH)
    }

    /// What lies on each bed in each week.
    fn covers(&self, node: &Node) -> Vec<Vec<CoverState>> {
        covers(self.season, self.layout, &|column| node.value(column))
    }

    /// Takes a placed plan when it is better than the best; returns its worth.
    fn take(&mut self, node: &Node, strips: Vec<Vec<Vec<CandidateId>>>) -> f64 {
        let covers = self.covers(node);
        let drawn = self.drawn(node, &strips);
        let placing = Placing {
            strips: &strips,
            covers: &covers,
            drawn: &drawn,
        };
        let point = point(self.season, &self.programme, self.layout, &placing)
            .expect("a solution has a column for everything it uses");
        let worth = check(&self.programme, &point).objective;
        if worth > self.cutoff {
            self.cutoff = worth + LEAST_GAIN * worth.abs().max(LEAST_WORTH);
            self.narrow_root();
            self.near = point;
            let draws = drawn.iter().map(|d| Draw {
                product: d.class.product,
                from: d.class.from,
                fresh_until: d.class.fresh_until,
                until: d.class.until,
                week: d.week,
                units: d.units,
            });
            self.best = Some(Better {
                draws: draws.collect(),
                strips,
                covers,
                worth,
            });
        }
        worth
    }

    /// What is drawn of lots that the strips give: the relaxation keeps its rows but for a last digit, which may be drawn of
    /// a lot that nobody grows.
    fn drawn(&self, node: &Node, strips: &[Vec<Vec<CandidateId>>]) -> Vec<Drawn> {
        let season = self.season;
        let grown = strips.iter().flatten().flatten();
        let grown = grown.flat_map(|&candidate| &season.candidates[candidate].lots);
        let there: BTreeSet<LotClass> = grown.chain(&season.in_store).map(LotClass::of).collect();
        self.layout
            .draws
            .iter()
            .map(|(&(class, week), &column)| Drawn {
                class,
                week,
                units: node.value(column),
            })
            .filter(|drawn| drawn.units > LEAST_UNITS && there.contains(&drawn.class))
            .collect()
    }

    /// Plantings of a group of rings that can't stand on them together, as few as can be: so many of each, or none where that is
    /// not known or where there could be more of one and fewer of another.
    fn conflict(
        &self,
        place: PlaceId,
        counts: &[(CandidateId, u32)],
    ) -> Option<Vec<(ColumnId, u32)>> {
        // With what stands at the start fewer plantings are not always easier.
        self.season.cycle.as_ref()?;
        let mut left = counts.to_vec();
        let mut at = 0;
        // What is left is one at any time, if not the smallest.
        while at < left.len() && !self.must_stop() {
            let mut fewer = left.clone();
            fewer[at].1 -= 1;
            fewer.retain(|it| it.1 > 0);
            match split(self.season, place, &fewer, None) {
                Split::Impossible => left = fewer,
                _ => at += 1,
            }
        }
        let column = |candidate| self.layout.strips[&(place, candidate)];
        let found: Vec<(ColumnId, u32)> = left.iter().map(|&(c, n)| (column(c), n)).collect();
        let most =
            |&(column, n): &(ColumnId, u32)| self.programme.columns[column].upper <= f64::from(n);
        found.iter().all(most).then_some(found)
    }

    /// Goes on where a place's strips have no strip-years: without the plantings that are in each other's way, or with other
    /// counts, until all are fixed.
    fn unsplit(&mut self, node: &Node, place: PlaceId, unknown: bool) {
        let bound = node.bound;
        let counts = self.counts(node, place);
        let conflict = if unknown {
            None
        } else {
            self.conflict(place, &counts)
        };
        if let Some(conflict) = conflict {
            self.forbid(node, &conflict);
            return;
        }
        let fixed = |column| {
            let (lower, upper) = self.simplex.bounds(column);
            lower >= upper
        };
        let loose = self
            .counts(node, place)
            .into_iter()
            .find(|&(candidate, _)| !fixed(self.layout.strips[&(place, candidate)]));
        let Some((candidate, strips)) = loose else {
            // More plantings cannot help. Where breaks are only discouraged a split may exist
            // that costs more than was counted.
            if unknown || self.clashes(node, place).is_some() {
                self.dropped = self.dropped.max(bound);
                let all: Option<Vec<_>> = (0..self.layout.places.len())
                    .map(
                        |p| match split(self.season, p, &self.counts(node, p), None) {
                            Split::Found(years) => Some(years),
                            _ => None,
                        },
                    )
                    .collect();
                if let Some(years) = all {
                    self.take(node, by_bed(self.season, years));
                }
            }
            return;
        };
        let column = self.layout.strips[&(place, candidate)];
        let (lower, upper) = self.simplex.bounds(column);
        let value = f64::from(strips);
        let sides = [(lower, value - 1.0), (value + 1.0, upper), (value, value)];
        for (lower, upper) in sides.into_iter().filter(|(lower, upper)| lower <= upper) {
            self.open(node, (column, lower, upper), bound);
        }
    }
}
