//! A standing year: how its strips take turns, and its plantings year after year, so that what holds strip by
//! strip can be checked as in any run of years.

use super::names::{Stand, named};
use super::{Check, Findings};
use crate::domain::Scenario;
use crate::plan::StandingYear;

/// Years before and after those of the longest turn that a planting and its break may reach, besides the break.
const REACH: usize = 3;

/// For each bed and strip: the strip that takes its year over next year.
pub struct Turns {
    taken_over: Vec<Vec<usize>>,
    /// Years until every strip does again what it did.
    longest: usize,
}

impl Turns {
    /// Of the plan's sections; what does not make sense is reported.
    pub fn read(scenario: &Scenario, told: &StandingYear, found: &mut Findings) -> Turns {
        let unknown = usize::MAX;
        let mut taken_over: Vec<Vec<usize>> = (scenario.beds.iter())
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
                let before = (n + entry.sections.len() - 1) % entry.sections.len();
                for (&strip, &then) in section.iter().zip(&entry.sections[before]) {
                    let place = |strip: u32| (strip as usize).checked_sub(1);
                    let slot = place(strip).and_then(|s| taken_over[bed].get_mut(s));
                    match (slot, place(then)) {
                        (Some(slot), Some(then)) if *slot == unknown => *slot = then,
                        _ => wrong(format!(
                            "strip {strip} is none of its strips, or there twice"
                        )),
                    }
                }
            }
        }
        for (bed, strips) in scenario.beds.iter().zip(&taken_over) {
            if let Some(strip) = strips.iter().position(|&then| then == unknown) {
                found.add(
                    Check::Names,
                    format!("strip {} of bed {} is in no section", strip + 1, bed.name),
                );
            }
        }
        Turns {
            taken_over,
            longest,
        }
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
    pub fn of(scenario: &Scenario, turns: &Turns, stands: &[Stand<'a>]) -> Years<'a> {
        let breaks = scenario.families.iter().map(|f| f.break_weeks as usize);
        let before = breaks.max().unwrap_or(0).div_ceil(scenario.weeks) + REACH;
        let years = before + turns.longest + REACH;
        let mut all: Vec<Stand> = Vec::with_capacity(years * stands.len());
        for year in 0..years {
            for (n, stand) in stands.iter().enumerate() {
                let strips = match year {
                    0 => stand.strips.clone(),
                    _ => (all[(year - 1) * stands.len() + n].strips.iter())
                        .map(|&strip| turns.taken_over[stand.bed][strip])
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
