//! Shape of the random seasons used by other tests.

#[path = "support/season.rs"]
mod season;

use season::{SeasonOptions, full_season, random_season};

#[test]
fn random_seasons_are_well_formed_and_repeatable() {
    for seed in 0..5 {
        let season = random_season(seed, 6, 4, 12, 52, SeasonOptions::small());
        let again = random_season(seed, 6, 4, 12, 52, SeasonOptions::small());
        assert_eq!(format!("{season:?}"), format!("{again:?}"));
        eprintln!("{} candidates", season.candidates.len());
        for c in &season.candidates {
            assert_eq!(c.states.len(), c.end - c.start, "{}", c.name);
            assert!(c.end <= season.weeks);
            assert!(c.lots.iter().all(|l| l.from <= l.fresh_until
                && l.fresh_until <= l.until
                && l.until < season.weeks
                && l.amount > 0.0));
            assert!(c.work.windows(2).all(|w| w[0].0 < w[1].0));
        }
        for (s, group) in season.groups.iter().enumerate() {
            if let Some(standing) = group.standing {
                let cleared = season
                    .candidates
                    .iter()
                    .filter(|c| c.standing == Some(standing) && c.end == 0);
                assert_eq!(cleared.count(), 1, "group {s}");
            }
        }
    }
}

#[test]
fn a_full_season_has_the_size_of_a_holding() {
    let season = full_season(1);
    for kind in 0..season.kinds.len() {
        let of_kind = season
            .candidates
            .iter()
            .filter(|c| c.kind == kind && c.standing.is_none())
            .count();
        eprintln!("kind {kind}: {of_kind}");
        assert!((1500..=6000).contains(&of_kind));
    }
}
