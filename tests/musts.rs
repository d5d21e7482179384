//! Floors that are musts: kept by the plan, or said to clash, with the smallest set that does.
//!
//! Sources of truth: planning again without a must, or with more of a limit, which the answer says to
//! be enough; `verify`; sums by hand. `tests/cross/musts.py` asks HiGHS.

#[path = "support/room.rs"]
mod room;

use bedweek::explain::{Case, Clash, Kept, Watches, kept};
use bedweek::solve::{Options, Progress, Watch};
use room::{Room, assert_code, stderr, stdout};
use std::sync::atomic::{AtomicU32, Ordering};

/// Two beds, one crop that is ready within weeks and one that takes months. Lines are referred to
/// below.
const HOLDING: &str = "\
name: Must and may
start: 2027-W10
weeks: 30
tail: 0
climate: oxford
beds:
  A: { setting: open, length_m: 1.2, width_m: 1.2, strips: 2 }
covers: {}
shelf: { lit_m2: 0, unlit_m2: 0, day_c: 18, night_c: 13, transmission: 0.5 }
needs:
  radishes: { floor: 0, wish: RADISH, single_crop_share: 1 }
  carrots: { floor: 0, wish: CARROT, single_crop_share: 1 }
work: { hour_money: 3 }
crops_used: [radish, main carrots]
rotation: { brassica: { rule: off } }
solving: { gap: 0.02 }
";

fn holding(radish: &str, carrot: &str) -> String {
    HOLDING.replace("RADISH", radish).replace("CARROT", carrot)
}

fn plan(room: &Room, text: &str) -> std::process::Output {
    room.write("holding.yaml", text);
    room.run(&[
        "plan",
        "holding.yaml",
        "--out",
        "out",
        "--timeless",
        "--quiet",
        "--work-limit",
        "4000",
    ])
}

#[test]
fn musts_that_can_be_kept_are() {
    let room = Room::empty();
    let text = holding(
        "1, seasons: [{ weeks: [W24, W26], floor: 0.3, must: true }]",
        "0.5",
    );
    let made = plan(&room, &text);
    assert_code(&made, 0);
    let plan = bedweek::render::read(&room.read("out/plan.yaml")).expect("a plan");
    let radishes = (plan.supply.iter())
        .find(|s| s.food == "radishes")
        .expect("it is needed");
    let must = |week: u32| (24..=26).contains(&week);
    let weeks = radishes
        .weeks
        .iter()
        .filter(|w| must(w.week.of_year().number()));
    assert_eq!(weeks.clone().count(), 3);
    for week in weeks {
        assert_eq!(week.floor, 0.3);
        assert!(week.eaten >= 0.3 - 1e-6, "{week:?}");
    }
    assert_code(&room.run(&["verify", "out/plan.yaml"]), 0);
    // The same plan where more must be eaten than it has.
    let eaten = |week: u32| {
        let here = |w: &&bedweek::plan::SupplyWeek| w.week.of_year().number() == week;
        radishes.weeks.iter().find(here).expect("planned").eaten
    };
    room.write(
        "more.yaml",
        &holding(
            &format!(
                "1, seasons: [{{ weeks: [W12, W12], floor: {}, must: true }}]",
                eaten(12) + 0.5
            ),
            "0.5",
        ),
    );
    let more = room.run(&["verify", "out/plan.yaml", "--scenario", "more.yaml"]);
    assert_code(&more, 5);
    assert!(
        stdout(&more).contains("the floor is a must"),
        "{}",
        stdout(&more)
    );
}

#[test]
fn what_cannot_be_ready_in_time_clashes_with_nothing_but_time() {
    let room = Room::empty();
    // Sown in W10, nothing is ready in W11.
    let text = holding(
        "1, seasons: [{ weeks: [W11, W20], floor: 0.1, must: true }]",
        "0.5",
    );
    let said = plan(&room, &text);
    assert_code(&said, 1);
    let text = stderr(&said);
    assert!(
        text.contains("must: 0.1 bunches of radishes in 2027-W1")
            && text.contains("(holding.yaml:11)"),
        "{text}"
    );
    assert!(
        text.contains("time: ") && !text.contains("limit: "),
        "{text}"
    );
    assert!(text.contains("without any one of them"), "{text}");
    assert!(stdout(&said).is_empty() && !room.path("out/plan.yaml").exists());
}

