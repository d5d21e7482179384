//! Breaks between plantings of one family on the same ground.

use super::model::{ColumnId, Rule, Terms};
use super::sets::{is_subset, maximal};
use super::sketch::{Place, PlaceId, Sketch};
use super::standing::OwnFamilies;
use crate::candidates::{Rotation, Season};
use crate::domain::{BedId, FamilyId};

pub static ROTATION: Rule = Rule {
    id: "rotation",
    sentence: "Strips in which a family stands or has not yet had its break (history included) are at most all strips, or clash where breaks are only discouraged.",
    unit: "strips",
};

/// How a family is held in a place: the loosest reading that covers all its beds.
struct Held {
    weeks: usize,
    /// Money per strip and week of clash; `None`: forbidden.
    price: Option<f64>,
}

/// Adds the columns of clashes and the rows of rotation.
pub fn add(sketch: &mut Sketch) {
    for place in 0..sketch.layout.places.len() {
        if sketch.season.cycle.is_some() {
            add_round(sketch, place);
            continue;
        }
        for family in 0..sketch.season.family_names.len() {
            let beds = sketch.layout.places[place].beds.clone();
            if let Some(held) = held(sketch.season, &beds, family) {
                add_family(sketch, place, family, &held);
            }
        }
    }
}

/// `None` where some bed of the place holds no break: pooled strips could all be there.
fn held(season: &Season, beds: &[BedId], family: FamilyId) -> Option<Held> {
    let mut all = Held {
        weeks: usize::MAX,
        price: None,
    };
    for &bed in beds {
        let weeks = match season.beds[bed].rotation[family] {
            Rotation::Off => return None,
            Rotation::Forbid { weeks } => weeks,
            Rotation::Discourage {
                weeks,
                money_per_strip_week: money,
            } => {
                all.price = Some(all.price.map_or(money, |least: f64| least.min(money)));
                weeks
            }
        };
        all.weeks = all.weeks.min(weeks);
    }
    Some(all)
}

/// Strips whose history keeps the family out in that week. Where the family itself stands,
/// its own window covers its history.
fn blocked(
    season: &Season,
    own: &OwnFamilies,
    beds: &[BedId],
    family: FamilyId,
    week: usize,
) -> usize {
    season
        .groups
        .iter()
        .filter(|g| {
            beds.contains(&g.bed) && g.release[family] > week && !own.holds(g.standing, family)
        })
        .map(|g| g.strips.len())
        .sum()
}

fn add_family(sketch: &mut Sketch, place: PlaceId, family: FamilyId, held: &Held) {
    let season = sketch.season;
    let (name, beds, all) = {
        let p = &sketch.layout.places[place];
        (p.name.clone(), p.beds.clone(), f64::from(p.strips))
    };
    // (first week, first week free again, candidate, column)
    let windows: Vec<(usize, usize, usize, usize)> = sketch
        .strips_of(place)
        .into_iter()
        .filter_map(|(candidate, column)| {
            let families = &season.candidates[candidate].families;
            let used = families.iter().find(|f| f.family == family)?;
            Some((used.from, used.until + held.weeks, candidate, column))
        })
        .collect();
    if windows.is_empty() {
        return;
    }
    let over = |week: usize| -> Vec<(usize, usize)> {
        windows
            .iter()
            .filter(|(from, free, ..)| (*from..*free).contains(&week))
            .map(|&(_, _, candidate, column)| (candidate, column))
            .collect()
    };
    let sets: Vec<Vec<(usize, usize)>> = (0..season.weeks).map(over).collect();
    let free: Vec<f64> = (0..season.weeks)
        .map(|week| all - blocked(season, &sketch.own, &beds, family, week) as f64)
        .collect();
    let family_name = season.family_names[family].clone();
    let terms = |week: usize| -> Terms { sets[week].iter().map(|&(_, x)| (x, 1.0)).collect() };

    if let Some(price) = held.price {
        for (week, &free) in free.iter().enumerate() {
            let mut terms = terms(week);
            let most = sketch.programme.most(&terms) - free;
            if terms.is_empty() || most <= 0.0 {
                continue;
            }
            let week_name = sketch.week(week);
            let parts = ["clash", &*name, &*family_name, &*week_name];
            let clash = sketch.programme.column(&parts, (0.0, most), -price);
            sketch.layout.clash.insert((place, family, week), clash);
            terms.push((clash, -1.0));
            sketch.at_most(&ROTATION, &parts[1..], terms, free);
        }
        return;
    }
    let needed = maximal(season.weeks, |a, b| {
        free[a] >= free[b] && is_subset(&sets[a], &sets[b])
    });
    for week in 0..season.weeks {
        // Plantings that share a week of ground are held by the rows of that week already.
        let last_start = sets[week]
            .iter()
            .map(|&(c, _)| season.candidates[c].start)
            .max();
        let first_end = sets[week]
            .iter()
            .map(|&(c, _)| season.candidates[c].end)
            .min();
        let same_ground = free[week] >= all && last_start < first_end;
        if needed[week] && !same_ground {
            let week_name = sketch.week(week);
            sketch.at_most(
                &ROTATION,
                &[&name, &family_name, &week_name],
                terms(week),
                free[week],
            );
        }
    }
}

