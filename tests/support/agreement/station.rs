//! Every shipped crop through a year at one station: in the open, in the polytunnel, under a low
//! tunnel in its season, under fleece from planting to the end, with a warm, lit raising shelf.

use super::days::DaySet;
use super::published::Act;
use bedweek::almanac::{Almanac, Row, Sowing, Success, Verdict, almanac};
use bedweek::domain::{Scenario, Setting};
use bedweek::input::{load_text, shipped_models};
use serde::Deserialize;
use std::collections::BTreeMap;

/// Weeks before planting out in which the plants were probably sown (estimate).
const PLANTS_WEEKS: std::ops::RangeInclusive<i32> = 3..=10;

pub struct Station {
    pub scenario: Scenario,
    pub almanac: Almanac,
}

#[derive(Deserialize)]
struct Foods {
    foods: BTreeMap<String, serde::de::IgnoredAny>,
}

impl Station {
    pub fn new(climate: &str) -> Station {
        let (_, foods) = shipped_models()
            .find(|(name, _)| name.ends_with("foods.yaml"))
            .expect("foods are shipped");
        let foods: Foods = serde_yaml::from_str(foods).expect("foods are read");
        let needs: Vec<String> = (foods.foods.keys())
            .map(|food| format!("  {food}: {{ wish: 1 }}"))
            .collect();
        let text = format!(
            "name: Agreement\nstart: 2027-W01\nweeks: 52\ntail: 0\nclimate: {climate}\nbeds:\n  \
             O: {{ setting: open, length_m: 4, width_m: 1 }}\n  \
             T: {{ setting: tunnel, length_m: 4, width_m: 1 }}\n  \
             P: {{ setting: container, length_m: 1, width_m: 1 }}\n\
             covers:\n  low tunnel: {{ count: 1 }}\n  fleece: {{ count: 1, spells: [[W01, W01]] }}\n\
             shelf: {{ lit_m2: 5, unlit_m2: 5, day_c: 18, night_c: 14, lamp_mj: 7, transmission: 0.5 }}\n\
             work: {{ hour_money: 3 }}\nneeds:\n{}\n",
            needs.join("\n")
        );
        let scenario = load_text("agreement", &text)
            .unwrap_or_else(|errors| panic!("{errors}"))
            .scenario;
        let crops: Vec<usize> = (0..scenario.crops.len()).collect();
        let almanac = almanac(&scenario, &crops);
        Station { scenario, almanac }
    }

    /// The lines of some crops at a place; a crop that is not for open beds counts in a container
    /// in the open.
    pub fn rows<'a>(
        &'a self,
        models: &'a [String],
        place: &'a str,
    ) -> impl Iterator<Item = &'a Row> {
        for model in models {
            assert!(
                self.scenario.crops.iter().any(|crop| crop.name == *model),
                "{model} is not shipped"
            );
        }
        self.almanac.rows.iter().filter(move |row| {
            let crop = &self.scenario.crops[row.crop];
            let spot = &self.almanac.spots[row.spot];
            let setting = self.scenario.beds[spot.bed()].setting;
            let here = match place {
                "open" if crop.settings.contains(&Setting::Open) => {
                    setting == Setting::Open && spot.cover.is_none()
                }
                "open" => setting == Setting::Container,
                "tunnel" => setting == Setting::Tunnel,
                "low tunnel" | "fleece" => {
                    let lies = |(cover, _): (usize, _)| self.scenario.covers[cover].name == place;
                    setting == Setting::Open && spot.cover.is_some_and(lies)
                }
                _ => panic!("no place {place}"),
            };
            here && models.contains(&crop.name)
        })
    }

    /// Days on which it can be done so that it succeeds: in the usual sowing weeks, or whenever.
    pub fn days(&self, models: &[String], place: &str, act: Act, usual: bool) -> DaySet {
        let mut days = DaySet::none();
        for sowing in self.rows(models, place).flat_map(|row| &row.sowings) {
            if let (Ok(success), true) = (&sowing.outcome, sowing.usual || !usual) {
                match act {
                    Act::Sow => days.add_week(sowing.week),
                    Act::Plant => days.add_weeks(success.planted, success.planted_by),
                }
            }
        }
        days
    }

    /// Days with a harvest from what is begun within `begun`, in usual weeks or not.
    pub fn harvest(&self, models: &[String], place: &str, act: Act, begun: &DaySet) -> DaySet {
        let mut days = DaySet::none();
        for sowing in self.rows(models, place).flat_map(|row| &row.sowings) {
            if let Ok(success) = &sowing.outcome {
                let week = match act {
                    Act::Sow => sowing.week,
                    Act::Plant => success.planted,
                };
                if begun.has_week(week) {
                    days.add_weeks(success.ready, success.last);
                }
            }
        }
        days
    }

    /// What stands in the way in most of the weeks of `missed`.
    pub fn reason(
        &self,
        models: &[String],
        place: &str,
        act: Act,
        missed: &DaySet,
    ) -> &'static str {
        let whenever = self.days(models, place, act, false);
        if missed.covered_by(&whenever) >= 0.5 {
            return "outside the usual sowing weeks";
        }
        // Plants that could be set out then have been sown some weeks before.
        let before = match act {
            Act::Sow => 0..=0,
            Act::Plant => PLANTS_WEEKS,
        };
        let mut counts: BTreeMap<Verdict, usize> = BTreeMap::new();
        for &week in self.almanac.weeks.iter().filter(|w| missed.has_week(**w)) {
            for sowing in self.rows(models, place).flat_map(|row| &row.sowings) {
                let sown = before
                    .clone()
                    .any(|k| sowing.week.of_year() == week.plus(-k).of_year());
                if sown && sowing.outcome.is_err() {
                    *counts.entry(sowing.verdict()).or_default() += 1;
                }
            }
        }
        let most = counts
            .into_iter()
            .max_by_key(|&(verdict, count)| (count, std::cmp::Reverse(verdict)));
        match most.map(|(verdict, _)| verdict) {
            None | Some(Verdict::Succeeds | Verdict::Unusual) => "not fit to plant out by then",
            Some(Verdict::TooCold) => "too cold to emerge",
            Some(Verdict::TooSlow) => "too slow on the shelf",
            Some(Verdict::Frost) => "killed by frost",
            Some(Verdict::Bolts) => "runs to seed",
            Some(Verdict::Unripe) => "not ready in time",
            Some(Verdict::NoShelf) => "no shelf",
        }
    }

    /// Months in which it is to be had, fresh or from store, from the usual sowings.
    pub fn available(&self, models: &[String]) -> DaySet {
        let mut days = DaySet::none();
        for place in ["open", "tunnel"] {
            for row in self.rows(models, place) {
                let keeps = row.way.map_or(0, |way| {
                    self.scenario.crops[row.crop].ways[way].keeps_weeks as i32
                });
                for success in row.sowings.iter().filter_map(Sowing::success) {
                    days.add_weeks(success.ready, success.last.plus(keeps));
                }
            }
        }
        days
    }

    /// Successes of the usual weeks in the first way of harvest, in the open if it grows there,
    /// else in the tunnel.
    pub fn usual<'a>(&'a self, models: &'a [String]) -> Vec<(&'a Sowing, &'a Success)> {
        for place in ["open", "tunnel"] {
            let found: Vec<(&Sowing, &Success)> = (self.rows(models, place))
                .filter(|row| row.way == Some(0))
                .flat_map(|row| &row.sowings)
                .filter_map(|sowing| Some((sowing, sowing.success()?)))
                .collect();
            if !found.is_empty() {
                return found;
            }
        }
        Vec::new()
    }
}
