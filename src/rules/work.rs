//! Hours of work in a week.

use super::model::Rule;
use super::sketch::Sketch;

pub static WORK_LIMIT: Rule = Rule {
    id: "work_limit",
    sentence: "Work of sowing, planting, clearing, harvest and covers is at most the time to hand.",
    unit: "minutes",
};

/// Adds the rows of work, where there is a limit. Comes after all rules that cause work.
pub fn add(sketch: &mut Sketch) {
    let Some(limit) = sketch.season.minutes_per_week else {
        return;
    };
    for week in 0..sketch.season.weeks {
        let terms = sketch.work[week].clone();
        let week_name = sketch.week(week);
        sketch.at_most(&WORK_LIMIT, &[&week_name], terms, limit);
    }
}