/// The rows of a standing year, whose rotation goes round: a family's windows on a ring do not overlap, from its end to
/// its beginning neither. Only breaks that must be held have rows.
fn add_round(sketch: &mut Sketch, place: PlaceId) {
    let season = sketch.season;
    let Place {
        name, beds, groups, ..
    } = sketch.layout.places[place].clone();
    for (family, family_name) in season.family_names.iter().enumerate() {
        let Some(Held { weeks, price: None }) = held(season, &beds, family) else {
            continue;
        };
        let windows: Vec<(usize, usize, ColumnId)> = (sketch.strips_of(place).into_iter())
            .filter(|&(candidate, _)| season.candidates[candidate].standing.is_none())
            .filter_map(|(candidate, column)| {
                let families = &season.candidates[candidate].families;
                let used = families.iter().find(|f| f.family == family)?;
                Some((used.from, used.until + weeks, column))
            })
            .collect();
        let Some(shortest) = windows.iter().map(|(from, free, _)| free - from).min() else {
            continue;
        };
        let rings = groups.iter().map(|&g| &season.groups[g]);
        let rings: Vec<(usize, usize)> = rings.map(|g| (g.strips.len(), g.weeks)).collect();
        let plantings: usize = rings.iter().map(|(n, weeks)| n * (weeks / shortest)).sum();
        let terms = windows.iter().map(|&(_, _, x)| (x, 1.0)).collect();
        let parts = [&*name, &**family_name, "all_years"];
        sketch.at_most(&ROTATION, &parts, terms, plantings as f64);
        for week in 0..season.weeks {
            let times = |&(from, free, x): &(usize, usize, ColumnId)| {
                let years = (week..free).step_by(season.weeks);
                (x, years.filter(|w| *w >= from).count())
            };
            let over: Vec<(ColumnId, usize)> = windows.iter().map(times).collect();
            let longest = over.iter().map(|&(_, times)| times).max().unwrap_or(0);
            let week_name = sketch.week(week);
            // Of the years of a ring each window takes whole ones: rows divided and rounded down hold as well, and say
            // more where the divisor does not divide the years.
            for by in 1..=longest {
                let years = |weeks: usize| weeks / season.weeks;
                let mut spans = rings.iter().map(|&(_, weeks)| years(weeks));
                if by > 1 && spans.all(|years| years.is_multiple_of(by)) {
                    continue;
                }
                let strips: usize = rings
                    .iter()
                    .map(|&(n, weeks)| n * (years(weeks) / by))
                    .sum();
                let terms: Terms = (over.iter())
                    .map(|&(x, times)| (x, (times / by) as f64))
                    .filter(|(_, times)| *times > 0.0)
                    .collect();
                let by_name = format!("by_{by}");
                let mut parts = vec![&*name, &**family_name, &*week_name];
                parts.extend((by > 1).then_some(&*by_name));
                sketch.at_most(&ROTATION, &parts, terms, strips as f64);
            }
        }
    }
}
