//! Sets of days of a year, for windows of dates and of weeks alike.

use bedweek::units::Week;
use chrono::{Datelike, Days, NaiveDate};

/// A common year; 29 February counts as 1 March.
const YEAR: i32 = 2027;
const YEAR_DAYS: usize = 365;

#[derive(Clone, Debug, PartialEq)]
pub struct DaySet(Vec<bool>);

impl DaySet {
    pub fn none() -> DaySet {
        DaySet(vec![false; YEAR_DAYS])
    }

    /// From windows such as `04-11..05-31`, which may run over the turn of the year.
    pub fn of_windows(windows: &[String]) -> DaySet {
        let mut days = DaySet::none();
        for window in windows {
            let (from, to) = window.split_once("..").expect("a window has two ends");
            let (from, to) = (index(from), index(to));
            let length = (to + YEAR_DAYS - from) % YEAR_DAYS;
            (0..=length).for_each(|k| days.0[(from + k) % YEAR_DAYS] = true);
        }
        days
    }

    pub fn of_month(month: u32) -> DaySet {
        DaySet(
            (0..YEAR_DAYS)
                .map(|day| date(day).month() == month)
                .collect(),
        )
    }

    pub fn add_week(&mut self, week: Week) {
        for k in 0..7 {
            self.0[index_of(week.monday() + Days::new(k))] = true;
        }
    }

    pub fn add_weeks(&mut self, from: Week, to: Week) {
        (0..=to.since(from)).for_each(|k| self.add_week(from.plus(k)));
    }

    pub fn has(&self, date: NaiveDate) -> bool {
        self.0[index_of(date)]
    }

    /// Whether the middle of the week is in it.
    pub fn has_week(&self, week: Week) -> bool {
        self.has(week.monday() + Days::new(3))
    }

    pub fn len(&self) -> usize {
        self.0.iter().filter(|d| **d).count()
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    pub fn and(&self, other: &DaySet) -> DaySet {
        self.with(other, |a, b| a && b)
    }

    pub fn or(&self, other: &DaySet) -> DaySet {
        self.with(other, |a, b| a || b)
    }

    pub fn without(&self, other: &DaySet) -> DaySet {
        self.with(other, |a, b| a && !b)
    }

    fn with(&self, other: &DaySet, join: fn(bool, bool) -> bool) -> DaySet {
        DaySet(
            (0..YEAR_DAYS)
                .map(|i| join(self.0[i], other.0[i]))
                .collect(),
        )
    }

    /// Share of this set that lies in `other`, 0 to 1.
    pub fn covered_by(&self, other: &DaySet) -> f64 {
        self.and(other).len() as f64 / self.len().max(1) as f64
    }

    /// Days in both over days in either (Jaccard), 0 to 1.
    pub fn likeness(&self, other: &DaySet) -> f64 {
        self.and(other).len() as f64 / self.or(other).len().max(1) as f64
    }

    /// Unbroken runs, those over the turn of the year last.
    pub fn runs(&self) -> Vec<(usize, usize)> {
        let Some(gap) = (0..YEAR_DAYS).find(|&i| !self.0[i]) else {
            return vec![(0, YEAR_DAYS - 1)];
        };
        let mut found: Vec<(usize, usize)> = Vec::new();
        for k in 1..=YEAR_DAYS {
            let day = (gap + k) % YEAR_DAYS;
            let before = (day + YEAR_DAYS - 1) % YEAR_DAYS;
            match (self.0[before], self.0[day]) {
                (false, true) => found.push((day, day)),
                (true, true) => found.last_mut().expect("a run is open").1 = day,
                _ => {}
            }
        }
        found.sort_unstable();
        found
    }

    /// First day of the first run that begins after a gap in which the year's crop is over: the
    /// run that begins latest counts back to the longest gap.
    pub fn begin(&self) -> Option<usize> {
        let runs = self.runs();
        let count = runs.len();
        (0..count)
            .max_by_key(|&i| {
                let before = runs[(i + count - 1) % count].1;
                ((runs[i].0 + YEAR_DAYS - before) % YEAR_DAYS, usize::MAX - i)
            })
            .map(|i| runs[i].0)
    }
}

impl std::fmt::Display for DaySet {
    /// `11 Apr-31 May, 1 Aug-30 Sep`.
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.is_empty() {
            return write!(f, "none");
        }
        if self.len() == YEAR_DAYS {
            return write!(f, "all year");
        }
        let text = |day: usize| date(day).format("%-d %b").to_string();
        let runs: Vec<String> = (self.runs().iter())
            .map(|&(from, to)| format!("{}-{}", text(from), text(to)))
            .collect();
        write!(f, "{}", runs.join(", "))
    }
}

/// Weeks from one day of the year to another, -26 to 26, by the shorter way round.
pub fn weeks_between(from: usize, to: usize) -> f64 {
    let days = (to + YEAR_DAYS - from) % YEAR_DAYS;
    let days = if days > YEAR_DAYS / 2 {
        days as f64 - YEAR_DAYS as f64
    } else {
        days as f64
    };
    days / 7.0
}

fn date(index: usize) -> NaiveDate {
    NaiveDate::from_yo_opt(YEAR, index as u32 + 1).expect("a day of the year")
}

fn index(month_day: &str) -> usize {
    let date = NaiveDate::parse_from_str(&format!("{YEAR}-{month_day}"), "%Y-%m-%d");
    index_of(date.expect("a month and a day"))
}

fn index_of(date: NaiveDate) -> usize {
    match date.with_year(YEAR) {
        Some(day) => day.ordinal0() as usize,
        None => 59,
    }
}
