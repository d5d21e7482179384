//! Places on a holding that growth can tell apart: beds alike, bare or under a cover.

use crate::climate::Place;
use crate::domain::{BedId, CoverId, CropId, DirectiveKind, Scenario, Spell};
use crate::units::Week;

/// Weeks after which a cover that may lie all the year round counts as taken off (estimate: no
/// planting that needs one stands longer).
const LONGEST_COVERED_WEEKS: i32 = 104;

/// Beds with equal setting, indoor weeks, exposure and fitting covers, bare or under one cover.
#[derive(Clone, Debug, PartialEq)]
pub struct Spot {
    /// In the order of the scenario; at least one.
    pub beds: Vec<BedId>,
    /// A cover and the spell for which it lies there: for a planting, the stretch that holds its
    /// planting week or the first after it.
    pub cover: Option<(CoverId, Spell)>,
}

/// The places of a scenario in the order of their first beds, each bare and then under every
/// spell of every fitting cover that is to hand.
pub fn spots(scenario: &Scenario) -> Vec<Spot> {
    let mut grounds: Vec<Vec<BedId>> = Vec::new();
    for bed in 0..scenario.beds.len() {
        match grounds
            .iter_mut()
            .find(|beds| alike(scenario, beds[0], bed))
        {
            Some(beds) => beds.push(bed),
            None => grounds.push(vec![bed]),
        }
    }
    let mut found = Vec::new();
    for beds in grounds {
        found.push(Spot {
            beds: beds.clone(),
            cover: None,
        });
        for (id, cover) in scenario.covers.iter().enumerate() {
            if cover.count > 0 && scenario.fits(id, beds[0]) {
                found.extend(cover.spells.iter().map(|&spell| Spot {
                    beds: beds.clone(),
                    cover: Some((id, spell)),
                }));
            }
        }
    }
    found
}

fn alike(scenario: &Scenario, one: BedId, other: BedId) -> bool {
    let (a, b) = (&scenario.beds[one], &scenario.beds[other]);
    a.setting == b.setting
        && a.indoors == b.indoors
        && a.exposure == b.exposure
        && (0..scenario.covers.len())
            .all(|cover| scenario.fits(cover, one) == scenario.fits(cover, other))
}

impl Spot {
    /// The first of its beds; the others are like it.
    pub fn bed(&self) -> BedId {
        self.beds[0]
    }

    /// Whether the crop may be newly planted here: its settings, and the grower's "never".
    pub fn admits(&self, scenario: &Scenario, crop: CropId) -> bool {
        let never = |bed: BedId| {
            scenario.directives.iter().any(|directive| {
                directive.kind == DirectiveKind::Never
                    && directive.crop == crop
                    && directive.bed.is_none_or(|there| there == bed)
            })
        };
        let setting = scenario.beds[self.bed()].setting;
        scenario.crops[crop].settings.contains(&setting) && !self.beds.iter().all(|&bed| never(bed))
    }

    /// First week under the cover and first week without it again, for a planting of that week.
    pub fn covered(&self, planted: Week) -> Option<(Week, Week)> {
        let (_, spell) = self.cover?;
        let lies = |week: &Week| spell.contains(week.of_year());
        let year = |from: Week| (0..LONGEST_COVERED_WEEKS).map(move |k| from.plus(k));
        let on = year(planted).find(lies)?;
        let off = year(on).find(|week| !lies(week));
        Some((on, off.unwrap_or(on.plus(LONGEST_COVERED_WEEKS))))
    }

    /// Where a planting of week `planted` is in each week.
    pub fn place<'a>(&self, scenario: &'a Scenario, planted: Week) -> impl Fn(Week) -> Place + 'a {
        let bed = self.bed();
        let cover = self.cover.map(|(cover, _)| cover);
        let covered = self.covered(planted);
        move |week| Place {
            inside: scenario.inside(bed, week),
            cover: cover.filter(|_| covered.is_some_and(|(on, off)| on <= week && week < off)),
            exposure: scenario.beds[bed].exposure,
        }
    }
}
