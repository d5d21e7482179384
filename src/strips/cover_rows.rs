//! Cover rows: what can be eaten in a span of weeks only because of what lies on a bed in some week. A cover lies on a
//! whole bed or not at all; shares of a bed under one would overstate it (docs/method/bound.md, "Cover rows").
//!
//! In weeks `W` all plantings give at most `sum A_p x_p` of a food that is asked for, and no more than `D` in all. What
//! stands at the start and asks for one of the *lyings* counts by it instead: as much as `D` for each that holds.
//!
//! *Lids* tie that to the strips: of a group no more strips stand under a cover (or bare) than all of them where it lies
//! on their bed, and none else.

use super::{Gives, Prices, Side};
use crate::candidates::{BARE, CandidateId, CoverState, GroupId, Season};
use crate::domain::{BedId, FoodId};
use std::collections::BTreeMap;

/// A cover, or none, on a bed in a week.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lying {
    pub bed: BedId,
    pub week: usize,
    pub state: CoverState,
}

/// One row: over the weeks `first..=last`, what is eaten of the food (or, for floors, minus what is short) is at most
/// `right` plus the sum of `terms` over all strips plus `units` for every one of the lyings that holds.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverRow {
    pub food: FoodId,
    pub side: Side,
    pub first: usize,
    pub last: usize,
    /// Ascending.
    pub lyings: Vec<Lying>,
    /// In the food's unit.
    pub units: f64,
    pub right: f64,
    /// Units for each strip of a candidate; ascending candidates, all above nothing.
    pub terms: Vec<(CandidateId, f64)>,
}

impl CoverRow {
    /// Whether it is the same row.
    pub fn same(&self, other: &CoverRow) -> bool {
        let key = |r: &CoverRow| (r.food, r.side, r.first, r.last);
        key(self) == key(other) && self.lyings == other.lyings
    }
}

/// One row: strips of a group that stand in a state in a week are at most all of them where it lies on their bed, and
/// none else.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lid {
    pub group: GroupId,
    pub week: usize,
    pub state: CoverState,
}

/// What lies on the ground of a candidate in a week; `None` where it does not stand then.
pub fn state_of(season: &Season, c: CandidateId, week: usize) -> Option<CoverState> {
    let candidate = &season.candidates[c];
    let stands = (candidate.start..candidate.end).contains(&week);
    stands.then(|| candidate.states[week - candidate.start])
}

/// Beds of each planting that stands at the start, ascending.
pub fn standing_beds(season: &Season) -> BTreeMap<usize, Vec<BedId>> {
    let mut beds: BTreeMap<usize, Vec<BedId>> = BTreeMap::new();
    for group in &season.groups {
        if let Some(standing) = group.standing {
            let list = beds.entry(standing).or_default();
            if !list.contains(&group.bed) {
                list.push(group.bed);
            }
        }
    }
    beds
}

/// Whether a candidate can stand on no bed but one on which one of the lyings holds.
pub fn asks_for(
    season: &Season,
    standing_beds: &BTreeMap<usize, Vec<BedId>>,
    lyings: &[Lying],
    c: CandidateId,
) -> bool {
    let holds = |l: &Lying| state_of(season, c, l.week) == Some(l.state);
    season.candidates[c].standing.is_some_and(|standing| {
        let mut beds = standing_beds[&standing].iter();
        beds.all(|&bed| lyings.iter().any(|l| l.bed == bed && holds(l)))
    })
}

impl Gives {
    /// The row for some lyings, which ascend.
    pub fn under(
        &self,
        season: &Season,
        standing_beds: &BTreeMap<usize, Vec<BedId>>,
        lyings: Vec<Lying>,
    ) -> CoverRow {
        let others = self.units.iter().copied();
        CoverRow {
            food: self.food,
            side: self.side,
            first: self.first,
            last: self.last,
            units: self.most,
            right: match self.side {
                Side::Wish => self.asked - self.most,
                Side::Floor => -self.most,
            },
            terms: others
                .filter(|&(c, _)| !asks_for(season, standing_beds, &lyings, c))
                .collect(),
            lyings,
        }
    }
}

