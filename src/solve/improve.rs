//! Improving a draft: sweeps over its strips, and other masks tried on its beds.

use super::context::{Context, key};
use super::draft::{Draft, idle_year};
use super::larder::Larder;
use super::leave_out::losses;
use super::masks::{Stretch, in_stock, with};
use super::rotation::keeps_rotation;
use super::wants::Wants;
use crate::candidates::{BARE, CandidateId, CoverState, GroupId};
use crate::domain::BedId;
use crate::strips::{Arc, Prices, Terrain, Values};
use rand::seq::SliceRandom;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A change of masks must bring at least this, money.
const LEAST_GAIN: f64 = 1e-7;

/// The worker that improves one draft.
pub struct Improver<'i, 'a> {
    pub context: &'i Context<'a>,
    pub larder: &'i Larder,
    /// By bed.
    pub fitting: Vec<Fitting>,
    pub random: ChaCha8Rng,
    /// What the table wanted when a year was last sought.
    pub wants: Wants,
    strips: Vec<(GroupId, usize)>,
    /// The same by kind of bed.
    alike: Vec<Vec<(GroupId, usize)>>,
    /// Candidates of each terrain, those first that lose a strip least; and in the order of their arcs' keys.
    by_loss: Vec<Vec<CandidateId>>,
    by_key: Vec<Vec<CandidateId>>,
}

/// Candidates that fit a bed's mask.
#[derive(Clone, Default)]
pub struct Fitting {
    /// Those first that lose a strip least.
    pub by_loss: Vec<CandidateId>,
    /// As arcs worth nothing yet, in the order of their keys.
    pub arcs: Vec<Arc>,
}

impl<'i, 'a> Improver<'i, 'a> {
    /// For drafts with these masks; `losses` as in [`Guide`], or empty.
    pub fn new(
        context: &'i Context<'a>,
        larder: &'i Larder,
        draft: &Draft,
        losses: &[f64],
        seed: u64,
    ) -> Self {
        let by_loss = by_loss(context, losses);
        let in_order = |list: &Vec<CandidateId>| {
            let mut list = list.clone();
            list.sort_by_key(|&c| (key(&context.arc(c, 0.0)), c));
            list
        };
        let by_key = by_loss.iter().map(in_order).collect();
        let strips: Vec<(GroupId, usize)> = (0..context.season.groups.len())
            .flat_map(|g| (0..context.count(g)).map(move |s| (g, s)))
            .collect();
        let kind = |group: GroupId| context.season.beds[context.season.groups[group].bed].kind;
        let mut alike = vec![Vec::new(); context.season.kinds.len()];
        for &(group, strip) in &strips {
            alike[kind(group)].push((group, strip));
        }
        let mut improver = Improver {
            alike,
            strips,
            context,
            larder,
            fitting: vec![Fitting::default(); draft.masks.len()],
            by_key,
            random: ChaCha8Rng::seed_from_u64(seed),
            by_loss,
            wants: Wants::new(context),
        };
        for (bed, mask) in draft.masks.iter().enumerate() {
            improver.fit(bed, mask);
        }
        improver
    }

    /// Finds what fits a mask of a bed; what fitted before.
    fn fit(&mut self, bed: BedId, mask: &[CoverState]) -> Fitting {
        let context = self.context;
        let terrain = context.terrains.of_bed[bed];
        let by_key = context.all_fitting(&self.by_key[terrain], mask);
        let fitting = Fitting {
            by_loss: context.all_fitting(&self.by_loss[terrain], mask),
            arcs: by_key.into_iter().map(|c| context.arc(c, 0.0)).collect(),
        };
        std::mem::replace(&mut self.fitting[bed], fitting)
    }

    /// Any strip.
    pub fn random_strip(&mut self) -> (GroupId, usize) {
        self.strips[self.random.random_range(0..self.strips.len())]
    }

    /// Any strip on beds of the same kind.
    pub fn random_strip_like(&mut self, (group, _): (GroupId, usize)) -> (GroupId, usize) {
        let season = self.context.season;
        let alike = &self.alike[season.beds[season.groups[group].bed].kind];
        alike[self.random.random_range(0..alike.len())]
    }

    /// One pass over all strips in random order; how much the worth rose.
    pub fn sweep(&mut self, draft: &mut Draft, guide: Option<&Guide>, noise: f64) -> f64 {
        let mut strips = self.strips.clone();
        strips.shuffle(&mut self.random);
        let before = draft.worth(self.context).unwrap_or(f64::NEG_INFINITY);
        let mut worth = before;
        for (group, strip) in strips {
            worth = self.renew_all(draft, group, strip, worth, guide, noise);
        }
        worth - before
    }

    /// So many passes, all supply divided again after each.
    pub fn sweeps(&mut self, draft: &mut Draft, guide: Option<&Guide>, times: usize) {
        for _ in 0..times {
            self.sweep(draft, guide, 0.0);
            draft.refresh(self.context, self.larder, 1);
        }
    }

