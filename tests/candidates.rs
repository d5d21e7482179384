//! The season built from a scenario, worked by hand on tiny holdings. Random holdings are in
//! `candidates_random.rs`; what grows when is for the growth model, which has tests of its own.

#[path = "support/holding.rs"]
mod holding;

use bedweek::candidates::{BARE, Candidate, Counted, Rotation, Season, season};
use bedweek::domain::*;
use holding::{holding, leaves, of_year, raising, way, week};
use std::collections::BTreeSet;

/// Strips of the test holding's beds: 4 x 1.2 m in eight.
const STRIP_M2: f64 = 0.6;

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

fn new_ones(season: &Season) -> impl Iterator<Item = &Candidate> {
    season.candidates.iter().filter(|c| c.standing.is_none())
}

/// Sown in modules in W10 only.
fn module_heads() -> Crop {
    Crop {
        raisings: vec![Raising {
            sow_from: of_year(10),
            sow_to: of_year(10),
            ..raising(Method::Modules)
        }],
        ways: vec![way(WayKind::Standing { weeks: 5 }, 60.0, 4.0)],
        ..leaves("heads")
    }
}

fn standing(crop: CropId, sown: (i32, u32)) -> Standing {
    Standing {
        name: "old".into(),
        bed: 0,
        strips: vec![0, 1, 2],
        crop,
        way: Some(0),
        sown: week(sown.0, sown.1),
        planted: week(sown.0, sown.1),
        share: 0.5,
        taken: 0.0,
        ready_by: None,
        keep: false,
    }
}

#[test]
fn shelf_work_and_cost_are_those_of_one_strip() {
    let scenario = holding(vec![module_heads()]);
    let season = season(&scenario);
    let sown = week(2027, 10).since(scenario.start) as usize;
    assert!(new_ones(&season).count() > 0);
    for c in new_ones(&season) {
        // 20 plants per m² on 0.6 m², 400 to a m² of shelf, from sowing until planting.
        let weeks: Vec<usize> = c.shelf.iter().map(|s| s.week).collect();
        assert_eq!(weeks, (sown..c.start).collect::<Vec<_>>());
        assert!(c.shelf.iter().all(|s| close(s.m2, 20.0 * STRIP_M2 / 400.0)));
        // 1.2 seeds a plant at 0.01 each.
        assert!(close(c.cost, 1.2 * 0.01 * 20.0 * STRIP_M2));
        // 2 minutes per m² to sow, 4 to plant, 2 to clear.
        let expected = [(sown, 1.2), (c.start, 2.4), (c.end, 1.2)];
        assert_eq!(c.work.len(), expected.len());
        for (have, want) in c.work.iter().zip(expected) {
            assert!(have.0 == want.0 && close(have.1, want.1), "{have:?}");
        }
    }
}

#[test]
fn a_standing_crop_may_be_lifted_in_one_three_or_all_of_its_weeks() {
    let scenario = holding(vec![module_heads()]);
    let season = season(&scenario);
    let kind = season.beds[0].kind;
    let earliest = new_ones(&season)
        .filter(|c| c.kind == kind)
        .map(|c| (c.start, c.members[0].lit))
        .min()
        .expect("it succeeds in the open");
    let of_one_planting = || {
        new_ones(&season).filter(|c| {
            c.kind == kind
                && (c.start, c.members[0].lit) == earliest
                && c.states.iter().all(|&state| state == BARE)
        })
    };
    let stood: Vec<usize> = of_one_planting()
        .map(|c| c.end - c.lots[0].from)
        .collect::<BTreeSet<_>>()
        .into_iter()
        .collect();
    assert_eq!(stood, [1, 3, 5]);
    for c in of_one_planting() {
        // Fresh to its last week in the ground, kept one week more; 4 per m².
        let lot = c.lots[0];
        assert_eq!((lot.fresh_until, lot.until), (c.end - 1, c.end));
        assert!(close(lot.amount, 4.0 * STRIP_M2));
    }
}

#[test]
fn a_cleared_crop_is_one_lot_that_keeps() {
    let crop = Crop {
        ways: vec![Way {
            keeps_weeks: 20,
            ..way(WayKind::Clearing, 60.0, 3.0)
        }],
        ..leaves("bulbs")
    };
    let scenario = holding(vec![crop]);
    let season = season(&scenario);
    assert!(new_ones(&season).count() > 0);
    for c in new_ones(&season) {
        let [lot] = c.lots[..] else {
            panic!("one lot, not {:?}", c.lots)
        };
        assert_eq!((lot.from + 1, lot.fresh_until), (c.end, lot.from));
        assert_eq!(lot.until, (lot.from + 20).min(season.weeks - 1));
    }
}

