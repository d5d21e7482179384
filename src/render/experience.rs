//! What the records of a year taught, in the form in which next year's scenario can hold it.

use crate::domain::Scenario;
use std::fmt::Write;

/// A list to be put into a scenario, with book value and value used beside each entry.
pub fn experience(scenario: &Scenario) -> String {
    let mut out = String::from(
        "# What the harvest records taught. Put this list into next year's scenario: the figures of\n\
         # the models are then corrected by it, towards the record the more plantings are on record.\n\
         experience:\n",
    );
    for seen in &scenario.experience {
        let crop = &scenario.crops[seen.crop];
        let way = &crop.ways[seen.way];
        let used = way.yield_per_m2.usual;
        let _ = writeln!(
            out,
            "  # by the book {:.3} {unit}/m2, used {used:.3}; growth units to the first harvest {:.1}, \
             used {:.1}\n  - {{ crop: {:?}, way: {:?}, yield_ratio: {:.6}, plantings: {}, records: {}, \
             ready_ratio: {:.6}, first_harvests: {} }}",
            used / seen.yield_factor(),
            way.ready_units / seen.ready_factor(),
            way.ready_units,
            crop.name,
            way.name,
            seen.yield_ratio,
            seen.plantings,
            seen.records,
            seen.ready_ratio,
            seen.first_harvests,
            unit = scenario.foods[way.food].unit.symbol(),
        );
    }
    out
}
