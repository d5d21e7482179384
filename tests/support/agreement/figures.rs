//! Days to emergence and to harvest, and what is to be had when, beside the published tables.

use super::days::DaySet;
use super::published::Availability;
use super::station::Station;
use super::table::{Tally, median, percent, table};
use crate::table::Table;
use bedweek::growth::response;
use bedweek::units::Week;
use std::collections::{BTreeMap, BTreeSet};

/// Crops of the germination table and the shipped crops of the same seed.
const SEEDS: [(&str, &[&str]); 19] = [
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
        &["beetroot", "early beetroot", "chard", "leaf beet"],
    ),
    (
        "Cabbage",
        &[
            "summer cabbage",
            "autumn cabbage",
            "winter cabbage",
            "spring cabbage",
        ],
    ),
    (
        "Carrot",
        &["early carrots", "main carrots", "winter carrots"],
    ),
    ("Cauliflower", &["cauliflower", "winter cauliflower"]),
    ("Celery", &["celery"]),
    ("Sweet corn", &["sweetcorn"]),
    ("Cucumber", &["cucumbers"]),
    (
        "Lettuce",
        &["summer lettuce", "winter lettuce", "cutting lettuce"],
    ),
    ("Onion", &["onions from seed", "spring onions"]),
    ("Parsley", &["parsley"]),
    ("Parsnip", &["parsnips"]),
    ("Pea", &["early peas", "peas", "sugar peas"]),
    ("Pepper", &["peppers"]),
    ("Radish", &["radish"]),
    ("Spinach", &["spring spinach", "winter spinach"]),
    ("Tomato", &["outdoor tomatoes", "tunnel tomatoes"]),
    ("Turnip", &["turnip"]),
];
/// Constant temperatures of the table that are checked, °C.
const TEMPERATURES_C: [u32; 4] = [10, 15, 20, 25];
/// What the goal allows, as a share of the published days.
pub const EMERGENCE_ALLOWED: f64 = 0.25;
/// The table gives whole days.
const HALF_A_DAY: f64 = 0.5;

/// Days to emergence at constant temperatures: cells within a quarter of the published days, and
/// within a quarter and the half day to which the table is rounded.
pub struct Emergence {
    pub strict: Tally,
    pub rounded: Tally,
    pub page: String,
}

pub fn emergence(station: &Station) -> Emergence {
    let published = Table::read("days_to_emergence.csv");
    let mut result = Emergence {
        strict: Tally::default(),
        rounded: Tally::default(),
        page: String::new(),
    };
    let mut rows = Vec::new();
    for (seed, models) in &SEEDS {
        let row = published.find(&[("crop", *seed)]);
        // Crops with the same seed figures share a line.
        let mut lines: BTreeMap<String, Vec<&str>> = BTreeMap::new();
        for model in *models {
            let crop = (station.scenario.crops.iter())
                .find(|crop| crop.name == *model)
                .unwrap_or_else(|| panic!("{model} is not shipped"));
            let mut cells = String::new();
            for degrees in TEMPERATURES_C {
                let Some(days) = row.maybe(&format!("days_{degrees}")) else {
                    cells += " | -";
                    continue;
                };
                let rate = response::emergence_rate_c(&crop.thermal, f64::from(degrees));
                let computed = crop.thermal.emergence_cd / rate;
                let off = (computed - days).abs();
                let strict = off <= EMERGENCE_ALLOWED * days;
                let rounded = off <= EMERGENCE_ALLOWED * days + HALF_A_DAY;
                result.strict.add(strict);
                result.rounded.add(rounded);
                let mark = match (strict, rounded) {
                    (true, _) => "",
                    (false, true) => " (rounding)",
                    (false, false) => " **missed**",
                };
                cells += &format!(" | {days:.0}: {computed:.1}{mark}");
            }
            lines.entry(cells).or_default().push(model);
        }
        for (cells, models) in lines {
            rows.push(format!("| {seed} | {}{cells} |\n", models.join(", ")));
        }
    }
    let mut page = String::from("| seed | shipped crops | 10 °C | 15 °C | 20 °C | 25 °C |\n");
    page += "| --- | --- | --- | --- | --- | --- |\n";
    rows.iter().for_each(|row| page += row);
    result.page = page;
    result
}

