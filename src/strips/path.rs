//! The best year of one strip: a longest path over weeks whose state is the last cover state and
//! the week from which each family may come back. Exact, by labels with dominance.

use crate::candidates::{CandidateId, CoverState, FamilyUse, Rotation};

/// Most families the path keeps apart; `input` admits fewer (those shipped and 32 of a scenario).
pub const MAX_FAMILIES: usize = 56;
/// Largest number of cover states, bare included; `input` admits fewer.
const MAX_STATES: usize = 24;
/// Values closer than this are the same, money.
const SAME: f64 = 1e-9;

/// Labels a week that the search for a good year keeps.
const WIDTH: usize = 8;

type Releases = [u8; MAX_FAMILIES];

/// A planting as the path sees it: weeks, worth at the present prices, cover states at both ends.
#[derive(Clone, Copy, Debug)]
pub struct Arc {
    pub candidate: CandidateId,
    pub start: u16,
    pub end: u16,
    pub first: CoverState,
    pub last: CoverState,
    /// Index into the finder's table of family uses.
    pub uses: u32,
    pub value: f64,
}

/// What changing the cover state between two plantings costs one strip, money.
#[derive(Clone, Copy, Debug)]
pub struct Moves(pub [[f64; MAX_STATES]; MAX_STATES]);

impl Moves {
    /// Covers whose moves are paid elsewhere.
    pub fn free() -> Moves {
        Moves([[0.0; MAX_STATES]; MAX_STATES])
    }

    /// From money for placing and removing each cover on one strip's share of a bed.
    pub fn of(place: &[f64], remove: &[f64]) -> Moves {
        let mut table = Moves::free();
        let states = place.len() + 1;
        for from in 0..states {
            for to in 0..states {
                if from != to {
                    let off = if from > 0 { remove[from - 1] } else { 0.0 };
                    let on = if to > 0 { place[to - 1] } else { 0.0 };
                    table.0[from][to] = off + on;
                }
            }
        }
        table
    }
}

/// The strip whose year is sought.
#[derive(Clone, Copy, Debug)]
pub struct Strip<'a> {
    /// For each family.
    pub rules: &'a [Rotation],
    /// For each family: first free week by history.
    pub release: &'a [usize],
    /// What lies on the bed before the first week; `None`: its year follows upon itself, and whatever the first
    /// planting asks for lies there.
    pub state_before: Option<CoverState>,
    /// Weeks of its year, at most those of the finder.
    pub weeks: usize,
    /// Ways to treat what stands, each as an arc from week 0; `None`: nothing stands.
    pub standing: Option<&'a [Arc]>,
}

/// A strip-year and its worth.
#[derive(Clone, Debug, PartialEq)]
pub struct Path {
    pub value: f64,
    pub candidates: Vec<CandidateId>,
}

#[derive(Clone, Copy)]
struct Label {
    value: f64,
    state: CoverState,
    release: Releases,
    previous: u32,
    candidate: u32,
}

const NONE: u32 = u32::MAX;

/// Finds best strip-years over one set of arcs.
pub struct PathFinder<'a> {
    weeks: usize,
    /// Sorted by start.
    arcs: &'a [Arc],
    uses: &'a [Vec<FamilyUse>],
    moves: &'a Moves,
    /// Upper bound on what can still be earned from a week on, rotation and moves ignored.
    rest: Vec<f64>,
    first_arc: Vec<usize>,
    labels: Vec<Label>,
    arriving: Vec<Vec<u32>>,
    states: usize,
}

