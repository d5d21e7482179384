//! Scenarios side by side, what one more is worth, why something is short or left out.
//!
//! Sources of truth: intervals and concavity as docs/method/what-if.md proves them; solving again
//! with the obstacle taken away by the test itself; `verify` for every plan on the way.

#[path = "support/holding.rs"]
mod holding;
#[path = "support/still.rs"]
mod still;

use bedweek::candidates;
use bedweek::domain::*;
use bedweek::explain::*;
use bedweek::plan::{Rule, YearPlan};
use bedweek::solve::{Options, Watch};
use bedweek::verify;
use holding::{leaves, of_year, raising};
use still::Still;

/// Weeks of the tests' horizon.
const WEEKS: usize = 40;

struct Quiet;

impl Watches for Quiet {
    fn of(&self, _: &str) -> Box<dyn Watch + '_> {
        Box::new(Still)
    }
}

fn options(gap: f64) -> Options {
    Options {
        gap,
        seconds: None,
        work: Some(4_000),
    }
}

/// One bed of three strips in the open, nothing needed; crops are sown in four weeks of March.
fn small(mut crops: Vec<Crop>) -> Scenario {
    for crop in &mut crops {
        crop.settings = vec![Setting::Open];
        for raising in &mut crop.raisings {
            (raising.sow_from, raising.sow_to) = (of_year(9), of_year(12));
        }
    }
    let mut scenario = holding::holding(crops);
    (scenario.weeks, scenario.tail) = (WEEKS, 0);
    scenario.beds.truncate(1);
    scenario.beds[0].strips = 3;
    scenario.beds[0].length_m = 1.5;
    for food in &mut scenario.foods {
        food.floor = vec![0.0; WEEKS];
        food.wish = vec![0.5; WEEKS];
    }
    scenario
}

fn case(label: &str, scenario: &Scenario) -> Case {
    Case {
        label: label.into(),
        file: String::new(),
        fingerprint: String::new(),
        scenario: scenario.clone(),
    }
}

fn solve(scenario: &Scenario) -> Solved {
    let solved = solved(&case("", scenario), &options(0.0), &Quiet);
    holds(scenario, &solved);
    solved
}

fn holds(scenario: &Scenario, solved: &Solved) {
    let violations = verify::verify(scenario, &solved.plan);
    assert!(violations.is_empty(), "{violations:?}");
}

fn all_hold(found: &[(Case, Solved)]) {
    for (case, solved) in found {
        holds(&case.scenario, solved);
    }
}

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

/// The base, a bed more, the same once more.
fn three() -> [Case; 3] {
    let mut scenario = small(vec![leaves("greens")]);
    scenario.foods[0].wish = vec![5.0; WEEKS];
    let more = Thing::Bed(Setting::Open).more(&scenario, 1);
    [
        case("base", &scenario),
        case("a bed more", &more),
        case("the same", &scenario),
    ]
}

#[test]
fn differences_hold_between_what_is_proven() {
    let cases = three();
    let sides = solve_all(&cases, &options(0.0), false, &Quiet);
    let comparison = compare(&cases, &sides);
    for (case, side) in cases.iter().zip(&sides) {
        holds(&case.scenario, side);
    }
    let verdicts: Vec<Verdict> = comparison.differences.iter().map(|d| d.verdict).collect();
    assert_eq!(verdicts, [Verdict::Better, Verdict::Same]);
    for d in &comparison.differences {
        assert!(
            d.at_least <= d.found + 1e-9 && d.found <= d.at_most + 1e-9,
            "{d:?}"
        );
    }
    // Side by side gives what one after the other gives.
    for (case, side) in cases.iter().zip(&sides) {
        assert_eq!(solved(case, &options(0.0), &Quiet).plan, side.plan);
    }
    assert!(comparison.same_measure);
}

#[test]
fn what_wide_gaps_leave_open_is_decided_by_solving_on() {
    let cases = three();
    let wide = options(5.0);
    let sides = solve_all(&cases, &wide, false, &Quiet);
    let open = compare(&cases, &sides);
    assert_eq!(open.differences[0].verdict, Verdict::Undecided, "{open:?}");
    let sides = solve_all(&cases, &wide, true, &Quiet);
    let decided = compare(&cases, &sides);
    assert_eq!(decided.differences[0].verdict, Verdict::Better);
    for (case, side) in cases.iter().zip(&sides) {
        holds(&case.scenario, side);
    }
}

#[test]
fn other_needs_are_another_measure() {
    let cases = three();
    let mut hungry = cases[0].clone();
    hungry.scenario.foods[0].wish[20] += 1.0;
    let cases = [cases[0].clone(), hungry];
    let sides = solve_all(&cases, &options(0.0), false, &Quiet);
    assert!(!compare(&cases, &sides).same_measure);
}

#[test]
fn one_more_is_worth_less_and_less_in_the_bound() {
    let mut crop = leaves("greens");
    crop.raisings.push(raising(Method::Modules));
    let mut scenario = small(vec![crop]);
    scenario.foods[0].wish = vec![1.0; WEEKS];
    scenario.work.hours_per_week = Some(1.0);
    scenario.shelf.unlit_m2 = 0.01;
    let base = case("", &scenario);
    let mut solved = solve(&scenario);
    for again in [false, true] {
        let asked = Asked {
            things: Thing::all(&scenario),
            most: 3,
            solve: again,
        };
        let (worth, found) = worth_of_more(&base, &mut solved, &asked, &options(0.0), &Quiet);
        all_hold(&found);
        assert_eq!(
            worth.things.len(),
            6,
            "covers, two settings, two shelves, work"
        );
        let mut something = 0.0_f64;
        for thing in &worth.things {
            let mut before = f64::INFINITY;
            for step in &thing.steps {
                assert!(
                    step.in_bound >= -1e-9,
                    "more never lowers the bound: {thing:?}"
                );
                assert!(step.in_bound <= before + 1e-9, "it falls: {thing:?}");
                before = step.in_bound;
                something = something.max(step.in_bound);
                assert!(0.0 <= step.at_least && step.at_least <= step.at_most + 1e-9);
                assert_eq!(step.solved.is_some(), again);
                if let Some(d) = &step.solved {
                    assert!(
                        d.found >= -1e-9 && d.found <= step.at_most + 1e-6,
                        "{thing:?}"
                    );
                }
            }
        }
        assert!(something > 0.1, "more ground is worth something: {worth:?}");
        let frame = &worth.things[0];
        assert_eq!(frame.yearly_cost, Some(15.0));
        assert!(frame.pays.iter().all(Option::is_some));
        // Ground is worth something while the crop stands, nothing before it can.
        let open: Vec<f64> = worth.ground.iter().filter_map(|m| m.open).collect();
        assert!(open.iter().all(|w| *w >= 0.0) && open.iter().any(|w| *w > 0.0));
    }
}