/// Days to harvest: for each row of the table, the error against the middle of the published span,
/// and how far outside of it, as shares of the middle and of the nearer end.
pub struct Harvest {
    pub errors: Vec<f64>,
    pub outside: Vec<f64>,
    pub signed: Vec<f64>,
    pub page: String,
}

/// Weeks whose sowings (plantings) count as of the warm season, where a crop has any.
const WARM_WEEKS: std::ops::RangeInclusive<u32> = 10..=30;

pub fn days_to_harvest(station: &Station) -> Harvest {
    let published = Table::read("days_to_harvest.csv");
    let mut result = Harvest {
        errors: Vec::new(),
        outside: Vec::new(),
        signed: Vec::new(),
        page: String::new(),
    };
    let mut rows = Vec::new();
    for row in published.rows() {
        let models: Vec<String> = row.text("models").split('/').map(String::from).collect();
        let from_sowing = row.text("from") == "sowing";
        let found = station.usual(&models);
        let spans: Vec<(Week, Week)> = (found.iter())
            .map(|(sowing, success)| {
                let begun = if from_sowing {
                    sowing.week
                } else {
                    success.planted
                };
                (begun, success.ready)
            })
            .collect();
        let warm = |week: Week| WARM_WEEKS.contains(&week.of_year().number());
        let any_warm = spans.iter().any(|(begun, _)| warm(*begun));
        let days: Vec<f64> = (spans.iter())
            .filter(|(begun, _)| warm(*begun) || !any_warm)
            // Begun on a Monday, ready some time in the week of the first harvest.
            .map(|(begun, ready)| 7.0 * f64::from(ready.since(*begun)) + 3.5)
            .collect();
        assert!(!days.is_empty(), "{} never succeeds", row.text("crop"));
        let (low, high) = (row.number("low"), row.number("high"));
        let middle = (low + high) / 2.0;
        let computed = median(days.clone());
        let off = (low - computed).max(computed - high).max(0.0);
        let error = (computed - middle).abs() / middle;
        result.errors.push(error);
        result.signed.push((computed - middle) / middle);
        result
            .outside
            .push(off / if computed < low { low } else { high });
        let (least, most) = days
            .iter()
            .fold((f64::INFINITY, 0.0_f64), |(a, b), d| (a.min(*d), b.max(*d)));
        rows.push(vec![
            format!(
                "{} ({})",
                row.text("crop"),
                row.text("models").replace('/', ", ")
            ),
            row.text("from").to_string(),
            if low == high {
                format!("{low:.0}")
            } else {
                format!("{low:.0}-{high:.0}")
            },
            format!("{computed:.0}"),
            format!("{least:.0}-{most:.0}"),
            format!("{:+.0} %", 100.0 * (computed - middle) / middle),
            if off > 0.0 {
                format!("{off:.0} days")
            } else {
                "inside".into()
            },
            row.text("source").to_string(),
        ]);
    }
    result.page = table(
        &[
            "crop",
            "from",
            "published",
            "computed, median",
            "least to most",
            "off the middle",
            "outside by",
            "source",
        ],
        &rows,
    );
    result
}

