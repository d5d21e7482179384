//! What is in the beds, on the shelf and still to come, in the carried scenario.

use super::live::Live;
use super::needs::asked_for;
use super::store::Used;
use crate::domain::*;
use crate::units::Week;
use std::collections::BTreeMap;

/// Weeks before sowing in which seed is taken to be bought (estimate).
const BOUGHT_AHEAD_WEEKS: i32 = 4;
/// Shares that differ by less are the same: amounts in plans are rounded.
const ALIKE: f64 = 1e-7;

/// What the plantings come to on the Monday of `date`.
#[derive(Debug, Default)]
pub struct Ground {
    pub standing: Vec<Standing>,
    /// In the order of `standing`; [`Meant::standing`] is set by the caller, once all is sorted.
    pub meant: Vec<Meant>,
    pub on_shelf: Vec<OnShelf>,
    pub planned: Vec<Planned>,
    /// By bed.
    pub history: Vec<(BedId, PastCrop)>,
    /// Strips begun before `date`, by crop, bed and week of planting.
    pub begun: Vec<(CropId, BedId, Week, u32)>,
    /// Number in the plan by name in the carried scenario, of standing plantings by strip too.
    pub ids: BTreeMap<(String, Option<u32>), String>,
    /// What cannot go on as planned, in sentences.
    pub notes: Vec<String>,
}

/// Sorts the plantings into what is gone, stands, waits on the shelf and is still to come.
pub fn ground(
    base: &Scenario,
    live: &[Live],
    used: &Used,
    (date, end): (Week, Week),
    closed: &[ClosedBed],
) -> Ground {
    let mut ground = Ground::default();
    // Strips that something stands on until a week.
    let mut held: BTreeMap<(BedId, u32), Week> = BTreeMap::new();
    for (index, one) in live.iter().enumerate() {
        let in_bed = one.planted.is_some_and(|week| week < date);
        if one.dropped || !in_bed {
            continue;
        }
        let planted = one.planted.unwrap_or(one.sown);
        if one.standing.is_none() {
            let strips = one.strips.len() as u32;
            ground.begun.push((one.crop, one.bed, planted, strips));
        }
        let over = match (one.gone(), one.free()) {
            (Some(gone), _) => Some(gone.min(date.plus(-1)).max(planted)),
            (None, Some(free)) if free < date => Some(free),
            _ if outlived(live, index, date) => {
                if let Some(p) = one.plan.filter(|p| !p.lots.is_empty()) {
                    let with = p.partner.as_deref().unwrap_or("another planting");
                    ground.notes.push(format!(
                        "{} ({}) shares its strips with {with}, which stands longer: what is ready of \
                         it counts as picked now, and nothing of it is counted on later",
                        p.id, p.crop
                    ));
                }
                Some(date.plus(-1))
            }
            _ => None,
        };
        match over {
            Some(cleared) => {
                let family = base.crops[one.crop].family;
                for strips in runs(&one.strips) {
                    let past = PastCrop {
                        family,
                        cleared,
                        strips,
                    };
                    ground.history.push((one.bed, past));
                }
            }
            None => {
                for &strip in &one.strips {
                    held.insert((one.bed, strip), one.free().unwrap_or(end));
                }
                stands(base, one, used, (date, end), closed, &mut ground);
            }
        }
    }
    on_shelf(live, date, &mut ground);
    to_come(base, live, date, closed, &held, &mut ground);
    ground
}

/// Whether it shares its strips with a planting that stands there longer.
pub fn outlived(live: &[Live], index: usize, date: Week) -> bool {
    let one = &live[index];
    let Some((partner, other)) = one.partner.map(|p| (p, &live[p])) else {
        return false;
    };
    let there = !other.dropped
        && other.gone().is_none()
        && other.planted.is_some_and(|week| week < date)
        && other.free().is_none_or(|free| free >= date);
    there && (other.free(), partner) > (one.free(), index)
}

