//! Plantings decided on: what is counted on of them, and the very candidates that keep them.

use super::draft::Start;
use super::season::{
    Always, BARE, BedKind, Beginning, Candidate, Counted, CoverState, KindId, Member, PlannedUse,
};
use super::site::{Pattern, Site};
use crate::domain::{CropId, Planned, PlannedMember, Scenario};
use std::collections::BTreeMap;

/// What is counted on of the plantings decided on (docs/method/programme.md, "Plantings decided
/// on"): each where and when it was to be, up to the price of moving it; and each sowing
/// wherever it goes, up to what more it costs to leave it out and plant something else.
pub(super) fn always(
    scenario: &Scenario,
    kinds: &[BedKind],
    kind_of_bed: &[KindId],
) -> Vec<Always> {
    let changes = &scenario.changes;
    // By sowing: m² and the price of leaving it out.
    let mut sowings: BTreeMap<Vec<Beginning>, (f64, f64)> = BTreeMap::new();
    let mut places: BTreeMap<(usize, Vec<Beginning>), f64> = BTreeMap::new();
    for planned in &scenario.planned {
        #[expect(clippy::cast_precision_loss, reason = "strips are few")]
        let m2 = planned.strips.len() as f64 * kinds[kind_of_bed[planned.bed]].strip_m2;
        let sowing = sowings.entry(beginnings(planned, false)).or_default();
        sowing.0 += m2;
        sowing.1 = scenario.drop_money(planned).max(sowing.1);
        let key = (planned.bed, beginnings(planned, true));
        *places.entry(key).or_default() += m2;
    }
    let moved = |drop: f64| {
        // Nobody moves what is cheaper left out and planted anew.
        changes
            .move_money_per_m2
            .min(drop + changes.add_money_per_m2)
    };
    let mut found = Vec::new();
    for ((bed, members), m2) in places {
        let sowing: Vec<Beginning> = members.iter().map(in_any_week).collect();
        let (_, drop) = sowings[&sowing];
        found.push(Always {
            of: Counted::Planned(members),
            bed: Some(bed),
            units: m2,
            missing_money: moved(drop),
        });
    }
    for (members, (m2, drop)) in sowings {
        found.push(Always {
            of: Counted::Planned(members),
            bed: None,
            units: m2,
            missing_money: drop + changes.add_money_per_m2 - moved(drop),
        });
    }
    found
}

/// What every new planting costs more where plantings are decided on, money per m².
pub(super) fn add_money_per_m2(scenario: &Scenario) -> f64 {
    if scenario.planned.is_empty() {
        0.0
    } else {
        scenario.changes.add_money_per_m2
    }
}

/// That cost given back for the plantings decided on, money.
pub(super) fn given_back(scenario: &Scenario, kinds: &[BedKind], kind_of_bed: &[KindId]) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "strips are few")]
    let m2 = |p: &Planned| p.strips.len() as f64 * kinds[kind_of_bed[p.bed]].strip_m2;
    let all: f64 = scenario.planned.iter().map(m2).sum();
    add_money_per_m2(scenario) * all
}

fn beginnings(planned: &Planned, there: bool) -> Vec<Beginning> {
    let beginning = |member: &PlannedMember| Beginning {
        crop: member.crop,
        raising: member.raising,
        lit: member.lit,
        sown: member.sown,
        planted: there.then_some(member.planted),
    };
    planned.members.iter().map(beginning).collect()
}

fn in_any_week(beginning: &Beginning) -> Beginning {
    Beginning {
        planted: None,
        ..*beginning
    }
}

/// The candidates nearest to the plantings decided on: begun as decided, then as like as can be in
/// way, covers and end. Those with no candidate are left out.
pub(super) fn uses(
    scenario: &Scenario,
    candidates: &[Candidate],
    kind_of_bed: &[KindId],
) -> Vec<PlannedUse> {
    let used = scenario.planned.iter().filter_map(|planned| {
        let begun = beginnings(planned, true);
        let candidate = (0..candidates.len())
            .filter(|&c| {
                let it = &candidates[c];
                it.kind == kind_of_bed[planned.bed]
                    && it.standing.is_none()
                    && begun.len() == it.members.len()
                    && begun.iter().zip(&it.members).all(|(b, m)| b.matches(m))
            })
            .min_by_key(|&c| (unlike(scenario, planned, &candidates[c]), c))?;
        Some(PlannedUse {
            bed: planned.bed,
            strips: planned.strips.clone(),
            candidate,
        })
    });
    used.collect()
}

