//! From a placed plan to the values of all columns of the form by beds.

use super::{Layout, LotClass, Programme};
use crate::candidates::{BARE, CandidateId, CoverState, ProductId, Rotation, Season};
use crate::rules::OwnFamilies;
use std::collections::BTreeMap;

/// Units eaten in a week from a class of lots.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drawn {
    pub class: LotClass,
    pub week: usize,
    pub units: f64,
}

/// A plan, strip by strip.
#[derive(Clone, Copy, Debug)]
pub struct Placing<'a> {
    /// For each bed and strip: candidates in order of time.
    pub strips: &'a [Vec<Vec<CandidateId>>],
    /// For each bed and week: what lies on it.
    pub covers: &'a [Vec<CoverState>],
    pub drawn: &'a [Drawn],
}

/// The point of the form by beds that the plan stands for; what the plan leaves open (shortages,
/// cover moves, clashes) takes its least value. A discouraged break is counted strip by strip.
///
/// # Errors
/// When the plan uses something that has no column: a candidate where it may not stand, a cover
/// that no planting there asks for, a draw that nobody wishes.
pub fn point(
    season: &Season,
    programme: &Programme,
    layout: &Layout,
    placing: &Placing,
) -> Result<Vec<f64>, String> {
    let mut point = vec![0.0; programme.columns.len()];
    let mut begun: Vec<BTreeMap<CandidateId, u32>> = vec![BTreeMap::new(); season.beds.len()];
    for (bed, strips) in placing.strips.iter().enumerate() {
        for (strip, year) in strips.iter().enumerate() {
            for &candidate in year {
                let name = &season.candidates[candidate].name;
                let place = layout.place_of(season, bed, strip);
                let column = layout
                    .strips
                    .get(&(place, season.first_turn(candidate)))
                    .ok_or_else(|| format!("{name} cannot stand in {}", season.beds[bed].name))?;
                point[*column] += 1.0;
                *begun[bed].entry(candidate).or_default() += 1;
            }
        }
    }
    set_covers(season, layout, placing, &mut point)?;
    let mut eaten = vec![vec![0.0; season.weeks]; season.foods.len()];
    for drawn in placing.drawn.iter().filter(|d| d.units != 0.0) {
        let product: ProductId = drawn.class.product;
        let column = layout
            .draws
            .get(&(drawn.class, drawn.week))
            .ok_or_else(|| {
                format!(
                    "{} cannot be eaten in week {}",
                    season.products[product].name, drawn.week
                )
            })?;
        point[*column] += drawn.units;
        eaten[season.products[product].food][drawn.week] += drawn.units;
    }
    for (&(food, week), &column) in &layout.supply {
        point[column] = eaten[food][week];
    }
    for (&(food, week), &column) in &layout.short {
        point[column] = (season.foods[food].floor[week] - eaten[food][week]).max(0.0);
    }
    for (&week, &column) in &layout.low {
        let worth: f64 = (0..season.foods.len())
            .map(|f| season.foods[f].price * eaten[f][week])
            .sum();
        let low = season.level.as_ref().map_or(0.0, |level| level.low[week]);
        point[column] = (low - worth).max(0.0);
    }
    let own = OwnFamilies::of(season);
    for (&(bed, family, week), &column) in &layout.clash {
        point[column] = clashes(season, &own, &placing.strips[bed], bed, family, week);
    }
    for (&a, &column) in &layout.missing {
        let always = &season.always[a];
        let units: f64 = begun
            .iter()
            .enumerate()
            .filter(|(bed, _)| always.bed.is_none_or(|b| b == *bed))
            .flat_map(|(_, begun)| begun)
            .filter(|(candidate, _)| always.matches(&season.candidates[**candidate]))
            .map(|(candidate, strips)| {
                let kind = &season.kinds[season.candidates[*candidate].kind];
                f64::from(*strips) * always.per_strip(kind)
            })
            .sum();
        point[column] = (always.units - units).max(0.0);
    }
    Ok(point)
}

fn set_covers(
    season: &Season,
    layout: &Layout,
    placing: &Placing,
    point: &mut [f64],
) -> Result<(), String> {
    for (bed, states) in placing.covers.iter().enumerate() {
        let states = &states[..season.weeks];
        let mut before = season.state_before(bed, states);
        for (week, &state) in states.iter().enumerate() {
            if state != BARE {
                let key = (bed, usize::from(state) - 1, week);
                let column = layout.covers.get(&key).ok_or_else(|| {
                    let bed = &season.beds[bed].name;
                    format!(
                        "no planting asks for cover {} on {bed} in week {week}",
                        key.1
                    )
                })?;
                point[*column] = 1.0;
            }
            if state != before {
                if state != BARE {
                    let placed = layout.on.get(&(bed, usize::from(state) - 1, week));
                    placed.iter().for_each(|column| point[**column] = 1.0);
                }
                if before != BARE {
                    let removed = layout.off.get(&(bed, usize::from(before) - 1, week));
                    removed.iter().for_each(|column| point[**column] = 1.0);
                }
            }
            before = state;
        }
    }
    Ok(())
}

/// Windows of a discouraged family over a week, beyond the first on each strip, summed over the
/// strips of a bed.
fn clashes(
    season: &Season,
    own: &OwnFamilies,
    strips: &[Vec<CandidateId>],
    bed: usize,
    family: usize,
    week: usize,
) -> f64 {
    let Rotation::Discourage { weeks, .. } = season.beds[bed].rotation[family] else {
        return 0.0;
    };
    let mut sum = 0.0;
    for group in season.groups.iter().filter(|g| g.bed == bed) {
        let stands = own.holds(group.standing, family);
        let history = usize::from(!stands && group.release[family] > week);
        for &strip in &group.strips {
            let windows = strips[strip as usize]
                .iter()
                .flat_map(|&c| &season.candidates[c].families)
                .filter(|f| f.family == family && (f.from..f.until + weeks).contains(&week))
                .count();
            sum += (windows + history).saturating_sub(1) as f64;
        }
    }
    sum
}
