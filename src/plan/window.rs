//! A standing year as it is looked at: one year of it, with what stands over from the year before and what is
//! raised for the next.

use super::year::{ByWeek, CoverSpell, Draws, Planting, StandingYear, Under, YearPlan};
use crate::units::Week;
use std::borrow::Cow;

impl YearPlan {
    /// The plan with all that is in the ground, sown or eaten in its weeks: in a standing year plantings of the
    /// year before and of the next one too, on the strips that they are on then, called like those of the year
    /// with `b` (before) or `n` (next) behind. Any other plan is itself.
    pub fn in_window(&self) -> Cow<'_, YearPlan> {
        let Some(turns) = &self.standing_year else {
            return Cow::Borrowed(self);
        };
        let weeks = i32::try_from(self.scenario.weeks).expect("horizons are short");
        let start = self.scenario.start;
        let window = Window {
            start,
            end: start.plus(weeks),
            weeks,
        };
        let mut plan = self.clone();
        plan.plantings = (self.plantings.iter())
            .flat_map(|planting| [-1, 0, 1].map(|year| window.planting(turns, planting, year)))
            .flatten()
            .collect();
        plan.plantings
            .sort_by_key(|p| (p.bed.clone(), p.planted, p.strips.clone(), p.id.clone()));
        plan.covers = (self.covers.iter())
            .flat_map(|spell| [-1, 0].map(|year| window.spell(spell, year)))
            .flatten()
            .collect();
        plan.covers.sort_by_key(|s| (s.bed.clone(), s.placed));
        plan.draws = (self.draws.iter())
            .flat_map(|draws| [-1, 0].map(|year| window.draws(draws, year)))
            .flatten()
            .collect();
        Cow::Owned(plan)
    }
}

/// The weeks looked at.
struct Window {
    start: Week,
    end: Week,
    weeks: i32,
}

impl Window {
    fn holds(&self, week: Week) -> bool {
        self.start <= week && week < self.end
    }

    /// The same planting so many years later.
    fn planting(&self, turns: &StandingYear, planting: &Planting, year: i32) -> Option<Planting> {
        let by = year * self.weeks;
        let later = |week: Week| week.plus(by);
        let called = |id: &str| match year {
            -1 => format!("{id}b"),
            1 => format!("{id}n"),
            _ => id.to_string(),
        };
        let mut p = planting.clone();
        p.id = called(&planting.id);
        p.partner = planting.partner.as_deref().map(called);
        p.strips = turns.strips(&planting.bed, &planting.strips, year);
        if planting.standing.is_some() {
            // A perennial is the same one every year.
            return (year == 0).then_some(p);
        }
        (p.sown, p.planted, p.cleared) = (later(p.sown), later(p.planted), later(p.cleared));
        p.first_harvest = p.first_harvest.map(later);
        p.last_harvest = p.last_harvest.map(later);
        p.under = (p.under.iter())
            .map(|under| Under {
                cover: under.cover.clone(),
                from: later(under.from),
                until: later(under.until),
            })
            .collect();
        for lot in &mut p.lots {
            lot.from = later(lot.from);
            lot.fresh_until = later(lot.fresh_until);
            lot.until = later(lot.until);
        }
        p.lots.retain(|lot| self.holds(lot.from));
        p.harvest = self.by_week(&p.harvest, by);
        if !self.holds(p.sown) {
            p.seeds = None;
        }
        let seen = p.planted < self.end && self.start <= p.cleared
            || self.holds(p.sown)
            || !p.harvest.is_empty();
        seen.then_some(p)
    }

    /// Amounts so many weeks later, as far as they are in the window.
    fn by_week(&self, amounts: &ByWeek, by: i32) -> ByWeek {
        let later = amounts.iter().map(|(week, units)| (week.plus(by), *units));
        later.filter(|(week, _)| self.holds(*week)).collect()
    }

    fn spell(&self, spell: &CoverSpell, year: i32) -> Option<CoverSpell> {
        let by = year * self.weeks;
        let mut s = spell.clone();
        (s.placed, s.removed) = (s.placed.plus(by), s.removed.plus(by));
        if s.removed < self.start || (s.removed == self.start && spell.stays) {
            return None;
        }
        s.before |= s.placed < self.start;
        s.stays |= s.removed > self.end;
        Some(s)
    }

    fn draws(&self, draws: &Draws, year: i32) -> Option<Draws> {
        let by = year * self.weeks;
        let mut d = draws.clone();
        d.eaten = self.by_week(&draws.eaten, by);
        (d.from, d.fresh_until, d.until) =
            (d.from.plus(by), d.fresh_until.plus(by), d.until.plus(by));
        (!d.eaten.is_empty()).then_some(d)
    }
}

impl StandingYear {
    /// The strips of a bed, counted from 1, that do so many years later (before, if negative) what these do in
    /// the year of the plan; ascending.
    pub fn strips(&self, bed: &str, strips: &[u32], years: i32) -> Vec<u32> {
        let mut found: Vec<u32> = strips.iter().map(|&s| self.strip(bed, s, years)).collect();
        found.sort_unstable();
        found
    }

    fn strip(&self, bed: &str, strip: u32, years: i32) -> u32 {
        for entry in self.sections.iter().filter(|entry| entry.bed == bed) {
            let count = i32::try_from(entry.sections.len()).expect("sections are few");
            for (n, section) in (0..).zip(&entry.sections) {
                if let Some(place) = section.iter().position(|&s| s == strip) {
                    // A section takes over what the next one did.
                    let then: i32 = n - years;
                    let then = usize::try_from(then.rem_euclid(count)).expect("not below 0");
                    return entry.sections[then].get(place).copied().unwrap_or(strip);
                }
            }
        }
        strip
    }
}
