//! A whole scenario: the holding, its needs and what is to be planned.

use super::*;
use crate::units::Week;

/// Options of the search that a scenario may set; the command line overrides them.
#[derive(Clone, Debug, PartialEq)]
pub struct Solving {
    /// Stop when (bound - plan) / |bound| is at most this.
    pub gap: f64,
}

/// Everything that a plan depends on. Lists are sorted by name.
#[derive(Clone, Debug, PartialEq)]
pub struct Scenario {
    pub name: String,
    pub currency: String,
    /// The first planned week.
    pub start: Week,
    /// Weeks planned and shown, 52 as a rule.
    pub weeks: usize,
    /// Further weeks whose needs count too, so that autumn work is not skipped.
    pub tail: usize,
    /// A standing year: the weeks planned come again for ever, so that there is neither start nor end.
    pub repeats: bool,
    pub climate: Climate,
    /// Inside the polytunnel.
    pub tunnel: Surroundings,
    pub beds: Vec<Bed>,
    pub covers: Vec<Cover>,
    pub families: Vec<Family>,
    pub crops: Vec<Crop>,
    pub recipes: Vec<Recipe>,
    pub shelf: Shelf,
    pub standing: Vec<Standing>,
    pub in_store: Vec<InStore>,
    pub on_shelf: Vec<OnShelf>,
    pub planned: Vec<Planned>,
    pub changes: Changes,
    /// How the year has gone so far, where a plan is carried on.
    pub carried: Carried,
    /// What harvest records say; yields and growth units of the crops hold it already.
    pub experience: Vec<Experience>,
    pub foods: Vec<Food>,
    pub level: Option<Level>,
    pub work: Work,
    pub directives: Vec<Directive>,
    pub solving: Solving,
}

impl Scenario {
    /// Weeks in which needs count.
    pub fn horizon(&self) -> usize {
        self.weeks + self.tail
    }

    /// Whether floors that are musts bind: not where a year is carried on, for what is lost cannot
    /// be had by asking, nor in a standing year, where they are floors that are dear to miss.
    pub fn musts_bind(&self) -> bool {
        !self.repeats
            && self.carried.covered.is_none()
            && self.foods.iter().any(|food| food.must.contains(&true))
    }

    /// The week of the horizon that a week counted from the start is: the same, or in a standing year that
    /// week of the year.
    pub fn within(&self, index: usize) -> usize {
        if self.repeats {
            index % self.weeks
        } else {
            index
        }
    }

    /// The calendar week that a week counts as: itself, or in a standing year the one of the year shown.
    pub fn week_within(&self, week: Week) -> Week {
        if !self.repeats {
            return week;
        }
        let weeks = i32::try_from(self.weeks).expect("horizons are short");
        self.start.plus(week.since(self.start).rem_euclid(weeks))
    }

    /// The calendar week of week `index` of the horizon.
    pub fn week(&self, index: usize) -> Week {
        self.start
            .plus(i32::try_from(index).expect("horizons are short"))
    }

    /// Whether the cover can lie on the bed at all.
    pub fn fits(&self, cover: CoverId, bed: BedId) -> bool {
        let (cover, bed) = (&self.covers[cover], &self.beds[bed]);
        cover.settings.contains(&bed.setting)
            && bed.length_m <= cover.max_length_m
            && bed.width_m <= cover.max_width_m
    }

    /// Whether the bed stands inside the polytunnel in that week.
    pub fn inside(&self, bed: BedId, week: Week) -> bool {
        let bed = &self.beds[bed];
        match bed.setting {
            Setting::Tunnel => true,
            Setting::Open => false,
            Setting::Container | Setting::Basket => bed
                .indoors
                .iter()
                .any(|p| week.of_year().within(p.from, p.to)),
        }
    }

    /// What lay on the bed in a week before the start.
    pub fn covered_before(&self, bed: BedId, week: Week) -> Option<CoverId> {
        match &self.carried.covered {
            Some(log) => log
                .iter()
                .find(|c| c.bed == bed && c.from <= week && week < c.until)
                .map(|c| c.cover),
            None => self.beds[bed]
                .covered_by
                .filter(|_| self.covered_since(bed).is_some_and(|since| since <= week)),
        }
    }

    /// Whether the bed is out of use in any of the weeks `from..until`.
    pub fn closed(&self, bed: BedId, from: Week, until: Week) -> bool {
        (self.carried.closed_beds.iter()).any(|c| c.bed == bed && c.from < until && from <= c.to)
    }

    /// Whether that part of the shelf is out of use in any of the weeks `from..until`.
    pub fn shelf_closed(&self, lit: bool, from: Week, until: Week) -> bool {
        (self.carried.closed_shelf.iter()).any(|c| c.lit == lit && c.from < until && from <= c.to)
    }

    /// What a plan had in mind for the strips of a standing planting.
    pub fn meant(&self, standing: StandingId) -> impl Iterator<Item = &Meant> {
        (self.carried.meant.iter()).filter(move |m| m.standing == standing)
    }

    /// Whether a standing planting is known to have been raised under lamps.
    pub fn raised_lit(&self, standing: StandingId) -> bool {
        self.meant(standing).any(|m| m.lit)
    }

    /// The week in which the cover that lies on the bed at the start was put on: the first week
    /// of the longest unbroken stretch of a spell of its kind that holds the start, at most a
    /// year back. `None`: nothing lies there, or no spell of it holds the start.
    pub fn covered_since(&self, bed: BedId) -> Option<Week> {
        const YEAR_WEEKS: i32 = 52;
        let cover = &self.covers[self.beds[bed].covered_by?];
        cover
            .spells
            .iter()
            .filter(|spell| spell.contains(self.start.of_year()))
            .map(|spell| {
                let held = (1..=YEAR_WEEKS)
                    .take_while(|back| spell.contains(self.start.plus(-back).of_year()))
                    .count();
                self.start
                    .plus(-i32::try_from(held).expect("at most a year"))
            })
            .min()
    }
}
