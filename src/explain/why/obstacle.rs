//! What can stand in the way of a planting, and the scenario without it.

use super::super::more::Thing;
use crate::domain::{DirectiveKind, RotationRule, Scenario, Setting};
use serde::Serialize;

/// Shelf space when it is no obstacle, m²: more than any holding fills.
const AMPLE_SHELF_M2: f64 = 1_000.0;
/// Work when it is no obstacle, hours a week: more than any holding takes. The limit stays, so that
/// the same plantings are possible.
const AMPLE_HOURS: f64 = 10_000.0;

/// Something that plantings share and that may be full.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Obstacle {
    Ground,
    Covers,
    Rotation,
    Shelf,
    Work,
    /// What one crop may give of a food's wish.
    Share,
    /// What the grower ruled out.
    Never,
    /// Floors that must be met.
    Musts,
}

impl Obstacle {
    pub const ALL: [Obstacle; 8] = [
        Obstacle::Ground,
        Obstacle::Covers,
        Obstacle::Rotation,
        Obstacle::Shelf,
        Obstacle::Work,
        Obstacle::Share,
        Obstacle::Never,
        Obstacle::Musts,
    ];

    /// The scenario without it: one bed more of each setting, a cover for every bed, no breaks,
    /// ample shelf, ample hours of work, one crop enough for any food, nothing ruled out, musts no
    /// more than floors. `None` where there is no such limit.
    pub fn lifted(self, scenario: &Scenario) -> Option<Scenario> {
        let mut free = scenario.clone();
        match self {
            Obstacle::Ground => {
                for setting in [Setting::Open, Setting::Tunnel] {
                    if scenario.beds.iter().any(|bed| bed.setting == setting) {
                        free = Thing::Bed(setting).more(&free, 1);
                    }
                }
            }
            Obstacle::Covers => {
                let beds = u32::try_from(scenario.beds.len()).expect("beds are few");
                for cover in &mut free.covers {
                    cover.count = cover.count.max(beds);
                }
            }
            Obstacle::Rotation => {
                for family in &mut free.families {
                    family.rule = RotationRule::Off;
                    family.exceptions.clear();
                }
            }
            Obstacle::Shelf => {
                let shelf = &mut free.shelf;
                if shelf.lit_m2 + shelf.unlit_m2 > 0.0 {
                    shelf.unlit_m2 = AMPLE_SHELF_M2;
                    if shelf.lamp_mj > 0.0 {
                        shelf.lit_m2 = AMPLE_SHELF_M2;
                    }
                }
            }
            Obstacle::Work => {
                free.work.hours_per_week = scenario.work.hours_per_week.map(|_| AMPLE_HOURS);
            }
            Obstacle::Share => {
                for food in &mut free.foods {
                    food.single_crop_share = food.single_crop_share.max(1.0);
                }
            }
            Obstacle::Never => {
                let ruled_out = |kind: &DirectiveKind| matches!(kind, DirectiveKind::Never);
                free.directives.retain(|d| !ruled_out(&d.kind));
            }
            Obstacle::Musts => {
                for food in &mut free.foods {
                    food.must.fill(false);
                }
            }
        }
        (free != *scenario).then_some(free)
    }
}
