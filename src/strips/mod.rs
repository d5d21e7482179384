//! The years of single strips: what a planting is worth at given prices, and the best sequence of
//! plantings for one strip with its rotation. Knows nothing of how prices are found.

mod breaks;
mod classes;
mod cover_rows;
mod path;
mod prices;
mod rounding;
mod terrain;

pub use breaks::Break;
pub use classes::{LotClass, LotClasses};
pub use cover_rows::{CoverCosts, CoverRow, Lid, Lying, asks_for, standing_beds, state_of};
pub use path::{Arc, MAX_FAMILIES, Moves, Path, PathFinder, Strip};
pub use prices::{Prices, Tolls, Values, VarietyRows, best_weeks, class_values};
pub use rounding::{FoodLot, Gives, Rounding, Side, food_lots};
pub use terrain::{Terrain, TerrainId, Terrains};

#[cfg(test)]
mod tests;
