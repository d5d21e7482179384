//! A plan carried on as it was decided: for every strip the candidates that come nearest to what
//! was meant to stand there, and the covers as they were to lie.
//!
//! The search begins from it, and it is the plan left as it is.

use super::season::{BARE, Candidate, CandidateId, CoverState, Rotation, Season};
use crate::domain::{Planned, Scenario};

/// Strip-years and covers, as an answer of the search has them.
#[derive(Clone, Debug, PartialEq)]
pub struct Decided {
    /// For each bed and strip: candidates in order of time.
    pub strips: Vec<Vec<Vec<CandidateId>>>,
    /// For each bed and week: what lies on it.
    pub covers: Vec<Vec<CoverState>>,
    /// What could not be placed as decided, in sentences.
    pub left_out: Vec<String>,
}

/// The decisions of `scenario` among the candidates of its `season`.
pub fn decided(scenario: &Scenario, season: &Season) -> Decided {
    let mut decided = Decided {
        strips: (season.beds.iter())
            .map(|bed| vec![Vec::new(); bed.strips as usize])
            .collect(),
        covers: covers(scenario, season),
        left_out: Vec::new(),
    };
    let mut ground = Ground::new(season);
    for (g, group) in season.groups.iter().enumerate() {
        let Some(standing) = group.standing else {
            continue;
        };
        for &strip in &group.strips {
            let meant = (scenario.meant(standing)).find(|m| m.strips.contains(&strip));
            let way = meant.and_then(|m| m.way);
            let end = meant.map_or(0, |m| weeks(season, m.cleared.since(season.start)));
            let fits =
                |c: &Candidate| c.standing == Some(standing) && lies(c, &decided.covers[group.bed]);
            let nearest = nearest(season, fits, way, end);
            let Some(candidate) = nearest else { continue };
            decided.strips[group.bed][strip as usize].push(candidate);
            ground.occupy(season, (g, group.bed, strip), candidate);
        }
    }
    let mut order: Vec<&Planned> = scenario.planned.iter().collect();
    order.sort_by_key(|p| p.members[0].planted);
    for planned in order {
        let mut missed: Vec<&str> = Vec::new();
        for &strip in &planned.strips {
            match place(season, planned, strip, &decided.covers, &ground) {
                Ok(candidate) => {
                    let group = ground.group_of[planned.bed][strip as usize];
                    ground.occupy(season, (group, planned.bed, strip), candidate);
                    decided.strips[planned.bed][strip as usize].push(candidate);
                }
                Err(reason) => missed.push(reason),
            }
        }
        if let Some(reason) = missed.first() {
            let all = planned.strips.len();
            let part = match missed.len() {
                missed if missed < all => format!(" on {missed} of its {all} strips"),
                _ => String::new(),
            };
            decided.left_out.push(format!(
                "{} ({}), planned for {} in {}, cannot be planted as planned{part}: {reason}",
                planned.name,
                scenario.crops[planned.members[0].crop].name,
                scenario.beds[planned.bed].name,
                planned.members[0].planted,
            ));
        }
    }
    decided
}

fn weeks(season: &Season, index: i32) -> usize {
    usize::try_from(index).map_or(0, |week| week.min(season.weeks))
}

/// Whether what it asks for lies on the bed.
fn lies(candidate: &Candidate, mask: &[CoverState]) -> bool {
    mask[candidate.start..candidate.end] == candidate.states[..]
}

/// The candidate that is harvested as meant and ends when it was meant to, or next before.
fn nearest(
    season: &Season,
    fits: impl Fn(&Candidate) -> bool,
    way: Option<usize>,
    end: usize,
) -> Option<CandidateId> {
    (0..season.candidates.len())
        .filter(|&id| fits(&season.candidates[id]) && season.candidates[id].end <= end.max(1))
        .min_by_key(|&id| {
            let c = &season.candidates[id];
            let other_way = way.is_some() && c.members[0].way != way;
            (other_way && c.end > 0, end.abs_diff(c.end), id)
        })
        .or_else(|| {
            (0..season.candidates.len())
                .filter(|&id| fits(&season.candidates[id]))
                .min_by_key(|&id| (season.candidates[id].end, id))
        })
}

/// What is taken so far.
struct Ground {
    /// By bed and strip.
    group_of: Vec<Vec<usize>>,
    /// By bed and strip: the first free week, and for each family the first week in which it may
    /// come back.
    free: Vec<Vec<usize>>,
    release: Vec<Vec<Vec<usize>>>,
    /// Shelf space taken by week, unlit and lit, m².
    shelf: Vec<[f64; 2]>,
}

impl Ground {
    fn new(season: &Season) -> Ground {
        let strips = |bed: usize| season.beds[bed].strips as usize;
        let mut ground = Ground {
            group_of: (0..season.beds.len()).map(|b| vec![0; strips(b)]).collect(),
            free: (0..season.beds.len()).map(|b| vec![0; strips(b)]).collect(),
            release: (0..season.beds.len())
                .map(|b| vec![Vec::new(); strips(b)])
                .collect(),
            shelf: vec![[0.0; 2]; season.weeks],
        };
        for (g, group) in season.groups.iter().enumerate() {
            for &strip in &group.strips {
                ground.group_of[group.bed][strip as usize] = g;
                ground.release[group.bed][strip as usize] = group.release.clone();
            }
        }
        ground
    }

