//! A garden at a shipped station with every shipped crop: one bed in the open, one in the
//! polytunnel, every kind of cover, a raising shelf with lamps. Used through `#[path]`.
#![allow(dead_code)]

use bedweek::climate::Place;
use bedweek::domain::{CropId, Method, Scenario};
use bedweek::growth::{Beginning, Course, Failure, Grower};
use bedweek::units::Week;

/// Mild maritime stations near 51 to 53 degrees north.
pub const MILD: [&str; 2] = ["ross-on-wye", "oxford"];

pub const OPEN: Place = Place {
    inside: false,
    cover: None,
    exposure: 1.0,
};
pub const TUNNEL: Place = Place {
    inside: true,
    ..OPEN
};

/// A garden of beds of 4 x 1.2 m from the middle of October 2026, with every shipped crop.
pub fn garden(climate: &str) -> Scenario {
    let foods: String = bedweek::input::shipped_models()
        .find(|(name, _)| name.ends_with("foods.yaml"))
        .expect("foods are shipped")
        .1
        .lines()
        .filter(|line| line.contains('{'))
        .filter_map(|line| line.strip_prefix("  ")?.split_once(':'))
        .map(|(name, _)| format!("  {name}: {{ floor: 0, wish: 1 }}\n"))
        .collect();
    let text = format!(
        "name: garden\ncurrency: EUR\nstart: 2026-W42\nweeks: 52\ntail: 26\nclimate: {climate}\n\
         beds:\n  O1: {{ setting: open, length_m: 4, width_m: 1.2, strips: 8 }}\n  \
         T1: {{ setting: tunnel, length_m: 4, width_m: 1.2, strips: 8 }}\n\
         covers:\n  low tunnel: {{ count: 1 }}\n  cold-frame top: {{ count: 1 }}\n  \
         fleece: {{ count: 1 }}\n\
         shelf: {{ lit_m2: 1, unlit_m2: 1, day_c: 19, night_c: 14, lamp_mj: 7, transmission: 0.5 }}\n\
         needs:\n{foods}work: {{ hour_money: 4 }}\n"
    );
    match bedweek::input::load_text("garden.yaml", &text) {
        Ok(loaded) => loaded.scenario,
        Err(problems) => panic!("{problems}"),
    }
}

pub fn crop(scenario: &Scenario, name: &str) -> CropId {
    scenario
        .crops
        .iter()
        .position(|crop| crop.name == name)
        .unwrap_or_else(|| panic!("{name} is a shipped crop"))
}

pub fn way(scenario: &Scenario, crop: CropId, name: &str) -> usize {
    let ways = &scenario.crops[crop].ways;
    ways.iter()
        .position(|way| way.name == name)
        .unwrap_or_else(|| panic!("{name} is a way of harvest"))
}

/// Under that cover in the open.
pub fn beneath(scenario: &Scenario, cover: &str) -> Place {
    let id = scenario.covers.iter().position(|c| c.name == cover);
    Place {
        cover: Some(id.unwrap_or_else(|| panic!("{cover} is a shipped cover"))),
        ..OPEN
    }
}

/// How a planting sown in that week begins: by the first raising of the method; modules are lit and
/// planted out when fit.
pub fn begin(
    grower: &Grower,
    scenario: &Scenario,
    crop: CropId,
    method: Method,
    sown: Week,
) -> Result<Beginning, Failure> {
    let mut failure = Failure::NoSuchWay;
    for (raising, how) in scenario.crops[crop].raisings.iter().enumerate() {
        if how.method != method {
            continue;
        }
        if !sown.of_year().within(how.sow_from, how.sow_to) {
            failure = Failure::OutsideSowingWeeks;
            continue;
        }
        let planted = match method {
            Method::Modules => grower.shelf_weeks(crop, raising, true, sown)?.0,
            _ => sown,
        };
        return Ok(Beginning {
            crop,
            raising: Some(raising),
            lit: true,
            sown,
            planted,
            ready_by: None,
        });
    }
    Err(failure)
}

/// The course of a planting that stays in one place.
pub fn course(
    grower: &Grower,
    scenario: &Scenario,
    name: &str,
    way_name: &str,
    sown: Week,
    place: Place,
) -> Result<Course, Failure> {
    let id = crop(scenario, name);
    let method = scenario.crops[id].raisings[0].method;
    let beginning = begin(grower, scenario, id, method, sown)?;
    let until = sown.plus(100).min(scenario.start.plus(52 + 26 + 52));
    grower.course(&beginning, way(scenario, id, way_name), &|_| place, until)
}

/// Share of a harvest that is taken from one week to another, both included.
pub fn share_between(course: &Course, from: Week, to: Week) -> f64 {
    let all: f64 = course.harvest.iter().map(|(_, amount)| amount).sum();
    taken_between(course, from, to) / all
}

/// What is taken from one week to another, both included, per m².
pub fn taken_between(course: &Course, from: Week, to: Week) -> f64 {
    course
        .harvest
        .iter()
        .filter(|(week, _)| from <= *week && *week <= to)
        .map(|(_, amount)| amount)
        .sum()
}

pub fn week(year: i32, number: u32) -> Week {
    Week::from_iso(year, number).expect("a week of that year")
}
