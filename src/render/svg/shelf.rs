//! Raising space taken, week by week, under lamps and without, against what there is.

use super::axis::{Axis, HEAD};
use super::{Chart, line, rect, text, title};
use crate::domain::Scenario;
use crate::plan::YearPlan;
use crate::render::words::amount;
use svg::node::element::Group;

/// Units for words on the left.
const LEFT: f64 = 132.0;
/// Height of each of the two plots.
const PLOT: f64 = 46.0;
const GAP: f64 = 10.0;

/// The chart.
pub fn shelf(scenario: &Scenario, plan: &YearPlan) -> Chart {
    let axis = Axis::of(plan, LEFT, 2.0);
    let mut body = Group::new();
    let mut y = HEAD + 4.0;
    for (name, class, there, lit) in [
        ("under lamps", "fresh", scenario.shelf.lit_m2, true),
        ("unlit", "stored", scenario.shelf.unlit_m2, false),
    ] {
        let taken: Vec<(usize, f64)> = (plan.shelf.iter())
            .map(|w| (axis.index(w.week), if lit { w.lit_m2 } else { w.unlit_m2 }))
            .filter(|(index, m2)| *index < axis.weeks && *m2 > 0.0)
            .collect();
        if there <= 0.0 && taken.is_empty() {
            continue;
        }
        let most = taken.iter().map(|(_, m2)| *m2).fold(there, f64::max);
        let (unit, base) = (PLOT / most.max(f64::MIN_POSITIVE), y + PLOT);
        let mut group = Group::new()
            .set("data-shelf", name)
            .set("data-base", super::round(base))
            .set("data-unit", unit)
            .add(text("f", 2.0, y + 14.0, name))
            .add(text(
                "u",
                2.0,
                y + 28.0,
                &format!("{} m² there", amount(there)),
            ))
            .add(line("zero", (LEFT, base), (axis.at(axis.weeks), base)));
        for (index, m2) in taken {
            let height = m2 * unit;
            let bar = rect(
                class,
                axis.at(index) + 0.5,
                base - height,
                axis.week() - 1.0,
                height,
            );
            let words = format!("{}, {name}: {} m²", axis.calendar(index), amount(m2));
            group = group.add(Group::new().add(title(&words)).add(bar));
        }
        let top = base - there * unit;
        group = group.add(line("low", (LEFT, top), (axis.at(axis.weeks), top)));
        body = body.add(group);
        y = base + GAP;
    }
    Chart {
        name: "Raising shelf, week by week".to_string(),
        height: y,
        body: Group::new().add(axis.draw(y)).add(body),
    }
}
