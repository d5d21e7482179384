//! Input: good scenarios are read, bad ones are refused with the expected messages.

use bedweek::domain::{Setting, Strips, WayKind};
use bedweek::input::{load_text, reference, shipped_models};
use std::fs;
use std::path::Path;

/// A small holding that uses most keys.
const GOOD: &str = r#"
name: Two beds
currency: EUR
start: 2026-W42
weeks: 52
tail: 10
climate: oxford
beds:
  B2: { setting: open, length_m: 4.8, width_m: 1.2, covered_by: low tunnel,
        history: [{ family: allium, cleared: 2025-W30, strips: [1, 5] }] }
  B1: { setting: open, length_m: 4.8, width_m: 1.2, strips: 10, exposure: 0.9 }
  P1: { setting: container, length_m: 0.6, width_m: 0.4, indoors: [[W06, W18]] }
covers:
  low tunnel: { count: 1, place_minutes: 5 }
shelf: { lit_m2: 1.0, unlit_m2: 2.0, day_c: 17, night_c: 12, lamp_mj: 6, transmission: 0.5 }
standing:
  autumn leeks: { bed: B1, strips: [1, 6], crop: winter leeks, sown: 2026-W12, planted: 2026-W24 }
households: 4
needs:
  leeks: { floor: 0.4, wish: 0.6 }
  salad leaves: { wish: 5, seasons: [{ weeks: [W18, W39], floor: 5, wish: 8 }] }
work: { hour_money: 12 }
rotation:
  brassica: { break_weeks: 52, rule: { discourage_money_per_m2_week: 0.1 }, beds: { B1: off } }
directives:
  - { never: winter leeks, bed: P1 }
"#;

#[test]
fn a_small_scenario_is_read() {
    let loaded = load_text("good.yaml", GOOD).unwrap_or_else(|e| panic!("{e}"));
    let s = loaded.scenario;
    let names: Vec<&str> = s.beds.iter().map(|b| b.name.as_str()).collect();
    assert_eq!(names, ["B1", "B2", "P1"]);
    // 4.8 m by 1.2 m is 5.76 m², about twelve times half a square metre.
    assert_eq!(s.beds[1].strips, 12);
    assert_eq!(s.beds[2].strips, 1);
    assert_eq!(s.beds[1].covered_by, Some(0));
    assert_eq!(s.beds[1].history[0].strips, Strips { first: 0, count: 5 });
    assert_eq!(s.beds[2].setting, Setting::Container);
    assert_eq!(s.covers[0].place_minutes, 5.0);
    assert_eq!(s.horizon(), 62);
    let salad = s
        .foods
        .iter()
        .find(|f| f.name == "salad leaves")
        .expect("needed");
    // Four households; week 0 is W42, week 30 is W19 of the next year (2026 has 53 weeks).
    assert_eq!((salad.floor[0], salad.wish[0]), (0.0, 20.0));
    assert_eq!((salad.floor[30], salad.wish[30]), (20.0, 32.0));
    let leek = s
        .crops
        .iter()
        .find(|c| c.name == "winter leeks")
        .expect("used");
    assert!(matches!(leek.ways[0].kind, WayKind::Standing { .. }));
    assert!(s.crops.windows(2).all(|w| w[0].name < w[1].name));
    for crop in &s.crops {
        assert!(crop.family < s.families.len());
        assert!(crop.ways.iter().all(|w| w.food < s.foods.len()));
    }
    assert_eq!(s.crops[s.standing[0].crop].name, "winter leeks");
}

#[test]
fn order_comments_and_spelling_of_numbers_do_not_matter() {
    let good = load_text("good.yaml", GOOD).expect("good").digest;
    let mut blocks: Vec<String> = Vec::new();
    for line in GOOD.lines().skip(1) {
        if line.starts_with(' ') {
            let last = blocks.last_mut().expect("starts with a key");
            *last += &format!("\n{line}");
        } else {
            blocks.push(line.to_string());
        }
    }
    blocks.reverse();
    let shuffled = blocks.join(" # a remark\n").replace("0.9", "9e-1");
    let shuffled = shuffled.replace("lit_m2: 1.0, unlit_m2: 2.0", "unlit_m2: 2, lit_m2: 1");
    assert_ne!(shuffled, GOOD);
    assert_eq!(
        load_text("other.yaml", &shuffled).expect("good").digest,
        good
    );
    let other = GOOD.replace("wish: 0.6", "wish: 0.7");
    assert_ne!(load_text("good.yaml", &other).expect("good").digest, good);
}

#[test]
fn reference_pages_say_what_the_tables_say() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/reference");
    for (name, text) in [
        ("scenario.md", reference::scenario_page()),
        ("models.md", reference::models_page()),
        ("errors.md", reference::errors_page()),
    ] {
        let path = root.join(name);
        if std::env::var_os("BEDWEEK_WRITE_DOCS").is_some() {
            fs::write(&path, &text).expect("docs can be written");
        }
        let found = fs::read_to_string(&path).unwrap_or_default();
        assert!(
            found == text,
            "{name} is out of date: BEDWEEK_WRITE_DOCS=1 cargo test --test input"
        );
    }
}

#[test]
fn every_model_file_is_shipped() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut found = Vec::new();
    let mut folders = vec![root.join("models")];
    while let Some(folder) = folders.pop() {
        for entry in fs::read_dir(folder).expect("models are there") {
            let path = entry.expect("readable").path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "yaml") {
                let name = path.strip_prefix(root).expect("below the root");
                found.push(name.to_string_lossy().into_owned());
            }
        }
    }
    found.sort();
    let shipped: Vec<&str> = shipped_models().map(|(name, _)| name).collect();
    assert_eq!(shipped, found);
}
