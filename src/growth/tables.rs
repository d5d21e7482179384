//! Weekly sums of growth, emergence, cold and frost for every crop and place, so that a course
//! costs a few steps and no weather.

use super::response;
use crate::climate::{
    Place, Sky, Weather, YEAR_DAYS, date_of_index, day_index, weather_at, weather_on_shelf,
};
use crate::domain::{CropId, Scenario};
use crate::units::Week;
use chrono::{Days, NaiveDate};
use std::sync::OnceLock;

/// Weeks before the start of the plan from which a planting may date.
const WEEKS_BEFORE: i32 = 80;
/// Weeks kept after the horizon, for courses that are followed to their natural end.
const WEEKS_AFTER: i32 = 60;
/// Weeks of growth further back than this are cut off for what has stood for years.
const MOST_WEEKS_BEFORE: i32 = 200;

/// Days in a week.
const WEEK_DAYS: usize = 7;
/// The shelf's unlit and lit part come first among the surroundings.
const SHELF_PARTS: usize = 2;
const UNLIT: usize = 0;
const LIT: usize = 1;

/// What the weather of a place does in one week, whatever the crop.
#[derive(Clone, Copy, Debug)]
pub(super) struct PlaceWeek {
    /// The night minimum to be reckoned with, °C.
    pub coldest_c: f64,
    pub mean_c: f64,
    /// Mean day length, hours.
    pub daylight_h: f64,
}

/// What a week gives one crop at one place.
#[derive(Clone, Copy, Debug)]
pub(super) struct CropWeek {
    /// Growth units.
    pub units: f64,
    /// Thermal time towards emergence, °C d.
    pub emergence_cd: f64,
}

/// One place (or part of the shelf): its days of the year and its weeks.
struct Surrounding {
    days: Vec<Weather>,
    weeks: Vec<PlaceWeek>,
}

/// Simulates plantings of one scenario. Tables are filled as they are asked for and shared
/// between threads; the same question always has the same answer.
pub struct Grower<'a> {
    pub(super) scenario: &'a Scenario,
    /// The first week of the tables and how many there are.
    first: Week,
    weeks: usize,
    /// Exposures of the scenario's beds, ascending.
    exposures: Vec<f64>,
    sky: Sky,
    surroundings: Vec<OnceLock<Surrounding>>,
    /// By surrounding, then crop.
    crops: Vec<OnceLock<Vec<CropWeek>>>,
}

/// Index of a surrounding in the tables of a [`Grower`].
#[derive(Clone, Copy)]
pub(super) struct SurroundingId(usize);

