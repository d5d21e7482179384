//! Plans carried on: losing nothing changes nothing, losses cost, repairs lie between leaving things
//! as they are and drawing the year anew, every kind of event goes through the whole program.
//!
//! Source of truth: relations between the answers; the plan that is carried on; `verify`. Crops are
//! invented, so that no shipped figure matters.

#[path = "support/room.rs"]
mod room;

use bedweek::repair::{AnswerLine, Difference, Replan};
use room::{Room, assert_code, stderr, stdout};
use std::process::Output;

/// A tunnel bed and a bed in the open, salad for the autumn and for the winter, roots to store.
const STORY: &str = "\
name: Salad in winter
start: 2026-W36
weeks: 40
tail: 4
climate: oxford
beds:
  O: { setting: open, length_m: 1.2, width_m: 1.2, strips: 3 }
  T: { setting: tunnel, length_m: 2.4, width_m: 1.2, strips: 4 }
covers:
  fleece: { count: 1 }
shelf: { lit_m2: 0.1, unlit_m2: 0.1, day_c: 18, night_c: 13, lamp_mj: 6, transmission: 0.5 }
standing:
  roots: { bed: O, strips: [1, 2], crop: storing roots, sown: 2026-W20 }
  autumn salad: { bed: T, strips: [1, 3], crop: autumn salad, sown: 2026-W33, keep: true }
needs:
  salad leaves: { floor: 0.5, wish: 2, price_money: 3, short_money: 3, single_crop_share: 1 }
  roots: { floor: 0.1, wish: 0.3, price_money: 2, short_money: 1, single_crop_share: 1 }
work: { hour_money: 1 }
rotation:
  daisy: { break_weeks: 0, rule: off }
crops_used: [autumn salad, winter salad, storing roots]
solving: { gap: 0.02 }
models:
  crops:
    autumn salad:
      family: daisy
      settings: [open, tunnel]
      thermal: { base_c: 2, optimum_c: 18, ceiling_c: 32, half_light_mj: 3, emergence_base_c: 2, emergence_cd: 50 }
      raisings:
        - { method: direct, sow: [W36, W39], plants_per_m2: 40, seeds_per_plant: 1, seed_money: 0.005,
            sow_minutes_per_m2: 2, plant_minutes_per_m2: 0 }
      ways:
        - { name: leaves, kind: picking, span_units: 70, food: salad leaves, ready_units: 12,
            yield_per_m2: [10, 14, 16], unit: l, kg_per_unit: 0.1, keeps_weeks: 1, weekly_loss: 0.1,
            harvest_minutes_per_unit: 1 }
      killed_below_c: -12
      max_ground_weeks: 40
      clear_minutes_per_m2: 1
    winter salad:
      family: daisy
      settings: [open, tunnel]
      thermal: { base_c: 0, optimum_c: 16, ceiling_c: 32, half_light_mj: 2, emergence_base_c: 0, emergence_cd: 50 }
      raisings:
        - { method: direct, sow: [W40, W50], plants_per_m2: 40, seeds_per_plant: 1, seed_money: 0.005,
            sow_minutes_per_m2: 2, plant_minutes_per_m2: 0 }
        - { method: modules, sow: [W38, W50], ready_units: 6, max_shelf_weeks: 8, shelf: either,
            plants_per_shelf_m2: 800, plants_per_m2: 40, seeds_per_plant: 1, seed_money: 0.005,
            sow_minutes_per_m2: 3, plant_minutes_per_m2: 3 }
      ways:
        - { name: leaves, kind: picking, span_units: 25, food: salad leaves, ready_units: 12,
            yield_per_m2: [8, 12, 14], unit: l, kg_per_unit: 0.1, keeps_weeks: 1, weekly_loss: 0.1,
            harvest_minutes_per_unit: 1 }
      killed_below_c: -18
      max_ground_weeks: 40
      clear_minutes_per_m2: 1
    storing roots:
      family: carrot
      settings: [open]
      thermal: { base_c: 2, optimum_c: 18, ceiling_c: 32, half_light_mj: 3, emergence_base_c: 2, emergence_cd: 80 }
      raisings:
        - { method: direct, sow: [W14, W22], plants_per_m2: 80, seeds_per_plant: 1, seed_money: 0.002,
            sow_minutes_per_m2: 2, plant_minutes_per_m2: 0 }
      ways:
        - { name: roots, kind: clearing, food: roots, ready_units: 80, yield_per_m2: [4, 5, 6], unit: kg,
            kg_per_unit: 1, keeps_weeks: 30, weekly_loss: 0.01, harvest_minutes_per_unit: 2 }
      killed_below_c: -8
      max_ground_weeks: 50
      clear_minutes_per_m2: 2
  foods:
    roots: { unit: kg }
