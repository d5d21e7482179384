//! Input: good scenarios are read, bad ones are refused with the expected messages.

use bedweek::domain::{Setting, Strips, WayKind};
use bedweek::input::{load, load_text, reference, shipped_models};
use bedweek::units::WeekOfYear;
use proptest::prelude::*;
use std::fs;
use std::path::Path;
use std::time::{Duration, Instant};

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
    let foreign = format!("\u{feff}{}", GOOD.trim_start().replace('\n', "\r\n"));
    assert_eq!(
        load_text("other.yaml", &foreign).expect("good").digest,
        good
    );
    let other = GOOD.replace("wish: 0.6", "wish: 0.7");
    assert_ne!(load_text("good.yaml", &other).expect("good").digest, good);
}

#[test]
fn a_scenario_changes_models_and_adds_its_own() {
    let text = GOOD.to_string()
        + r#"
models:
  crops:
    winter leeks: { killed_below_c: -15, thermal: { base_c: 3 } }
    lovage:
      family: carrot
      settings: [open]
      thermal: { base_c: 2, optimum_c: 20, ceiling_c: 33, half_light_mj: 4, emergence_base_c: 1,
                 emergence_cd: 98 }
      raisings:
        - { method: direct, sow: [W10, W20], plants_per_m2: 4, seeds_per_plant: 3,
            seed_money: 0.01, sow_minutes_per_m2: 2, plant_minutes_per_m2: 0 }
      ways:
        - { name: seeds, kind: clearing, food: dry beans, ready_units: 90, yield_per_m2: [1, 2, 3],
            unit: kg, kg_per_unit: 1, keeps_weeks: 40, weekly_loss: 0,
            harvest_minutes_per_unit: 1 }
        - { name: leaves, kind: picking, span_units: 30, food: lovage leaves, ready_units: 40,
            yield_per_m2: [4, 6, 8], unit: bunches, kg_per_unit: 0.03, keeps_weeks: 1,
            weekly_loss: 0.3, harvest_minutes_per_unit: 1 }
      killed_below_c: -20
      max_ground_weeks: 60
      clear_minutes_per_m2: 2
  foods:
    lovage leaves: { unit: bunches, price_money: 1, short_money: 1, single_crop_share: 1 }
"#;
    let text = text.replace(
        "households: 4",
        "households: 4\ncrops_used: [lovage, winter leeks]",
    );
    let text = text.replace(
        "  salad leaves:",
        "  lovage leaves: { wish: 1 }\n  radishes: { wish: 1 }\n  salad leaves:",
    );
    let text = text.replace(
        "directives:",
        "directives:\n  - { always: radish, strips: 2, from: 2027-W12, to: 2027-W20, missing_money: 5 }",
    );
    let plain = load_text("good.yaml", GOOD).expect("good").scenario;
    let s = load_text("good.yaml", &text)
        .unwrap_or_else(|e| panic!("{e}"))
        .scenario;
    let names: Vec<&str> = s.crops.iter().map(|c| c.name.as_str()).collect();
    // Those listed, and the one that a directive asks for.
    assert_eq!(names, ["lovage", "radish", "winter leeks"]);
    let before = plain
        .crops
        .iter()
        .find(|c| c.name == "winter leeks")
        .expect("used");
    assert_eq!(
        (s.crops[2].killed_below_c, s.crops[2].thermal.base_c),
        (-15.0, 3.0)
    );
    assert_eq!(s.crops[2].thermal.ceiling_c, before.thermal.ceiling_c);
    // The way whose food nobody needs is left out, and the other moves up.
    assert_eq!(s.crops[0].ways.len(), 1);
    assert_eq!(s.crops[0].ways[0].name, "leaves");
    assert_eq!(s.foods[s.crops[0].ways[0].food].name, "lovage leaves");
    assert_eq!(s.families[s.crops[0].family].name, "carrot");
    assert!(
        s.families.iter().any(|f| f.name == "allium"),
        "the history names it"
    );
    assert!(s.recipes.is_empty());
}