fn stands(
    base: &Scenario,
    one: &Live,
    used: &Used,
    (date, end): (Week, Week),
    closed: &[ClosedBed],
    ground: &mut Ground,
) {
    let kind = &base.crops[one.crop];
    let planted = one.planted.unwrap_or(one.sown);
    // As one that was sown so many weeks later or earlier; it is in the ground by now.
    let latest = date.plus(-1);
    let shifted = |week: Week| week.plus(one.late).min(latest.max(week));
    let (sown, planted) = if one.late == 0 {
        (one.sown, planted)
    } else {
        (shifted(one.sown).min(shifted(planted)), shifted(planted))
    };
    let sown = if one.planted == Some(one.sown) {
        planted
    } else {
        sown
    };
    if let (true, Some(p)) = (
        planted.since(one.planted.unwrap_or(one.sown)) < one.late,
        one.plan,
    ) {
        ground.notes.push(format!(
            "{} ({}) is {} weeks late, more than it has been in its bed: it is reckoned as sown in {sown}, \
             planted in {planted}",
            p.id, p.crop, one.late
        ));
    }
    let lots = one.plan.map_or(&[][..], |p| &p.lots);
    let way_name = one.plan.and_then(|p| p.way.as_deref()).unwrap_or("");
    let begun = lots.iter().any(|lot| lot.from < date);
    let picking = one
        .way
        .is_some_and(|w| matches!(kind.ways[w].kind, WayKind::Picking { .. }));
    let before = one.standing.map_or(0.0, |s| s.taken);
    let taken = if picking {
        before
    } else {
        // Lots that are still in the ground; with what is late, nothing has been taken.
        let standing = lots
            .iter()
            .filter(|lot| lot.fresh_until >= date && one.late <= 0);
        let (all, gone) = standing.fold((0.0, 0.0), |(all, gone), lot| {
            let share = if lot.from < date {
                used.of_lot(&kind.name, way_name, lot)
            } else {
                0.0
            };
            (all + lot.amount, gone + share * lot.amount)
        });
        let past = lots
            .iter()
            .filter(|lot| lot.fresh_until < date && one.late <= 0);
        let past: f64 = past.map(|lot| lot.amount).sum();
        let all = all + past;
        if all > 0.0 {
            1.0 - (1.0 - before) * (1.0 - (gone + past) / all)
        } else {
            before
        }
    };
    let free = one.free().unwrap_or(end);
    let out = closed.iter().filter(|c| c.bed == one.bed);
    // It is harvested until its bed goes out of use.
    let cleared = out.map(|c| c.from.max(date)).fold(free, Week::min);
    // What was planted to stand for years is not for this year's plan to clear again.
    let for_years = kind.perennial.is_some() && one.standing.is_none();
    let kept = for_years || one.standing.is_some_and(|s| s.keep);
    let first = one.planted.unwrap_or(one.sown);
    let new = Standing {
        name: one.name.clone(),
        bed: one.bed,
        strips: one.strips.clone(),
        crop: one.crop,
        // Also where it is to be cleared without a harvest: it stays the planting that it is.
        way: one.way.filter(|_| begun).or(one.only_way),
        sown,
        planted,
        share: one.share * one.left_now(),
        taken,
        ready_by: (one.standing.and_then(|s| s.ready_by)).map(|week| week.plus(one.late.max(0))),
        keep: (kept || asked_for(base, one.crop, one.bed, first)) && cleared == free,
    };
    let id = ground.standing_like(new, one.lit);
    for &strip in &one.strips {
        if let Some(number) = &one.id {
            let name = ground.standing[id].name.clone();
            ground.ids.insert((name, Some(strip)), number.clone());
        }
    }
    ground.meant.push(Meant {
        standing: id,
        strips: one.strips.clone(),
        lit: one.lit,
        way: one.way,
        cleared,
        under: under_from(&one.under, date),
    });
}

