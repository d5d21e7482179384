//! The planned year of the open plot of 250 m² that is kept in `tests/data/whole_garden.yaml`, beside
//! the weighed gardens of `tests/data/whole_garden_records.csv`. Used through `#[path]` beside `table`.
#![allow(dead_code)]

use crate::table::Table;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Area of the plot, paths included, m².
pub const PLOT_M2: f64 = 250.0;
/// Home gardens of the Ohio State University Extension: raised beds at Dawes Arboretum, mean of
/// three years (1.24 lb per square foot), and conventional rows (0.6), kg per m².
pub const RAISED_KG_PER_M2: f64 = 6.05;
pub const ROWS_KG_PER_M2: f64 = 2.93;
const KG_PER_LB: f64 = 0.453_592_37;

/// One planned year.
#[derive(Debug, Serialize, Deserialize)]
pub struct Year {
    /// The day on which it was reckoned.
    pub date: String,
    /// The needs of the scenario, so many times.
    pub times_asked: u32,
    pub work_limit: u64,
    pub gap: f64,
    pub cropped_m2: f64,
    /// Eaten within the planned 52 weeks, kg, by the names of the record; `others` were counted
    /// there, not weighed.
    pub eaten_kg: BTreeMap<String, f64>,
    pub eaten_kg_others: BTreeMap<String, f64>,
    /// Ripened within those weeks, eaten or not, kg: of what is weighed in the record, and the
    /// others.
    pub ripened_kg: f64,
    pub ripened_kg_others: f64,
}

impl Year {
    /// What was eaten of the crops that the record weighs, kg.
    pub fn eaten(&self) -> f64 {
        self.eaten_kg.values().sum()
    }

    pub fn others(&self) -> f64 {
        self.eaten_kg_others.values().sum()
    }
}

/// A line of the weighed record, and the shipped crops that it means.
pub struct Record {
    pub name: String,
    pub kg: f64,
    pub crops: Vec<String>,
}

pub fn records() -> Vec<Record> {
    Table::read("whole_garden_records.csv")
        .rows()
        .map(|row| Record {
            name: row.text("record").to_string(),
            kg: row.number("lb") * KG_PER_LB,
            crops: row.text("crops").split('/').map(String::from).collect(),
        })
        .collect()
}

pub fn path() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/whole_garden.yaml")
}

/// The years that are kept, in the order in which they were asked.
pub fn kept() -> Vec<Year> {
    let text = std::fs::read_to_string(path()).expect("the years are there");
    serde_yaml::from_str(&text).expect("the years are read")
}

/// The section of the page.
pub fn section() -> String {
    let (records, years) = (records(), kept());
    let first = &years[0];
    let mut page = format!(
        "{ABOUT}Reckoned on {} with {} units of work (gap {:.1} % as asked), {} m² of beds.\n\n",
        first.date,
        first.work_limit,
        100.0 * first.gap,
        first.cropped_m2
    );
    page += "| crop | weighed, kg |";
    for year in &years {
        page += &format!(" planned, needs times {}, kg |", year.times_asked);
    }
    page += "\n| --- | --- |";
    years.iter().for_each(|_| page += " --- |");
    page.push('\n');
    let mut line = |name: &str, weighed: String, planned: &dyn Fn(&Year) -> String| {
        page += &format!("| {name} | {weighed} |");
        years
            .iter()
            .for_each(|year| page += &format!(" {} |", planned(year)));
        page.push('\n');
    };
    for record in &records {
        let planned = |year: &Year| {
            let kg = year.eaten_kg.get(&record.name);
            kg.map_or("-".into(), |kg| format!("{kg:.1}"))
        };
        line(&record.name, format!("{:.1}", record.kg), &planned);
    }
    let weighed: f64 = records.iter().map(|record| record.kg).sum();
    line("all of these", format!("{weighed:.0}"), &|year| {
        format!("{:.0}", year.eaten())
    });
    line(
        "kg per m² of plot",
        format!("{:.2}", weighed / PLOT_M2),
        &|year| format!("{:.2}", year.eaten() / PLOT_M2),
    );
    line("kg per m² of beds", "-".into(), &|year| {
        format!("{:.2}", year.eaten() / year.cropped_m2)
    });
    line(
        "lettuce, celery, cobs, radish, spring onions",
        "counted".into(),
        &|year| format!("{:.0}", year.others()),
    );
    line("with these, kg per m² of beds", "-".into(), &|year| {
        format!("{:.2}", (year.eaten() + year.others()) / year.cropped_m2)
    });
    line(
        "ripened, eaten or not, with these, kg per m² of beds",
        "-".into(),
        &|year| {
            format!(
                "{:.2}",
                (year.ripened_kg + year.ripened_kg_others) / year.cropped_m2
            )
        },
    );
    page + EXPLAINED
}

const ABOUT: &str = "
## A whole garden

`scenarios/plot-250.yaml`, an open plot of 250 m² in the Midlands, planned for a year and asked for about
what a demonstration plot of that size gave in Yorkshire in 1975 (2.60 kg of weighed crops per m² of plot;
National Society of Allotment and Leisure Gardeners), and once more asked for twice as much, to see what
the ground can give at most. Beside it stand two means of home gardens (Ohio State University Extension): 2.93 kg
per m² in conventional rows, 6.05 in raised beds over three years. Eaten: within the planned 52 weeks. Litres
and heads are turned into weight by the crop models (a litre of leaves 0.08 to 0.12 kg; USDA values for
shredded or chopped leaves, quoted, are 0.11 to 0.20). This section is renewed by `tests/whole_garden.rs`.

";

const EXPLAINED: &str = "
Why they differ. The record weighs all that was gathered, in weeks of plenty too; the plan counts what is
eaten in a week up to the wish of that week, so its *ripened* line is the one to set beside the record (which
in turn leaves its lettuces, bunches and heads unweighed; at the weights of the crop models they would be some
130 kg more). The plan begins in March on bare ground, where a plot in its usual round has leeks, sprouts and
spring cabbage standing from the year before. The record gives no area for a crop, so yields per m² of a crop
cannot be compared, only what a household asked of the whole plot. Sixteen crops are planned with what one
search finds within its work limit; asked for twice as much it leaves the heavy crops of low price (potatoes)
for dear ones (beans, lettuce, cabbage), for it weighs food by what it would cost to buy, not by its weight.
Raised beds that are replanted as they clear gave more than rows in the trials, and more than rows come out
of the plan too: by area of bed it lies between the two.
";
