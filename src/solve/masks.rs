//! Which cover lies on which bed when. A cover lies on a whole bed, so a mask (a state for every week)
//! is decided bed by bed, as stretches that plantings ask for, within the covers to hand.

use super::context::{Context, Masks};
use super::draft::treatable;
use super::improve::Guide;
use crate::candidates::{BARE, CandidateId, CoverState, KindId};
use crate::domain::BedId;
use crate::strips::{Moves, PathFinder};
use std::collections::{BTreeMap, BTreeSet};

/// A cover on a bed from week `on` to before week `off`; in a standing year every year, `on` within the
/// first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Stretch {
    pub state: CoverState,
    pub on: usize,
    pub off: usize,
}

/// The stretches that the candidates of each kind ask for to both their ends; those first that lose a strip least, where that
/// is known.
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

/// Stretches that end on a bed when what stands there at the start is cleared under them.
pub fn until_cleared(context: &Context, bed: BedId) -> Vec<Stretch> {
    let season = context.season;
    let mut found = BTreeSet::new();
    if season.cycle.is_some() {
        return Vec::new();
    }
    for &group in &context.groups_of[bed] {
        for &c in &context.terrains.alternatives[group] {
            let candidate = &season.candidates[c];
            let Some(run) = candidate.states.chunk_by(|a, b| a == b).last() else {
                continue;
            };
            let on = candidate.end - run.len();
            if run[0] != BARE && (on > candidate.start || on == 0) {
                found.insert(Stretch {
                    state: run[0],
                    on,
                    off: candidate.end,
                });
            }
        }
    }
    found.into_iter().collect()
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

    /// Which of its weeks a candidate stands in.
    fn weeks(&self, context: &Context, c: CandidateId) -> Vec<usize> {
        let candidate = &context.season.candidates[c];
        let weeks = candidate.start..candidate.end;
        weeks.filter_map(|week| self.week(context, week)).collect()
    }
}

/// Whether the covers to hand suffice.
pub fn in_stock(context: &Context, masks: &Masks) -> bool {
    in_use(context, masks)
        .iter()
        .zip(&context.season.covers)
        .all(|(weeks, cover)| weeks.iter().all(|&n| n <= cover.count))
}

/// Masks by what a relaxation plants: stretches under which a bed would hold most of it, a share of at least `least` of
/// its strip-weeks, laid there as long as there are covers; on the bed that loses least by them at its prices where it is
/// the same for several.
pub fn first_masks(
    context: &Context,
    guide: &Guide,
    of_kind: &[Vec<Stretch>],
    strips: &[f64],
    least: f64,
) -> Masks {
    // Strip-weeks that count as the same.
    const SAME: f64 = 1e-6;
    let season = context.season;
    let mut masks: Masks = vec![vec![BARE; season.ground_weeks()]; season.beds.len()];
    let mut asked = Asked::of(context, strips);
    let mut refused: Vec<(BedId, Stretch)> = Vec::new();
    let choices: Vec<Vec<Stretch>> = (season.beds.iter().enumerate())
        .map(|(bed, it)| {
            let of_kind = &of_kind[it.kind];
            let mut there = until_cleared(context, bed);
            there.retain(|stretch| !of_kind.contains(stretch));
            of_kind.iter().copied().chain(there).collect()
        })
        .collect();
    loop {
        let mut best: Vec<(BedId, Stretch)> = Vec::new();
        let mut most = 0.0;
        let mut pooled: BTreeMap<(KindId, Stretch), Vec<f64>> = BTreeMap::new();
        for (bed, it) in season.beds.iter().enumerate() {
            for &stretch in &choices[bed] {
                let there = &masks[bed][stretch.on..stretch.off];
                if refused.contains(&(bed, stretch)) || there.iter().any(|&s| s != BARE) {
                    continue;
                }
                let pooled = pooled
                    .entry((it.kind, stretch))
                    .or_insert_with(|| asked.pooled(context, it.kind, stretch));
                let covered = asked.strip_weeks(context, bed, stretch, pooled);
                let all = f64::from(it.strips) * (stretch.off - stretch.on) as f64;
                if covered < least * all || covered < most - SAME {
                    continue;
                }
                if covered > most + SAME {
                    best.clear();
                    most = covered;
                }
                best.push((bed, stretch));
            }
        }
        let mut place: Option<(f64, BedId, Stretch, Vec<CoverState>)> = None;
        for (bed, stretch) in best {
            let mask = with(context, &masks[bed], stretch);
            let mut trial = masks.clone();
            trial[bed].clone_from(&mask);
            if !in_stock(context, &trial) || !treatable(context, bed, &mask) {
                refused.push((bed, stretch));
                continue;
            }
            let gain = bed_value(context, guide, bed, &mask)
                - move_money(context, bed, &mask)
                - bed_value(context, guide, bed, &masks[bed])
                + move_money(context, bed, &masks[bed]);
            if place.as_ref().is_none_or(|(most, ..)| gain > *most) {
                place = Some((gain, bed, stretch, mask));
            }
        }
        match place {
            Some((_, bed, stretch, mask)) => {
                asked.take(context, bed, stretch);
                masks[bed] = mask;
            }
            None if most == 0.0 => break,
            None => {}
        }
    }
    masks
}

