//! A planting stepped through its weeks: up, growing, in harvest, over.

use super::outcome::{Beginning, Course, Ending, Failure};
use super::tables::Grower;
use super::walk::{Step, Walk};
use crate::climate::Place;
use crate::domain::{CropId, Method, Perennial, Way, WayKind};
use crate::units::Week;

/// Smallest picking worth a visit, as a share of the whole yield (estimate); less is left to
/// grow on until it is worth it.
const WORTH_PICKING: f64 = 0.005;
/// Weeks in which a crop that is cleared at once can be cleared before it spoils (estimate).
const CLEARING_WEEKS: i32 = 3;
/// Weeks a perennial must have stood when its first season of harvest begins (estimate): planted
/// in late summer or autumn it crops in the next year, planted in winter or spring it is left
/// alone in its first.
const SETTLING_WEEKS: i32 = 36;

impl Grower<'_> {
    /// First and last week in which plants sown on the shelf in `sown` can be planted out.
    ///
    /// # Errors
    /// When it cannot be sown then (which is not asked of what is on the shelf at the start), or
    /// would not be fit to plant out in time.
    pub fn shelf_weeks(
        &self,
        crop: CropId,
        raising: usize,
        lit: bool,
        sown: Week,
    ) -> Result<(Week, Week), Failure> {
        Walk::shelf_weeks(self, crop, raising, lit, sown)
    }

    /// The course of a planting harvested in way `way`, given where it is in each week from
    /// `planted` on; simulated to `until` (exclusive; at most a year beyond the horizon). A
    /// course that begins before the plan also lists what came before it.
    ///
    /// # Errors
    /// Why nothing can be harvested.
    ///
    /// # Panics
    /// If `place` gives an exposure that no bed of the scenario has.
    pub fn course(
        &self,
        beginning: &Beginning,
        way: usize,
        place: &dyn Fn(Week) -> Place,
        until: Week,
    ) -> Result<Course, Failure> {
        let crop = &self.scenario.crops[beginning.crop];
        let way = crop.ways.get(way).ok_or(Failure::NoSuchWay)?;
        let mut walk = Walk::begin(self, beginning, place, until)?;
        if let Some(by) = beginning.ready_by {
            walk.has_shown(by, way.ready_units);
        }
        match (crop.perennial, way.kind) {
            (Some(perennial), _) => seasons(&mut walk, way, perennial),
            (None, WayKind::Picking { span }) => pick(&mut walk, way, span),
            (None, WayKind::Standing { weeks }) => {
                let weeks = i32::try_from(weeks).unwrap_or(i32::MAX / 2).max(1);
                lift(&mut walk, way, weeks)
            }
            (None, WayKind::Clearing) => lift(&mut walk, way, CLEARING_WEEKS),
        }
    }

    /// Growth units that a planting has gathered by the Monday of `week`.
    ///
    /// # Errors
    /// Why it cannot be begun so, or does not come up.
    ///
    /// # Panics
    /// As [`Grower::course`].
    pub fn units_by(
        &self,
        beginning: &Beginning,
        place: &dyn Fn(Week) -> Place,
        week: Week,
    ) -> Result<f64, Failure> {
        let mut walk = Walk::begin(self, beginning, place, week)?;
        let mut gathered = 0.0;
        loop {
            match walk.step()? {
                Step::Waits => {}
                Step::Grows { units, .. } => gathered = units,
                Step::Ends { .. } => return Ok(gathered),
            }
        }
    }

    /// The course of a green manure: the weeks in which it covers the ground.
    ///
    /// # Errors
    /// Why it never does.
    ///
    /// # Panics
    /// As [`Grower::course`].
    pub fn stand(
        &self,
        beginning: &Beginning,
        place: &dyn Fn(Week) -> Place,
        until: Week,
    ) -> Result<Course, Failure> {
        let mut walk = Walk::begin(self, beginning, place, until)?;
        let mut first = None;
        loop {
            match walk.step()? {
                Step::Waits => {}
                Step::Grows { week, .. } => first = first.or(Some(week)),
                Step::Ends { week, ending } => {
                    let first = first.ok_or_else(|| failure(ending, week))?;
                    return Ok(walk.course(first, Vec::new(), week.plus(-1), ending));
                }
            }
        }
    }
}

