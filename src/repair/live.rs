//! Every planting of a plan as events have left it.

use super::closed;
use super::roster::find;
use crate::domain::*;
use crate::plan::{Planting, YearPlan, raising_named};
use crate::units::Week;

/// A planting as it is by now, or as it was to be.
#[derive(Clone, Debug)]
pub struct Live<'a> {
    /// What the plan says of it; `None` for what was sown in another way.
    pub plan: Option<&'a Planting>,
    /// How the carried scenario calls it, and how plans number it.
    pub name: String,
    pub id: Option<String>,
    pub crop: CropId,
    pub bed: BedId,
    /// Counted from 0, ascending.
    pub strips: Vec<u32>,
    pub raising: Option<usize>,
    pub lit: bool,
    pub sown: Week,
    /// `None`: on the shelf, with no place in mind.
    pub planted: Option<Week>,
    /// `None`: not said.
    pub cleared: Option<Week>,
    pub way: Option<usize>,
    /// The way that the scenario says it is harvested in, of what stood at the plan's start.
    pub only_way: Option<usize>,
    /// Share of a full stand's yield, before losses.
    pub share: f64,
    pub plants: f64,
    /// The entry of the scenario it goes on from.
    pub standing: Option<&'a Standing>,
    pub under: Vec<PlannedCover>,
    /// Index of the planting it shares its strips with.
    pub partner: Option<usize>,
    /// Not sown, or sown in another way.
    pub dropped: bool,
    /// Losses and changes of yield, each with its week: what is left of it.
    pub left: Vec<(Week, f64)>,
    /// Weeks behind (ahead when negative).
    pub late: i32,
}

impl Live<'_> {
    /// Share that is left of something that was still to come in `week` or stood there then.
    pub fn left_since(&self, week: Week) -> f64 {
        (self.left.iter())
            .filter(|(when, _)| *when <= week)
            .map(|(_, share)| share)
            .product()
    }

    /// Share that is left by now.
    pub fn left_now(&self) -> f64 {
        self.left.iter().map(|(_, share)| share).product()
    }

    /// The week in which everything of it was lost.
    pub fn gone(&self) -> Option<Week> {
        (self.left.iter().find(|(_, share)| *share <= 0.0)).map(|(week, _)| *week)
    }

    /// The week in which its ground is free, lateness included.
    pub fn free(&self) -> Option<Week> {
        self.cleared.map(|week| week.plus(self.late.max(0)))
    }
}

/// The plantings of a plan on the Monday of `date`, in its order, then those that were sown in another
/// way; `closed` are the beds that have been out of use.
///
/// # Errors
/// Names that `base` does not have.
pub fn live<'a>(
    old: &'a Scenario,
    plan: &'a YearPlan,
    base: &Scenario,
    diary: &Diary,
    closed: &[ClosedBed],
    date: Week,
) -> Result<Vec<Live<'a>>, String> {
    let mut all: Vec<Live> = Vec::new();
    for planting in &plan.plantings {
        all.push(planned(old, plan, base, planting)?);
    }
    // Shares lost are of the full stand; what is left of what was left is what multiplies.
    let mut lost = vec![0.0; all.len()];
    for event in &diary.events {
        apply(base, event, &mut all, &mut lost);
    }
    make_way(&mut all);
    closed::leave(closed, date, &mut all);
    Ok(all)
}

/// What was sown in another way than planned, and not said to be cleared, is cleared for the next
/// planting of its ground.
fn make_way(all: &mut [Live]) {
    for i in 0..all.len() {
        let one = &all[i];
        let (None, None, Some(planted)) = (one.plan, one.cleared, one.planted) else {
            continue;
        };
        let next = all
            .iter()
            .filter(|other| !other.dropped && other.bed == one.bed);
        let next = next.filter(|other| other.strips.iter().any(|s| one.strips.contains(s)));
        let next = next.filter_map(|other| other.planted);
        let next = next.filter(|week| *week > planted).min();
        all[i].cleared = next;
    }
}

