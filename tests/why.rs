//! Why a food is short, why a crop is not grown.
//!
//! Sources of truth: solving again with the obstacle taken away by the test itself; `verify` for every
//! plan on the way.

#[path = "support/holding.rs"]
mod holding;
#[path = "support/room.rs"]
mod room;
#[path = "support/solved.rs"]
mod solved;
#[path = "support/still.rs"]
mod still;

use bedweek::candidates;
use bedweek::domain::*;
use bedweek::explain::*;
use bedweek::plan::{Planting, Rule, YearPlan};
use holding::{leaves, of_year, raising};
use room::{Room, assert_code, stdout};
use solved::*;

/// Most units of the only food that one strip can put on the table in each week, by candidates that
/// the test lets count.
fn units(scenario: &Scenario, counts: impl Fn(&candidates::Candidate) -> bool) -> Vec<f64> {
    let season = candidates::season(scenario);
    let mut most = vec![0.0_f64; season.weeks];
    for candidate in season.candidates.iter().filter(|c| counts(c)) {
        for (week, most) in most.iter_mut().enumerate() {
            let lots = candidate.lots.iter();
            let there = lots.filter(|l| (l.from..=l.until).contains(&week));
            *most = most.max(there.map(|l| l.amount).sum());
        }
    }
    most
}

/// Asks for so many strips' worth of the food in its best week; gives that week.
fn ask_for(scenario: &mut Scenario, strips: f64) -> usize {
    let units = units(scenario, |_| true);
    let week = (0..WEEKS)
        .max_by(|&a, &b| units[a].total_cmp(&units[b]))
        .unwrap();
    assert!(units[week] > 0.0, "something can be eaten");
    let food = &mut scenario.foods[0];
    food.floor[week] = strips * units[week];
    food.wish[week] = food.wish[week].max(food.floor[week]);
    week
}

/// The plan, and why its food is short in the week.
fn why(scenario: &Scenario, week: usize) -> (YearPlan, WhyShort) {
    let plan = solve(scenario).plan;
    let asked = Short { food: 0, week };
    let (why, found) = why_short(
        &case("", scenario),
        &plan,
        asked,
        Some(&options(0.0)),
        &Quiet,
    );
    all_hold(&found);
    assert!(why.missing > 0.0, "the food is short: {why:?}");
    (plan, why)
}

/// The only obstacle is this one; without it, taken away by the test, nothing is missing.
fn confirmed(why: &WhyShort, week: usize, obstacle: Obstacle, without: &Scenario) {
    let as_is = why.as_is.as_ref().expect("it was tried");
    assert!(as_is.missing > 0.0, "not at any price: {as_is:?}");
    let gone: Vec<Obstacle> = (why.without.iter())
        .filter(|t| t.missing < 1e-6)
        .filter_map(|t| t.without)
        .collect();
    assert_eq!(gone, [obstacle], "{why:?}");
    let mut without = without.clone();
    without.foods[0].short_money = 1_000.0;
    let plan = solve(&without).plan;
    assert!(plan.supply[0].weeks[week].short < 1e-6, "solved without it");
}

#[test]
fn ground_in_the_way() {
    let mut scenario = small(vec![leaves("greens")]);
    let week = ask_for(&mut scenario, 4.0);
    let (_, why) = why(&scenario, week);
    let mut without = scenario.clone();
    let more = Bed {
        name: "B2".into(),
        ..scenario.beds[0].clone()
    };
    without.beds.push(more);
    confirmed(&why, week, Obstacle::Ground, &without);
    let easiest = why.ways[0].easiest.as_ref().expect("a place for it");
    assert_eq!(easiest.bed, "B1");
    assert!(
        easiest
            .in_the_way
            .iter()
            .any(|w| w.obstacle == Obstacle::Ground
                && w.by.iter().all(|by| by.starts_with("greens"))),
        "{easiest:?}"
    );
}

#[test]
fn covers_in_the_way() {
    let mut scenario = small(vec![leaves("greens")]);
    let covered = |c: &candidates::Candidate| c.states.iter().any(|s| *s != candidates::BARE);
    let (with, bare) = (units(&scenario, covered), units(&scenario, |c| !covered(c)));
    let week = (0..WEEKS)
        .find(|&w| with[w] > 0.0 && bare[w] == 0.0)
        .expect("a cover brings the harvest on");
    scenario.foods[0].floor[week] = 0.8 * with[week];
    let mut without = scenario.clone();
    scenario.covers[0].count = 0;
    let (_, why) = why(&scenario, week);
    without.covers[0].count = 1;
    confirmed(&why, week, Obstacle::Covers, &without);
}