#[test]
fn a_scenario_keeps_to_its_own_sowing_weeks() {
    let base = "name: n\nstart: 2026-W42\nclimate: oxford\nbeds:\n  B: { setting: open, length_m: 2, \
                width_m: 1 }\nneeds:\n  roots: { wish: 1 }\nwork: { hour_money: 4 }\n";
    let weeks = |text: &str| -> Vec<u32> {
        let loaded = load_text("s.yaml", text).unwrap_or_else(|e| panic!("{e}"));
        let crop = loaded.scenario.crops.iter().find(|c| c.name == "turnip");
        let raisings = &crop.expect("turnips are roots").raisings;
        let may = |n: &u32| {
            let week = WeekOfYear::new(*n).unwrap();
            raisings.iter().any(|raising| raising.may_sow(week))
        };
        (1..=53).filter(may).collect()
    };
    let all = weeks(base);
    // Two spans, one of them over the turn of the year: what they share with the model's weeks.
    let own = weeks(&format!(
        "{base}sow:\n  turnip: {{ weeks: [[W50, W08], [W14, W28]] }}\n"
    ));
    let expected: Vec<u32> = (all.iter().copied())
        .filter(|n| *n >= 50 || *n <= 8 || (14..=28).contains(n))
        .collect();
    assert_eq!(own, expected);
    assert!(
        !own.is_empty() && own.len() < all.len(),
        "{own:?} of {all:?}"
    );
    // Other crops keep theirs, and a crop that is not grown may be named.
    assert_eq!(
        weeks(&format!("{base}sow:\n  kale: {{ weeks: [[W20, W21]] }}\n")),
        all
    );
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

#[test]
fn both_forms_show_place_code_and_advice() {
    let text = GOOD.replacen("length_m: 4.8", "length_m: 4.8 m", 1);
    let errors = load_text("holding.yaml", &text).expect_err("a unit suffix is wrong");
    assert_eq!(
        errors.one_line(),
        "holding.yaml:9:34: S110: beds.B2.length_m: expected a number, found the text \"4.8 m\"\n\
         1 error\n"
    );
    assert_eq!(
        errors.full(),
        "error S110: beds.B2.length_m: expected a number, found the text \"4.8 m\"\n  \
           at holding.yaml:9:34\n  \
           9 |   B2: { setting: open, length_m: 4.8 m, width_m: 1.2, covered_by: low tunnel,\n    \
             |                                  ^^^^^\n  \
           help: write only the number, 4.8: it is in m\n\n\
         1 error\n"
    );
}

#[test]
fn a_decimal_comma_is_told_of_between_braces_too() {
    for (given, comma) in [
        ("{ floor: 0.4, wish: 0.6 }", "{ floor: 0.4, wish: 0,6 }"),
        ("hour_money: 12 }", "hour_money: 12,5 }"),
        ("{ hour_money: 12 }", "\n  hour_money: 12,5"),
    ] {
        let text = GOOD.replacen(given, comma, 1);
        let errors = load_text("holding.yaml", &text).expect_err("a comma is no point");
        assert_eq!(errors.list.len(), 1, "{errors}");
        let help = &errors.list[0].help;
        assert!(help.starts_with("use a decimal point: "), "{help}");
        assert!(help.ends_with("0.6") || help.ends_with("12.5"), "{help}");
    }
}

#[test]
fn advice_tells_the_form_of_records_and_the_family_of_a_crop() {
    let start = GOOD.find("beds:").expect("there are beds");
    let stored = format!("{}in_store: [12]\n{}", &GOOD[..start], &GOOD[start..]);
    let errors = load_text("holding.yaml", &stored).expect_err("a list is no named records");
    let form =
        "give named records, each as NAME: { crop: ..., way: ..., amount: ..., harvested: ... }";
    assert!(errors.full().contains(form), "{}", errors.full());

    let rest = GOOD.replacen("family: allium", "family: cabbage", 1);
    let errors = load_text("holding.yaml", &rest).expect_err("cabbage is no family");
    let meant = "there is no family \"cabbage\"";
    assert!(errors.full().contains(meant), "{}", errors.full());
    assert!(
        errors.full().contains("did you mean \"brassica\"?"),
        "{}",
        errors.full()
    );
}

/// The only error of a file with these bytes, and that it came within two seconds.
fn hostile(bytes: &[u8]) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    let path = folder.path().join("hostile.yaml");
    fs::write(&path, bytes).expect("written");
    code_within_two_seconds(&path)
}

fn code_within_two_seconds(path: &Path) -> String {
    let begun = Instant::now();
    let errors = load(path).expect_err("hostile input is refused");
    assert!(begun.elapsed() < Duration::from_secs(2), "{path:?}");
    let shown = errors.full();
    assert!(shown.len() < 1_000_000, "{} bytes of errors", shown.len());
    errors.list[0].code.0.to_string()
}

