//! Plans that are known as strip-years of a season, for a search to begin from.

use crate::candidates::{CandidateId, CoverState, Decided, Member, Season, in_season};
use crate::domain::{BedId, CropId, Scenario, StandingId};
use crate::plan::{Planting, YearPlan, raising_named};
use crate::solve::Answer;
use crate::units::Week;

/// A written plan in `season`, which is that of its scenario or of one that has the same beds first
/// and no less of anything. A planting that is no candidate there is left out; `None` where what
/// stands cannot go on as in the plan, or the plan is not for this scenario.
pub fn of_plan(scenario: &Scenario, plan: &YearPlan, season: &Season) -> Option<Decided> {
    let mut found = Decided::idle(season);
    found.covers = lying(scenario, plan, season)?;
    for (index, planting) in plan.plantings.iter().enumerate() {
        let partner = match &planting.partner {
            None => None,
            Some(id) => Some(plan.plantings.iter().position(|p| p.id == *id)?),
        };
        // The two of a recipe are one candidate, found for the first of them.
        if partner.is_some_and(|partner| partner < index) {
            continue;
        }
        let mut members = vec![member(scenario, planting)?];
        if let Some(partner) = partner {
            members.push(member(scenario, &plan.plantings[partner])?);
        }
        let bed = position(&scenario.beds, |b| &b.name, &planting.bed)?;
        let standing = match &planting.standing {
            None => None,
            Some(name) => Some(position(&scenario.standing, |s| &s.name, name)?),
        };
        match candidate(season, bed, standing, &members, &found.covers[bed]) {
            Some(id) => {
                for &strip in &planting.strips {
                    let strip = usize::try_from(strip).ok()?.checked_sub(1)?;
                    found.strips[bed].get_mut(strip)?.push(id);
                }
            }
            None if standing.is_some() => return None,
            None => found.left_out.push(planting.id.clone()),
        }
    }
    for year in found.strips.iter_mut().flatten() {
        year.sort_by_key(|&id| (season.candidates[id].start, season.candidates[id].end));
    }
    Some(found)
}

/// What the plan lays on the beds, by bed and week.
fn lying(scenario: &Scenario, plan: &YearPlan, season: &Season) -> Option<Vec<Vec<CoverState>>> {
    let mut covers = Decided::idle(season).covers;
    let index = |week: Week| {
        let weeks = usize::try_from(week.since(season.start).max(0)).expect("not negative");
        weeks.min(season.weeks)
    };
    for spell in &plan.covers {
        let bed = position(&scenario.beds, |b| &b.name, &spell.bed)?;
        let cover = position(&scenario.covers, |c| &c.name, &spell.cover)?;
        let (from, until) = (index(spell.placed), index(spell.removed));
        covers[bed][from..until.max(from)].fill(CoverState::try_from(cover + 1).ok()?);
    }
    Some(covers)
}

/// A member of a candidate as plans write it.
struct Written {
    crop: CropId,
    raising: Option<usize>,
    lit: bool,
    way: Option<usize>,
    sown: Week,
    planted: Week,
    cleared: Week,
}

fn member(scenario: &Scenario, planting: &Planting) -> Option<Written> {
    let crop = position(&scenario.crops, |c| &c.name, &planting.crop)?;
    let kind = &scenario.crops[crop];
    Some(Written {
        crop,
        raising: match &planting.raising {
            None => None,
            Some(name) => Some(raising_named(kind, name)?),
        },
        lit: planting.shelf.as_ref().is_some_and(|shelf| shelf.lit),
        way: match &planting.way {
            None => None,
            Some(name) => Some(position(&kind.ways, |w| &w.name, name)?),
        },
        sown: planting.sown,
        planted: planting.planted,
        cleared: planting.cleared,
    })
}

/// The very candidate that was written, under what lies on the bed.
fn candidate(
    season: &Season,
    bed: BedId,
    standing: Option<StandingId>,
    members: &[Written],
    mask: &[CoverState],
) -> Option<CandidateId> {
    let same = |m: &Member, written: &Written| {
        (m.crop, m.raising, m.lit, m.way)
            == (written.crop, written.raising, written.lit, written.way)
            && (m.sown, m.planted, m.cleared) == (written.sown, written.planted, written.cleared)
    };
    (0..season.candidates.len()).find(|&id| {
        let candidate = &season.candidates[id];
        candidate.standing == standing
            && season.allowed(id, bed)
            && candidate.members.len() == members.len()
            && (candidate.members.iter().zip(members)).all(|(m, written)| same(m, written))
            && mask[candidate.start..candidate.end] == candidate.states[..]
    })
}

fn position<T>(list: &[T], name: impl Fn(&T) -> &String, wanted: &str) -> Option<usize> {
    list.iter().position(|entry| name(entry) == wanted)
}

/// An answer of one season in another one, of a scenario with the same beds first and no less of
/// anything; see [`in_season`].
pub fn of_answer(from: &Season, answer: &Answer, to: &Season) -> Option<Decided> {
    in_season(from, &answer.strips, &answer.covers, to)
}
