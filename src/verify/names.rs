//! The plan's names, weeks and numbers, looked up in the scenario.

use super::{Check, Findings};
use crate::domain::{BedId, CropId, Scenario, StandingId};
use crate::plan::{FORMAT, Planting, YearPlan, raising_named};
use crate::units::Week;
use std::collections::BTreeMap;

/// A planting with its names resolved.
pub struct Stand<'a> {
    pub plan: &'a Planting,
    pub crop: CropId,
    pub bed: BedId,
    /// Counted from 0.
    pub strips: Vec<usize>,
    pub standing: Option<StandingId>,
    pub raising: Option<usize>,
    pub way: Option<usize>,
    /// The other planting of a recipe.
    pub partner: Option<usize>,
    /// Weeks of the horizon in the ground: `from..until`.
    pub from: usize,
    pub until: usize,
    pub area_m2: f64,
}

impl Stand<'_> {
    /// How sentences call it.
    pub fn called(&self) -> String {
        let strips: Vec<String> = self.plan.strips.iter().map(u32::to_string).collect();
        format!(
            "{} ({} in bed {}, strip {})",
            self.plan.id,
            self.plan.crop,
            self.plan.bed,
            strips.join(" ")
        )
    }
}

/// The week's place in the horizon, or in the two years that a standing year's plantings lie in; `None` outside
/// it. The week after the last counts as in it.
pub fn index(scenario: &Scenario, week: Week) -> Option<usize> {
    let years = if scenario.repeats { 2 } else { 1 };
    usize::try_from(week.since(scenario.start))
        .ok()
        .filter(|&i| i <= years * scenario.horizon())
}

/// Position of the entry with that name.
pub fn named<T>(list: &[T], name: impl Fn(&T) -> &str, wanted: &str) -> Option<usize> {
    list.iter().position(|entry| name(entry) == wanted)
}

/// Form, weeks and lists that must be as the scenario has them.
pub fn calendar(scenario: &Scenario, plan: &YearPlan, found: &mut Findings) {
    let about = &plan.scenario;
    if plan.format != FORMAT {
        found.add(
            Check::Names,
            format!("the plan has form {}, not {FORMAT}", plan.format),
        );
    }
    if (about.start, about.weeks, about.tail) != (scenario.start, scenario.weeks, scenario.tail) {
        found.add(
            Check::Names,
            format!(
                "the plan is for {} weeks and a tail of {} from {}, the scenario for {} and {} from {}",
                about.weeks, about.tail, about.start, scenario.weeks, scenario.tail, scenario.start
            ),
        );
    }
    if about.name != scenario.name {
        found.add(
            Check::Names,
            format!(
                "the plan is for {:?}, the scenario is {:?}",
                about.name, scenario.name
            ),
        );
    }
    if about.currency != scenario.currency {
        found.add(
            Check::Names,
            format!(
                "the plan counts in {}, the scenario in {}",
                about.currency, scenario.currency
            ),
        );
    }
    let foods: Vec<&str> = plan.supply.iter().map(|s| s.food.as_str()).collect();
    let wanted: Vec<&str> = scenario.foods.iter().map(|f| f.name.as_str()).collect();
    if foods != wanted {
        found.add(
            Check::Names,
            format!("the plan supplies {foods:?}, the scenario asks for {wanted:?}"),
        );
    }
}

/// The plantings with their names resolved; what cannot be is reported and left out.
pub fn stands<'a>(scenario: &Scenario, plan: &'a YearPlan, found: &mut Findings) -> Vec<Stand<'a>> {
    let mut ids: BTreeMap<&str, usize> = BTreeMap::new();
    for (i, planting) in plan.plantings.iter().enumerate() {
        if ids.insert(&planting.id, i).is_some() {
            found.add(
                Check::Names,
                format!("there are two plantings called {}", planting.id),
            );
        }
    }
    plan.plantings
        .iter()
        .filter_map(|planting| match stand(scenario, planting, &ids) {
            Ok(stand) => Some(stand),
            Err(reason) => {
                found.add(Check::Names, format!("planting {}: {reason}", planting.id));
                None
            }
        })
        .collect()
}

fn stand<'a>(
    scenario: &Scenario,
    planting: &'a Planting,
    ids: &BTreeMap<&str, usize>,
) -> Result<Stand<'a>, String> {
    let missing = |what: &str, name: &str| format!("the scenario has no {what} {name:?}");
    let crop = named(&scenario.crops, |c| &c.name, &planting.crop)
        .ok_or_else(|| missing("crop", &planting.crop))?;
    let bed = named(&scenario.beds, |b| &b.name, &planting.bed)
        .ok_or_else(|| missing("bed", &planting.bed))?;
    let subject = &scenario.crops[crop];
    let standing = planting
        .standing
        .as_ref()
        .map(|name| {
            named(&scenario.standing, |s| &s.name, name)
                .ok_or_else(|| missing("standing planting", name))
        })
        .transpose()?;
    let raising = planting
        .raising
        .as_ref()
        .map(|name| {
            raising_named(subject, name)
                .ok_or_else(|| format!("{} has no raising {name:?}", subject.name))
        })
        .transpose()?;
    if standing.is_some() == raising.is_some() {
        return Err("it must either stand already or be raised, not both".into());
    }
    let way = planting
        .way
        .as_ref()
        .map(|name| {
            named(&subject.ways, |w| &w.name, name)
                .ok_or_else(|| format!("{} has no way of harvest {name:?}", subject.name))
        })
        .transpose()?;
    let partner = planting
        .partner
        .as_ref()
        .map(|id| {
            ids.get(id.as_str())
                .copied()
                .ok_or_else(|| missing("planting", id))
        })
        .transpose()?;
    let until = index(scenario, planting.cleared)
        .ok_or_else(|| format!("it is cleared in {}, outside the plan", planting.cleared))?;
    let from = match standing {
        Some(_) => 0,
        None => index(scenario, planting.planted)
            .ok_or_else(|| format!("it is planted in {}, outside the plan", planting.planted))?,
    };
    if until < from || (standing.is_none() && until == from) {
        return Err(format!(
            "it is cleared in {} before it is planted",
            planting.cleared
        ));
    }
    let strips = strips(scenario, bed, &planting.strips)?;
    Ok(Stand {
        plan: planting,
        crop,
        bed,
        area_m2: scenario.beds[bed].strip_m2() * strips.len() as f64,
        strips,
        standing,
        raising,
        way,
        partner,
        from,
        until,
    })
}

/// Strip numbers from 0, each once, all within the bed.
fn strips(scenario: &Scenario, bed: BedId, numbers: &[u32]) -> Result<Vec<usize>, String> {
    let bed = &scenario.beds[bed];
    if numbers.is_empty() {
        return Err("it has no strips".into());
    }
    let mut strips: Vec<usize> = Vec::new();
    for &number in numbers {
        if number < 1 || number > bed.strips {
            return Err(format!(
                "bed {} has strips 1 to {}, not {number}",
                bed.name, bed.strips
            ));
        }
        let strip = number as usize - 1;
        if strips.contains(&strip) {
            return Err(format!("strip {number} of bed {} is named twice", bed.name));
        }
        strips.push(strip);
    }
    Ok(strips)
}
