//! Which cover lies on which bed when. A cover lies on a whole bed, so a mask (a state for every week)
//! is decided bed by bed, as stretches that plantings ask for, within the covers to hand.

use super::context::{Context, Masks};
use super::improve::Guide;
use crate::candidates::{BARE, CandidateId, CoverState, KindId};
use crate::domain::BedId;
use crate::strips::{Moves, PathFinder};
use std::collections::BTreeMap;

/// A cover on a bed from week `on` to before week `off`; in a standing year every year, `on` within the
/// first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stretch {
    pub state: CoverState,
    pub on: usize,
    pub off: usize,
}

/// The stretches that the candidates of each kind ask for.
pub fn stretches(context: &Context, losses: &[f64]) -> Vec<Vec<Stretch>> {
    let season = context.season;
    let mut found: Vec<BTreeMap<Stretch, f64>> = vec![BTreeMap::new(); season.kinds.len()];
    for (c, candidate) in season.candidates.iter().enumerate() {
        let mut offset = 0;
        for run in candidate.states.chunk_by(|a, b| a == b) {
            let (on, off) = (
                candidate.start + offset,
                candidate.start + offset + run.len(),
            );
            offset += run.len();
            let round = season.cycle.is_some();
            // Where the planting begins or ends under the cover, the cover's own ends are not seen.
            let begins = on > candidate.start || (on == 0 && !round);
            let ends = off < candidate.end || (off == season.weeks && !round);
            if run[0] != BARE && begins && ends {
                let before = if round { on - on % season.weeks } else { 0 };
                let stretch = Stretch {
                    state: run[0],
                    on: on - before,
                    off: off - before,
                };
                let loss = losses.get(c).copied().unwrap_or(0.0);
                let least = found[candidate.kind].entry(stretch).or_insert(loss);
                *least = least.min(loss);
            }
        }
    }
    found
        .into_iter()
        .map(|all| {
            let mut list: Vec<(Stretch, f64)> = all.into_iter().collect();
            list.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
            list.into_iter().map(|(stretch, _)| stretch).collect()
        })
        .collect()
}

/// Covers in use by kind and week.
pub fn in_use(context: &Context, masks: &Masks) -> Vec<Vec<u32>> {
    let season = context.season;
    let mut used = vec![vec![0; season.weeks]; season.covers.len()];
    for mask in masks {
        for (week, &state) in mask[..season.weeks].iter().enumerate() {
            if state != BARE {
                used[usize::from(state) - 1][week] += 1;
            }
        }
    }
    used
}

/// The mask with the stretch laid on (anything it overlaps taken off for its whole length).
pub fn with(context: &Context, mask: &[CoverState], stretch: Stretch) -> Vec<CoverState> {
    let weeks = context.season.weeks;
    let round = context.season.cycle.is_some();
    let mut new = mask[..weeks].to_vec();
    for week in stretch.on..stretch.off {
        clear_at(&mut new, week % weeks, round);
    }
    for week in stretch.on..stretch.off {
        new[week % weeks] = stretch.state;
    }
    // Every year of a standing year is the same.
    new.iter().copied().cycle().take(mask.len()).collect()
}

/// Takes the cover that lies there in a week off for the whole time it lies there, `round` the turn of the year
/// or not.
fn clear_at(mask: &mut [CoverState], week: usize, round: bool) {
    let state = mask[week];
    if state == BARE {
        return;
    }
    let weeks = mask.len();
    let mut at = week;
    while mask[at] == state {
        mask[at] = BARE;
        if at + 1 == weeks && !round {
            break;
        }
        at = (at + 1) % weeks;
    }
    let mut at = week;
    while at > 0 || round {
        at = (at + weeks - 1) % weeks;
        if mask[at] != state {
            break;
        }
        mask[at] = BARE;
    }
}

impl Stretch {
    /// Which week of the stretch a week is, if it is one of them.
    fn week(&self, context: &Context, week: usize) -> Option<usize> {
        let weeks = context.season.weeks;
        let place = match context.season.cycle {
            Some(_) => (week + weeks - self.on) % weeks,
            None => week.checked_sub(self.on)?,
        };
        (place < self.off - self.on).then_some(place)
    }
}

/// Whether the covers to hand suffice.
pub fn in_stock(context: &Context, masks: &Masks) -> bool {
    in_use(context, masks)
        .iter()
        .zip(&context.season.covers)
        .all(|(weeks, cover)| weeks.iter().all(|&n| n <= cover.count))
}

