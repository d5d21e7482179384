//! What no plan can exceed, recomputed from a season and prices alone (docs/method/bound.md), rounded
//! outward. Shares no code with the search: it takes nobody's word but the season's.

mod breaks;
mod covers;
mod file;
mod list;
mod path;
mod range;
mod rounding;
mod table;
mod values;

pub use file::Certificate;
pub use list::{BreakPrice, CoverPrice, LidPrice, Lying, PriceList, RoundingPrice, Span};

use crate::candidates::{CandidateId, Season};
use crate::domain::BedId;
use breaks::BreakRow;
use covers::{Costs, CoverRow};
use path::Paths;
use range::Range;
use rounding::{RoundingRow, Tolls};
use values::{LotValues, Values};

/// The rows that are priced, made anew.
struct Rows {
    rounding: Vec<RoundingRow>,
    under_covers: Vec<CoverRow>,
    costs: Costs,
    breaks: Vec<BreakRow>,
}

impl Rows {
    fn of(season: &Season, prices: &PriceList) -> Result<Rows, String> {
        let under = prices.under_covers.iter();
        let under_covers: Vec<CoverRow> = under.map(|of| covers::row(season, of)).collect();
        Ok(Rows {
            rounding: (prices.rounding.iter())
                .map(|of| rounding::row(season, of))
                .collect(),
            costs: Costs::of(season, prices, &under_covers),
            under_covers,
            breaks: (prices.breaks.iter())
                .map(|of| breaks::row(season, of))
                .collect::<Option<_>>()
                .ok_or("a break is priced that no planting has to keep")?,
        })
    }
}

/// Worth that no plan of the season exceeds, money; every rounding is upward.
///
/// # Errors
/// What keeps the list from being prices of this season.
pub fn bound(season: &Season, prices: &PriceList) -> Result<f64, String> {
    if let Some(fault) = prices.fault(season) {
        return Err(fault);
    }
    let rows = Rows::of(season, prices)?;
    let values = Values::of(season, prices, &rows);
    let mut total = shared(season, prices, &rows);
    for beds in alike(season, &rows.costs) {
        let first = beds[0];
        let plantings = (0..season.candidates.len())
            .filter(|&c| season.candidates[c].standing.is_none() && season.allowed(c, first))
            .map(|c| (c, values.on(first, c)))
            .collect();
        let paths = Paths::new(season, season.beds[first].strips, plantings);
        for (g, group) in season.groups.iter().enumerate() {
            if !beds.contains(&group.bed) {
                continue;
            }
            let standing: Option<Vec<(CandidateId, f64)>> = group.standing.map(|standing| {
                (0..season.candidates.len())
                    .filter(|&c| season.candidates[c].standing == Some(standing))
                    .map(|c| (c, values.standing(g, c)))
                    .collect()
            });
            let best = paths.best(g, standing.as_deref());
            total += Range::exact(best) * group.strips.len() as f64;
        }
    }
    Ok(total.high)
}

/// What stands neither with plantings nor with strips.
fn shared(season: &Season, prices: &PriceList, rows: &Rows) -> Range {
    let tolls = Tolls::of(season, prices);
    let mut total = Range::exact(season.given_back);
    for week in 0..season.weeks {
        total += table::best(season, prices, &tolls, week);
        let minutes = season.minutes_per_week.unwrap_or(0.0);
        total += Range::exact(prices.work[week]) * minutes;
        for (row, cover) in prices.cover.iter().zip(&season.covers) {
            total += Range::exact(row[week]) * f64::from(cover.count);
        }
        total += Range::exact(prices.shelf[0][week]) * season.shelf_unlit_m2;
        total += Range::exact(prices.shelf[1][week]) * season.shelf_lit_m2;
        for (food, _, row) in &prices.variety {
            let food = &season.foods[*food];
            total += Range::exact(row[week]) * food.single_crop_share * food.wish[week];
        }
    }
    let mut lots = LotValues::new(season, prices);
    for lot in &season.in_store {
        total += lots.of(lot);
    }
    for (there, &price) in season.on_shelf.iter().zip(&prices.plants) {
        total += Range::exact(price) * there.plants;
    }
    for (rule, &price) in season.always.iter().zip(&prices.always) {
        total -= Range::exact(price) * rule.units;
    }
    for (row, of) in rows.rounding.iter().zip(&prices.rounding) {
        total += row.right * of.price;
    }
    for (row, of) in rows.under_covers.iter().zip(&prices.under_covers) {
        total += row.right * of.price;
    }
    total += rows.costs.best;
    for (row, of) in rows.breaks.iter().zip(&prices.breaks) {
        total += Range::exact(of.price) * row.most;
    }
    total
}

/// Beds that admit the same plantings at the same values, first beds first.
fn alike(season: &Season, costs: &Costs) -> Vec<Vec<BedId>> {
    let mut found: Vec<Vec<BedId>> = Vec::new();
    for (bed, ground) in season.beds.iter().enumerate() {
        let same = |other: BedId| {
            let it = &season.beds[other];
            let named = |b: BedId| {
                let never = season.never.iter().filter(move |(at, _)| *at == b);
                never.map(|(_, crop)| *crop).collect::<Vec<_>>()
            };
            costs.alike(bed, other)
                && it.kind == ground.kind
                && it.strips == ground.strips
                && named(other) == named(bed)
                && (season.always.iter())
                    .all(|rule| rule.bed.is_none_or(|b| b != bed && b != other))
        };
        match found.iter_mut().find(|beds| same(beds[0])) {
            Some(beds) => beds.push(bed),
            None => found.push(vec![bed]),
        }
    }
    found
}