impl Ground {
    /// Adds a standing planting: to one that is the same but for its strips, or under a name of
    /// its own.
    fn standing_like(&mut self, new: Standing, lit: bool) -> StandingId {
        let same = |a: f64, b: f64| (a - b).abs() < ALIKE;
        let lit_of = |meant: &[Meant], id: usize| meant.iter().any(|m| m.standing == id && m.lit);
        let like = (0..self.standing.len()).find(|&id| {
            let s = &self.standing[id];
            (s.bed, s.crop, s.way, s.sown, s.planted, s.keep)
                == (new.bed, new.crop, new.way, new.sown, new.planted, new.keep)
                && s.ready_by == new.ready_by
                && same(s.share, new.share)
                && same(s.taken, new.taken)
                && lit_of(&self.meant, id) == lit
        });
        if let Some(id) = like {
            let strips = &mut self.standing[id].strips;
            strips.extend(new.strips);
            strips.sort_unstable();
            return id;
        }
        let taken = |name: &str| self.standing.iter().any(|s| s.name == name);
        let mut name = new.name.clone();
        let mut number = 1;
        while taken(&name) {
            number += 1;
            name = format!("{} ({number})", new.name);
        }
        self.standing.push(Standing { name, ..new });
        self.standing.len() - 1
    }
}

/// What lies on it from `date` on.
fn under_from(under: &[PlannedCover], date: Week) -> Vec<PlannedCover> {
    let rest = under.iter().filter(|u| u.until >= date);
    rest.map(|u| PlannedCover {
        from: u.from.max(date),
        ..*u
    })
    .collect()
}

/// Begun on the shelf and waiting there.
fn on_shelf(live: &[Live], date: Week, ground: &mut Ground) {
    for one in live
        .iter()
        .filter(|one| !one.dropped && one.standing.is_none())
    {
        let waits = one.sown < date && one.planted.is_none_or(|week| week >= date);
        // A yield above the forecast makes no more plants.
        let left = one.left_now().min(1.0);
        let (plants, Some(raising), true) = (one.plants * left, one.raising, waits) else {
            continue;
        };
        if plants <= 0.0 {
            continue;
        }
        let sown = shelf_sown(one, date);
        let same = ground
            .on_shelf
            .iter_mut()
            .find(|s| (s.crop, s.raising, s.lit, s.sown) == (one.crop, raising, one.lit, sown));
        match same {
            Some(same) => same.plants += plants,
            None => ground.on_shelf.push(OnShelf {
                name: format!("{} on the shelf", one.name),
                crop: one.crop,
                raising,
                lit: one.lit,
                sown,
                plants,
            }),
        }
    }
}

/// Sown so many weeks later as it is late, but before `date`.
fn shelf_sown(one: &Live, date: Week) -> Week {
    if one.sown < date {
        one.sown.plus(one.late).min(date.plus(-1))
    } else {
        one.sown
    }
}

