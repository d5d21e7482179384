//! The year plan and its written forms.
//!
//! Where the answers come from: reckoned by hand for the plan that grows nothing; otherwise two
//! routes to one figure are compared. `docs/reference/plan.md` is held to the fields as written.

#[path = "support/greedy.rs"]
mod greedy;
#[path = "support/plans.rs"]
mod plans;

use bedweek::plan::{
    Change, Changed, Fate, FileRef, LedgerLine, Life, Rule, Sections, StandingYear, Stored,
    YearPlan,
};
use bedweek::render;
use plans::{Made, made};
use std::collections::BTreeSet;

fn full() -> Made {
    made("four-households", greedy::greedy)
}

#[test]
fn a_plan_reads_back_as_it_was_written() {
    for file in ["small-plot", "bare-ground-spring", "four-households"] {
        let plan = made(file, greedy::greedy).plan;
        let text = render::write(&plan);
        let back = render::read(&text).expect("a written plan is read");
        assert_eq!(plan, back, "{file}");
        assert_eq!(text, render::write(&back), "{file}");
    }
}

#[test]
fn other_files_are_refused() {
    for (text, words) in [
        ("", "not a plan file"),
        ("format: 99\n", "form 99"),
        ("format: 1\n", "not a plan file"),
        ("[1, 2]", "not a plan file"),
    ] {
        let error = render::read(text).expect_err("not a plan");
        assert!(error.contains(words), "{error}");
    }
    let text = render::write(&made("small-plot", greedy::empty).plan);
    let error = render::read(&format!("{text}surprise: 1\n")).expect_err("an unknown field");
    assert!(error.contains("surprise"), "{error}");
}

/// By hand: nothing is eaten, so every floor and the whole band are missed, and what stands is
/// cleared in the first week.
#[test]
fn the_plan_that_grows_nothing_is_worth_its_shortfalls() {
    let Made { scenario, plan, .. } = made("small-plot", greedy::empty);
    let floors: f64 = (scenario.foods.iter())
        .map(|f| f.short_money * f.floor.iter().sum::<f64>())
        .sum();
    let level = scenario.level.as_ref().expect("the small plot has a band");
    let band = level.below_cost * level.low_money.iter().sum::<f64>();
    let clearing: f64 = (scenario.standing.iter())
        .map(|s| {
            let m2 = scenario.beds[s.bed].strip_m2() * s.strips.len() as f64;
            m2 * scenario.crops[s.crop].clear_minutes_per_m2 * scenario.work.hour_money / 60.0
        })
        .sum();
    let by_hand = -floors - band - clearing;
    assert!(
        (plan.result.worth - by_hand).abs() < 1e-6,
        "{} {by_hand}",
        plan.result.worth
    );
    assert!(
        floors > 0.0 && band > 0.0 && clearing > 0.0,
        "all three count"
    );
}

#[test]
fn the_ledger_adds_up_to_the_worth() {
    let plan = full().plan;
    let sum: f64 = plan.ledger.iter().map(|l| l.money).sum();
    assert!((sum - plan.result.worth).abs() < 1e-6);
    for rule in [
        Rule::Eaten,
        Rule::Short,
        Rule::Seed,
        Rule::GroundWork,
        Rule::HarvestWork,
    ] {
        assert!(plan.ledger.iter().any(|l| l.rule == rule), "{rule:?}");
    }
}

#[test]
fn strips_of_a_planting_are_neighbours_where_they_can_be() {
    let plan = full().plan;
    let (mut runs, mut plantings) = (0, 0);
    for planting in plan.plantings.iter().filter(|p| p.standing.is_none()) {
        plantings += 1;
        runs += 1 + planting
            .strips
            .windows(2)
            .filter(|w| w[0] + 1 != w[1])
            .count();
    }
    // Not always possible; an arrangement that ignored neighbours would break up most.
    assert!(
        runs * 10 < plantings * 15,
        "{plantings} plantings in {runs} runs of strips"
    );
}

#[test]
fn the_report_fits_its_columns_and_begins_with_what_is_missed() {
    for file in [
        "small-plot",
        "plot-250",
        "bare-ground-spring",
        "four-households",
    ] {
        let made = made(file, greedy::greedy);
        let report = render::report(&made.scenario, &made.plan);
        for line in report.lines() {
            let wide = line.chars().count();
            assert!(wide <= 100, "{file}: {wide} columns: {line}");
            assert_eq!(line, line.trim_end(), "{file}: blanks at the end");
        }
        let at = |title: &str| report.find(title).unwrap_or_else(|| panic!("no {title}"));
        assert!(at("Missed floors") < at("The year, bed by bed"), "{file}");
        assert!(
            at("The year, bed by bed") < at("The next four weeks"),
            "{file}"
        );
        assert!(at("The next four weeks") < at("Food by month"), "{file}");
        assert!(at("Food by month") < at("What it is worth"), "{file}");
        println!("{report}");
    }
}