    /// Tries another mask on a bed (and on another one that gives its cover up), plans their strips
    /// anew and keeps the change if the plan gains; the worth after.
    pub fn try_masks(
        &mut self,
        draft: &mut Draft,
        changes: &[(BedId, Vec<CoverState>)],
        worth: f64,
        guide: Option<&Guide>,
    ) -> f64 {
        let mut trial = draft.clone();
        let mut kept = Vec::new();
        for (bed, mask) in changes {
            trial.set_mask(self.context, *bed, mask.clone());
            kept.push((*bed, self.fit(*bed, mask)));
        }
        let mut now = f64::NEG_INFINITY;
        let mut possible = true;
        for (bed, mask) in changes {
            for &group in &self.context.groups_of[*bed] {
                for strip in 0..self.context.count(group) {
                    let year = &trial.years[group][strip];
                    if !year.iter().all(|&c| self.context.fits_mask(c, mask)) {
                        let left = fits_left(self.context, group, year, mask);
                        possible &= left.is_some();
                        let left = left.unwrap_or_default();
                        trial.replace(self.context, self.larder, group, strip, left);
                    }
                }
            }
        }
        if possible {
            now = trial.worth(self.context).unwrap_or(f64::NEG_INFINITY);
            for (bed, _) in changes {
                for &group in &self.context.groups_of[*bed] {
                    for strip in 0..self.context.count(group) {
                        now = self.renew_all(&mut trial, group, strip, now, guide, 0.0);
                    }
                }
            }
        }
        if now > worth + LEAST_GAIN {
            *draft = trial;
            now
        } else {
            for (bed, fitting) in kept.into_iter().rev() {
                self.fitting[bed] = fitting;
            }
            worth
        }
    }

    /// A random change of masks within the covers to hand: a stretch laid on a bed, taken off, or
    /// moved from another bed; `None` where the one drawn is not possible.
    pub fn draw_masks(
        &mut self,
        draft: &Draft,
        stretches: &[Vec<Stretch>],
    ) -> Option<Vec<(BedId, Vec<CoverState>)>> {
        let season = self.context.season;
        let bed = self.random.random_range(0..season.beds.len());
        let mut options = &stretches[season.beds[bed].kind];
        // Some lie from the start, over what stands there: beds differ most by that.
        const AT_START: f64 = 0.2; // share, see docs/decisions/32
        let at_start: Vec<Stretch>;
        if season.cycle.is_none() && self.random.random::<f64>() < AT_START {
            at_start = options.iter().copied().filter(|s| s.on == 0).collect();
            if !at_start.is_empty() {
                options = &at_start;
            }
        }
        if options.is_empty() {
            return None;
        }
        const TASTE: i32 = 2; // for stretches whose plantings lose little; tuned on the demo holding
        let mut stretch = options[one_of(&mut self.random, options.len(), TASTE)];
        if self.random.random_range(0..5) == 0 {
            stretch.state = BARE;
        }
        let mask = with(self.context, &draft.masks[bed], stretch);
        if mask == draft.masks[bed] {
            return None;
        }
        let mut changes = vec![(bed, mask)];
        let mut masks = draft.masks.clone();
        masks[bed].clone_from(&changes[0].1);
        if !in_stock(self.context, &masks) {
            // Another bed gives its cover up.
            let givers: Vec<BedId> = (0..season.beds.len())
                .filter(|&b| {
                    b != bed && draft.masks[b][stretch.on..stretch.off].contains(&stretch.state)
                })
                .collect();
            if givers.is_empty() {
                return None;
            }
            let giver = givers[self.random.random_range(0..givers.len())];
            let bare = Stretch {
                state: BARE,
                ..stretch
            };
            let given = with(self.context, &draft.masks[giver], bare);
            masks[giver].clone_from(&given);
            changes.push((giver, given));
            if !in_stock(self.context, &masks) {
                return None;
            }
        }
        Some(changes)
    }
}

/// What of a strip's plantings agrees with another mask, what stands there treated otherwise where it must be;
/// `None` where it cannot be treated in any way.
fn fits_left(
    context: &Context,
    group: GroupId,
    year: &[CandidateId],
    mask: &[CoverState],
) -> Option<Vec<CandidateId>> {
    let season = context.season;
    let fits = |c: &CandidateId| context.fits_mask(*c, mask);
    if season.groups[group].standing.is_none() || year.first().is_some_and(fits) {
        return Some(year.iter().copied().filter(fits).collect());
    }
    let least = idle_year(context, group, Some(mask))?;
    let end = least.last().map_or(0, |&c| season.candidates[c].end);
    let after = |c: &CandidateId| fits(c) && season.candidates[*c].start >= end;
    let mut left = least.clone();
    left.extend(year.iter().skip(1).copied().filter(after));
    Some(match keeps_rotation(season, group, &left) {
        true => left,
        false => least,
    })
}

/// One of the first `count` numbers, small ones more often: the more so, the higher the power.
pub fn one_of(random: &mut ChaCha8Rng, count: usize, power: i32) -> usize {
    let at = random.random::<f64>().powi(power) * count as f64;
    (at as usize).min(count.saturating_sub(1))
}

/// Values of all candidates at the prices of a relaxation, covers as paid.
pub struct Guide {
    value: Vec<f64>,
    /// What a strip loses at least by each candidate.
    pub losses: Vec<f64>,
}

impl Guide {
    /// Reckons them.
    pub fn of(context: &Context, prices: &Prices) -> Guide {
        let values = Values::of(context.season, &context.classes, &context.variety, prices);
        let best = context.price(prices, None, true);
        Guide {
            value: values.bare,
            losses: losses(context, prices, &best),
        }
    }

    /// Worth of a candidate on one strip, money.
    pub fn value(&self, candidate: CandidateId) -> f64 {
        self.value[candidate]
    }
}

/// Candidates of each terrain, those that lose least first, or by start week where there are no losses.
fn by_loss(context: &Context, losses: &[f64]) -> Vec<Vec<CandidateId>> {
    let of_terrain = |terrain: &Terrain| {
        let mut all = terrain.candidates.clone();
        all.retain(|&c| !context.excluded[c]);
        if !losses.is_empty() {
            all.sort_by(|&a, &b| losses[a].total_cmp(&losses[b]).then(a.cmp(&b)));
        }
        all
    };
    context.terrains.list.iter().map(of_terrain).collect()
}
