//! Which cover lies on which bed when. A cover lies on a whole bed, so a mask (a state for every week)
//! is decided bed by bed, as stretches that plantings ask for, within the covers to hand.

use super::context::{Context, Masks};
use super::improve::{Guide, fitting};
use crate::candidates::{BARE, CoverState, KindId};
use crate::domain::BedId;
use crate::strips::{Moves, PathFinder};

/// A cover on a bed from week `on` to before week `off`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stretch {
    pub state: CoverState,
    pub on: usize,
    pub off: usize,
}

/// The stretches that the candidates of each kind ask for.
pub fn stretches(context: &Context) -> Vec<Vec<Stretch>> {
    let season = context.season;
    let mut found: Vec<Vec<Stretch>> = vec![Vec::new(); season.kinds.len()];
    for candidate in &season.candidates {
        let mut offset = 0;
        for run in candidate.states.chunk_by(|a, b| a == b) {
            let (on, off) = (
                candidate.start + offset,
                candidate.start + offset + run.len(),
            );
            offset += run.len();
            // Where the planting begins or ends under the cover, the cover's own ends are not seen.
            let begins = on > candidate.start || on == 0;
            let ends = off < candidate.end || off == season.weeks;
            if run[0] != BARE && begins && ends {
                found[candidate.kind].push(Stretch {
                    state: run[0],
                    on,
                    off,
                });
            }
        }
    }
    for list in &mut found {
        list.sort_unstable();
        list.dedup();
    }
    found
}

/// Covers in use by kind and week.
pub fn in_use(context: &Context, masks: &Masks) -> Vec<Vec<u32>> {
    let season = context.season;
    let mut used = vec![vec![0; season.weeks]; season.covers.len()];
    for mask in masks {
        for (week, &state) in mask.iter().enumerate() {
            if state != BARE {
                used[usize::from(state) - 1][week] += 1;
            }
        }
    }
    used
}

/// The mask with the stretch laid on (anything it overlaps taken off for its whole length).
pub fn with(mask: &[CoverState], stretch: Stretch) -> Vec<CoverState> {
    let mut new = mask.to_vec();
    clear_around(&mut new, stretch.on, stretch.off);
    new[stretch.on..stretch.off].fill(stretch.state);
    new
}

/// Takes off every cover that lies in some week of `on..off`, for the whole time it lies there.
fn clear_around(mask: &mut [CoverState], on: usize, off: usize) {
    let mut runs = Vec::new();
    let mut start = 0;
    for run in mask.chunk_by(|a, b| a == b) {
        runs.push((start, start + run.len()));
        start += run.len();
    }
    for (from, to) in runs {
        if from < off && to > on {
            mask[from..to].fill(BARE);
        }
    }
}

/// Whether the covers to hand suffice.
pub fn in_stock(context: &Context, masks: &Masks) -> bool {
    in_use(context, masks)
        .iter()
        .zip(&context.season.covers)
        .all(|(weeks, cover)| weeks.iter().all(|&n| n <= cover.count))
}

/// Masks by what the prices of a relaxation say: stretches that gain a bed most, as long as there are
/// covers.
pub fn first_masks(context: &Context, guide: &Guide) -> Masks {
    let season = context.season;
    let choices = stretches(context);
    let mut masks: Masks = vec![vec![BARE; season.weeks]; season.beds.len()];
    let bare: Vec<f64> = (0..season.beds.len())
        .map(|bed| bed_value(context, guide, bed, &masks[bed]))
        .collect();
    let mut gains: Vec<(f64, BedId, Stretch)> = Vec::new();
    for (bed, ground) in season.beds.iter().enumerate() {
        for &stretch in kind_choices(&choices, ground.kind) {
            let mask = with(&masks[bed], stretch);
            let gain =
                bed_value(context, guide, bed, &mask) - bare[bed] - move_money(context, bed, &mask);
            if gain > 0.0 {
                gains.push((gain, bed, stretch));
            }
        }
    }
    gains.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
    for (_, bed, stretch) in gains {
        if masks[bed][stretch.on..stretch.off]
            .iter()
            .any(|&s| s != BARE)
        {
            continue;
        }
        let before = masks[bed].clone();
        masks[bed] = with(&before, stretch);
        if !in_stock(context, &masks) {
            masks[bed] = before;
        }
    }
    masks
}

fn kind_choices(choices: &[Vec<Stretch>], kind: KindId) -> &[Stretch] {
    &choices[kind]
}

/// What a bed's strips are worth under a mask at the guide's values, covers paid.
pub fn bed_value(context: &Context, guide: &Guide, bed: BedId, mask: &[CoverState]) -> f64 {
    let value = |c: usize| guide.value(c);
    let arcs = context.arcs(&fitting(context, bed, mask), None, value);
    let moves = Moves::free();
    let mut finder = PathFinder::new(
        context.season.weeks,
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
    let mut before = context.season.beds[bed].state_before;
    let mut money = 0.0;
    for &state in mask {
        money += moves.0[usize::from(before)][usize::from(state)];
        before = state;
    }
    money
}
