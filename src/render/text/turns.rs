//! How strips take turns in a standing year.

use super::lines::{title, wrap};
use crate::plan::YearPlan;
use crate::render::turns::turns;

/// The section; empty for a year with a beginning.
pub fn section(plan: &YearPlan) -> String {
    let lines = turns(plan, "-");
    let Some((what, beds)) = lines.split_first() else {
        return String::new();
    };
    let mut out = title("A standing year");
    out += &wrap("", what);
    for line in beds {
        out += &wrap("  ", line);
    }
    out
}
