//! The ISO 8601 week: the only place where weeks are counted.

use chrono::{Datelike, Duration, NaiveDate, Weekday};
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use std::fmt;
use std::str::FromStr;

/// Days in a week.
pub const DAYS: i64 = 7;

/// An ISO 8601 week (Monday to Sunday), counted from the week that holds 1970-01-01.
///
/// Valid for the years 1900 to 2200; ordered in time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Week(i32);

/// A week number of any year, 1 to 53, as used for things that come back every year.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct WeekOfYear(u8);

/// Monday of the week with number zero.
fn epoch() -> NaiveDate {
    NaiveDate::from_ymd_opt(1969, 12, 29).expect("a fixed valid date")
}

impl Week {
    /// The week that holds `date`.
    pub fn of(date: NaiveDate) -> Week {
        let days = date.signed_duration_since(epoch()).num_days();
        Week(i32::try_from(days.div_euclid(DAYS)).expect("weeks of representable dates fit"))
    }

    /// The week `number` of the ISO year `year`; `None` where that year has no such week.
    pub fn from_iso(year: i32, number: u32) -> Option<Week> {
        if !(1900..=2200).contains(&year) {
            return None;
        }
        NaiveDate::from_isoywd_opt(year, number, Weekday::Mon).map(Week::of)
    }

    /// Its Monday.
    pub fn monday(self) -> NaiveDate {
        epoch() + Duration::days(i64::from(self.0) * DAYS)
    }

    /// Its Sunday.
    pub fn sunday(self) -> NaiveDate {
        self.monday() + Duration::days(DAYS - 1)
    }

    /// ISO year and week number.
    pub fn iso(self) -> (i32, u32) {
        let week = self.monday().iso_week();
        (week.year(), week.week())
    }

    /// Its number within its ISO year.
    pub fn of_year(self) -> WeekOfYear {
        WeekOfYear(u8::try_from(self.iso().1).expect("at most 53"))
    }

    /// The week `weeks` later (earlier when negative).
    pub fn plus(self, weeks: i32) -> Week {
        Week(self.0 + weeks)
    }

    /// How many weeks this one is after `other` (negative when before).
    pub fn since(self, other: Week) -> i32 {
        self.0 - other.0
    }
}

impl fmt::Display for Week {
    /// ISO form, for example `2026-W42`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (year, week) = self.iso();
        write!(f, "{year:04}-W{week:02}")
    }
}

impl FromStr for Week {
    type Err = String;

    /// Reads the ISO form `2026-W42`.
    fn from_str(text: &str) -> Result<Week, String> {
        let wrong = || format!("{text:?} is not an ISO week such as 2026-W42");
        let (year, number) = text.split_once("-W").ok_or_else(wrong)?;
        if year.len() != 4 || number.len() != 2 {
            return Err(wrong());
        }
        let year: i32 = year.parse().map_err(|_| wrong())?;
        let number: u32 = number.parse().map_err(|_| wrong())?;
        Week::from_iso(year, number)
            .ok_or_else(|| format!("the ISO year {year} has no week {number}"))
    }
}

