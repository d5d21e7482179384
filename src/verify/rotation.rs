//! Breaks of families, strip by strip: history, what stands, what is planted.

use super::{Check, Facts, Findings};
use crate::domain::{BedId, FamilyId, RotationRule};

/// Weeks in which a family is, or was less than its break ago, on a strip: `from..free`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Window {
    pub from: usize,
    pub free: usize,
    /// Planted by this plan, so that it answers for what it cuts short.
    new: bool,
}

pub fn check(facts: &Facts, found: &mut Findings) {
    for (bed, ground) in facts.scenario.beds.iter().enumerate() {
        for (family, record) in facts.scenario.families.iter().enumerate() {
            if record.rule_in(bed) != RotationRule::Forbid {
                continue;
            }
            for strip in 0..ground.strips as usize {
                let windows = windows(facts, bed, strip, family);
                for pair in windows.windows(2) {
                    if pair[1].new && pair[1].from < pair[0].free {
                        found.add(
                            Check::Rotation,
                            format!(
                                "strip {} of bed {} is planted with {} in {}, its break lasts until {}",
                                strip + 1,
                                ground.name,
                                record.name,
                                facts.scenario.week(pair[1].from),
                                facts.scenario.week(pair[0].free)
                            ),
                        );
                    }
                }
            }
        }
    }
}

/// A family's windows on a strip, in order. Two partners of one family are one window; history
/// counts where the family does not stand at the start. A perennial of a standing year, which never goes, has no break
/// to keep and leaves its strip to nothing else.
pub fn windows(facts: &Facts, bed: BedId, strip: usize, family: FamilyId) -> Vec<Window> {
    let scenario = facts.scenario;
    let weeks = scenario.families[family].break_weeks as usize;
    let mut windows: Vec<Window> = Vec::new();
    let mut stands_already = false;
    for (i, stand) in facts.over_years.iter().enumerate() {
        if stand.bed != bed
            || !stand.strips.contains(&strip)
            || scenario.crops[stand.crop].family != family
        {
            continue;
        }
        stands_already |= stand.standing.is_some();
        if scenario.repeats && stand.standing.is_some() {
            continue;
        }
        let partner = (stand.partner)
            .filter(|&p| scenario.crops[facts.over_years[p].crop].family == family)
            .map(|p| (p, &facts.over_years[p]));
        if partner.is_some_and(|(p, _)| p < i) {
            continue;
        }
        let (from, until) = partner.map_or((stand.from, stand.until), |(_, p)| {
            (stand.from.min(p.from), stand.until.max(p.until))
        });
        windows.push(Window {
            from,
            free: until + weeks,
            new: stand.standing.is_none(),
        });
    }
    if !stands_already {
        let break_weeks = i32::try_from(weeks).unwrap_or(i32::MAX / 2);
        let free = scenario.beds[bed]
            .history
            .iter()
            .filter(|past| past.family == family)
            .filter(|past| {
                let first = past.strips.first as usize;
                (first..first + past.strips.count as usize).contains(&strip)
            })
            .map(|past| past.cleared.plus(break_weeks).since(scenario.start))
            .max()
            .and_then(|free| usize::try_from(free).ok())
            .unwrap_or(0);
        if free > 0 {
            windows.push(Window {
                from: 0,
                free,
                new: false,
            });
        }
    }
    // What stood before comes first, whatever is planted in the same week.
    windows.sort_by_key(|w| (w.from, w.new, w.free));
    windows
}

/// Strip weeks by which the windows overlap: in each of the weeks, those beyond the first.
pub fn overlap(windows: &[Window], weeks: std::ops::Range<usize>) -> usize {
    weeks
        .map(|week| {
            let over = windows.iter().filter(|w| w.from <= week && week < w.free);
            over.count().saturating_sub(1)
        })
        .sum()
}
