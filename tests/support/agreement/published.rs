//! The published calendars and tables in `tests/data`.

use super::days::DaySet;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::path::Path;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Calendar {
    pub name: String,
    pub climate: String,
    pub source: String,
    pub station: String,
    pub rows: Vec<Entry>,
}

/// What a date in a calendar is of.
#[derive(Clone, Copy, Debug, PartialEq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Act {
    Sow,
    Plant,
}

#[derive(Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Entry {
    pub crop: String,
    #[serde(rename = "as")]
    pub act: Act,
    pub windows: Vec<String>,
    #[serde(default)]
    pub harvest: Vec<String>,
    /// The shipped crops that are meant.
    pub models: Vec<String>,
    #[serde(default = "open")]
    pub place: String,
}

fn open() -> String {
    "open".into()
}

impl Entry {
    pub fn published(&self) -> DaySet {
        DaySet::of_windows(&self.windows)
    }

    pub fn published_harvest(&self) -> DaySet {
        DaySet::of_windows(&self.harvest)
    }
}

/// When things of a place are to be had.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Availability {
    pub name: String,
    pub climate: String,
    pub source: String,
    pub station: String,
    /// By month, what is in season.
    #[serde(default)]
    pub months: BTreeMap<u32, Vec<String>>,
    /// In how many months of the year a crop is to be had.
    #[serde(default)]
    pub counts: BTreeMap<String, u32>,
}

pub fn calendars() -> Vec<Calendar> {
    read("calendars.yaml")
}

pub fn availabilities() -> Vec<Availability> {
    read("availability.yaml")
}

pub fn read<T: for<'a> Deserialize<'a>>(name: &str) -> T {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/data")
        .join(name);
    let text = std::fs::read_to_string(path).expect("the table is there");
    serde_yaml::from_str(&text).unwrap_or_else(|error| panic!("{name}: {error}"))
}
