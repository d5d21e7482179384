//! Splits strips that are counted by candidate into years of single strips: for one bed, or for
//! all beds at once.
//!
//! Counting by bed is a relaxation (docs/method/programme.md, "Strips"); this is the exhaustive
//! search for strip-years with the same counts.

use super::rings;
use crate::candidates::{CandidateId, CoverState, Rotation, Season};
use crate::domain::BedId;
use crate::rules::OwnFamilies;

/// Placements tried before the search for one bed gives up (estimate: a bed takes well under a
/// thousand).
pub(super) const MOST_TRIES: u64 = 300_000;
/// The same for all beds at once, which may be given up lightly (estimate).
pub(super) const MOST_TRIES_AT_ONCE: u64 = 20_000;

/// How the search ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Split {
    /// For each strip its candidates in order of time.
    Found(Vec<Vec<CandidateId>>),
    /// No strip-years have these counts.
    Impossible,
    /// The search gave up.
    Unknown,
}

/// What has been put into a strip so far.
#[derive(Clone, PartialEq)]
struct Strip {
    bed: BedId,
    group: usize,
    /// Strips of equal number differ in nothing but what has been put into them.
    alike: usize,
    free_from: usize,
    /// First week in which each family may come again.
    release: Vec<usize>,
    begun: bool,
    /// Discouraged windows so far: (family, from, free again).
    windows: Vec<(usize, usize, usize)>,
    year: Vec<CandidateId>,
}

struct Search<'a> {
    season: &'a Season,
    /// What lies on each bed, where that decides.
    covers: Option<&'a [Vec<CoverState>]>,
    most_tries: u64,
    /// Candidates, once for each strip, in order of time.
    items: Vec<CandidateId>,
    strips: Vec<Strip>,
    /// Clashes to spare for each family and week; `None`: any.
    spare: Option<Vec<Vec<f64>>>,
    tries: u64,
}

/// Splits `counts` (candidate, strips) of a bed, in a standing year of a group of rings. With `clashes`, for each family and week, the
/// clashes of discouraged breaks, counted strip by strip, may not exceed them.
pub fn split(
    season: &Season,
    bed: BedId,
    counts: &[(CandidateId, u32)],
    clashes: Option<Vec<Vec<f64>>>,
) -> Split {
    if let Some(cycle) = &season.cycle {
        return rings::split(season, cycle, bed, counts);
    }
    let mut search = Search {
        season,
        covers: None,
        most_tries: MOST_TRIES,
        items: in_order(season, counts),
        strips: empty_strips(season, &OwnFamilies::of(season), bed, bed),
        spare: clashes,
        tries: 0,
    };
    if search.place(0) {
        Split::Found(search.strips.into_iter().map(|s| s.year).collect())
    } else if search.tries >= search.most_tries {
        Split::Unknown
    } else {
        Split::Impossible
    }
}

/// Places `counts` (candidate, strips of all beds together) into the strips of all beds, under
/// the given covers; for each bed and strip its candidates in order of time. `None`: not found.
pub fn place(
    season: &Season,
    counts: &[(CandidateId, u32)],
    covers: &[Vec<CoverState>],
) -> Option<Vec<Vec<Vec<CandidateId>>>> {
    if let Some(cycle) = &season.cycle {
        return rings::place(season, cycle, counts, covers);
    }
    let own = OwnFamilies::of(season);
    let mut strips: Vec<Strip> = Vec::new();
    for bed in 0..season.beds.len() {
        let alike = (0..bed).find(|&other| alike(season, covers, [bed, other]));
        strips.extend(empty_strips(season, &own, bed, alike.unwrap_or(bed)));
    }
    let mut search = Search {
        season,
        covers: Some(covers),
        most_tries: MOST_TRIES_AT_ONCE,
        items: in_order(season, counts),
        strips,
        spare: None,
        tries: 0,
    };
    if !search.place(0) {
        return None;
    }
    let mut placed: Vec<Vec<Vec<CandidateId>>> = vec![Vec::new(); season.beds.len()];
    for strip in search.strips {
        placed[strip.bed].push(strip.year);
    }
    Some(placed)
}

/// Whether nothing that matters differs between two beds under these covers.
pub(super) fn alike(season: &Season, covers: &[Vec<CoverState>], [a, b]: [BedId; 2]) -> bool {
    let (one, other) = (&season.beds[a], &season.beds[b]);
    one.kind == other.kind
        && one.rotation == other.rotation
        && covers[a] == covers[b]
        && nevers(season, a).eq(nevers(season, b))
}

/// Crops that the grower keeps out of a bed.
fn nevers(season: &Season, bed: BedId) -> impl Iterator<Item = usize> + '_ {
    let of_bed = season.never.iter().filter(move |(b, _)| *b == bed);
    of_bed.map(|(_, crop)| *crop)
}

/// Each candidate as often as it is counted, in order of time.
fn in_order(season: &Season, counts: &[(CandidateId, u32)]) -> Vec<CandidateId> {
    let mut items: Vec<CandidateId> = counts
        .iter()
        .flat_map(|&(candidate, strips)| std::iter::repeat_n(candidate, strips as usize))
        .collect();
    items.sort_by_key(|&c| {
        let it = &season.candidates[c];
        (it.start, it.standing.is_none(), it.end, c)
    });
    items
}

