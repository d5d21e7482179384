//! Leaves of the exact search: whole solutions by beds become plans strip by strip.

use super::Draw;
use super::exact::{Better, LEAST_GAIN, LEAST_WORTH};
use super::linear::Relaxation;
use super::tree::{Chain, Open, Search, is_fixed, within};
use crate::candidates::{CandidateId, CoverState};
use crate::programme::{
    Drawn, PlaceId, Placing, Programme, Split, by_bed, check, clashes, counts, covers, place,
    point, split,
};
use std::collections::BTreeMap;
use std::rc::Rc;

impl Search<'_> {
    /// A node whose columns are all whole: splits it into strip-years or branches on.
    pub fn leaf(&mut self, programme: &Programme, node: &Rc<Relaxation>, above: &Chain) {
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
                self.unsplit(programme, node, above, place, unknown);
                return;
            };
            years.push(found);
        }
        self.take(programme, node, by_bed(self.season, years));
    }

    /// Strips of each candidate in a place.
    fn counts(&self, node: &Relaxation, place: PlaceId) -> Vec<(CandidateId, u32)> {
        counts(self.layout, place, &|column| node.value(column))
    }

    /// Clashes of discouraged families in a place, by family and week; `None` without such.
    fn clashes(&self, node: &Relaxation, place: PlaceId) -> Option<Vec<Vec<f64>>> {
        clashes(self.season, self.layout, place, &|column| {
            node.value(column)
        })
    }

    /// Tries to place a node whose totals are whole, beds regardless; whether that settles it.
    pub fn placed(&mut self, programme: &Programme, node: &Relaxation) -> bool {
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
        let worth = self.take(programme, node, strips);
        worth >= node.objective() - LEAST_GAIN * worth.abs().max(LEAST_WORTH)
    }

    /// What lies on each bed in each week.
    fn covers(&self, node: &Relaxation) -> Vec<Vec<CoverState>> {
        covers(self.season, self.layout, &|column| node.value(column))
    }

    /// Takes a placed plan when it is better than the best; returns its worth.
    fn take(
        &mut self,
        programme: &Programme,
        node: &Relaxation,
        strips: Vec<Vec<Vec<CandidateId>>>,
    ) -> f64 {
        let covers = self.covers(node);
        let drawn: Vec<Drawn> = self
            .layout
            .draws
            .iter()
            .map(|(&(class, week), &column)| Drawn {
                class,
                week,
                units: node.value(column),
            })
            .filter(|drawn| drawn.units > 1e-9)
            .collect();
        let placing = Placing {
            strips: &strips,
            covers: &covers,
            drawn: &drawn,
        };
        let point = point(self.season, programme, self.layout, &placing)
            .expect("a solution has a column for everything it uses");
        let worth = check(programme, &point).objective;
        if worth > self.cutoff {
            self.cutoff = worth + LEAST_GAIN * worth.abs().max(LEAST_WORTH);
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

    /// Goes on where a place's strips have no strip-years: other counts, until all are fixed.
    fn unsplit(
        &mut self,
        programme: &Programme,
        node: &Rc<Relaxation>,
        above: &Chain,
        place: PlaceId,
        unknown: bool,
    ) {
        let bound = node.objective();
        let loose = self
            .counts(node, place)
            .into_iter()
            .find(|&(candidate, _)| !is_fixed(above, self.layout.strips[&(place, candidate)]));
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
                    self.take(programme, node, by_bed(self.season, years));
                }
            }
            return;
        };
        let column = self.layout.strips[&(place, candidate)];
        for step in [-1.0, 1.0, 0.0] {
            let value = f64::from(strips) + step;
            if within(programme, column, value) {
                self.open.push(Open {
                    parent: node.clone(),
                    column,
                    value,
                    step,
                    bound,
                    solved: None,
                    above: above.clone(),
                });
            }
        }
    }
}