#[test]
fn of_several_musts_those_that_clash_are_named_and_each_is_needed() {
    let room = Room::empty();
    // Both cannot stand on two strips at once; each alone can.
    let radish = "9, seasons: [{ weeks: [W28, W29], floor: FLOOR, must: MUST }]";
    let carrot = "6, seasons: [{ weeks: [W36, W37], floor: FLOOR, must: MUST }]";
    let with = |pattern: &str, floor: &str, must: bool| {
        pattern
            .replace("FLOOR", floor)
            .replace("MUST", if must { "true" } else { "false" })
    };
    // A must that is kept easily is not named.
    let easy = |text: String| {
        text.replace(
            "seasons: [{ weeks: [W28",
            "seasons: [{ weeks: [W20, W20], floor: 0.01, must: true }, { weeks: [W28",
        )
    };
    let both = easy(holding(
        &with(radish, "6", true),
        &with(carrot, "2.5", true),
    ));
    let said = plan(&room, &both);
    let text = stderr(&said);
    assert_code(&said, 1);
    assert!(
        text.contains("of radishes in") && text.contains("of carrots in"),
        "{text}"
    );
    assert!(!text.contains("W20"), "{text}");
    assert!(
        text.contains("limit: 1 bed with 2 strips (holding.yaml:7)"),
        "{text}"
    );
    assert!(text.contains("without any one of them"), "{text}");
    assert!(
        text.contains("proven: every plan misses at least"),
        "{text}"
    );
    // Each is needed: without it the rest is kept.
    for (r, c) in [(false, true), (true, false)] {
        let one = easy(holding(&with(radish, "6", r), &with(carrot, "2.5", c)));
        assert_code(&plan(&room, &one), 0);
    }
    let wider = both.replace(
        "  A:",
        "  B: { setting: open, length_m: 1.2, width_m: 1.2, strips: 2 }\n  A:",
    );
    assert_code(&plan(&room, &wider), 0);
}

#[test]
fn too_little_work_is_named_as_the_limit() {
    let room = Room::empty();
    let text = holding(
        "4, seasons: [{ weeks: [W24, W24], floor: 2, must: true }]",
        "0.5",
    );
    assert_code(&plan(&room, &text), 0);
    let busy = text.replace("hour_money: 3", "hour_money: 3, hours_per_week: 0.02");
    let said = plan(&room, &busy);
    assert_code(&said, 1);
    let text = stderr(&said);
    assert!(
        text.contains("limit: 0.02 hours of work a week (holding.yaml:13)"),
        "{text}"
    );
}

#[test]
fn a_must_is_worth_no_more_than_the_level_allows() {
    let room = Room::empty();
    let text = holding(
        "4, price_money: 3, seasons: [{ weeks: [W24, W24], floor: 2, must: true }]",
        "0.5",
    ) + "level: { low_money: 0, high_money: 5, below_cost: 0.5 }\n";
    let said = plan(&room, &text);
    assert_code(&said, 1);
    // 2 at 3 each are 6.
    let text = stderr(&said);
    assert!(text.contains("no more than 5.00"), "{text}");
    assert!(
        text.contains("worth 6.00") && text.contains("holding.yaml:17"),
        "{text}"
    );
}

#[test]
fn a_limit_of_the_search_is_said() {
    let room = Room::empty();
    room.write(
        "holding.yaml",
        &holding(
            "9, seasons: [{ weeks: [W28, W29], floor: 6, must: true }]",
            "6, seasons: [{ weeks: [W36, W37], floor: 2.5, must: true }]",
        ),
    );
    let said = room.run(&["plan", "holding.yaml", "--work-limit", "1", "--quiet"]);
    let code = said.status.code();
    assert!(matches!(code, Some(1 | 4)), "{}", stderr(&said));
    let text = stderr(&said);
    assert!(
        text.contains("not proven"),
        "what was not proven is said: {text}"
    );
}

/// A crop of which a strip gives 7.2 kg, whole, in W26.
fn whole(name: &str) -> String {
    format!(
        "    crop {name}:
      family: daisy
      settings: [open]
      thermal: {{ base_c: 2, optimum_c: 18, ceiling_c: 32, half_light_mj: 3, emergence_base_c: 2,
        emergence_cd: 50 }}
      raisings:
        - {{ method: direct, sow: [W18, W18], plants_per_m2: 40, seeds_per_plant: 1, seed_money: 0.005,
            sow_minutes_per_m2: 2, plant_minutes_per_m2: 0 }}
      ways:
        - {{ name: whole, kind: standing, weeks: 8, food: food {name}, ready_units: 20,
            yield_per_m2: [8, 10, 12], unit: kg, kg_per_unit: 1, keeps_weeks: 0, weekly_loss: 0,
            harvest_minutes_per_unit: 1 }}
      killed_below_c: -12
      max_ground_weeks: 40
      clear_minutes_per_m2: 1
"
    )
}

