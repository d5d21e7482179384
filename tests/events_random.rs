//! Years in which anything may happen, at random: what the reader of events accepts can be carried on,
//! the plan left as it is holds, and so does one that is sought; so can that one be, and the next.
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
use bedweek::plan::{About, YearPlan, build};
use bedweek::repair;
use bedweek::solve::{self, Given, Options};
use bedweek::units::Week;
use bedweek::verify::verify;
use rand::seq::IndexedRandom;
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;
use still::Still;

/// Events and records of harvests tried for each plan.
const EVENTS: usize = 8;
const RECORDS: usize = 12;

/// Plans that carry each other on in a year, and the fewest weeks of one that still is.
const GENERATIONS: usize = 4;
const LEAST_WEEKS: i32 = 12;

fn options() -> Options {
    Options {
        gap: 0.01,
        seconds: None,
        work: Some(1),
    }
}

fn about() -> About {
    About {
        file: String::new(),
        fingerprint: String::new(),
        options: options(),
        timeless: true,
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
    let rest = match dice.random_range(0..16) {
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
        12 => format!("bed back, bed: {bed}"),
        13 => "shelf back".into(),
        14 => format!("need, times: {share}, from: {}", week(dice, 0, 50)),
        _ => format!(
            "shelf failure, to: {}, share: {share}",
            date.plus(dice.random_range(0..8))
        ),
    };
    format!("  - {{ date: {date}, what: {rest} }}\n")
}

/// A record of a harvest that may or may not have been possible.
fn harvest(dice: &mut ChaCha8Rng, roster: &Roster, last: i32) -> String {
    let date = roster.start.plus(dice.random_range(0..last));
    let planting = roster.plantings.choose(dice).expect("there are some");
    let amount = *[0.0, 0.3, 1.0, 4.0].choose(dice).expect("not empty");
    format!(
        "  - {{ date: {date}, planting: {}, amount: {amount} }}\n",
        planting.id
    )
}

/// What the reader of events takes of those tried, one after the other.
fn happened(
    dice: &mut ChaCha8Rng,
    scenario: &Scenario,
    roster: &Roster,
    date: Week,
) -> (String, Diary) {
    let last = date.since(roster.start);
    let (mut text, mut diary) = ("events: []\n".to_string(), Diary::default());
    let mut take = |more: String| {
        let read = events::load_text("events.yaml", &more, scenario, roster, date.monday());
        read.is_ok_and(|read| {
            (text, diary) = (more, read);
            true
        })
    };
    let (mut events, mut records) = (String::new(), String::new());
    for _ in 0..EVENTS {
        let more = events.clone() + &event(dice, scenario, roster, last);
        if take(format!("events:\n{more}")) {
            events = more;
        }
    }
    let events = if events.is_empty() {
        " []\n".into()
    } else {
        format!("\n{events}")
    };
    for _ in 0..RECORDS {
        let more = records.clone() + &harvest(dice, roster, last);
        if take(format!("events:{events}harvests:\n{more}")) {
            records = more;
        }
    }
    (text, diary)
}

/// A year as it goes: its present plan, and what was before.
struct Year {
    scenario: Scenario,
    plan: YearPlan,
    /// Sentences of the events so far.
    known: Vec<String>,
    /// The highest number of a planting so far.
    highest: u32,
}

impl Year {
    /// Carries the plan on after events and records drawn at random; how many events there were.
    fn go_on(&mut self, dice: &mut ChaCha8Rng, seek: bool, called: &str) -> usize {
        let weeks = i32::try_from(self.scenario.weeks).expect("short");
        let later = dice.random_range(2..weeks - LEAST_WEEKS / 2);
        let date = self.scenario.start.plus(later);
        let (old, known) = (&self.scenario, self.known.clone());
        let roster = repair::roster(old, old, &self.plan, known).expect("its own plan");
        let (text, diary) = happened(dice, old, &roster, date);
        let carried = repair::carry_on(old, &self.plan, old, &diary, date);
        let carried = carried.unwrap_or_else(|e| panic!("{called}: {e}\n{text}"));
        let season = candidates::season(&carried.scenario);
        let decided = candidates::decided(&carried.scenario, &season);
        let given = Given {
            strips: &decided.strips,
            covers: &decided.covers,
        };
        let left = solve::evaluate(&season, given, &Still);
        // As it is it may need more shelf than is left.
        let sought = (left.is_none() || seek).then(|| solve::solve(&season, &options(), &Still));
        self.highest = self.highest.max(repair::highest(&self.plan));
        for answer in left.iter().chain(&sought) {
            self.plan = build(&carried.scenario, &season, answer, &about());
            repair::renumber(&mut self.plan, &carried, self.highest);
            let faults = verify(&carried.scenario, &self.plan);
            assert!(
                faults.is_empty(),
                "{called}, from {date}:\n{text}{faults:#?}"
            );
        }
        self.scenario = carried.scenario;
        let events = diary.events.len();
        (self.known).extend(diary.events.into_iter().map(|event| event.sentence));
        events
    }

    fn goes_on(&self) -> bool {
        self.scenario.weeks >= LEAST_WEEKS as usize && !self.plan.plantings.is_empty()
    }
}

/// Carries a plan of the holding on, and the plan that comes of it, and so on through so many years; how many events
/// there were.
fn years(name: &str, count: u64, seek: bool) -> usize {
    let first = plans::made(name, greedy::greedy);
    let mut events = 0;
    for seed in 0..count {
        let dice = &mut ChaCha8Rng::seed_from_u64(seed);
        let mut year = Year {
            scenario: first.scenario.clone(),
            plan: first.plan.clone(),
            known: Vec::new(),
            highest: 0,
        };
        for generation in 1..=GENERATIONS {
            if year.goes_on() {
                let called = format!("{name}, year {seed}, plan {generation}");
                events += year.go_on(dice, seek, &called);
            }
        }
    }
    events
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
