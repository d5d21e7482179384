//! Exact solution of small seasons: branch and bound on the form by beds.
//!
//! The relaxation is tightened by rounding rows, columns are branched on by fixing them (totals
//! over like beds first), and a whole solution counts only once it is split into strip-years.
//! For seasons in which a first search has left few candidates open.

use super::linear::NoPoint;
use super::tree::{Branchable, Search};
use super::{Draw, Watch};
use crate::candidates::{CandidateId, CoverState, Season};
use crate::programme::{Form, Layout, Programme, Sense, Terms, lay_out};
use std::collections::BTreeMap;

/// A plan must be better than the one known by this share to count.
pub const LEAST_GAIN: f64 = 1e-6;
/// When to stop.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ExactLimits {
    /// Clock time at which to stop, as told by [`Watch::seconds`].
    pub until: Option<f64>,
    /// Relaxations to solve (deterministic).
    pub relaxations: Option<u64>,
}

/// A placed plan better than the one known.
#[derive(Clone, Debug, PartialEq)]
pub struct Better {
    /// For each bed and strip: candidates in order of time.
    pub strips: Vec<Vec<Vec<CandidateId>>>,
    pub covers: Vec<Vec<CoverState>>,
    pub draws: Vec<Draw>,
    pub worth: f64,
}

/// What the search found out.
#[derive(Clone, Debug, PartialEq)]
pub struct Exact {
    /// The best plan, if one beats the one known.
    pub better: Option<Better>,
    /// No plan that keeps to the candidates left is worth more than this and than the one known
    /// (as far as microlp's relaxations can be trusted).
    pub bound: f64,
    /// Whether the search ended by itself: then `better`, or else the plan known, is the best
    /// to within [`LEAST_GAIN`], unless `unsplit`.
    pub finished: bool,
    /// Some solution by beds was dropped since no strip-years were found for it; `bound` counts
    /// it.
    pub unsplit: bool,
    /// Relaxations solved.
    pub relaxations: u64,
}

/// Searches for a plan worth more than `incumbent` without the `excluded` candidates (those
/// proven to be in no better plan).
pub fn exact(
    season: &Season,
    excluded: &[bool],
    incumbent: f64,
    limits: ExactLimits,
    watch: &dyn Watch,
) -> Exact {
    let (mut programme, layout) = lay_out(season, Form::Bed, &|c| !excluded[c]);
    let branchable = add_totals(&mut programme, &layout, season);
    let cutoff = incumbent + LEAST_GAIN * incumbent.abs().max(1.0);
    let mut search = Search::new(season, &layout, branchable, cutoff, limits, watch);
    let mut failed = false;
    match search.root(&mut programme) {
        Ok(root) => failed = search.run(&programme, root).is_err(),
        Err(NoPoint::Infeasible) => {}
        Err(_) => failed = true,
    }
    let open = search.open_bound();
    let known = search.cutoff;
    Exact {
        finished: !failed && open == f64::NEG_INFINITY,
        bound: match failed {
            true => f64::INFINITY,
            false => open.max(search.dropped).max(known),
        },
        unsplit: search.dropped > known,
        relaxations: search.relaxations,
        better: search.best,
    }
}

/// Adds a column for the total of each candidate over like beds, and returns the columns to
/// branch on: totals and covers, and strips of single beds when none of those is left.
fn add_totals(programme: &mut Programme, layout: &Layout, season: &Season) -> Vec<Branchable> {
    let crops = season
        .products
        .iter()
        .map(|p| p.crop + 1)
        .max()
        .unwrap_or(1);
    let covers = season.covers.len();
    let crop = |candidate: CandidateId| {
        let members = &season.candidates[candidate].members;
        members.first().map_or(0, |m| m.crop.min(crops - 1))
    };
    let mut by_candidate: BTreeMap<CandidateId, Terms> = BTreeMap::new();
    for (&(_, candidate), &column) in &layout.strips {
        by_candidate
            .entry(candidate)
            .or_default()
            .push((column, 1.0));
    }
    let mut branchable = Vec::new();
    let mut late = Vec::new();
    for (candidate, mut terms) in by_candidate {
        if terms.len() == 1 {
            branchable.push(Branchable {
                column: terms[0].0,
                late: false,
                alike: crop(candidate),
            });
        } else {
            late.extend(terms.iter().map(|&(column, _)| Branchable {
                column,
                late: true,
                alike: crops + crop(candidate),
            }));
            let most = programme.most(&terms);
            let name = &season.candidates[candidate].name;
            let column = programme.integer(&["total", name], (0.0, most), 0.0);
            terms.push((column, -1.0));
            programme.row(None, &["total", name], terms, Sense::Equal, 0.0);
            branchable.push(Branchable {
                column,
                late: false,
                alike: crop(candidate),
            });
        }
    }
    branchable.extend(
        layout
            .covers
            .iter()
            .map(|(&(bed, cover, _), &column)| Branchable {
                column,
                late: false,
                alike: 2 * crops + bed * covers + cover,
            }),
    );
    branchable.extend(late);
    branchable
}