/// Ways that differ, weeks under another cover, weeks between the ends.
fn unlike(scenario: &Scenario, planned: &Planned, candidate: &Candidate) -> (usize, usize, u32) {
    let members = || planned.members.iter().zip(&candidate.members);
    let ways = members().filter(|(p, m)| p.way.is_some() && p.way != m.way);
    let covers = (candidate.start..)
        .zip(&candidate.states)
        .filter(|(week, state)| {
            let week = scenario.week(*week);
            let mut under = planned.under.iter();
            let asked = under.find(|u| u.from <= week && week <= u.until);
            let asked = asked.map_or(BARE, |u| {
                CoverState::try_from(u.cover + 1).expect("kinds of cover are few")
            });
            asked != **state
        });
    let ends = members().filter_map(|(p, m)| Some(m.cleared.since(p.cleared?).unsigned_abs()));
    (ways.count(), covers.count(), ends.sum())
}

/// Whether a candidate with these members would keep or move a planting decided on.
pub(super) fn is_planned(scenario: &Scenario, members: &[Member]) -> bool {
    scenario.planned.iter().any(|planned| {
        planned.members.len() == members.len()
            && (beginnings(planned, false).iter().zip(members)).all(|(b, m)| b.matches(m))
    })
}

/// Whether two candidates are begun in the same way in the same weeks.
pub(super) fn begin_alike(a: &[Member], b: &[Member]) -> bool {
    a.len() == b.len()
        && a.iter().zip(b).all(|(a, b)| {
            (a.crop, a.raising, a.lit, a.sown, a.planted)
                == (b.crop, b.raising, b.lit, b.sown, b.planted)
        })
}

/// A planting decided on as the starts of its members, with the patterns of covers it was to be
/// under.
pub(super) struct Decided {
    pub starts: Vec<Start>,
    pub patterns: Vec<Pattern>,
}

/// The plantings decided on with so many members of which the first is that crop, each way of
/// beginning once; those that the horizon or the shelf has no place for are left out.
pub(super) fn decided(site: &Site, crop: CropId, members: usize) -> Vec<Decided> {
    let mut found: Vec<Decided> = Vec::new();
    let here = site
        .scenario
        .planned
        .iter()
        .filter(|planned| planned.members.len() == members && planned.members[0].crop == crop);
    for planned in here {
        let starts: Option<Vec<Start>> = planned
            .members
            .iter()
            .map(|member| start(site, member))
            .collect();
        let Some(starts) = starts else { continue };
        let patterns = site.patterns.iter().copied().filter(|pattern| {
            let asked = |under: &crate::domain::PlannedCover| {
                let on = site.index(under.from);
                Some(under.cover) == pattern.cover
                    && usize::try_from(on.max(0)).is_ok_and(|on| pattern.cover_in(on).is_some())
            };
            planned.under.iter().any(asked)
        });
        let patterns: Vec<Pattern> = patterns.collect();
        match found.iter_mut().find(|known| known.starts == starts) {
            Some(known) => known.patterns.extend(patterns),
            None => found.push(Decided { starts, patterns }),
        }
    }
    found
}

fn start(site: &Site, member: &PlannedMember) -> Option<Start> {
    let planted = usize::try_from(site.index(member.planted)).ok()?;
    let start = Start {
        crop: member.crop,
        raising: member.raising,
        lit: member.lit,
        sown: site.index(member.sown),
        planted,
    };
    let to_hand = start.sown >= 0 || super::store::shelf_entry(site.scenario, &start).is_some();
    (planted < site.weeks() && to_hand).then_some(start)
}
