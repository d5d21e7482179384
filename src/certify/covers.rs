//! Cover rows and lids made anew, and what they make lying on a bed cost (docs/method/bound.md, "Cover rows").

use super::list::{CoverPrice, PriceList};
use super::range::Range;
use super::rounding::Asked;
use crate::candidates::{BARE, CandidateId, CoverState, GroupId, Season};
use crate::domain::BedId;
use std::collections::BTreeMap;

/// A row: what is eaten (or minus what is short) is at most `right`, the terms of what is begun, and `units` for each of
/// its lyings that holds.
pub struct CoverRow {
    pub right: Range,
    pub units: Range,
    /// Units for a strip of a candidate.
    pub terms: Vec<(CandidateId, Range)>,
}

/// The row that a food, its weeks and lyings stand for.
///
/// Where one of the lyings holds, `units` alone are all that is asked for and cannot come from store. Where none does, no
/// planting stands on a strip that asks for one of them wherever it can be, and the others give no more than the terms.
pub fn row(season: &Season, of: &CoverPrice) -> CoverRow {
    let asked = Asked::of(season, &of.span);
    let units = asked.rest.or_nothing();
    let gives = asked.gives.into_iter();
    CoverRow {
        right: match of.span.floor {
            true => Range::ZERO - units,
            false => asked.whole - units,
        },
        units,
        terms: gives
            .filter(|(c, _)| !asks_for(season, of, *c))
            .map(|(c, gives)| (c, gives.min(units)))
            .collect(),
    }
}

/// Whether a candidate is a way to treat something that stands at the start and asks for one of the lyings on every bed
/// on which that stands.
fn asks_for(season: &Season, of: &CoverPrice, c: CandidateId) -> bool {
    let Some(standing) = season.candidates[c].standing else {
        return false;
    };
    let mut groups = season
        .groups
        .iter()
        .filter(|g| g.standing == Some(standing));
    groups.all(|group| {
        (of.lyings.iter())
            .any(|l| l.bed == group.bed && stands_under(season, c, l.week) == Some(l.state))
    })
}

fn stands_under(season: &Season, c: CandidateId, week: usize) -> Option<CoverState> {
    let candidate = &season.candidates[c];
    week.checked_sub(candidate.start)
        .and_then(|place| candidate.states.get(place))
        .copied()
}

/// What lying on beds costs.
pub struct Costs {
    /// What the best on each bed brings, all weeks together.
    pub best: Range,
    /// By bed and week: what a strip pays by state, for all strips of the bed together.
    of_bed: BTreeMap<BedId, BTreeMap<usize, Vec<Range>>>,
    /// By group: what a strip pays, by week and state.
    of_group: BTreeMap<GroupId, Vec<(usize, CoverState, f64)>>,
}

impl Costs {
    /// At some prices, whose cover rows are given.
    pub fn of(season: &Season, prices: &PriceList, rows: &[CoverRow]) -> Costs {
        let states = season.covers.len() + 1;
        let mut brings: BTreeMap<(BedId, usize), Vec<Range>> = BTreeMap::new();
        let mut add = |bed: BedId, week: usize, state: CoverState, money: Range| {
            let sums = brings.entry((bed, week));
            sums.or_insert_with(|| vec![Range::ZERO; states])[usize::from(state)] += money;
        };
        let mut of_group: BTreeMap<GroupId, Vec<(usize, CoverState, f64)>> = BTreeMap::new();
        for (row, of) in rows.iter().zip(&prices.under_covers) {
            for lying in &of.lyings {
                add(lying.bed, lying.week, lying.state, row.units * of.price);
            }
        }
        for lid in &prices.lids {
            let group = &season.groups[lid.group];
            let all = Range::exact(lid.price) * group.strips.len() as f64;
            add(group.bed, lid.week, lid.state, all);
            let list = of_group.entry(lid.group).or_default();
            list.push((lid.week, lid.state, lid.price));
        }
        let mut costs = Costs {
            best: Range::ZERO,
            of_bed: BTreeMap::new(),
            of_group,
        };
        for ((bed, week), brings) in brings {
            let net = |state: usize| match state == usize::from(BARE) {
                true => brings[state],
                false => brings[state] - Range::exact(prices.cover[state - 1][week]),
            };
            let best = (1..states).map(net).fold(net(0), Range::max);
            costs.best += best;
            let paid = brings.iter().map(|&brings| best - brings).collect();
            costs.of_bed.entry(bed).or_default().insert(week, paid);
        }
        costs
    }

    /// Whether two beds cost the same.
    pub fn alike(&self, one: BedId, other: BedId) -> bool {
        let free = |bed| !self.of_bed.contains_key(&bed);
        one == other || (free(one) && free(other))
    }

    /// What a candidate pays on a bed, covers left out, for all strips of the bed together.
    pub fn on_bed(&self, season: &Season, bed: BedId, c: CandidateId) -> Range {
        let mut sum = Range::ZERO;
        for (&week, paid) in self.of_bed.get(&bed).into_iter().flatten() {
            if let Some(state) = stands_under(season, c, week) {
                sum += paid[usize::from(state)];
            }
        }
        sum
    }

    /// What a way to treat what stands in a group pays for lids, for a strip.
    pub fn lids(&self, season: &Season, group: GroupId, c: CandidateId) -> Range {
        let mut sum = Range::ZERO;
        for &(week, state, price) in self.of_group.get(&group).into_iter().flatten() {
            if stands_under(season, c, week) == Some(state) {
                sum += Range::exact(price);
            }
        }
        sum
    }
}
