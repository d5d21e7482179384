//! Certificates: the prices behind a bound, written by `plan` and `replan`, recomputed by `verify`.

use super::files::{OutFile, read_text, unusable};
use super::verify::{Opened, fingerprint};
use crate::candidates::{self, Season};
use crate::certify::{
    self, BreakPrice, Certificate, CoverPrice, LidPrice, Lying, PriceList, RoundingPrice, Span,
};
use crate::domain::Scenario;
use crate::strips::{Prices, Side, VarietyRows};
use std::path::Path;

/// Largest certificate file, bytes (estimate: that of a thousand beds takes a tenth of it).
const MAX_BYTES: u64 = 20_000_000;
/// Share by which the search's own reckoning of its bound may be off.
const ROUNDING: f64 = 1e-9;

/// Writes the certificate of some prices; its bound.
pub fn write(
    file: &OutFile,
    scenario: &Scenario,
    digest: u64,
    season: &Season,
    prices: &Prices,
) -> Result<f64, String> {
    let list = listed(season, prices);
    let certificate = Certificate::of(scenario, &fingerprint(digest), season, &list)
        .map_err(|fault| format!("internal fault: prices of no use: {fault}"))?;
    file.replace(&certificate.text())?;
    Ok(certificate.bound)
}

/// The search's prices as a certificate lists them.
pub fn listed(season: &Season, prices: &Prices) -> PriceList {
    let rows = VarietyRows::of(season).rows;
    let rounding = prices.roundings.iter().zip(&prices.rounding);
    let span = |food, side, first, last| Span {
        food,
        floor: side == Side::Floor,
        first,
        last,
    };
    PriceList {
        food: prices.food.clone(),
        variety: (rows.into_iter().zip(&prices.variety))
            .map(|((food, crop), weeks)| (food, crop, weeks.clone()))
            .collect(),
        work: prices.work.clone(),
        cover: prices.cover.clone(),
        shelf: prices.shelf.clone(),
        plants: prices.plants.clone(),
        always: prices.always.clone(),
        rounding: rounding
            .map(|(row, &price)| RoundingPrice {
                span: span(row.food, row.side, row.first, row.last),
                divisor: row.divisor,
                price,
            })
            .collect(),
        under_covers: (prices.cover_rows.iter().zip(&prices.cover_row_price))
            .map(|(row, &price)| CoverPrice {
                span: span(row.food, row.side, row.first, row.last),
                lyings: (row.lyings.iter())
                    .map(|lying| Lying {
                        bed: lying.bed,
                        week: lying.week,
                        state: lying.state,
                    })
                    .collect(),
                price,
            })
            .collect(),
        lids: (prices.lids.iter().zip(&prices.lid_price))
            .map(|(lid, &price)| LidPrice {
                group: lid.group,
                week: lid.week,
                state: lid.state,
                price,
            })
            .collect(),
        breaks: (prices.breaks.iter().zip(&prices.break_price))
            .filter_map(|(row, &price)| {
                let bed = season.beds.iter().position(|b| b.kind == row.kind)?;
                Some(BreakPrice {
                    bed,
                    family: row.family,
                    by: row.by,
                    week: row.week,
                    price,
                })
            })
            .collect(),
    }
}

/// What a certificate shows of a plan.
pub enum Shown {
    /// A bound recomputed, money, and whether the plan's own bound is no lower.
    Bound { bound: f64, whole: bool },
    /// Why it shows nothing.
    Nothing(String),
}

/// Recomputes the bound of a certificate file for a plan's scenario.
///
/// # Errors
/// A file that cannot be read, or is no certificate.
pub fn recompute(file: &Path, opened: &Opened) -> Result<Shown, String> {
    let text = read_text(file, MAX_BYTES)?;
    let certificate = Certificate::read(&text).map_err(|what| unusable(file, &what))?;
    let own = fingerprint(opened.loaded.digest);
    if certificate.fingerprint != own {
        let than = match &opened.plan.life {
            None => opened.file.display().to_string(),
            Some(life) => format!("that of this plan, the rest of the year as of {}", life.day),
        };
        return Ok(Shown::Nothing(format!(
            "it was made for another scenario than {than} (or for other models): its fingerprint is {}, \
             not {own}",
            certificate.fingerprint
        )));
    }
    let scenario = &opened.loaded.scenario;
    let season = candidates::season(scenario);
    let found = certificate
        .prices(scenario, &season)
        .and_then(|prices| certify::bound(&season, &prices));
    let bound = match found {
        Ok(bound) => bound,
        Err(why) => return Ok(Shown::Nothing(why)),
    };
    if bound > certificate.bound {
        return Ok(Shown::Nothing(format!(
            "it claims that no plan is worth more than {}, its prices show no less than {bound}",
            certificate.bound
        )));
    }
    let claimed = opened.plan.result.bound;
    Ok(Shown::Bound {
        bound,
        whole: claimed + ROUNDING * claimed.abs() >= bound,
    })
}
