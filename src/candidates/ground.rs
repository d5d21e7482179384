//! Bed kinds and strip groups: what the ground is like when the plan starts.

use super::season::{BARE, BedGround, BedKind, CoverState, KindId, Rotation, StripGroup};
use super::site::Site;
use crate::domain::{BedId, Family, FamilyId, RotationRule, Scenario, Setting, Strips};

/// Areas closer than this share are the same, so that 2.4 x 1.2 / 5 equals 4.8 x 1.2 / 10.
const SAME_AREA: f64 = 1e-9;

/// A bed kind and the site (index) it belongs to.
pub(super) struct SitedKind {
    pub site: usize,
    pub kind: BedKind,
}

/// Kinds in the order of their first beds, and for each bed its kind.
pub(super) fn kinds(scenario: &Scenario, sites: &[Site]) -> (Vec<SitedKind>, Vec<KindId>) {
    let mut kinds: Vec<SitedKind> = Vec::new();
    let mut of_bed = Vec::with_capacity(scenario.beds.len());
    for (id, bed) in scenario.beds.iter().enumerate() {
        let site = sites
            .iter()
            .position(|site| site.beds.contains(&id))
            .expect("every bed has a site");
        let strip_m2 = bed.strip_m2();
        let same = |kind: &SitedKind| {
            kind.site == site && (kind.kind.strip_m2 / strip_m2 - 1.0).abs() < SAME_AREA
        };
        let kind = kinds.iter().position(same).unwrap_or_else(|| {
            let like = kinds
                .iter()
                .filter(|kind| scenario.beds[sites[kind.site].bed].setting == bed.setting)
                .count();
            kinds.push(SitedKind {
                site,
                kind: BedKind {
                    name: format!("{}_{}", setting_word(bed.setting), like + 1),
                    strip_m2,
                },
            });
            kinds.len() - 1
        });
        of_bed.push(kind);
    }
    (kinds, of_bed)
}

fn setting_word(setting: Setting) -> &'static str {
    match setting {
        Setting::Open => "open",
        Setting::Tunnel => "tunnel",
        Setting::Container => "container",
        Setting::Basket => "basket",
    }
}

/// A bed as the optimiser sees it.
pub(super) fn bed_ground(scenario: &Scenario, id: BedId, kind: KindId) -> BedGround {
    let bed = &scenario.beds[id];
    BedGround {
        name: bed.name.clone(),
        kind,
        strips: bed.strips,
        state_before: bed.covered_by.map_or(BARE, |cover| {
            CoverState::try_from(cover + 1).expect("kinds of cover are few")
        }),
        covers: (0..scenario.covers.len())
            .filter(|&cover| scenario.fits(cover, id))
            .collect(),
        rotation: scenario
            .families
            .iter()
            .map(|family| rotation(family, id, bed.strip_m2()))
            .collect(),
    }
}

fn rotation(family: &Family, bed: BedId, strip_m2: f64) -> Rotation {
    let weeks = break_weeks(family);
    match family.rule_in(bed) {
        RotationRule::Forbid => Rotation::Forbid { weeks },
        RotationRule::Discourage { money_per_m2_week } => Rotation::Discourage {
            weeks,
            money_per_strip_week: money_per_m2_week * strip_m2,
        },
        RotationRule::Off => Rotation::Off,
    }
}

fn break_weeks(family: &Family) -> usize {
    usize::try_from(family.break_weeks).expect("a usize holds 32 bits")
}

/// The strips of every bed, gathered where standing planting and history agree.
pub(super) fn groups(scenario: &Scenario) -> Vec<StripGroup> {
    let mut groups: Vec<StripGroup> = Vec::new();
    for (id, bed) in scenario.beds.iter().enumerate() {
        let first_of_bed = groups.len();
        for strip in 0..bed.strips {
            let standing = scenario
                .standing
                .iter()
                .position(|s| s.bed == id && s.strips.contains(&strip));
            let mut release: Vec<usize> = (0..scenario.families.len())
                .map(|family| release(scenario, id, strip, family))
                .collect();
            if let Some(standing) = standing {
                // Its own weeks and break reach at least as far as what grew before it, and
                // must not be counted twice.
                release[scenario.crops[scenario.standing[standing].crop].family] = 0;
            }
            match groups[first_of_bed..]
                .iter_mut()
                .find(|group| group.standing == standing && group.release == release)
            {
                Some(group) => group.strips.push(strip),
                None => groups.push(StripGroup {
                    bed: id,
                    strips: vec![strip],
                    standing,
                    release,
                    weeks: scenario.horizon(),
                }),
            }
        }
    }
    groups
}

fn holds(strips: Strips, strip: u32) -> bool {
    (strips.first..strips.first + strips.count).contains(&strip)
}

/// First week index at which the history of a strip lets the family be planted.
fn release(scenario: &Scenario, bed: BedId, strip: u32, family: FamilyId) -> usize {
    let rule = &scenario.families[family];
    if rule.rule_in(bed) == RotationRule::Off {
        return 0;
    }
    let pause = i32::try_from(rule.break_weeks).expect("breaks are years at most");
    scenario.beds[bed]
        .history
        .iter()
        .filter(|past| past.family == family && holds(past.strips, strip))
        .map(|past| past.cleared.plus(pause).since(scenario.start))
        .max()
        .map_or(0, |weeks| usize::try_from(weeks).unwrap_or(0))
}
