//! Candidates per m² of bed, put together from their members; scaled to the strips of a kind.

use super::names;
use super::season::{BedKind, Candidate, FamilyUse, KindId, Lot, Member, PlantUse, ShelfUse};
use super::site::{Pattern, Site};
use super::store;
use crate::domain::{CropId, Method, Scenario};
use crate::growth::Course;

/// How a new planting begins. Weeks are of the horizon; one before it is that of plants on the
/// shelf at the start.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Start {
    pub crop: CropId,
    pub raising: usize,
    pub lit: bool,
    pub sown: i32,
    pub planted: usize,
}

/// How a planting ends, and what it gives until then per m².
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Ending {
    /// First week after its last in the ground, at most the weeks of the horizon.
    pub end: usize,
    pub lots: Vec<Lot>,
    /// Weeks in which it covers the ground as a green manure.
    pub credited_weeks: usize,
}

/// A course in weeks of the horizon: what lies before the start is negative.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Timeline {
    pub first: i32,
    /// Last week in which it can be harvested, lifted or covers the ground.
    pub last: i32,
    /// Per m², ascending weeks.
    pub harvest: Vec<(i32, f64)>,
}

impl Timeline {
    pub fn of(site: &Site, course: &Course) -> Timeline {
        Timeline {
            first: site.index(course.first),
            last: site.index(course.last),
            harvest: course
                .harvest
                .iter()
                .map(|&(week, amount)| (site.index(week), amount))
                .collect(),
        }
    }
}

/// One member of a new candidate.
pub(super) struct Part<'a> {
    pub start: Start,
    pub way: Option<usize>,
    pub ending: &'a Ending,
    pub yield_share: f64,
    pub plant_share: f64,
}

/// Number of the product of a crop's way: products are listed crop by crop, way by way.
pub(super) fn product(scenario: &Scenario, crop: CropId, way: usize) -> usize {
    scenario.crops[..crop]
        .iter()
        .map(|crop| crop.ways.len())
        .sum::<usize>()
        + way
}

/// The candidate per m² made of one part, or of the two of a recipe. Its kind is set later.
pub(super) fn assemble(
    site: &Site,
    parts: &[Part],
    pattern: &Pattern,
    recipe: Option<&str>,
) -> Candidate {
    let scenario = site.scenario;
    let start = parts.iter().map(|p| p.start.planted).min();
    let start = start.expect("a candidate has members");
    let end = parts.iter().map(|p| p.ending.end).max().unwrap_or(start);
    let mut candidate = Candidate {
        name: String::new(),
        kind: 0,
        standing: None,
        start,
        end,
        states: pattern.states(start, end),
        families: Vec::new(),
        lots: Vec::new(),
        shelf: Vec::new(),
        plants: Vec::new(),
        work: Vec::new(),
        cost: 0.0,
        members: Vec::new(),
    };
    for part in parts {
        add(site, &mut candidate, part);
    }
    candidate.work = by_week(candidate.work);
    candidate.name = match recipe {
        Some(recipe) => names::recipe(recipe, &candidate.members),
        None => names::member(scenario, &candidate.members[0]),
    };
    candidate.name += ".";
    candidate.name += &names::pattern(scenario, pattern, start, end);
    candidate
}

fn add(site: &Site, candidate: &mut Candidate, part: &Part) {
    let Start {
        crop: id,
        raising: raising_id,
        lit,
        sown,
        planted,
    } = part.start;
    let crop = &site.scenario.crops[id];
    let raising = &crop.raisings[raising_id];
    let end = part.ending.end;
    candidate
        .lots
        .extend(part.ending.lots.iter().map(|lot| Lot {
            amount: lot.amount * part.yield_share,
            ..*lot
        }));
    let plants = raising.plants_per_m2 * part.plant_share;
    if raising.method == Method::Modules {
        let from = usize::try_from(sown).unwrap_or(0);
        candidate.shelf.extend((from..planted).map(|week| ShelfUse {
            week,
            lit,
            m2: plants / raising.plants_per_shelf_m2,
        }));
    }
    match usize::try_from(sown) {
        Ok(week) => {
            candidate.work.push((week, raising.sow_minutes_per_m2));
            candidate.cost += plants * raising.seeds_per_plant * raising.seed_money;
        }
        // Sown before the plan: nothing to buy or to sow, but there are only so many.
        Err(_) => candidate.plants.push(PlantUse {
            of: store::shelf_entry(site.scenario, &part.start)
                .expect("what is sown before the start is on the shelf"),
            plants,
        }),
    }
    candidate.work.push((planted, raising.plant_minutes_per_m2));
    if end < site.weeks() {
        candidate.work.push((end, crop.clear_minutes_per_m2));
    }
    #[expect(clippy::cast_precision_loss, reason = "weeks are few")]
    let credit = crop.credit_money_per_m2_week * part.ending.credited_weeks as f64;
    candidate.cost -= credit;
    add_family(
        candidate,
        FamilyUse {
            family: crop.family,
            from: planted,
            until: end,
        },
    );
    candidate.members.push(Member {
        crop: id,
        raising: Some(raising_id),
        lit,
        way: part.way,
        sown: site.scenario.start.plus(sown),
        planted: site.scenario.week(planted),
        cleared: site.scenario.week(end),
        yield_share: part.yield_share,
        plant_share: part.plant_share,
    });
}

/// Two members of one family count as one, from the first's planting to the last's clearing.
fn add_family(candidate: &mut Candidate, new: FamilyUse) {
    match candidate
        .families
        .iter_mut()
        .find(|have| have.family == new.family)
    {
        Some(have) => {
            have.from = have.from.min(new.from);
            have.until = have.until.max(new.until);
        }
        None => candidate.families.push(new),
    }
}

/// Ascending weeks, one entry each, without zeros.
fn by_week(mut work: Vec<(usize, f64)>) -> Vec<(usize, f64)> {
    work.sort_by_key(|&(week, _)| week);
    let mut sums: Vec<(usize, f64)> = Vec::with_capacity(work.len());
    for (week, minutes) in work {
        match sums.last_mut() {
            Some((last, sum)) if *last == week => *sum += minutes,
            _ => sums.push((week, minutes)),
        }
    }
    sums.retain(|&(_, minutes)| minutes > 0.0);
    sums
}

/// The candidate on one strip of a kind.
pub(super) fn on_strip(draft: &Candidate, id: KindId, kind: &BedKind) -> Candidate {
    let mut candidate = draft.clone();
    let m2 = kind.strip_m2;
    candidate.name = format!("{}.{}", draft.name, kind.name);
    candidate.kind = id;
    candidate.cost *= m2;
    for lot in &mut candidate.lots {
        lot.amount *= m2;
    }
    for shelf in &mut candidate.shelf {
        shelf.m2 *= m2;
    }
    for used in &mut candidate.plants {
        used.plants *= m2;
    }
    for (_, minutes) in &mut candidate.work {
        *minutes *= m2;
    }
    candidate
}
