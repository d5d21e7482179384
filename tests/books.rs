//! The shipped crop models against published tables, crop by crop.
//! Facts of the trade without a published source are in `trade.rs`.

#[path = "support/garden.rs"]
mod garden;
#[path = "support/table.rs"]
mod table;

use bedweek::climate::Weather;
use bedweek::growth::response;
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
