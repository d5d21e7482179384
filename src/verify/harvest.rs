//! The harvest by week that a plan tells of: what ripens in one week is taken in it; what stands
//! until needed is lifted as it is eaten, each planting giving its share of the class.

use super::names::Stand;
use super::sums::{differ, say};
use super::{Check, Facts, Findings};
use crate::units::Week;
use std::collections::BTreeMap;

pub fn check(facts: &Facts, found: &mut Findings) {
    for stand in facts.stands {
        let mut weeks = reckoned(facts, stand);
        for (week, amount) in &stand.plan.harvest {
            *weeks.entry(*week).or_default() -= amount;
        }
        for (week, off) in weeks {
            if differ(off, 0.0) {
                found.add(
                    Check::Growth,
                    format!(
                        "the harvest of {} in {week} is off by {}",
                        stand.called(),
                        say(off)
                    ),
                );
            }
        }
    }
}

fn reckoned(facts: &Facts, stand: &Stand) -> BTreeMap<Week, f64> {
    let mut weeks: BTreeMap<Week, f64> = BTreeMap::new();
    for lot in &stand.plan.lots {
        if lot.from == lot.fresh_until {
            *weeks.entry(lot.from).or_default() += lot.amount;
            continue;
        }
        let class = facts.classes.iter().find(|c| {
            let d = c.draws;
            !c.in_store
                && c.crop == stand.crop
                && Some(c.way) == stand.way
                && (d.from, d.fresh_until, d.until) == (lot.from, lot.fresh_until, lot.until)
        });
        let Some(class) = class else { continue };
        for &(week, units) in &class.eaten {
            let lifted = facts.scenario.week(week.min(class.fresh_until));
            let used = units * class.used_per_unit(week);
            *weeks.entry(lifted).or_default() += used * lot.amount / class.draws.amount;
        }
    }
    weeks
}
