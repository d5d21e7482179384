//! What a year starts with: food in store, plants on the shelf, plantings decided on.
//!
//! Where the answers come from: windows, amounts and money are worked out by hand from the entries;
//! a plan for the small plot goes through `verify`, which reckons from the scenario alone, and every
//! damage is done here.

#[path = "support/holding.rs"]
mod holding;
#[path = "support/plans.rs"]
mod plans;
#[path = "support/still.rs"]
mod still;

use bedweek::candidates::{self, Candidate, Counted, Season, season};
use bedweek::domain::*;
use bedweek::input::load_text;
use bedweek::plan::{Fate, YearPlan};
use bedweek::solve::exact::{ExactLimits, exact};
use bedweek::solve::{Answer, NoPlan, Options, Status, possible, solve};
use bedweek::verify::{Check, verify};
use holding::{holding, leaves, raising};
use plans::{Made, file, made_of};
use std::sync::OnceLock;
use still::Still;

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6 * b.abs().max(1.0)
}

#[test]
fn food_in_store_keeps_from_its_harvest_and_loses_from_the_start() {
    let mut roots = leaves("roots");
    roots.ways[0].keeps_weeks = 10;
    let mut scenario = holding(vec![roots]);
    let start = scenario.start;
    let entry = |name: &str, weeks_ago: i32| InStore {
        name: name.into(),
        crop: 0,
        way: 0,
        amount: 4.0,
        harvested: start.plus(-weeks_ago),
    };
    scenario.in_store = vec![entry("fresh", 1), entry("old", 10), entry("past", 11)];
    let season = season(&scenario);
    let weeks: Vec<_> = (season.in_store.iter())
        .map(|lot| (lot.from, lot.fresh_until, lot.until, lot.amount))
        .collect();
    assert_eq!(weeks, [(0, 0, 9, 4.0), (0, 0, 0, 4.0)]);
    let product = &season.products[season.in_store[0].product];
    assert!(product.in_store && product.minutes_per_unit == 0.0);
    // A tenth is lost with each week kept: what is eaten in the third week is nine tenths twice over.
    let used = season.in_store[0].used_per_unit(2, product.weekly_loss);
    assert!(near(used, 1.0 / (0.9 * 0.9)));
}

/// Modules of which some are on the shelf, sown three weeks ago: fit, and not too old.
fn with_shelf() -> Scenario {
    let mut crop = leaves("salad");
    crop.raisings = vec![raising(Method::Modules)];
    let mut scenario = holding(vec![crop]);
    scenario.on_shelf = vec![OnShelf {
        name: "tray".into(),
        crop: 0,
        raising: 0,
        lit: true,
        sown: scenario.start.plus(-3),
        plants: 30.0,
    }];
    scenario
}

#[test]
fn plants_on_the_shelf_are_planted_without_seed_and_sowing() {
    let scenario = with_shelf();
    let season = season(&scenario);
    let start = scenario.start;
    let strip_m2 = scenario.beds[0].strip_m2();
    let (mut to_hand, mut sown_now) = (0, 0);
    for candidate in &season.candidates {
        let member = &candidate.members[0];
        if member.sown >= start {
            assert!(candidate.plants.is_empty());
            sown_now += 1;
            continue;
        }
        to_hand += 1;
        assert!((member.lit, member.sown) == (true, start.plus(-3)));
        assert!(
            candidate.start as i32 <= 8 - 3,
            "the longest stay is eight weeks"
        );
        // 20 plants a m², none bought, none sown; shelf from the start until planted.
        assert!(near(candidate.plants[0].plants, 20.0 * strip_m2));
        assert!(near(candidate.cost, 0.0));
        let weeks: Vec<usize> = candidate.shelf.iter().map(|s| s.week).collect();
        assert_eq!(weeks, (0..candidate.start).collect::<Vec<_>>());
        let planting = candidate.work.iter().find(|(w, _)| *w == candidate.start);
        assert!(near(planting.expect("planted").1, 4.0 * strip_m2));
    }
    assert!(to_hand > 0 && sown_now > 0);
}

