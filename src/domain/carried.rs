//! How a year has gone so far, where a plan is carried on from a later week. A scenario read from
//! a file holds nothing of it.

use super::{BedId, Covered, CropId, Event, Happening, PlannedCover, StandingId};
use crate::units::Week;

/// A bed that nothing can stand in, in weeks `from..=to`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ClosedBed {
    pub bed: BedId,
    pub from: Week,
    pub to: Week,
}

impl ClosedBed {
    /// Adds what the event puts out of use, and ends what it brings back in the week before.
    pub fn note(closed: &mut Vec<ClosedBed>, event: &Event) {
        match event.happening {
            Happening::BedOut { bed, from, to } => closed.push(ClosedBed { bed, from, to }),
            Happening::BedBack { bed } => {
                for one in closed.iter_mut().filter(|one| one.bed == bed) {
                    one.to = one.to.min(event.week.plus(-1));
                }
                closed.retain(|one| one.from <= one.to);
            }
            _ => {}
        }
    }
}

/// A part of the shelf that cannot be used in weeks `from..=to`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct ClosedShelf {
    pub lit: bool,
    pub from: Week,
    pub to: Week,
}

impl ClosedShelf {
    /// Whether it is of those parts.
    pub fn is_of(&self, lit: bool, unlit: bool) -> bool {
        if self.lit { lit } else { unlit }
    }

    /// Adds what the event puts out of use, and ends what it brings back in the week before.
    pub fn note(closed: &mut Vec<ClosedShelf>, event: &Event) {
        match event.happening {
            Happening::ShelfFailure {
                lit,
                unlit,
                from,
                to,
                ..
            } => {
                let failed = [(true, lit), (false, unlit)]
                    .into_iter()
                    .filter(|(_, fails)| *fails);
                closed.extend(failed.map(|(lit, _)| ClosedShelf { lit, from, to }));
            }
            Happening::ShelfBack { lit, unlit } => {
                for one in closed.iter_mut().filter(|one| one.is_of(lit, unlit)) {
                    one.to = one.to.min(event.week.plus(-1));
                }
            }
            _ => {}
        }
        // What is mended at once was not out of use for a week.
        closed.retain(|one| one.from <= one.to);
    }
}

/// What the plan had in mind for some strips of a standing planting.
#[derive(Clone, Debug, PartialEq)]
pub struct Meant {
    pub standing: StandingId,
    /// Counted from 0, ascending.
    pub strips: Vec<u32>,
    /// Raised under lamps.
    pub lit: bool,
    /// Index into the crop's ways of harvest.
    pub way: Option<usize>,
    /// First week in which its ground is free.
    pub cleared: Week,
    /// What was to lie on it.
    pub under: Vec<PlannedCover>,
}

/// What the records of one crop's way of harvest say.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Experience {
    pub crop: CropId,
    /// Index into the crop's ways of harvest.
    pub way: usize,
    /// Recorded harvest in parts of the book value, mean of the plantings.
    pub yield_ratio: f64,
    /// Plantings whose yield is on record, and entries in the record.
    pub plantings: u32,
    pub records: u32,
    /// Growth units to the first harvest in parts of the book value, mean of the plantings.
    pub ready_ratio: f64,
    /// Plantings whose first harvest is on record.
    pub first_harvests: u32,
}

impl Experience {
    /// Plantings on record at which record and book value weigh the same (estimate: harvests of
    /// equal plantings differ about as much between years as two or three such plantings
    /// average out).
    pub const BOOK_WEIGHT: f64 = 3.0;

    /// The book value's part-and-record mean: `n / (n + k)` of the way from book to record
    /// (Bühlmann 1967, credibility; from memory).
    fn shrunk(ratio: f64, count: u32) -> f64 {
        let n = f64::from(count);
        1.0 + n / (n + Experience::BOOK_WEIGHT) * (ratio - 1.0)
    }

    /// What the book's yield is multiplied by.
    pub fn yield_factor(&self) -> f64 {
        Experience::shrunk(self.yield_ratio, self.plantings)
    }

    /// What the book's growth units to the first harvest are multiplied by.
    pub fn ready_factor(&self) -> f64 {
        Experience::shrunk(self.ready_ratio, self.first_harvests)
    }

    /// Both together, each weighing by its plantings.
    pub fn with(&self, other: &Experience) -> Experience {
        let mean = |a: f64, n: u32, b: f64, m: u32| match n + m {
            0 => 1.0,
            all => (a * f64::from(n) + b * f64::from(m)) / f64::from(all),
        };
        Experience {
            crop: self.crop,
            way: self.way,
            yield_ratio: mean(
                self.yield_ratio,
                self.plantings,
                other.yield_ratio,
                other.plantings,
            ),
            plantings: self.plantings + other.plantings,
            records: self.records + other.records,
            ready_ratio: mean(
                self.ready_ratio,
                self.first_harvests,
                other.ready_ratio,
                other.first_harvests,
            ),
            first_harvests: self.first_harvests + other.first_harvests,
        }
    }
}

/// How the year has gone so far.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Carried {
    /// What lay on the beds before the start, and since when that is known. Left out, what lies
    /// there at the start is taken to have lain there since its spell began.
    pub covered: Option<Vec<Covered>>,
    pub closed_beds: Vec<ClosedBed>,
    pub closed_shelf: Vec<ClosedShelf>,
    /// What standing plantings were meant for; only those that a plan knew.
    pub meant: Vec<Meant>,
    /// What was to lie on the beds from the start on.
    pub covers_meant: Vec<Covered>,
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(yield_ratio: f64, plantings: u32) -> Experience {
        Experience {
            crop: 0,
            way: 0,
            yield_ratio,
            plantings,
            records: plantings,
            ready_ratio: 1.0,
            first_harvests: 0,
        }
    }

    #[test]
    fn few_records_stay_near_the_book_and_many_near_the_record() {
        assert_eq!(seen(0.4, 0).yield_factor(), 1.0);
        // One planting at 0.4 of the book: a quarter of the way there. By hand.
        assert!((seen(0.4, 1).yield_factor() - 0.85).abs() < 1e-12);
        assert!((seen(0.4, 3).yield_factor() - 0.7).abs() < 1e-12);
        assert!(seen(0.4, 300).yield_factor() < 0.41);
        assert_eq!(seen(0.4, 9).ready_factor(), 1.0);
    }

    #[test]
    fn two_years_weigh_by_their_plantings() {
        let both = seen(0.4, 1).with(&seen(1.0, 3));
        assert!((both.yield_ratio - 0.85).abs() < 1e-12);
        assert_eq!(
            (both.plantings, both.records, both.ready_ratio),
            (4, 4, 1.0)
        );
    }
}
