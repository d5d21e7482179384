//! The weekly band for the worth of all that is eaten.

use super::model::{Rule, Sense, Terms};
use super::sketch::Sketch;

pub static BAND_HIGH: Rule = Rule {
    id: "band_high",
    sentence: "The worth of what is eaten in a week is at most the top of the band.",
    unit: "money",
};
pub static BAND_LOW: Rule = Rule {
    id: "band_low",
    sentence: "The worth of what is eaten in a week and what is missing below the band are at least its foot.",
    unit: "money",
};

/// Adds the columns of money below the band and the rows of the band.
pub fn add(sketch: &mut Sketch) {
    let Some(level) = &sketch.season.level else {
        return;
    };
    for week in 0..sketch.season.weeks {
        let mut worth = Terms::new();
        for (f, food) in sketch.season.foods.iter().enumerate() {
            if let Some(&eaten) = sketch.layout.supply.get(&(f, week)) {
                worth.push((eaten, food.price));
            }
        }
        let week_name = sketch.week(week);
        sketch.at_most(&BAND_HIGH, &[&week_name], worth.clone(), level.high[week]);
        let low = level.low[week];
        if low <= 0.0 {
            continue;
        }
        if worth.is_empty() {
            sketch.programme.constant -= level.below_cost * low;
            continue;
        }
        let missing = sketch
            .programme
            .column(&["low", &week_name], (0.0, low), -level.below_cost);
        sketch.layout.low.insert(week, missing);
        worth.push((missing, 1.0));
        sketch
            .programme
            .row(Some(&BAND_LOW), &[&week_name], worth, Sense::AtLeast, low);
    }
}
