//! Crops that are to be grown, of which no usual sowing can come to anything on the holding in the time
//! that is planned, and what is wanting.

use super::build::{Subject, methods, usual_weeks, ways, with_every_sowing_week, year_from};
use super::row::{Reason, Verdict};
use super::spot::{Spot, spots};
use crate::domain::{CropId, Method, Scenario, Setting};
use crate::growth::{Failure, Grower};
use std::collections::BTreeMap;

/// What a crop wants for.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Want {
    /// It stands for years, and none stands at the start: no plan plants it anew.
    Years,
    /// There is no bed in any of the settings that it can be in.
    Setting(Vec<Setting>),
    /// The grower's "never", for every bed that it could be in.
    Never,
    /// There is no shelf to raise it on, or none with lamps.
    Shelf { lit: bool },
    /// Its usual sowings are ready only after the plan's end.
    Time,
    /// What most of its usual sowings come to.
    Growth(Verdict),
}

/// A crop that cannot be grown.
#[derive(Clone, Debug, PartialEq)]
pub struct Hopeless {
    pub crop: CropId,
    /// What is wanting, by method of raising; without one, whatever the method.
    pub wants: Vec<(Option<Method>, Want)>,
}

/// The crops, in order, of which nothing stands, is in store or waits on the shelf and no usual sowing can
/// succeed.
pub fn hopeless(scenario: &Scenario) -> Vec<Hopeless> {
    let open = with_every_sowing_week(scenario);
    let grower = Grower::new(&open);
    let spots = spots(scenario);
    let there = |crop: CropId| {
        scenario.standing.iter().any(|s| s.crop == crop)
            || scenario.in_store.iter().any(|s| s.crop == crop)
            || scenario.on_shelf.iter().any(|s| s.crop == crop)
    };
    (0..scenario.crops.len())
        .filter(|&crop| scenario.crops[crop].anew && !there(crop))
        .filter_map(|crop| {
            let wants = wants(scenario, &grower, &spots, crop)?;
            Some(Hopeless { crop, wants })
        })
        .collect()
}

/// What a crop wants for; `None` where some sowing succeeds.
fn wants(
    scenario: &Scenario,
    grower: &Grower,
    spots: &[Spot],
    crop: CropId,
) -> Option<Vec<(Option<Method>, Want)>> {
    if scenario.crops[crop].perennial.is_some() {
        return Some(vec![(None, Want::Years)]);
    }
    let settings = &scenario.crops[crop].settings;
    if !scenario.beds.iter().any(|b| settings.contains(&b.setting)) {
        return Some(vec![(None, Want::Setting(settings.clone()))]);
    }
    let spots: Vec<&Spot> = (spots.iter())
        .filter(|spot| spot.admits(scenario, crop))
        .collect();
    if spots.is_empty() {
        return Some(vec![(None, Want::Never)]);
    }
    let end = scenario.week(scenario.horizon());
    let mut found = Vec::new();
    for method in methods(scenario, crop) {
        // How many sowings want for each.
        let mut wants: BTreeMap<Want, usize> = BTreeMap::new();
        for way in ways(scenario, crop) {
            for spot in &spots {
                let subject = Subject {
                    scenario,
                    grower,
                    crop,
                    way,
                    spot,
                };
                for week in usual_weeks(scenario, crop, method, year_from(scenario.start)) {
                    let sowing = subject.sowing(method, week);
                    let want = match &sowing.outcome {
                        Ok(success) if success.ready < end => return None,
                        Ok(_) => Want::Time,
                        Err(Reason::NoShelf { lit }) => Want::Shelf { lit: *lit },
                        Err(Reason::Growth(Failure::NeedsLamps)) => Want::Shelf { lit: true },
                        Err(Reason::Growth(_)) => Want::Growth(sowing.verdict()),
                    };
                    *wants.entry(want).or_default() += 1;
                }
            }
        }
        let most = wants.into_iter().max_by_key(|(_, times)| *times);
        found.push((Some(method), most.map_or(Want::Time, |(want, _)| want)));
    }
    Some(found)
}
