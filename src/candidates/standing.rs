//! What is in the ground already: how each standing planting may go on from the start.

use super::draft::{Ending, Timeline};
use super::ends::{self, Choice};
use super::season::{BARE, Candidate, FamilyUse, Member};
use super::site::{Pattern, Site};
use super::{meant, names};
use crate::climate::Place;
use crate::domain::{Meant, Standing, StandingId, Way, WayKind};
use crate::growth::{Beginning, Course, Failure, Grower};
use crate::units::Week;

/// The alternatives of a standing planting, per m²: under each pattern and way those that leave
/// something to harvest, and to clear it at once. One that is kept stays to its natural end, and
/// is cleared at once only if in the open it is over by the start.
pub(super) fn alternatives(site: &Site, grower: &Grower, id: StandingId) -> Vec<Candidate> {
    let standing = &site.scenario.standing[id];
    let crop = &site.scenario.crops[standing.crop];
    let ways: Vec<Option<usize>> = match standing.way {
        Some(way) => vec![Some(way)],
        None if crop.ways.is_empty() => vec![None],
        None => (0..crop.ways.len()).map(Some).collect(),
    };
    let mut found = Vec::new();
    for &way in &ways {
        for pattern in &site.patterns {
            let endings = match course(site, grower, id, way, pattern) {
                Ok(course) => endings(site, standing, way, &course),
                // A kept planting that comes to nothing in the open stays until it is lost:
                // covers are never forced.
                Err(failure) if standing.keep && pattern.cover.is_none() => {
                    lost(site, failure).into_iter().collect()
                }
                Err(_) => Vec::new(),
            };
            found.extend(
                endings
                    .iter()
                    .filter(|ending| pattern.cover.is_none() || pattern.touches(0, ending.end))
                    .map(|ending| alternative(site, id, way, pattern, ending)),
            );
        }
    }
    for meant in site.scenario.meant(id) {
        let meant = as_meant(site, grower, id, meant);
        found.extend(meant.filter(|meant| found.iter().all(|other| other.name != meant.name)));
    }
    found.retain(|candidate| meant::open(site, candidate));
    let stays_bare = found
        .iter()
        .any(|candidate| candidate.states.iter().all(|&state| state == BARE));
    if !standing.keep || !stays_bare {
        let at_once = Ending {
            end: 0,
            lots: Vec::new(),
            credited_weeks: 0,
        };
        found.push(alternative(site, id, None, &Pattern::BARE, &at_once));
    }
    found
}

/// What a plan had in mind for it, where a plan is carried on; without a harvest if it comes to
/// nothing by then.
fn as_meant(site: &Site, grower: &Grower, id: StandingId, meant: &Meant) -> Option<Candidate> {
    let scenario = site.scenario;
    let standing = &scenario.standing[id];
    let crop = &scenario.crops[standing.crop];
    // Those that stay to their natural end have it among their alternatives, unless their bed goes out of use.
    let closed = scenario.closed(site.bed, scenario.start, meant.cleared.plus(1));
    if (standing.keep || crop.perennial.is_some()) && !closed {
        return None;
    }
    let pattern = meant::pattern(site, meant)?;
    let end = usize::try_from(site.index(meant.cleared)).ok()?;
    let end = end.min(site.weeks());
    if end == 0 {
        return None;
    }
    let way = meant.way.or(standing.way);
    if way.is_none() && !crop.ways.is_empty() {
        // Nothing was in mind for it, as with what was sown unplanned.
        return None;
    }
    let natural = course(site, grower, id, way, &pattern)
        .ok()
        .and_then(|course| endings(site, standing, way, &course).pop());
    let ending = match natural {
        Some(natural) => meant::ending(site, way.map(|w| &crop.ways[w]), &natural, end),
        None => Ending {
            end,
            lots: Vec::new(),
            credited_weeks: 0,
        },
    };
    let way = way.filter(|_| !ending.lots.is_empty() || crop.ways.is_empty());
    Some(alternative(site, id, way, &pattern, &ending))
}

/// Its course from sowing: up to the start under what lies on its bed now, then under `pattern`.
pub(super) fn course(
    site: &Site,
    grower: &Grower,
    id: StandingId,
    way: Option<usize>,
    pattern: &Pattern,
) -> Result<Course, Failure> {
    let scenario = site.scenario;
    let standing = &scenario.standing[id];
    let place = |week: Week| {
        let place = site.place(week, pattern);
        if week < scenario.start {
            Place {
                cover: scenario.covered_before(standing.bed, week),
                ..place
            }
        } else {
            place
        }
    };
    let beginning = Beginning::of_standing(scenario, id);
    let until = scenario.week(site.weeks());
    match way {
        Some(way) => grower.course(&beginning, way, &place, until),
        None => grower.stand(&beginning, &place, until),
    }
}