#[test]
fn hostile_files_end_in_a_clear_error() {
    let mut bomb = String::from("a: &a [x, x, x, x, x, x, x, x, x]\n");
    for (this, last) in ('b'..='z').zip('a'..) {
        bomb +=
            &format!("{this}: &{this} [*{last}, *{last}, *{last}, *{last}, *{last}, *{last}]\n");
    }
    let mut late = GOOD.as_bytes().to_vec();
    late.extend(b"\xff\xfe");
    let cases: Vec<(&str, Vec<u8>)> = vec![
        ("S105", b"[".repeat(100_000)),
        ("S105", b"{a: ".repeat(100_000)),
        ("S105", b"- ".repeat(100_000)),
        ("S107", bomb.into_bytes()),
        ("S102", b" ".repeat(10_000_000)),
        ("S102", b"\n".repeat(10_000_000)),
        ("S102", b"a".repeat(10_000_000)),
        ("S108", b" ".repeat(1_900_000)),
        ("S108", b"\n".repeat(1_900_000)),
        ("S108", b"#".repeat(1_900_000)),
        ("S108", b"a".repeat(1_900_000)),
        ("S108", b"".to_vec()),
        (
            "S106",
            [b"[".to_vec(), b"1,".repeat(900_000), b"]".to_vec()].concat(),
        ),
        ("S103", late),
        ("S103", b"\xff".to_vec()),
        ("S104", b"\0\0\0\0".to_vec()),
        ("S104", b"a: 'unclosed".to_vec()),
        ("S104", b"%".repeat(1_000_000)),
    ];
    for (code, bytes) in cases {
        let start = String::from_utf8_lossy(&bytes[..bytes.len().min(20)]).into_owned();
        assert_eq!(hostile(&bytes), code, "{start:?}");
    }
}

#[test]
fn many_keys_and_many_errors_stay_fast() {
    let many = |line: &dyn Fn(usize) -> String| -> Vec<u8> {
        (0..25_000).map(line).collect::<String>().into_bytes()
    };
    // Unknown keys at the top, in one bed, and new models without end.
    hostile(&many(&|i| format!("key{i}: 1\n")));
    hostile(
        &[
            b"beds:\n  B1:\n".to_vec(),
            many(&|i| format!("    key{i}: 1\n")),
        ]
        .concat(),
    );
    hostile(&[b"beds:\n".to_vec(), many(&|i| format!("  B{i}: 1\n"))].concat());
    hostile(&[b"needs:\n".to_vec(), many(&|i| format!("  B{i}: {{}}\n"))].concat());
    hostile(&[b"crops_used:\n".to_vec(), many(&|i| format!("  - c{i}\n"))].concat());
    hostile(
        &[
            b"models:\n  crops:\n".to_vec(),
            many(&|i| format!("    c{i}: {{}}\n")),
        ]
        .concat(),
    );
    // Many errors on one long line.
    hostile(
        &[
            b"beds: {".to_vec(),
            many(&|i| format!("B{i}: 1, ")),
            b"}".to_vec(),
        ]
        .concat(),
    );
}

#[test]
fn what_is_not_a_plain_file_is_refused() {
    let folder = tempfile::tempdir().expect("a folder");
    assert_eq!(code_within_two_seconds(folder.path()), "S101");
    assert_eq!(
        code_within_two_seconds(&folder.path().join("missing.yaml")),
        "S101"
    );
    #[cfg(unix)]
    assert_eq!(code_within_two_seconds(Path::new("/dev/zero")), "S101");
}

/// What must hold of any outcome: errors have a place in the file, are sorted and say something.
fn sound(text: &str) {
    if let Err(errors) = load_text("any.yaml", text) {
        assert!(!errors.list.is_empty());
        let own: Vec<_> = errors
            .list
            .iter()
            .filter(|d| d.file == "any.yaml")
            .collect();
        let places: Vec<_> = own.iter().map(|d| (d.line, d.column)).collect();
        assert!(places.is_sorted(), "{places:?}");
        for d in &errors.list {
            assert!(!d.message.is_empty() && !d.help.is_empty());
            assert!(!d.message.contains('\n') && d.message.len() < 2_000);
        }
        assert!(!errors.full().is_empty() && !errors.one_line().is_empty());
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    #[test]
    fn random_bytes_never_panic(bytes in proptest::collection::vec(any::<u8>(), 0..300)) {
        sound(&String::from_utf8_lossy(&bytes));
    }

    #[test]
    fn random_yaml_signs_never_panic(text in "[-:,\\[\\]{}#&*!|>'\"%@` a0\n\t]{0,120}") {
        sound(&text);
    }

    #[test]
    fn random_mutations_of_a_good_scenario_never_panic(
        edits in proptest::collection::vec((any::<proptest::sample::Index>(), 0..6usize, any::<char>()), 1..6)
    ) {
        let mut text: Vec<char> = GOOD.chars().collect();
        for (index, kind, other) in edits {
            let at = index.index(text.len());
            match kind {
                0 => { text.remove(at); }
                1 => text[at] = other,
                2 => text.insert(at, other),
                3 => text[at] = ['\n', ' ', ':', '{', '}', '[', ']', ',', '-', '9'][other as usize % 10],
                4 => text.truncate(at.max(1)),
                _ => { let tail = text[at..].to_vec(); text.extend(tail); }
            }
            if text.is_empty() { break; }
        }
        sound(&text.into_iter().collect::<String>());
    }
}