fn planned<'a>(
    old: &'a Scenario,
    plan: &'a YearPlan,
    base: &Scenario,
    planting: &'a Planting,
) -> Result<Live<'a>, String> {
    let crop = find(&base.crops, |c| &c.name, "crop", &planting.crop)?;
    let kind = &base.crops[crop];
    let standing = planting.standing.as_ref();
    let raising = planting.raising.as_ref().map(|name| {
        raising_named(kind, name)
            .ok_or_else(|| format!("the scenario's {} has no raising {name:?}", kind.name))
    });
    let way = planting.way.as_ref().map(|name| {
        (kind.ways.iter().position(|w| w.name == *name))
            .ok_or_else(|| format!("the scenario's {} has no way {name:?}", kind.name))
    });
    let under = planting.under.iter().map(|u| {
        Ok(PlannedCover {
            cover: find(&base.covers, |c| &c.name, "cover", &u.cover)?,
            from: u.from,
            until: u.until,
        })
    });
    let standing = standing.and_then(|name| old.standing.iter().find(|s| s.name == *name));
    let lit_before = standing.is_some_and(|s| {
        let id = old.standing.iter().position(|other| other.name == s.name);
        id.is_some_and(|id| old.raised_lit(id))
    });
    let only_way = standing.and_then(|s| {
        let name = &old.crops[s.crop].ways[s.way?].name;
        kind.ways.iter().position(|w| w.name == *name)
    });
    Ok(Live {
        plan: Some(planting),
        name: standing.map_or_else(|| planting.id.clone(), |s| s.name.clone()),
        id: Some(planting.id.clone()),
        crop,
        bed: find(&base.beds, |b| &b.name, "bed", &planting.bed)?,
        strips: planting.strips.iter().map(|s| s - 1).collect(),
        raising: raising.transpose()?,
        lit: lit_before || planting.shelf.as_ref().is_some_and(|s| s.lit),
        sown: planting.sown,
        planted: Some(planting.planted),
        cleared: Some(planting.cleared),
        way: way.transpose()?,
        only_way,
        share: planting.yield_share,
        plants: planting.plants.unwrap_or(0.0),
        standing,
        under: under.collect::<Result<_, String>>()?,
        partner: (planting.partner.as_ref())
            .and_then(|id| plan.plantings.iter().position(|p| p.id == *id)),
        dropped: false,
        left: Vec::new(),
        late: 0,
    })
}

fn apply(base: &Scenario, event: &Event, all: &mut Vec<Live>, lost: &mut Vec<f64>) {
    match &event.happening {
        Happening::Lost {
            plantings, share, ..
        } => {
            for &p in plantings {
                let before: f64 = 1.0 - lost[p];
                lost[p] += share;
                // Rounding of sums of shares is no plant left.
                let after = if lost[p] > 1.0 - 1e-9 {
                    0.0
                } else {
                    1.0 - lost[p]
                };
                all[p].left.push((event.week, after / before.max(1e-9)));
            }
        }
        Happening::Yield {
            plantings,
            of_forecast,
        } => {
            for &p in plantings {
                all[p].left.push((event.week, *of_forecast));
            }
        }
        Happening::Late { plantings, weeks } => {
            for &p in plantings {
                all[p].late += weeks;
            }
        }
        Happening::NotSown { plantings } => {
            for &p in plantings {
                all[p].dropped = true;
            }
        }
        Happening::ShelfFailure {
            lit,
            unlit,
            from,
            lost: share,
            ..
        } => {
            for (p, live) in all.iter_mut().enumerate() {
                let there = if live.lit { *lit } else { *unlit };
                let then = live.sown < *from && live.planted.is_none_or(|week| week > *from);
                if there && then && *share > 0.0 && live.standing.is_none() {
                    lost[p] = 1.0 - (1.0 - lost[p]) * (1.0 - share);
                    live.left.push((*from, 1.0 - share));
                }
            }
        }
        Happening::Sown {
            instead_of,
            crop,
            raising,
            bed,
            strips,
            sown,
            planted,
        } => {
            let meant = instead_of.map(|p| {
                all[p].dropped = true;
                all[p].clone()
            });
            let name = match &meant {
                Some(m) => unused(&format!("{} as sown", m.name), all),
                None => unused("unplanned", all),
            };
            let like = meant.as_ref().filter(|m| m.crop == *crop);
            let area = base.beds[*bed].strip_m2() * strips.len() as f64;
            let kind = &base.crops[*crop].raisings[*raising];
            // On the shelf: it goes out as many weeks after its sowing as was planned.
            let later = like.and_then(|m| Some(sown.plus(m.planted?.since(m.sown))));
            let same_week = like.filter(|m| m.bed == *bed && m.planted == *planted);
            all.push(Live {
                plan: None,
                name,
                id: None,
                crop: *crop,
                bed: *bed,
                strips: strips.clone(),
                raising: Some(*raising),
                lit: like.is_some_and(|m| m.lit) || kind.shelf == ShelfNeed::Lit,
                sown: *sown,
                planted: planted.or(later),
                cleared: same_week.and_then(|m| m.cleared),
                way: like.and_then(|m| m.way),
                only_way: None,
                share: 1.0,
                plants: kind.plants_per_m2 * area,
                standing: None,
                under: same_week.map_or(Vec::new(), |m| m.under.clone()),
                partner: None,
                dropped: false,
                left: Vec::new(),
                late: 0,
            });
            lost.push(0.0);
        }
        Happening::BedOut { .. }
        | Happening::BedBack { .. }
        | Happening::ShelfBack { .. }
        | Happening::CoverBroken { .. }
        | Happening::CoverBought { .. }
        | Happening::Need { .. } => {}
    }
}

/// That name, or with the first number behind it that makes it the only one.
fn unused(name: &str, all: &[Live]) -> String {
    let numbered = (2..).map(|number| format!("{name} {number}"));
    let mut names = std::iter::once(name.to_string()).chain(numbered);
    names
        .find(|name| all.iter().all(|live| live.name != *name))
        .expect("numbers do not end")
}