/// Where it may end, with what is left to harvest until then.
fn endings(site: &Site, standing: &Standing, way: Option<usize>, course: &Course) -> Vec<Ending> {
    let crop = &site.scenario.crops[standing.crop];
    let timeline = Timeline::of(site, course);
    let choice = if standing.keep || crop.perennial.is_some() {
        Choice::Natural
    } else {
        Choice::All
    };
    let Some(way) = way else {
        return ends::of_green_manure(site, &timeline, choice);
    };
    let share = standing.share * left_share(standing, &crop.ways[way], &timeline);
    let mut endings = ends::of_harvest(site, standing.crop, way, &timeline, share, choice);
    let natural = usize::try_from(timeline.last + 1).unwrap_or(0);
    let natural = natural.min(site.weeks());
    if crop.perennial.is_some() {
        for ending in &mut endings {
            ending.end = natural;
        }
    }
    if endings.is_empty() && standing.keep && natural > 0 {
        // It stays, though nothing of it is to be had in this time.
        endings.push(Ending {
            end: natural,
            lots: Vec::new(),
            credited_weeks: 0,
        });
    }
    endings
}

/// What part of the model's harvest from the start on is still there, 0 to 1.
///
/// What is lifted or cleared at once: all but what has been taken. What is picked: the model
/// knows what was ready before the start; if more of the whole yield was taken than that, the
/// rest shrinks in proportion.
fn left_share(standing: &Standing, way: &Way, timeline: &Timeline) -> f64 {
    match way.kind {
        WayKind::Standing { .. } | WayKind::Clearing => 1.0 - standing.taken,
        WayKind::Picking { .. } => {
            let before: f64 = timeline
                .harvest
                .iter()
                .filter(|&&(week, _)| week < 0)
                .map(|(_, amount)| amount)
                .sum();
            let taken_by_model = before / way.yield_per_m2.usual;
            if standing.taken > taken_by_model {
                (1.0 - standing.taken) / (1.0 - taken_by_model)
            } else {
                1.0
            }
        }
    }
}

/// The end of a kept planting that gives nothing more; `None` if it is over before the start.
fn lost(site: &Site, failure: Failure) -> Option<Ending> {
    let week = match failure {
        Failure::Frost { week } | Failure::Bolts { week } | Failure::PastUse { week } => week,
        Failure::NotReady { before } => before,
        Failure::TooColdToEmerge { given_up } => given_up,
        Failure::OutsideSowingWeeks
        | Failure::PlantedOutOfTurn { .. }
        | Failure::NeedsLamps
        | Failure::TooSlowOnShelf { .. }
        | Failure::NotFitToPlant { .. }
        | Failure::HeldTooLong { .. }
        | Failure::NoSuchWay => return None,
    };
    let end = usize::try_from(site.index(week)).ok()?.min(site.weeks());
    (end > 0).then_some(Ending {
        end,
        lots: Vec::new(),
        credited_weeks: 0,
    })
}

fn alternative(
    site: &Site,
    id: StandingId,
    way: Option<usize>,
    pattern: &Pattern,
    ending: &Ending,
) -> Candidate {
    let scenario = site.scenario;
    let standing = &scenario.standing[id];
    let crop = &scenario.crops[standing.crop];
    let end = ending.end;
    let member = Member {
        crop: standing.crop,
        raising: None,
        lit: false,
        way,
        sown: standing.sown,
        planted: standing.planted,
        cleared: scenario.week(end),
        yield_share: standing.share,
        plant_share: standing.share,
    };
    let what = if end == 0 {
        "cleared_at_once".into()
    } else {
        format!(
            "{}.{}",
            names::member(scenario, &member),
            names::pattern(scenario, pattern, 0, end)
        )
    };
    #[expect(clippy::cast_precision_loss, reason = "weeks are few")]
    let credit = crop.credit_money_per_m2_week * standing.share * ending.credited_weeks as f64;
    Candidate {
        name: names::standing(&standing.name, &what),
        kind: 0,
        standing: Some(id),
        start: 0,
        end,
        states: pattern.states(0, end),
        families: vec![FamilyUse {
            family: crop.family,
            from: 0,
            until: end,
        }],
        lots: ending.lots.clone(),
        shelf: Vec::new(),
        plants: Vec::new(),
        work: if end < site.weeks() && crop.clear_minutes_per_m2 > 0.0 {
            vec![(end, crop.clear_minutes_per_m2)]
        } else {
            Vec::new()
        },
        cost: 0.0 - credit,
        members: vec![member],
    }
}
