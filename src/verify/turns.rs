//! A standing year: how its strips take turns, and its plantings year after year, so that what holds strip by
//! strip can be checked as in any run of years.

use super::names::{Stand, named};
use super::{Check, Findings};
use crate::domain::Scenario;
use crate::plan::{StandingYear, YearPlan};
use std::collections::BTreeMap;

/// Years before and after those of the longest turn that a planting and its break may reach, besides the break.
const REACH: usize = 3;

/// For each bed and strip: the strip whose year it takes over next year.
pub struct Turns {
    next: Vec<Vec<usize>>,
    /// Years until every strip does again what it did.
    longest: usize,
}

impl Turns {
    /// Of the plan's sections; what does not make sense is reported.
    pub fn read(scenario: &Scenario, told: &StandingYear, found: &mut Findings) -> Turns {
        let unknown = usize::MAX;
        let mut next: Vec<Vec<usize>> = (scenario.beds.iter())
            .map(|bed| vec![unknown; bed.strips as usize])
            .collect();
        let mut longest = 1;
        for entry in &told.sections {
            let mut wrong = |what: String| {
                found.add(
                    Check::Names,
                    format!("sections of bed {}: {what}", entry.bed),
                );
            };
            let Some(bed) = named(&scenario.beds, |b| &b.name, &entry.bed) else {
                wrong("there is no such bed".into());
                continue;
            };
            let size = entry.sections.first().map_or(0, Vec::len);
            if size == 0 || entry.sections.iter().any(|s| s.len() != size) {
                wrong("they are not of as many strips each".into());
                continue;
            }
            longest = longest.max(entry.sections.len());
            for (n, section) in entry.sections.iter().enumerate() {
                let after = &entry.sections[(n + 1) % entry.sections.len()];
                for (&strip, &then) in section.iter().zip(after) {
                    let place = |strip: u32| (strip as usize).checked_sub(1);
                    let slot = place(strip).and_then(|s| next[bed].get_mut(s));
                    match (slot, place(then)) {
                        (Some(slot), Some(then)) if *slot == unknown => *slot = then,
                        _ => wrong(format!(
                            "strip {strip} is none of its strips, or there twice"
                        )),
                    }
                }
            }
        }
        for (bed, strips) in scenario.beds.iter().zip(&next) {
            if let Some(strip) = strips.iter().position(|&then| then == unknown) {
                found.add(
                    Check::Names,
                    format!("strip {} of bed {} is in no section", strip + 1, bed.name),
                );
            }
        }
        Turns { next, longest }
    }
}

/// The plantings of many years, the first years' beginnings and the last ones' ends left out.
pub struct Years<'a> {
    pub stands: Vec<Stand<'a>>,
    /// A year by which all that the years before it leave behind is there: its first week, counted from the
    /// start of the first.
    pub settled: usize,
}

impl<'a> Years<'a> {
    /// Of a year's plantings.
    pub fn of(
        scenario: &Scenario,
        plan: &'a YearPlan,
        turns: &Turns,
        stands: &[Stand<'a>],
    ) -> Years<'a> {
        let breaks = scenario.families.iter().map(|f| f.break_weeks as usize);
        let before = breaks.max().unwrap_or(0).div_ceil(scenario.weeks) + REACH;
        let years = before + turns.longest + REACH;
        // A strip takes over what the next one did: what was on a strip is on the one before it a year later.
        let mut was: Vec<BTreeMap<usize, usize>> = vec![BTreeMap::new(); scenario.beds.len()];
        for (bed, next) in turns.next.iter().enumerate() {
            was[bed] = next
                .iter()
                .enumerate()
                .map(|(s, &then)| (then, s))
                .collect();
        }
        let mut all: Vec<Stand> = Vec::with_capacity(years * plan.plantings.len());
        for year in 0..years {
            for (n, stand) in stands.iter().enumerate() {
                let strips = match year {
                    0 => stand.strips.clone(),
                    _ => (all[(year - 1) * stands.len() + n].strips.iter())
                        .map(|strip| was[stand.bed].get(strip).copied().unwrap_or(*strip))
                        .collect(),
                };
                all.push(Stand {
                    strips,
                    from: stand.from + year * scenario.weeks,
                    until: stand.until + year * scenario.weeks,
                    partner: stand.partner.map(|p| p + year * stands.len()),
                    ..*stand
                });
            }
        }
        Years {
            stands: all,
            settled: before * scenario.weeks,
        }
    }
}
