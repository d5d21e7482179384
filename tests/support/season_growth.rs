//! Invented growth for random seasons: when a sowing is ready, how it may end, what stands.

use super::SeasonOptions;
use bedweek::candidates::*;
use rand::Rng;
use rand_chacha::ChaCha8Rng;

#[derive(Clone, Copy, PartialEq)]
pub(super) enum Harvest {
    /// Weeks of picking.
    Picking(usize),
    /// Weeks it stands.
    Standing(usize),
    /// Weeks it keeps.
    Clearing(usize),
}

pub(super) struct RandomCrop {
    family: usize,
    pub food: usize,
    harvest: Harvest,
    ready_units: f64,
    /// First sowing week of the year (0..52) and weeks in which it can be begun.
    sow_first: usize,
    sow_weeks: usize,
    /// Weeks on the shelf before planting; 0: sown in place.
    shelf_weeks: usize,
    per_m2: f64,
    /// Survives only where warmth (0..1) stays above this.
    hardiness: f64,
    keeps: usize,
}

/// Warmth of a week of the year in the open, 0 (mid January) to 1 (mid July).
fn warmth(week_of_year: usize) -> f64 {
    let angle = std::f64::consts::TAU * (week_of_year as f64 - 3.0) / 52.0;
    0.5 * (1.0 - angle.cos())
}

/// Growth units of a week at that warmth.
fn units(warmth: f64) -> f64 {
    7.0 * (0.05 + 0.95 * warmth.clamp(0.0, 1.0).powf(1.3))
}

pub(super) fn random_crop(
    rng: &mut ChaCha8Rng,
    c: usize,
    families: usize,
    foods: usize,
) -> RandomCrop {
    let harvest = match c % 3 {
        0 => Harvest::Picking(rng.random_range(4..12)),
        1 => Harvest::Standing(rng.random_range(4..18)),
        _ => Harvest::Clearing(rng.random_range(2..30)),
    };
    // Half of the crops are winter's: sown from July on and hardy.
    let winter = rng.random_range(0..2) == 0;
    RandomCrop {
        family: c % families,
        food: c % foods,
        harvest,
        ready_units: rng.random_range(18.0..85.0),
        sow_first: if winter {
            rng.random_range(26..36)
        } else {
            rng.random_range(6..18)
        },
        sow_weeks: rng.random_range(6..24),
        shelf_weeks: if rng.random_range(0..2) == 0 {
            rng.random_range(2..6)
        } else {
            0
        },
        per_m2: rng.random_range(1.0..6.0),
        hardiness: if winter { -0.2 } else { 0.08 },
        keeps: rng.random_range(0..4),
    }
}

pub(super) struct World<'a> {
    pub crops: &'a [RandomCrop],
    pub first_week_of_year: usize,
    pub options: SeasonOptions,
}

