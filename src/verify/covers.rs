//! What lies on the beds: covers fit, are to hand, lie only in their spells; plantings agree.

use super::names::{index, named};
use super::{Check, Facts, Findings};
use crate::domain::{BedId, CoverId, Scenario};
use crate::plan::YearPlan;

/// What lies on each bed in each week of the horizon, and whether it lies there again and again.
pub struct CoverLog(Vec<Vec<Option<CoverId>>>, bool);

impl CoverLog {
    /// Reads the plan's cover spells; what does not make sense is reported.
    pub fn read(scenario: &Scenario, plan: &YearPlan, found: &mut Findings) -> CoverLog {
        let mut log: Vec<Vec<Option<CoverId>>> =
            vec![vec![None; scenario.horizon()]; scenario.beds.len()];
        for spell in &plan.covers {
            let bed = named(&scenario.beds, |b| &b.name, &spell.bed);
            let cover = named(&scenario.covers, |c| &c.name, &spell.cover);
            let on = index(scenario, spell.placed);
            let off = index(scenario, spell.removed);
            let (Some(bed), Some(cover), Some(on), Some(off)) = (bed, cover, on, off) else {
                found.add(
                    Check::Names,
                    format!(
                        "{} on bed {} from {} to {} is not of this scenario",
                        spell.cover, spell.bed, spell.placed, spell.removed
                    ),
                );
                continue;
            };
            let weeks = scenario.horizon();
            let (before, stays) = match scenario.repeats {
                true => (off - on.min(off) == weeks, off - on.min(off) == weeks),
                false => (
                    on == 0 && scenario.beds[bed].covered_by == Some(cover),
                    off == weeks,
                ),
            };
            if spell.before != before || spell.stays != stays || (scenario.repeats && on >= weeks) {
                found.add(
                    Check::Covers,
                    format!(
                        "{} on bed {} from {} is wrongly said to lie there before or to stay",
                        spell.cover, spell.bed, spell.placed
                    ),
                );
            }
            for week in on..off {
                let state = &mut log[bed][scenario.within(week)];
                if let Some(other) = state {
                    found.add(
                        Check::Covers,
                        format!(
                            "bed {} has both {} and {} on it in {}",
                            spell.bed,
                            scenario.covers[*other].name,
                            spell.cover,
                            scenario.week(week)
                        ),
                    );
                }
                *state = Some(cover);
            }
        }
        CoverLog(log, scenario.repeats)
    }

    /// What lies on the bed in a week of the horizon.
    pub fn on(&self, bed: BedId, week: usize) -> Option<CoverId> {
        let year = self.0[bed].len();
        let week = if self.1 { week % year } else { week };
        self.0[bed].get(week).copied().flatten()
    }

    /// Minutes of moving covers of a kind, by week.
    pub fn minutes(&self, scenario: &Scenario, cover: CoverId) -> Vec<f64> {
        let mut minutes = vec![0.0; scenario.horizon()];
        for (bed, states) in scenario.beds.iter().zip(&self.0) {
            let before = match self.1 {
                true => states.last().copied().flatten(),
                false => bed.covered_by,
            };
            let mut lies = before == Some(cover);
            for (week, state) in states.iter().enumerate() {
                let now = *state == Some(cover);
                minutes[week] += match (lies, now) {
                    (false, true) => scenario.covers[cover].place_minutes,
                    (true, false) => scenario.covers[cover].remove_minutes,
                    _ => 0.0,
                };
                lies = now;
            }
        }
        minutes
    }
}

pub fn check(facts: &Facts, found: &mut Findings) {
    let scenario = facts.scenario;
    for (id, cover) in scenario.covers.iter().enumerate() {
        for week in 0..scenario.horizon() {
            let date = scenario.week(week);
            let beds: Vec<BedId> = (0..scenario.beds.len())
                .filter(|&bed| facts.log.on(bed, week) == Some(id))
                .collect();
            if beds.len() > cover.count as usize {
                found.add(
                    Check::Covers,
                    format!(
                        "{} beds are under {} in {date}, {} are to hand",
                        beds.len(),
                        cover.name,
                        cover.count
                    ),
                );
            }
            let in_spell = cover.spells.iter().any(|s| s.contains(date.of_year()));
            for bed in beds {
                let name = &scenario.beds[bed].name;
                if !scenario.fits(id, bed) {
                    found.add(
                        Check::Covers,
                        format!("{} does not fit bed {name}", cover.name),
                    );
                }
                if !in_spell {
                    found.add(
                        Check::Covers,
                        format!(
                            "{} must be off in {date} and lies on bed {name}",
                            cover.name
                        ),
                    );
                }
            }
        }
    }
    plantings_agree(facts, found);
}

/// What plantings say of their covers is what the log says.
fn plantings_agree(facts: &Facts, found: &mut Findings) {
    for stand in facts.stands {
        for week in stand.from..stand.until {
            let date = facts.scenario.week(week);
            let said = (stand.plan.under.iter())
                .find(|u| u.from <= date && date <= u.until)
                .map(|u| u.cover.as_str());
            let lies = (facts.log.on(stand.bed, week))
                .map(|cover| facts.scenario.covers[cover].name.as_str());
            if said != lies {
                found.add(
                    Check::Covers,
                    format!(
                        "{} is said to be under {} in {date}, on the bed lies {}",
                        stand.called(),
                        said.unwrap_or("nothing"),
                        lies.unwrap_or("nothing")
                    ),
                );
                break;
            }
        }
    }
}
