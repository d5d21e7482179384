//! What a unit of one food is worth in each week, given what the other foods bring: levels of falling worth.

use super::context::Context;
use super::larder::band;
use crate::domain::FoodId;
use std::ops::Range;

/// Amounts below this are nothing, units.
pub const NOTHING: f64 = 1e-6;
/// Below floor and band, below the floor or the band, below the wish.
const LEVELS: usize = 4;

/// One food's need by week.
#[derive(Default)]
pub struct Levels {
    /// By week: the levels, money for a unit, and the units up to which each reaches.
    slopes: Vec<[f64; LEVELS]>,
    tops: Vec<[f64; LEVELS]>,
    /// Worth of the next unit, money, and how many units there are at it: none where no more is wanted.
    pub next: Vec<f64>,
    pub room: Vec<f64>,
    /// Worth of the last unit eaten, money, and how many units there are at it: infinite where none is eaten.
    pub last: Vec<f64>,
    pub depth: Vec<f64>,
    /// Worth of the last unit eaten, or of the next where none is, money: no unit more brings or saves more.
    pub most: Vec<f64>,
}

impl Levels {
    /// For these weeks, when the other foods are worth so much in each and so much is eaten of this one; what other
    /// weeks hold means nothing.
    pub fn fill(
        &mut self,
        context: &Context,
        food: FoodId,
        others: &[f64],
        eaten: &[f64],
        weeks: Range<usize>,
    ) {
        let season = context.season;
        let need = &season.foods[food];
        let price = need.price.max(f64::MIN_POSITIVE);
        if self.next.len() < season.weeks {
            self.slopes.resize(season.weeks, [0.0; LEVELS]);
            self.tops.resize(season.weeks, [0.0; LEVELS]);
            for list in [
                &mut self.next,
                &mut self.room,
                &mut self.last,
                &mut self.depth,
                &mut self.most,
            ] {
                list.resize(season.weeks, 0.0);
            }
        }
        for week in weeks {
            let (low, high, below) = band(context, week);
            let floor_extra = need.short_cost[week];
            let band_extra = below * need.price;
            let floor_first = floor_extra >= band_extra;
            let rest = others[week];
            let cap = need.wish[week].min((high - rest).max(0.0) / price);
            let floor = need.floor[week].min(cap);
            let level = ((low - rest).max(0.0) / price).min(cap);
            let both = floor.min(level);
            let longer = floor.max(level);
            // The one of the two that reaches further says at which slope the middle lies.
            let dear = (floor > level) == floor_first;
            self.slopes[week] = [
                need.price + band_extra + floor_extra,
                need.price + band_extra.max(floor_extra),
                need.price + band_extra.min(floor_extra),
                need.price,
            ];
            self.tops[week] = [both, if dear { longer } else { both }, longer, cap];
            self.eaten(week, eaten[week]);
        }
    }

    /// Notes how much is eaten in a week.
    pub fn eaten(&mut self, week: usize, eaten: f64) {
        (self.next[week], self.room[week]) = (0.0, 0.0);
        (self.last[week], self.depth[week]) = (f64::INFINITY, 0.0);
        let mut bottom = 0.0;
        for (&slope, &top) in self.slopes[week].iter().zip(&self.tops[week]) {
            if eaten > bottom + NOTHING && top > bottom {
                (self.last[week], self.depth[week]) = (slope, eaten - bottom);
            }
            if top > eaten + NOTHING {
                (self.next[week], self.room[week]) = (slope, top - eaten);
                break;
            }
            bottom = top;
        }
        self.most[week] = match self.last[week].is_finite() {
            true => self.last[week],
            false => self.next[week],
        };
    }

    /// Units eaten beyond what may be.
    pub fn beyond(&self, week: usize, eaten: f64) -> f64 {
        eaten - self.tops[week][LEVELS - 1]
    }
}