/// Plantings that are not in their beds yet.
fn to_come(
    base: &Scenario,
    live: &[Live],
    date: Week,
    closed: &[ClosedBed],
    held: &BTreeMap<(BedId, u32), Week>,
    ground: &mut Ground,
) {
    for (index, one) in live.iter().enumerate() {
        let (Some(meant), Some(_), false) = (one.planted, one.raising, one.dropped) else {
            continue;
        };
        let mut planted = meant;
        let partner = one.partner.map(|p| &live[p]);
        let second = one.partner.is_some_and(|p| p < index);
        if planted < date || one.standing.is_some() {
            continue;
        }
        // The two of a recipe are one entry, made for its first.
        if second
            && partner.is_some_and(|p| p.planted >= Some(date) && !p.dropped && p.gone().is_none())
        {
            continue;
        }
        let mut reasons: Vec<String> = Vec::new();
        let left = one.left_now();
        if left <= 0.0 {
            reasons.push("nothing is left of it".into());
        }
        // The first of a recipe stands already, or is no more: the second is planted for itself, once
        // the ground is free.
        let alone = partner.filter(|p| {
            p.dropped || p.gone().is_some() || p.planted.is_some_and(|week| week < date)
        });
        if let Some(first) = alone.filter(|p| !p.dropped && p.gone().is_none()) {
            match first.free() {
                Some(free) => planted = planted.max(free),
                None => reasons.push("what it was to share strips with stands to the end".into()),
            }
            if let (true, Some(p)) = (planted > meant, one.plan) {
                ground.notes.push(format!(
                    "{} ({}) was to be planted between what stands there in {meant}; it is planned for \
                     {planted}, when that is cleared",
                    p.id, p.crop
                ));
            }
        }
        let partner = partner.filter(|_| alone.is_none());
        let later = planted.since(meant);
        let until = one.cleared.map_or(planted.plus(1), |week| week.plus(later));
        if closed
            .iter()
            .any(|c| c.bed == one.bed && planted <= c.to && c.from < until)
        {
            reasons.push("its bed is out of use".into());
        }
        let free = |strip: &&u32| {
            held.get(&(one.bed, **strip))
                .is_none_or(|free| *free <= planted)
        };
        let mut strips: Vec<u32> = Vec::new();
        if reasons.is_empty() {
            strips.extend(one.strips.iter().filter(free));
            if strips.len() < one.strips.len() {
                reasons.push("its ground is not free then".into());
            }
        }
        // As many strips as there are plants for.
        let raised = (strips.len() as f64 * left + 1e-9).floor() as usize;
        if one.sown < date && raised < strips.len() {
            strips.truncate(raised);
            reasons.push("too few plants are left of it".into());
        }
        let all = one.strips.len();
        if let Some(reason) = reasons.last() {
            let called = match &one.id {
                Some(id) => format!("{id} ({})", base.crops[one.crop].name),
                None => one.name.clone(),
            };
            let part = match all - strips.len() {
                missed if missed < all => format!(" on {missed} of its {all} strips"),
                _ => String::new(),
            };
            ground.notes.push(format!(
                "{called}, planned for {} in {planted}, cannot be planted as planned{part}: {reason}",
                base.beds[one.bed].name
            ));
        }
        if strips.is_empty() {
            continue;
        }
        let member = |live: &Live| {
            let in_place = live.planted == Some(live.sown);
            PlannedMember {
                crop: live.crop,
                raising: live.raising.unwrap_or(0),
                lit: live.lit,
                sown: match in_place {
                    true => live.sown.plus(later),
                    false => shelf_sown(live, date),
                },
                planted: live.planted.map_or(planted, |week| week.plus(later)),
                way: live.way,
                // What is planted later than it was meant to grows at its own pace.
                cleared: live.cleared.filter(|_| later == 0),
            }
        };
        let mut members = vec![member(one)];
        members.extend(partner.map(member));
        if let Some(id) = &one.id {
            ground.ids.insert((one.name.clone(), None), id.clone());
        }
        if let Some(id) = partner.and_then(|p| p.id.as_ref()) {
            ground
                .ids
                .insert((format!("{}+", one.name), None), id.clone());
        }
        ground.planned.push(Planned {
            name: one.name.clone(),
            bed: one.bed,
            strips,
            members,
            bought: one.sown < date.plus(BOUGHT_AHEAD_WEEKS),
            under: one.under.clone(),
        });
    }
}

/// Strips side by side taken together.
pub fn runs(strips: &[u32]) -> Vec<Strips> {
    let mut runs: Vec<Strips> = Vec::new();
    for &strip in strips {
        match runs.last_mut() {
            Some(run) if run.first + run.count == strip => run.count += 1,
            _ => runs.push(Strips {
                first: strip,
                count: 1,
            }),
        }
    }
    runs
}
