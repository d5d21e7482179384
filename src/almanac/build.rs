//! Asks growth after every sowing of a year.

use super::Almanac;
use super::row::{Reason, Row, Sowing, Success};
use super::spot::{Spot, spots};
use crate::domain::{CropId, Method, Raising, Scenario, ShelfNeed};
use crate::growth::{Beginning, Course, Failure, Grower};
use crate::units::{Week, WeekOfYear, WeeksOfYear};

/// Weeks for which a planting is followed; the longest stands 62 weeks from planting, a perennial
/// has its first season in the second year.
const FOLLOWED_WEEKS: i32 = 104;
/// Weeks from one sowing of the year to the last of the next year's harvests.
const SIMULATED_WEEKS: usize = 104;
/// Most weeks in a year.
const MOST_WEEKS: i32 = 53;

/// The almanac of the given crops (indices, in any order).
pub fn almanac(scenario: &Scenario, crops: &[CropId]) -> Almanac {
    let open = with_every_sowing_week(scenario);
    let grower = Grower::new(&open);
    let weeks = year_from(scenario.start);
    let spots = spots(scenario);
    let mut crops = crops.to_vec();
    crops.sort_unstable();
    crops.dedup();
    let mut rows = Vec::new();
    for crop in crops {
        for method in methods(scenario, crop) {
            for way in ways(scenario, crop) {
                for (id, spot) in spots.iter().enumerate() {
                    if !spot.admits(scenario, crop) {
                        continue;
                    }
                    let subject = Subject {
                        scenario,
                        grower: &grower,
                        crop,
                        way,
                        spot,
                    };
                    rows.push(Row {
                        crop,
                        method,
                        way,
                        spot: id,
                        sowings: (weeks.iter())
                            .map(|&week| subject.sowing(method, week))
                            .collect(),
                    });
                }
            }
        }
    }
    Almanac { weeks, spots, rows }
}

/// The weeks from `start` to the same week of the next year, in the order of their numbers.
pub(super) fn year_from(start: Week) -> Vec<Week> {
    let number = start.of_year();
    let length = (1..=MOST_WEEKS)
        .find(|&k| start.plus(k).of_year() >= number && start.plus(k).iso().0 > start.iso().0)
        .unwrap_or(MOST_WEEKS);
    let mut weeks: Vec<Week> = (0..length).map(|k| start.plus(k)).collect();
    weeks.sort_by_key(|week| week.of_year());
    weeks
}

/// The scenario with every raising open all the year round, followed for long enough.
pub(super) fn with_every_sowing_week(scenario: &Scenario) -> Scenario {
    let week = |number| WeekOfYear::new(number).expect("a week of the year");
    let mut open = scenario.clone();
    for raising in open.crops.iter_mut().flat_map(|crop| &mut crop.raisings) {
        raising.sow_from = week(1);
        raising.sow_to = week(53);
        raising.sow_only = WeeksOfYear::ALL;
    }
    open.weeks = SIMULATED_WEEKS.max(scenario.horizon());
    open.tail = 0;
    open
}

/// The methods of a crop, each once, in the order of its raisings.
pub(super) fn methods(scenario: &Scenario, crop: CropId) -> Vec<Method> {
    let mut found = Vec::new();
    for raising in &scenario.crops[crop].raisings {
        if !found.contains(&raising.method) {
            found.push(raising.method);
        }
    }
    found
}

/// The ways of a crop; a green manure has the one of being none.
pub(super) fn ways(scenario: &Scenario, crop: CropId) -> Vec<Option<usize>> {
    match scenario.crops[crop].ways.len() {
        0 => vec![None],
        count => (0..count).map(Some).collect(),
    }
}

/// Weeks from `week` back or on to the nearest sowing week of the raising, round the year.
fn weeks_off(raising: &Raising, week: Week) -> i32 {
    let usual = |week: Week| raising.may_sow(week.of_year());
    (0..MOST_WEEKS)
        .find(|&k| usual(week.plus(k)) || usual(week.plus(-k)))
        .unwrap_or(MOST_WEEKS)
}

/// Those of the weeks in which the crop is usually sown by that method.
pub(super) fn usual_weeks(
    scenario: &Scenario,
    crop: CropId,
    method: Method,
    weeks: Vec<Week>,
) -> Vec<Week> {
    let raisings = &scenario.crops[crop].raisings;
    let usual =
        |week: &Week| (raisings.iter()).any(|r| r.method == method && r.may_sow(week.of_year()));
    weeks.into_iter().filter(usual).collect()
}