/// `crops_used` names "the only crops to plan with" (docs/reference/scenario.md): what is there of others is used up.
#[test]
fn of_what_is_there_alone_nothing_is_sown() {
    let mut scenario = with_shelf();
    scenario.crops[0].anew = false;
    let season = season(&scenario);
    assert!(!season.candidates.is_empty());
    let sown = |c: &Candidate| c.members[0].sown;
    assert!(season.candidates.iter().all(|c| sown(c) < scenario.start));

    let text = "\
name: Leeks that stand
start: 2027-W10
climate: oxford
beds:
  A: { setting: open, length_m: 4, width_m: 1.2, strips: 8 }
standing:
  leeks: { bed: A, strips: [1, 3], crop: winter leeks, sown: 2026-W15, planted: 2026-W25 }
needs:
  leeks: { floor: 0, wish: 1 }
  carrots: { floor: 0, wish: 1 }
work: { hour_money: 4 }
";
    let anew = |more: &str| -> Vec<(String, bool)> {
        let loaded = load_text("leeks.yaml", &format!("{text}{more}"));
        let crops = loaded.expect("it is sound").scenario.crops;
        let of_leeks = crops.into_iter().filter(|c| c.name == "winter leeks");
        of_leeks.map(|c| (c.name, c.anew)).collect()
    };
    let always = "directives: [{ always: winter leeks, strips: 1, from: 2027-W12, to: 2027-W20, missing_money: 1 }]\n";
    let of = |yes: bool| vec![("winter leeks".to_string(), yes)];
    assert_eq!(anew(""), of(true));
    assert_eq!(anew("crops_used: [main carrots]\n"), of(false));
    assert_eq!(
        anew(&format!("crops_used: [main carrots]\n{always}")),
        of(true)
    );
}

#[test]
fn plants_sown_out_of_season_are_still_there() {
    let mut scenario = with_shelf();
    // Sown in the one week of the year in which it may not be: only what is there is there.
    let sown = scenario.on_shelf[0].sown.of_year();
    scenario.crops[0].raisings[0].sow_from = scenario.start.of_year();
    scenario.crops[0].raisings[0].sow_to = scenario.start.plus(-5).of_year();
    assert!(!sown.within(
        scenario.crops[0].raisings[0].sow_from,
        scenario.crops[0].raisings[0].sow_to
    ));
    let to_hand = |s: &Scenario| {
        let season = season(s);
        let taken = season.candidates.iter().filter(|c| !c.plants.is_empty());
        taken.count()
    };
    assert!(to_hand(&scenario) > 0);
    // Past its longest stay it comes to nothing.
    scenario.on_shelf[0].sown = scenario.start.plus(-9);
    assert_eq!(to_hand(&scenario), 0);
}

/// Salad on the shelf and a sowing in place, both decided on.
fn decided() -> Scenario {
    let mut scenario = with_shelf();
    scenario.crops[0].raisings.push(raising(Method::Direct));
    let start = scenario.start;
    let planned = |name: &str, raising, sown, planted| Planned {
        name: name.into(),
        bed: 1,
        strips: vec![0, 3],
        members: vec![PlannedMember {
            crop: 0,
            raising,
            lit: raising == 0,
            sown,
            planted,
            way: None,
            cleared: None,
        }],
        bought: false,
        under: Vec::new(),
    };
    let (sown, later) = (start.plus(-3), start.plus(20));
    scenario.planned = vec![
        planned("out", 0, sown, start.plus(2)),
        planned("sow", 1, later, later),
    ];
    scenario
}