/// What a relaxation plants and no mask serves yet.
struct Asked {
    /// Strips of candidates that any bed of the kind may hold.
    anywhere: Vec<(CandidateId, f64)>,
    /// By bed: strips of what stands there, by its alternatives.
    standing: Vec<Vec<(CandidateId, f64)>>,
}

impl Asked {
    /// Of the strips that begin each candidate; what stands in several beds alike is in each of them in the same parts.
    fn of(context: &Context, strips: &[f64]) -> Asked {
        const FEW: f64 = 1e-3; // strips
        let season = context.season;
        let mut asked = Asked {
            anywhere: Vec::new(),
            standing: vec![Vec::new(); season.beds.len()],
        };
        for (c, &n) in strips.iter().enumerate().filter(|(_, n)| **n > FEW) {
            let Some(standing) = season.candidates[c].standing else {
                if season.candidates[c].states.iter().any(|&s| s != BARE) {
                    asked.anywhere.push((c, n));
                }
                continue;
            };
            let groups = || {
                (0..season.groups.len()).filter(|&g| season.groups[g].standing == Some(standing))
            };
            let all: usize = groups().map(|g| context.count(g)).sum();
            for group in groups() {
                let part = n * context.count(group) as f64 / all as f64;
                asked.standing[season.groups[group].bed].push((c, part));
            }
        }
        asked
    }

    /// Strips of what any bed of a kind may hold under a stretch, by its weeks.
    fn pooled(&self, context: &Context, kind: KindId, stretch: Stretch) -> Vec<f64> {
        count(context, &self.anywhere, stretch, &|c| {
            served(context, kind, stretch, c)
        })
    }

    /// Strip-weeks that the bed would hold of it under a stretch, of what is `pooled` as much as there is ground for.
    fn strip_weeks(&self, context: &Context, bed: BedId, stretch: Stretch, pooled: &[f64]) -> f64 {
        let season = context.season;
        let strips = f64::from(season.beds[bed].strips);
        let kind = season.beds[bed].kind;
        let own = count(context, &self.standing[bed], stretch, &|c| {
            served(context, kind, stretch, c)
        });
        let stands = count(context, &self.standing[bed], stretch, &|_| true);
        let together = pooled.iter().zip(own).zip(stands);
        together
            .map(|((pooled, own), stands)| own + pooled.min((strips - stands).max(0.0)))
            .sum()
    }

    /// Takes what a bed under a stretch can hold.
    fn take(&mut self, context: &Context, bed: BedId, stretch: Stretch) {
        let season = context.season;
        let mut left = vec![f64::from(season.beds[bed].strips); stretch.off - stretch.on];
        let lists = [&mut self.standing[bed], &mut self.anywhere];
        for (c, n) in lists.into_iter().flatten() {
            if served(context, season.beds[bed].kind, stretch, *c) {
                let weeks = stretch.weeks(context, *c);
                let most = weeks.iter().fold(*n, |m, &week| m.min(left[week]));
                *n -= most;
                weeks.iter().for_each(|&week| left[week] -= most);
            }
        }
    }
}

/// Strips of those of a list that count, by the weeks of a stretch.
fn count(
    context: &Context,
    list: &[(CandidateId, f64)],
    stretch: Stretch,
    counts: &dyn Fn(CandidateId) -> bool,
) -> Vec<f64> {
    let mut weeks = vec![0.0; stretch.off - stretch.on];
    for &(c, n) in list.iter().filter(|(c, _)| counts(*c)) {
        for week in stretch.weeks(context, c) {
            weeks[week] += n;
        }
    }
    weeks
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
