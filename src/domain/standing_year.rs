//! The standing year of a scenario: the same year over and over, with neither beginning nor end.

use super::{Carried, DirectiveKind, Level, Scenario};
use crate::units::Week;

/// Weeks of a standing year.
pub const YEAR_WEEKS: usize = 52;
const YEAR: i32 = YEAR_WEEKS as i32;
/// A planting stands a year and is eaten from for another at the most: so long after the year's first
/// week the calendar must go on without a 53rd week.
const AFTER: i32 = 2 * YEAR;
/// Years after which a strip comes round again at the latest. The search counts the weeks of so many in a byte.
pub const MOST_YEARS: usize = 4;
/// Years within which there is one without a 53rd week near it; ISO 8601 has one in five or six years.
const SEARCH: i32 = 12;

/// Why a scenario has no standing year.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TooShort {
    /// Weeks in which its needs are known.
    pub weeks: usize,
}

impl std::fmt::Display for TooShort {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(
            f,
            "its weeks and tail are {} together, so that the needs of a whole year are not known",
            self.weeks
        )
    }
}

impl Scenario {
    /// The scenario of its standing year: nothing of how things are at the start but the perennials, 52
    /// weeks without a tail, needs by the week of the year. It begins in the same week of the first year
    /// from the scenario's own on that has no 53rd week near it, so that a week of the year is the same
    /// week in the next. A standing year's own is itself.
    ///
    /// # Errors
    /// Where weeks and tail are less than a year.
    pub fn standing_year(&self) -> Result<Scenario, TooShort> {
        let too_short = TooShort {
            weeks: self.horizon(),
        };
        let start = first_week(self.start);
        let place: Vec<usize> = (0..YEAR)
            .map(|w| {
                let wanted = start.plus(w).of_year();
                let same = (0..self.horizon()).find(|&i| self.week(i).of_year() == wanted);
                // 52 weeks with a 53rd among them lack one of the others: the one before it stands for it.
                same.or_else(|| Some(w as usize).filter(|&i| i + 1 == self.horizon()))
            })
            .collect::<Option<_>>()
            .ok_or(too_short)?;
        let mut year = self.clone();
        year.start = start;
        year.weeks = YEAR_WEEKS;
        year.tail = 0;
        for bed in &mut year.beds {
            bed.history.clear();
            bed.covered_by = None;
        }
        (year.standing).retain(|standing| self.crops[standing.crop].perennial.is_some());
        year.in_store.clear();
        year.on_shelf.clear();
        year.planned.clear();
        year.carried = Carried::default();
        year.repeats = true;
        for (food, own) in year.foods.iter_mut().zip(&self.foods) {
            food.floor = place.iter().map(|&i| own.floor[i]).collect();
            food.wish = place.iter().map(|&i| own.wish[i]).collect();
            food.must = place.iter().map(|&i| own.must[i]).collect();
        }
        if let (Some(level), Some(own)) = (&mut year.level, &self.level) {
            *level = Level {
                low_money: place.iter().map(|&i| own.low_money[i]).collect(),
                high_money: place.iter().map(|&i| own.high_money[i]).collect(),
                ..own.clone()
            };
        }
        for directive in &mut year.directives {
            if let DirectiveKind::Always { from, to, .. } = &mut directive.kind {
                let last = start.plus(YEAR - 1);
                let whole = to.since(*from) >= YEAR;
                (*from, *to) = match (whole, same_week(start, *from), same_week(start, *to)) {
                    (true, ..) => (start, last),
                    // Over the turn of the year: as far as it reaches before it.
                    (false, first, until) if until < first => (first, last),
                    (false, first, until) => (first, until),
                };
            }
        }
        Ok(year)
    }

    /// A standing year with a year before it and one after it, which every planting of it lies within.
    pub fn around(&self) -> Scenario {
        let mut long = self.clone();
        long.start = self.start.plus(-YEAR);
        long.weeks = 3 * YEAR_WEEKS;
        long.repeats = false;
        let over = |weeks: &[f64]| weeks.iter().copied().cycle().take(long.weeks).collect();
        for food in &mut long.foods {
            food.floor = over(&food.floor);
            food.wish = over(&food.wish);
            food.must = food.must.iter().copied().cycle().take(long.weeks).collect();
        }
        if let Some(level) = &mut long.level {
            level.low_money = over(&level.low_money);
            level.high_money = over(&level.high_money);
        }
        long
    }
}

/// The week of the year from `start` on with the same number; the 52nd for a 53rd.
fn same_week(start: Week, week: Week) -> Week {
    let number = week.of_year().number().min(52);
    let weeks = (0..YEAR).map(|w| start.plus(w));
    (weeks.into_iter())
        .find(|w| w.of_year().number() == number)
        .unwrap_or(start)
}

/// The same week of the first year from `start` on with no 53rd week near it.
fn first_week(start: Week) -> Week {
    let (year, number) = start.iso();
    let number = number.min(52);
    (year..year + SEARCH)
        .filter_map(|year| Week::from_iso(year, number))
        .find(|week| {
            *week >= start
                && week.plus(-YEAR).of_year() == week.of_year()
                && week.plus(AFTER).of_year() == week.of_year()
        })
        .unwrap_or(start)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_standing_year_begins_where_no_53rd_week_is_near() {
        // Source: ISO 8601 as implemented by the chrono crate, week by week.
        for year in 2019..2060 {
            for number in [1, 14, 42, 52] {
                let start = Week::from_iso(year, number).expect("there is such a week");
                let first = first_week(start);
                assert!(first >= start && first.since(start) <= 4 * 53);
                let years: Vec<u32> = (-YEAR..AFTER).map(|w| first.plus(w).iso().1).collect();
                assert!(!years.contains(&53), "{start} gives {first}");
            }
        }
    }
}
