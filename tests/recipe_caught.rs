//! A year carried on while the two crops of a recipe share a strip: what still can be done is kept,
//! and nothing is counted on that is not followed.
//!
//! Source of truth: weeks and lots of the plan that is carried on, by hand.

#[path = "support/holding.rs"]
mod holding;
#[path = "support/plans.rs"]
mod plans;
#[path = "support/still.rs"]
mod still;

use bedweek::candidates::{self, Season};
use bedweek::domain::*;
use bedweek::plan::{Planting, YearPlan};
use bedweek::repair::carry_on;
use bedweek::solve::{Given, evaluate};
use bedweek::units::Week;
use bedweek::verify::verify;
use holding::leaves;
use still::Still;

/// Two crops in one strip for up to six weeks, and a plan with nothing but the recipe's candidate that
/// has the longest overlap and in which `longer` stands longer.
fn shared(second_is_longer: bool) -> (Scenario, YearPlan) {
    let mut scenario = holding::holding(vec![leaves("first"), leaves("second")]);
    // Both are of one family, which may follow itself.
    scenario.families[0].break_weeks = 0;
    let part = |crop| RecipePart {
        crop,
        raising: 0,
        way: 0,
        yield_share: 0.8,
        plant_share: 0.8,
    };
    scenario.recipes.push(Recipe {
        name: "both".into(),
        first: part(0),
        second: part(1),
        min_overlap_weeks: 2,
        max_overlap_weeks: 6,
    });
    let season = candidates::season(&scenario);
    let overlap = |c: usize| {
        let [first, second] = &season.candidates[c].members[..] else {
            return None;
        };
        let both = first.cleared.min(second.cleared).since(second.planted);
        // Well within the planned weeks, so that there is time to go on.
        let in_time = first.cleared.max(second.cleared).since(scenario.start) < 52;
        let right = in_time && (second.cleared > first.cleared) == second_is_longer;
        (right && second.planted > first.planted && first.cleared != second.cleared).then_some(both)
    };
    let open = scenario
        .beds
        .iter()
        .position(|b| b.setting == Setting::Open);
    let open = open.expect("a bed in the open");
    let chosen = (0..season.candidates.len())
        .filter(|&c| season.allowed(c, open) && season.candidates[c].states.iter().all(|s| *s == 0))
        .filter(|&c| overlap(c).is_some())
        .max_by_key(|&c| overlap(c))
        .expect("the recipe has a candidate");
    let plan = plan_of(&scenario, &season, open, chosen);
    (scenario, plan)
}

fn plan_of(scenario: &Scenario, season: &Season, bed: usize, candidate: usize) -> YearPlan {
    let mut strips: Vec<Vec<Vec<usize>>> = (season.beds.iter())
        .map(|b| vec![Vec::new(); b.strips as usize])
        .collect();
    strips[bed][0].push(candidate);
    let covers = vec![vec![candidates::BARE; season.weeks]; season.beds.len()];
    let given = Given {
        strips: &strips,
        covers: &covers,
    };
    let answer = |season: &Season| evaluate(season, given, &Still).expect("within the limits");
    plans::made_of(scenario.clone(), answer).plan
}

fn of<'p>(plan: &'p YearPlan, crop: &str) -> &'p Planting {
    let found = plan.plantings.iter().find(|p| p.crop == crop);
    found.expect("it is planted")
}

#[test]
fn a_second_crop_not_yet_planted_waits_for_the_ground() {
    let (scenario, plan) = shared(true);
    assert!(
        verify(&scenario, &plan).is_empty(),
        "{:?}",
        verify(&scenario, &plan)
    );
    let (first, second) = (of(&plan, "first"), of(&plan, "second"));
    let date = first.planted.plus(1);
    assert!(date <= second.planted, "{first:?} {second:?}");
    let carried = carry_on(&scenario, &plan, &scenario, &Diary::default(), date).expect("carried");
    let now = &carried.scenario;
    assert_eq!(now.standing.len(), 1, "the first stands");
    let [planned] = &now.planned[..] else {
        panic!("the second is still to come: {:?}", carried.notes);
    };
    let [member] = &planned.members[..] else {
        panic!("for itself: {planned:?}");
    };
    let waits = second.planted.max(first.cleared);
    assert_eq!((member.crop, member.planted), (1, waits));
    assert!(
        carried.notes.iter().any(|n| n.contains(&waits.to_string())),
        "{:?}",
        carried.notes
    );
    // There is a candidate for it, on the very strip.
    let season = candidates::season(now);
    let decided = candidates::decided(now, &season);
    assert!(decided.left_out.is_empty(), "{:?}", decided.left_out);
}

#[test]
fn of_two_that_stand_the_shorter_is_picked_as_far_as_it_is_ready() {
    let (scenario, plan) = shared(true);
    let (first, second) = (of(&plan, "first"), of(&plan, "second"));
    // The last week in which both are there.
    let date = first.cleared.plus(-1).max(second.planted.plus(1));
    let carried = carry_on(&scenario, &plan, &scenario, &Diary::default(), date).expect("carried");
    let now = &carried.scenario;
    let names: Vec<usize> = now.standing.iter().map(|s| s.crop).collect();
    assert_eq!(names, [1], "the one that stands longer is followed");
    let picked = |from: &dyn Fn(Week) -> bool| -> f64 {
        first
            .lots
            .iter()
            .filter(|l| from(l.from) && l.until >= date)
            .map(|l| l.amount)
            .sum()
    };
    let store: f64 = now
        .in_store
        .iter()
        .filter(|s| s.crop == 0)
        .map(|s| s.amount)
        .sum();
    let ready = picked(&|from| from < date);
    assert!(store <= ready + 1e-9, "{store} of {ready}");
    assert!(
        carried
            .notes
            .iter()
            .any(|n| n.contains("nothing of it is counted on later")),
        "{:?}",
        carried.notes
    );
    // What is eaten of it later is no more than what was there.
    let later: f64 = now.in_store.iter().map(|s| s.amount).sum();
    assert!(later <= picked(&|_| true) + 1e-9);
}
