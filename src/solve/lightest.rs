//! Whether there is any plan at all. Shortages, bands and rules that are only discouraged never stand
//! in the way, and nothing has to be planted; but what stands at the start has to be treated, and
//! covers to come off, within the work to hand.

use super::context::{Context, Masks};
use super::draft::Draft;
use super::larder::Larder;
use super::masks::{self, with};
use crate::candidates::{BARE, Season};
use std::fmt;

/// Minutes by which a limit may be missed for want of a last digit.
const SLACK: f64 = 1e-7;

/// Why there is no plan.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum NoPlan {
    /// Proven: what cannot be put off beyond weeks `from..=to` of the horizon takes so many minutes,
    /// and `to_hand` are to hand in them.
    TooMuch {
        from: usize,
        to: usize,
        minutes: f64,
        to_hand: f64,
    },
    /// Proven: every way to treat one strip of what stands takes more than a week's work in some
    /// week; at the least so many minutes.
    OneStrip { minutes: f64, to_hand: f64 },
    /// None was found; there may be one.
    NotFound,
}

impl fmt::Display for NoPlan {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoPlan::TooMuch {
                minutes, to_hand, ..
            } => write!(
                f,
                "what stands at the start and covers that have to come off take at least {minutes:.1} \
                 minutes of work, {to_hand:.1} are to hand"
            ),
            NoPlan::OneStrip { minutes, to_hand } => write!(
                f,
                "clearing a strip of what stands at the start takes {minutes:.1} minutes, \
                 {to_hand:.1} are to hand in a week"
            ),
            NoPlan::NotFound => write!(
                f,
                "no way was found to treat what stands at the start within the work to hand"
            ),
        }
    }
}

/// Whether [`super::solve`] finds a plan.
///
/// # Errors
/// When there is none, or none is found.
pub fn possible(season: &Season) -> Result<(), NoPlan> {
    let Some(limit) = season.minutes_per_week else {
        return Ok(());
    };
    let context = Context::new(season);
    let larder = Larder::of(&context);
    if excess(&context, &first(&context, &larder)) <= 0.0 {
        return Ok(());
    }
    let proof = one_strip(&context, limit).or_else(|| too_much(&context, limit));
    Err(proof.unwrap_or(NoPlan::NotFound))
}

/// The plan in which nothing is planted: what stands cleared at once, or, where that is too much
/// work at a time, treated so that as little as can be found exceeds the limit.
pub(super) fn first(context: &Context, larder: &Larder) -> Draft {
    let season = context.season;
    let bare = vec![vec![BARE; season.ground_weeks()]; season.beds.len()];
    let stretches = masks::stretches(context, &[]);
    lightened(context, larder, bare, |draft| {
        for (bed, ground) in season.beds.iter().enumerate() {
            // A cover that lies there may come off later.
            for stretch in &stretches[ground.kind] {
                if stretch.on == 0 && stretch.state == ground.state_before {
                    let mask = with(context, &draft.masks[bed], *stretch);
                    try_mask(context, larder, draft, bed, &mask);
                }
            }
        }
    })
}

/// The same under masks, which stay as they are.
pub(super) fn under(context: &Context, larder: &Larder, masks: Masks) -> Draft {
    lightened(context, larder, masks, |_| {})
}

/// What stands treated so that the limit is exceeded by less, as long as that gets on; `also` does more for it each time.
fn lightened(context: &Context, larder: &Larder, masks: Masks, also: impl Fn(&mut Draft)) -> Draft {
    let mut draft = Draft::idle(context, larder, masks);
    loop {
        let before = excess(context, &draft);
        if before <= 0.0 {
            return draft;
        }
        lighten_all(context, larder, &mut draft);
        also(&mut draft);
        if excess(context, &draft) >= before - SLACK {
            return draft;
        }
    }
}

/// Minutes beyond the limit, all weeks together; harvest is left out, since what is not harvested is
/// left.
fn excess(context: &Context, draft: &Draft) -> f64 {
    let season = context.season;
    let limit = season.minutes_per_week.unwrap_or(f64::INFINITY);
    (0..season.weeks)
        .map(|week| draft.other_minutes(week) - limit)
        .filter(|beyond| *beyond > SLACK)
        .sum()
}

