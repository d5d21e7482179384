//! The programme of a season: names, files, optima by hand and by two roads.

#[path = "support/season.rs"]
mod season;

#[path = "support/linear.rs"]
mod linear;

#[path = "support/still.rs"]
mod still;

use bedweek::candidates::*;
use bedweek::programme::{
    Check, Drawn, Form, Placing, RULES, Split, build, check, lay_out, point, split, write_lp,
    write_mps,
};
use bedweek::solve::exact::{ExactLimits, exact};
use bedweek::solve::{Draw, Options, solve as plan};
use bedweek::units::Week;
use linear::{Ended, Limits, solve};
use season::{SeasonOptions, random_season};
use std::collections::BTreeSet;
use still::Still;

fn small(seed: u64) -> bedweek::candidates::Season {
    random_season(seed, 3, 3, 9, 52, SeasonOptions::small())
}

#[test]
fn names_are_unique_legal_and_short_and_lines_stay_short() {
    for form in [Form::Bed, Form::Pooled] {
        let programme = build(&small(3), form);
        let columns: BTreeSet<&str> = programme.columns.iter().map(|c| &*c.name).collect();
        let rows: BTreeSet<&str> = programme.rows.iter().map(|r| &*r.name).collect();
        assert_eq!(columns.len(), programme.columns.len());
        assert_eq!(rows.len(), programme.rows.len());
        for name in columns.iter().chain(&rows) {
            let legal = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '.';
            assert!(name.chars().all(legal), "{name}");
            assert!(name.starts_with(|c: char| c.is_ascii_alphabetic() && c != 'e'));
        }
        let (mut lp, mut mps) = (Vec::new(), Vec::new());
        write_lp(&programme, &mut lp).unwrap();
        write_mps(&programme, &mut mps).unwrap();
        for text in [lp, mps] {
            let text = String::from_utf8(text).unwrap();
            assert!(text.lines().all(|line| line.len() < 255));
        }
    }
}

#[test]
fn the_same_season_gives_the_same_bytes() {
    let files: Vec<Vec<u8>> = (0..2)
        .map(|_| {
            let mut out = Vec::new();
            let programme = build(&small(4), Form::Bed);
            write_lp(&programme, &mut out).unwrap();
            write_mps(&programme, &mut out).unwrap();
            out
        })
        .collect();
    assert_eq!(files[0], files[1]);
}

/// One bed of two strips; beans are ready in week 2 (three units a strip, eaten in weeks 2 to 4,
/// half of the rest lost with every week kept), or not sown.
fn beans() -> Season {
    let start = Week::from_iso(2026, 42).unwrap();
    Season {
        weeks: 5,
        start,
        kinds: vec![BedKind {
            name: "open".into(),
            strip_m2: 0.5,
        }],
        beds: vec![BedGround {
            name: "B1".into(),
            kind: 0,
            strips: 2,
            state_before: BARE,
            covers: vec![],
            rotation: vec![Rotation::Forbid { weeks: 50 }],
        }],
        groups: vec![StripGroup {
            bed: 0,
            strips: vec![0, 1],
            standing: None,
            release: vec![0],
            weeks: 5,
        }],
        covers: vec![],
        family_names: vec!["legume".into()],
        products: vec![Product {
            name: "beans".into(),
            crop: 0,
            way: 0,
            food: 0,
            weekly_loss: 0.5,
            minutes_per_unit: 1.0,
            in_store: false,
        }],
        in_store: vec![],
        foods: vec![FoodNeed {
            name: "beans".into(),
            price: 2.0,
            short_cost: vec![3.0; 5],
            floor: vec![0.5; 5],
            wish: vec![1.0; 5],
            single_crop_share: 1.0,
        }],
        level: None,
        shelf_lit_m2: 0.0,
        shelf_unlit_m2: 0.0,
        minute_money: 0.1,
        minutes_per_week: None,
        on_shelf: vec![],
        always: vec![],
        planned: vec![],
        add_money_per_m2: 0.0,
        given_back: 0.0,
        never: vec![],
        cycle: None,
        candidates: vec![Candidate {
            name: "beans".into(),
            kind: 0,
            standing: None,
            start: 0,
            end: 2,
            states: vec![BARE; 2],
            families: vec![FamilyUse {
                family: 0,
                from: 0,
                until: 2,
            }],
            lots: vec![Lot {
                product: 0,
                from: 2,
                fresh_until: 2,
                until: 4,
                amount: 3.0,
            }],
            shelf: vec![],
            plants: vec![],
            work: vec![(0, 5.0)],
            cost: 0.5,
            members: vec![Member {
                crop: 0,
                raising: Some(0),
                lit: false,
                way: Some(0),
                sown: start,
                planted: start,
                cleared: start.plus(2),
                yield_share: 1.0,
                plant_share: 1.0,
            }],
        }],
    }
}

#[test]
fn beans_by_hand() {
    // One strip: 1 unit in week 2, 1 in week 3 (uses 2). Floors of 0.5 at 3.0 are short in weeks
    // 0, 1 and 4. Worth 2 * 2 - 3 * 0.5 * 3 - 0.5 (seed) - 0.5 (work) - 0.2 (harvest) = -1.7.
    // The second strip: 0.75 more in week 4 (its 3 units there count a quarter): 1.5 earned and
    // the floor of week 4 kept, 1.5; less 1.0 and 0.075: worth 0.225.
    let season = beans();
    let found = exact(
        &season,
        &[false],
        -100.0,
        None,
        ExactLimits::default(),
        &Still,
    )
    .expect("small enough");
    assert!(found.finished && !found.unsplit);
    let better = found.better.unwrap();
    assert!((better.worth - 0.225).abs() < 1e-9, "{}", better.worth);
    assert_eq!(better.strips, [[[0], [0]]]);

    let plain = solve(&build(&season, Form::Bed), Limits::default(), None).unwrap();
    assert!((plain.check.objective - 0.225).abs() < 1e-9);
}

