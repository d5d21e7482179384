//! New plantings of one crop at one site: every sowing, planting, cover and way that succeeds,
//! thinned to those that differ in what they bring.

use super::draft::{Part, Start, Timeline, assemble};
use super::ends::{self, Choice};
use super::planned;
use super::season::Candidate;
use super::site::{Pattern, Site};
use crate::domain::{CropId, Method, ShelfNeed};
use crate::growth::{Beginning, Grower};
use std::ops::RangeInclusive;

/// A cover is worth its trouble if it brings the first harvest forward so much,
const EARLIER_WEEKS: i32 = 2;
/// or lets it last so much longer,
const LASTS_LONGER_WEEKS: i32 = 4;
/// or gives so many times as much within the horizon.
const GIVES_MORE: f64 = 1.3;
/// Of sowings whose harvest begins and ends less than so many weeks apart, one is enough:
const GAP_WEEKS: i32 = 1;
/// so many weeks more under a cover,
const COVERED_GAP_WEEKS: i32 = 1;
/// so many more after a wait on the shelf.
const WAIT_GAP_WEEKS: i32 = 2;
/// A green manure has no harvest to fit into the year: so many weeks more.
const GREEN_GAP_WEEKS: i32 = 3;
/// Sowings further apart than this, in weeks, are never alike.
const MOST_SOWING_GAP: i32 = 8;

/// A planting that succeeds.
struct Trial {
    start: Start,
    /// Planted in the last week in which it may leave the shelf, not the first that succeeds.
    waited: bool,
    way: Option<usize>,
    /// Index of the site's pattern.
    pattern: usize,
    timeline: Timeline,
}

/// A sowing, and the weeks in which it may go into the bed.
pub(super) struct Sowing {
    crop: CropId,
    pub raising: usize,
    lit: bool,
    /// Before the horizon: plants on the shelf at the start.
    sown: i32,
    plantable: RangeInclusive<usize>,
}

impl Sowing {
    /// It planted in each of the weeks.
    pub fn starts(&self) -> impl Iterator<Item = Start> + '_ {
        self.plantable.clone().map(|planted| self.start(planted))
    }

    fn start(&self, planted: usize) -> Start {
        Start {
            crop: self.crop,
            raising: self.raising,
            lit: self.lit,
            sown: self.sown,
            planted,
        }
    }
}

/// All new candidates of the crop at the site, per m².
pub(super) fn of_crop(site: &Site, grower: &Grower, crop: CropId) -> Vec<Candidate> {
    let mut trials = Vec::new();
    for raising in 0..site.scenario.crops[crop].raisings.len() {
        for sowing in sowings(site, grower, crop, raising) {
            trials.extend(tries(site, grower, &sowing));
        }
    }
    thin(&mut trials);
    // What is on the shelf or decided on is not thinned: there are only these.
    for sowing in on_shelf(site, grower, crop) {
        trials.extend(tries(site, grower, &sowing));
    }
    for decided in planned::decided(site, crop, 1) {
        let [start] = decided.starts[..] else {
            continue;
        };
        let sowing = Sowing {
            crop,
            raising: start.raising,
            lit: start.lit,
            sown: start.sown,
            plantable: start.planted..=start.planted,
        };
        let there: Vec<(usize, Option<usize>)> = trials
            .iter()
            .filter(|trial| trial.start == start)
            .map(|trial| (trial.pattern, trial.way))
            .collect();
        let asked = |pattern: &Pattern| decided.patterns.contains(pattern);
        let wanted = tries_under(site, grower, &sowing, &asked).into_iter();
        trials.extend(wanted.filter(|trial| !there.contains(&(trial.pattern, trial.way))));
    }
    trials
        .iter()
        .flat_map(|trial| candidates(site, trial))
        .collect()
}

/// Every sowing week from the start of the plan on, under lamps or not.
fn sowings(site: &Site, grower: &Grower, crop: CropId, raising_id: usize) -> Vec<Sowing> {
    let raising = &site.scenario.crops[crop].raisings[raising_id];
    let mut sowings = Vec::new();
    for sown in (0..site.weeks()).filter(|&week| may_sow(site, crop, raising_id, week)) {
        let stays = if raising.method == Method::Modules {
            shelf_stays(site, grower, crop, raising_id, sown)
        } else {
            vec![(false, sown, sown)]
        };
        sowings.extend(stays.into_iter().map(|(lit, first, last)| Sowing {
            crop,
            raising: raising_id,
            lit,
            sown: i32::try_from(sown).expect("horizons are short"),
            plantable: first..=last.min(site.weeks() - 1),
        }));
    }
    sowings
}