/// Masks by what a relaxation plants: stretches under which it has most strips, laid on the beds that lose
/// least by them at its prices, as long as there are covers.
pub fn first_masks(
    context: &Context,
    guide: &Guide,
    choices: &[Vec<Stretch>],
    strips: &[f64],
) -> Masks {
    // Share of a bed's strip-weeks under a stretch that must be asked for; tuned on the demo holding.
    const LEAST: f64 = 0.3;
    let season = context.season;
    let mut masks: Masks = vec![vec![BARE; season.ground_weeks()]; season.beds.len()];
    let mut asked: Vec<(CandidateId, f64)> = (0..strips.len())
        .filter(|&c| strips[c] > 1e-3 && season.candidates[c].states.iter().any(|&s| s != BARE))
        .map(|c| (c, strips[c]))
        .collect();
    let mut refused: Vec<(KindId, Stretch)> = Vec::new();
    loop {
        let mut best: Option<(f64, KindId, Stretch)> = None;
        for (kind, stretches) in choices.iter().enumerate() {
            let beds = season.beds.iter().filter(|b| b.kind == kind);
            let Some(per_bed) = beds.map(|b| b.strips).min() else {
                continue;
            };
            for &stretch in stretches {
                if refused.contains(&(kind, stretch)) {
                    continue;
                }
                let covered = captured(context, kind, stretch, &asked, f64::from(per_bed));
                let all = f64::from(per_bed) * (stretch.off - stretch.on) as f64;
                if covered >= LEAST * all && best.is_none_or(|(most, ..)| covered > most) {
                    best = Some((covered, kind, stretch));
                }
            }
        }
        let Some((_, kind, stretch)) = best else {
            break;
        };
        let mut place: Option<(f64, BedId)> = None;
        for bed in 0..season.beds.len() {
            if season.beds[bed].kind != kind
                || masks[bed][stretch.on..stretch.off]
                    .iter()
                    .any(|&s| s != BARE)
            {
                continue;
            }
            let mask = with(context, &masks[bed], stretch);
            let mut trial = masks.clone();
            trial[bed].clone_from(&mask);
            if !in_stock(context, &trial) {
                continue;
            }
            let gain = bed_value(context, guide, bed, &mask)
                - move_money(context, bed, &mask)
                - bed_value(context, guide, bed, &masks[bed])
                + move_money(context, bed, &masks[bed]);
            if place.is_none_or(|(most, _)| gain > most) {
                place = Some((gain, bed));
            }
        }
        let Some((_, bed)) = place else {
            refused.push((kind, stretch));
            continue;
        };
        masks[bed] = with(context, &masks[bed], stretch);
        take(
            context,
            kind,
            stretch,
            &mut asked,
            f64::from(season.beds[bed].strips),
        );
    }
    masks
}

/// Whether a candidate could stand in a bed that has only this cover, and uses it.
fn served(context: &Context, kind: KindId, stretch: Stretch, c: CandidateId) -> bool {
    let candidate = &context.season.candidates[c];
    candidate.kind == kind
        && (candidate.start..candidate.end)
            .zip(&candidate.states)
            .all(|(week, &state)| {
                let there = stretch.week(context, week).is_some();
                state == if there { stretch.state } else { BARE }
            })
        && candidate.states.contains(&stretch.state)
}

/// Strip-weeks under a stretch that are asked for, of a bed with so many strips.
fn captured(
    context: &Context,
    kind: KindId,
    stretch: Stretch,
    asked: &[(CandidateId, f64)],
    strips: f64,
) -> f64 {
    let mut weeks = vec![0.0; stretch.off - stretch.on];
    for &(c, n) in asked {
        if served(context, kind, stretch, c) {
            let candidate = &context.season.candidates[c];
            for week in
                (candidate.start..candidate.end).filter_map(|week| stretch.week(context, week))
            {
                weeks[week] += n;
            }
        }
    }
    weeks.iter().map(|n: &f64| n.min(strips)).sum()
}

/// Takes what a bed under a stretch can hold from what is asked for.
fn take(
    context: &Context,
    kind: KindId,
    stretch: Stretch,
    asked: &mut [(CandidateId, f64)],
    strips: f64,
) {
    let mut left = vec![strips; stretch.off - stretch.on];
    for (c, n) in asked.iter_mut() {
        if served(context, kind, stretch, *c) {
            let candidate = &context.season.candidates[*c];
            let weeks: Vec<usize> = (candidate.start..candidate.end)
                .filter_map(|week| stretch.week(context, week))
                .collect();
            let most = weeks.iter().fold(*n, |m, &week| m.min(left[week]));
            *n -= most;
            weeks.iter().for_each(|&week| left[week] -= most);
        }
    }
}

/// What a bed's strips are worth under a mask at the guide's values, covers paid.
pub fn bed_value(context: &Context, guide: &Guide, bed: BedId, mask: &[CoverState]) -> f64 {
    let value = |c: usize| guide.value(c);
    let terrain = &context.terrains.list[context.terrains.of_bed[bed]];
    let fitting = context.all_fitting(&terrain.candidates, mask);
    let arcs = context.arcs(&fitting, None, value);
    let moves = Moves::free();
    let mut finder = PathFinder::new(
        context.season.ground_weeks(),
        context.states(),
        &arcs,
        &context.uses,
        &moves,
    );
    context.groups_of[bed]
        .iter()
        .map(|&group| {
            let standing = context.standing_arcs(group, Some(mask), &value);
            let path = finder.good(&context.strip(group, standing.as_deref()));
            path.value.max(-1e6) * context.count(group) as f64
        })
        .sum()
}

/// Work of moving covers for one bed's mask, money.
pub fn move_money(context: &Context, bed: BedId, mask: &[CoverState]) -> f64 {
    let moves = context.moves(1);
    let mut before = context.season.state_before(bed, mask);
    let mut money = 0.0;
    for &state in &mask[..context.season.weeks] {
        money += moves.0[usize::from(before)][usize::from(state)];
        before = state;
    }
    money
}
