//! Plans handed to other solvers and solutions read back from them; the trace of a search.
//!
//! Source of truth: the plan that the values were written from; the files' own order. Other solvers'
//! solutions are read back by `tests/bench`.

#[path = "support/room.rs"]
mod room;

use room::{Room, assert_code, stderr};
use std::sync::OnceLock;

/// Two beds, three foods, a cover and a discouraged break: solved at once.
const TINY: &str = "\
name: Two beds
currency: EUR
start: 2027-W10
weeks: 26
tail: 0
climate: oxford
beds:
  A: { setting: open, length_m: 1.2, width_m: 1.2, strips: 3, history: [{ family: carrot, cleared: 2026-W44 }] }
  B: { setting: open, length_m: 1.2, width_m: 1.2, strips: 3 }
covers:
  low tunnel: { count: 1 }
needs:
  carrots: { floor: 0.1, wish: 0.5 }
  radishes: { floor: 0, wish: 1 }
  green beans: { floor: 0, wish: 0.4 }
work: { hour_money: 3 }
rotation:
  carrot: { break_weeks: 52, rule: { discourage_money_per_m2_week: 0.02 } }
crops_used: [main carrots, radish, dwarf French beans]
";

/// A room with a plan, its values and its trace.
fn planned() -> &'static Room {
    static PLANNED: OnceLock<Room> = OnceLock::new();
    PLANNED.get_or_init(plan)
}

fn plan() -> Room {
    let room = Room::empty();
    room.write("tiny.yaml", TINY);
    let plan = room.run(&[
        "plan",
        "tiny.yaml",
        "--gap",
        "0",
        "--work-limit",
        "120",
        "--out",
        "out",
        "--solution",
        "values.txt",
        "--trace",
        "trace.csv",
    ]);
    assert!(
        matches!(plan.status.code(), Some(0 | 3)),
        "{}",
        stderr(&plan)
    );
    room
}

/// A figure of a plan file's result.
fn figure(room: &Room, file: &str, key: &str) -> f64 {
    let plan = room.read(file);
    let (_, result) = plan.split_once("\nresult:").expect("a result");
    let line = result.lines().find(|l| l.trim().starts_with(key));
    let value = line.and_then(|l| l.split(':').nth(1)).expect("the figure");
    value.trim().parse().expect("a number")
}

#[test]
fn a_plan_written_as_values_comes_back_as_the_same_plan() {
    let room = planned();
    let worth = figure(room, "out/plan.yaml", "worth");
    assert!(worth > 1.0, "something is eaten");
    let bound = (worth + 1.0).to_string();
    let back = room.run(&[
        "import",
        "tiny.yaml",
        "values.txt",
        "--bound",
        &bound,
        "--out",
        "back",
    ]);
    assert_code(&back, 0);
    assert_code(&room.run(&["verify", "back/plan.yaml"]), 0);
    let again = figure(room, "back/plan.yaml", "worth");
    assert!((again - worth).abs() < 1e-6 * worth, "{again} for {worth}");
    assert!((figure(room, "back/plan.yaml", "bound") - worth - 1.0).abs() < 1e-9);
    // Without a bound a simple one is reckoned; one below the plan is refused.
    assert_code(&room.run(&["import", "tiny.yaml", "values.txt"]), 0);
    let low = (worth - 1.0).to_string();
    let refused = room.run(&["import", "tiny.yaml", "values.txt", "--bound", &low]);
    assert_code(&refused, 5);
    assert!(
        stderr(&refused).contains("more than"),
        "{}",
        stderr(&refused)
    );
}

/// A room in which a standing year was planned with so much work, written as values and read back; what the plan
/// and the one read back are worth.
fn standing_and_back(scenario: &str, work: &str) -> (Room, f64, f64) {
    let room = Room::empty();
    room.write("year.yaml", scenario);
    let plan = room.run(&[
        "plan",
        "year.yaml",
        "--standing-year",
        "--gap",
        "0",
        "--work-limit",
        work,
        "--out",
        "out",
        "--solution",
        "values.txt",
    ]);
    assert!(
        matches!(plan.status.code(), Some(0 | 3)),
        "{}",
        stderr(&plan)
    );
    let back = room.run(&[
        "import",
        "year.yaml",
        "values.txt",
        "--standing-year",
        "--out",
        "back",
    ]);
    assert_code(&back, 0);
    assert_code(&room.run(&["verify", "back/plan.yaml"]), 0);
    let worth = figure(&room, "out/plan.yaml", "worth");
    let again = figure(&room, "back/plan.yaml", "worth");
    (room, worth, again)
}

