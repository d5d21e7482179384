//! Files of events: every kind is read, faulty ones are refused with the expected messages.
//!
//! Source of truth: the expected messages inside the faulty files, against one invented plan.

use bedweek::domain::{Diary, Happening, Roster, RosterEntry, Scenario};
use bedweek::input::{CODES, events, load_text};
use bedweek::units::Week;
use chrono::NaiveDate;
use std::fs;
use std::path::Path;

/// Two beds, three crops raised in different ways.
const HOLDING: &str = r#"
name: Two beds
start: 2026-W36
climate: oxford
beds:
  B1: { setting: open, length_m: 4.8, width_m: 1.2, strips: 10 }
  B2: { setting: open, length_m: 4.8, width_m: 1.2, strips: 10 }
covers:
  low tunnel: { count: 2 }
shelf: { lit_m2: 1, unlit_m2: 2, day_c: 17, night_c: 12, lamp_mj: 6, transmission: 0.5 }
needs:
  leeks: { floor: 0.4, wish: 0.6 }
  salad leaves: { floor: 1, wish: 3 }
work: { hour_money: 12 }
crops_used: [winter leeks, winter lettuce, rocket]
"#;

fn week(text: &str) -> Week {
    text.parse().expect("a week")
}

fn scenario() -> Scenario {
    load_text("holding.yaml", HOLDING)
        .unwrap_or_else(|e| panic!("{e}"))
        .scenario
}

/// Leeks that stood at the start, lettuce planted out in W39, rocket sown in W40, and lettuce twice, one after
/// the other on one strip.
fn roster(scenario: &Scenario) -> Roster {
    let crop = |name: &str| (scenario.crops.iter().position(|c| c.name == name)).expect("in use");
    let entry = |id: &str, crop, strips: Vec<u32>, sown, planted, cleared| RosterEntry {
        id: id.into(),
        name: None,
        crop,
        raising: Some(0),
        bed: 0,
        strips,
        sown: week(sown),
        planted: week(planted),
        cleared: week(cleared),
        first_harvest: Some(week("2026-W42")),
        last_harvest: Some(week(cleared).plus(-1)),
    };
    let leeks = RosterEntry {
        name: Some("old leeks".into()),
        raising: None,
        bed: 1,
        ..entry(
            "P001",
            crop("winter leeks"),
            vec![0, 1, 2],
            "2026-W12",
            "2026-W20",
            "2027-W15",
        )
    };
    let lettuce = crop("winter lettuce");
    let rocket = crop("rocket");
    Roster {
        plantings: vec![
            leeks,
            entry(
                "P002",
                lettuce,
                vec![0, 1],
                "2026-W36",
                "2026-W39",
                "2027-W12",
            ),
            entry(
                "P003",
                rocket,
                vec![4, 5],
                "2026-W40",
                "2026-W40",
                "2027-W10",
            ),
            entry("P004", lettuce, vec![8], "2026-W36", "2026-W37", "2026-W40"),
            entry("P005", lettuce, vec![8], "2026-W37", "2026-W41", "2027-W10"),
        ],
        covers: Vec::new(),
        closed_beds: Vec::new(),
        closed_shelf: Vec::new(),
        known: vec!["2026-09-10 lost: planting P009".into()],
        carries_on: false,
        start: week("2026-W36"),
        end: week("2028-W10"),
    }
}

fn today() -> NaiveDate {
    NaiveDate::from_ymd_opt(2026, 10, 26).expect("a date")
}

fn read(text: &str) -> Result<Diary, Vec<String>> {
    let scenario = scenario();
    let roster = roster(&scenario);
    events::load_text("events.yaml", text, &scenario, &roster, today()).map_err(|errors| {
        let line = |d: &bedweek::input::Diagnostic| {
            format!("{}:{} {} {}", d.line, d.column, d.code.0, d.message)
        };
        errors.list.iter().map(line).collect()
    })
}

#[test]
fn every_kind_of_event_is_read() {
    let text = r#"
events:
  - { date: 2026-10-12, what: lost, planting: P002, share: 0.5, cause: cutworm }
  - { date: 2026-10-13, what: not up, planting: P003, share: 0.3 }
  - { date: 2026-10-14, what: bolted, crop: rocket, bed: B1, share: 0.2 }
  - { date: 2026-10-15, what: frosted, planting: old leeks, share: 0.1 }
  - { date: 2026-W43, what: late, planting: P002, weeks: 2 }
  - { date: 2026-W43, what: early, planting: P003, weeks: 1 }
  - { date: 2026-W43, what: yield, planting: P001, of_forecast: 0.8 }
  - { date: 2026-W41, what: not sown, planting: P003 }
  - { date: 2026-W41, what: sown, planting: P003, strips: [6, 7] }
  - { date: 2026-W42, what: planted, crop: winter lettuce, bed: B2, strips: [4, 5], sown: 2026-W37 }
  - { date: 2026-W42, what: cover broken, cover: low tunnel }
  - { date: 2026-W42, what: cover bought, cover: low tunnel, count: 3 }
  - { date: 2026-W42, what: bed out, bed: B2, from: 2026-W50, to: 2027-W02 }
  - { date: 2026-W42, what: need, times: 1.5, from: 2026-W51, to: 2026-W52 }
  - { date: 2026-W42, what: need, food: leeks, times: 0.75 }
  - { date: 2026-W42, what: shelf failure, part: lit, to: 2026-W45, share: 0.5 }
  - { date: 2026-W43, what: bed back, bed: B2 }
  - { date: 2026-W43, what: shelf back, part: lit }
  - { date: 2026-09-10, what: lost, planting: P009 }
harvests:
  - { date: 2026-10-20, planting: P001, amount: 1.2 }
  - { date: 2026-10-20, crop: winter lettuce, amount: 0.4 }
"#;
    let diary = read(text).unwrap_or_else(|e| panic!("{e:#?}"));
    assert_eq!(
        (diary.events.len(), diary.harvests.len(), diary.known),
        (18, 2, 1)
    );
    assert!(diary.events.windows(2).all(|w| w[0].week <= w[1].week));
    let lost = (diary.events.iter()).find(|e| e.sentence.contains("cutworm"));
    assert_eq!(
        lost.expect("read").sentence,
        "2026-10-12 lost: cause cutworm, planting P002, share 0.5"
    );
    let sown = diary.events.iter().find_map(|e| match &e.happening {
        Happening::Sown {
            instead_of: Some(2),
            strips,
            sown,
            planted,
            ..
        } => Some((strips.clone(), *sown, *planted)),
        _ => None,
    });
    // Rocket is sown in place, so it is in the bed; strips are counted from 0 inside.
    let w41 = week("2026-W41");
    assert_eq!(sown, Some((vec![5, 6], w41, Some(w41))));
}