impl Serialize for Week {
    /// As its ISO form.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Week {
    /// From its ISO form.
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Week, D::Error> {
        let text = String::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

impl WeekOfYear {
    /// `None` outside 1 to 53.
    pub fn new(number: u32) -> Option<WeekOfYear> {
        (1..=53)
            .contains(&number)
            .then_some(WeekOfYear(number as u8))
    }

    /// 1 to 53.
    pub fn number(self) -> u32 {
        u32::from(self.0)
    }

    /// The week half a year later. W53, which few years have, counts as W01 does.
    pub fn half_a_year_on(self) -> WeekOfYear {
        const WEEKS: u8 = 52;
        WeekOfYear((self.0 - 1 + WEEKS / 2) % WEEKS + 1)
    }

    fn bit(self) -> u64 {
        1 << self.0
    }

    /// Whether it lies in the span `from..=to`, which may run over the turn of the year.
    pub fn within(self, from: WeekOfYear, to: WeekOfYear) -> bool {
        if from <= to {
            (from..=to).contains(&self)
        } else {
            self >= from || self <= to
        }
    }
}

/// A set of weeks of the year.
#[derive(Clone, Copy, PartialEq, Eq)]
pub struct WeeksOfYear(u64);

impl WeeksOfYear {
    /// Every week, W01 to W53.
    pub const ALL: WeeksOfYear = WeeksOfYear((1 << 54) - 2);

    /// The weeks of spans, each from its first to its last week; a span may run over the turn of
    /// the year.
    pub fn of_spans(spans: &[(WeekOfYear, WeekOfYear)]) -> WeeksOfYear {
        let inside = |week: WeekOfYear| spans.iter().any(|&(from, to)| week.within(from, to));
        let weeks = (1..=53).filter_map(WeekOfYear::new);
        WeeksOfYear(
            weeks
                .filter(|&week| inside(week))
                .map(WeekOfYear::bit)
                .sum(),
        )
    }

    /// Whether the week is in it.
    pub fn contains(self, week: WeekOfYear) -> bool {
        self.0 & week.bit() != 0
    }
}

impl fmt::Debug for WeeksOfYear {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "WeeksOfYear({:#x})", self.0)
    }
}

impl fmt::Display for WeekOfYear {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "W{:02}", self.0)
    }
}

impl FromStr for WeekOfYear {
    type Err = String;

    /// Reads `W07` or `W7`.
    fn from_str(text: &str) -> Result<WeekOfYear, String> {
        text.strip_prefix('W')
            .and_then(|n| n.parse().ok())
            .and_then(WeekOfYear::new)
            .ok_or_else(|| format!("{text:?} is not a week of the year, W01 to W53"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn iso_weeks_follow_the_standard_over_twenty_years() {
        // Source: ISO 8601 as implemented by the chrono crate, day by day.
        let mut date = NaiveDate::from_ymd_opt(2015, 1, 1).unwrap();
        let end = NaiveDate::from_ymd_opt(2035, 12, 31).unwrap();
        while date <= end {
            let week = Week::of(date);
            assert_eq!(week.iso(), (date.iso_week().year(), date.iso_week().week()));
            assert!(week.monday() <= date && date <= week.sunday());
            assert_eq!(week.to_string().parse::<Week>().unwrap(), week);
            date += Duration::days(1);
        }
    }

    #[test]
    fn week_53_is_followed_by_week_1() {
        let last = Week::from_iso(2026, 53).unwrap();
        assert_eq!(last.plus(1).iso(), (2027, 1));
        assert!(Week::from_iso(2027, 53).is_none());
    }

    #[test]
    fn spans_of_the_year_wrap() {
        let w = |n| WeekOfYear::new(n).unwrap();
        assert!(w(2).within(w(44), w(10)));
        assert!(!w(20).within(w(44), w(10)));
    }

    #[test]
    fn half_a_year_and_half_a_year_are_a_year() {
        let w = |n| WeekOfYear::new(n).unwrap();
        assert!((1..=52).all(|n| w(n).half_a_year_on().half_a_year_on() == w(n)));
        let later = [1, 26, 27, 52, 53].map(|n| w(n).half_a_year_on().number());
        assert_eq!(later, [27, 52, 1, 26, 27]);
    }

    #[test]
    fn a_set_holds_the_weeks_of_its_spans() {
        let w = |n| WeekOfYear::new(n).unwrap();
        let set = WeeksOfYear::of_spans(&[(w(50), w(2)), (w(10), w(10))]);
        let held: Vec<u32> = (1..=53).filter(|&n| set.contains(w(n))).collect();
        assert_eq!(held, [1, 2, 10, 50, 51, 52, 53]);
        assert!((1..=53).all(|n| WeeksOfYear::ALL.contains(w(n))));
    }
}
