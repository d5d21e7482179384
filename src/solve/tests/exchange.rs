//! Plantings that change strips: the same plantings as before, on strips where they may stand.
//!
//! Sources of truth: rotation and ground told off week by week here, in steps of this file's own; the worth of a draft
//! built afresh. All seasons are random.

use super::{costs_the_same_built_afresh, drafted, small};
use crate::candidates::{CandidateId, Rotation, Season};
use crate::solve::context::Context;
use crate::solve::draft::{Draft, Years};
use crate::solve::exchange::{drawn, elsewhere};
use crate::solve::improve::Improver;
use crate::solve::larder::Larder;

/// Random draws for each season.
const DRAWS: usize = 300;

/// What a strip may not hold: two plantings in a week, one under another cover than lies there or where the grower
/// has none of it, or a family before its break is over.
fn faults(season: &Season, draft: &Draft, years: &Years) -> Vec<String> {
    let mut found = Vec::new();
    for ((group, _), year) in years {
        let bed = season.groups[*group].bed;
        let mut taken = vec![false; season.groups[*group].weeks];
        let mut free = season.groups[*group].release.clone();
        for &c in year {
            let candidate = &season.candidates[c];
            for (week, &state) in (candidate.start..).zip(&candidate.states) {
                if std::mem::replace(&mut taken[week], true) || draft.masks[bed][week] != state {
                    found.push(format!("{} in week {week}", candidate.name));
                }
            }
            let never = season
                .never
                .iter()
                .any(|(b, crop)| *b == bed && candidate.members.iter().any(|m| m.crop == *crop));
            let foreign = candidate.kind != season.beds[bed].kind
                || candidate
                    .standing
                    .is_some_and(|s| season.groups[*group].standing != Some(s));
            for used in &candidate.families {
                if let Rotation::Forbid { weeks } = season.beds[bed].rotation[used.family] {
                    if candidate.standing.is_none() && free[used.family] > used.from {
                        found.push(format!("{} too soon", candidate.name));
                    }
                    free[used.family] = free[used.family].max(used.until + weeks);
                }
            }
            if never || foreign {
                found.push(format!("{} may not stand there", candidate.name));
            }
        }
    }
    found
}

/// All plantings of some strips, in order of their numbers.
fn plantings<'y>(years: impl Iterator<Item = &'y Vec<CandidateId>>) -> Vec<CandidateId> {
    let mut all: Vec<CandidateId> = years.flatten().copied().collect();
    all.sort_unstable();
    all
}

#[test]
fn an_exchange_moves_plantings_and_changes_nothing_on_the_table() {
    let mut exchanged = 0;
    for seed in 0..10 {
        let season = small(seed);
        let context = Context::new(&season);
        let larder = Larder::of(&context);
        let mut draft = drafted(&context, &larder, seed);
        let mut improver = Improver::new(&context, &larder, &draft, &[], seed);
        for _ in 0..DRAWS {
            let Some(years) = drawn(&mut improver, &draft) else {
                continue;
            };
            assert_eq!(faults(&season, &draft, &years), Vec::<String>::new());
            let before = plantings(years.iter().map(|((g, s), _)| &draft.years[*g][*s]));
            assert_eq!(before, plantings(years.iter().map(|(_, year)| year)));
            assert!(
                years
                    .iter()
                    .any(|((g, s), year)| draft.years[*g][*s] != *year)
            );
            let table = draft.supply.worth(&context);
            draft.replace_all(&context, &larder, years);
            assert_eq!(table.to_bits(), draft.supply.worth(&context).to_bits());
            exchanged += 1;
        }
        costs_the_same_built_afresh(&context, &larder, &draft, seed);
    }
    assert!(exchanged > 100, "{exchanged}");
}

#[test]
fn what_gives_way_finds_another_strip_or_none() {
    let (mut found, mut left) = (0, 0);
    for seed in 0..10 {
        let season = small(seed);
        let context = Context::new(&season);
        let larder = Larder::of(&context);
        let draft = drafted(&context, &larder, seed);
        let mut improver = Improver::new(&context, &larder, &draft, &[], seed);
        for _ in 0..DRAWS {
            let (group, strip) = improver.random_strip();
            let year = &draft.years[group][strip];
            let Some(&last) = year.last() else {
                continue;
            };
            if season.candidates[last].standing.is_some() {
                continue;
            }
            // The strip itself has no room for it twice.
            let mut years = vec![((group, strip), year.clone())];
            elsewhere(&mut improver, &draft, &mut years, &[last]);
            assert_eq!(faults(&season, &draft, &years), Vec::<String>::new());
            let mut before = plantings(years.iter().map(|((g, s), _)| &draft.years[*g][*s]));
            let after = plantings(years.iter().map(|(_, year)| year));
            if after.len() > before.len() {
                before.push(last);
                before.sort_unstable();
                found += 1;
            } else {
                left += 1;
            }
            assert_eq!(before, after);
        }
    }
    assert!(found > 100 && left > 100, "{found} {left}");
}