/// What became of what stood there frees the ground, in whatever order it is written down.
#[test]
fn ground_that_something_left_can_be_sown_again() {
    let lettuce = "{ date: 2026-10-12, what: sown, crop: rocket, bed: B1, strips: [1, 2] }";
    let all_lost = "{ date: 2026-10-05, what: lost, planting: P002, share: 0.6 }\n  - \
                    { date: 2026-10-07, what: frosted, planting: P002, share: 0.4 }";
    for (first, second) in [(lettuce, all_lost), (all_lost, lettuce)] {
        let text = format!("events:\n  - {first}\n  - {second}\n");
        let diary = read(&text).unwrap_or_else(|e| panic!("{e:#?}"));
        assert_eq!(diary.events.len(), 3);
    }
    // Lost too late, or not all of it.
    for rest in ["share: 0.5", "cause: cutworm"] {
        let later = format!("{{ date: 2026-10-19, what: lost, planting: P002, {rest} }}");
        let errors =
            read(&format!("events:\n  - {lettuce}\n  - {later}\n")).expect_err("it stands");
        assert!(
            errors[0].contains("E506") && errors.len() == 1,
            "{errors:#?}"
        );
    }
    let late = "{ date: 2026-W38, what: late, planting: P004, weeks: 3 }";
    let never = "{ date: 2026-W41, what: not sown, planting: P005 }";
    let diary = read(&format!("events:\n  - {late}\n  - {never}\n"));
    assert!(diary.is_ok(), "{diary:#?}");
}

/// As many covers can break as there are by then, in whatever order it is written down.
#[test]
fn what_was_bought_before_can_break() {
    let broken = |day: u32| {
        format!("{{ date: 2026-10-{day}, what: cover broken, cover: low tunnel, count: 3 }}")
    };
    let bought = "{ date: 2026-10-12, what: cover bought, cover: low tunnel, count: 1 }";
    let diary = read(&format!("events:\n  - {}\n  - {bought}\n", broken(13)));
    assert!(diary.is_ok(), "{diary:#?}");
    let early = read(&format!("events:\n  - {bought}\n  - {}\n", broken(11)));
    let errors = early.expect_err("two are to hand then");
    assert!(
        errors.len() == 1 && errors[0].contains("E505") && errors[0].ends_with("2 to hand"),
        "{errors:#?}"
    );
}

/// The errors that a faulty file expects: the comments `# expect LINE:COLUMN CODE message`.
fn expected(text: &str) -> Vec<String> {
    let lines = text.lines().filter_map(|l| l.strip_prefix("# expect "));
    lines.map(str::to_string).collect()
}

#[test]
fn every_faulty_file_gives_exactly_the_errors_it_expects() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/faulty_events");
    let mut wrong = String::new();
    let mut seen: Vec<String> = Vec::new();
    let mut files: Vec<_> = fs::read_dir(folder)
        .expect("faulty files are there")
        .map(|entry| entry.expect("readable").path())
        .collect();
    files.sort();
    for path in files {
        let text = fs::read_to_string(&path).expect("text");
        let expected = expected(&text);
        let reported = read(&text).err().unwrap_or(vec!["nothing".into()]);
        if expected != reported {
            wrong += &format!("{path:?}\n  expected {expected:#?}\n  reported {reported:#?}\n");
        }
        seen.extend(
            expected
                .iter()
                .filter_map(|e| e.split(' ').nth(1).map(str::to_string)),
        );
    }
    assert!(wrong.is_empty(), "{wrong}");
    for (code, ..) in CODES.iter().filter(|(code, ..)| code.0.starts_with('E')) {
        assert!(seen.iter().any(|s| s == code.0), "no file shows {}", code.0);
    }
}

#[test]
fn days_are_dates_or_the_mondays_of_weeks() {
    assert_eq!(events::day("2026-W44"), Some(today()));
    assert_eq!(events::day("2026-10-26"), Some(today()));
    for wrong in ["26.10.2026", "2026-10-32", "2026-1-2", "1026-10-26", ""] {
        assert_eq!(events::day(wrong), None, "{wrong}");
    }
}