#[test]
fn what_was_asked_for_always_and_is_not_begun_stands_at_the_top() {
    const TITLE: &str = "Asked for always, and not begun";
    let mut made = full();
    made.plan.ledger.retain(|line| line.rule != Rule::Always);
    assert!(!render::report(&made.scenario, &made.plan).contains(TITLE));
    made.plan.ledger.push(LedgerLine {
        rule: Rule::Always,
        place: "garlic, B04".into(),
        amount: 2.0,
        unit: "strips".into(),
        money: -10.0,
    });
    let report = render::report(&made.scenario, &made.plan);
    let (top, rest) = report.split_once(TITLE).expect("it is told");
    assert!(top.contains("Missed floors") && rest.contains("The year, bed by bed"));
    assert!(
        rest.contains("garlic, B04: 2 strips fewer than asked for, -10.00 EUR"),
        "{rest}"
    );
}

#[test]
fn usual_cautions_are_shown_once() {
    let Made { scenario, plan, .. } = full();
    let report = render::report(&scenario, &plan);
    let grown = (scenario.crops.iter())
        .filter(|c| plan.plantings.iter().any(|p| p.crop == c.name))
        .flat_map(|c| &c.cautions)
        .collect::<BTreeSet<_>>();
    assert!(
        !grown.is_empty(),
        "the full holding grows something that needs a caution"
    );
    let flat = report.split_whitespace().collect::<Vec<_>>().join(" ");
    for caution in grown {
        let caution = caution.split_whitespace().collect::<Vec<_>>().join(" ");
        assert_eq!(flat.matches(&caution).count(), 1, "{caution}");
    }
}

/// Every key of a written plan that uses all fields.
fn keys(plan: &YearPlan) -> BTreeSet<String> {
    let mut keys = BTreeSet::new();
    for line in render::write(plan).lines() {
        for part in line.split([',', '{']) {
            let part = part.trim().trim_start_matches("- ");
            if let Some((key, _)) = part.split_once(':') {
                let word = key
                    .chars()
                    .all(|c| c.is_ascii_lowercase() || c == '_' || c.is_ascii_digit());
                if word && !key.is_empty() {
                    keys.insert(key.to_string());
                }
            }
        }
    }
    keys
}

#[test]
fn the_reference_names_every_field() {
    let mut plan = full().plan;
    plan.result.seconds = Some(1.0);
    plan.options.time_limit_seconds = Some(1.0);
    plan.options.work_limit = Some(1);
    let file = FileRef {
        file: "plan.yaml".into(),
        sha256: "0".into(),
    };
    plan.life = Some(Life {
        parent: file.clone(),
        events_file: Some(file),
        day: "2026-11-02".into(),
        events: Vec::new(),
        records: 0,
        edited_scenario: Some("edited.yaml".into()),
        changes: Changed::default(),
    });
    plan.standing_year = Some(StandingYear {
        sections: vec![Sections {
            bed: "A".into(),
            sections: vec![vec![1]],
        }],
    });
    (plan.covers[0].before, plan.covers[0].stays) = (true, true);
    let (crop, way, food, unit) = ("leeks", "stems", "leeks", "kg");
    plan.plantings[0].on_shelf = Some("tray".into());
    plan.draws[0].in_store = true;
    plan.in_store.push(Stored {
        name: "sack".into(),
        crop: crop.into(),
        way: way.into(),
        food: food.into(),
        unit: unit.into(),
        harvested: plan.scenario.start.plus(-1),
        until: plan.scenario.start,
        amount: 1.0,
    });
    plan.changes.push(Change {
        change: Fate::Moved,
        crop: crop.into(),
        planned: Some("row".into()),
        planting: Some("P001".into()),
        m2: 1.0,
        money: 0.1,
    });
    let reference = include_str!("../docs/reference/plan.md");
    let written = keys(&plan);
    let documented: BTreeSet<String> = (reference.lines())
        .filter_map(|line| line.strip_prefix("| `"))
        .filter_map(|rest| rest.split_once('`'))
        .map(|(key, _)| key.to_string())
        .collect();
    let missing: Vec<_> = written.difference(&documented).collect();
    let gone: Vec<_> = documented.difference(&written).collect();
    assert!(
        missing.is_empty(),
        "not in docs/reference/plan.md: {missing:?}"
    );
    assert!(gone.is_empty(), "documented, but never written: {gone:?}");
}
