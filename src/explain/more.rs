//! Things a holding could have more of, and the holding that has more of them.

use crate::candidates::Season;
use crate::domain::{Bed, CoverId, Scenario, Setting};

/// Shelf space in one step, m² (an estimate: a shelf board of a metre by a half).
const SHELF_STEP_M2: f64 = 0.5;
/// Work in one step, hours a week.
const WORK_STEP_HOURS: f64 = 1.0;
/// Minutes in an hour.
const HOUR_MINUTES: f64 = 60.0;

/// Something that could be had more of, one step at a time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Thing {
    Cover(CoverId),
    /// A bed like the most common one of that setting.
    Bed(Setting),
    /// A shelf board, under lamps or not.
    Shelf {
        lit: bool,
    },
    /// An hour of work in every week.
    Hour,
}

impl Thing {
    /// Everything that the scenario could have more of.
    pub fn all(scenario: &Scenario) -> Vec<Thing> {
        let mut all: Vec<Thing> = (0..scenario.covers.len()).map(Thing::Cover).collect();
        for setting in [Setting::Open, Setting::Tunnel] {
            if pattern(scenario, setting).is_some() {
                all.push(Thing::Bed(setting));
            }
        }
        let shelf = &scenario.shelf;
        if shelf.lit_m2 + shelf.unlit_m2 > 0.0 {
            all.push(Thing::Shelf { lit: false });
            // Where no lamp is described there is no light to count on.
            if shelf.lamp_mj > 0.0 {
                all.push(Thing::Shelf { lit: true });
            }
        }
        if scenario.work.hours_per_week.is_some() {
            all.push(Thing::Hour);
        }
        all
    }

    /// What it is, in a few words.
    pub fn name(&self, scenario: &Scenario) -> String {
        match self {
            Thing::Cover(cover) => scenario.covers[*cover].name.clone(),
            Thing::Bed(Setting::Tunnel) => "bed in the tunnel".into(),
            Thing::Bed(_) => "bed in the open".into(),
            Thing::Shelf { lit: true } => "shelf, lit".into(),
            Thing::Shelf { lit: false } => "shelf, unlit".into(),
            Thing::Hour => "work".into(),
        }
    }

    /// What one more of it is.
    pub fn step(&self, scenario: &Scenario) -> String {
        match self {
            Thing::Cover(_) => "one".into(),
            Thing::Bed(setting) => match pattern(scenario, *setting) {
                Some(bed) => format!("{} x {} m", bed.length_m, bed.width_m),
                None => "one".into(),
            },
            Thing::Shelf { .. } => format!("{SHELF_STEP_M2} m2"),
            Thing::Hour => format!("{WORK_STEP_HOURS} h a week"),
        }
    }

    /// Yearly cost of one more, where the models give it.
    pub fn yearly_cost(&self, scenario: &Scenario) -> Option<f64> {
        match self {
            Thing::Cover(cover) => scenario.covers[*cover].yearly_cost_money,
            _ => None,
        }
    }

    /// The scenario with so many steps more.
    pub fn more(&self, scenario: &Scenario, steps: u32) -> Scenario {
        let mut scenario = scenario.clone();
        match self {
            Thing::Cover(cover) => scenario.covers[*cover].count += steps,
            Thing::Bed(setting) => {
                if let Some(bed) = pattern(&scenario, *setting) {
                    for number in 1..=steps {
                        // Last, so that no other bed's place in the list changes.
                        scenario.beds.push(Bed {
                            name: unused(&scenario, &format!("more {number}")),
                            ..bed.clone()
                        });
                    }
                }
            }
            Thing::Shelf { lit: true } => scenario.shelf.lit_m2 += SHELF_STEP_M2 * f64::from(steps),
            Thing::Shelf { lit: false } => {
                scenario.shelf.unlit_m2 += SHELF_STEP_M2 * f64::from(steps);
            }
            Thing::Hour => {
                if let Some(hours) = &mut scenario.work.hours_per_week {
                    *hours += WORK_STEP_HOURS * f64::from(steps);
                }
            }
        }
        scenario
    }

    /// The season of [`Thing::more`] with `most` steps, brought down to `steps`: the same
    /// candidates, so that the same prices bound both.
    pub fn fewer(&self, season: &Season, most: u32, steps: u32) -> Season {
        let mut season = season.clone();
        let less = most - steps;
        match self {
            Thing::Cover(cover) => season.covers[*cover].count -= less,
            Thing::Bed(_) => {
                let beds = season.beds.len() - less as usize;
                season.beds.truncate(beds);
                season.groups.retain(|group| group.bed < beds);
                season.never.retain(|(bed, _)| *bed < beds);
            }
            Thing::Shelf { lit: true } => season.shelf_lit_m2 -= SHELF_STEP_M2 * f64::from(less),
            Thing::Shelf { lit: false } => {
                season.shelf_unlit_m2 -= SHELF_STEP_M2 * f64::from(less);
            }
            Thing::Hour => {
                if let Some(minutes) = &mut season.minutes_per_week {
                    *minutes -= WORK_STEP_HOURS * HOUR_MINUTES * f64::from(less);
                }
            }
        }
        season
    }
}

/// A new bed like the most common one of the setting, without history, bare; where there is no bed
/// in the tunnel yet, like the most common one in the open.
fn pattern(scenario: &Scenario, setting: Setting) -> Option<Bed> {
    let of = |setting| {
        scenario
            .beds
            .iter()
            .filter(move |bed| bed.setting == setting)
    };
    let like = |a: &Bed, b: &Bed| {
        (a.length_m, a.width_m, a.strips, a.exposure)
            == (b.length_m, b.width_m, b.strips, b.exposure)
    };
    let most_common = |setting| {
        let mut best: Option<(&Bed, usize)> = None;
        for bed in of(setting) {
            let count = of(setting).filter(|other| like(bed, other)).count();
            if best.is_none_or(|(_, most)| count > most) {
                best = Some((bed, count));
            }
        }
        best.map(|(bed, _)| bed)
    };
    let bed = most_common(setting).or_else(|| most_common(Setting::Open))?;
    Some(Bed {
        setting,
        indoors: Vec::new(),
        covered_by: None,
        history: Vec::new(),
        ..bed.clone()
    })
}

/// The name, or one like it that no bed has.
fn unused(scenario: &Scenario, name: &str) -> String {
    let mut name = name.to_string();
    while scenario.beds.iter().any(|bed| bed.name == name) {
        name.push('*');
    }
    name
}