impl World<'_> {
    fn warmth(&self, kind: usize, week: usize, state: CoverState) -> f64 {
        let lift = if kind == 1 { 0.12 } else { 0.0 };
        let cover = [0.0, 0.10, 0.14, 0.05, 0.03][usize::from(state)];
        warmth((week + self.first_week_of_year) % 52) + lift + cover
    }

    /// The state in a week when cover `k` is used in its spell (weeks of the year 38 to 16).
    fn state(&self, cover: Option<usize>, week: usize) -> CoverState {
        let of_year = (week + self.first_week_of_year) % 52;
        match cover {
            Some(k) if !(16 - k..38 + k).contains(&of_year) => k as CoverState + 1,
            _ => BARE,
        }
    }

    /// Weeks of growth from `start` until ready, and the state in each week of the horizon.
    fn ready(&self, kind: usize, c: usize, start: usize, cover: Option<usize>) -> Option<usize> {
        let crop = &self.crops[c];
        let mut grown = crop.shelf_weeks as f64 * 4.0;
        for week in start..start + 60 {
            let warm = self.warmth(kind, week, self.state(cover, week));
            if warm < crop.hardiness {
                return None;
            }
            grown += units(warm);
            if grown >= crop.ready_units {
                return Some(week + 1);
            }
        }
        None
    }

    pub fn add_sowings(&self, season: &mut Season, kind: usize, c: usize) {
        let crop = &self.crops[c];
        let covers = season
            .beds
            .iter()
            .find(|b| b.kind == kind)
            .map_or(vec![], |b| b.covers.clone());
        for start in crop.shelf_weeks..season.weeks {
            let of_year = (start + self.first_week_of_year) % 52;
            let into = (of_year + 52 - crop.sow_first) % 52;
            if into >= crop.sow_weeks || !into.is_multiple_of(self.options.sowing_stride) {
                continue;
            }
            for cover in std::iter::once(None).chain(covers.iter().copied().map(Some)) {
                if let Some(ready) = self.ready(kind, c, start, cover) {
                    self.add_ends(season, kind, c, start, ready, cover, None, 1.0);
                }
            }
        }
    }

    /// Adds the candidates that begin at `start`, are ready at `ready` and end at several weeks.
    #[allow(clippy::too_many_arguments)]
    fn add_ends(
        &self,
        season: &mut Season,
        kind: usize,
        c: usize,
        start: usize,
        ready: usize,
        cover: Option<usize>,
        standing: Option<usize>,
        share: f64,
    ) {
        let crop = &self.crops[c];
        let m2 = season.kinds[kind].strip_m2;
        let whole = crop.per_m2 * m2 * share;
        let ends: Vec<usize> = match crop.harvest {
            Harvest::Picking(weeks) => vec![ready + weeks / 2 + 1, ready + weeks],
            Harvest::Standing(weeks) => vec![ready + weeks / 3 + 1, ready + weeks],
            Harvest::Clearing(_) => vec![ready + 1],
        };
        let mut last_end = 0;
        for end in ends {
            let end = end.min(season.weeks);
            if ready >= season.weeks || end == last_end {
                continue;
            }
            last_end = end;
            let states: Vec<CoverState> = (start..end).map(|w| self.state(cover, w)).collect();
            let covered = states.iter().any(|s| *s != BARE);
            let dead =
                (start..end).any(|w| self.warmth(kind, w, states[w - start]) < crop.hardiness);
            if (cover.is_some() && !covered) || dead {
                continue;
            }
            let lot = |from: usize, fresh: usize, until: usize, amount: f64| Lot {
                product: c,
                from,
                fresh_until: fresh.min(season.weeks - 1),
                until: until.min(season.weeks - 1),
                amount,
            };
            let lots = match crop.harvest {
                Harvest::Picking(weeks) => (ready..end)
                    .map(|w| lot(w, w, w + crop.keeps, whole / weeks as f64))
                    .collect(),
                Harvest::Standing(_) => {
                    vec![lot(ready, end - 1, end - 1 + crop.keeps, whole)]
                }
                Harvest::Clearing(keeps) => vec![lot(ready, ready, ready + keeps, whole)],
            };
            let raised = standing.is_none() && crop.shelf_weeks > 0;
            let shelf = if raised && self.options.shelf {
                (start - crop.shelf_weeks..start)
                    .map(|week| ShelfUse {
                        week,
                        lit: self.warmth(0, week, BARE) < 0.35,
                        m2: 0.05 * m2,
                    })
                    .collect()
            } else {
                Vec::new()
            };
            let mut work = Vec::new();
            if standing.is_none() {
                work.push((start, 4.0 * m2));
            }
            match work.last_mut() {
                Some((week, minutes)) if *week == end => *minutes += 2.0 * m2,
                _ if end < season.weeks => work.push((end, 2.0 * m2)),
                _ => {}
            }
            let week = |w: usize| season.start.plus(w as i32);
            season.candidates.push(Candidate {
                name: format!(
                    "crop{c}/{}/{start}/{}/{end}/k{kind}",
                    standing.map_or("sown".into(), |s| format!("stands{s}")),
                    cover.map_or("bare".into(), |k| format!("cover{k}")),
                ),
                kind,
                standing,
                start,
                end,
                states,
                families: vec![FamilyUse {
                    family: crop.family,
                    from: start,
                    until: end,
                }],
                lots,
                shelf,
                plants: Vec::new(),
                work,
                cost: if standing.is_some() { 0.0 } else { 0.3 * m2 },
                members: vec![Member {
                    crop: c,
                    raising: standing.is_none().then_some(0),
                    lit: false,
                    way: Some(0),
                    sown: week(start).plus(-(crop.shelf_weeks as i32)),
                    planted: week(start),
                    cleared: week(end),
                    yield_share: share,
                    plant_share: share,
                }],
            });
        }
    }

    /// Puts a planting into about half of the groups (weeks before the plan are not modelled).
    pub fn add_standing(&self, season: &mut Season, rng: &mut ChaCha8Rng) {
        let mut next = 0;
        let mut last: Option<(usize, usize)> = None;
        for g in 0..season.groups.len() {
            let bed = season.groups[g].bed;
            let kind = season.beds[bed].kind;
            // Sometimes the second group of a bed carries the same planting as the first.
            if let Some((same, _)) = last.filter(|(_, b)| *b == bed && rng.random_range(0..2) == 0)
            {
                season.groups[g].standing = Some(same);
                continue;
            }
            last = None;
            if rng.random_range(0..10) < 4 {
                continue;
            }
            let c = rng.random_range(0..self.crops.len());
            let before = season.candidates.len();
            season
                .candidates
                .push(cleared_at_once(season, kind, c, self.crops[c].family, next));
            let ready = rng.random_range(0..8);
            let covers = season.beds[bed].covers.clone();
            for cover in std::iter::once(None).chain(covers.into_iter().map(Some)) {
                self.add_ends(season, kind, c, 0, ready, cover, Some(next), 0.8);
            }
            debug_assert!(season.candidates.len() > before);
            season.groups[g].standing = Some(next);
            last = Some((next, bed));
            next += 1;
        }
    }
}

fn cleared_at_once(
    season: &Season,
    kind: usize,
    crop: usize,
    family: usize,
    standing: usize,
) -> Candidate {
    Candidate {
        name: format!("crop{crop}/stands{standing}/cleared"),
        kind,
        standing: Some(standing),
        start: 0,
        end: 0,
        states: Vec::new(),
        families: vec![FamilyUse {
            family,
            from: 0,
            until: 0,
        }],
        lots: Vec::new(),
        shelf: Vec::new(),
        plants: Vec::new(),
        work: vec![(0, 2.0 * season.kinds[kind].strip_m2)],
        cost: 0.0,
        members: vec![Member {
            crop,
            raising: None,
            lit: false,
            way: None,
            sown: season.start.plus(-20),
            planted: season.start.plus(-16),
            cleared: season.start,
            yield_share: 1.0,
            plant_share: 1.0,
        }],
    }
}