    /// Whether the strip is free by then.
    fn free(&self, bed: usize, strip: u32, candidate: &Candidate) -> bool {
        candidate.start >= self.free[bed][strip as usize]
    }

    /// Whether its families have had their breaks there.
    fn rested(&self, season: &Season, bed: usize, strip: u32, candidate: &Candidate) -> bool {
        candidate
            .families
            .iter()
            .all(|used| match season.beds[bed].rotation[used.family] {
                Rotation::Forbid { .. } => {
                    used.from >= self.release[bed][strip as usize][used.family]
                }
                _ => true,
            })
    }

    /// Whether the shelf has room for it.
    fn room(&self, season: &Season, candidate: &Candidate) -> bool {
        /// Slack of sums of shelf space, m².
        const SLACK: f64 = 1e-9;
        candidate.shelf.iter().all(|s| {
            let space = [season.shelf_unlit_m2, season.shelf_lit_m2][usize::from(s.lit)];
            self.shelf[s.week][usize::from(s.lit)] + s.m2 <= space + SLACK
        })
    }

    fn occupy(&mut self, season: &Season, at: (usize, usize, u32), id: CandidateId) {
        let (_, bed, strip) = (at.0, at.1, at.2 as usize);
        let candidate = &season.candidates[id];
        self.free[bed][strip] = self.free[bed][strip].max(candidate.end);
        for used in &candidate.families {
            let pause = match season.beds[bed].rotation[used.family] {
                Rotation::Forbid { weeks } | Rotation::Discourage { weeks, .. } => weeks,
                Rotation::Off => 0,
            };
            let release = &mut self.release[bed][strip][used.family];
            *release = (*release).max(used.until + pause);
        }
        for s in &candidate.shelf {
            self.shelf[s.week][usize::from(s.lit)] += s.m2;
        }
    }
}

/// The candidate for a planned planting on one of its strips, or why there is none.
fn place(
    season: &Season,
    planned: &Planned,
    strip: u32,
    covers: &[Vec<CoverState>],
    ground: &Ground,
) -> Result<CandidateId, &'static str> {
    let same = |c: &Candidate| {
        c.standing.is_none()
            && c.members.len() == planned.members.len()
            && c.members.iter().zip(&planned.members).all(|(m, p)| {
                (m.crop, m.raising, m.lit) == (p.crop, Some(p.raising), p.lit)
                    && (m.sown, m.planted) == (p.sown, p.planted)
            })
    };
    let end = (planned.members.iter())
        .filter_map(|m| m.cleared)
        .max()
        .map_or(season.weeks, |week| weeks(season, week.since(season.start)));
    let bed = planned.bed;
    let of = |id: CandidateId| &season.candidates[id];
    let mut left: Vec<CandidateId> = (0..season.candidates.len())
        .filter(|&id| same(of(id)) && of(id).end <= end && season.allowed(id, bed))
        .collect();
    if left.is_empty() {
        return Err("nothing comes of it then");
    }
    type Holds<'h> = &'h dyn Fn(&Candidate) -> bool;
    let holds: [(&'static str, Holds); 4] = [
        ("what lies on the bed then is not what it needs", &|c| {
            lies(c, &covers[bed])
        }),
        ("its ground is not free then", &|c| {
            ground.free(bed, strip, c)
        }),
        ("its family has not had its break there", &|c| {
            ground.rested(season, bed, strip, c)
        }),
        ("the shelf is full", &|c| ground.room(season, c)),
    ];
    for (reason, holds) in holds {
        left.retain(|&id| holds(of(id)));
        if left.is_empty() {
            return Err(reason);
        }
    }
    let best = left.into_iter().min_by_key(|&id| {
        let c = of(id);
        let other_ways = c.members.iter().zip(&planned.members);
        let other_ways = other_ways.filter(|(m, p)| p.way.is_some() && m.way != p.way);
        let ends = c.members.iter().zip(&planned.members).map(|(m, p)| {
            p.cleared
                .map_or(0, |meant| meant.since(m.cleared).unsigned_abs())
        });
        (other_ways.count(), end - c.end, ends.sum::<u32>(), id)
    });
    Ok(best.expect("one is left"))
}

/// What was to lie on the beds, as far as there are covers for it: where they do not suffice any
/// more, the last beds go without for the whole of that stretch.
fn covers(scenario: &Scenario, season: &Season) -> Vec<Vec<CoverState>> {
    let mut masks = vec![vec![BARE; season.weeks]; season.beds.len()];
    let mut spells = scenario.carried.covers_meant.clone();
    spells.sort_by_key(|s| (s.from, s.bed));
    let mut used = vec![vec![0; season.weeks]; season.covers.len()];
    for spell in spells {
        let from = weeks(season, spell.from.since(season.start));
        let until = weeks(season, spell.until.since(season.start));
        let stock = season.covers[spell.cover].count;
        let free =
            (from..until).all(|w| used[spell.cover][w] < stock && masks[spell.bed][w] == BARE);
        if free {
            for week in from..until {
                used[spell.cover][week] += 1;
                masks[spell.bed][week] =
                    CoverState::try_from(spell.cover + 1).expect("kinds of cover are few");
            }
        }
    }
    masks
}