/// Treats what stands on each strip in turn so that less is beyond the limit.
fn lighten_all(context: &Context, larder: &Larder, draft: &mut Draft) {
    for group in 0..context.season.groups.len() {
        for place in 0..context.count(group) {
            lighten(context, larder, draft, group, place);
        }
    }
}

/// Treats what stands on a strip in the way that takes the limit least beyond.
fn lighten(context: &Context, larder: &Larder, draft: &mut Draft, group: usize, place: usize) {
    let mask = draft.masks[context.season.groups[group].bed].clone();
    for &alternative in &context.terrains.alternatives[group] {
        if !context.fits_mask(alternative, &mask) {
            continue;
        }
        let before = excess(context, draft);
        let replaced = draft.replace(context, larder, group, place, vec![alternative]);
        if excess(context, draft) >= before - SLACK {
            draft.restore(context, larder, replaced);
        }
    }
}

/// Takes another mask for a bed if with it less is beyond the limit.
fn try_mask(context: &Context, larder: &Larder, draft: &mut Draft, bed: usize, mask: &[u8]) {
    let mut trial = draft.clone();
    trial.set_mask(context, bed, mask.to_vec());
    for &group in &context.groups_of[bed] {
        for place in 0..context.count(group) {
            let fits = |c: &usize| context.fits_mask(*c, mask);
            if trial.years[group][place].iter().all(fits) {
                continue;
            }
            let alternatives = &context.terrains.alternatives[group];
            let Some(&other) = alternatives.iter().find(|c| fits(c)) else {
                return;
            };
            trial.replace(context, larder, group, place, vec![other]);
            lighten(context, larder, &mut trial, group, place);
        }
    }
    if excess(context, &trial) < excess(context, draft) - SLACK {
        *draft = trial;
    }
}

/// Minutes of a candidate's work in weeks `from..=to`.
fn minutes_in(season: &Season, candidate: usize, from: usize, to: usize) -> f64 {
    let work = season.candidates[candidate].work.iter();
    work.filter(|(week, _)| (from..=to).contains(week))
        .map(|(_, minutes)| minutes)
        .sum()
}

/// A strip that no alternative treats within a week's work.
fn one_strip(context: &Context, limit: f64) -> Option<NoPlan> {
    let season = context.season;
    let heaviest = |&c: &usize| {
        let work = season.candidates[c].work.iter();
        work.map(|(_, minutes)| *minutes).fold(0.0, f64::max)
    };
    let strips = context.terrains.alternatives.iter();
    let least = strips.filter_map(|all| all.iter().map(heaviest).min_by(f64::total_cmp));
    let minutes = least.max_by(f64::total_cmp)?;
    (minutes > limit + SLACK).then_some(NoPlan::OneStrip {
        minutes,
        to_hand: limit,
    })
}

/// Weeks in which more work cannot be put off than is to hand: of every strip the least that any
/// alternative of what stands there takes in them; in the first week, covers that nothing asks to
/// stay. The shortest such span, and of these the first.
fn too_much(context: &Context, limit: f64) -> Option<NoPlan> {
    let season = context.season;
    let spans = (1..=season.weeks)
        .flat_map(|length| (0..=season.weeks - length).map(move |from| (from, from + length - 1)));
    for (from, to) in spans {
        let mut minutes = if from == 0 {
            bound_to_come_off(season)
        } else {
            0.0
        };
        for (group, all) in context.terrains.alternatives.iter().enumerate() {
            let least = all.iter().map(|&c| minutes_in(season, c, from, to));
            let least = least.min_by(f64::total_cmp).unwrap_or(0.0);
            minutes += least * context.count(group) as f64;
        }
        let to_hand = limit * (to + 1 - from) as f64;
        if minutes > to_hand + SLACK {
            return Some(NoPlan::TooMuch {
                from,
                to,
                minutes,
                to_hand,
            });
        }
    }
    None
}

/// Minutes of taking off covers that lie there at the start and that nothing asks to stay.
fn bound_to_come_off(season: &Season) -> f64 {
    let covered = season.beds.iter().filter(|bed| bed.state_before != BARE);
    let comes_off = covered.filter(|bed| {
        !season.candidates.iter().any(|c| {
            c.kind == bed.kind && c.start == 0 && c.states.first() == Some(&bed.state_before)
        })
    });
    comes_off
        .map(|bed| season.covers[usize::from(bed.state_before) - 1].remove_minutes)
        .sum()
}
