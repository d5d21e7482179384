//! Exact solution of small seasons: branch and bound on the form by beds.
//!
//! The relaxation is made smaller and tightened by rows, columns are branched on by narrowing them (totals
//! over like beds first), and a whole solution counts only once it is split into strip-years.
//! For seasons in which a first search has left few candidates open.

use super::branch::{Alike, Branchable};
use super::pair::on_both_cores;
use super::root::Root;
use super::tree::Search;
use super::{Draw, Progress, Watch};
use crate::candidates::{CandidateId, CoverState, Season};
use crate::programme::{ColumnId, Form, Layout, Placing, Programme, Sense, Terms, lay_out, point};
use std::collections::BTreeMap;

/// A plan must be better than the one known by this share to count.
pub const LEAST_GAIN: f64 = 5e-7;
/// Worths smaller than this count as this when a share of them is meant, money.
pub const LEAST_WORTH: f64 = 0.01;
/// Columns of the largest programme that is searched: above it the root takes as long as annealing needs (18,400
/// columns: a minute for as much as prices say).
pub const MOST_COLUMNS: usize = 8_000;

/// What the search is called while it goes on.
pub(super) const PROVE: &str = "prove";

/// When to stop.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct ExactLimits {
    /// Clock time at which to stop, as told by [`Watch::seconds`].
    pub until: Option<f64>,
    /// Relaxations to solve (deterministic).
    pub relaxations: Option<u64>,
    /// Columns of the programme; [`MOST_COLUMNS`] at the most.
    pub columns: Option<usize>,
    /// Enough once no plan can be better than the best one by more than this share of the bound.
    pub gap: f64,
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
    /// No plan that keeps to the candidates left is worth more than this and than the one known: the greatest
    /// sum of an open node at its prices.
    pub bound: f64,
    /// Whether the search ended by itself: then `better`, or else the plan known, is the best
    /// to within [`LEAST_GAIN`], unless `unsplit`.
    pub finished: bool,
    /// Some node was dropped since no strip-years were found for its solution, or no point of it; `bound` counts it.
    pub unsplit: bool,
    /// Relaxations solved.
    pub relaxations: u64,
}

/// Searches for a plan worth more than `incumbent` without the `excluded` candidates (those
/// proven to be in no better plan); `near` is a plan to search around, what is drawn in it does not count. None where
/// the programme has more columns than the limits allow.
pub fn exact(
    season: &Season,
    excluded: &[bool],
    incumbent: f64,
    near: Option<&Placing>,
    limits: ExactLimits,
    watch: &dyn Watch,
) -> Option<Exact> {
    let kept = |c: CandidateId| match &season.cycle {
        Some(cycle) => cycle.copies[c].iter().any(|&copy| !excluded[copy]),
        None => !excluded[c],
    };
    let (programme, layout) = lay_out(season, Form::Bed, &kept);
    if programme.columns.len() > limits.columns.unwrap_or(MOST_COLUMNS).min(MOST_COLUMNS) {
        return None;
    }
    watch.progress(Progress {
        phase: PROVE,
        worth: None,
        bound: None,
    });
    let cutoff = incumbent + LEAST_GAIN * incumbent.abs().max(LEAST_WORTH);
    let mut search = Search::new(season, &layout, programme, cutoff, limits, watch);
    if let Some(placing) = near {
        search.near = point(season, &search.programme, &layout, placing).unwrap_or_default();
    }
    let ended = match search.root() {
        Root::Node(node) => {
            search = on_both_cores(search, node);
            false
        }
        Root::Nothing => false,
        Root::Ended => true,
    };
    let open = search.open_bound();
    let known = search.cutoff;
    let below = open.max(search.dropped).max(known);
    Some(Exact {
        finished: !ended && open == f64::NEG_INFINITY,
        bound: match ended {
            true => search.root_bound.max(known),
            false => below.min(search.root_bound.max(known)),
        },
        unsplit: search.dropped > known,
        relaxations: search.relaxations,
        better: search.best,
    })
}

/// Adds columns for totals (of a candidate over like beds, of a crop begun in one week, of a
/// crop) and returns the columns to branch on: totals and covers, and strips of single beds when
/// none of those is left.
pub(super) fn add_totals(
    programme: &mut Programme,
    layout: &Layout,
    season: &Season,
) -> Vec<Branchable> {
    let mut totals = Totals {
        programme,
        found: Vec::new(),
    };
    let crop = |candidate: CandidateId| {
        let members = &season.candidates[candidate].members;
        members.first().map_or(0, |member| member.crop)
    };
    let mut candidates: BTreeMap<CandidateId, Terms> = BTreeMap::new();
    for (&(_, candidate), &column) in &layout.strips {
        candidates.entry(candidate).or_default().push((column, 1.0));
    }
    let mut begun: BTreeMap<(usize, usize), Terms> = BTreeMap::new();
    for (candidate, terms) in candidates {
        let c = &season.candidates[candidate];
        if terms.len() > 1 {
            for &(column, _) in &terms {
                totals.found.push(Branchable {
                    column,
                    late: true,
                    alike: Alike::Strips(crop(candidate)),
                });
            }
        }
        let column = totals.add(&c.name, terms, Alike::Candidate(crop(candidate)));
        begun
            .entry((crop(candidate), c.start))
            .or_default()
            .push((column, 1.0));
    }
    let mut crops: BTreeMap<usize, Terms> = BTreeMap::new();
    for ((crop, start), terms) in begun {
        let name = format!("crop{crop}.begun.{start}");
        let column = totals.add(&name, terms, Alike::Begun(crop));
        crops.entry(crop).or_default().push((column, 1.0));
    }
    for (crop, terms) in crops {
        totals.add(&format!("crop{crop}"), terms, Alike::Crop(crop));
    }
    let mut found = totals.found;
    for (&(bed, cover, _), &column) in &layout.covers {
        found.push(Branchable {
            column,
            late: false,
            alike: Alike::Cover(bed, cover),
        });
    }
    found
}

/// Columns to branch on in the making.
struct Totals<'a> {
    programme: &'a mut Programme,
    found: Vec<Branchable>,
}

impl Totals<'_> {
    /// The column that is the sum of the terms; a single term is its own sum.
    fn add(&mut self, name: &str, mut terms: Terms, alike: Alike) -> ColumnId {
        let column = if let [(column, _)] = terms[..] {
            if self.found.iter().any(|it| it.column == column && !it.late) {
                return column;
            }
            column
        } else {
            let most = self.programme.most(&terms);
            let column = self.programme.integer(&["total", name], (0.0, most), 0.0);
            terms.push((column, -1.0));
            self.programme
                .row(None, &["total", name], terms, Sense::Equal, 0.0);
            column
        };
        self.found.push(Branchable {
            column,
            late: false,
            alike,
        });
        column
    }
}