/// What lying on a bed in a week costs at some prices: of what a bed can lie under that which brings most, less its
/// price, is taken to lie there, and strips under anything else pay what is lost by that, each its share.
#[derive(Clone, Debug)]
pub struct CoverCosts {
    /// What the best on each bed brings in all weeks together, money.
    pub best: f64,
    /// Which that is, where it is not bare ground.
    pub lies: BTreeMap<(BedId, usize), CoverState>,
    /// By bed: what its strips pay more than for covers at their prices, as (week, state, money per bed), ascending.
    of_bed: BTreeMap<BedId, Vec<(usize, CoverState, f64)>>,
    /// By group: what its strips pay for their lids, as (week, state, money per strip), ascending.
    of_group: BTreeMap<GroupId, Vec<(usize, CoverState, f64)>>,
}

impl CoverCosts {
    /// At some prices.
    pub fn of(season: &Season, prices: &Prices) -> CoverCosts {
        let mut costs = CoverCosts {
            best: 0.0,
            lies: BTreeMap::new(),
            of_bed: BTreeMap::new(),
            of_group: BTreeMap::new(),
        };
        for (lid, &price) in prices.lids.iter().zip(&prices.lid_price) {
            if price > 0.0 {
                let list = costs.of_group.entry(lid.group).or_default();
                list.push((lid.week, lid.state, price));
            }
        }
        for list in costs.of_group.values_mut() {
            list.sort_by_key(|&(week, state, _)| (week, state));
        }
        for ((bed, week), brings) in brings(season, prices) {
            let price = |state: usize| match state {
                0 => 0.0,
                cover => prices.cover[cover - 1][week],
            };
            let net: Vec<f64> = (brings.iter().enumerate())
                .map(|(state, brings)| brings - price(state))
                .collect();
            let mut best = usize::from(BARE);
            for state in 1..net.len() {
                if net[state] > net[best] {
                    best = state;
                }
            }
            costs.best += net[best];
            if best != usize::from(BARE) {
                costs.lies.insert((bed, week), best as CoverState);
            }
            let list = costs.of_bed.entry(bed).or_default();
            for (state, brings) in (0..).zip(&brings) {
                list.push((week, state, net[best] - brings));
            }
        }
        costs
    }

    /// Whether strips of a bed pay nothing but the prices of covers, lids left out.
    pub fn is_usual(&self, bed: BedId) -> bool {
        !self.of_bed.contains_key(&bed)
    }

    /// What a candidate pays on a bed more than the prices of covers, money per whole bed.
    pub fn on_bed(&self, season: &Season, bed: BedId, c: CandidateId) -> f64 {
        paid(season, c, self.of_bed.get(&bed))
    }

    /// What a way to treat what stands in a group pays for lids, money per strip.
    pub fn lids(&self, season: &Season, group: GroupId, c: CandidateId) -> f64 {
        paid(season, c, self.of_group.get(&group))
    }
}

/// What cover rows and lids say that each state of a bed brings in a week, money: for the beds and weeks that they speak
/// of.
fn brings(season: &Season, prices: &Prices) -> BTreeMap<(BedId, usize), Vec<f64>> {
    let mut sums: BTreeMap<(BedId, usize), Vec<f64>> = BTreeMap::new();
    let mut add = |bed: BedId, week: usize, state: CoverState, money: f64| {
        let none = || vec![0.0; season.covers.len() + 1];
        sums.entry((bed, week)).or_insert_with(none)[usize::from(state)] += money;
    };
    for (row, &price) in prices.cover_rows.iter().zip(&prices.cover_row_price) {
        for lying in row.lyings.iter().filter(|_| price > 0.0) {
            add(lying.bed, lying.week, lying.state, price * row.units);
        }
    }
    for (lid, &price) in prices.lids.iter().zip(&prices.lid_price) {
        if price > 0.0 {
            let group = &season.groups[lid.group];
            let strips = group.strips.len() as f64;
            add(group.bed, lid.week, lid.state, price * strips);
        }
    }
    sums
}

/// Sum over the weeks in which a candidate stands in the state named.
fn paid(season: &Season, c: CandidateId, list: Option<&Vec<(usize, CoverState, f64)>>) -> f64 {
    let Some(list) = list else {
        return 0.0;
    };
    let candidate = &season.candidates[c];
    let from = list.partition_point(|&(week, _, _)| week < candidate.start);
    let there = list[from..].iter();
    there
        .take_while(|&&(week, _, _)| week < candidate.end)
        .filter(|&&(week, state, _)| candidate.states[week - candidate.start] == state)
        .map(|&(_, _, money)| money)
        .sum()
}