impl<'a> PathFinder<'a> {
    /// Prepares the search; `arcs` must be sorted by start and have positive value.
    pub fn new(
        weeks: usize,
        states: usize,
        arcs: &'a [Arc],
        uses: &'a [Vec<FamilyUse>],
        moves: &'a Moves,
    ) -> PathFinder<'a> {
        assert!(states <= MAX_STATES, "at most {MAX_STATES} cover states");
        let mut rest = vec![0.0; weeks + 1];
        let mut first_arc = vec![arcs.len(); weeks + 2];
        let mut position = arcs.len();
        for week in (0..weeks).rev() {
            rest[week] = rest[week + 1];
            while position > 0 && usize::from(arcs[position - 1].start) == week {
                position -= 1;
                let arc = &arcs[position];
                let through = arc.value + rest[usize::from(arc.end)];
                if through > rest[week] {
                    rest[week] = through;
                }
            }
            first_arc[week] = position;
        }
        PathFinder {
            weeks,
            arcs,
            uses,
            moves,
            rest,
            first_arc,
            labels: Vec::new(),
            arriving: vec![Vec::new(); weeks + 1],
            states,
        }
    }

    /// The best year: exactly, or for a ring of a standing year one that is worth no less. Such a year is long, and
    /// each family multiplies what has to be told apart: breaks are watched only of families that the best year
    /// breaks otherwise, of so many at the most.
    pub fn best(&mut self, strip: &Strip) -> Path {
        const MOST_WATCHED: usize = 2; // measured, docs/decisions/23
        if strip.state_before.is_some() {
            return self.exact(strip, strip.rules);
        }
        let mut watched = vec![Rotation::Off; strip.rules.len()];
        let mut left = MOST_WATCHED;
        loop {
            let path = self.exact(strip, &watched);
            let broken = self.broken(strip, &path, &watched);
            let more: Vec<usize> = broken.into_iter().take(left).collect();
            if more.is_empty() {
                return path;
            }
            left -= more.len();
            for family in more {
                watched[family] = strip.rules[family];
            }
        }
    }

    /// Families not watched whose breaks a year cuts short, in order of time.
    fn broken(&self, strip: &Strip, path: &Path, watched: &[Rotation]) -> Vec<usize> {
        let mut release = vec![0; strip.rules.len()];
        let mut found = Vec::new();
        for &candidate in &path.candidates {
            let arc = (self.arcs.iter()).find(|arc| arc.candidate == candidate);
            let uses = arc.map_or(&[][..], |arc| &self.uses[arc.uses as usize]);
            for used in uses {
                let family = used.family;
                if let Rotation::Forbid { weeks } | Rotation::Discourage { weeks, .. } =
                    strip.rules[family]
                {
                    let open = watched[family] == Rotation::Off && !found.contains(&family);
                    if open && release[family] > used.from {
                        found.push(family);
                    }
                    release[family] = release[family].max(used.until + weeks);
                }
            }
        }
        found
    }

    /// The best year by these rules.
    fn exact(&mut self, strip: &Strip, watched: &[Rotation]) -> Path {
        // A narrow first pass gives a good year quickly; its worth prunes the exact pass.
        const NARROW: usize = 3;
        let quick = self.search(strip, watched, NARROW, f64::NEG_INFINITY);
        self.search(strip, watched, usize::MAX, quick.value - SAME)
    }

    /// A good year, keeping few labels a week: for building plans, not for bounds.
    pub fn good(&mut self, strip: &Strip) -> Path {
        self.search(strip, strip.rules, WIDTH, f64::NEG_INFINITY)
    }

    /// The same, if it is worth more than is known already, money.
    pub fn good_above(&mut self, strip: &Strip, known: f64) -> Option<Path> {
        let path = self.search(strip, strip.rules, WIDTH, known);
        (path.value > known + SAME).then_some(path)
    }

    fn search(&mut self, strip: &Strip, watched: &[Rotation], width: usize, known: f64) -> Path {
        self.labels.clear();
        for week in &mut self.arriving {
            week.clear();
        }
        self.begin(strip);
        let mut active: Vec<u32> = Vec::new();
        let mut kept: Vec<u32> = Vec::new();
        let mut best = (f64::NEG_INFINITY, NONE);
        for week in 0..=self.weeks {
            for &label in &active {
                settle(&mut self.labels[label as usize].release, week);
            }
            let mut arrivals = std::mem::take(&mut self.arriving[week]);
            for &label in &arrivals {
                settle(&mut self.labels[label as usize].release, week);
            }
            active.append(&mut arrivals);
            self.arriving[week] = arrivals;
            self.prune(
                &mut active,
                &mut kept,
                week,
                width,
                known.max(best.0 - SAME),
            );
            for &label in &active {
                let value = self.labels[label as usize].value;
                if value > best.0 + SAME {
                    best = (value, label);
                }
            }
            if week == self.weeks {
                break;
            }
            self.extend(strip, watched, &active, week, known.max(best.0 - SAME));
        }
        self.trace(best)
    }

    fn begin(&mut self, strip: &Strip) {
        let mut release = [0u8; MAX_FAMILIES];
        for (slot, &week) in release.iter_mut().zip(strip.release) {
            *slot = clip(week);
        }
        let start = Label {
            value: 0.0,
            state: strip.state_before.unwrap_or(0),
            release,
            previous: NONE,
            candidate: NONE,
        };
        match strip.standing {
            None => {
                let states = match strip.state_before {
                    Some(state) => state..=state,
                    None => 0..=CoverState::try_from(self.states - 1).expect("states are few"),
                };
                for (index, state) in (0u32..).zip(states) {
                    self.labels.push(Label { state, ..start });
                    self.arriving[0].push(index);
                }
            }
            Some(alternatives) => {
                for arc in alternatives {
                    let mut label = start;
                    if arc.end > arc.start && strip.state_before.is_some() {
                        label.value -=
                            self.moves.0[usize::from(label.state)][usize::from(arc.first)];
                    }
                    if arc.end > arc.start {
                        label.state = arc.last;
                    }
                    label.value += arc.value;
                    label.candidate = u32::try_from(arc.candidate).expect("candidates fit u32");
                    // What stands has not to ask leave of the rotation, but counts for what follows.
                    for used in &self.uses[arc.uses as usize] {
                        let after = extended(used, strip.rules[used.family]);
                        let slot = &mut label.release[used.family];
                        *slot = (*slot).max(after);
                    }
                    let index = u32::try_from(self.labels.len()).expect("labels fit u32");
                    self.labels.push(label);
                    self.arriving[usize::from(arc.end)].push(index);
                }
            }
        }
    }

    /// Keeps the labels that no other is at least as good as.
    fn prune(
        &self,
        active: &mut Vec<u32>,
        kept: &mut Vec<u32>,
        week: usize,
        width: usize,
        known: f64,
    ) {
        let rest = self.rest[week];
        active.retain(|&l| self.labels[l as usize].value + rest >= known);
        active.sort_by(|&a, &b| {
            let (left, right) = (&self.labels[a as usize], &self.labels[b as usize]);
            right.value.total_cmp(&left.value).then(a.cmp(&b))
        });
        kept.clear();
        for &label in active.iter() {
            let this = &self.labels[label as usize];
            let dominated = kept.iter().any(|&k| {
                let other = &self.labels[k as usize];
                let change = self.dearest_change(other.state, this.state);
                other.value - change >= this.value && no_later(&other.release, &this.release)
            });
            if !dominated {
                kept.push(label);
                if kept.len() == width {
                    break;
                }
            }
        }
        std::mem::swap(active, kept);
    }

    /// The most it can cost more to go on from state `a` than from state `b`.
    fn dearest_change(&self, a: CoverState, b: CoverState) -> f64 {
        if a == b {
            return 0.0;
        }
        (0..self.states)
            .map(|s| self.moves.0[usize::from(a)][s] - self.moves.0[usize::from(b)][s])
            .fold(0.0, f64::max)
    }

    fn extend(
        &mut self,
        strip: &Strip,
        watched: &[Rotation],
        active: &[u32],
        week: usize,
        known: f64,
    ) {
        let arcs = self.arcs;
        for arc in &arcs[self.first_arc[week]..self.first_arc[week + 1].max(self.first_arc[week])] {
            let uses = &self.uses[arc.uses as usize];
            if usize::from(arc.end) > strip.weeks || comes_too_soon(strip, uses) {
                continue;
            }
            let rest = self.rest[usize::from(arc.end)];
            for &label in active {
                let from = self.labels[label as usize];
                let value = from.value + arc.value;
                if value + rest < known {
                    break; // labels come in order of falling value
                }
                let value = value - self.moves.0[usize::from(from.state)][usize::from(arc.first)];
                let Some((cost, release)) = rotate(&from.release, uses, strip, watched) else {
                    continue;
                };
                let value = value - cost;
                if value + rest < known {
                    continue;
                }
                let index = u32::try_from(self.labels.len()).expect("labels fit u32");
                self.labels.push(Label {
                    value,
                    state: arc.last,
                    release,
                    previous: label,
                    candidate: u32::try_from(arc.candidate).expect("candidates fit u32"),
                });
                self.arriving[usize::from(arc.end)].push(index);
            }
        }
    }

    fn trace(&self, (value, mut label): (f64, u32)) -> Path {
        let mut candidates = Vec::new();
        while label != NONE {
            let this = &self.labels[label as usize];
            if this.candidate != NONE {
                candidates.push(this.candidate as usize);
            }
            label = this.previous;
        }
        candidates.reverse();
        Path { value, candidates }
    }
}

