//! Plantings and a few real crops for tests of growth, on top of the tiny holding. Used through
//! `#[path]` beside `holding`.
//!
//! Plant figures follow the shipped models (`models/crops`), where their sources stand.
#![allow(dead_code)]

use crate::holding::*;
use bedweek::climate::Place;
use bedweek::domain::*;
use bedweek::growth::{Beginning, Course, Failure, Grower};
use bedweek::units::Week;

/// Sown in place, first raising.
pub fn direct(crop: CropId, sown: Week) -> Beginning {
    Beginning {
        crop,
        raising: Some(0),
        lit: false,
        sown,
        planted: sown,
        ready_by: None,
    }
}

/// The course of the first way of harvest, at one place throughout.
pub fn course_at(grower: &Grower, beginning: &Beginning, place: Place) -> Result<Course, Failure> {
    grower.course(beginning, 0, &|_| place, week(2028, 40))
}

/// From modules, planted out as soon as they are fit.
pub fn from_modules(
    grower: &Grower,
    lit: bool,
    sown: Week,
    place: Place,
) -> Result<Course, Failure> {
    let (planted, _) = grower.shelf_weeks(0, 0, lit, sown)?;
    let beginning = Beginning {
        crop: 0,
        raising: Some(0),
        lit,
        sown,
        planted,
        ready_by: None,
    };
    course_at(grower, &beginning, place)
}

pub fn radish() -> Crop {
    Crop {
        thermal: thermal(2.0, 18.0, 32.0, 3.5, 1.6, 85.0),
        ways: vec![way(WayKind::Standing { weeks: 2 }, 20.0, 9.0)],
        killed_below_c: -6.7,
        max_ground_weeks: 12,
        ..leaves("radish")
    }
}

pub fn lettuce() -> Crop {
    Crop {
        thermal: thermal(2.0, 19.0, 32.0, 4.0, 0.9, 53.0),
        raisings: vec![raising(Method::Modules)],
        ways: vec![way(WayKind::Standing { weeks: 2 }, 53.0, 9.0)],
        killed_below_c: -3.9,
        max_ground_weeks: 26,
        ..leaves("lettuce")
    }
}

/// A spinach whose critical day is 13 hours (grower's note, weak; 12.5-14 by cultivar from memory).
pub fn spinach() -> Crop {
    Crop {
        thermal: thermal(1.0, 18.0, 30.0, 3.5, -1.6, 130.0),
        ways: vec![way(WayKind::Picking { span: 70.0 }, 26.0, 30.0)],
        killed_below_c: -12.0,
        bolting: Some(Bolting {
            juvenile_units: 20.0,
            cold_weeks: 0.0,
            cold_c: 0.0,
            day_length_h: 13.0,
            long_day_units: 0.0,
        }),
        ..leaves("spinach")
    }
}

pub fn potato(killed_below_c: f64) -> Crop {
    Crop {
        thermal: thermal(4.0, 19.0, 32.0, 5.0, 4.0, 200.0),
        raisings: vec![raising(Method::Tubers)],
        ways: vec![way(WayKind::Standing { weeks: 16 }, 50.0, 2.0)],
        killed_below_c,
        max_ground_weeks: 40,
        ..leaves("potato")
    }
}
