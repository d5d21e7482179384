//! South of the equator. The weeks of the year in the shipped models (of sowing, of a perennial's harvest, of covers) are
//! those of the north; there they come half a year later. What a scenario says itself stays as it is written.

use super::fields::{Fields, Value};

/// Turns the weeks of the year of records, where they stand in one of the `shipped` files: those from that number on.
pub fn turn(records: &mut [Fields], shipped: usize) {
    for Fields { given, values, .. } in records {
        for (key, value) in values {
            match value {
                Value::Spans(spans) if given.get(key).is_some_and(|at| at.file >= shipped) => {
                    for (from, to) in spans {
                        (*from, *to) = (from.half_a_year_on(), to.half_a_year_on());
                    }
                }
                Value::Records(inner) => turn(inner, shipped),
                _ => {}
            }
        }
    }
}
