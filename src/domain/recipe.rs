//! Interplanting and relay planting: two crops that share a strip for a while.

use super::CropId;

/// One of the two crops of a recipe.
#[derive(Clone, Debug, PartialEq)]
pub struct RecipePart {
    pub crop: CropId,
    /// Index into the crop's raisings.
    pub raising: usize,
    /// Index into the crop's ways.
    pub way: usize,
    /// Share of its yield alone, 0 to 1.
    pub yield_share: f64,
    /// Share of the plants (seed, shelf) it needs alone, 0 to 1.
    pub plant_share: f64,
}

/// A recipe: `second` is planted into the ground of `first` while that still stands.
///
/// Interplanting: both begin within `max_lag_weeks` of each other and the quick one is cleared
/// first. Relay: `second` goes in at most `overlap_weeks` before `first` is cleared.
#[derive(Clone, Debug, PartialEq)]
pub struct Recipe {
    pub name: String,
    pub first: RecipePart,
    pub second: RecipePart,
    /// Weeks both stand together, least and most.
    pub min_overlap_weeks: u32,
    pub max_overlap_weeks: u32,
}
