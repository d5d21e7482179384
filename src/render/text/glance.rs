//! The year at a glance: a line for each bed, a character for each week, how full it is; and how
//! all food together stands against the band.

use super::chart::{LABEL_WIDTH, Span, ruler};
use super::lines::{cut, title, wrap};
use crate::domain::{Bed, Scenario};
use crate::plan::{Planting, YearPlan};
use crate::render::level::{LevelWeek, level};

/// From an empty bed to a full one, by share of its strips.
const FULLNESS: [char; 5] = [' ', '.', ':', '+', '#'];

/// The section.
pub fn glance(scenario: &Scenario, plan: &YearPlan) -> String {
    let span = Span::of(scenario);
    let mut out = title("The year at a glance");
    out += &wrap(
        "",
        "A character is a week. Beds: blank idle, . up to a quarter of the strips in use, : half, \
         + less than all, # all; food: - below the band, = within it, * more than a tenth left \
         over.",
    );
    out += &ruler(&span);
    let weeks = level(scenario, plan);
    let food: Vec<char> = weeks.iter().take(span.drawn).map(sign).collect();
    out += &line(&span, "all food", &food);
    for bed in &scenario.beds {
        out += &line(&span, &bed.name, &fullness(&span, plan, bed));
    }
    out
}

fn sign(week: &LevelWeek) -> char {
    if week.hungry() {
        '-'
    } else if week.glut() {
        '*'
    } else {
        '='
    }
}

/// The share of strips in use, week by week.
fn fullness(span: &Span, plan: &YearPlan, bed: &Bed) -> Vec<char> {
    let here: Vec<&Planting> = (plan.plantings.iter())
        .filter(|p| p.bed == bed.name)
        .collect();
    (0..span.drawn)
        .map(|column| {
            let week = span.start.plus(i32::try_from(column).expect("short"));
            let mut used: Vec<u32> = (here.iter())
                .filter(|p| p.planted <= week && week < p.cleared)
                .flat_map(|p| p.strips.iter().copied())
                .collect();
            used.sort_unstable();
            used.dedup();
            let share = used.len() as f64 / f64::from(bed.strips);
            match share {
                s if s <= 0.0 => FULLNESS[0],
                s if s <= 0.25 => FULLNESS[1],
                s if s <= 0.5 => FULLNESS[2],
                s if s < 1.0 => FULLNESS[3],
                _ => FULLNESS[4],
            }
        })
        .collect()
}

fn line(span: &Span, name: &str, cells: &[char]) -> String {
    let mut text: String = cells.iter().collect();
    if span.drawn > span.planned {
        text.insert(span.planned, '|');
    }
    let width = LABEL_WIDTH - 3;
    let label = format!("  {:<width$} ", cut(name, width));
    format!("{}\n", format!("{label}{text}").trim_end())
}
