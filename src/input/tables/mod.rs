//! The tables of attributes: every key of every record, with type, unit, range and sentence.
//!
//! Ranges are generous limits of sense (estimates), set to catch slips of a factor of ten or
//! a wrong unit, not to judge a grower's figures.

mod crop;
mod event;
mod model;
mod scenario;
mod start;

pub use crop::CROP;
use event::EXPERIENCE;
pub use event::{EVENTS, HAPPENINGS};
pub use model::{CLIMATE, COVER, DISCOURAGE, FAMILY, FOOD, MODELS, TUNNEL};
pub use scenario::SCENARIO;

use super::schema::{Attribute, Kind, Range, optional, range};

/// A share, 0 to 1.
const SHARE: Range = range(0.0, 1.0, "");
/// A warmth of air or of a plant's limits.
const WARMTH: Range = range(-40.0, 60.0, "°C");
/// Minutes of work per piece, per m² or per unit.
const MINUTES: Range = range(0.0, 600.0, "min");
/// Money for one thing.
const MONEY: Range = range(0.0, 100_000.0, "money");

/// Settings, as written.
pub const SETTINGS: &[&str] = &["open", "tunnel", "container", "basket"];
/// Methods of raising, as written.
pub const METHODS: &[&str] = &["direct", "modules", "sets", "tubers", "cloves", "crowns"];
/// Units of foods, as written.
pub const UNITS: &[&str] = &["kg", "l", "heads", "bunches"];

const SOURCE: Attribute = optional(
    "source",
    Kind::Text,
    "where the figures come from, or the word estimate",
);
const CAUTIONS: Attribute = optional(
    "cautions",
    Kind::Texts,
    "usual cautions, shown with the plan",
);
