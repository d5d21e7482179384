//! The restricted master: the best mix of the strip-years known so far, and prices for new ones.

use super::context::{Context, Masks};
use super::interior::{Lp, Row};
use super::table::Table;
use crate::candidates::{BARE, CandidateId, CoverState, GroupId, Rotation};
use crate::strips::Prices;
use std::collections::BTreeMap;

/// A strip-year known for a group.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Column {
    pub group: GroupId,
    pub candidates: Vec<CandidateId>,
}

/// Strips of a plan that are settled already: what they grow and take.
#[derive(Clone, Debug)]
pub struct Settled {
    /// Units grown by class.
    pub lots: BTreeMap<u32, f64>,
    /// Minutes of work by week.
    pub work: Vec<f64>,
    /// Shelf space by part (unlit, lit) and week, m².
    pub shelf: [Vec<f64>; 2],
    /// Strips begun, by "always" directive.
    pub always: Vec<f64>,
}

impl Settled {
    /// Nothing yet.
    pub fn none(context: &Context) -> Settled {
        let weeks = context.season.weeks;
        Settled {
            lots: BTreeMap::new(),
            work: vec![0.0; weeks],
            shelf: [vec![0.0; weeks], vec![0.0; weeks]],
            always: vec![0.0; context.season.always.len()],
        }
    }

    /// Adds (or takes away, with a negative number) strips of a column.
    pub fn add(&mut self, context: &Context, column: &Column, strips: f64) {
        let bed = context.season.groups[column.group].bed;
        for &c in &column.candidates {
            let candidate = &context.season.candidates[c];
            for &(class, units) in &context.classes.of_candidate[c] {
                *self.lots.entry(class).or_insert(0.0) += units * strips;
            }
            for &(week, minutes) in &candidate.work {
                self.work[week] += minutes * strips;
            }
            for s in &candidate.shelf {
                self.shelf[usize::from(s.lit)][s.week] += s.m2 * strips;
            }
            for (a, rule) in context.season.always.iter().enumerate() {
                if rule.bed.is_none_or(|b| b == bed) && rule.matches(candidate) {
                    self.always[a] += strips;
                }
            }
        }
    }
}

/// The mix and the prices.
pub struct Mixed {
    /// Strips given to each column, fractional.
    pub strips: Vec<f64>,
    pub prices: Prices,
    /// Worth of the mix with what is settled already, money, to the master's accuracy.
    pub worth: f64,
}

/// What the master needs to know.
pub struct Master<'m, 'a> {
    pub context: &'m Context<'a>,
    pub columns: &'m [Column],
    /// Strips of each group still to be filled.
    pub open: &'m [usize],
    pub settled: &'m Settled,
    /// Covers decided and paid; `None`: covers are shared out by strips.
    pub masks: Option<&'m Masks>,
}

impl Master<'_, '_> {
    /// Solves the mix to a relative accuracy; `None` where the interior-point method fails.
    pub fn solve(&self, accuracy: f64) -> Option<Mixed> {
        let season = self.context.season;
        let mut lp = Lp::default();
        let first: Vec<usize> = self.columns.iter().map(|c| lp.col(self.cost(c))).collect();
        let mut classes = self.settled.lots.clone();
        for column in self.columns {
            for &c in &column.candidates {
                for &(class, _) in &self.context.classes.of_candidate[c] {
                    classes.entry(class).or_insert(0.0);
                }
            }
        }
        let limit = season.minutes_per_week.unwrap_or(0.0);
        let work_left: Vec<f64> = self.settled.work.iter().map(|w| limit - w).collect();
        let table = Table::add(&mut lp, self.context, &classes, &work_left);
        let cover_rows = self.add_strips(&mut lp, &first, &table);
        let shelf_rows = self.add_shelf(&mut lp, &first);
        let always_rows = self.add_always(&mut lp, &first);
        let point = lp.solve(accuracy)?;
        let mut prices = Prices::zero(season, &self.context.variety);
        table.read_prices(self.context, &point, &mut prices);
        for (&(k, week), &row) in &cover_rows {
            prices.cover[k][week] = point.prices[row];
        }
        for (&(part, week), &row) in &shelf_rows {
            prices.shelf[part][week] = point.prices[row];
        }
        for (a, row) in always_rows.into_iter().enumerate() {
            prices.always[a] = point.prices[row];
        }
        prices.clamp(season);
        let strips = first.iter().map(|&col| point.x[col].max(0.0)).collect();
        Some(Mixed {
            strips,
            prices,
            worth: -point.value - table.never_eaten,
        })
    }

    /// Money per strip: seed, work other than harvest, moves of covers where they are not paid yet.
    fn cost(&self, column: &Column) -> f64 {
        let season = self.context.season;
        let mut cost = plain_cost(self.context, &column.candidates)
            + rotation_cost(self.context, column.group, &column.candidates);
        if self.masks.is_none() {
            let bed = &season.beds[season.groups[column.group].bed];
            let moves = self.context.moves(bed.strips);
            let mut state = bed.state_before;
            for &c in &column.candidates {
                for &next in &season.candidates[c].states {
                    cost += moves.0[usize::from(state)][usize::from(next)];
                    state = next;
                }
            }
        }
        cost
    }