#[test]
fn rotation_in_the_way() {
    let mut scenario = small(vec![leaves("greens")]);
    scenario.families[0].break_weeks = 104;
    let week = ask_for(&mut scenario, 0.8);
    scenario.beds[0].history = vec![PastCrop {
        family: 0,
        cleared: holding::week(2026, 30),
        strips: Strips { first: 0, count: 3 },
    }];
    let (_, why) = why(&scenario, week);
    // More ground would serve as well; here there is no other kind of bed to try.
    let mut without = scenario.clone();
    without.families[0].rule = RotationRule::Off;
    let gone: Vec<_> = why.without.iter().filter(|t| t.missing < 1e-6).collect();
    assert!(
        gone.iter().any(|t| t.without == Some(Obstacle::Rotation)),
        "{why:?}"
    );
    assert!(
        gone.iter()
            .all(|t| matches!(t.without, Some(Obstacle::Rotation | Obstacle::Ground)))
    );
    without.foods[0].short_money = 1_000.0;
    assert!(solve(&without).plan.supply[0].weeks[week].short < 1e-6);
    let easiest = why.ways[0].easiest.as_ref().expect("a place for it");
    assert_eq!(
        easiest.in_the_way[0].obstacle,
        Obstacle::Rotation,
        "{easiest:?}"
    );
}

#[test]
fn shelf_in_the_way() {
    let mut crop = leaves("greens");
    crop.raisings = vec![raising(Method::Modules)];
    let mut scenario = small(vec![crop]);
    let week = ask_for(&mut scenario, 0.8);
    let mut without = scenario.clone();
    (scenario.shelf.lit_m2, scenario.shelf.unlit_m2) = (1e-4, 1e-4);
    let (_, why) = why(&scenario, week);
    without.shelf.unlit_m2 = 5.0;
    confirmed(&why, week, Obstacle::Shelf, &without);
}

#[test]
fn work_in_the_way() {
    let mut scenario = small(vec![leaves("greens")]);
    let week = ask_for(&mut scenario, 0.8);
    let without = scenario.clone();
    scenario.work.hours_per_week = Some(0.002);
    let (_, why) = why(&scenario, week);
    confirmed(&why, week, Obstacle::Work, &without);
}

/// One crop alone may not give all of it.
#[test]
fn one_crops_share_in_the_way() {
    let mut scenario = small(vec![leaves("greens")]);
    let week = ask_for(&mut scenario, 0.8);
    let without = scenario.clone();
    scenario.foods[0].single_crop_share = 0.5;
    let (_, why) = why(&scenario, week);
    confirmed(&why, week, Obstacle::Share, &without);
    let text = bedweek::render::why_short(&why);
    assert!(
        text.contains("In the way: the limit on one crop's share."),
        "{text}"
    );
}

/// The grower ruled out what would give it; nothing else could be planted.
#[test]
fn what_is_ruled_out_in_the_way() {
    let mut scenario = small(vec![leaves("greens")]);
    let week = ask_for(&mut scenario, 0.8);
    let without = scenario.clone();
    scenario.directives.push(Directive {
        crop: 0,
        bed: None,
        kind: DirectiveKind::Never,
    });
    let (_, why) = why(&scenario, week);
    confirmed(&why, week, Obstacle::Never, &without);
    let tried: Vec<_> = why.without.iter().filter_map(|t| t.without).collect();
    assert_eq!(tried, [Obstacle::Never], "the others give nothing to try");
    let text = bedweek::render::why_short(&why);
    assert!(
        text.contains("In the way: what is ruled out by never."),
        "{text}"
    );
}

/// What no planting gives, whatever is lifted, is not searched for.
#[test]
fn what_cannot_be_is_not_searched_for() {
    let mut scenario = small(vec![leaves("greens")]);
    let week = units(&scenario, |_| true)
        .iter()
        .rposition(|&units| units == 0.0)
        .expect("a week without");
    scenario.foods[0].floor[week] = 0.1;
    let (_, why) = why(&scenario, week);
    assert!(why.as_is.is_none() && why.without.is_empty(), "{why:?}");
}