/// What is on the shelf of the crop at the start and can still be planted out.
pub(super) fn on_shelf(site: &Site, grower: &Grower, crop: CropId) -> Vec<Sowing> {
    let entries = site.scenario.on_shelf.iter().filter(|e| e.crop == crop);
    entries
        .filter_map(|entry| {
            let (first, last) = grower
                .shelf_weeks(crop, entry.raising, entry.lit, entry.sown)
                .ok()?;
            let last = usize::try_from(site.index(last)).ok()?;
            Some(Sowing {
                crop,
                raising: entry.raising,
                lit: entry.lit,
                sown: site.index(entry.sown),
                plantable: usize::try_from(site.index(first)).unwrap_or(0)
                    ..=last.min(site.weeks() - 1),
            })
        })
        .collect()
}

/// Whether the crop may be begun anew, by that raising, in that week of the horizon.
pub(super) fn may_sow(site: &Site, crop: CropId, raising: usize, week: usize) -> bool {
    let crop = &site.scenario.crops[crop];
    crop.anew && crop.raisings[raising].may_sow(site.scenario.week(week).of_year())
}

/// Lit or not, first and last week in which plants sown then can leave the shelf. Lamps only
/// where they are needed or make the plants fit earlier.
pub(super) fn shelf_stays(
    site: &Site,
    grower: &Grower,
    crop: CropId,
    raising: usize,
    sown: usize,
) -> Vec<(bool, usize, usize)> {
    let shelf = &site.scenario.shelf;
    let need = site.scenario.crops[crop].raisings[raising].shelf;
    let stay = |lit: bool| {
        let there = if lit { shelf.lit_m2 } else { shelf.unlit_m2 } > 0.0;
        if !there || (need == ShelfNeed::Lit && !lit) {
            return None;
        }
        let sown = site.scenario.week(sown);
        let (first, last) = grower.shelf_weeks(crop, raising, lit, sown).ok()?;
        let index = |week| usize::try_from(site.index(week)).ok();
        Some((lit, index(first)?, index(last)?))
    };
    let (unlit, lit) = (stay(false), stay(true));
    let faster = match (unlit, lit) {
        (Some((_, slow, _)), Some((_, fast, _))) => fast < slow,
        _ => true,
    };
    unlit.into_iter().chain(lit.filter(|_| faster)).collect()
}

/// What the grower model is told about a new planting.
pub(super) fn beginning(site: &Site, start: &Start) -> Beginning {
    Beginning {
        crop: start.crop,
        raising: Some(start.raising),
        lit: start.lit,
        sown: site.scenario.start.plus(start.sown),
        planted: site.scenario.week(start.planted),
        ready_by: None,
    }
}

/// Its course in one way of harvest (`None`: as a green manure), if it succeeds.
pub(super) fn timeline(
    site: &Site,
    grower: &Grower,
    start: &Start,
    way: Option<usize>,
    pattern: &Pattern,
) -> Option<Timeline> {
    let begun = beginning(site, start);
    let place = |week| site.place(week, pattern);
    let until = site.scenario.week(site.weeks());
    let course = match way {
        Some(way) => grower.course(&begun, way, &place, until),
        None => grower.stand(&begun, &place, until),
    };
    course.ok().map(|course| Timeline::of(site, &course))
}

/// The sowing under every pattern and in every way of harvest: planted in the first week in which
/// that succeeds (plants that frost would kill wait for it), or kept on the shelf for a gap as long
/// as they may be.
fn tries(site: &Site, grower: &Grower, sowing: &Sowing) -> Vec<Trial> {
    tries_under(site, grower, sowing, &|_| false)
}