/// The strips of a bed before anything is planted; `like` is the first bed that is alike.
fn empty_strips(season: &Season, own: &OwnFamilies, bed: BedId, like: BedId) -> Vec<Strip> {
    let mut strips: Vec<Option<Strip>> = vec![None; season.beds[bed].strips as usize];
    for (g, group) in season
        .groups
        .iter()
        .enumerate()
        .filter(|(_, g)| g.bed == bed)
    {
        let first = season.groups.iter().position(|other| {
            other.bed == like && other.standing == group.standing && other.release == group.release
        });
        for &strip in &group.strips {
            strips[strip as usize] = Some(Strip {
                alike: first.unwrap_or(g),
                ..empty(season, own, bed, g)
            });
        }
    }
    strips
        .into_iter()
        .map(|s| s.expect("every strip is in a group"))
        .collect()
}

/// A strip before anything is planted.
fn empty(season: &Season, own: &OwnFamilies, bed: BedId, group: usize) -> Strip {
    let g = &season.groups[group];
    let mut strip = Strip {
        bed,
        group,
        alike: group,
        free_from: 0,
        release: vec![0; g.release.len()],
        begun: false,
        windows: Vec::new(),
        year: Vec::new(),
    };
    for (family, &release) in g.release.iter().enumerate() {
        // Where the family itself stands, its own window covers its history.
        if own.holds(g.standing, family) {
            continue;
        }
        match season.beds[bed].rotation[family] {
            Rotation::Forbid { .. } => strip.release[family] = release,
            Rotation::Discourage { .. } if release > 0 => strip.windows.push((family, 0, release)),
            _ => {}
        }
    }
    strip
}

impl Search<'_> {
    /// Places item `next` and all after it; leaves the strips filled when it succeeds.
    fn place(&mut self, next: usize) -> bool {
        let Some(&candidate) = self.items.get(next) else {
            return true;
        };
        // The strip that was cleared last before wastes least ground.
        let mut order: Vec<usize> = (0..self.strips.len()).collect();
        order.sort_by_key(|&at| (std::cmp::Reverse(self.strips[at].free_from), at));
        for n in 0..order.len() {
            let at = order[n];
            // Of strips that are alike only the first is tried.
            let same = |&other: &usize| {
                let (it, other) = (&self.strips[at], &self.strips[other]);
                it.alike == other.alike
                    && it.free_from == other.free_from
                    && it.begun == other.begun
                    && it.release == other.release
                    && it.windows == other.windows
            };
            if order[..n].iter().any(same) {
                continue;
            }
            self.tries += 1;
            if self.tries >= self.most_tries {
                return false;
            }
            let before = self.strips[at].clone();
            let spare = self.spare.clone();
            if self.put(at, candidate) && self.place(next + 1) {
                return true;
            }
            self.strips[at] = before;
            self.spare = spare;
        }
        false
    }

    /// Puts a candidate into a strip where it can stand.
    fn put(&mut self, at: usize, candidate: CandidateId) -> bool {
        let c = &self.season.candidates[candidate];
        let strip = &mut self.strips[at];
        let bed = strip.bed;
        if let Some(covers) = self.covers {
            let lies = &covers[bed][c.start..c.end];
            if !self.season.allowed(candidate, bed) || c.states[..] != *lies {
                return false;
            }
        }
        let standing = self.season.groups[strip.group].standing;
        let fits = match c.standing {
            Some(_) => c.standing == standing && !strip.begun,
            None => (strip.begun || standing.is_none()) && strip.free_from <= c.start,
        };
        // What stands was there before the plan; its own history does not forbid it.
        if !fits
            || (c.standing.is_none() && c.families.iter().any(|f| strip.release[f.family] > f.from))
        {
            return false;
        }
        for used in &c.families {
            match self.season.beds[bed].rotation[used.family] {
                Rotation::Forbid { weeks } => {
                    let release = &mut strip.release[used.family];
                    *release = (*release).max(used.until + weeks);
                }
                Rotation::Discourage { weeks, .. } => {
                    let window = (used.family, used.from, used.until + weeks);
                    if let Some(spare) = &mut self.spare {
                        for &(family, from, free) in &strip.windows {
                            let both = from.max(window.1)..free.min(window.2);
                            if family == used.family {
                                // Every window beyond the first of a week is a clash; windows
                                // come in order, so a later one is "beyond" once.
                                for week in both.take_while(|w| *w < self.season.weeks) {
                                    let earlier = strip
                                        .windows
                                        .iter()
                                        .find(|(f, a, z)| *f == family && (*a..*z).contains(&week));
                                    if earlier == Some(&(family, from, free)) {
                                        spare[family][week] -= 1.0;
                                        if spare[family][week] < -0.5 {
                                            return false;
                                        }
                                    }
                                }
                            }
                        }
                    }
                    strip.windows.push(window);
                }
                Rotation::Off => {}
            }
        }
        strip.begun = true;
        strip.free_from = strip.free_from.max(c.end);
        strip.year.push(candidate);
        true
    }
}