#[test]
fn a_standing_year_written_as_values_comes_back() {
    let year = TINY.replace("weeks: 26", "weeks: 52").replace(
        "{ break_weeks: 52, rule: { discourage_money_per_m2_week: 0.02 } }",
        "{ break_weeks: 30 }",
    );
    let (room, worth, again) = standing_and_back(&year, "200");
    assert!(worth > 1.0, "something is eaten");
    assert!((again - worth).abs() < 1e-6 * worth, "{again} for {worth}");
    // Its columns are those of another programme than that of the year with a beginning.
    assert_code(&room.run(&["import", "year.yaml", "values.txt"]), 2);
}

#[test]
fn rings_too_full_for_every_way_to_be_tried_are_laid_out_again() {
    let year = include_str!("../scenarios/plot-250.yaml");
    let (_, worth, again) = standing_and_back(year, "20");
    assert!(worth > 1.0, "something is eaten");
    assert!((again - worth).abs() < 1e-6 * worth, "{again} for {worth}");
}

#[test]
fn values_that_are_no_plan_are_refused() {
    let room = planned();
    // The first planting on every strip of both beds, besides what grows there already.
    let values = room.read("values.txt");
    let first = values.lines().find(|l| l.starts_with("x.")).expect("one");
    let (name, _) = first.split_once(' ').expect("a value");
    let rest: Vec<&str> = values.lines().filter(|l| *l != first).collect();
    room.write("full.txt", &format!("{}\n{name} 3\n", rest.join("\n")));
    let refused = room.run(&["import", "tiny.yaml", "full.txt", "--out", "none"]);
    assert_code(&refused, 5);
    assert!(
        stderr(&refused).contains("strip by strip"),
        "{}",
        stderr(&refused)
    );
    assert!(!room.path("none/plan.yaml").exists());
}

#[test]
fn all_faults_of_a_file_of_values_are_told_with_their_places() {
    let room = planned();
    let values = room.read("values.txt");
    let name = |start: &str| {
        let line = values.lines().find(|l| l.starts_with(start)).expect("one");
        line.split(' ').next().expect("a name").to_string()
    };
    let (strips, eaten) = (name("x."), name("supply."));
    let faulty = format!(
        "# values\n{strips} 0.5\n  x.none.A 1\n{eaten} much\n\n{eaten}\n{strips} 77\n{eaten} 0.1\n{eaten} 0.1\n"
    );
    room.write("faulty.txt", &faulty);
    let refused = room.run(&["import", "tiny.yaml", "faulty.txt"]);
    assert_code(&refused, 2);
    let told = stderr(&refused);
    let second = strips.len() + 2;
    let third = eaten.len() + 2;
    for (place, what) in [
        (format!("faulty.txt:2:{second}:"), "not whole"),
        ("faulty.txt:3:3:".into(), "no column"),
        (format!("faulty.txt:4:{third}:"), "not a number"),
        ("faulty.txt:6:1:".into(), "not a name and a value"),
        (format!("faulty.txt:7:{second}:"), "out of range"),
        ("faulty.txt:9:1:".into(), "given already"),
    ] {
        let line = told.lines().find(|l| l.contains(&place));
        assert!(
            line.is_some_and(|l| l.contains(what)),
            "{place} {what}: {told}"
        );
    }
    assert_eq!(told.matches("error:").count(), 6, "{told}");
}

#[test]
fn the_trace_tells_of_ever_better_plans_and_bounds() {
    let room = planned();
    let trace = room.read("trace.csv");
    let mut lines = trace.lines();
    assert_eq!(lines.next(), Some("seconds,phase,plan,bound"));
    let number = |cell: &str, none: f64| cell.parse().unwrap_or(none);
    let rows: Vec<[f64; 3]> = lines
        .map(|line| {
            let cells: Vec<&str> = line.split(',').collect();
            let [seconds, _, plan, bound] = cells[..] else {
                panic!("four cells: {line}")
            };
            [
                seconds.parse().expect("seconds"),
                number(plan, f64::NEG_INFINITY),
                number(bound, f64::INFINITY),
            ]
        })
        .collect();
    for pair in rows.windows(2) {
        let ([t, plan, bound], [then, better, lower]) = (pair[0], pair[1]);
        assert!(t <= then && plan <= better && bound >= lower, "{trace}");
    }
    let [_, plan, bound] = *rows.last().expect("something was found");
    let worth = figure(room, "out/plan.yaml", "worth");
    assert!((plan - worth).abs() < 1e-6 * worth, "{plan} for {worth}");
    assert!((bound - figure(room, "out/plan.yaml", "bound")).abs() < 1e-6 * worth);
}

#[test]
fn files_that_cannot_be_written_are_found_before_the_search() {
    let room = Room::empty();
    room.write("tiny.yaml", TINY);
    for option in ["--trace", "--solution", "--certificate"] {
        let refused = room.run(&["plan", "tiny.yaml", option, "none/file"]);
        assert_code(&refused, 2);
        assert!(stderr(&refused).contains("none/file"), "{option}");
        // A search would have told its progress.
        assert!(!stderr(&refused).contains("first draft"), "{option}");
    }
}
