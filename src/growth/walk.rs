//! The weeks of one planting, one step a week: shelf, emergence, growth, frost, bolting.

use super::outcome::{Beginning, Course, Ending, Failure};
use super::tables::Grower;
use crate::climate::Place;
use crate::domain::{Crop, CropId, Method, Raising, ShelfNeed};
use crate::units::Week;

/// Most that plants held on the shelf gain, in multiples of what makes them fit to plant out
/// (estimate): their roots fill the module.
const SHELF_LIMIT: f64 = 1.3;
/// Share of the first week's growth in the bed that remains to plants from the shelf
/// (estimate): they have to root.
const ROOTING_SHARE: f64 = 0.5;
/// Weeks after which seed that is not up has rotted (estimate).
const SEED_WEEKS: i32 = 8;
/// The same for sets, tubers and cloves (estimate).
const STORE_WEEKS: i32 = 12;
/// Night minimum in the air at which ripe tubers in the ground freeze, °C (estimate).
const TUBERS_FREEZE_C: f64 = -8.0;

/// A planting on its way through the weeks.
pub(super) struct Walk<'a> {
    grower: &'a Grower<'a>,
    place: &'a dyn Fn(Week) -> Place,
    crop_id: CropId,
    crop: &'a Crop,
    method: Method,
    /// Already in the ground when the plan starts.
    stands: bool,
    /// A week, and the growth units that it has in it at least, for some of it had been harvested by its end.
    shown: Option<(Week, f64)>,
    sown: Week,
    planted: Week,
    week: Week,
    until: Week,
    up: bool,
    emerged: Option<Week>,
    emergence_cd: f64,
    units: f64,
    cold_weeks: f64,
    /// Growth units made in days long enough for bolting.
    long_day_units: f64,
    /// Weeks of cold towards vernalisation, and growth units since it was complete.
    chilled_weeks: f64,
    heading_units: f64,
    underground: bool,
}

/// One week of a planting.
pub(super) enum Step {
    /// Not up yet.
    Waits,
    /// Up, with that many growth units towards harvest at the end of the week.
    Grows { week: Week, units: f64 },
    /// Over by the beginning of that week.
    Ends { week: Week, ending: Ending },
}