impl<'a> Grower<'a> {
    /// Prepares the tables for every exposure that occurs, in the open and in the polytunnel,
    /// bare and under each cover, and for the shelf, lit and unlit.
    pub fn new(scenario: &'a Scenario) -> Grower<'a> {
        let mut exposures: Vec<f64> = scenario.beds.iter().map(|bed| bed.exposure).collect();
        exposures.sort_by(f64::total_cmp);
        exposures.dedup();
        let oldest = scenario
            .standing
            .iter()
            .filter(|s| scenario.crops[s.crop].perennial.is_none())
            .map(|s| scenario.start.since(s.sown))
            .max()
            .unwrap_or(0)
            .clamp(WEEKS_BEFORE, MOST_WEEKS_BEFORE);
        let horizon = i32::try_from(scenario.horizon()).expect("horizons are short");
        let places = SHELF_PARTS + exposures.len() * 2 * (1 + scenario.covers.len());
        Grower {
            scenario,
            first: scenario.start.plus(-oldest),
            weeks: usize::try_from(oldest + horizon + WEEKS_AFTER).expect("positive"),
            exposures,
            sky: Sky::of(&scenario.climate),
            surroundings: (0..places).map(|_| OnceLock::new()).collect(),
            crops: (0..places * scenario.crops.len())
                .map(|_| OnceLock::new())
                .collect(),
        }
    }

    /// The first week for which there are tables.
    pub(super) fn first_week(&self) -> Week {
        self.first
    }

    /// The week after the last for which there are tables.
    pub(super) fn end_week(&self) -> Week {
        self.first
            .plus(i32::try_from(self.weeks).expect("tables are short"))
    }

    /// # Panics
    /// If no bed of the scenario has that exposure.
    pub(super) fn place(&self, place: Place) -> SurroundingId {
        let exposure = self
            .exposures
            .iter()
            .position(|e| *e == place.exposure)
            .expect("the exposure is that of a bed");
        let setting = 2 * exposure + usize::from(place.inside);
        let cover = place.cover.map_or(0, |cover| 1 + cover);
        SurroundingId(SHELF_PARTS + setting * (1 + self.scenario.covers.len()) + cover)
    }

    pub(super) fn shelf(&self, lit: bool) -> SurroundingId {
        SurroundingId(if lit { LIT } else { UNLIT })
    }

    /// The weather's week there. The week must be within the tables.
    pub(super) fn place_week(&self, id: SurroundingId, week: Week) -> PlaceWeek {
        self.surrounding(id).weeks[self.index(week)]
    }

    /// The crop's week there. The week must be within the tables.
    pub(super) fn crop_week(&self, id: SurroundingId, crop: CropId, week: Week) -> CropWeek {
        let slot = id.0 * self.scenario.crops.len() + crop;
        self.crops[slot].get_or_init(|| self.crop_weeks(id, crop))[self.index(week)]
    }

    fn index(&self, week: Week) -> usize {
        usize::try_from(week.since(self.first)).expect("not before the tables begin")
    }

    fn surrounding(&self, id: SurroundingId) -> &Surrounding {
        self.surroundings[id.0].get_or_init(|| self.describe(id))
    }

    /// The weather of a surrounding.
    fn describe(&self, id: SurroundingId) -> Surrounding {
        let days: Vec<Weather> = (0..YEAR_DAYS)
            .map(|index| self.weather(id, date_of_index(index)))
            .collect();
        let weeks = self
            .weeks()
            .map(|week| PlaceWeek::of(&week_indices(week).map(|i| days[i])))
            .collect();
        Surrounding { days, weeks }
    }

    fn weather(&self, id: SurroundingId, date: NaiveDate) -> Weather {
        let Some(rest) = id.0.checked_sub(SHELF_PARTS) else {
            return weather_on_shelf(self.scenario, &self.sky, date, id.0 == LIT);
        };
        let kinds = 1 + self.scenario.covers.len();
        let (setting, cover) = (rest / kinds, rest % kinds);
        let place = Place {
            inside: setting % 2 == 1,
            cover: cover.checked_sub(1),
            exposure: self.exposures[setting / 2],
        };
        weather_at(self.scenario, &self.sky, date, place)
    }

    fn crop_weeks(&self, id: SurroundingId, crop: CropId) -> Vec<CropWeek> {
        let thermal = &self.scenario.crops[crop].thermal;
        let days: Vec<(f64, f64)> = self
            .surrounding(id)
            .days
            .iter()
            .map(|day| {
                (
                    response::growth_units(thermal, day),
                    response::emergence_cd(thermal, day),
                )
            })
            .collect();
        self.weeks()
            .map(|week| {
                let days = week_indices(week).map(|i| days[i]);
                CropWeek {
                    units: days.iter().map(|day| day.0).sum(),
                    emergence_cd: days.iter().map(|day| day.1).sum(),
                }
            })
            .collect()
    }

    /// All weeks of the tables.
    fn weeks(&self) -> impl Iterator<Item = Week> {
        let (first, weeks) = (self.first, self.weeks as i32);
        (0..weeks).map(move |i| first.plus(i))
    }
}

/// Indices of a week's days in tables by day of the year.
fn week_indices(week: Week) -> [usize; WEEK_DAYS] {
    let monday = week.monday();
    std::array::from_fn(|i| day_index(monday + Days::new(i as u64)))
}

impl PlaceWeek {
    fn of(days: &[Weather]) -> PlaceWeek {
        let mean =
            |value: fn(&Weather) -> f64| days.iter().map(value).sum::<f64>() / days.len() as f64;
        PlaceWeek {
            coldest_c: days
                .iter()
                .map(|d| d.coldest_c)
                .fold(f64::INFINITY, f64::min),
            mean_c: mean(|d| (d.tmax_c + d.tmin_c) / 2.0),
            daylight_h: mean(|d| d.daylight_h),
        }
    }
}
