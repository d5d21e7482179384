//! The flow of strips in the compact relaxation: from planting to planting, by week and by what lies on
//! the bed. A strip changes covers between two plantings, or while idle, for its share of the move.

use super::context::Context;
use super::interior::{Col, Lp, Row};
use crate::candidates::{BARE, CoverState, KindId};

/// A column that takes strips from one cover state and week to another.
pub struct Passage {
    pub col: Col,
    /// `None`: its strips are counted elsewhere, as with what stands at the start.
    pub from: Option<(CoverState, usize)>,
    pub to: (CoverState, usize),
}

/// Adds the flow of a pool: `free` strips at the start by cover state, `per_bed` strips to a cover. In a standing
/// year the flow goes round: what is there at the end is what was there at the start, however it was covered, and
/// so many strips are free that idle or planted pass over the turn of the year, one of each of the `rings` with nothing
/// planted.
pub fn add(
    context: &Context,
    lp: &mut Lp,
    kind: KindId,
    passages: &[Passage],
    free: &[f64],
    rings: f64,
    per_bed: f64,
) {
    let weeks = context.season.weeks;
    let round = context.season.cycle.is_some();
    let bare = usize::from(BARE);
    let moves = context.moves(1);
    let mut used: Vec<bool> = free.iter().map(|&strips| strips > 0.0).collect();
    used[bare] = true;
    for passage in passages {
        for (state, _) in passage.from.into_iter().chain([passage.to]) {
            used[usize::from(state)] = true;
        }
    }
    let nodes: Vec<Vec<Row>> = used
        .iter()
        .zip(free)
        .enumerate()
        .map(|(state, (&used, &strips))| {
            let there = if used { weeks + usize::from(!round) } else { 0 };
            let at_start = |week| if week == 0 && !round { strips } else { 0.0 };
            (0..there)
                .map(|week| lp.at_most(("strips", [kind, state, week]), at_start(week)))
                .collect()
        })
        .collect();
    let node = |(state, week): (CoverState, usize)| {
        nodes[usize::from(state)][if round { week % weeks } else { week }]
    };
    let strips: f64 = free.iter().sum();
    let turn = round.then(|| lp.at_most(("turn", [kind, 0, 0]), strips));
    let over = round.then(|| lp.at_most(("over", [kind, 0, 0]), strips - rings));
    for passage in passages {
        if let Some(from) = passage.from {
            lp.term(node(from), passage.col, 1.0);
        }
        lp.term(node(passage.to), passage.col, -1.0);
        if let (Some(turn), Some((_, from))) = (turn, passage.from) {
            for _ in from / weeks..passage.to.1 / weeks {
                lp.term(turn, passage.col, 1.0);
            }
        }
        if let (Some(over), Some((_, from))) = (over, passage.from) {
            for _ in from / weeks..(passage.to.1 - 1) / weeks {
                lp.term(over, passage.col, 1.0);
            }
        }
    }
    for (state, rows) in nodes.iter().enumerate().filter(|(state, _)| used[*state]) {
        for week in 0..weeks {
            let idle = lp.col(("idle", [kind, state, week]), 0.0);
            lp.term(rows[week], idle, 1.0);
            lp.term(rows[(week + 1) % rows.len()], idle, -1.0);
            if let Some(turn) = turn.filter(|_| week + 1 == weeks) {
                lp.term(turn, idle, 1.0);
            }
            if state == bare {
                continue;
            }
            // From one cover to another by way of bare ground: the same moves.
            for (from, to) in [(bare, state), (state, bare)] {
                let called = ("change", [kind * nodes.len() + from, to, week]);
                let change = lp.col(called, moves.0[from][to] / per_bed);
                lp.term(nodes[from][week], change, 1.0);
                lp.term(nodes[to][week], change, -1.0);
            }
        }
    }
}
