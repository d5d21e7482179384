//! What stands at the start and gives nothing in the time that is planned, as far as the growth model knows.

use super::site::{Pattern, sites};
use super::standing::{alternatives, course};
use crate::domain::{Scenario, StandingId};
use crate::growth::{Failure, Grower};
use crate::units::Week;
use std::fmt;

/// A standing planting that gives nothing.
#[derive(Clone, Debug, PartialEq)]
pub struct Spent {
    pub standing: StandingId,
    /// Why, on bare ground, or the last week of its harvest where that is over by the start.
    pub why: Result<Week, Failure>,
}

impl fmt::Display for Spent {
    /// In words that follow the crop's name: `over after 2026-W46`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.why {
            Ok(last) => write!(f, "over after {last}"),
            Err(failure) => failure.fmt(f),
        }
    }
}

/// The standing plantings, in order, of which there is nothing to harvest in the time that is planned, whatever
/// lies on them. Those that are said to be eaten already, or dead, are not among them, nor green manures, nor
/// perennials, which stay for later years.
pub fn spent(scenario: &Scenario) -> Vec<Spent> {
    let grower = Grower::new(scenario);
    let sites = sites(scenario);
    let of = |id: StandingId| {
        let standing = &scenario.standing[id];
        let crop = &scenario.crops[standing.crop];
        if standing.taken >= 1.0 || standing.share <= 0.0 || crop.perennial.is_some() {
            return None;
        }
        let site = sites
            .iter()
            .find(|site| site.beds.contains(&standing.bed))?;
        let gives = alternatives(site, &grower, id);
        if gives.iter().any(|candidate| !candidate.lots.is_empty()) {
            return None;
        }
        let ways = (0..crop.ways.len()).filter(|way| standing.way.is_none_or(|only| only == *way));
        let why = ways
            .map(|way| course(site, &grower, id, Some(way), &Pattern::BARE))
            .map(|course| course.map(|course| course.last))
            // The latest end, or, where there is none, a reason.
            .reduce(|a, b| match (&a, &b) {
                (Ok(first), Ok(second)) if first < second => b,
                (Err(_), Ok(_)) => b,
                _ => a,
            })?;
        Some(Spent { standing: id, why })
    };
    (0..scenario.standing.len()).filter_map(of).collect()
}
