//! Simulated annealing on explicit strips: many small exact changes of single plantings, a few re-planned
//! strips and masks among them.

use super::context::Context;
use super::draft::{Draft, Years};
use super::exchange::{drawn, elsewhere};
use super::improve::{Guide, Improver, one_of};
use super::masks::Stretch;
use super::rotation::keeps_rotation;
use crate::candidates::{CandidateId, GroupId};
use rand::Rng;
use std::collections::BTreeMap;

/// How warm and how long.
#[derive(Clone, Copy, Debug)]
pub struct Cooling {
    /// Money of loss that is accepted with probability 1/e, at the start and at the end.
    pub first: f64,
    pub last: f64,
    pub moves: u64,
}

/// Candidates of one crop on one bed kind, for small shifts.
pub struct Neighbours {
    of: BTreeMap<(usize, usize), Vec<CandidateId>>,
}

impl Neighbours {
    /// Gathers them by (kind, first crop), by start.
    pub fn of(context: &Context) -> Neighbours {
        let mut of: BTreeMap<(usize, usize), Vec<CandidateId>> = BTreeMap::new();
        for (c, candidate) in context.season.candidates.iter().enumerate() {
            if let (None, Some(member)) = (candidate.standing, candidate.members.first()) {
                of.entry((candidate.kind, member.crop)).or_default().push(c);
            }
        }
        for list in of.values_mut() {
            list.sort_by_key(|&c| (context.season.candidates[c].start, c));
        }
        Neighbours { of }
    }
}

/// Anneals; the draft ends as the best plan met. `go_on` is asked now and then, with the moves made and the worth of
/// the best plan met.
pub fn anneal(
    improver: &mut Improver,
    draft: &mut Draft,
    neighbours: &Neighbours,
    stretches: &[Vec<Stretch>],
    guide: &Guide,
    cooling: &Cooling,
    mut go_on: impl FnMut(u64, f64) -> bool,
) {
    // Estimates, tuned on the demo holding: how often the dear moves are made, and checks of limits.
    const RENEW_EVERY: u64 = 25;
    const MASKS_EVERY: u64 = 600;
    // From this part of a round on hardly a change of masks gains, see docs/decisions/32.
    const MASKS_SETTLED: f64 = 2.0 / 3.0;
    const EXCHANGE_EVERY: u64 = 2;
    const ASK_EVERY: u64 = 500;
    const REFRESH_EVERY: u64 = 4000;
    // Another mask costs a whole bed its settled years: so many times the usual loss is taken (tuned on
    // the demo holding).
    const FOR_A_BED: f64 = 8.0;
    let context = improver.context;
    // Beds of a standing year are planned anew for all years of their rings.
    let years = context.season.ground_weeks() / context.season.weeks;
    let masks_every = MASKS_EVERY * years as u64;
    let Some(mut worth) = draft.worth(context) else {
        return;
    };
    let mut best = (worth, draft.clone());
    for step in 0..cooling.moves {
        let done = step as f64 / cooling.moves as f64;
        let warmth = cooling.first * (cooling.last / cooling.first).powf(done);
        if done < MASKS_SETTLED && step % masks_every == masks_every - 1 {
            if let Some(changes) = improver.draw_masks(draft, stretches) {
                worth = improver
                    .try_masks(draft, &changes, worth - FOR_A_BED * warmth, Some(guide))
                    .max(draft.worth(context).unwrap_or(f64::NEG_INFINITY));
                worth = draft.worth(context).unwrap_or(worth);
            }
        } else if step % RENEW_EVERY == RENEW_EVERY - 1 {
            worth = improver.renew_any(
                draft,
                worth - warmth,
                (step % (2 * RENEW_EVERY) < RENEW_EVERY).then_some(guide),
                0.1,
            );
            worth = draft.worth(context).unwrap_or(worth);
        } else if step % EXCHANGE_EVERY == 0 {
            worth = exchange(improver, draft, worth, warmth);
        } else {
            worth = small_move(improver, draft, neighbours, worth, warmth);
        }
        if step % REFRESH_EVERY == REFRESH_EVERY - 1 {
            draft.refresh(context, improver.larder, 1);
            worth = draft.worth(context).unwrap_or(worth);
        }
        if worth > best.0 + 1e-9 {
            best = (worth, draft.clone());
        }
        if step % ASK_EVERY == 0 && !go_on(step, best.0) {
            break;
        }
    }
    *draft = best.1;
}

