//! Rows that count breaks of the rotation over all beds of a kind.

use crate::candidates::{CandidateId, KindId};
use crate::domain::FamilyId;

/// Strips of a kind in which a family stands, or stood less than its break ago, in a week: at most `strips`. In a
/// standing year it has a price (docs/method/standing-year.md).
#[derive(Clone, Debug, PartialEq)]
pub struct Break {
    pub kind: KindId,
    pub family: FamilyId,
    /// In a standing year that of the year: all years of a ring are counted in it. `None`: plantings of the
    /// family in all years of a ring are counted, each once.
    pub week: Option<usize>,
    /// In a standing year so many years of a ring, or of a window, count as one, and what is left over as none; 1 else.
    pub by: usize,
    pub strips: f64,
    /// Candidates that hold the family there then, ascending; in a standing year one that does so over several
    /// years is there as often.
    pub takers: Vec<CandidateId>,
}

impl Break {
    /// What is counted in the row, given the strips that begin each candidate.
    pub fn held(&self, begun: &[f64]) -> f64 {
        self.takers.iter().map(|&c| begun[c]).sum()
    }
}