/// Nothing is in the way but what it costs: dear seed for a floor that is cheap to miss.
#[test]
fn what_does_not_pay_is_said_with_its_cost() {
    let mut crop = leaves("greens");
    crop.raisings[0].seed_money = 0.7;
    let mut scenario = small(vec![crop]);
    let week = ask_for(&mut scenario, 0.8);
    let (plan, why) = why(&scenario, week);
    assert!(plan.plantings.is_empty(), "it does not pay");
    let as_is = why.as_is.as_ref().expect("it was tried");
    assert!(as_is.missing < 1e-6 && why.without.is_empty(), "{why:?}");
    assert!(as_is.cost > 0.0);
    let (least, most) = (as_is.cost_at_least.unwrap(), as_is.cost_at_most.unwrap());
    assert!(
        least <= as_is.cost + 1e-6 && as_is.cost <= most + 1e-6,
        "{as_is:?}"
    );
    let easiest = why.ways[0].easiest.as_ref().expect("a place for it");
    assert!(easiest.in_the_way.is_empty(), "there is room: {easiest:?}");
    assert_eq!(as_is.changes[0].crop, "greens");
    assert!(as_is.changes[0].before_m2 == 0.0 && as_is.changes[0].after_m2 > 0.0);
}

/// In the first weeks nothing sown from the start on can be ready; sown a year sooner it can.
#[test]
fn time_in_the_way() {
    let mut crop = leaves("greens");
    crop.ways = vec![holding::way(WayKind::Standing { weeks: 20 }, 30.0, 4.0)];
    let mut scenario = small(vec![crop]);
    for raising in &mut scenario.crops[0].raisings {
        (raising.sow_from, raising.sow_to) = (of_year(26), of_year(28));
    }
    let week = 2;
    scenario.foods[0].floor[week] = 0.1;
    let (_, why) = why(&scenario, week);
    assert!(why.ways.is_empty(), "{:?}", why.ways);
    let last = why.before_start.iter().map(|w| w.sown.1).max();
    let last = last.expect("it could have been sown before");
    assert!(last < scenario.start);
    let sooner = begun_sooner(&scenario, 52);
    let plan = solve(&sooner).plan;
    let there = &plan.supply[0].weeks[52 + week];
    assert_eq!(there.week, why.week);
    assert!(there.short < 1e-6, "sown sooner it is there: {there:?}");
    assert!(plan.plantings.iter().any(|p| p.sown <= last));
}

#[test]
fn a_crop_forced_in_costs_what_it_brings_less() {
    let good = leaves("greens");
    let mut poor = leaves("poor greens");
    poor.ways[0].yield_per_m2.usual = 1.0;
    let scenario = small(vec![good, poor]);
    let plan = solve(&scenario).plan;
    let poor = Not {
        crop: 1,
        bed: Some(0),
        week: None,
        strips: 2,
    };
    let (why, found) = why_not(
        &case("", &scenario),
        &plan,
        poor,
        Some(&options(0.0)),
        &Quiet,
    );
    all_hold(&found);
    assert_eq!(why.planned, 0);
    let as_is = why.as_is.as_ref().expect("it was tried");
    assert!(as_is.missing < 1e-6, "{as_is:?}");
    // Confirmed by the plan that was made: its own worth, the directive's price apart.
    let forced = &found[0].1.plan;
    let missed = forced.ledger.iter().find(|l| l.rule == Rule::Always);
    assert!(missed.is_none_or(|l| l.money == 0.0));
    assert!((plan.result.worth - forced.result.worth - as_is.cost).abs() < 1e-6);
    assert!(as_is.cost > 0.0, "the better crop would have stood there");
    let change = as_is.changes.iter().find(|c| c.crop == "poor greens");
    assert!(
        change.is_some_and(|c| c.after_m2 > c.before_m2),
        "{as_is:?}"
    );
}

#[test]
fn a_crop_that_cannot_be_grown_has_no_way_in() {
    let scenario = small(vec![leaves("greens")]);
    let mut plan = solve(&scenario).plan;
    plan.plantings.clear();
    let in_december = Not {
        crop: 0,
        bed: None,
        week: Some(8),
        strips: 1,
    };
    let (why, _) = why_not(&case("", &scenario), &plan, in_december, None, &Quiet);
    assert!(why.ways.is_empty() && why.as_is.is_none());
}