/// One crop in one way at one place.
pub(super) struct Subject<'a> {
    pub scenario: &'a Scenario,
    pub grower: &'a Grower<'a>,
    pub crop: CropId,
    pub way: Option<usize>,
    pub spot: &'a Spot,
}

impl Subject<'_> {
    /// Sown in that week, by the raising of the method whose sowing weeks are nearest.
    pub(super) fn sowing(&self, method: Method, week: Week) -> Sowing {
        let raisings = &self.scenario.crops[self.crop].raisings;
        let raising = (0..raisings.len())
            .filter(|&index| raisings[index].method == method)
            .min_by_key(|&index| weeks_off(&raisings[index], week))
            .expect("the method is that of a raising");
        Sowing {
            week,
            raising,
            usual: weeks_off(&raisings[raising], week) == 0,
            outcome: self.outcome(raising, week),
        }
    }

    fn outcome(&self, raising: usize, sown: Week) -> Result<Success, Reason> {
        if self.scenario.crops[self.crop].raisings[raising].method != Method::Modules {
            return self.planted(raising, false, sown, (sown, sown));
        }
        let mut failed = Reason::NoShelf {
            lit: self.scenario.shelf.unlit_m2 > 0.0,
        };
        for lit in [false, true] {
            if !self.has_shelf(raising, lit) {
                continue;
            }
            let tried = self
                .grower
                .shelf_weeks(self.crop, raising, lit, sown)
                .map_err(Reason::Growth)
                .and_then(|stay| self.planted(raising, lit, sown, stay));
            match tried {
                Ok(success) => return Ok(success),
                Err(reason) => failed = reason,
            }
        }
        Err(failed)
    }

    /// Whether the raising can use that part of the shelf, and there is some.
    fn has_shelf(&self, raising: usize, lit: bool) -> bool {
        let shelf = &self.scenario.shelf;
        let need = self.scenario.crops[self.crop].raisings[raising].shelf;
        match lit {
            true => shelf.lit_m2 > 0.0,
            false => shelf.unlit_m2 > 0.0 && need != ShelfNeed::Lit,
        }
    }

    /// Planted in the first of those weeks in which it succeeds; the last failure if in none.
    fn planted(
        &self,
        raising: usize,
        lit: bool,
        sown: Week,
        (first, last): (Week, Week),
    ) -> Result<Success, Reason> {
        let mut found: Option<Success> = None;
        let mut failed = Reason::Growth(Failure::NoSuchWay);
        for k in 0..=last.since(first) {
            let planted = first.plus(k);
            let beginning = Beginning {
                crop: self.crop,
                raising: Some(raising),
                lit,
                sown,
                planted,
                ready_by: None,
            };
            match (self.course(&beginning), &mut found) {
                (Ok(_), Some(success)) => success.planted_by = planted,
                (Ok(course), None) => found = Some(self.success(&beginning, &course)),
                (Err(failure), _) => failed = Reason::Growth(failure),
            }
        }
        found.ok_or(failed)
    }

    fn course(&self, beginning: &Beginning) -> Result<Course, Failure> {
        let place = self.spot.place(self.scenario, beginning.planted);
        let until = beginning.sown.plus(FOLLOWED_WEEKS);
        match self.way {
            Some(way) => self.grower.course(beginning, way, &place, until),
            None => self.grower.stand(beginning, &place, until),
        }
    }

    fn success(&self, beginning: &Beginning, course: &Course) -> Success {
        let (harvest, last) = match self.scenario.crops[self.crop].perennial {
            Some(_) => {
                let season = first_run(&course.harvest);
                (season, season.last().map_or(course.last, |&(week, _)| week))
            }
            None => (&course.harvest[..], course.last),
        };
        Success {
            lit: beginning.lit,
            planted: beginning.planted,
            planted_by: beginning.planted,
            emerged: course.emerged,
            ready: course.first,
            last,
            ending: course.ending,
            amount_per_m2: harvest.iter().map(|(_, amount)| amount).sum(),
        }
    }
}

/// The harvest up to the first week without one.
fn first_run(harvest: &[(Week, f64)]) -> &[(Week, f64)] {
    let unbroken = harvest
        .windows(2)
        .take_while(|pair| pair[1].0 == pair[0].0.plus(1));
    &harvest[..harvest.len().min(1 + unbroken.count())]
}
