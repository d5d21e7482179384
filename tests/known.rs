//! A written plan taken up again is the very plan: nothing of its worth is lost, neither where a
//! search begins from it nor where it is carried on, and what is eaten stays where it was.
//!
//! Source of truth: the plan itself, its worth reckoned from the strip-years it was made of.

#[path = "support/greedy.rs"]
mod greedy;
#[path = "support/holding.rs"]
mod holding;
#[path = "support/plans.rs"]
mod plans;
#[path = "support/still.rs"]
mod still;

use bedweek::candidates::{self, Decided, Season};
use bedweek::domain::{Diary, Directive, DirectiveKind, Scenario, Setting, Way, WayKind};
use bedweek::explain::{Obstacle, Thing, of_plan};
use bedweek::plan::YearPlan;
use bedweek::repair;
use bedweek::solve::{Answer, Given, evaluate, evaluate_near};
use plans::Made;
use still::Still;

/// Sums of written amounts are rounded, money.
const ROUNDED: f64 = 1e-4;

/// Shipped holdings: with recipes, covers, a shelf, ways fixed for what stands, breaks cut short.
const HOLDINGS: [&str; 3] = ["four-households", "plot-250", "small-plot"];

fn worth(season: &Season, known: &Decided) -> f64 {
    let given = Given {
        strips: &known.strips,
        covers: &known.covers,
    };
    evaluate(season, given, &Still)
        .expect("it keeps shelf and work")
        .worth
}

/// A plan made without search, its supply divided as well as can be, as the plan of a search is.
fn made(scenario: Scenario) -> Made {
    plans::made_of(scenario, |season| {
        let greedy = greedy::greedy(season);
        let given = Given {
            strips: &greedy.strips,
            covers: &greedy.covers,
        };
        evaluate(season, given, &Still).expect("it keeps shelf and work")
    })
}

fn shipped(name: &str) -> Scenario {
    let loaded = bedweek::input::load(&plans::file(name));
    loaded.unwrap_or_else(|errors| panic!("{errors}")).scenario
}

#[track_caller]
fn same_worth(name: &str, plan: &YearPlan, season: &Season, known: &Decided) {
    assert!(known.left_out.is_empty(), "{name}: {:?}", known.left_out);
    let found = worth(season, known);
    assert!(
        (found - plan.result.worth).abs() <= ROUNDED,
        "{name}: taken up {found}, written {}",
        plan.result.worth
    );
}

#[test]
fn a_plan_is_taken_up_with_all_its_worth() {
    for name in HOLDINGS {
        let Made {
            scenario,
            season,
            plan,
        } = made(shipped(name));
        assert!(plan.plantings.iter().any(|p| p.standing.is_none()));
        let known = of_plan(&scenario, &plan, &season).expect("it is a plan of the scenario");
        same_worth(name, &plan, &season, &known);
    }
}

#[test]
fn a_plan_is_taken_up_where_there_is_more_of_something() {
    let Made { scenario, plan, .. } = made(shipped("four-households"));
    for thing in Thing::all(&scenario) {
        let more = thing.more(&scenario, 1);
        let season = candidates::season(&more);
        let known = of_plan(&scenario, &plan, &season).expect("no less of anything");
        same_worth(&thing.name(&scenario), &plan, &season, &known);
    }
}

#[test]
fn a_plan_is_taken_up_where_an_obstacle_is_lifted() {
    let mut scenario = shipped("four-households");
    scenario.work.hours_per_week = Some(60.0);
    let Made {
        mut scenario, plan, ..
    } = made(scenario);
    // Limits that the plan keeps, for want of others of their kind.
    scenario.foods[0].must[0] = true;
    let bed = &scenario.beds[0].name;
    let grown = |crop: &str| (plan.plantings.iter()).any(|p| p.bed == *bed && p.crop == crop);
    let idle = scenario.crops.iter().position(|c| !grown(&c.name));
    scenario.directives.push(Directive {
        crop: idle.expect("one bed has not all crops"),
        bed: Some(0),
        kind: DirectiveKind::Never,
    });
    for obstacle in Obstacle::ALL {
        let free = obstacle
            .lifted(&scenario)
            .expect("the holding has that limit");
        let season = candidates::season(&free);
        let known = of_plan(&scenario, &plan, &season).expect("no less of anything");
        assert!(
            known.left_out.is_empty(),
            "{obstacle:?}: {:?}",
            known.left_out
        );
        // Without breaks nothing is paid for those cut short.
        let found = worth(&season, &known);
        assert!(
            found >= plan.result.worth - ROUNDED,
            "{obstacle:?}: {found}"
        );
    }
}

