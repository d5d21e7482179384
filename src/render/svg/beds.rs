//! The year of one bed: a row for each run of strips with the same year, a bar for each planting.

use super::axis::{Axis, HEAD};
use super::{Chart, cover_class, rect, text, title};
use crate::domain::{Bed, Scenario};
use crate::plan::{Planting, YearPlan};
use crate::render::jobs::unit;
use crate::render::rows::rows;
use crate::render::words::{amount, isolated, setting, strips};
use crate::units::Week;
use std::collections::BTreeSet;
use svg::Node;
use svg::node::element::{Element, Group};

/// Units for strip numbers on the left.
pub const LEFT: f64 = 62.0;
/// Height of a lane of one strip, what each further strip adds, and the most.
const LANE: f64 = 17.0;
const MORE: f64 = 1.5;
const MOST: f64 = 30.0;
/// Height of a line of covers.
const COVER: f64 = 14.0;
/// Between rows.
const GAP: f64 = 3.0;
/// Height of the mark of a week's harvest, and of the edge of a cover.
const MARK: f64 = 3.0;
/// Least width of a bar that has room for letters.
const LETTERS: f64 = 14.0;
/// Half the width of a bar's outline, which lies within the bar.
const HALF_LINE: f64 = 0.5;
/// Thickness of the edge of what stands at the start.
const EDGE: f64 = 4.0;

/// How the year of a bed is drawn.
pub struct Look<'a> {
    /// The weeks drawn.
    pub axis: Axis,
    /// Whether a bar leads to the planting's line in a list.
    pub links: bool,
    /// Plantings that are marked, by their ids, and the class of the mark.
    pub marked: Option<(&'a BTreeSet<String>, &'static str)>,
}

impl Look<'_> {
    /// All weeks of a plan.
    pub fn of(plan: &YearPlan, links: bool) -> Look<'static> {
        Look {
            axis: Axis::of(plan, LEFT, 2.0),
            links,
            marked: None,
        }
    }
}

/// The chart of a bed.
pub fn bed(scenario: &Scenario, plan: &YearPlan, bed: &Bed, look: &Look) -> Chart {
    let axis = look.axis;
    let mut body = Group::new();
    let mut y = HEAD;
    for (label, mut bars) in above(scenario, plan, bed) {
        bars.retain(|(.., from, until)| axis.x(*from) < axis.x(*until));
        if bars.is_empty() {
            continue;
        }
        body = body.add(text("l", LEFT - 5.0, y + COVER - 3.5, &label));
        for (class, words, from, until) in bars {
            body = body.add(cover_bar(&axis, y, &class, &words, from, until));
        }
        y += COVER + GAP;
    }
    let rows = rows(plan, bed, axis.start);
    for row in &rows {
        let extra = MORE * (row.strips.len() - 1) as f64;
        let lane_height = (LANE + extra).min(MOST);
        let label = strips(&row.strips, "–");
        body = body.add(text("l", LEFT - 5.0, y + lane_height / 2.0 + 4.0, &label));
        let height = lane_height * row.lanes.len() as f64;
        body = body.add(rect("idle", LEFT, y, axis.at(axis.weeks) - LEFT, height));
        for lane in &row.lanes {
            // What begins after the last week drawn is not drawn.
            for planting in lane.iter().filter(|p| axis.index(p.planted) < axis.weeks) {
                body = body.add(bar(scenario, look, planting, y, lane_height));
            }
            y += lane_height;
        }
        y += GAP;
    }
    let idle: Vec<u32> = (1..=bed.strips)
        .filter(|strip| !rows.iter().any(|row| row.strips.contains(strip)))
        .collect();
    if !idle.is_empty() {
        body = body.add(text(
            "l",
            LEFT - 5.0,
            y + LANE / 2.0 + 4.0,
            &strips(&idle, "–"),
        ));
        body = body.add(rect("idle", LEFT, y, axis.at(axis.weeks) - LEFT, LANE));
        y += LANE + GAP;
    }
    Chart {
        name: format!("The year of bed {}", bed.name),
        height: y,
        body: Group::new().add(axis.draw(y)).add(body),
    }
}

/// What a bed is, in words.
pub fn bed_notes(bed: &Bed) -> String {
    let noun = if bed.strips == 1 { "strip" } else { "strips" };
    format!(
        "{}, {} × {} m, {} {noun}",
        setting(bed.setting),
        amount(bed.length_m),
        amount(bed.width_m),
        bed.strips
    )
}

/// Class, words, first week and week after the last.
type Stretch = (String, String, Week, Week);

/// Lines above the strips: covers on the bed, and time inside the polytunnel.
fn above(scenario: &Scenario, plan: &YearPlan, bed: &Bed) -> Vec<(String, Vec<Stretch>)> {
    let mut lines = Vec::new();
    let covers: Vec<Stretch> = (plan.covers.iter())
        .filter(|spell| spell.bed == bed.name)
        .map(|spell| {
            let kind = scenario.covers.iter().position(|c| c.name == spell.cover);
            let class = cover_class(kind.unwrap_or_default());
            (class, spell.cover.clone(), spell.placed, spell.removed)
        })
        .collect();
    if !covers.is_empty() {
        lines.push(("cover".to_string(), covers));
    }
    let inside: Vec<usize> = (0..plan.scenario.weeks + plan.scenario.tail)
        .filter(|&i| {
            let week = scenario.week(i).of_year();
            bed.indoors.iter().any(|p| week.within(p.from, p.to))
        })
        .collect();
    let mut stretches: Vec<Stretch> = Vec::new();
    for i in inside {
        let week = scenario.week(i);
        match stretches.last_mut() {
            Some((.., until)) if *until == week => *until = week.plus(1),
            _ => stretches.push(("c0".into(), "in the tunnel".into(), week, week.plus(1))),
        }
    }
    if !stretches.is_empty() {
        lines.push(("inside".to_string(), stretches));
    }
    lines
}