#[test]
fn what_cannot_be_as_decided_says_why() {
    let left_out = |change: &dyn Fn(&mut Scenario)| -> Vec<String> {
        let mut scenario = decided();
        scenario.planned[1].strips = vec![6, 7];
        change(&mut scenario);
        let season = season(&scenario);
        candidates::decided(&scenario, &season).left_out
    };
    assert!(left_out(&|_| {}).is_empty());
    let twice = left_out(&|s| {
        let again = Planned {
            name: "again".into(),
            strips: vec![3, 5],
            ..s.planned[0].clone()
        };
        s.planned.push(again);
    });
    let of = |said: &[String]| -> (usize, String) {
        let first = said.first().expect("it is said");
        let (_, reason) = first.split_once("as planned").expect("of a planting");
        (said.len(), reason.to_string())
    };
    let part = " on 1 of its 2 strips: its ground is not free then";
    assert_eq!(of(&twice), (1, part.into()));
    let unrested = left_out(&|s| {
        s.families[0].break_weeks = 15;
        s.families[0].rule = RotationRule::Forbid;
        s.beds[1].history.push(PastCrop {
            family: 0,
            cleared: s.start.plus(-5),
            strips: Strips { first: 0, count: 8 },
        });
    });
    assert_eq!(
        of(&unrested),
        (1, ": its family has not had its break there".into())
    );
    let never = left_out(&|s| s.planned[1].members[0].planted = s.start.plus(21));
    assert_eq!(of(&never), (1, ": nothing comes of it then".into()));
}

#[test]
fn what_is_decided_on_is_counted_on_at_the_price_of_changing_it() {
    let scenario = decided();
    let season = season(&scenario);
    let m2 = 2.0 * scenario.beds[1].strip_m2();
    let mut prices: Vec<(bool, f64)> = Vec::new();
    for rule in &season.always {
        assert!(near(rule.units, m2) && matches!(rule.of, Counted::Planned(_)));
        let serving = season.candidates.iter().filter(|c| rule.matches(c));
        assert!(serving.count() > 0, "{:?}", rule.of);
        prices.push((rule.bed == Some(1), rule.missing_money));
    }
    prices.sort_by(|a, b| (a.0.cmp(&b.0)).then(a.1.total_cmp(&b.1)));
    // The usual prices: moving 0.5; leaving out 1, raised 2.5; adding 1.
    let right = [(false, 1.5), (false, 3.0), (true, 0.5), (true, 0.5)];
    for ((bed, price), (is_bed, is)) in prices.iter().zip(right) {
        assert!(*bed == is_bed && near(*price, is), "{prices:?}");
    }
    assert!(near(season.given_back, 1.0 * 2.0 * m2));
    assert_eq!(season.planned.len(), 2);
    for used in &season.planned {
        let candidate = &season.candidates[used.candidate];
        assert!(candidate.start == 2 || candidate.start == 20);
        let strip_m2 = season.kinds[candidate.kind].strip_m2;
        let seed = if candidate.plants.is_empty() {
            20.0 * 1.2 * 0.01
        } else {
            0.0
        };
        assert!(near(candidate.cost, (1.0 + seed) * strip_m2));
    }
}

#[test]
fn where_nothing_is_decided_on_changes_cost_nothing() {
    let mut scenario = holding(vec![leaves("salad")]);
    let before = format!("{:?}", season(&scenario));
    scenario.changes.add_money_per_m2 = 7.0;
    scenario.changes.move_money_per_m2 = 7.0;
    assert_eq!(format!("{:?}", season(&scenario)), before);
}

/// The small plot with all three.
const START: &str = "
in_store:
  onions on strings: { crop: onions from sets, way: bulbs, amount: 4, harvested: 2027-W05 }
  squash on the shelf: { crop: squash, way: fruits, amount: 3, harvested: 2027-W02 }
on_shelf:
  young leeks: { crop: winter leeks, sown: 2027-W03, plants: 45 }