/// The same, with covers also where they make no difference if `asked`.
fn tries_under(
    site: &Site,
    grower: &Grower,
    sowing: &Sowing,
    asked: &dyn Fn(&Pattern) -> bool,
) -> Vec<Trial> {
    let crop = &site.scenario.crops[sowing.crop];
    let (ways, patterns): (Vec<Option<usize>>, &[Pattern]) = if crop.ways.is_empty() {
        // A green manure is hardy by nature and earns too little for a cover.
        (vec![None], &site.patterns[..1])
    } else {
        ((0..crop.ways.len()).map(Some).collect(), &site.patterns)
    };
    let mut trials = Vec::new();
    for way in ways {
        let grown = |planted: usize, pattern: &Pattern| {
            let start = sowing.start(planted);
            timeline(site, grower, &start, way, pattern).map(|timeline| (start, timeline))
        };
        let bare: Vec<Option<(Start, Timeline)>> = sowing
            .plantable
            .clone()
            .map(|planted| grown(planted, &Pattern::BARE))
            .collect();
        for (id, pattern) in patterns.iter().enumerate() {
            let last = *sowing.plantable.end();
            let mut waited = false;
            for (planted, bare) in sowing.plantable.clone().zip(&bare) {
                if waited && planted < last {
                    continue;
                }
                let tried = match pattern.cover {
                    None => bare.clone(),
                    Some(_) if pattern.touches(planted, site.weeks()) => grown(planted, pattern),
                    Some(_) => None,
                };
                let Some((start, timeline)) = tried else {
                    continue;
                };
                let bare = bare.as_ref().map(|(_, timeline)| timeline);
                if pattern.cover.is_none() || worth_covering(bare, &timeline) || asked(pattern) {
                    trials.push(Trial {
                        start,
                        waited,
                        way,
                        pattern: id,
                        timeline,
                    });
                }
                waited = true;
            }
        }
    }
    trials
}

/// Whether a cover makes enough of a difference (all of one when nothing comes of it bare).
pub(super) fn worth_covering(bare: Option<&Timeline>, covered: &Timeline) -> bool {
    let total = |timeline: &Timeline| timeline.harvest.iter().map(|(_, a)| a).sum::<f64>();
    bare.is_none_or(|bare| {
        bare.first - covered.first >= EARLIER_WEEKS
            || covered.last - bare.last >= LASTS_LONGER_WEEKS
            || total(covered) > GIVES_MORE * total(bare)
    })
}

/// Keeps, of sowings that are alike but for their week and bring nearly the same weeks of
/// harvest, the latest: it holds the ground for the shortest time.
fn thin(trials: &mut Vec<Trial>) {
    let series = |t: &Trial| (t.start.raising, t.start.lit, t.waited, t.way, t.pattern);
    trials.sort_by_key(|t| (series(t), std::cmp::Reverse(t.start.sown)));
    let mut kept: Vec<Trial> = Vec::with_capacity(trials.len());
    for trial in trials.drain(..) {
        let alike = |last: &Trial| {
            let gap = gap_weeks(&trial);
            series(last) == series(&trial)
                && (last.timeline.first - trial.timeline.first).abs() < gap
                && (last.timeline.last - trial.timeline.last).abs() < gap
                && last.start.sown - trial.start.sown < MOST_SOWING_GAP
        };
        if !kept.last().is_some_and(alike) {
            kept.push(trial);
        }
    }
    *trials = kept;
}

/// First harvests (and ends) less than so many weeks apart are nearly the same.
fn gap_weeks(trial: &Trial) -> i32 {
    let covered = if trial.pattern > 0 {
        COVERED_GAP_WEEKS
    } else {
        0
    };
    let waited = if trial.waited { WAIT_GAP_WEEKS } else { 0 };
    let green_manure = if trial.way.is_none() {
        GREEN_GAP_WEEKS
    } else {
        0
    };
    GAP_WEEKS + covered + waited + green_manure
}

/// The trial's ends as candidates.
fn candidates(site: &Site, trial: &Trial) -> Vec<Candidate> {
    let pattern = &site.patterns[trial.pattern];
    let start = trial.start.planted;
    let endings = match trial.way {
        Some(way) => ends::of_harvest(
            site,
            trial.start.crop,
            way,
            &trial.timeline,
            1.0,
            Choice::All,
        ),
        None => ends::of_green_manure(site, &trial.timeline, Choice::All),
    };
    endings
        .iter()
        // Cleared before the cover would come on, it is the bare candidate over again.
        .filter(|ending| trial.pattern == 0 || pattern.touches(start, ending.end))
        .map(|ending| {
            let part = Part {
                start: trial.start,
                way: trial.way,
                ending,
                yield_share: 1.0,
                plant_share: 1.0,
            };
            assemble(site, &[part], pattern, None)
        })
        .collect()
}