impl<'a> Walk<'a> {
    /// On the Monday on which it goes into the bed.
    pub fn begin(
        grower: &'a Grower<'a>,
        beginning: &Beginning,
        place: &'a dyn Fn(Week) -> Place,
        until: Week,
    ) -> Result<Walk<'a>, Failure> {
        let Beginning { sown, planted, .. } = *beginning;
        let crop = &grower.scenario.crops[beginning.crop];
        let raising = match beginning.raising {
            Some(index) => Some(crop.raisings.get(index).ok_or(Failure::NoSuchWay)?),
            None => likely_raising(crop, planted > sown),
        };
        let stands = beginning.raising.is_none();
        let method = match raising {
            Some(raising) => raising.method,
            None if planted > sown => Method::Modules,
            None => Method::Direct,
        };
        if planted < sown || (planted > sown) != (method == Method::Modules) {
            return Err(Failure::PlantedOutOfTurn { planted });
        }
        let mut units = 0.0;
        if method == Method::Modules {
            if let Some(index) = beginning.raising {
                let (fit, latest) =
                    grower.shelf_weeks(beginning.crop, index, beginning.lit, sown)?;
                if planted < fit {
                    return Err(Failure::NotFitToPlant { fit });
                }
                if planted > latest {
                    return Err(Failure::HeldTooLong { latest });
                }
            }
            let limit = raising.map_or(f64::INFINITY, |r| SHELF_LIMIT * r.ready_units);
            units = ShelfGrowth::new(grower, beginning.crop, beginning.lit, sown)
                .take_while(|(week, _)| *week < planted)
                .last()
                .map_or(0.0, |(_, units)| units)
                .min(limit);
        } else if !stands {
            within_sowing_weeks(raising, sown)?;
        }
        Ok(Walk {
            grower,
            place,
            crop_id: beginning.crop,
            crop,
            method,
            stands,
            shown: None,
            sown,
            planted,
            week: planted.max(grower.first_week()),
            until: until.min(grower.end_week()),
            up: matches!(method, Method::Modules | Method::Crowns)
                || stands && crop.perennial.is_some(),
            emerged: None,
            emergence_cd: 0.0,
            units,
            cold_weeks: 0.0,
            long_day_units: 0.0,
            chilled_weeks: 0.0,
            heading_units: 0.0,
            underground: false,
        })
    }

    /// See [`Grower::shelf_weeks`].
    pub fn shelf_weeks(
        grower: &Grower,
        crop_id: CropId,
        index: usize,
        lit: bool,
        sown: Week,
    ) -> Result<(Week, Week), Failure> {
        let crop = &grower.scenario.crops[crop_id];
        let raising = crop.raisings.get(index).ok_or(Failure::NoSuchWay)?;
        if raising.method != Method::Modules {
            return Err(Failure::NoSuchWay);
        }
        // What the scenario says is on the shelf has been sown, as it was.
        let is_there = grower.scenario.on_shelf.iter().any(|entry| {
            (entry.crop, entry.raising, entry.lit, entry.sown) == (crop_id, index, lit, sown)
        });
        if !is_there {
            within_sowing_weeks(Some(raising), sown)?;
            if raising.shelf == ShelfNeed::Lit && !lit {
                return Err(Failure::NeedsLamps);
            }
        }
        let latest = sown.plus(i32::try_from(raising.max_shelf_weeks).unwrap_or(i32::MAX / 2));
        ShelfGrowth::new(grower, crop_id, lit, sown)
            .take_while(|(week, _)| *week < latest)
            .find(|(_, units)| *units >= raising.ready_units)
            .map(|(week, _)| (week.plus(1), latest))
            .ok_or(Failure::TooSlowOnShelf { given_up: latest })
    }

    /// The next week. After an end, the same end again.
    pub fn step(&mut self) -> Result<Step, Failure> {
        let week = self.week;
        if week >= self.until {
            return Ok(self.ends(Ending::Horizon));
        }
        let longest = i32::try_from(self.crop.max_ground_weeks).unwrap_or(i32::MAX);
        if week.since(self.planted) >= longest && !self.spared(week) {
            return Ok(self.ends(Ending::PastUse));
        }
        if let Some((_, units)) = self.shown.take_if(|(by, _)| week >= *by) {
            self.up = true;
            self.units = self.units.max(units);
            self.heading_units = self.heading_units.max(units);
        }
        let surrounding = self.grower.place((self.place)(week));
        let air = self.grower.place_week(surrounding, week);
        let gains = self.grower.crop_week(surrounding, self.crop_id, week);
        let grown = if self.up {
            if !self.spared(week) {
                if air.coldest_c < self.killed_below_c() {
                    return Ok(self.ends(Ending::Frost));
                }
                if self.bolts(air.daylight_h) {
                    return Ok(self.ends(Ending::Bolts));
                }
            }
            let rooting = self.method == Method::Modules && week == self.planted;
            gains.units * if rooting { ROOTING_SHARE } else { 1.0 }
        } else {
            let needed_cd = self.crop.thermal.emergence_cd;
            self.emergence_cd += gains.emergence_cd;
            if self.emergence_cd < needed_cd {
                let patience = match self.method {
                    Method::Sets | Method::Tubers | Method::Cloves => STORE_WEEKS,
                    _ => SEED_WEEKS,
                };
                self.week = week.plus(1);
                if self.week.since(self.sown) >= patience && !self.spared(week) {
                    return Err(Failure::TooColdToEmerge {
                        given_up: self.week,
                    });
                }
                return Ok(Step::Waits);
            }
            self.up = true;
            self.emerged = Some(week);
            let rest = (self.emergence_cd - needed_cd) / gains.emergence_cd.max(f64::MIN_POSITIVE);
            gains.units * rest.min(1.0)
        };
        if let Some(bolting) = self.crop.bolting
            && self.units >= bolting.juvenile_units
        {
            if air.mean_c < bolting.cold_c {
                self.cold_weeks += 1.0;
            }
            if air.daylight_h > bolting.day_length_h {
                self.long_day_units += grown;
            }
        }
        let towards_harvest = match self.crop.vernalisation {
            None => self.units + grown,
            Some(needed) => {
                if self.chilled_weeks >= needed.cold_weeks {
                    self.heading_units += grown;
                } else if self.units >= needed.juvenile_units && air.mean_c < needed.cold_c {
                    self.chilled_weeks += 1.0;
                }
                self.heading_units
            }
        };
        self.units += grown;
        self.week = week.plus(1);
        Ok(Step::Grows {
            week,
            units: towards_harvest,
        })
    }

    fn ends(&self, ending: Ending) -> Step {
        Step::Ends {
            week: self.week,
            ending,
        }
    }

    /// What stands when the plan starts has come through all before it.
    fn spared(&self, week: Week) -> bool {
        self.stands && week < self.grower.scenario.start
    }

    /// The end of its time once it is ready, first week after: what stands when the plan starts may be lifted then.
    pub fn good_until(&self, over: Week) -> Week {
        match self.stands {
            true => over.max(self.grower.scenario.start.plus(1)),
            false => over,
        }
    }

    fn killed_below_c(&self) -> f64 {
        if self.underground {
            TUBERS_FREEZE_C.min(self.crop.killed_below_c)
        } else {
            self.crop.killed_below_c
        }
    }

    /// Whether it runs to seed in a week with days that long.
    fn bolts(&self, daylight_h: f64) -> bool {
        !self.underground
            && self.crop.bolting.is_some_and(|bolting| {
                self.units >= bolting.juvenile_units
                    && self.cold_weeks >= bolting.cold_weeks
                    && self.long_day_units >= bolting.long_day_units
                    && daylight_h > bolting.day_length_h
            })
    }

    /// What stands already had at least these growth units in a week: some of it was harvested.
    pub fn has_shown(&mut self, by: Week, units: f64) {
        self.shown = self.stands.then_some((by, units));
    }

    /// Ripe tubers outlast their tops.
    pub fn goes_underground(&mut self) {
        self.underground = true;
    }

    pub fn method(&self) -> Method {
        self.method
    }

    pub fn planted(&self) -> Week {
        self.planted
    }

    /// The week of the next step.
    pub fn week(&self) -> Week {
        self.week
    }

    /// Its course, with what has been found of the harvest.
    pub fn course(
        &self,
        first: Week,
        harvest: Vec<(Week, f64)>,
        last: Week,
        ending: Ending,
    ) -> Course {
        Course {
            emerged: self.emerged,
            first,
            harvest,
            last,
            ending,
        }
    }
}