planned:
  leeks out: { bed: N1, strips: [1, 2], crop: winter leeks, raising: modules, sown: 2027-W03, planted: 2027-W12 }
  onions: { bed: N1, strips: [3], crop: onions from sets, raising: sets, sown: 2027-W10, bought: true }
  beans: { bed: S2, strips: [1, 3], crop: runner beans, raising: direct, sown: 2027-W22 }
  beet: { bed: S1, strips: [2, 3], crop: leaf beet, raising: direct 2, sown: 2027-W16 }
changes: { drop_money_per_m2: 0.4, drop_begun_money_per_m2: 2 }
";

fn plotted(start: &str) -> Scenario {
    let text = std::fs::read_to_string(file("small-plot")).expect("it is shipped");
    let loaded = load_text("plot.yaml", &(text + start));
    loaded.unwrap_or_else(|errors| panic!("{errors}")).scenario
}

fn solved(season: &Season) -> Answer {
    let options = Options {
        gap: 0.0,
        seconds: None,
        work: Some(4_000),
    };
    let answer = solve(season, &options, &Still);
    // Its bound is set aside by the plans of these tests.
    Answer {
        status: Status::WorkLimit,
        ..answer
    }
}

fn plot() -> &'static Made {
    static MADE: OnceLock<Made> = OnceLock::new();
    MADE.get_or_init(|| made_of(plotted(START), solved))
}

#[test]
fn a_plan_with_all_three_holds() {
    let Made { scenario, plan, .. } = plot();
    assert_eq!(verify(scenario, plan), []);
    assert_eq!(plan.in_store.len(), 2);
    assert!(plan.draws.iter().any(|d| d.in_store));
    let told: f64 = plan.changes.iter().map(|c| c.money).sum();
    let line = plan.ledger.iter().filter(|l| l.rule.name() == "changes");
    assert!(near(line.map(|l| -l.money).sum(), told));
    let kept = plan.changes.iter().filter(|c| c.change == Fate::Kept);
    assert!(kept.count() > 0, "{:?}", plan.changes);
}

#[test]
fn dearer_changes_leave_more_as_it_was() {
    let free = "\nchanges: { drop_money_per_m2: 0, drop_bought_money_per_m2: 0, drop_begun_money_per_m2: 0, \
                move_money_per_m2: 0, add_money_per_m2: 0 }\n";
    let dear = "\nchanges: { drop_money_per_m2: 90, drop_bought_money_per_m2: 90, drop_begun_money_per_m2: 90, \
                move_money_per_m2: 90 }\n";
    let start = START.split("changes:").next().expect("a first part");
    let made = |changes: &str| made_of(plotted(&format!("{start}{changes}")), solved);
    let left_out = |plan: &YearPlan| -> f64 {
        let lost = plan.changes.iter().filter(|c| c.change == Fate::LeftOut);
        lost.map(|c| c.m2).sum()
    };
    let (free, dear) = (made(free), made(dear));
    assert!(left_out(&free.plan) > 0.0);
    assert!(near(left_out(&dear.plan), 0.0), "{:?}", dear.plan.changes);
    assert_eq!(verify(&dear.scenario, &dear.plan), []);
    // Changes that cost nothing cost nothing.
    assert!(free.plan.ledger.iter().all(|l| l.rule.name() != "changes"));
    assert!(free.plan.result.worth >= dear.plan.result.worth);
}

fn with_hours(hours: f64) -> Scenario {
    let mut scenario = plotted(START);
    scenario.work.hours_per_week = Some(hours);
    scenario
}

#[test]
fn a_week_too_full_to_clear_everything_at_once_is_spread() {
    // Eight strips of what stands take 1.9 minutes each, 15 together; six minutes are to hand.
    let scenario = with_hours(0.1);
    assert_eq!(possible(&season(&scenario)), Ok(()));
    let made = made_of(scenario, solved);
    assert_eq!(verify(&made.scenario, &made.plan), []);
}