/// The shipped crops that are meant by a name in `availability.yaml`.
const GROUPS: [(&str, &[&str]); 25] = [
    ("beetroot", &["early beetroot", "beetroot"]),
    (
        "broad beans",
        &["overwintered broad beans", "spring broad beans"],
    ),
    ("Brussels sprouts", &["Brussels sprouts"]),
    (
        "cabbage",
        &[
            "summer cabbage",
            "autumn cabbage",
            "winter cabbage",
            "spring cabbage",
        ],
    ),
    (
        "carrot",
        &[
            "early tunnel carrots",
            "early carrots",
            "main carrots",
            "winter carrots",
            "overwintered carrots",
        ],
    ),
    ("cauliflower", &["cauliflower", "winter cauliflower"]),
    ("celeriac", &["celeriac"]),
    ("celery", &["celery"]),
    ("cucumbers", &["cucumbers"]),
    ("Florence fennel", &["Florence fennel"]),
    ("Jerusalem artichokes", &["Jerusalem artichokes"]),
    ("kale", &["kale"]),
    ("leek", &["autumn leeks", "winter leeks"]),
    ("lettuce", &["summer lettuce", "winter lettuce"]),
    ("parsley", &["parsley"]),
    ("parsnip", &["parsnips"]),
    ("peas in the pod", &["sugar peas"]),
    (
        "potatoes",
        &[
            "first early potatoes",
            "second early potatoes",
            "maincrop potatoes",
            "late-planted potatoes",
        ],
    ),
    ("spinach", &["spring spinach", "winter spinach"]),
    ("spring greens", &["spring cabbage"]),
    (
        "spring onions",
        &["spring onions", "overwintered spring onions"],
    ),
    (
        "sprouting broccoli",
        &["early sprouting broccoli", "late sprouting broccoli"],
    ),
    ("swede", &["swede"]),
    ("sweetcorn", &["sweetcorn"]),
    ("tomatoes", &["tunnel tomatoes", "outdoor tomatoes"]),
];
/// Days in a month from which a crop counts as to be had in it.
const DAYS_OF_A_MONTH: usize = 10;

/// What is to be had when: kept claims, and the page's section.
pub fn availability(all: &[Availability], stations: &BTreeMap<String, Station>) -> (Tally, String) {
    let mut tally = Tally::default();
    let mut page = String::new();
    for one in all {
        let station = &stations[&one.climate];
        let months_of = |name: &str| -> BTreeSet<u32> {
            let (_, models) = (GROUPS.iter())
                .find(|(group, _)| *group == name)
                .unwrap_or_else(|| panic!("no group {name}"));
            let models: Vec<String> = models.iter().map(|m| (*m).to_string()).collect();
            let days = station.available(&models);
            (1..=12)
                .filter(|&month| DaySet::of_month(month).and(&days).len() >= DAYS_OF_A_MONTH)
                .collect()
        };
        page += &format!(
            "\n### {}\n\nPublished: {}.\nStation: `{}`. {}\n\n",
            one.name, one.source, one.climate, one.station
        );
        let mut rows = Vec::new();
        for (&month, listed) in &one.months {
            let (have, lack): (Vec<&String>, Vec<&String>) = listed
                .iter()
                .partition(|crop| months_of(crop).contains(&month));
            have.iter().for_each(|_| tally.add(true));
            lack.iter().for_each(|_| tally.add(false));
            let join = |list: &[&String]| match list.len() {
                0 => "-".to_string(),
                _ => list
                    .iter()
                    .map(|s| s.as_str())
                    .collect::<Vec<_>>()
                    .join(", "),
            };
            rows.push(vec![month.to_string(), join(&have), join(&lack)]);
        }
        if !rows.is_empty() {
            page += &table(
                &["month", "published and computed", "published only"],
                &rows,
            );
        }
        let mut rows = Vec::new();
        let mut off = Vec::new();
        for (crop, &count) in &one.counts {
            let months = months_of(crop);
            let difference = months.len() as i32 - count as i32;
            tally.add(difference.abs() <= 2);
            off.push(f64::from(difference));
            let listed: Vec<String> = months.iter().map(u32::to_string).collect();
            rows.push(vec![
                crop.clone(),
                count.to_string(),
                months.len().to_string(),
                format!("{difference:+}"),
                listed.join(" "),
            ]);
        }
        if !rows.is_empty() {
            page += &table(
                &[
                    "crop",
                    "months, published",
                    "months, computed",
                    "difference",
                    "which",
                ],
                &rows,
            );
            let within = off.iter().filter(|d| d.abs() <= 2.0).count();
            page += &format!(
                "\nWithin two months: {} of {} ({}); median difference {:+.1} months.\n",
                within,
                off.len(),
                percent(within as f64 / off.len() as f64),
                median(off)
            );
        }
    }
    (tally, page)
}
