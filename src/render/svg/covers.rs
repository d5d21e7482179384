//! Where each cover lies, week by week, and how many of a kind are idle.

use super::axis::{Axis, HEAD};
use super::beds::cover_bar;
use super::{Chart, cover_class, line, rect, text};
use crate::domain::Scenario;
use crate::plan::{CoverSpell, YearPlan};
use std::ops::Range;
use svg::node::element::Group;

/// Units for words on the left.
const LEFT: f64 = 132.0;
/// Height of a cover's line, and between kinds.
const LANE: f64 = 17.0;
const GAP: f64 = 8.0;
/// Least width of a figure of idle covers.
const FIGURE: f64 = 22.0;

/// One kind of cover: its pieces, each with the spells it serves.
pub struct Lanes<'a> {
    pub cover: String,
    pub pieces: Vec<Vec<&'a CoverSpell>>,
}

impl Lanes<'_> {
    /// How many lie nowhere in that week.
    pub fn idle(&self, week: crate::units::Week) -> usize {
        let busy = |piece: &&Vec<&CoverSpell>| {
            (piece.iter()).any(|s| s.placed <= week && week < s.removed)
        };
        self.pieces.len() - self.pieces.iter().filter(busy).count()
    }
}

/// The pieces of each kind; a piece that has been moved from a bed serves the next in time.
pub fn lanes<'a>(scenario: &Scenario, plan: &'a YearPlan) -> Vec<Lanes<'a>> {
    (scenario.covers.iter())
        .map(|cover| {
            let mut spells: Vec<&CoverSpell> = plan
                .covers
                .iter()
                .filter(|s| s.cover == cover.name)
                .collect();
            spells.sort_by_key(|s| (s.placed, s.bed.clone()));
            let mut pieces: Vec<Vec<&CoverSpell>> = vec![Vec::new(); cover.count as usize];
            for spell in spells {
                let free = |piece: &Vec<&CoverSpell>| {
                    piece.last().is_none_or(|last| last.removed <= spell.placed)
                };
                match pieces.iter_mut().find(|piece| free(piece)) {
                    Some(piece) => piece.push(spell),
                    None => pieces.push(vec![spell]),
                }
            }
            Lanes {
                cover: cover.name.clone(),
                pieces,
            }
        })
        .collect()
}

/// A chart for each kind.
pub fn cover_sheets(plan: &YearPlan, kinds: &[Lanes]) -> Vec<Chart> {
    (0..kinds.len())
        .map(|kind| chart(plan, kinds, kind..kind + 1))
        .collect()
}

/// The chart; pieces that lie idle throughout are counted, not drawn.
pub fn covers(plan: &YearPlan, kinds: &[Lanes]) -> Chart {
    chart(plan, kinds, 0..kinds.len())
}

fn chart(plan: &YearPlan, kinds: &[Lanes], shown: Range<usize>) -> Chart {
    let axis = Axis::of(plan, LEFT, 2.0);
    let one = (shown.len() == 1).then(|| kinds[shown.start].cover.clone());
    let mut body = Group::new();
    let mut y = HEAD + 2.0;
    for kind in shown {
        let lanes = &kinds[kind];
        let used = lanes.pieces.iter().filter(|p| !p.is_empty()).count();
        let count = format!("{} to hand, {used} used", lanes.pieces.len());
        body = body.add(text("f", 2.0, y + 12.0, &lanes.cover));
        body = body.add(text("u", 2.0, y + 25.0, &count));
        for piece in lanes.pieces.iter().filter(|p| !p.is_empty()) {
            let width = axis.at(axis.weeks) - LEFT;
            body = body.add(rect("idle", LEFT, y + 1.0, width, LANE - 3.0));
            for spell in piece {
                let (from, until) = (spell.placed, spell.removed);
                let class = cover_class(kind);
                body = body.add(cover_bar(&axis, y + 1.0, &class, &spell.bed, from, until));
            }
            y += LANE;
        }
        let every = (FIGURE / axis.week()).ceil().max(1.0) as usize;
        body = body.add(text("l", LEFT - 5.0, y + 12.0, "idle"));
        for index in (0..axis.weeks).step_by(every) {
            let idle = lanes.idle(axis.calendar(index)).to_string();
            body = body.add(text("w", axis.at(index) + 1.5, y + 12.0, &idle));
        }
        // The name and the count need two lines, also where no cover of the kind is used.
        y += (LANE * 2.0 - LANE * used.min(1) as f64).max(LANE);
        body = body.add(line("rule", (0.0, y), (super::WIDTH, y)));
        y += GAP;
    }
    Chart {
        name: match one {
            Some(cover) => format!("{cover}, week by week"),
            None => "Covers, week by week".to_string(),
        },
        height: y,
        body: Group::new().add(axis.draw(y)).add(body),
    }
}
