//! The axis of weeks that all charts share: months, week numbers, the end of the planned weeks.

use super::{WIDTH, line, rect, text};
use crate::plan::YearPlan;
use crate::render::words::{month_name, month_of};
use crate::units::Week;
use svg::node::element::Group;

/// Height of the two lines of the axis.
pub const HEAD: f64 = 30.0;
/// Least width of a week for its number to be set, and of a month for its name.
const NUMBER_WIDTH: f64 = 22.0;
const NAME_WIDTH: f64 = 26.0;
/// Least width of a month for its name and the year.
const YEAR_WIDTH: f64 = 58.0;
/// Where the year stands, seen from the begin of its month.
const YEAR_AT: f64 = 33.0;

/// Weeks from left to right.
#[derive(Clone, Copy, Debug)]
pub struct Axis {
    pub start: Week,
    /// Planned weeks, and all weeks drawn.
    pub planned: usize,
    pub weeks: usize,
    /// Units kept for words on the left and on the right.
    pub left: f64,
    pub right: f64,
}

impl Axis {
    /// The axis of a plan.
    pub fn of(plan: &YearPlan, left: f64, right: f64) -> Axis {
        Axis {
            start: plan.scenario.start,
            planned: plan.scenario.weeks,
            weeks: plan.scenario.weeks + plan.scenario.tail,
            left,
            right,
        }
    }

    /// Width of a week.
    pub fn week(&self) -> f64 {
        (WIDTH - self.left - self.right) / self.weeks as f64
    }

    /// Where the week of that number begins.
    pub fn at(&self, index: usize) -> f64 {
        self.left + self.week() * index as f64
    }

    /// Number of a week, cut to those drawn.
    pub fn index(&self, week: Week) -> usize {
        usize::try_from(week.since(self.start)).map_or(0, |i| i.min(self.weeks))
    }

    /// Where a week begins, cut to those drawn.
    pub fn x(&self, week: Week) -> f64 {
        self.at(self.index(week))
    }

    /// The calendar week of that number.
    pub fn calendar(&self, index: usize) -> Week {
        self.start.plus(i32::try_from(index).expect("short"))
    }

    /// Month names and week numbers above, month lines through, the tail shaded; to be drawn
    /// beneath everything else.
    pub fn draw(&self, height: f64) -> Group {
        let mut group = Group::new();
        if self.planned < self.weeks {
            let from = self.at(self.planned);
            let width = self.at(self.weeks) - from;
            group = group.add(rect("tail", from, 0.0, width, height));
        }
        let mut index = 0;
        let mut told = None;
        while index < self.weeks {
            let month = month_of(self.calendar(index));
            let weeks = (index..self.weeks)
                .take_while(|&i| month_of(self.calendar(i)) == month)
                .count();
            let x = self.at(index);
            group = group.add(line("month", (x, 0.0), (x, height)));
            if self.at(index + weeks) - x >= NAME_WIDTH {
                // The year stands at its first month that has room for it.
                group = group.add(text("m", x + 3.0, 12.0, month_name(month.1)));
                if told != Some(month.0) && self.at(index + weeks) - x >= YEAR_WIDTH {
                    let year = month.0.to_string();
                    group = group.add(text("w", x + YEAR_AT, 12.0, &year));
                    told = Some(month.0);
                }
            }
            index += weeks;
        }
        let every = (NUMBER_WIDTH / self.week()).ceil().max(1.0) as usize;
        for index in (0..self.weeks).step_by(every) {
            let number = self.calendar(index).iso().1.to_string();
            group = group.add(text("w", self.at(index) + 1.5, 24.0, &number));
        }
        let end = self.at(self.planned);
        group = group.add(line("end", (end, HEAD), (end, height)));
        group.add(line("rule", (0.0, HEAD - 2.0), (WIDTH, HEAD - 2.0)))
    }
}