#[test]
fn covers_lie_only_within_one_spell() {
    let scenario = holding(vec![leaves("leaves")]);
    let season = season(&scenario);
    let covered: Vec<_> = new_ones(&season)
        .filter(|c| c.states.iter().any(|&s| s != BARE))
        .collect();
    assert!(!covered.is_empty());
    for c in covered {
        for (offset, &state) in c.states.iter().enumerate() {
            let of_year = scenario.week(c.start + offset).of_year();
            assert!(state == BARE || scenario.covers[0].spells[0].contains(of_year));
        }
        let stretches = c.states.chunk_by(|a, b| a == b).filter(|s| s[0] != BARE);
        assert_eq!(stretches.count(), 1, "{}", c.name);
    }
}

#[test]
fn small_plants_may_wait_on_the_shelf() {
    let season = season(&holding(vec![module_heads()]));
    let waits = |lit: bool| -> BTreeSet<usize> {
        new_ones(&season)
            .filter(|c| c.members[0].lit == lit)
            .map(|c| c.shelf.len())
            .collect()
    };
    let unlit: Vec<usize> = waits(false).into_iter().collect();
    // As soon as they are fit, or in the last of the eight weeks they may stay.
    assert_eq!((unlit.len(), unlit[1]), (2, 8));
    // Lamps are offered only where they make the plants fit sooner.
    assert!(waits(true).first().is_none_or(|&weeks| weeks < unlit[0]));
}

#[test]
fn history_and_standing_plantings_part_the_strips_of_a_bed() {
    let mut scenario = holding(vec![leaves("leaves")]);
    scenario.families.push(Family {
        name: "other".into(),
        break_weeks: 20,
        rule: RotationRule::Discourage {
            money_per_m2_week: 0.1,
        },
        exceptions: vec![(1, RotationRule::Off)],
    });
    let start = scenario.start;
    let past = |family, back: i32, first, count| PastCrop {
        family,
        cleared: start.plus(-back),
        strips: Strips { first, count },
    };
    // Family 0 rests 8 weeks, the other 20.
    scenario.beds[0].history = vec![
        past(0, 3, 0, 5),
        past(0, 30, 0, 8),
        past(1, 10, 4, 4),
        past(1, 15, 4, 1),
    ];
    scenario.beds[1].history = vec![past(1, 1, 0, 8)];
    scenario.standing.push(standing(0, (2026, 36)));
    let season = season(&scenario);
    let have: Vec<_> = season
        .groups
        .iter()
        .map(|g| (g.bed, g.strips.clone(), g.standing, g.release.clone()))
        .collect();
    let want = vec![
        // The standing planting's own break covers that of its family's past.
        (0, vec![0, 1, 2], Some(0), vec![0, 0]),
        (0, vec![3], None, vec![5, 0]),
        (0, vec![4], None, vec![5, 10]),
        (0, vec![5, 6, 7], None, vec![0, 10]),
        (1, (0..8).collect(), None, vec![0, 0]),
    ];
    assert_eq!(have, want);
    let discouraged = Rotation::Discourage {
        weeks: 20,
        money_per_strip_week: 0.1 * STRIP_M2,
    };
    assert_eq!(
        season.beds[0].rotation,
        [Rotation::Forbid { weeks: 8 }, discouraged]
    );
    assert_eq!(season.beds[1].rotation[1], Rotation::Off);
}