/// Whether the ring of a standing year comes round before a planting's own break is over.
fn comes_too_soon(strip: &Strip, uses: &[FamilyUse]) -> bool {
    strip.state_before.is_none()
        && uses.iter().any(|used| match strip.rules[used.family] {
            Rotation::Forbid { weeks } => used.until + weeks > used.from + strip.weeks,
            _ => false,
        })
}

fn clip(week: usize) -> u8 {
    u8::try_from(week).unwrap_or(u8::MAX)
}

fn extended(used: &FamilyUse, rule: Rotation) -> u8 {
    match rule {
        Rotation::Forbid { weeks } | Rotation::Discourage { weeks, .. } => clip(used.until + weeks),
        Rotation::Off => 0,
    }
}

/// A release that has passed is the same as none.
fn settle(release: &mut Releases, week: usize) {
    let week = clip(week);
    for slot in release.iter_mut() {
        *slot = if *slot <= week { 0 } else { *slot };
    }
}

fn no_later(a: &Releases, b: &Releases) -> bool {
    a.iter().zip(b).fold(true, |all, (x, y)| all & (x <= y))
}

/// Cost of planting these families now and the releases after; `None` where a rule forbids it.
fn rotate(
    release: &Releases,
    uses: &[FamilyUse],
    strip: &Strip,
    watched: &[Rotation],
) -> Option<(f64, Releases)> {
    let mut after = *release;
    let mut cost = 0.0;
    for used in uses {
        let free = usize::from(release[used.family]);
        let rule = watched[used.family];
        if free > used.from {
            match rule {
                Rotation::Forbid { .. } => return None,
                Rotation::Discourage {
                    money_per_strip_week,
                    ..
                } => {
                    // The weeks in which both extended windows hold, within its year.
                    let until = free.min(usize::from(extended(used, rule))).min(strip.weeks);
                    cost += money_per_strip_week * (until.saturating_sub(used.from)) as f64;
                }
                Rotation::Off => {}
            }
        }
        let slot = &mut after[used.family];
        *slot = (*slot).max(extended(used, rule));
    }
    Some((cost, after))
}