/// The plan's point in the form by beds, its worth there and its largest violation.
fn checked(
    season: &Season,
    strips: &[Vec<Vec<CandidateId>>],
    covers: &[Vec<CoverState>],
    draws: &[Draw],
) -> Check {
    let (programme, layout) = lay_out(season, Form::Bed, &|_| true);
    let drawn: Vec<Drawn> = draws.iter().map(Draw::drawn).collect();
    let placing = Placing {
        strips,
        covers,
        drawn: &drawn,
    };
    check(
        &programme,
        &point(season, &programme, &layout, &placing).unwrap(),
    )
}

#[test]
fn the_exact_search_agrees_with_plain_branch_and_bound() {
    let mut found_any = 0;
    for seed in 0..40 {
        let season = random_season(seed, 2, 2, 6, 30, SeasonOptions::small());
        let all = vec![false; season.candidates.len()];
        let plain = solve(&build(&season, Form::Bed), Limits::default(), None).unwrap();
        assert_eq!(plain.ended, Ended::Optimal);
        let optimum = plain.check.objective;
        let found =
            exact(&season, &all, -1e6, None, ExactLimits::default(), &Still).expect("small enough");
        assert!(found.finished, "seed {seed}");
        let near = |a: f64| (a - optimum).abs() <= 2e-6 * optimum.abs().max(1.0);
        let better = found
            .better
            .expect("a plan exists: clear everything, grow nothing");
        // Where solutions by beds cannot be placed, the placed optimum is lower.
        assert!(better.worth <= optimum + 1e-6 * optimum.abs().max(1.0));
        assert!(found.bound >= better.worth);
        found_any += usize::from(near(better.worth));
        let check = checked(&season, &better.strips, &better.covers, &better.draws);
        assert!(check.violation() < 1e-6, "seed {seed}: {check:?}");
        assert!((check.objective - better.worth).abs() < 1e-9);

        // Nothing beats the optimum, and the search says so.
        let again = exact(&season, &all, optimum, None, ExactLimits::default(), &Still)
            .expect("small enough");
        assert!(again.finished && again.better.is_none() && near(again.bound));

        // Beds added together: never worth less.
        let pooled = solve(&build(&season, Form::Pooled), Limits::default(), None).unwrap();
        assert!(pooled.check.objective >= optimum - 1e-6 * optimum.abs().max(1.0));
    }
    assert!(
        found_any >= 35,
        "placed as well as counted in {found_any} of 40"
    );
}

#[test]
fn plans_of_the_whole_search_keep_the_exported_programme() {
    for seed in 0..6 {
        let season = random_season(seed, 3, 3, 9, 40, SeasonOptions::small());
        let options = Options {
            gap: 0.0,
            seconds: None,
            work: Some(3000),
        };
        let answer = plan(&season, &options, &Still);
        let check = checked(&season, &answer.strips, &answer.covers, &answer.draws);
        assert!(check.violation() < 1e-6, "seed {seed}: {check:?}");
        let scale = answer.worth.abs().max(1.0);
        assert!(
            (check.objective - answer.worth).abs() < 1e-6 * scale,
            "seed {seed}"
        );
        assert!(answer.bound >= answer.worth);
    }
}

#[test]
fn a_season_without_candidates_is_all_short() {
    let mut season = beans();
    season.candidates.clear();
    // Floors of five weeks at 0.5, 3.0 a unit.
    let found =
        exact(&season, &[], -100.0, None, ExactLimits::default(), &Still).expect("small enough");
    assert!(found.finished);
    assert!((found.better.unwrap().worth + 7.5).abs() < 1e-9);
}

#[test]
fn the_written_programme_of_the_beans_is_the_one_on_file() {
    let mut out = Vec::new();
    write_lp(&build(&beans(), Form::Bed), &mut out).unwrap();
    let written = String::from_utf8(out).unwrap();
    assert_eq!(written, include_str!("data/beans.lp"), "\n{written}");
}

#[test]
fn the_reference_names_every_rule() {
    let reference = include_str!("../docs/reference/export.md");
    for rule in RULES {
        assert!(reference.contains(&format!("`{}.", rule.id)), "{}", rule.id);
    }
}

#[test]
fn strips_are_split_so_that_breaks_are_kept() {
    let mut season = beans();
    let mut late = season.candidates[0].clone();
    (late.start, late.end) = (3, 5);
    (late.families[0].from, late.families[0].until) = (3, 5);
    season.candidates.push(late);
    // Early and late beans cannot share a strip: the break is 50 weeks.
    let found = split(&season, 0, &[(0, 1), (1, 1)], None);
    assert_eq!(found, Split::Found(vec![vec![0], vec![1]]));
    assert_eq!(
        split(&season, 0, &[(0, 2), (1, 1)], None),
        Split::Impossible
    );
    season.beds[0].rotation[0] = Rotation::Off;
    let found = split(&season, 0, &[(0, 2), (1, 1)], None);
    assert_eq!(found, Split::Found(vec![vec![0, 1], vec![0]]));
}