    fn add_strips(
        &self,
        lp: &mut Lp,
        first: &[usize],
        table: &Table,
    ) -> BTreeMap<(usize, usize), Row> {
        let season = self.context.season;
        let groups: Vec<Row> = self.open.iter().map(|&n| lp.equal(n as f64)).collect();
        let mut covers = BTreeMap::new();
        for (column, &col) in self.columns.iter().zip(first) {
            lp.term(groups[column.group], col, 1.0);
            let mut grown: BTreeMap<u32, f64> = BTreeMap::new();
            let mut worked: BTreeMap<usize, f64> = BTreeMap::new();
            for &c in &column.candidates {
                for &(class, units) in &self.context.classes.of_candidate[c] {
                    *grown.entry(class).or_insert(0.0) += units;
                }
                for &(week, minutes) in &season.candidates[c].work {
                    *worked.entry(week).or_insert(0.0) += minutes;
                }
            }
            for (class, units) in grown {
                table.grow(lp, class, col, units);
            }
            for (week, minutes) in worked {
                if let Some(row) = table.work[week] {
                    lp.term(row, col, minutes);
                }
            }
            if self.masks.is_none() {
                let strips = season.beds[season.groups[column.group].bed].strips;
                for (week, state) in covered_weeks(self.context, &column.candidates) {
                    let k = usize::from(state) - 1;
                    let row = *covers
                        .entry((k, week))
                        .or_insert_with(|| lp.at_most(f64::from(season.covers[k].count)));
                    lp.term(row, col, 1.0 / f64::from(strips));
                }
            }
        }
        covers
    }

    fn add_shelf(&self, lp: &mut Lp, first: &[usize]) -> BTreeMap<(usize, usize), Row> {
        let season = self.context.season;
        let space = [season.shelf_unlit_m2, season.shelf_lit_m2];
        let mut rows = BTreeMap::new();
        for (column, &col) in self.columns.iter().zip(first) {
            let mut taken: BTreeMap<(usize, usize), f64> = BTreeMap::new();
            for &c in &column.candidates {
                for s in &season.candidates[c].shelf {
                    *taken.entry((usize::from(s.lit), s.week)).or_insert(0.0) += s.m2;
                }
            }
            for ((part, week), m2) in taken {
                let left = space[part] - self.settled.shelf[part][week];
                let row = *rows
                    .entry((part, week))
                    .or_insert_with(|| lp.at_most(left.max(0.0)));
                lp.term(row, col, m2);
            }
        }
        rows
    }

    fn add_always(&self, lp: &mut Lp, first: &[usize]) -> Vec<Row> {
        let season = self.context.season;
        let mut rows = Vec::new();
        for (a, rule) in season.always.iter().enumerate() {
            let row = lp.at_most(self.settled.always[a] - f64::from(rule.strips));
            let missing = lp.col(rule.missing_money);
            lp.term(row, missing, -1.0);
            for (column, &col) in self.columns.iter().zip(first) {
                let bed = season.groups[column.group].bed;
                let begun = column
                    .candidates
                    .iter()
                    .filter(|&&c| rule.matches(&season.candidates[c]))
                    .count();
                if begun > 0 && rule.bed.is_none_or(|b| b == bed) {
                    lp.term(row, col, -(begun as f64));
                }
            }
            rows.push(row);
        }
        rows
    }
}

/// Seed and work (not harvest, not covers) of a strip-year, money.
pub fn plain_cost(context: &Context, candidates: &[CandidateId]) -> f64 {
    candidates.iter().map(|&c| context.plain[c]).sum()
}

/// Price of discouraged breaks cut short on one strip, money.
pub fn rotation_cost(context: &Context, group: GroupId, candidates: &[CandidateId]) -> f64 {
    if !context.discourages {
        return 0.0;
    }
    let season = context.season;
    let mut release = season.groups[group].release.clone();
    let bed = &season.beds[season.groups[group].bed];
    let mut cost = 0.0;
    for &c in candidates {
        let candidate = &season.candidates[c];
        for used in &candidate.families {
            let (weeks, price) = match bed.rotation[used.family] {
                Rotation::Off => continue,
                Rotation::Forbid { weeks } => (weeks, 0.0),
                Rotation::Discourage {
                    weeks,
                    money_per_strip_week,
                } => (weeks, money_per_strip_week),
            };
            let after = used.until + weeks;
            let overlap = release[used.family].min(after).min(season.weeks);
            if candidate.standing.is_none() {
                cost += price * overlap.saturating_sub(used.from) as f64;
            }
            release[used.family] = release[used.family].max(after);
        }
    }
    cost
}

/// (week, state) of every week in which a strip-year asks for a cover.
fn covered_weeks<'c>(
    context: &'c Context,
    candidates: &'c [CandidateId],
) -> impl Iterator<Item = (usize, CoverState)> + 'c {
    candidates.iter().flat_map(|&c| {
        let candidate = &context.season.candidates[c];
        candidate
            .states
            .iter()
            .enumerate()
            .filter(|(_, s)| **s != BARE)
            .map(move |(offset, &s)| (candidate.start + offset, s))
    })
}
