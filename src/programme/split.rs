//! Splits a bed's strips, counted by candidate, into years of single strips.
//!
//! Counting by bed is a relaxation (docs/method/programme.md, "Strips"); this is the exact search
//! for strip-years with the same counts.

use crate::candidates::{CandidateId, Rotation, Season};
use crate::domain::BedId;
use crate::rules::sketch::standing_has;

/// Placements tried before the search gives up (estimate: a bed takes well under a thousand).
const MOST_TRIES: u64 = 300_000;

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
    group: usize,
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
    bed: BedId,
    /// Candidates, once for each strip, in order of time.
    items: Vec<CandidateId>,
    strips: Vec<Strip>,
    /// Clashes to spare for each family and week; `None`: any.
    spare: Option<Vec<Vec<f64>>>,
    tries: u64,
}

/// Splits `counts` (candidate, strips) of a bed. With `clashes`, for each family and week, the
/// clashes of discouraged breaks, counted strip by strip, may not exceed them.
pub fn split(
    season: &Season,
    bed: BedId,
    counts: &[(CandidateId, u32)],
    clashes: Option<Vec<Vec<f64>>>,
) -> Split {
    let mut items: Vec<CandidateId> = counts
        .iter()
        .flat_map(|&(candidate, strips)| std::iter::repeat_n(candidate, strips as usize))
        .collect();
    items.sort_by_key(|&c| {
        let it = &season.candidates[c];
        (it.start, it.standing.is_none(), it.end, c)
    });
    let mut strips: Vec<Option<Strip>> = vec![None; season.beds[bed].strips as usize];
    for (g, group) in season
        .groups
        .iter()
        .enumerate()
        .filter(|(_, g)| g.bed == bed)
    {
        for &strip in &group.strips {
            strips[strip as usize] = Some(empty(season, bed, g));
        }
    }
    let mut search = Search {
        season,
        bed,
        items,
        strips: strips
            .into_iter()
            .map(|s| s.expect("every strip is in a group"))
            .collect(),
        spare: clashes,
        tries: 0,
    };
    if search.place(0) {
        Split::Found(search.strips.into_iter().map(|s| s.year).collect())
    } else if search.tries >= MOST_TRIES {
        Split::Unknown
    } else {
        Split::Impossible
    }
}

/// A strip before anything is planted.
fn empty(season: &Season, bed: BedId, group: usize) -> Strip {
    let g = &season.groups[group];
    let mut strip = Strip {
        group,
        free_from: 0,
        release: vec![0; g.release.len()],
        begun: false,
        windows: Vec::new(),
        year: Vec::new(),
    };
    for (family, &release) in g.release.iter().enumerate() {
        // Where the family itself stands, its own window covers its history.
        if g.standing.is_some_and(|s| standing_has(season, s, family)) {
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
        for at in 0..self.strips.len() {
            // Of strips that are alike only the first is tried.
            let same = |other: &Strip| {
                let it = &self.strips[at];
                it.group == other.group
                    && it.free_from == other.free_from
                    && it.begun == other.begun
                    && it.release == other.release
                    && it.windows == other.windows
            };
            if self.strips[..at].iter().any(same) {
                continue;
            }
            self.tries += 1;
            if self.tries >= MOST_TRIES {
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
            match self.season.beds[self.bed].rotation[used.family] {
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