/// Exchanges what stands in two strips for some weeks; the worth after.
fn exchange(improver: &mut Improver, draft: &mut Draft, worth: f64, warmth: f64) -> f64 {
    let Some(years) = drawn(improver, draft) else {
        return worth;
    };
    tried(improver, draft, years, worth, warmth)
}

/// Puts years on strips and takes them back where the loss is too great; the worth after.
fn tried(improver: &mut Improver, draft: &mut Draft, years: Years, worth: f64, warmth: f64) -> f64 {
    /// What the prices of divisions may be wrong by, money: measured, see docs/decisions/30.
    const DOUBT: f64 = 0.05;
    let context = improver.context;
    // A loss is taken as likely as exp(-loss / warmth).
    let allowed = -warmth * (1.0 - improver.random.random::<f64>()).ln();
    let Some(replaced) = draft.replace_for(context, improver.larder, years, -allowed - DOUBT)
    else {
        return worth;
    };
    match draft.worth(context) {
        Some(new) if new >= worth - allowed => new,
        _ => {
            draft.restore(context, improver.larder, replaced);
            worth
        }
    }
}

/// Puts one planting in, or shifts one, or takes one out; the worth after.
fn small_move(
    improver: &mut Improver,
    draft: &mut Draft,
    neighbours: &Neighbours,
    worth: f64,
    warmth: f64,
) -> f64 {
    let (group, strip) = improver.random_strip();
    let Some((year, given_up)) = changed_year(improver, draft, neighbours, group, strip) else {
        return worth;
    };
    let season = improver.context.season;
    let meets = |&c: &CandidateId| {
        let given_up = given_up == Some(c) || season.candidates[c].standing.is_some();
        !given_up && !year.contains(&c)
    };
    let old = draft.years[group][strip].iter().copied();
    let in_the_way: Vec<CandidateId> = old.filter(meets).collect();
    let mut years = vec![((group, strip), year)];
    // Where work is short, what gives way had better go: half of the time it does.
    if !in_the_way.is_empty() && improver.random.random::<bool>() {
        elsewhere(improver, draft, &mut years, &in_the_way);
    }
    tried(improver, draft, years, worth, warmth)
}

/// A year for the strip with one planting more, less or other than it has, and the one that was given up for it.
fn changed_year(
    improver: &mut Improver,
    draft: &Draft,
    neighbours: &Neighbours,
    group: GroupId,
    strip: usize,
) -> Option<(Vec<CandidateId>, Option<CandidateId>)> {
    const NEAR: usize = 12; // neighbours looked at on either side of a planting
    const TASTE: i32 = 3; // for candidates that lose little; tuned on the demo holding
    let context = improver.context;
    let season = context.season;
    let bed = season.groups[group].bed;
    let year = &draft.years[group][strip];
    let fitting = &improver.fitting[bed].by_loss;
    if let (Some(cycle), false) = (&season.cycle, year.is_empty()) {
        // The table does not see in which year of its ring a planting is: room is made by moving them.
        const OTHER_YEAR: u32 = 4; // one move in so many, an estimate
        if improver.random.random_range(0..OTHER_YEAR) == 0 {
            let place = improver.random.random_range(0..year.len());
            let copies = &cycle.copies[year[place]];
            let chosen = copies[improver.random.random_range(0..copies.len())];
            if season.candidates[chosen].standing.is_some() || chosen == year[place] {
                return None;
            }
            let mut rest = year.clone();
            rest.remove(place);
            return Some((
                insert(context, draft, group, &rest, chosen)?,
                Some(year[place]),
            ));
        }
    }
    let kind_of_move = improver.random.random_range(0..10);
    let place = if year.is_empty() {
        0
    } else {
        improver.random.random_range(0..year.len())
    };
    if kind_of_move == 0 {
        // Take one out.
        let c = *year.get(place)?;
        if season.candidates[c].standing.is_some() {
            return Some((other_alternative(improver, draft, group, year)?, None));
        }
        let mut new = year.clone();
        new.remove(place);
        return Some((new, Some(c)));
    }
    let mut given_up = None;
    let chosen = if kind_of_move < 6 && !year.is_empty() {
        let c = year[place];
        let old = &season.candidates[c];
        let list = neighbours.of.get(&(old.kind, old.members.first()?.crop))?;
        let at = list.partition_point(|&o| season.candidates[o].start < old.start);
        let from = at.saturating_sub(NEAR);
        let to = (at + NEAR).min(list.len());
        let pick = list[improver
            .random
            .random_range(from..to.max(from + 1))
            .min(list.len() - 1)];
        if !context.fits_mask(pick, &draft.masks[bed]) || !season.allowed(pick, bed) {
            return None;
        }
        given_up = Some(c);
        pick
    } else {
        if fitting.is_empty() {
            return None;
        }
        fitting[one_of(&mut improver.random, fitting.len(), TASTE)]
    };
    if context.excluded[chosen] {
        return None;
    }
    Some((insert(context, draft, group, year, chosen)?, given_up))
}