";

/// An event that says nothing new: needs are once what they were.
const NOTHING_NEW: &str = "{ date: 2026-09-07, what: need, times: 1 }";

/// A directory with the story's scenario and its plan in `first/plan.yaml`.
struct Story(Room);

impl std::ops::Deref for Story {
    type Target = Room;

    fn deref(&self) -> &Room {
        &self.0
    }
}

impl Story {
    fn new() -> Story {
        let room = Room::empty();
        room.write("story.yaml", STORY);
        let made = room.run(&[
            "plan",
            "story.yaml",
            "--out",
            "first",
            "--work-limit",
            "400",
            "--timeless",
            "-q",
        ]);
        assert!(matches!(made.status.code(), Some(0 | 3)), "{}", said(&made));
        Story(room)
    }

    /// Carries `plan` on with those events; the answer, read from its file.
    fn replan(&self, plan: &str, events: &[&str], from: &str, out: &str) -> Replan {
        let list: String = events.iter().map(|e| format!("  - {e}\n")).collect();
        self.replan_text(plan, &format!("events:\n{list}"), from, out)
    }

    fn replan_text(&self, plan: &str, events: &str, from: &str, out: &str) -> Replan {
        self.write("events.yaml", events);
        let done = self.run(&[
            "replan",
            plan,
            "--events",
            "events.yaml",
            "--from",
            from,
            "--out",
            out,
            "--work-limit",
            "400",
            "--timeless",
            "-q",
        ]);
        assert!(
            matches!(done.status.code(), Some(0 | 3)),
            "{events}\n{}",
            said(&done)
        );
        let checked = self.run(&["verify", &format!("{out}/plan.yaml")]);
        assert_eq!(
            checked.status.code(),
            Some(0),
            "{events}\n{}",
            said(&checked)
        );
        let text = self.read(&format!("{out}/replan.txt"));
        for line in text.lines() {
            assert!(line.chars().count() <= 100, "{line}");
        }
        serde_yaml::from_str(&self.read(&format!("{out}/replan.yaml"))).expect("a replan")
    }
}

fn said(output: &Output) -> String {
    stdout(output) + &stderr(output)
}

fn answer<'a>(replan: &'a Replan, name: &str) -> &'a AnswerLine {
    let found = replan.answers.iter().find(|a| a.answer == name);
    found.unwrap_or_else(|| panic!("no answer {name}: {replan:#?}"))
}

/// A repair lies between leaving things as they are (by its own measure, changes at their price)
/// and drawing the year anew.
fn in_order(replan: &Replan) {
    /// Amounts in plans are rounded.
    const SLACK: f64 = 1e-4;
    let repaired = answer(replan, "repaired");
    let redrawn = answer(replan, "freely redrawn");
    assert!(redrawn.worth >= repaired.worth - SLACK, "{replan:#?}");
    if let Some(left) = replan.answers.iter().find(|a| a.answer == "left as it is") {
        let measured = repaired.worth - repaired.changes_money;
        assert!(
            measured >= left.worth - left.changes_money - SLACK,
            "{replan:#?}"
        );
    }
}

#[test]
fn losing_nothing_changes_nothing() {
    let room = Story::new();
    let before = room.read("first/plan.yaml");
    room.write("none.yaml", "events: []\n");
    for arguments in [&["--events", "none.yaml"][..], &[]] {
        let mut all = vec![
            "replan",
            "first/plan.yaml",
            "--from",
            "2026-W44",
            "--out",
            "same",
        ];
        all.extend(arguments);
        let done = room.run(&all);
        assert_eq!(done.status.code(), Some(0), "{}", said(&done));
        assert!(said(&done).contains("it stands as it is"));
        assert_eq!(room.read("same/plan.yaml"), before);
    }
}

#[test]
fn what_is_carried_on_gives_what_it_was_to_give() {
    let room = Story::new();
    for (n, from) in ["2026-W38", "2026-W44", "2026-W50", "2027-W08"]
        .into_iter()
        .enumerate()
    {
        let replan = room.replan("first/plan.yaml", &[NOTHING_NEW], from, &format!("on{n}"));
        assert!(replan.notes.is_empty(), "{:#?}", replan.notes);
        assert!(replan.lost.is_empty(), "from {from}: {:#?}", replan.lost);
        assert_eq!(answer(&replan, "left as it is").changes.all(), 0);
        in_order(&replan);
    }
}