/// Growth on the shelf: for each week from sowing on, the units gathered by its end.
struct ShelfGrowth<'a> {
    grower: &'a Grower<'a>,
    crop: CropId,
    lit: bool,
    week: Week,
    emergence_cd: f64,
    units: f64,
}

impl<'a> ShelfGrowth<'a> {
    fn new(grower: &'a Grower<'a>, crop: CropId, lit: bool, sown: Week) -> ShelfGrowth<'a> {
        ShelfGrowth {
            grower,
            crop,
            lit,
            week: sown.max(grower.first_week()),
            emergence_cd: 0.0,
            units: 0.0,
        }
    }
}

impl Iterator for ShelfGrowth<'_> {
    type Item = (Week, f64);

    fn next(&mut self) -> Option<(Week, f64)> {
        let week = self.week;
        if week >= self.grower.end_week() {
            return None;
        }
        let needed_cd = self.grower.scenario.crops[self.crop].thermal.emergence_cd;
        let gains = self
            .grower
            .crop_week(self.grower.shelf(self.lit), self.crop, week);
        let before_cd = self.emergence_cd;
        self.emergence_cd += gains.emergence_cd;
        let up = (self.emergence_cd - needed_cd.max(before_cd)).max(0.0);
        if gains.emergence_cd > 0.0 {
            self.units += gains.units * (up / gains.emergence_cd).min(1.0);
        }
        self.week = week.plus(1);
        Some((week, self.units))
    }
}

/// How what stands was probably raised.
fn likely_raising(crop: &Crop, on_shelf: bool) -> Option<&Raising> {
    crop.raisings
        .iter()
        .find(|raising| (raising.method == Method::Modules) == on_shelf)
}

fn within_sowing_weeks(raising: Option<&Raising>, sown: Week) -> Result<(), Failure> {
    match raising {
        Some(raising) if !raising.may_sow(sown.of_year()) => Err(Failure::OutsideSowingWeeks),
        _ => Ok(()),
    }
}
