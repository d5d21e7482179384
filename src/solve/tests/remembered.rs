//! What the search remembers from one look to the next, against the same reckoned afresh.
//!
//! Sources of truth: the candidates themselves, week by week; a look that remembers nothing. All seasons are random.

use super::{drafted, small};
use crate::candidates::CoverState;
use crate::solve::context::Context;
use crate::solve::exchange::drawn;
use crate::solve::improve::Improver;
use crate::solve::larder::Larder;
use crate::solve::room::Room;
use crate::solve::wants::Wants;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// Random changes of each season's draft.
const CHANGES: usize = 60;

#[test]
fn wants_and_room_are_those_of_a_first_look_whatever_was_looked_at_before() {
    let (mut gains, mut unchanged, mut full) = (0, 0, 0);
    for seed in 0..8 {
        let season = small(seed);
        let context = Context::new(&season);
        let larder = Larder::of(&context);
        let mut draft = drafted(&context, &larder, seed);
        let mut improver = Improver::new(&context, &larder, &draft, &[], seed);
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let mut wants = Wants::new(&context);
        let mut before: Vec<f64> = Vec::new();
        for change in 0..CHANGES {
            // A strip emptied but for what stands, an exchange, or nothing at all.
            let (group, strip) = improver.random_strip();
            let stands = usize::from(season.groups[group].standing.is_some());
            let kept = draft.years[group][strip].iter().take(stands).copied();
            match change % 3 {
                0 => drop(draft.replace(&context, &larder, group, strip, kept.collect())),
                1 => {
                    if let Some(years) = drawn(&mut improver, &draft) {
                        draft.replace_all(&context, &larder, years);
                    }
                }
                _ => {}
            }
            wants.look(&context, &draft.supply);
            let mut first = Wants::new(&context);
            first.look(&context, &draft.supply);
            let room = Room::of(&context, &draft);
            let mut all = Vec::new();
            for (c, candidate) in season.candidates.iter().enumerate() {
                // Not all are asked each time, so that some are remembered from further back.
                if random.random_range(0..3) > 0 {
                    let gain = first.gain(&context, c);
                    assert_eq!(
                        wants.gain(&context, c),
                        gain,
                        "seed {seed}: {}",
                        candidate.name
                    );
                    gains += usize::from(gain > 0.0);
                    all.push(gain);
                }
                let space = [season.shelf_unlit_m2, season.shelf_lit_m2];
                let fits = candidate.shelf.iter().all(|s| {
                    let part = usize::from(s.lit);
                    draft.shelf[part][s.week] + s.m2 <= space[part] + 1e-8
                }) && candidate
                    .plants
                    .iter()
                    .all(|p| draft.plants[p.of] + p.plants <= season.on_shelf[p.of].plants + 1e-8);
                assert_eq!(
                    room.takes(&context, c),
                    fits,
                    "seed {seed}: {}",
                    candidate.name
                );
                full += usize::from(!fits);
            }
            unchanged += usize::from(all == before);
            before = all;
        }
    }
    assert!(
        gains > 10_000 && full > 100,
        "{gains} gains, {full} without room"
    );
    assert!(unchanged < 8 * CHANGES / 2, "the drafts hardly change");
}

#[test]
fn what_fits_a_mask_asks_in_every_week_for_what_lies_there() {
    let (mut fitting, mut covered) = (0, 0);
    for seed in 0..8 {
        let season = small(seed);
        let context = Context::new(&season);
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let states = CoverState::try_from(context.states()).expect("states are few");
        for _ in 0..20 {
            // Long stretches, as covers lie; now and then another every week.
            let longest = if random.random_range(0..5) == 0 {
                1
            } else {
                40
            };
            let mut mask: Vec<CoverState> = Vec::new();
            while mask.len() < season.weeks {
                let state = random.random_range(0..states);
                mask.extend(std::iter::repeat_n(state, random.random_range(1..=longest)));
            }
            mask.truncate(season.weeks);
            for terrain in &context.terrains.list {
                let asks = |&c: &usize| {
                    let candidate = &season.candidates[c];
                    (candidate.start..candidate.end)
                        .zip(&candidate.states)
                        .all(|(week, &state)| mask[week] == state)
                };
                let expected: Vec<usize> =
                    (terrain.candidates.iter().copied()).filter(asks).collect();
                covered += expected
                    .iter()
                    .filter(|&&c| season.candidates[c].states.iter().any(|&s| s > 0))
                    .count();
                fitting += expected.len();
                assert_eq!(context.all_fitting(&terrain.candidates, &mask), expected);
            }
        }
    }
    assert!(
        fitting > 1000 && covered > 100,
        "{fitting} fit, {covered} under covers"
    );
}
