//! Where the keys of a scenario stand in its files, for messages about what was read well.

use super::build::Records;
use super::fields::{Fields, Value};
use super::source::{At, Source};
use crate::units::{Week, WeekOfYear};
use std::collections::BTreeMap;

/// Places by path of keys.
#[derive(Clone, Debug, Default)]
pub struct Places {
    /// `file:line` by path, as in `needs.leeks.floor`.
    by_path: BTreeMap<String, String>,
    /// Paths of seasons of needs, with their weeks, by path of the need.
    seasons: BTreeMap<String, Vec<(WeekOfYear, WeekOfYear, String)>>,
}

impl Places {
    pub(super) fn of(records: &Records, sources: &[Source]) -> Places {
        let mut places = Places::default();
        let needed = records
            .foods
            .iter()
            .filter(|f| records.needed.contains(&f.name));
        let all = std::iter::once(&records.scenario)
            .chain(&records.covers)
            .chain(&records.families)
            .chain(needed);
        for record in all {
            places.add(record, sources);
        }
        for (crop, at) in records.scenario.texts("crops_used") {
            let path = format!("crops_used.{crop}");
            places.by_path.insert(path, place(sources, *at));
        }
        places
    }

    fn add(&mut self, record: &Fields, sources: &[Source]) {
        let place = |at: At| place(sources, at);
        self.by_path.insert(record.path.clone(), place(record.at));
        for key in record.given_keys() {
            let path = record.path_of(key);
            self.by_path.insert(path, place(record.at(key)));
            if let Some(Value::Records(inner)) = record.values.get(key) {
                for inner in inner {
                    self.add(inner, sources);
                    if let (Some((from, to)), true) = (inner.span("weeks"), key == "seasons") {
                        let seasons = self.seasons.entry(record.path.clone()).or_default();
                        seasons.push((from, to, inner.path.clone()));
                    }
                }
            }
        }
    }

    /// Where a key stands, or the nearest one around it that was given.
    pub fn key(&self, path: &str) -> Option<&str> {
        let mut path = path;
        loop {
            if let Some(place) = self.by_path.get(path) {
                return Some(place);
            }
            path = path.rsplit_once('.')?.0;
        }
    }

    /// Whether the very key, or member of a list of names, was given.
    pub fn gives(&self, path: &str) -> bool {
        self.by_path.contains_key(path)
    }

    /// Where the need of a food in a week stands.
    pub fn need(&self, food: &str, week: Week) -> Option<&str> {
        let path = format!("needs.{food}");
        let season = (self.seasons.get(&path).into_iter().flatten())
            .find(|(from, to, _)| week.of_year().within(*from, *to));
        self.key(season.map_or(&path, |(.., season)| season))
    }
}

fn place(sources: &[Source], at: At) -> String {
    format!("{}:{}", sources[at.file].name, at.line)
}