/// A must of the good crop takes the ground that the poor one is asked for.
#[test]
fn a_must_in_the_way_is_said_with_what_it_would_miss() {
    let good = leaves("greens");
    let mut poor = leaves("poor greens");
    poor.ways[0].food = 1;
    let mut scenario = small(vec![good, poor]);
    scenario.foods.push(Food {
        name: "poor food".into(),
        ..scenario.foods[0].clone()
    });
    let alone = units(&scenario, |c| c.members[0].crop == 0);
    let week = (0..WEEKS)
        .max_by(|&a, &b| alone[a].total_cmp(&alone[b]))
        .expect("weeks");
    // All three strips are needed for it.
    let food = &mut scenario.foods[0];
    food.floor[week] = 2.5 * alone[week];
    food.wish[week] = food.floor[week];
    food.must[week] = true;
    let plan = solve(&scenario).plan;
    assert!(plan.supply[0].weeks[week].short < 1e-6, "the must is kept");
    // There and then it is in the way of the other crop.
    let begun = (plan.plantings.iter())
        .find(|p| p.crop == "greens")
        .expect("for the must");
    let asked = Not {
        crop: 1,
        bed: Some(0),
        week: Some(usize::try_from(begun.planted.since(scenario.start)).expect("planned")),
        strips: 2,
    };
    let (why, found) = why_not(
        &case("", &scenario),
        &plan,
        asked,
        Some(&options(0.0)),
        &Quiet,
    );
    all_hold(&found);
    let as_is = why.as_is.as_ref().expect("it was tried");
    assert!(!as_is.had() && as_is.missed_musts.is_empty(), "{as_is:?}");
    let off = |o: Obstacle| why.without.iter().find(|t| t.without == Some(o));
    let musts = off(Obstacle::Musts).expect("there are musts");
    assert!(musts.had(), "{musts:?}");
    let missed = &musts.missed_musts[0];
    assert_eq!(
        (missed.food.as_str(), missed.week),
        ("food", scenario.week(week))
    );
    assert!(missed.eaten < missed.floor);
    assert!(
        off(Obstacle::Ground).expect("tried").had(),
        "more ground serves both"
    );
    // Confirmed by solving without the must, and with it.
    let directive = |scenario: &mut Scenario| {
        let planted = begun.planted;
        scenario.directives.push(Directive {
            crop: 1,
            bed: Some(0),
            kind: DirectiveKind::Always {
                strips: 2,
                from: planted,
                to: planted,
                missing_money: 10.0,
            },
        });
    };
    let grown = |scenario: &Scenario| {
        let plan = solve(scenario).plan;
        let there = |p: &&Planting| p.crop == "poor greens" && p.planted == begun.planted;
        plan.plantings
            .iter()
            .filter(there)
            .map(|p| p.strips.len())
            .sum::<usize>()
    };
    let mut with = scenario.clone();
    directive(&mut with);
    assert!(grown(&with) < 2, "not while it is a must");
    let mut without = with.clone();
    without.foods[0].must.fill(false);
    without.foods[0].short_money = 0.1;
    assert_eq!(grown(&without), 2);
    let text = bedweek::render::why_not(&why);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(text.contains("Having it breaks a must: food in"), "{text}");
}

/// Where no week is named and every floor is met, the week that is furthest from its wish is meant.
#[test]
fn without_a_week_the_worst_one_is_meant() {
    let room = Room::empty();
    let scenario = concat!(env!("CARGO_MANIFEST_DIR"), "/scenarios/small-plot.yaml");
    let made = room.run(&["plan", scenario, "--out", "out", "--gap", "0.1", "-q"]);
    assert_code(&made, 0);
    let plan = bedweek::render::read(&room.read("out/plan.yaml")).expect("a plan");
    let squash = (plan.supply.iter()).find(|s| s.food == "squash");
    let weeks = &squash.expect("wished for").weeks;
    assert!(weeks.iter().all(|w| w.short == 0.0), "no floor is missed");
    let missing = |w: &bedweek::plan::SupplyWeek| w.wish - w.eaten;
    let most = weeks.iter().map(missing).fold(0.0, f64::max);
    assert!(most > 0.0, "a wish is not met");
    let said = room.run(&["why", "out/plan.yaml", "--short", "squash", "--look-only"]);
    assert_code(&said, 0);
    let text = stdout(&said);
    let named = (weeks.iter()).find(|w| text.starts_with(&format!("squash in {}:", w.week)));
    let named = named.unwrap_or_else(|| panic!("a week of the plan: {text}"));
    assert!((missing(named) - most).abs() < 1e-6, "{text}");
}
