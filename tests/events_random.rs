//! Years in which anything may happen, at random: what the reader of events accepts can be carried on,
//! the plan left as it is holds, and so does one that is sought.
//!
//! Source of truth: `verify`, which shares no code with what carries a plan on.

#[path = "support/greedy.rs"]
mod greedy;
#[path = "support/plans.rs"]
mod plans;
#[path = "support/still.rs"]
mod still;

use bedweek::candidates;
use bedweek::domain::{Diary, Roster, Scenario};
use bedweek::input::events;
use bedweek::plan::{About, build};
use bedweek::repair;
use bedweek::solve::{self, Given, Options};
use bedweek::units::Week;
use bedweek::verify::verify;
use plans::Made;
use rand::seq::IndexedRandom;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use still::Still;

/// Events tried in each year.
const EVENTS: usize = 8;

fn options() -> Options {
    Options {
        gap: 0.01,
        seconds: None,
        work: Some(1),
    }
}

/// An event that may or may not have been possible.
fn event(dice: &mut ChaCha8Rng, scenario: &Scenario, roster: &Roster, last: i32) -> String {
    let week =
        |dice: &mut ChaCha8Rng, from: i32, to: i32| roster.start.plus(dice.random_range(from..to));
    let date = week(dice, 0, last);
    let pick = |dice: &mut ChaCha8Rng, names: Vec<&String>| -> String {
        (*names.choose(dice).expect("there are some")).clone()
    };
    let bed = pick(dice, scenario.beds.iter().map(|b| &b.name).collect());
    let planting = pick(dice, roster.plantings.iter().map(|p| &p.id).collect());
    let crop = pick(dice, scenario.crops.iter().map(|c| &c.name).collect());
    let share = *[1.0, 0.5, 0.3].choose(dice).expect("not empty");
    let strip = dice.random_range(1..4);
    let which = match dice.random_range(0..3) {
        0 => format!("crop: {crop}"),
        1 => format!("crop: {crop}, bed: {bed}"),
        _ => format!("planting: {planting}"),
    };
    let rest = match dice.random_range(0..14) {
        0 => format!("lost, {which}, share: {share}"),
        1 => format!("not up, {which}"),
        2 => format!("bolted, {which}"),
        3 => format!("frosted, {which}, share: {share}"),
        4 => format!("late, {which}, weeks: {}", dice.random_range(1..6)),
        5 => format!("early, {which}, weeks: {}", dice.random_range(1..4)),
        6 => format!("yield, {which}, of_forecast: {}", 2.0 * share),
        7 => format!("not sown, planting: {planting}"),
        8 => format!("sown, planting: {planting}"),
        9 => format!("sown, crop: {crop}, bed: {bed}, strips: [{strip}, {strip}]"),
        10 if !scenario.covers.is_empty() => {
            let cover = pick(dice, scenario.covers.iter().map(|c| &c.name).collect());
            let what = *["broken", "bought"].choose(dice).expect("not empty");
            format!("cover {what}, cover: {cover}")
        }
        11 => {
            let from = week(dice, 0, 40);
            format!(
                "bed out, bed: {bed}, from: {from}, to: {}",
                from.plus(dice.random_range(0..8))
            )
        }
        12 => format!("need, times: {share}, from: {}", week(dice, 0, 50)),
        _ => format!(
            "shelf failure, to: {}, share: {share}",
            date.plus(dice.random_range(0..8))
        ),
    };
    format!("  - {{ date: {date}, what: {rest} }}\n")
}

/// What the reader of events takes of those tried, one after the other.
fn happened(
    dice: &mut ChaCha8Rng,
    scenario: &Scenario,
    roster: &Roster,
    date: Week,
) -> (String, Diary) {
    let mut text = "events:\n".to_string();
    let mut diary = Diary::default();
    let last = date.since(roster.start);
    for _ in 0..EVENTS {
        let more = text.clone() + &event(dice, scenario, roster, last);
        let read = events::load_text("events.yaml", &more, scenario, roster, date.monday());
        if let Ok(read) = read {
            (text, diary) = (more, read);
        }
    }
    (text, diary)
}

/// Carries a plan of the holding on after each of so many courses of events; how many events there were.
fn years(name: &str, count: u64, seek: bool) -> usize {
    let Made { scenario, plan, .. } = plans::made(name, greedy::greedy);
    let roster = repair::roster(&scenario, &plan, Vec::new()).expect("its own plan");
    let mut accepted = 0;
    for seed in 0..count {
        let dice = &mut ChaCha8Rng::seed_from_u64(seed);
        let date = scenario.start.plus(dice.random_range(2..40));
        let (text, diary) = happened(dice, &scenario, &roster, date);
        accepted += diary.events.len();
        let carried = repair::carry_on(&scenario, &plan, &scenario, &diary, date);
        let carried = carried
            .unwrap_or_else(|e| panic!("{name} {seed}: {e}\n{text}"))
            .scenario;
        let season = candidates::season(&carried);
        let decided = candidates::decided(&carried, &season);
        let given = Given {
            strips: &decided.strips,
            covers: &decided.covers,
        };
        let about = About {
            file: String::new(),
            fingerprint: String::new(),
            options: options(),
            timeless: true,
        };
        let left = solve::evaluate(&season, given, &Still);
        // As it is it may need more shelf than is left.
        let sought = (left.is_none() || seek).then(|| solve::solve(&season, &options(), &Still));
        for answer in left.iter().chain(&sought) {
            let plan = build(&carried, &season, answer, &about);
            let faults = verify(&carried, &plan);
            assert!(
                faults.is_empty(),
                "{name} {seed}, from {date}:\n{text}{faults:#?}"
            );
        }
    }
    accepted
}

#[test]
fn whatever_happens_on_the_small_plot_a_plan_holds() {
    let accepted = years("small-plot", 60, true);
    assert!(accepted > 60, "only {accepted} events were possible");
}

#[test]
fn whatever_happens_on_the_full_holding_a_plan_holds() {
    let accepted = years("four-households", 6, false);
    assert!(accepted > 8, "only {accepted} events were possible");
}
