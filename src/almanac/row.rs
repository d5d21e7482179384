//! One line of the almanac: a crop raised and harvested in one way at one place, week by week.

use super::weeks::{Window, windows};
use crate::domain::{CropId, Method};
use crate::growth::Failure;
use crate::units::Week;
use std::fmt;

pub use crate::growth::Ending;

/// The week that only long years have.
const LONG_YEAR_WEEK: u32 = 53;

/// A crop raised by one method, harvested in one way, at one place.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    pub crop: CropId,
    pub method: Method,
    /// Index into the crop's ways; `None` for a green manure.
    pub way: Option<usize>,
    /// Index into [`super::Almanac::spots`].
    pub spot: usize,
    /// One for each of [`super::Almanac::weeks`], in their order.
    pub sowings: Vec<Sowing>,
}

/// What comes of sowing (setting, planting crowns) in one week.
#[derive(Clone, Debug, PartialEq)]
pub struct Sowing {
    pub week: Week,
    /// The raising asked after, an index into the crop's raisings.
    pub raising: usize,
    /// Whether the week is one of the usual sowing weeks of that raising. Only these are weighed
    /// when a year is planned.
    pub usual: bool,
    pub outcome: Result<Success, Reason>,
}

/// A sowing that comes to a harvest (or, for a green manure, covers the ground).
#[derive(Clone, Debug, PartialEq)]
pub struct Success {
    /// Raised under lamps; only where daylight alone does not do.
    pub lit: bool,
    /// First and last week in which planting it into the bed succeeds; both the sowing week when
    /// sown in place. What follows is told of the first.
    pub planted: Week,
    pub planted_by: Week,
    /// Week in which it comes up in the bed, if anything does.
    pub emerged: Option<Week>,
    /// Week of the first harvest.
    pub ready: Week,
    /// Last week in which it can be harvested or stands ready; of a perennial, in its first season.
    pub last: Week,
    /// Why it is over after that.
    pub ending: Ending,
    /// What it gives, in the food's unit per m²; 0 for a green manure.
    pub amount_per_m2: f64,
}

/// Why a sowing comes to nothing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Reason {
    /// There is no room of that kind on the raising shelf.
    NoShelf { lit: bool },
    /// The growth model's word.
    Growth(Failure),
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Reason::NoShelf { lit: true } => write!(f, "needs lamps, and no shelf has them"),
            Reason::NoShelf { lit: false } => write!(f, "no shelf to raise it on"),
            Reason::Growth(failure) => failure.fmt(f),
        }
    }
}

/// A sowing in one word, to be compared with its neighbours.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Verdict {
    /// Succeeds in a usual sowing week.
    Succeeds,
    /// Would succeed, but it is not a usual sowing week.
    Unusual,
    TooCold,
    /// Not fit to leave the shelf in time.
    TooSlow,
    Frost,
    Bolts,
    /// Past its time in the ground, or the years that are looked at, before it is ready.
    Unripe,
    NoShelf,
}

impl Sowing {
    pub fn verdict(&self) -> Verdict {
        match &self.outcome {
            Ok(_) if self.usual => Verdict::Succeeds,
            Ok(_) => Verdict::Unusual,
            Err(Reason::NoShelf { .. } | Reason::Growth(Failure::NeedsLamps)) => Verdict::NoShelf,
            Err(Reason::Growth(failure)) => match failure {
                Failure::TooColdToEmerge { .. } => Verdict::TooCold,
                Failure::TooSlowOnShelf { .. }
                | Failure::NotFitToPlant { .. }
                | Failure::HeldTooLong { .. } => Verdict::TooSlow,
                Failure::Frost { .. } => Verdict::Frost,
                Failure::Bolts { .. } => Verdict::Bolts,
                _ => Verdict::Unripe,
            },
        }
    }

    /// What comes of it, if it succeeds in a usual week.
    pub fn success(&self) -> Option<&Success> {
        self.outcome.as_ref().ok().filter(|_| self.usual)
    }
}

impl Row {
    /// Runs of sowing weeks with that verdict.
    pub fn sown(&self, verdict: Verdict) -> Vec<Window> {
        self.windows(|sowing| sowing.verdict() == verdict)
    }

    /// Runs of weeks in which some sowing of the usual weeks can be planted into the bed.
    pub fn planted(&self) -> Vec<Window> {
        self.reached(|success| (success.planted, success.planted_by))
    }

    /// Runs of weeks in which some sowing of the usual weeks stands ready or is picked.
    pub fn harvested(&self) -> Vec<Window> {
        self.reached(|success| (success.ready, success.last))
    }

    fn windows(&self, flag: impl Fn(&Sowing) -> bool) -> Vec<Window> {
        let weeks: Vec<Week> = self.sowings.iter().map(|s| s.week).collect();
        windows(&weeks, |i| flag(&self.sowings[i]))
    }

    /// Runs of week numbers that lie in the span of some success.
    fn reached(&self, span: impl Fn(&Success) -> (Week, Week)) -> Vec<Window> {
        let spans: Vec<(Week, Week)> = (self.sowings.iter())
            .filter_map(Sowing::success)
            .map(span)
            .collect();
        let reached = |number: u32| {
            spans.iter().any(|&(from, to)| {
                (0..=to.since(from)).any(|k| from.plus(k).of_year().number() == number)
            })
        };
        self.windows(|sowing| match sowing.week.of_year().number() {
            // Few years have one: it is reached where its neighbours are.
            LONG_YEAR_WEEK => reached(LONG_YEAR_WEEK) || reached(LONG_YEAR_WEEK - 1) && reached(1),
            number => reached(number),
        })
    }
}
