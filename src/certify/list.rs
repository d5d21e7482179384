//! The prices that a bound rests on, with the names of what they are for.

use crate::candidates::{CoverState, GroupId, Season};
use crate::domain::BedId;

/// Prices of the rows that strips share (docs/method/bound.md), money per unit of the row. Indices are
/// those of the season; all weeks of it are there.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PriceList {
    /// By food and week.
    pub food: Vec<Vec<f64>>,
    /// Of a crop's share of a food: food, crop, price by week.
    pub variety: Vec<(usize, usize, Vec<f64>)>,
    /// Of a minute of work, by week.
    pub work: Vec<f64>,
    /// By cover and week.
    pub cover: Vec<Vec<f64>>,
    /// Of a m² of shelf, unlit and lit, by week.
    pub shelf: [Vec<f64>; 2],
    /// Of a plant on the shelf at the start.
    pub plants: Vec<f64>,
    /// Of what is counted on.
    pub always: Vec<f64>,
    pub rounding: Vec<RoundingPrice>,
    /// Not in a standing year, nor are lids.
    pub under_covers: Vec<CoverPrice>,
    pub lids: Vec<LidPrice>,
    /// Of rows of breaks, in a standing year.
    pub breaks: Vec<BreakPrice>,
}

/// A row of breaks over all beds of a kind, and its price.
#[derive(Clone, Debug, PartialEq)]
pub struct BreakPrice {
    /// A bed of the kind.
    pub bed: usize,
    pub family: usize,
    /// Of the year; `None`: the plantings of all years of a ring are counted.
    pub week: Option<usize>,
    /// So many years of a ring count as one, at least 1.
    pub by: usize,
    pub price: f64,
}

/// What a row speaks of: a food, and weeks of the season, both included.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    pub food: usize,
    /// Whether it speaks of what is short of floors, not of what is eaten.
    pub floor: bool,
    pub first: usize,
    pub last: usize,
}

/// A rounding row, and its price.
#[derive(Clone, Debug, PartialEq)]
pub struct RoundingPrice {
    pub span: Span,
    /// In the food's unit.
    pub divisor: f64,
    pub price: f64,
}

/// A cover row, and its price.
#[derive(Clone, Debug, PartialEq)]
pub struct CoverPrice {
    pub span: Span,
    pub lyings: Vec<Lying>,
    pub price: f64,
}

/// What lies on a bed in a week.
#[derive(Clone, Debug, PartialEq)]
pub struct Lying {
    pub bed: BedId,
    pub week: usize,
    pub state: CoverState,
}

/// A lid of a group in a week, and its price.
#[derive(Clone, Debug, PartialEq)]
pub struct LidPrice {
    pub group: GroupId,
    pub week: usize,
    pub state: CoverState,
    pub price: f64,
}

impl PriceList {
    /// What keeps the list from being prices of this season: `None` where it is in order.
    pub fn fault(&self, season: &Season) -> Option<String> {
        let weeks = season.weeks;
        let lengths = self.food.len() == season.foods.len()
            && self.cover.len() == season.covers.len()
            && self.plants.len() == season.on_shelf.len()
            && self.always.len() == season.always.len();
        if !lengths {
            return Some("the lists are not as long as the scenario's".into());
        }
        let rows = self.food.iter().chain(&self.cover).chain(&self.shelf);
        let rows = rows.chain(self.variety.iter().map(|(_, _, row)| row));
        let mut by_week = rows.chain([&self.work]);
        if by_week.any(|row| row.len() != weeks) {
            return Some(format!(
                "a list does not hold the {weeks} weeks of the scenario"
            ));
        }
        if season.minutes_per_week.is_none() && self.work.iter().any(|&price| price != 0.0) {
            return Some("work has a price and no limit".into());
        }
        for (rule, &price) in season.always.iter().zip(&self.always) {
            if price > rule.missing_money {
                return Some("what is counted on is priced above what missing it costs".into());
            }
        }
        for (n, (food, crop, _)) in self.variety.iter().enumerate() {
            let again = self.variety[..n]
                .iter()
                .any(|(f, c, _)| (f, c) == (food, crop));
            if *food >= season.foods.len() || again {
                return Some("a crop's share of a food is priced twice, or of no food".into());
            }
        }
        let known =
            |of: &Span| of.food < season.foods.len() && of.first <= of.last && of.last < weeks;
        for row in &self.rounding {
            if !(known(&row.span) && row.divisor.is_finite() && row.divisor > 0.0) {
                return Some("a rounding row has no food, no weeks or no divisor".into());
            }
        }
        if season.cycle.is_some() && !(self.under_covers.is_empty() && self.lids.is_empty()) {
            return Some("a standing year has no cover rows and no lids".into());
        }
        let lies = |week: usize, state: CoverState| {
            week < weeks && usize::from(state) <= season.covers.len()
        };
        for row in &self.under_covers {
            let sound = |l: &Lying| l.bed < season.beds.len() && lies(l.week, l.state);
            if !(known(&row.span) && row.lyings.iter().all(sound)) {
                return Some("a cover row has no food, no weeks, no bed or no cover".into());
            }
        }
        for lid in &self.lids {
            if lid.group >= season.groups.len() || !lies(lid.week, lid.state) {
                return Some("a lid has no strips, no week or no cover".into());
            }
        }
        let sound = |price: &f64| price.is_finite() && *price >= 0.0;
        (!self.all().all(|price| sound(&price)))
            .then(|| "a price is below nothing or no number".into())
    }

    fn all(&self) -> impl Iterator<Item = f64> + '_ {
        let by_week = self.food.iter().chain(&self.cover).chain(&self.shelf);
        let by_week = by_week.chain(self.variety.iter().map(|(_, _, row)| row));
        let lists = by_week.chain([&self.work, &self.plants, &self.always]);
        let rounding = self.rounding.iter().map(|row| row.price);
        let under = self.under_covers.iter().map(|row| row.price);
        let lids = self.lids.iter().map(|lid| lid.price);
        let breaks = self.breaks.iter().map(|row| row.price);
        let rows = rounding.chain(under).chain(lids).chain(breaks);
        lists.flatten().copied().chain(rows)
    }
}