#[test]
fn half_the_autumn_salad_is_lost_and_the_winter_salad_recovers() {
    let room = Story::new();
    let lost = "{ date: 2026-10-12, what: lost, crop: autumn salad, share: 0.5, cause: cutworm }";
    let replan = room.replan("first/plan.yaml", &[lost], "2026-W43", "second");
    in_order(&replan);
    assert!(replan.events[0].contains("cutworm"), "{:?}", replan.events);
    let salad = replan.lost.iter().find(|f| f.food == "salad leaves");
    let salad = salad.unwrap_or_else(|| panic!("nothing lost: {replan:#?}"));
    assert!(salad.lost > 0.0 && salad.weeks[0].week.to_string().as_str() >= "2026-W43");
    let recovers = salad.recovers.expect("winter salad makes up for it");
    assert!(recovers > salad.weeks[0].week, "{salad:#?}");
    let text = room.read("second/replan.txt");
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        text.contains(&format!("as planned again from {recovers} on")),
        "{text}"
    );
    // The same again, and nothing new: it stands.
    let again = room.run(&[
        "replan",
        "second/plan.yaml",
        "--events",
        "events.yaml",
        "--from",
        "2026-W43",
        "--out",
        "third",
    ]);
    assert!(
        said(&again).contains("it stands as it is"),
        "{}",
        said(&again)
    );
    assert_eq!(room.read("third/plan.yaml"), room.read("second/plan.yaml"));
    // The plan's life is kept, and can be followed.
    let both = "events:\n  - { date: 2026-10-12, what: lost, crop: autumn salad, share: 0.5, cause: cutworm }\n  \
                - { date: 2026-11-09, what: late, crop: autumn salad, weeks: 1 }\n";
    let next = room.replan_text("second/plan.yaml", both, "2026-W47", "fourth");
    assert_eq!((next.known, next.events.len()), (1, 1));
    in_order(&next);
    let history = room.run(&["history", "fourth/plan.yaml"]);
    let told = said(&history);
    let order = [
        "first/plan.yaml",
        "second/plan.yaml",
        "cutworm",
        "fourth/plan.yaml",
        "late",
    ];
    let places: Vec<_> = order
        .iter()
        .map(|w| told.find(w).unwrap_or_else(|| panic!("{w}: {told}")))
        .collect();
    assert!(places.is_sorted(), "{told}");
    // A plan that others carry on is not written over.
    let over = room.run(&[
        "replan",
        "fourth/plan.yaml",
        "--events",
        "events.yaml",
        "--from",
        "2026-W48",
        "--out",
        "second",
    ]);
    assert_eq!(over.status.code(), Some(2), "{}", said(&over));
    // Nor may it be changed.
    let changed = room
        .read("first/plan.yaml")
        .replace("format: 1", "format: 1 ");
    room.write("first/plan.yaml", &changed);
    let refused = room.run(&["verify", "fourth/plan.yaml"]);
    assert!(
        said(&refused).contains("have changed"),
        "{}",
        said(&refused)
    );
}

