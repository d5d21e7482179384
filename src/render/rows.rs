//! Rows of the year chart: strips of a bed with one and the same year stand in one row, and
//! plantings that share strips stand in lanes of it.

use crate::domain::Bed;
use crate::plan::{Planting, YearPlan};
use crate::units::Week;
use std::collections::BTreeMap;

/// Strips of one bed with the same year.
pub struct Row<'a> {
    /// Strip numbers, counted from 1.
    pub strips: Vec<u32>,
    /// What grows there, in lanes; within a lane nothing overlaps.
    pub lanes: Vec<Vec<&'a Planting>>,
}

/// The rows of a bed from week `start` on, in order of their first strip; idle strips are left out.
pub fn rows<'a>(plan: &'a YearPlan, bed: &Bed, start: Week) -> Vec<Row<'a>> {
    let mut years: BTreeMap<u32, Vec<usize>> = BTreeMap::new();
    for (i, planting) in plan.plantings.iter().enumerate() {
        // What is cleared on the first day takes no ground.
        let from = planting.planted.max(start);
        if planting.bed == bed.name && from < planting.cleared {
            for &strip in &planting.strips {
                years.entry(strip).or_default().push(i);
            }
        }
    }
    let mut rows: Vec<(Vec<u32>, Vec<usize>)> = Vec::new();
    for (strip, year) in years {
        match rows.iter_mut().find(|(_, known)| *known == year) {
            Some((numbers, _)) => numbers.push(strip),
            None => rows.push((vec![strip], year)),
        }
    }
    rows.into_iter()
        .map(|(strips, year)| Row {
            strips,
            lanes: lanes(year.into_iter().map(|i| &plan.plantings[i]).collect()),
        })
        .collect()
}

/// Each planting into the first lane that is free.
fn lanes(mut plantings: Vec<&Planting>) -> Vec<Vec<&Planting>> {
    plantings.sort_by_key(|p| (p.planted, p.id.clone()));
    let mut lanes: Vec<Vec<&Planting>> = Vec::new();
    for planting in plantings {
        let free = (lanes.iter_mut()).find(|lane| {
            lane.last()
                .is_none_or(|last| last.cleared <= planting.planted)
        });
        match free {
            Some(lane) => lane.push(planting),
            None => lanes.push(vec![planting]),
        }
    }
    lanes
}
