//! A small year carried on: the program run on it, and what its three answers must be to each other.
//!
//! Crops are invented, so that no shipped figure matters.
#![allow(dead_code)]

use super::room::{Room, stderr, stdout};
use bedweek::plan::YearPlan;
use bedweek::repair::{AnswerLine, Replan};
use std::process::Output;

/// Salad for the autumn and for the winter, roots to store; to be put at the end of a scenario.
pub const MODELS: &str = "\
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
pub const NOTHING_NEW: &str = "{ date: 2026-09-07, what: need, times: 1 }";

/// Units of work of each search.
const WORK: &str = "400";

/// A directory with a scenario and its plan in `first/plan.yaml`.
pub struct Year(Room);

impl std::ops::Deref for Year {
    type Target = Room;

    fn deref(&self) -> &Room {
        &self.0
    }
}

impl Year {
    /// Plans the scenario.
    pub fn new(scenario: &str) -> Year {
        let room = Room::empty();
        room.write("year.yaml", scenario);
        let made = room.run(&[
            "plan",
            "year.yaml",
            "--out",
            "first",
            "--work-limit",
            WORK,
            "--timeless",
            "-q",
        ]);
        assert!(matches!(made.status.code(), Some(0 | 3)), "{}", said(&made));
        Year(room)
    }

    /// Carries `plan` on with those events; the answer, read from its file.
    pub fn replan(&self, plan: &str, events: &[&str], from: &str, out: &str) -> Replan {
        let list: String = events.iter().map(|e| format!("  - {e}\n")).collect();
        self.replan_text(plan, &format!("events:\n{list}"), from, out)
    }

    pub fn replan_text(&self, plan: &str, events: &str, from: &str, out: &str) -> Replan {
        self.write("events.yaml", events);
        let done = self.replanned(plan, ["--events", "events.yaml"], from, out);
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

    /// What the program says of carrying `plan` on with a file, named by its option.
    pub fn replanned(
        &self,
        plan: &str,
        [option, file]: [&str; 2],
        from: &str,
        out: &str,
    ) -> Output {
        self.run(&[
            "replan",
            plan,
            option,
            file,
            "--from",
            from,
            "--out",
            out,
            "--work-limit",
            WORK,
            "--timeless",
            "-q",
        ])
    }

    /// The plan in a directory.
    pub fn plan(&self, dir: &str) -> YearPlan {
        bedweek::render::read(&self.read(&format!("{dir}/plan.yaml"))).expect("a plan")
    }
}

pub fn said(output: &Output) -> String {
    stdout(output) + &stderr(output)
}

pub fn answer<'a>(replan: &'a Replan, name: &str) -> &'a AnswerLine {
    let found = replan.answers.iter().find(|a| a.answer == name);
    found.unwrap_or_else(|| panic!("no answer {name}: {replan:#?}"))
}

/// A repair lies between leaving things as they are (by its own measure, changes at their price)
/// and drawing the year anew.
#[track_caller]
pub fn in_order(replan: &Replan) {
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