/// A stretch under a cover, its name on a clear ground.
pub fn cover_bar(axis: &Axis, y: f64, class: &str, words: &str, from: Week, until: Week) -> Group {
    let (x, end) = (axis.x(from), axis.x(until));
    let mut inner = window(x, y, end - x, COVER);
    inner.append(rect(&format!("cover {class}"), 0.0, 0.0, end - x, COVER));
    inner.append(text("cn", 4.0, COVER - 3.5, words));
    Group::new()
        .add(title(&format!("{words}, {from} to {}", until.plus(-1))))
        .add(inner)
}

/// A planting's bar.
fn bar(scenario: &Scenario, look: &Look, planting: &Planting, y: f64, height: f64) -> Element {
    let axis = &look.axis;
    let (x, end) = (axis.x(planting.planted), axis.x(planting.cleared));
    let width = end - x;
    let within = |week: Week| axis.x(week) - x;
    let kind = if planting.way.is_none() && planting.raising.is_some() {
        "manure"
    } else {
        "grow"
    };
    let mut inner = window(x, y, width, height);
    let edge = HALF_LINE;
    inner.append(rect(
        kind,
        edge,
        edge,
        width - 2.0 * edge,
        height - 2.0 * edge,
    ));
    for (first, last) in planting.seasons() {
        let (from, until) = (within(first), within(last.plus(1)).min(width));
        inner.append(rect("harvest", from, 1.0, until - from, height - 2.0));
    }
    for (from, until) in runs(planting.harvest.keys().copied()) {
        let (from, until) = (within(from), within(until.plus(1)).min(width));
        if until > from {
            inner.append(rect("lift", from, height - MARK, until - from, MARK));
        }
    }
    for under in &planting.under {
        let (from, until) = (within(under.from), within(under.until.plus(1)).min(width));
        if until > from {
            inner.append(rect("under", from, 0.0, until - from, MARK));
        }
    }
    let stood = planting.planted < axis.start;
    if stood {
        inner.append(rect("stood", 0.0, 0.0, EDGE.min(width), height));
    }
    if width >= LETTERS {
        let indent = if stood { EDGE } else { 0.0 };
        inner.append(text("n", indent + 3.0, height / 2.0 + 4.0, &planting.crop));
    }
    if let Some((ids, class)) = look.marked
        && ids.contains(&planting.id)
    {
        let (wide, high) = ((width - 4.0).max(0.0), height - 4.0);
        inner.append(rect(class, 2.0, 2.0, wide, high));
    }
    let mut outer = match look.links {
        true => Element::new("a"),
        false => Element::new("g"),
    };
    match look.links {
        true => outer.assign("href", format!("#{}", planting.id)),
        false => outer.assign("class", "bar"),
    }
    outer.append(title(&about(scenario, planting)));
    outer.append(inner);
    outer
}

/// A piece of the chart that nothing inside leaves.
fn window(x: f64, y: f64, width: f64, height: f64) -> Element {
    let mut window = Element::new("svg");
    for (name, value) in [("x", x), ("y", y), ("width", width), ("height", height)] {
        window.assign(name, super::round(value));
    }
    window
}

/// Neighbouring weeks taken together.
fn runs(weeks: impl Iterator<Item = Week>) -> Vec<(Week, Week)> {
    let mut runs: Vec<(Week, Week)> = Vec::new();
    for week in weeks {
        match runs.last_mut() {
            Some((_, last)) if last.plus(1) == week => *last = week,
            _ => runs.push((week, week)),
        }
    }
    runs
}

/// A planting in one line.
fn about(scenario: &Scenario, planting: &Planting) -> String {
    let mut parts = vec![format!(
        "{}: {} {}",
        isolated(&planting.crop),
        isolated(&planting.bed),
        strips(&planting.strips, "–")
    )];
    match (&planting.raising, &planting.shelf) {
        (None, _) => parts.push("stands already".into()),
        (Some(_), None) => parts.push(format!("sown {}", planting.sown)),
        (Some(_), Some(_)) => parts.push(format!(
            "raised from {}, planted {}",
            planting.sown, planting.planted
        )),
    }
    let seasons: Vec<String> = (planting.seasons().iter())
        .map(|(first, last)| format!("{first} to {last}"))
        .collect();
    if !seasons.is_empty() {
        let total: f64 = planting.harvest.values().sum();
        let unit = unit(scenario, planting);
        parts.push(format!(
            "harvest {}, {} {unit}",
            seasons.join(" and "),
            amount(total)
        ));
    }
    parts.push(format!("cleared {}", planting.cleared));
    parts.join("; ")
}
