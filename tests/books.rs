//! The shipped crop models against published tables, crop by crop, and where their figures come from.
//! Facts of the trade without a published source are in `trade.rs`.

#[path = "support/garden.rs"]
mod garden;
#[path = "support/table.rs"]
mod table;

use bedweek::climate::Weather;
use bedweek::growth::response;
use bedweek::input::shipped_models;
use serde::Deserialize;
use std::collections::BTreeMap;
use table::Table;

/// Shipped crops by the table's name for them; the cabbages' and the onion's kin come up as they do.
const EMERGENCE: [(&str, &[&str]); 19] = [
    ("Asparagus", &["asparagus"]),
    ("Aubergine", &["aubergines"]),
    (
        "Bean snap (French)",
        &[
            "dwarf French beans",
            "climbing French beans",
            "drying beans",
        ],
    ),
    (
        "Beet",
        &["early beetroot", "beetroot", "chard", "leaf beet"],
    ),
    (
        "Cabbage",
        &[
            "summer cabbage",
            "autumn cabbage",
            "winter cabbage",
            "spring cabbage",
            "kale",
            "Brussels sprouts",
            "kohlrabi",
            "swede",
            "calabrese",
            "early sprouting broccoli",
            "late sprouting broccoli",
        ],
    ),
    (
        "Carrot",
        &[
            "early tunnel carrots",
            "early carrots",
            "main carrots",
            "winter carrots",
            "overwintered carrots",
        ],
    ),
    ("Cauliflower", &["cauliflower", "winter cauliflower"]),
    ("Celery", &["celery", "celeriac"]),
    ("Sweet corn", &["sweetcorn"]),
    ("Cucumber", &["cucumbers"]),
    (
        "Lettuce",
        &[
            "summer lettuce",
            "winter lettuce",
            "cutting lettuce",
            "endive",
        ],
    ),
    (
        "Onion",
        &[
            "onions from seed",
            "autumn leeks",
            "winter leeks",
            "spring onions",
            "overwintered spring onions",
        ],
    ),
    ("Parsley", &["parsley"]),
    ("Parsnip", &["parsnips"]),
    ("Pea", &["early peas", "peas", "sugar peas", "pea shoots"]),
    ("Pepper", &["peppers"]),
    ("Radish", &["radish", "winter radish"]),
    ("Spinach", &["spring spinach", "winter spinach"]),
    (
        "Tomato",
        &["tunnel tomatoes", "outdoor tomatoes", "basket tomatoes"],
    ),
];

#[test]
fn shipped_crops_come_up_in_the_days_of_the_germination_table() {
    // Harrington & Minges 1954, reprinted in Knott's Handbook (tests/data/days_to_emergence.csv): at
    // every tabulated temperature from 10 to 25 degrees within a quarter.
    let scenario = garden::garden("oxford");
    let rows = Table::read("days_to_emergence.csv");
    let mut checked = 0;
    for (row, crops) in EMERGENCE.into_iter().chain([("Turnip", &["turnip"][..])]) {
        let row = rows.find(&[("crop", row)]);
        for degrees in [10, 15, 20, 25] {
            let Some(days) = row.maybe(&format!("days_{degrees}")) else {
                continue;
            };
            let steady = Weather {
                tmax_c: f64::from(degrees),
                tmin_c: f64::from(degrees),
                coldest_c: f64::from(degrees),
                daylight_h: 12.0,
                light_mj: 10.0,
            };
            for name in crops {
                let thermal = &scenario.crops[garden::crop(&scenario, name)].thermal;
                let found = thermal.emergence_cd / response::emergence_cd(thermal, &steady);
                assert!(
                    (found - days).abs() <= 0.25 * days,
                    "{name} at {degrees}: {found:.1} days, table {days}"
                );
                checked += 1;
            }
        }
    }
    assert!(checked > 150, "{checked} checked");
}

/// A model file as it is written; of numbers and flags it matters only that they are.
#[derive(Deserialize)]
#[serde(untagged)]
#[allow(dead_code)]
enum Node {
    Number(f64),
    Flag(bool),
    Text(String),
    List(Vec<Node>),
    Record(BTreeMap<String, Node>),
    Nothing(Option<()>),
}

impl Node {
    /// A number, a week, or a list of them.
    fn is_figure(&self) -> bool {
        match self {
            Node::Number(_) => true,
            Node::Text(text) => text.parse::<bedweek::units::WeekOfYear>().is_ok(),
            Node::List(items) => !items.is_empty() && items.iter().all(Node::is_figure),
            Node::Flag(_) | Node::Record(_) | Node::Nothing(_) => false,
        }
    }
}

/// Parts whose figures the source of the whole record is about.
const PARTS: [&str; 3] = ["first", "second", "perennial"];

/// Figures at and below `node` that no source is given for, and sources that give neither a year
/// nor the word estimate. `whole`: the record it is a part of names a source.
fn unsourced(path: &str, node: &Node, whole: bool, found: &mut Vec<String>) -> usize {
    let mut figures = 0;
    match node {
        Node::List(items) => {
            for item in items {
                figures += unsourced(path, item, whole, found);
            }
        }
        Node::Record(record) => {
            let own = record.contains_key("source");
            let part = PARTS.iter().any(|part| path.ends_with(&format!(".{part}")));
            for (key, value) in record {
                let below = format!("{path}.{key}");
                let says = match (key.as_str(), value) {
                    ("source" | "hardiness_source", Node::Text(text)) => {
                        let year = |s: &[u8]| s.iter().all(u8::is_ascii_digit) && s[0] != b'0';
                        text.contains("estimate") || text.as_bytes().windows(4).any(year)
                    }
                    ("source" | "hardiness_source", _) => false,
                    ("killed_below_c", _) => record.contains_key("hardiness_source"),
                    _ => !value.is_figure() || own || (part && whole),
                };
                if !says {
                    found.push(below.clone());
                }
                figures += usize::from(value.is_figure());
                figures += unsourced(&below, value, own, found);
            }
        }
        _ => {}
    }
    figures
}

#[test]
fn every_figure_of_the_models_has_a_source_or_is_called_an_estimate() {
    let (mut figures, mut crops, mut found) = (0, 0, Vec::new());
    for (name, text) in shipped_models() {
        let file: Node = serde_yaml::from_str(text).unwrap_or_else(|e| panic!("{name}: {e}"));
        if let Node::Record(lists) = &file
            && let Some(Node::Record(list)) = lists.get("crops")
        {
            crops += list.len();
        }
        figures += unsourced(name, &file, false, &mut found);
    }
    assert!(found.is_empty(), "without a source: {found:#?}");
    assert!(figures > 2_000, "{figures} figures");
    assert!(crops >= 60, "{crops} crop entries");
}

#[test]
fn a_figure_without_a_source_is_found() {
    let text = "crops: { kale: { killed_below_c: -9, source: estimate, thermal: { base_c: 4 } } }";
    let mut found = Vec::new();
    unsourced("m", &serde_yaml::from_str(text).unwrap(), false, &mut found);
    assert_eq!(
        found,
        ["m.crops.kale.killed_below_c", "m.crops.kale.thermal.base_c"]
    );
}