/// Picked week by week as it grows, from `ready_units` on, until the whole yield is taken.
fn pick(walk: &mut Walk, way: &Way, span: f64) -> Result<Course, Failure> {
    let whole = way.yield_per_m2.usual;
    let mut harvest: Vec<(Week, f64)> = Vec::new();
    let mut grown_share = 0.0;
    let mut taken_share = 0.0;
    loop {
        let (last, ending) = match walk.step()? {
            Step::Waits => continue,
            Step::Grows { week, units, .. } => {
                grown_share = ((units - way.ready_units) / span).clamp(0.0, 1.0);
                let over = grown_share >= 1.0;
                if grown_share - taken_share >= WORTH_PICKING || over {
                    harvest.push((week, (grown_share - taken_share) * whole));
                    taken_share = grown_share;
                }
                if !over {
                    continue;
                }
                (week, Ending::Taken)
            }
            Step::Ends { week, ending } => (week.plus(-1), ending),
        };
        let Some(&(first, _)) = harvest.first() else {
            return Err(failure(ending, last.plus(1)));
        };
        if grown_share > taken_share {
            harvest.push((last, (grown_share - taken_share) * whole));
        }
        return Ok(walk.course(first, harvest, last, ending));
    }
}

/// Ready all at once, and good for `weeks` weeks from then.
fn lift(walk: &mut Walk, way: &Way, weeks: i32) -> Result<Course, Failure> {
    let first = loop {
        match walk.step()? {
            Step::Waits => {}
            Step::Grows { week, units, .. } if units >= way.ready_units => break week,
            Step::Grows { .. } => {}
            Step::Ends { week, ending } => return Err(failure(ending, week)),
        }
    };
    if walk.method() == Method::Tubers {
        walk.goes_underground();
    }
    let over = walk.good_until(first.plus(weeks));
    let (end, ending) = loop {
        if walk.week() >= over {
            break (over, Ending::PastUse);
        }
        if let Step::Ends { week, ending } = walk.step()? {
            break (week, ending);
        }
    };
    let harvest = vec![(first, way.yield_per_m2.usual)];
    Ok(walk.course(first, harvest, end.plus(-1), ending))
}

/// A perennial: its yield spread evenly over the harvest weeks of every year, but for a season
/// that begins before it has settled.
fn seasons(walk: &mut Walk, way: &Way, perennial: Perennial) -> Result<Course, Failure> {
    let in_season = |week: Week| {
        week.of_year()
            .within(perennial.harvest_from, perennial.harvest_to)
    };
    let settled = walk.planted().plus(SETTLING_WEEKS);
    let weeks = season_weeks(perennial);
    let weekly = way.yield_per_m2.usual / weeks;
    let mut harvest = Vec::new();
    // In season: whether that season is harvested. One that never ends may begin any week.
    let mut season: Option<bool> = None;
    let endless = weeks >= 52.0;
    let (end, ending) = loop {
        match walk.step()? {
            Step::Waits => {}
            Step::Grows { week, .. } => {
                let known = season.filter(|_| !endless);
                season = in_season(week).then(|| known.unwrap_or(week >= settled));
                if season == Some(true) {
                    harvest.push((week, weekly));
                }
            }
            Step::Ends { week, ending } => break (week, ending),
        }
    };
    let &(first, _) = harvest.first().ok_or_else(|| failure(ending, end))?;
    Ok(walk.course(first, harvest, end.plus(-1), ending))
}

/// Weeks of a perennial's season in a year of 52 weeks.
fn season_weeks(perennial: Perennial) -> f64 {
    let (from, to) = (
        f64::from(perennial.harvest_from.number()),
        f64::from(perennial.harvest_to.number()),
    );
    if from <= to {
        to - from + 1.0
    } else {
        to + 52.0 - from + 1.0
    }
}

/// What it means that a planting ends so before anything could be harvested.
fn failure(ending: Ending, week: Week) -> Failure {
    match ending {
        Ending::Frost => Failure::Frost { week },
        Ending::Bolts => Failure::Bolts { week },
        Ending::PastUse | Ending::Taken => Failure::PastUse { week },
        Ending::Horizon => Failure::NotReady { before: week },
    }
}
