//! What stands for years: no plan plants it anew, whoever asks is told so, and what the grower plants stays.
//!
//! Source of truth: the scenario and the record of what happened; `verify`. That a herb or a fruit bush is planted for
//! years and not cleared in its first is common practice, no source.

#[path = "support/room.rs"]
mod room;

use bedweek::plan::YearPlan;
use room::{Room, assert_code, stderr, stdout};

/// Two beds in which chives may grow, none of which stands.
const HOLDING: &str = "\
name: Two beds
currency: EUR
start: 2027-W10
weeks: 52
tail: 26
climate: oxford
beds:
  A: { setting: open, length_m: 1.2, width_m: 1.2, strips: 3 }
  B: { setting: open, length_m: 1.2, width_m: 1.2, strips: 2 }
covers: {}
shelf: { lit_m2: 0, unlit_m2: 1, day_c: 17, night_c: 12, transmission: 0.5 }
needs:
  herbs: { floor: 0.01, wish: 0.05 }
  carrots: { floor: 0, wish: 0.2 }
work: { hour_money: 3 }
crops_used: [chives, parsley, main carrots]
";

/// A room with a plan of the holding.
fn planned(scenario: &str) -> Room {
    let room = Room::empty();
    room.write("two.yaml", scenario);
    let plan = room.run(&["plan", "two.yaml", "--work-limit", "60", "--out", "first"]);
    assert!(
        matches!(plan.status.code(), Some(0 | 3)),
        "{}",
        stderr(&plan)
    );
    room
}

fn plan(room: &Room, directory: &str) -> YearPlan {
    let text = room.read(&format!("{directory}/plan.yaml"));
    serde_yaml::from_str(&text).expect("a plan")
}

#[test]
fn no_plan_plants_it_and_who_asks_why_is_told() {
    let room = planned(HOLDING);
    let first = plan(&room, "first");
    assert!(first.plantings.iter().any(|p| p.crop == "parsley"));
    assert!(first.plantings.iter().all(|p| p.crop != "chives"));
    let asked = room.run(&["why", "first/plan.yaml", "--not", "chives"]);
    assert_code(&asked, 2);
    let told = stderr(&asked);
    assert!(told.contains("chives stands for years"), "{told}");

    // A crop that is listed for nothing, and a food that nothing else gives.
    let checked = room.run(&["check", "two.yaml"]);
    assert_code(&checked, 0);
    let told = stdout(&checked) + &stderr(&checked);
    assert!(told.contains("warning: crops_used.chives: "), "{told}");
    room.write("chives.yaml", &HOLDING.replace("parsley, ", ""));
    let checked = room.run(&["check", "chives.yaml"]);
    let told = stdout(&checked) + &stderr(&checked);
    assert!(told.contains("warning: needs.herbs: "), "{told}");
    assert!(told.contains("list what stands under standing"), "{told}");
}

#[test]
fn what_the_grower_plants_stays_whatever_is_replanned() {
    let room = planned(HOLDING);
    room.write(
        "planted.yaml",
        "events:\n  - { date: 2027-04-20, what: planted, crop: chives, bed: B, strips: [2, 2], sown: 2027-W10 }\n",
    );
    let recorded: &[&str] = &["--events", "planted.yaml"];
    let years = [
        ("first/plan.yaml", recorded, "2027-04-26", "second"),
        ("second/plan.yaml", &[], "2027-06-07", "third"),
    ];
    for (from, events, date, to) in years {
        let words = [
            "replan",
            from,
            "--from",
            date,
            "--work-limit",
            "30",
            "--out",
            to,
        ];
        let done = room.run(&[&words[..], events].concat());
        assert!(
            matches!(done.status.code(), Some(0 | 3)),
            "{}",
            stderr(&done)
        );
        assert_code(&room.run(&["verify", &format!("{to}/plan.yaml")]), 0);
        let plan = plan(&room, to);
        let chives = plan.plantings.iter().find(|p| p.crop == "chives");
        let chives = chives.expect("it stands");
        assert_eq!((chives.bed.as_str(), &chives.strips[..]), ("B", &[2][..]));
        assert_eq!(chives.cleared.to_string(), "2028-W36", "{to}");
        assert!(chives.lots.iter().map(|lot| lot.amount).sum::<f64>() > 0.0);
    }
}
