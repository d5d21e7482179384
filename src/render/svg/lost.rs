//! Foods of which something is lost, week by week: as planned before, as it would come now, and
//! with the repair.

use super::axis::{Axis, HEAD};
use super::foods::food_lane;
use super::{Chart, WIDTH, line, rect, title};
use crate::render::words::amount;
use crate::repair::LostFood;
use svg::node::element::Group;

/// Height of a food's bars, and between foods.
const PLOT: f64 = 40.0;
const GAP: f64 = 10.0;

/// The chart; only weeks in which something is lost have bars. Each food's group says by
/// `data-base` and `data-unit` where zero lies and how high one unit of the food is.
pub fn lost(axis: &Axis, foods: &[LostFood]) -> Chart {
    let mut body = Group::new();
    let mut y = HEAD + 2.0;
    for food in foods {
        let most = (food.weeks.iter())
            .map(|w| w.planned.max(w.as_it_is).max(w.repaired))
            .fold(f64::MIN_POSITIVE, f64::max);
        let unit = PLOT / most;
        let base = y + PLOT;
        let mut group = food_lane(axis, (&food.food, &food.unit), most, base, unit);
        for week in &food.weeks {
            let (x, wide) = (axis.x(week.week), axis.week());
            let bar = |class: &str, from: f64, width: f64, units: f64| {
                let height = units * unit;
                rect(class, x + from * wide, base - height, width * wide, height)
            };
            let words = format!(
                "{}: planned {}, left as it is {}, repaired {} {}",
                week.week,
                amount(week.planned),
                amount(week.as_it_is),
                amount(week.repaired),
                food.unit
            );
            group = group.add(
                Group::new()
                    .add(title(&words))
                    .add(bar("planned", 0.06, 0.88, week.planned))
                    .add(bar("stands", 0.06, 0.44, week.as_it_is))
                    .add(bar("mended", 0.5, 0.44, week.repaired)),
            );
        }
        y = base + GAP;
        body = body
            .add(group)
            .add(line("rule", (0.0, y - 3.0), (WIDTH, y - 3.0)));
    }
    Chart {
        name: "Foods of which something is lost, week by week".into(),
        height: y,
        body: Group::new().add(axis.draw(y)).add(body),
    }
}