#[test]
fn beds_alike_share_a_kind() {
    let mut scenario = holding(vec![leaves("leaves")]);
    let open = scenario.beds[0].clone();
    let bed = |name: &str, length_m, strips, exposure| Bed {
        name: name.into(),
        length_m,
        strips,
        exposure,
        ..open.clone()
    };
    scenario.beds.push(bed("same strips", 2.0, 4, 1.0));
    scenario.beds.push(bed("wider strips", 4.0, 4, 1.0));
    scenario.beds.push(bed("shaded", 4.0, 8, 0.6));
    scenario
        .beds
        .push(bed("too long for the cover", 6.0, 12, 1.0));
    let season = season(&scenario);
    let kinds: Vec<usize> = season.beds.iter().map(|bed| bed.kind).collect();
    assert_eq!(kinds, [0, 1, 0, 2, 3, 4]);
    assert!(close(season.kinds[2].strip_m2, 1.2));
    assert!(season.beds[5].covers.is_empty());
    let amount = |kind: usize| -> f64 {
        new_ones(&season)
            .filter(|c| c.kind == kind)
            .flat_map(|c| &c.lots)
            .map(|lot| lot.amount)
            .sum()
    };
    assert!((amount(2) / amount(0) - 2.0).abs() < 1e-9);
}

#[test]
fn what_stands_may_be_cleared_at_once_unless_it_is_kept() {
    let mut scenario = holding(vec![leaves("leaves")]);
    scenario.standing.push(standing(0, (2026, 32)));
    let alternatives = |scenario: &Scenario| -> Vec<Candidate> {
        season(scenario)
            .candidates
            .into_iter()
            .filter(|c| c.standing == Some(0))
            .collect()
    };
    let free = alternatives(&scenario);
    assert_eq!(free.iter().filter(|c| c.end == 0).count(), 1);
    assert!(free.len() > 1);
    scenario.standing[0].keep = true;
    let kept = alternatives(&scenario);
    assert!(kept.iter().all(|c| c.end > 0));
    for c in &kept {
        let same_cover =
            |other: &&Candidate| other.end >= c.end && other.states[..c.end] == c.states[..];
        let longest = free.iter().filter(same_cover).map(|other| other.end).max();
        assert_eq!(longest, Some(c.end), "{} is its natural end", c.name);
    }
}

#[test]
fn what_was_taken_is_not_there_any_more() {
    let mut heads = leaves("heads");
    heads.ways = vec![way(WayKind::Standing { weeks: 30 }, 40.0, 4.0)];
    let mut scenario = holding(vec![heads]);
    scenario.standing.push(Standing {
        taken: 0.25,
        ready_by: None,
        ..standing(0, (2026, 28))
    });
    let season = season(&scenario);
    let lots: Vec<f64> = season
        .candidates
        .iter()
        .filter(|c| c.standing == Some(0))
        .flat_map(|c| &c.lots)
        .map(|lot| lot.amount)
        .collect();
    assert!(!lots.is_empty());
    // Half a stand of 4 per m², a quarter of it gone.
    assert!(lots.iter().all(|&l| close(l, 0.5 * 0.75 * 4.0 * STRIP_M2)));
}

/// Ends and lots of a planting that has stood since May, harvested so.
fn kept_since_may(kind: WayKind) -> Vec<(usize, Vec<usize>)> {
    let mut crop = leaves("crop");
    crop.ways = vec![way(kind, 20.0, 4.0)];
    let mut scenario = holding(vec![crop]);
    scenario.standing.push(Standing {
        keep: true,
        ..standing(0, (2026, 18))
    });
    let season = season(&scenario);
    let its = season.candidates.iter().filter(|c| c.standing == Some(0));
    its.map(|c| (c.end, c.lots.iter().map(|lot| lot.from).collect()))
        .collect()
}

#[test]
fn what_is_picked_bare_can_only_be_cleared_even_if_kept() {
    assert_eq!(
        kept_since_may(WayKind::Picking { span: 10.0 }),
        [(0, vec![])]
    );
}

#[test]
fn what_stands_ripe_since_long_ago_is_lifted_in_the_first_week() {
    for kind in [WayKind::Standing { weeks: 1 }, WayKind::Clearing] {
        let found = kept_since_may(kind);
        assert!(!found.is_empty());
        assert!(found.iter().all(|end| *end == (1, vec![0])), "{found:?}");
    }
}

