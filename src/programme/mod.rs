//! The programme of a season as columns, rows and an objective; its writers and its checks.
//!
//! The rows themselves come from `rules`; solving is `solve`'s business.

mod check;
mod cuts;
mod exchange;
mod lp;
mod mps;
mod placed;
mod point;
mod ring_exchange;
mod rings;
mod split;

pub use crate::rules::model::{Column, ColumnId, Goal, Programme, Row, Rule, Sense, Terms};
pub use crate::rules::sketch::{Form, Layout, LotClass, Place, PlaceId};
pub use crate::rules::{RULES, lay_out};
pub use check::{Check, check};
pub use cuts::{Cut, Cutter};
pub use lp::write_lp;
pub use mps::write_mps;
pub use placed::{Placed, Unplaced, by_bed, clashes, counts, covers, placed};
pub use point::{Drawn, Placing, point};
pub use split::{Split, place, split};

use crate::candidates::Season;

/// The programme of a season; every candidate is in it.
pub fn build(season: &Season, form: Form) -> Programme {
    lay_out(season, form, &|_| true).0
}

/// A number as text: shortest form that reads back the same.
fn number(value: f64) -> String {
    // Written out between these sizes, with an exponent outside them.
    const PLAIN: std::ops::Range<f64> = 1e-5..1e15;
    if value == 0.0 {
        "0".into()
    } else if PLAIN.contains(&value.abs()) {
        format!("{value}")
    } else {
        format!("{value:e}")
    }
}
