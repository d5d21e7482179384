//! The best year of one strip, from above: a longest path over weeks, with what lies on the bed and when
//! each family may come back.

use super::values::change;
use crate::candidates::{CandidateId, GroupId, Rotation, Season};
use std::rc::Rc;

/// A planting on the strip, worth so much from above.
struct Step {
    candidate: CandidateId,
    value: f64,
}

#[derive(Clone)]
struct Label {
    value: f64,
    state: usize,
    /// By family: the week from which it may come back.
    free_from: Vec<usize>,
    taken: Option<Rc<Taken>>,
}

/// A planting of a year, and those before it.
struct Taken {
    candidate: CandidateId,
    before: Option<Rc<Taken>>,
}

/// What a strip of a group can bring at the most, money; minus infinity where what stands there cannot be
/// treated in any way.
pub struct Paths<'p> {
    season: &'p Season,
    /// Moves between cover states for one strip's share, money, from below and from above.
    moves: Vec<Vec<(f64, f64)>>,
    /// By start week: plantings worth more than nothing.
    steps: Vec<Vec<Step>>,
    /// By week: most that can come from it on, rotation and moves left out.
    rest: Vec<f64>,
}

impl<'p> Paths<'p> {
    /// For beds of so many strips that admit these plantings at these values.
    pub fn new(season: &'p Season, strips: u32, plantings: Vec<(CandidateId, f64)>) -> Paths<'p> {
        let states = season.covers.len() + 1;
        let moves = (0..states)
            .map(|from| {
                (0..states)
                    .map(|to| {
                        let cost = change(season, from as u8, to as u8).over(f64::from(strips));
                        (cost.low.max(0.0), cost.high)
                    })
                    .collect()
            })
            .collect();
        let weeks = season.ground_weeks();
        let mut steps: Vec<Vec<Step>> = (0..=weeks).map(|_| Vec::new()).collect();
        for (candidate, value) in plantings {
            // Without a planting worth nothing a year is no worse: the moves around it fall away.
            if value > 0.0 {
                steps[season.candidates[candidate].start].push(Step { candidate, value });
            }
        }
        let mut rest = vec![0.0; weeks + 1];
        for week in (0..weeks).rev() {
            rest[week] = rest[week + 1];
            for step in &steps[week] {
                let end = season.candidates[step.candidate].end;
                rest[week] = f64::max(rest[week], (step.value + rest[end]).next_up());
            }
            only_the_best(season, &mut steps[week]);
        }
        Paths {
            season,
            moves,
            steps,
            rest,
        }
    }

    /// The best year of a strip of the group; `standing` are the ways to treat what stands there, with
    /// their values.
    pub fn best(&self, group: GroupId, standing: Option<&[(CandidateId, f64)]>) -> f64 {
        // A ring is long: breaks are watched of families that the best year breaks otherwise, of so many at the
        // most. With fewer rules a year is worth no less.
        const MOST_WATCHED: usize = 2; // measured, docs/decisions/23
        let season = self.season;
        let rules = &season.beds[season.groups[group].bed].rotation;
        if season.cycle.is_none() {
            return self.by_rules(group, standing, rules).0;
        }
        let mut watched = vec![Rotation::Off; rules.len()];
        let mut left = MOST_WATCHED;
        loop {
            let (value, taken) = self.by_rules(group, standing, &watched);
            let mut more = broken(season, rules, &watched, &taken);
            more.truncate(left);
            if more.is_empty() {
                return value;
            }
            left -= more.len();
            for family in more {
                watched[family] = rules[family];
            }
        }
    }

    /// The most that a year can bring by these rules, and the plantings of one that does.
    fn by_rules(
        &self,
        group: GroupId,
        standing: Option<&[(CandidateId, f64)]>,
        rules: &[Rotation],
    ) -> (f64, Vec<CandidateId>) {
        // A year found with few labels a week is not above the best; what cannot reach it is left out.
        const FEW: usize = 3;
        let few = self.search(group, standing, rules, FEW, f64::NEG_INFINITY);
        let all = self.search(group, standing, rules, usize::MAX, few.0);
        if all.0 >= few.0 { all } else { few }
    }

    fn search(
        &self,
        group: GroupId,
        standing: Option<&[(CandidateId, f64)]>,
        rules: &[Rotation],
        width: usize,
        known: f64,
    ) -> (f64, Vec<CandidateId>) {
        let season = self.season;
        let bed = &season.beds[season.groups[group].bed];
        let weeks = season.groups[group].weeks;
        // A ring of a standing year comes round: its first planting finds whatever it asks for.
        let round = season.cycle.is_some();
        let begin = |state: usize| Label {
            value: 0.0,
            state,
            free_from: season.groups[group].release.clone(),
            taken: None,
        };
        let before = usize::from(bed.state_before);
        let mut arriving: Vec<Vec<Label>> = vec![Vec::new(); weeks + 1];
        match standing {
            None if round => arriving[0].extend((0..self.moves.len()).map(begin)),
            None => arriving[0].push(begin(before)),
            Some(ways) => {
                for &(c, value) in ways {
                    let candidate = &season.candidates[c];
                    let mut label = begin(before);
                    label.value = value;
                    if let (Some(&first), Some(&last)) =
                        (candidate.states.first(), candidate.states.last())
                    {
                        if !round {
                            label.value = self.moved(value, label.state, usize::from(first));
                        }
                        label.state = usize::from(last);
                    }
                    // What stands asks no leave of the rotation, but counts for what follows.
                    for used in &candidate.families {
                        let slot = &mut label.free_from[used.family];
                        *slot = (*slot).max(until(used.until, rules[used.family]));
                    }
                    arriving[candidate.end].push(label);
                }
            }
        }
        let mut active: Vec<Label> = Vec::new();
        let mut best = f64::NEG_INFINITY;
        let mut of_best: Option<Rc<Taken>> = None;
        for week in 0..=weeks {
            active.append(&mut arriving[week]);
            for label in &mut active {
                for free in &mut label.free_from {
                    *free = if *free <= week { 0 } else { *free };
                }
            }
            active = self.not_beaten(active, week, width, known.max(best));
            for label in &active {
                if label.value > best {
                    best = label.value;
                    of_best.clone_from(&label.taken);
                }
            }
            if week == weeks {
                break;
            }
            for step in &self.steps[week] {
                let candidate = &season.candidates[step.candidate];
                if candidate.end > weeks || round && comes_too_soon(season, group, step.candidate) {
                    continue;
                }
                for label in &active {
                    let most = (label.value + step.value).next_up();
                    if (most + self.rest[candidate.end]).next_up() < known.max(best) {
                        break; // labels come by falling value
                    }
                    if let Some(next) = self.stepped(label, step, rules, weeks) {
                        arriving[candidate.end].push(next);
                    }
                }
            }
        }
        let mut taken = Vec::new();
        let mut last = of_best.as_ref();
        while let Some(it) = last {
            taken.push(it.candidate);
            last = it.before.as_ref();
        }
        taken.reverse();
        (best, taken)
    }

    fn moved(&self, value: f64, from: usize, to: usize) -> f64 {
        (value - self.moves[from][to].0).next_up()
    }

    fn stepped(
        &self,
        label: &Label,
        step: &Step,
        rules: &[Rotation],
        weeks_of_year: usize,
    ) -> Option<Label> {
        let candidate = &self.season.candidates[step.candidate];
        let mut next = label.clone();
        next.taken = Some(Rc::new(Taken {
            candidate: step.candidate,
            before: label.taken.clone(),
        }));
        let first = usize::from(candidate.states[0]);
        next.value = (label.value + step.value).next_up();
        next.value = self.moved(next.value, label.state, first);
        next.state = usize::from(candidate.states[candidate.states.len() - 1]);
        for used in &candidate.families {
            let rule = rules[used.family];
            let free = label.free_from[used.family];
            if free > used.from {
                match rule {
                    Rotation::Forbid { .. } => return None,
                    Rotation::Discourage {
                        money_per_strip_week,
                        ..
                    } => {
                        let end = free.min(until(used.until, rule)).min(weeks_of_year);
                        let weeks = end.saturating_sub(used.from) as f64;
                        let cost = (money_per_strip_week * weeks).next_down().max(0.0);
                        next.value = (next.value - cost).next_up();
                    }
                    Rotation::Off => {}
                }
            }
            let slot = &mut next.free_from[used.family];
            *slot = (*slot).max(until(used.until, rule));
        }
        Some(next)
    }

    /// What a label is worth at the least, to one who would rather have the bed in another state.
    fn after_change(&self, label: &Label, state: usize) -> f64 {
        if label.state == state {
            return label.value;
        }
        let dearest = (self.moves[label.state].iter().zip(&self.moves[state]))
            .map(|(own, other)| (own.1 - other.0).next_up())
            .fold(0.0, f64::max);
        (label.value - dearest).next_down()
    }

    /// Labels that no other is at least as good as, by falling value.
    fn not_beaten(&self, labels: Vec<Label>, week: usize, width: usize, known: f64) -> Vec<Label> {
        let mut labels = labels;
        labels.retain(|l| (l.value + self.rest[week]).next_up() >= known);
        labels.sort_by(|a, b| b.value.total_cmp(&a.value));
        let mut kept: Vec<Label> = Vec::new();
        for label in labels {
            let beaten = kept.iter().any(|k| {
                self.after_change(k, label.state) >= label.value
                    && k.free_from
                        .iter()
                        .zip(&label.free_from)
                        .all(|(a, b)| a <= b)
            });
            if !beaten {
                kept.push(label);
                if kept.len() == width {
                    break;
                }
            }
        }
        kept
    }
}

/// Families not watched whose breaks a year cuts short, in order of time.
fn broken(
    season: &Season,
    rules: &[Rotation],
    watched: &[Rotation],
    taken: &[CandidateId],
) -> Vec<usize> {
    let mut free_from = vec![0; rules.len()];
    let mut found = Vec::new();
    for used in taken.iter().flat_map(|&c| &season.candidates[c].families) {
        let family = used.family;
        let open = watched[family] == Rotation::Off && !found.contains(&family);
        if open && free_from[family] > used.from {
            found.push(family);
        }
        free_from[family] = free_from[family].max(until(used.until, rules[family]));
    }
    found
}

/// Whether the ring of a group comes round before a planting's own break is over.
fn comes_too_soon(season: &Season, group: GroupId, candidate: CandidateId) -> bool {
    let group = &season.groups[group];
    (season.candidates[candidate].families.iter()).any(|used| {
        match season.beds[group.bed].rotation[used.family] {
            Rotation::Forbid { weeks } => used.until + weeks > used.from + group.weeks,
            _ => false,
        }
    })
}

/// The week from which a family may come back; 0: at any time.
fn until(last: usize, rule: Rotation) -> usize {
    match rule {
        Rotation::Forbid { weeks } | Rotation::Discourage { weeks, .. } => last + weeks,
        Rotation::Off => 0,
    }
}

/// Of plantings alike in weeks, covers at both ends and families only the best.
fn only_the_best(season: &Season, steps: &mut Vec<Step>) {
    steps.sort_by(|a, b| {
        b.value
            .total_cmp(&a.value)
            .then(a.candidate.cmp(&b.candidate))
    });
    let mut kept: Vec<Step> = Vec::new();
    for step in steps.drain(..) {
        let new = &season.candidates[step.candidate];
        let alike = kept.iter().any(|k| {
            let old = &season.candidates[k.candidate];
            old.end == new.end
                && old.states.first() == new.states.first()
                && old.states.last() == new.states.last()
                && old.families == new.families
        });
        if !alike {
            kept.push(step);
        }
    }
    *steps = kept;
}