/// From the plan's own first week on nothing has become of it yet.
#[test]
fn a_plan_carried_on_from_its_start_is_the_same() {
    for name in HOLDINGS {
        let Made { scenario, plan, .. } = made(shipped(name));
        let again = repair::carry_on(
            &scenario,
            &plan,
            &scenario,
            &Diary::default(),
            scenario.start,
        );
        let again = again.expect("it can be carried on");
        assert!(again.notes.is_empty(), "{name}: {:?}", again.notes);
        let season = candidates::season(&again.scenario);
        let decided = candidates::decided(&again.scenario, &season);
        same_worth(name, &plan, &season, &decided);
        let names = |s: &Scenario| -> Vec<String> {
            let mut names: Vec<String> = s.standing.iter().map(|s| s.name.clone()).collect();
            names.sort();
            names
        };
        assert_eq!(names(&again.scenario), names(&scenario), "{name}");
    }
}

/// Ten units to store and a wish of one in each of thirty weeks: every choice of ten weeks is worth
/// the same. By hand.
#[test]
fn of_divisions_worth_the_same_the_one_that_was_meant_is_taken() {
    let mut crop = holding::leaves("roots");
    crop.settings = vec![Setting::Open];
    crop.ways = vec![Way {
        keeps_weeks: 40,
        weekly_loss: 0.0,
        ..holding::way(WayKind::Clearing, 20.0, 10.0)
    }];
    let mut scenario = holding::holding(vec![crop]);
    scenario.beds.truncate(1);
    (
        scenario.beds[0].strips,
        scenario.beds[0].length_m,
        scenario.beds[0].width_m,
    ) = (1, 1.0, 1.0);
    scenario.foods[0].floor.fill(0.0);
    let season = candidates::season(&scenario);
    let earliest = (0..season.candidates.len())
        .filter(|&id| {
            season.candidates[id]
                .lots
                .first()
                .is_some_and(|lot| lot.until - lot.from > 30)
        })
        .min_by_key(|&id| season.candidates[id].end)
        .expect("something that keeps");
    let candidate = &season.candidates[earliest];
    let mut known = Decided::idle(&season);
    known.strips[0][0].push(earliest);
    for (offset, &state) in candidate.states.iter().enumerate() {
        known.covers[0][candidate.start + offset] = state;
    }
    let given = Given {
        strips: &known.strips,
        covers: &known.covers,
    };
    let lot = &candidate.lots[0];
    let any = evaluate(&season, given, &Still).expect("it fits");
    let mut apart = 0.0;
    for step in [1, 2, 3] {
        let mut meant = vec![vec![0.0; season.weeks]];
        let mut left = lot.amount;
        for week in (lot.from..=lot.until).step_by(step) {
            meant[0][week] = left.min(1.0);
            left -= meant[0][week];
        }
        assert!(left <= 0.0, "it is eaten up in time");
        let near = evaluate_near(&season, given, &meant, &Still).expect("it fits");
        assert!((near.worth - any.worth).abs() < ROUNDED);
        let eaten = |answer: &Answer, week: usize| -> f64 {
            let here = answer.draws.iter().filter(|d| d.week == week);
            here.map(|d| d.units).sum()
        };
        for (week, meant) in meant[0].iter().enumerate() {
            let units = eaten(&near, week);
            assert!((units - meant).abs() < 1e-3, "week {week}: {units}");
            apart += (eaten(&any, week) - meant).abs();
        }
    }
    assert!(apart > 1.0, "it is a choice");
}