#[test]
fn what_cannot_be_cleared_in_time_is_proven_impossible() {
    // Less than a strip takes.
    let tiny = possible(&season(&with_hours(0.02)));
    assert!(matches!(tiny, Err(NoPlan::OneStrip { .. })), "{tiny:?}");
    // Three strips of what has been taken whole can only be cleared at once, at 1.92 minutes each.
    let mut scenario = with_hours(0.1);
    let dead = scenario.standing.iter().position(|s| s.name == "leeks");
    let dead = dead.expect("they stand");
    scenario.standing[dead].taken = 1.0;
    scenario.work.hours_per_week = Some(5.0 / 60.0);
    let season = season(&scenario);
    let found = possible(&season);
    let minutes = 3.0 * 1.92;
    assert!(
        matches!(found, Err(NoPlan::TooMuch { from: 0, to: 0, minutes: m, .. }) if near(m, minutes)),
        "{found:?}"
    );
    // The exact search says the same of the same programme.
    let none = vec![false; season.candidates.len()];
    let found =
        exact(&season, &none, -1e6, None, ExactLimits::default(), &Still).expect("small enough");
    assert!(found.finished && found.better.is_none());
}

/// After the damage `verify` finds a violation of that check with those words.
fn caught(check: Check, words: &str, damage: impl FnOnce(&mut Scenario, &mut YearPlan)) {
    let (mut scenario, mut plan) = (plot().scenario.clone(), plot().plan.clone());
    damage(&mut scenario, &mut plan);
    let found = verify(&scenario, &plan);
    assert!(
        found
            .iter()
            .any(|v| v.check == check && v.sentence.contains(words)),
        "{words:?} is not among {found:#?}"
    );
}

#[test]
fn damage_to_what_is_to_hand_is_caught() {
    caught(Check::Start, "in store at the start", |s, _| {
        s.in_store[0].amount += 1.0
    });
    caught(Check::Draws, "the store holds", |s, _| {
        s.in_store[0].amount *= 0.5
    });
    caught(Check::Draws, "is said to hold", |_, p| {
        let draws = p.draws.iter_mut().find(|d| d.in_store);
        draws.expect("some is eaten").in_store = false;
    });
    caught(
        Check::Start,
        "plants of young leeks are planted out",
        |s, _| {
            s.on_shelf[0].plants = 1.0;
        },
    );
    caught(
        Check::Start,
        "is not made of the plants it names",
        |_, p| {
            let planted = p.plantings.iter_mut().find(|p| p.on_shelf.is_some());
            planted.expect("leeks are planted out").on_shelf = None;
        },
    );
    caught(Check::Growth, "before the plan starts", |s, _| {
        s.on_shelf.clear();
    });
    caught(Check::Buying, "", |s, p| {
        let leeks = p.plantings.iter().find(|p| p.on_shelf.is_some());
        let leeks = leeks.expect("leeks are planted out").clone();
        p.buying.push(bedweek::plan::Purchase {
            crop: leeks.crop,
            what: "seed".into(),
            pieces: 30.0,
            money: 1.0,
            needed: s.start,
        });
    });
}

#[test]
fn damage_to_what_is_told_of_changes_is_caught() {
    caught(Check::Start, "untold", |_, p| {
        p.changes.pop();
    });
    caught(Check::Start, "is off by", |_, p| {
        p.changes.iter_mut().for_each(|c| c.money += 0.01);
    });
    caught(Check::Start, "is not kept as told", |_, p| {
        let line = p.changes.iter_mut().find(|c| c.change != Fate::Kept);
        line.expect("something changes").change = Fate::Kept;
    });
    caught(Check::Ledger, "changes", |s, _| {
        s.changes.add_money_per_m2 += 1.0
    });
    caught(Check::Start, "nothing was decided on", |s, _| {
        s.planned.clear()
    });
    caught(Check::Start, "leave", |s, _| s.planned[0].strips.push(2));
}