/// Two strips, and musts of 0.6, 0.6, 0.6 and 0.5 strips' harvests: together they are too much in shares
/// of strips already; any three of them only in whole strips, which takes a search to see.
fn knapsack() -> String {
    let kinds = [("a", 4.32), ("b", 4.32), ("c", 4.32), ("x", 3.6)];
    let needs = kinds.map(|(name, floor)| {
        format!(
            "  food {name}: {{ floor: 0, wish: 8, short_money: 1, single_crop_share: 1, seasons: \
             [{{ weeks: [W26, W26], floor: {floor}, must: true }}] }}\n"
        )
    });
    let foods = kinds.map(|(name, _)| format!("    food {name}: {{ unit: kg, price_money: 2 }}\n"));
    let crops = kinds.map(|(name, _)| whole(name));
    let holding = HOLDING.replace("start: 2027-W10\nweeks: 30", "start: 2027-W18\nweeks: 20");
    let (head, rest) = holding.split_once("  radishes").expect("needs");
    let (_, tail) = rest.split_once("work:").expect("work");
    let tail = tail
        .replace("[radish, main carrots]", "[crop a, crop b, crop c, crop x]")
        .replace("{ brassica:", "{ daisy:");
    format!(
        "{head}{}work:{tail}models:\n  foods:\n{}  crops:\n{}",
        needs.concat(),
        foods.concat(),
        crops.concat()
    )
}

#[test]
fn a_clash_that_a_limit_left_too_large_is_marked_so() {
    let room = Room::empty();
    room.write("holding.yaml", &knapsack());
    let said = |work: &str| {
        let said = room.run(&["plan", "holding.yaml", "--work-limit", work, "--quiet"]);
        assert_code(&said, 1);
        stderr(&said)
    };
    let (short, long) = (said("20"), said("4000"));
    assert!(short.contains("not proven smallest"), "{short}");
    assert_eq!(short.matches("- must:").count(), 4, "{short}");
    assert!(long.contains("without any one of them"), "{long}");
    assert!(!long.contains("not proven"), "{long}");
    assert_eq!(long.matches("- must:").count(), 3, "{long}");
}

/// A user who has seen enough after so many looks at the clock.
struct Impatient(AtomicU32);

impl Watch for Impatient {
    fn seconds(&self) -> f64 {
        0.0
    }

    fn interrupted(&self) -> bool {
        let spend = |left: u32| left.checked_sub(1);
        let left = self
            .0
            .fetch_update(Ordering::Relaxed, Ordering::Relaxed, spend);
        left.is_err()
    }

    fn progress(&self, _: Progress) {}
}

struct Patience(u32);

impl Watches for Patience {
    fn of(&self, _: &str) -> Box<dyn Watch + '_> {
        Box::new(Impatient(AtomicU32::new(self.0)))
    }
}

/// Wherever it is stopped, what is said is true: nothing, a clash not proven smallest, or the smallest.
#[test]
fn a_search_for_a_clash_may_be_stopped_at_any_time() {
    let loaded = bedweek::input::load_text("holding.yaml", &knapsack());
    let case = Case {
        label: String::new(),
        file: "holding.yaml".into(),
        fingerprint: String::new(),
        scenario: loaded.unwrap_or_else(|errors| panic!("{errors}")).scenario,
    };
    let options = Options {
        gap: 0.02,
        seconds: None,
        work: Some(4_000),
    };
    let (mut open, mut large, mut smallest) = (0, 0, 0);
    for looks in (0..40).chain([60, 100, 1_000_000]) {
        match kept(&case, &options, &Patience(looks)) {
            Kept::Yes(_) => panic!("they cannot be kept"),
            Kept::Open => open += 1,
            Kept::No(Clash {
                demands,
                smallest: proven,
                ..
            }) => {
                assert!((3..=4).contains(&demands.len()), "{demands:?}");
                assert!(!proven || demands.len() == 3, "{demands:?}");
                *if proven { &mut smallest } else { &mut large } += 1;
            }
        }
    }
    assert!(
        open > 0 && large > 0 && smallest > 0,
        "{open} {large} {smallest}"
    );
}