#[test]
fn every_kind_of_event_goes_through_and_a_loss_costs() {
    let room = Story::new();
    let unhurt = room.replan("first/plan.yaml", &[NOTHING_NEW], "2026-W44", "unhurt");
    let best = answer(&unhurt, "left as it is").worth;
    let hurting = [
        "{ date: 2026-10-12, what: lost, crop: autumn salad, share: 0.4 }",
        "{ date: 2026-10-12, what: frosted, crop: autumn salad }",
        "{ date: 2026-10-12, what: bolted, crop: autumn salad, share: 0.3 }",
        "{ date: 2026-09-21, what: not up, crop: autumn salad, share: 0.9 }",
        "{ date: 2026-10-12, what: yield, crop: autumn salad, of_forecast: 0.6 }",
        "{ date: 2026-10-12, what: bed out, bed: T, from: 2026-W48, to: 2026-W52 }",
    ];
    for (n, event) in hurting.iter().enumerate() {
        let replan = room.replan("first/plan.yaml", &[event], "2026-W44", &format!("hurt{n}"));
        in_order(&replan);
        let left = answer(&replan, "left as it is");
        assert!(
            left.worth <= best + 1e-4,
            "{event}: {} above {best}",
            left.worth
        );
    }
    let others = [
        "{ date: 2026-10-12, what: late, crop: autumn salad, weeks: 2 }",
        "{ date: 2026-10-12, what: early, crop: autumn salad, weeks: 1 }",
        "{ date: 2026-10-12, what: sown, crop: winter salad, raising: direct, bed: O, strips: [3, 3] }",
        "{ date: 2026-10-12, what: cover broken, cover: fleece }",
        "{ date: 2026-10-12, what: cover bought, cover: fleece, count: 2 }",
        "{ date: 2026-10-12, what: need, food: salad leaves, times: 2, from: 2026-W51, to: 2026-W52 }",
        "{ date: 2026-10-12, what: need, times: 0.5 }",
        "{ date: 2026-10-12, what: shelf failure, to: 2026-W48, share: 1 }",
    ];
    for (n, event) in others.iter().enumerate() {
        let replan = room.replan(
            "first/plan.yaml",
            &[event],
            "2026-W44",
            &format!("other{n}"),
        );
        in_order(&replan);
    }
}

#[test]
fn records_correct_what_is_reckoned_with_and_say_so() {
    let room = Story::new();
    // Far less than forecast, over weeks.
    let records = "harvests:\n  - { date: 2026-10-14, crop: autumn salad, amount: 0.1 }\n  \
                   - { date: 2026-10-21, crop: autumn salad, amount: 0.1 }\n";
    let events = format!("events:\n  - {NOTHING_NEW}\n{records}");
    let replan = room.replan_text("first/plan.yaml", &events, "2026-W45", "second");
    in_order(&replan);
    let learned = (replan.learned.iter()).find(|l| l.crop == "autumn salad");
    let learned = learned.unwrap_or_else(|| panic!("nothing learned: {replan:#?}"));
    assert_eq!((learned.book_per_m2, learned.records), (14.0, 2));
    assert!(
        learned.recorded_per_m2 < learned.used_per_m2,
        "{learned:#?}"
    );
    assert!(learned.used_per_m2 < learned.book_per_m2, "{learned:#?}");
    let text = room.read("second/replan.txt");
    assert!(text.contains("Learned from the record"), "{text}");
    // Next year's scenario can hold it.
    let experience = room.read("second/experience.yaml");
    room.write("next.yaml", &format!("{STORY}{experience}"));
    let checked = room.run(&["check", "next.yaml"]);
    assert_eq!(checked.status.code(), Some(0), "{}", said(&checked));
    let next = bedweek::input::load(&room.path("next.yaml"))
        .expect("read")
        .scenario;
    let crop = next
        .crops
        .iter()
        .find(|c| c.name == "autumn salad")
        .expect("in use");
    let used = crop.ways[0].yield_per_m2.usual;
    assert!(
        (used - learned.used_per_m2).abs() < 1e-3,
        "{used} {learned:#?}"
    );
}

#[test]
fn changed_jobs_are_added_dropped_and_moved() {
    let room = Story::new();
    let lost = "{ date: 2026-10-12, what: lost, crop: autumn salad }";
    let replan = room.replan("first/plan.yaml", &[lost], "2026-W43", "second");
    in_order(&replan);
    assert!(replan.jobs.windows(2).all(|w| w[0].week <= w[1].week));
    // What is gone is not cleared any more.
    let dropped =
        |what: &str| (replan.jobs.iter()).any(|j| j.change == Difference::Drop && j.what == what);
    assert!(dropped("autumn salad"), "{:#?}", replan.jobs);
}

#[test]
fn a_rest_of_the_year_without_any_plan_is_said_to_have_none() {
    let room = Story::new();
    // Nothing can be cleared in so little time, and the roots must go.
    room.write(
        "busy.yaml",
        &STORY.replace("hour_money: 1", "hour_money: 1, hours_per_week: 0.0001"),
    );
    let refused = room.run(&[
        "replan",
        "first/plan.yaml",
        "--scenario",
        "busy.yaml",
        "--from",
        "2026-W44",
        "--out",
        "second",
        "--work-limit",
        "100",
    ]);
    assert_code(&refused, 1);
    assert!(
        stderr(&refused).contains("there is no plan"),
        "{}",
        said(&refused)
    );
    assert!(stdout(&refused).is_empty() && !room.path("second/plan.yaml").exists());
}
