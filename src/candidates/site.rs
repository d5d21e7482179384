//! Where plantings can be: beds alike in their surroundings, and what may lie on them when.
//!
//! A [`Site`] is what growth can tell apart; bed kinds (which also differ in the area of a
//! strip) and strip groups are in `ground`.

use super::season::{BARE, CoverState};
use crate::climate::Place;
use crate::domain::{BedId, CoverId, CropId, DirectiveKind, Scenario};
use crate::units::Week;

/// Beds with equal setting, indoor weeks, exposure, fitting covers and weeks out of use.
pub(super) struct Site<'a> {
    pub scenario: &'a Scenario,
    /// The first of its beds; the others are like it.
    pub bed: BedId,
    pub beds: Vec<BedId>,
    /// Bare throughout, then every single spell of every fitting cover.
    pub patterns: Vec<Pattern>,
    /// For every week of the horizon, whether it is inside the polytunnel.
    inside: Vec<bool>,
}

/// What lies on a bed over the horizon: nothing, or one cover in one stretch of weeks.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Pattern {
    pub cover: Option<CoverId>,
    /// Covered in weeks `on..off` of the horizon.
    pub on: usize,
    pub off: usize,
}

impl Pattern {
    pub const BARE: Pattern = Pattern {
        cover: None,
        on: 0,
        off: 0,
    };

    /// What lies on the bed in that week of the horizon.
    pub fn cover_in(&self, week: usize) -> Option<CoverId> {
        self.cover.filter(|_| (self.on..self.off).contains(&week))
    }

    /// The states of weeks `start..end`.
    pub fn states(&self, start: usize, end: usize) -> Vec<CoverState> {
        (start..end)
            .map(|week| {
                self.cover_in(week).map_or(BARE, |cover| {
                    CoverState::try_from(cover + 1).expect("kinds of cover are few")
                })
            })
            .collect()
    }

    /// Whether the cover lies on the bed in any of the weeks `start..end`.
    pub fn touches(&self, start: usize, end: usize) -> bool {
        self.cover.is_some() && self.on < end && start < self.off
    }
}

/// The sites of a scenario, in the order of their first beds.
pub(super) fn sites(scenario: &Scenario) -> Vec<Site<'_>> {
    let mut sites: Vec<Site> = Vec::new();
    for bed in 0..scenario.beds.len() {
        match sites.iter_mut().find(|site| alike(scenario, site.bed, bed)) {
            Some(site) => site.beds.push(bed),
            None => sites.push(Site {
                scenario,
                bed,
                beds: vec![bed],
                patterns: patterns(scenario, bed),
                inside: (0..scenario.horizon())
                    .map(|week| scenario.inside(bed, scenario.week(week)))
                    .collect(),
            }),
        }
    }
    sites
}

fn alike(scenario: &Scenario, one: BedId, other: BedId) -> bool {
    let (a, b) = (&scenario.beds[one], &scenario.beds[other]);
    let closed = |bed: BedId| -> Vec<_> {
        let all = scenario.carried.closed_beds.iter();
        all.filter(|c| c.bed == bed)
            .map(|c| (c.from, c.to))
            .collect()
    };
    a.setting == b.setting
        && a.indoors == b.indoors
        && closed(one) == closed(other)
        && a.exposure == b.exposure
        && (0..scenario.covers.len())
            .all(|cover| scenario.fits(cover, one) == scenario.fits(cover, other))
}

/// Bare, and each unbroken stretch of each spell of each cover that fits (and is to hand).
fn patterns(scenario: &Scenario, bed: BedId) -> Vec<Pattern> {
    let mut found = vec![Pattern::BARE];
    for (id, cover) in scenario.covers.iter().enumerate() {
        if cover.count == 0 || !scenario.fits(id, bed) {
            continue;
        }
        for spell in &cover.spells {
            let within: Vec<bool> = (0..scenario.horizon())
                .map(|week| spell.contains(scenario.week(week).of_year()))
                .collect();
            let mut week = 0;
            for run in within.chunk_by(|a, b| a == b) {
                let pattern = Pattern {
                    cover: Some(id),
                    on: week,
                    off: week + run.len(),
                };
                if run[0] && !found.contains(&pattern) {
                    found.push(pattern);
                }
                week += run.len();
            }
        }
    }
    found
}

impl Site<'_> {
    /// Weeks of the horizon.
    pub fn weeks(&self) -> usize {
        self.scenario.horizon()
    }

    /// The week's place in the horizon: negative before the start.
    pub fn index(&self, week: Week) -> i32 {
        week.since(self.scenario.start)
    }

    /// Where a planting on such a bed is in a week of the horizon (or after it) under `pattern`.
    pub fn place(&self, week: Week, pattern: &Pattern) -> Place {
        let index = usize::try_from(self.index(week)).ok();
        Place {
            inside: index
                .and_then(|index| self.inside.get(index).copied())
                .unwrap_or_else(|| self.scenario.inside(self.bed, week)),
            cover: index.and_then(|index| pattern.cover_in(index)),
            exposure: self.scenario.beds[self.bed].exposure,
        }
    }

    /// Whether the crop may be newly planted on some bed of the site: its settings, and the
    /// grower's "never".
    pub fn admits(&self, crop: CropId) -> bool {
        let never = |bed: BedId| {
            self.scenario.directives.iter().any(|directive| {
                directive.kind == DirectiveKind::Never
                    && directive.crop == crop
                    && directive.bed.is_none_or(|there| there == bed)
            })
        };
        let subject = &self.scenario.crops[crop];
        subject.perennial.is_none()
            && subject
                .settings
                .contains(&self.scenario.beds[self.bed].setting)
            && !self.beds.iter().all(|&bed| never(bed))
    }
}