/// Another way to treat what stands, what no longer fits after it dropped.
fn other_alternative(
    improver: &mut Improver,
    draft: &Draft,
    group: GroupId,
    year: &[CandidateId],
) -> Option<Vec<CandidateId>> {
    let context = improver.context;
    let season = context.season;
    let mask = &draft.masks[season.groups[group].bed];
    let all: Vec<CandidateId> = context.terrains.alternatives[group]
        .iter()
        .copied()
        .filter(|&c| context.fits_mask(c, mask) && !context.excluded[c])
        .collect();
    if all.is_empty() {
        return None;
    }
    let chosen = all[improver.random.random_range(0..all.len())];
    let mut new = vec![chosen];
    for &c in &year[1..] {
        if season.candidates[c].start >= season.candidates[chosen].end {
            new.push(c);
        }
    }
    keeps_rotation(context.season, group, &new).then_some(new)
}

/// The year with the candidate put in and all that it meets taken out; `None` where rotation forbids.
fn insert(
    context: &Context,
    draft: &Draft,
    group: GroupId,
    year: &[CandidateId],
    chosen: CandidateId,
) -> Option<Vec<CandidateId>> {
    let season = context.season;
    let new = &season.candidates[chosen];
    if new.end > season.groups[group].weeks {
        return None;
    }
    let mut changed = Vec::with_capacity(year.len() + 1);
    for &c in year {
        let old = &season.candidates[c];
        if old.end <= new.start {
            changed.push(c);
        } else if old.standing.is_some() {
            // What stands gives way: its longest alternative that ends in time.
            let mask = &draft.masks[season.groups[group].bed];
            let other = context.terrains.alternatives[group]
                .iter()
                .copied()
                .filter(|&a| season.candidates[a].end <= new.start && context.fits_mask(a, mask))
                .max_by_key(|&a| (season.candidates[a].end, a))?;
            changed.push(other);
        }
    }
    let before = changed.len();
    changed.push(chosen);
    changed.extend(year.iter().copied().filter(|&c| {
        season.candidates[c].standing.is_none() && season.candidates[c].start >= new.end
    }));
    if keeps_rotation(context.season, group, &changed) {
        return Some(changed);
    }
    // Drop what shares a family with it and try again.
    let shares = |c: CandidateId| {
        season.candidates[c]
            .families
            .iter()
            .any(|u| new.families.iter().any(|n| n.family == u.family))
    };
    let mut index = 0;
    changed.retain(|&c| {
        index += 1;
        index - 1 == before || season.candidates[c].standing.is_some() || !shares(c)
    });
    keeps_rotation(context.season, group, &changed).then_some(changed)
}