#[test]
fn never_and_always_reach_the_season() {
    let mut scenario = holding(vec![leaves("a"), leaves("b"), leaves("c")]);
    let start = scenario.start;
    let directive = |crop, bed, kind| Directive { crop, bed, kind };
    scenario.directives = vec![
        directive(0, None, DirectiveKind::Never),
        directive(1, Some(1), DirectiveKind::Never),
        directive(
            2,
            Some(0),
            DirectiveKind::Always {
                strips: 2,
                from: start.plus(-3),
                to: start.plus(5),
                missing_money: 9.0,
            },
        ),
    ];
    let season = season(&scenario);
    let grown: BTreeSet<(CropId, usize)> = new_ones(&season)
        .map(|c| (c.members[0].crop, c.kind))
        .collect();
    assert_eq!(grown, BTreeSet::from([(1, 0), (2, 0), (2, 1)]));
    assert_eq!(season.never, [(1, 1)]);
    let always = &season.always[0];
    let asked = Counted::Crop {
        crop: 2,
        from: 0,
        to: 5,
    };
    assert_eq!((&always.of, always.units), (&asked, 2.0));
}

#[test]
fn green_manures_earn_their_credit() {
    let mut manure = leaves("clover");
    manure.ways.clear();
    manure.credit_money_per_m2_week = 0.05;
    manure.raisings[0].seed_money = 0.0;
    let season = season(&holding(vec![manure]));
    assert!(new_ones(&season).count() > 0);
    for c in new_ones(&season) {
        assert!(c.lots.is_empty() && c.members[0].way.is_none());
        let weeks = c.cost / -(0.05 * STRIP_M2);
        assert!(close(weeks, weeks.round()), "{weeks}");
        let ground = c.end - c.start;
        assert!((1..=ground).contains(&(weeks.round() as usize)));
    }
}

#[test]
fn what_cannot_pay_its_seed_is_left_out_unless_it_is_asked_for() {
    let mut scenario = holding(vec![leaves("leaves")]);
    // 24 seeds at 1 a piece per m²; 4 units at 3 in place of a shortage at 3 more are worth 24
    // less the picking, a minute a unit at 10 an hour.
    scenario.crops[0].raisings[0].seed_money = 1.0;
    assert_eq!(new_ones(&season(&scenario)).count(), 0);
    scenario.directives.push(Directive {
        crop: 0,
        bed: None,
        kind: DirectiveKind::Always {
            strips: 1,
            from: scenario.start,
            to: scenario.start.plus(70),
            missing_money: 50.0,
        },
    });
    assert!(new_ones(&season(&scenario)).count() > 0);
}

#[test]
fn recipes_share_a_strip_within_their_overlap() {
    let mut slow = module_heads();
    slow.ways[0].ready_units = 90.0;
    let mut quick = leaves("quick");
    quick.ways = vec![way(WayKind::Standing { weeks: 2 }, 25.0, 2.0)];
    let mut scenario = holding(vec![slow, quick]);
    let part = |crop, yield_share, plant_share| RecipePart {
        crop,
        raising: 0,
        way: 0,
        yield_share,
        plant_share,
    };
    scenario.recipes.push(Recipe {
        name: "quick between slow".into(),
        first: part(0, 0.9, 1.0),
        second: part(1, 0.4, 0.5),
        min_overlap_weeks: 2,
        max_overlap_weeks: 9,
    });
    let season = season(&scenario);
    let shared: Vec<_> = new_ones(&season).filter(|c| c.members.len() == 2).collect();
    assert!(!shared.is_empty());
    for c in shared {
        let at = |week: bedweek::units::Week| week.since(scenario.start) as usize;
        let (first, second) = (&c.members[0], &c.members[1]);
        let together = at(first.cleared).min(at(second.cleared)) - at(second.planted);
        assert!((2..=9).contains(&together), "{}", c.name);
        assert!(first.planted <= second.planted);
        assert_eq!(c.start, at(first.planted));
        assert_eq!(c.end, at(first.cleared).max(at(second.cleared)));
        // Both are of family 0: one entry for both.
        assert_eq!(c.families.len(), 1);
        let amount = |product| -> f64 {
            let lots = c.lots.iter().filter(|lot| lot.product == product);
            lots.map(|lot| lot.amount).sum()
        };
        assert!(close(amount(0), 0.9 * 4.0 * STRIP_M2));
        assert!(close(amount(1), 0.4 * 2.0 * STRIP_M2));
        let seed = 1.2 * 0.01 * 20.0 * STRIP_M2;
        assert!(close(c.cost, seed * 1.5));
    }
}

#[test]
fn the_same_scenario_gives_the_same_season() {
    let scenario = holding(vec![leaves("a"), module_heads()]);
    let twice = [season(&scenario), season(&scenario)];
    assert_eq!(format!("{:?}", twice[0]), format!("{:?}", twice[1]));
}
