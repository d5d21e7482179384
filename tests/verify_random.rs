//! The full holding changed at random in everything a grower may set: the greedy plan made for it
//! holds, and its ledger is the one `verify` reckons.
//!
//! Where the answers come from: two routes to one figure. Candidates and ledger on the one side,
//! the growth model and the scenario on the other.

#[path = "support/greedy.rs"]
mod greedy;
#[path = "support/plans.rs"]
mod plans;

use bedweek::domain::{Directive, DirectiveKind, RotationRule, Scenario};
use bedweek::plan::Rule;
use bedweek::verify::verify;
use rand::seq::IndexedRandom;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use std::collections::BTreeSet;

const HOLDINGS: u64 = 12;
const CHANGES: usize = 150;

fn pick(dice: &mut ChaCha8Rng, from: &[f64]) -> f64 {
    *from.choose(dice).expect("not empty")
}

/// Another holding, as valid as the first.
fn changed(mut scenario: Scenario, seed: u64) -> Scenario {
    let dice = &mut ChaCha8Rng::seed_from_u64(seed);
    scenario.start = scenario.start.plus(dice.random_range(0..8));
    for family in &mut scenario.families {
        family.break_weeks = *[0, 8, 30, 52, 104].choose(dice).expect("not empty");
        family.exceptions.clear();
        let price = pick(dice, &[0.01, 0.5]);
        let discourage = RotationRule::Discourage {
            money_per_m2_week: price,
        };
        let rules = [
            RotationRule::Forbid,
            RotationRule::Forbid,
            discourage,
            RotationRule::Off,
        ];
        family.rule = *rules.choose(dice).expect("not empty");
        for bed in 0..scenario.beds.len() {
            if dice.random_bool(0.1) {
                family
                    .exceptions
                    .push((bed, *rules.choose(dice).expect("not empty")));
            }
        }
    }
    for standing in &mut scenario.standing {
        standing.keep = dice.random_bool(0.3);
        standing.share = pick(dice, &[1.0, 0.6]);
        standing.taken = pick(dice, &[0.0, 0.3, 0.9]);
    }
    let first = scenario.start.of_year();
    for bed in 0..scenario.beds.len() {
        scenario.beds[bed].exposure = pick(dice, &[1.0, 1.0, 0.7]);
        let lies = (0..scenario.covers.len()).find(|&cover| {
            let spells = &scenario.covers[cover].spells;
            scenario.fits(cover, bed) && spells.iter().any(|s| s.contains(first))
        });
        scenario.beds[bed].covered_by = lies.filter(|_| dice.random_bool(0.3));
    }
    for cover in 0..scenario.covers.len() {
        let lie = (scenario.beds.iter())
            .filter(|b| b.covered_by == Some(cover))
            .count();
        scenario.covers[cover].count = u32::try_from(lie).expect("few") + dice.random_range(0..4);
    }
    for way in scenario.crops.iter_mut().flat_map(|c| &mut c.ways) {
        way.weekly_loss = pick(dice, &[0.0, 0.02, 0.2]);
        way.keeps_weeks = *[0, 1, 5, 30].choose(dice).expect("not empty");
    }
    for food in &mut scenario.foods {
        food.single_crop_share = pick(dice, &[1.0, 0.5]);
        let factor = pick(dice, &[0.3, 1.0, 4.0]);
        food.floor
            .iter_mut()
            .chain(&mut food.wish)
            .for_each(|w| *w *= factor);
    }
    if dice.random_bool(0.3) {
        scenario.level = None;
    }
    scenario.shelf.lit_m2 *= pick(dice, &[0.0, 1.0, 3.0]);
    scenario.shelf.unlit_m2 *= pick(dice, &[0.1, 1.0, 3.0]);
    for _ in 0..4 {
        let bed = dice
            .random_bool(0.5)
            .then(|| dice.random_range(0..scenario.beds.len()));
        let always = DirectiveKind::Always {
            strips: dice.random_range(1..6),
            from: scenario.start.plus(dice.random_range(0..20)),
            to: scenario.start.plus(dice.random_range(20..60)),
            missing_money: 3.0,
        };
        scenario.directives.push(Directive {
            crop: dice.random_range(0..scenario.crops.len()),
            bed,
            kind: if dice.random_bool(0.5) {
                DirectiveKind::Never
            } else {
                always
            },
        });
    }
    scenario
}

#[test]
fn greedy_plans_of_random_holdings_hold() {
    let mut rules: BTreeSet<Rule> = BTreeSet::new();
    for seed in 0..HOLDINGS {
        let base = plans::made("four-households", greedy::empty).scenario;
        let made = plans::made_of(changed(base, seed), greedy::greedy);
        let violations = verify(&made.scenario, &made.plan);
        let text: Vec<String> = violations.iter().map(ToString::to_string).collect();
        assert!(
            text.is_empty(),
            "seed {seed}, {} violations:\n{}",
            text.len(),
            text.join("\n")
        );
        rules.extend(made.plan.ledger.iter().map(|l| l.rule));
    }
    for rule in [
        Rule::Break,
        Rule::Always,
        Rule::Credit,
        Rule::CoverWork,
        Rule::Band,
    ] {
        assert!(rules.contains(&rule), "no plan has a line of {rule:?}");
    }
}

/// A digit of the plan file changed to another one: the file is refused, or the plan does not
/// hold, or the change is too small to matter. `verify` is never out of its depth.
#[test]
fn no_changed_digit_goes_unnoticed() {
    /// Free to say anything: not about the plan itself.
    const FREE: [&str; 9] = [
        "made_by:",
        "fingerprint:",
        "candidates:",
        "work:",
        "seconds:",
        "work_limit:",
        "time_limit_seconds:",
        "- id:",
        // What was asked; with a work limit reached, it says nothing of the plan.
        "gap: 0.01",
    ];
    let made = plans::made("small-plot", greedy::greedy);
    let text = bedweek::render::write(&made.plan);
    let dice = &mut ChaCha8Rng::seed_from_u64(7);
    let places: Vec<usize> = (text.char_indices())
        .filter(|(_, c)| c.is_ascii_digit())
        .map(|(at, _)| at)
        .collect();
    let (mut caught, mut missed) = (0, Vec::new());
    for _ in 0..CHANGES {
        let at = *places.choose(dice).expect("a plan has digits");
        let digit = char::from(b'0' + dice.random_range(0..10));
        let mut other = text.clone();
        other.replace_range(at..=at, &digit.to_string());
        let Ok(plan) = bedweek::render::read(&other) else {
            caught += 1;
            continue;
        };
        if plan == made.plan {
            continue;
        }
        if !verify(&made.scenario, &plan).is_empty() {
            caught += 1;
            continue;
        }
        let start = text[..at].rfind('\n').map_or(0, |n| n + 1);
        let line = text[start..].lines().next().expect("a line");
        let decimals = text[..at]
            .rsplit(|c: char| !c.is_ascii_digit())
            .next()
            .map_or(0, str::len);
        // The fifth decimal of a large amount is below what two figures may differ by.
        let small = decimals >= 4 || text[..at].ends_with('e');
        if !small && !FREE.iter().any(|key| line.trim_start().starts_with(key)) {
            missed.push(line.to_string());
        }
    }
    assert!(caught * 2 > CHANGES, "most changes matter: {caught}");
    assert!(
        missed.is_empty(),
        "{} unnoticed:\n{}",
        missed.len(),
        missed.join("\n")
    );
}
