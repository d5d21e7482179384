//! The rules of a plan, one file per family of rules: from a season to columns, rows and
//! objective terms as in docs/method/programme.md.
//!
//! Rows are as few as is valid: a row that bounds or another row imply is left out.

mod always;
mod band;
mod ground;
pub mod model;
mod needs;
mod rotation;
mod rounding;
mod sets;
mod shelf;
pub mod sketch;
mod standing;
mod supply;
mod work;

use crate::candidates::{CandidateId, Season};
use model::{Programme, Rule};
pub use rounding::{LEAST_REMAINDER, Scale};
pub use shelf::{PLANTS, SHELF};
use sketch::{Form, Layout, Sketch};
pub use standing::OwnFamilies;
pub use work::WORK_LIMIT;

/// Every rule, in the order in which rows are added.
pub static RULES: [&Rule; 17] = [
    &ground::GROUND,
    &ground::ONE_COVER,
    &ground::COVER_STOCK,
    &ground::COVER_MOVES,
    &ground::TURN,
    &standing::STANDS,
    &rotation::ROTATION,
    &shelf::SHELF,
    &shelf::PLANTS,
    &supply::LOT,
    &supply::SUPPLY,
    &needs::FLOOR,
    &needs::VARIETY,
    &band::BAND_HIGH,
    &band::BAND_LOW,
    &work::WORK_LIMIT,
    &always::ALWAYS,
];

/// The programme of a season and where its variables are; candidates for which `kept` says no
/// are left out (their strips are zero).
pub fn lay_out(
    season: &Season,
    form: Form,
    kept: &dyn Fn(CandidateId) -> bool,
) -> (Programme, Layout) {
    let mut sketch = Sketch::new(season, form, kept);
    ground::add(&mut sketch);
    standing::add(&mut sketch);
    rotation::add(&mut sketch);
    shelf::add(&mut sketch);
    shelf::add_plants(&mut sketch);
    supply::add(&mut sketch);
    needs::add(&mut sketch);
    band::add(&mut sketch);
    always::add(&mut sketch);
    work::add(&mut sketch);
    (sketch.programme, sketch.layout)
}
