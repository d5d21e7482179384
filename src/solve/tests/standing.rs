//! What stands at the start: stretches of covers over it, and treating it within the work to hand.
//!
//! Sources of truth: weeks told off one by one here; the draft that clears everything at once. All seasons are random.

use super::small;
use crate::candidates::{BARE, Candidate};
use crate::domain::StandingId;
use crate::solve::context::Context;
use crate::solve::draft::Draft;
use crate::solve::improve::Guide;
use crate::solve::larder::Larder;
use crate::solve::lightest::under;
use crate::solve::masks::{Stretch, first_masks, stretches, until_cleared, with};
use crate::strips::{Prices, Terrains};
use std::collections::BTreeMap;

#[test]
fn a_stretch_until_what_stands_is_cleared_is_all_that_its_alternative_asks_for() {
    let mut found = 0;
    for seed in 0..20 {
        let season = small(seed);
        let context = Context::new(&season);
        let Terrains { alternatives, .. } = &context.terrains;
        for bed in 0..season.beds.len() {
            let stretches = until_cleared(&context, bed);
            let bare = vec![BARE; season.ground_weeks()];
            let here = || {
                context.groups_of[bed]
                    .iter()
                    .flat_map(|&g| &alternatives[g])
            };
            for &stretch in &stretches {
                let mask = with(&context, &bare, stretch);
                let last = season.weeks.min(stretch.off);
                assert!((stretch.on..last).all(|week| mask[week] == stretch.state));
                assert_eq!(
                    mask.iter().filter(|s| **s != BARE).count(),
                    last - stretch.on
                );
                let suits = here().any(|&c| {
                    let candidate = &season.candidates[c];
                    candidate.end == stretch.off
                        && (candidate.start..candidate.end)
                            .zip(&candidate.states)
                            .all(|(week, state)| week < stretch.on || *state == stretch.state)
                });
                assert!(
                    suits,
                    "seed {seed}: nothing in bed {bed} asks for {stretch:?}"
                );
                found += 1;
            }
            // Covered from the start until it is cleared: there is a stretch for it.
            for &c in here() {
                let candidate = &season.candidates[c];
                let state = candidate.states.first().copied().unwrap_or(BARE);
                if state != BARE && candidate.states.iter().all(|s| *s == state) {
                    let suits = |s: &&Stretch| (s.state, s.on, s.off) == (state, 0, candidate.end);
                    assert_eq!(stretches.iter().filter(suits).count(), 1, "seed {seed}");
                }
            }
        }
    }
    assert!(found > 20, "only {found} stretches");
}

#[test]
fn under_masks_less_is_beyond_the_work_to_hand_than_when_all_is_cleared_at_once() {
    /// Of the busiest week of clearing all at once, so much is to hand.
    const TO_HAND: f64 = 0.7;
    let (mut beyond_before, mut within_now) = (0, 0);
    for seed in 0..20 {
        let mut season = small(seed);
        let masks = vec![vec![BARE; season.ground_weeks()]; season.beds.len()];
        let busiest = {
            let context = Context::new(&season);
            let idle = Draft::idle(&context, &Larder::of(&context), masks.clone());
            (0..season.weeks)
                .map(|week| idle.other_minutes(week))
                .fold(0.0, f64::max)
        };
        season.minutes_per_week = Some(TO_HAND * busiest);
        let context = Context::new(&season);
        let larder = Larder::of(&context);
        let idle = Draft::idle(&context, &larder, masks.clone());
        let draft = under(&context, &larder, masks.clone());
        assert_eq!(draft.masks, masks);
        let beyond = |draft: &Draft| -> f64 {
            let limit = TO_HAND * busiest;
            (0..season.weeks)
                .map(|week| (draft.other_minutes(week) - limit).max(0.0))
                .sum()
        };
        assert!(beyond(&draft) <= beyond(&idle) + 1e-6, "seed {seed}");
        if beyond(&idle) > 1e-6 {
            beyond_before += 1;
            within_now += usize::from(draft.worth(&context).is_some());
        }
    }
    assert!(
        beyond_before > 5 && within_now > 0,
        "{within_now} of {beyond_before}"
    );
}

/// What is kept cannot be cleared at once, so not every mask leaves a way to treat it. Draft::idle panics where there is none.
#[test]
fn first_masks_leave_a_way_to_treat_what_is_kept() {
    let mut covered = 0;
    for seed in 0..40 {
        let mut season = small(seed);
        season.planned.clear();
        // In the open, and as long as it can.
        let bare = |c: &Candidate| c.end > 0 && c.states.iter().all(|s| *s == BARE);
        let mut stays: BTreeMap<StandingId, usize> = BTreeMap::new();
        for candidate in season.candidates.iter().filter(|c| bare(c)) {
            if let Some(standing) = candidate.standing {
                let end = stays.entry(standing).or_default();
                *end = candidate.end.max(*end);
            }
        }
        season.candidates.retain(|c| {
            let end = c.standing.and_then(|standing| stays.get(&standing));
            end.is_none_or(|&end| bare(c) && c.end == end)
        });
        let context = Context::new(&season);
        let larder = Larder::of(&context);
        let guide = Guide::of(&context, &Prices::zero(&season, &context.variety));
        let of_kind = stretches(&context, &[]);
        for c in 0..season.candidates.len() {
            let mut strips = vec![0.0; season.candidates.len()];
            strips[c] = 100.0;
            let masks = first_masks(&context, &guide, &of_kind, &strips, 0.2);
            covered += usize::from(masks.iter().flatten().any(|s| *s != BARE));
            Draft::idle(&context, &larder, masks);
        }
    }
    assert!(covered > 20, "only {covered} times a cover was laid");
}
