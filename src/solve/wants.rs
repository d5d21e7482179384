//! What the table still wants, level by level, and what a candidate's harvest would bring it: a lot is
//! worth what the wants in its weeks take of it, not a price times its size.

use super::context::Context;
use super::supply::{Supply, band};
use crate::candidates::CandidateId;

/// Wants of one food at one worth per unit.
struct Level {
    slope: f64,
    units: Vec<f64>,
}

/// All wants left by a division of supply.
pub struct Wants {
    /// By food, levels of falling worth.
    foods: Vec<Vec<Level>>,
    /// By variety row and week: what the crop may still supply.
    crop_left: Vec<Vec<f64>>,
}

/// Slopes closer than this are one level, money per unit.
const LEVEL: f64 = 1e-6;

impl Wants {
    /// What is wanted beyond what is eaten.
    pub fn of(context: &Context, supply: &Supply) -> Wants {
        let season = context.season;
        let mut foods = Vec::with_capacity(season.foods.len());
        for (f, food) in season.foods.iter().enumerate() {
            let mut levels: Vec<Level> = Vec::new();
            for week in 0..season.weeks {
                let (low, high, below) = band(context, week);
                let at = supply.eaten[f][week];
                let rest = supply.total[week] - food.price * at;
                let price = food.price.max(1e-9);
                let cap = food.wish[week].min(((high - rest) / price).max(0.0));
                let floor = food.floor[week].min(cap);
                let level = ((low - rest) / price).clamp(0.0, cap);
                let mut from = at;
                let mut marks = [floor, level, cap];
                marks.sort_by(f64::total_cmp);
                for mark in marks {
                    if mark > from + 1e-9 {
                        let slope = food.price
                            + if from < floor {
                                food.short_cost[week]
                            } else {
                                0.0
                            }
                            + if from < level {
                                below * food.price
                            } else {
                                0.0
                            };
                        add(&mut levels, slope, week, mark - from, season.weeks);
                        from = mark;
                    }
                }
            }
            levels.sort_by(|a, b| b.slope.total_cmp(&a.slope));
            foods.push(levels);
        }
        let crop_left = context
            .variety
            .rows
            .iter()
            .zip(&supply.by_crop)
            .map(|(&(f, _), used)| {
                let food = &season.foods[f];
                (0..season.weeks)
                    .map(|w| (food.single_crop_share * food.wish[w] - used[w]).max(0.0))
                    .collect()
            })
            .collect();
        Wants { foods, crop_left }
    }

    /// What one strip of a candidate would bring to the table, money after harvest work.
    ///
    /// Each lot is reckoned alone; lots of one candidate seldom meet in a week.
    pub fn gain(&self, context: &Context, candidate: CandidateId) -> f64 {
        context.classes.of_candidate[candidate]
            .iter()
            .map(|&(class, units)| self.lot_gain(context, class, units))
            .sum()
    }

    fn lot_gain(&self, context: &Context, class: u32, units: f64) -> f64 {
        let season = context.season;
        let lots = &context.classes.list[class as usize];
        let product = &season.products[lots.product];
        let work = product.minutes_per_unit * season.minute_money;
        let row = context.variety.of_product[lots.product];
        let keep = 1.0 - product.weekly_loss;
        let mut left = units;
        let mut gain = 0.0;
        for level in &self.foods[product.food] {
            if level.slope <= work {
                break;
            }
            let mut kept = 1.0;
            for week in lots.from..=lots.until {
                if week > lots.fresh_until {
                    kept *= keep;
                }
                let wanted = level.units[week];
                if wanted <= 0.0 {
                    continue;
                }
                let allowed = row.map_or(wanted, |r| wanted.min(self.crop_left[r][week]));
                let take = allowed.min(left * kept);
                gain += take * (level.slope - work);
                left -= take / kept;
                if left <= 1e-9 {
                    return gain;
                }
            }
        }
        gain
    }
}

fn add(levels: &mut Vec<Level>, slope: f64, week: usize, units: f64, weeks: usize) {
    let index = match levels.iter().position(|l| (l.slope - slope).abs() < LEVEL) {
        Some(index) => index,
        None => {
            levels.push(Level {
                slope,
                units: vec![0.0; weeks],
            });
            levels.len() - 1
        }
    };
    levels[index].units[week] += units;
}
