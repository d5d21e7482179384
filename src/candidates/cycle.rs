//! The season of a standing year: the plantings of one year between two like it, and the turns that strips
//! take so that rotation goes round (docs/method/standing-year.md).

use super::build::{always, foods, level, listed, season};
use super::season::{
    BARE, Candidate, Cycle, FamilyUse, Lot, Member, Origin, Product, Season, ShelfUse, StripGroup,
};
use crate::domain::{MOST_YEARS, RotationRule, Scenario, StandingId, YEAR_WEEKS};
use std::collections::BTreeMap;

/// Fewest years of a ring: a planting may stand over the turn of one year.
const FEWEST_YEARS: usize = 2;
/// Weeks that a planting stands at the most as a rule, an estimate: together with the longest break they
/// make the years of a ring.
const USUAL_WEEKS: usize = 36;

/// The season of a scenario that [`Scenario::standing_year`] has made.
pub(super) fn standing_year(scenario: &Scenario) -> Season {
    let mut season = season(&scenario.around());
    let years = years(scenario);
    let around = std::mem::take(&mut season.candidates);
    let mut plain: Vec<Candidate> = around.iter().filter_map(|c| of_year(&season, c)).collect();
    for (id, standing) in scenario.standing.iter().enumerate() {
        let kind = season.beds[standing.bed].kind;
        let last = scenario.week(YEAR_WEEKS);
        let mut stays: Vec<Candidate> = (around.iter())
            .filter(|c| c.standing == Some(id) && (c.start, c.end) == (0, 3 * YEAR_WEEKS))
            .filter(|c| c.states[..YEAR_WEEKS].iter().all(|&s| s == BARE))
            .filter(|c| c.states[2 * YEAR_WEEKS..].iter().all(|&s| s == BARE))
            .map(|c| perennial(c, scenario, id))
            .collect();
        if !stays.iter().any(|c| c.states.iter().all(|&s| s == BARE)) {
            stays.push(barren(scenario, id, kind));
        }
        for candidate in &mut stays {
            candidate.members[0].cleared = last;
        }
        plain.append(&mut stays);
    }
    season.weeks = YEAR_WEEKS;
    season.start = scenario.start;
    season.foods = foods(scenario);
    season.level = level(scenario);
    season.always = always(scenario);
    let (groups, rings) = rings(scenario, &season, years);
    season.groups = groups;
    let mut cycle = Cycle {
        years,
        rings,
        plain,
        origin: Vec::new(),
        copies: Vec::new(),
    };
    let mut made: Vec<(Candidate, Origin)> = Vec::new();
    for (p, candidate) in cycle.plain.iter().enumerate() {
        let twice = candidate.lots.iter().any(crosses);
        let turns = if candidate.standing.is_some() {
            1
        } else {
            years
        };
        for year in 0..turns {
            for later in [false, true] {
                let origin = Origin {
                    plain: p,
                    year,
                    later,
                };
                let end = candidate.end + year * YEAR_WEEKS;
                if end <= turns * YEAR_WEEKS && (twice || !later) {
                    made.push((turned(candidate, &season.products, origin), origin));
                }
            }
        }
    }
    made.sort_by(|(a, _), (b, _)| listed(a, b));
    (season.candidates, cycle.origin) = made.into_iter().unzip();
    let mut copies: BTreeMap<(usize, bool), Vec<usize>> = BTreeMap::new();
    for (c, origin) in cycle.origin.iter().enumerate() {
        let same = copies.entry((origin.plain, origin.later)).or_default();
        same.push(c);
        same.sort_by_key(|&c| cycle.origin[c].year);
    }
    cycle.copies = (cycle.origin.iter())
        .map(|origin| copies[&(origin.plain, origin.later)].clone())
        .collect();
    season.cycle = Some(cycle);
    season
}

/// Years of a ring: so many that the family with the longest break that is held can come back.
fn years(scenario: &Scenario) -> usize {
    let held = scenario.families.iter().filter(|family| {
        (0..scenario.beds.len()).any(|bed| family.rule_in(bed) != RotationRule::Off)
    });
    let longest = held.map(|family| family.break_weeks as usize).max();
    let years = (longest.unwrap_or(0) + USUAL_WEEKS).div_ceil(YEAR_WEEKS);
    years.clamp(FEWEST_YEARS, MOST_YEARS)
}

/// A planting of the season of three years that is planted in the middle one, in weeks of that one; `None`
/// for others, and where the last year's end cuts it short.
fn of_year(season: &Season, candidate: &Candidate) -> Option<Candidate> {
    let planted = (YEAR_WEEKS..2 * YEAR_WEEKS).contains(&candidate.start);
    if candidate.standing.is_some() || !planted || candidate.end >= season.weeks {
        return None;
    }
    let mut c = candidate.clone();
    c.start -= YEAR_WEEKS;
    c.end -= YEAR_WEEKS;
    for used in &mut c.families {
        used.from -= YEAR_WEEKS;
        used.until -= YEAR_WEEKS;
    }
    for lot in &mut c.lots {
        shift(lot);
    }
    fold(&mut c);
    Some(c)
}

fn shift(lot: &mut Lot) {
    lot.from -= YEAR_WEEKS;
    lot.fresh_until -= YEAR_WEEKS;
    lot.until -= YEAR_WEEKS;
}

/// Work and shelf by the week of the year, weeks ascending, each once.
fn fold(candidate: &mut Candidate) {
    let mut work: BTreeMap<usize, f64> = BTreeMap::new();
    for &(week, minutes) in &candidate.work {
        *work.entry(week % YEAR_WEEKS).or_default() += minutes;
    }
    candidate.work = work.into_iter().collect();
    let mut shelf: BTreeMap<(usize, bool), f64> = BTreeMap::new();
    for stay in &candidate.shelf {
        *shelf.entry((stay.week % YEAR_WEEKS, stay.lit)).or_default() += stay.m2;
    }
    candidate.shelf = (shelf.into_iter())
        .map(|((week, lit), m2)| ShelfUse { week, lit, m2 })
        .collect();
}

/// A perennial in the middle one of three years.
fn perennial(candidate: &Candidate, scenario: &Scenario, id: StandingId) -> Candidate {
    let mut c = candidate.clone();
    let middle = YEAR_WEEKS..2 * YEAR_WEEKS;
    c.end = YEAR_WEEKS;
    c.states = candidate.states[middle.clone()].to_vec();
    c.families = vec![stays(scenario, id)];
    c.lots.retain(|lot| middle.contains(&lot.from));
    c.lots.iter_mut().for_each(shift);
    c.work.retain(|(week, _)| middle.contains(week));
    fold(&mut c);
    c
}

fn stays(scenario: &Scenario, id: StandingId) -> FamilyUse {
    FamilyUse {
        family: scenario.crops[scenario.standing[id].crop].family,
        from: 0,
        until: YEAR_WEEKS,
    }
}

/// A perennial of which nothing is to be had without a cover, and which stays all the same.
fn barren(scenario: &Scenario, id: StandingId, kind: usize) -> Candidate {
    let standing = &scenario.standing[id];
    let member = Member {
        crop: standing.crop,
        raising: None,
        lit: false,
        way: standing.way,
        sown: standing.sown,
        planted: standing.planted,
        cleared: scenario.week(YEAR_WEEKS),
        yield_share: standing.share,
        plant_share: standing.share,
    };
    Candidate {
        name: format!("{}.stays", standing.name.replace(' ', "_")),
        kind,
        standing: Some(id),
        start: 0,
        end: YEAR_WEEKS,
        states: vec![BARE; YEAR_WEEKS],
        families: vec![stays(scenario, id)],
        lots: Vec::new(),
        shelf: Vec::new(),
        plants: Vec::new(),
        work: Vec::new(),
        cost: 0.0,
        members: vec![member],
    }
}

/// Whether a lot can be eaten in the year that is shown and in the next one.
fn crosses(lot: &Lot) -> bool {
    lot.from < YEAR_WEEKS && lot.until >= YEAR_WEEKS
}

/// A planting as a candidate of a ring.
fn turned(plain: &Candidate, products: &[Product], origin: Origin) -> Candidate {
    let on = origin.year * YEAR_WEEKS;
    let mut c = plain.clone();
    c.name = format!(
        "{}{}.year_{}",
        plain.name,
        if origin.later { ".next" } else { "" },
        origin.year + 1
    );
    c.start += on;
    c.end += on;
    for used in &mut c.families {
        used.from += on;
        used.until += on;
    }
    c.lots = (plain.lots.iter())
        .map(|lot| lot_of_year(lot, products[lot.product].weekly_loss, origin.later))
        .collect();
    c
}

/// A lot in weeks of the year: the part of its time before the turn of the year or, if `later` or where there
/// is none before, the part after it.
pub fn lot_of_year(lot: &Lot, weekly_loss: f64, later: bool) -> Lot {
    if !next_year(lot, later) {
        let last = YEAR_WEEKS - 1;
        return Lot {
            fresh_until: lot.fresh_until.min(last),
            until: lot.until.min(last),
            ..*lot
        };
    }
    // What has been kept before has lost weight before.
    let kept = YEAR_WEEKS.saturating_sub(lot.fresh_until);
    let kept = i32::try_from(kept).expect("at most a year");
    Lot {
        from: lot.from.saturating_sub(YEAR_WEEKS),
        fresh_until: lot.fresh_until.saturating_sub(YEAR_WEEKS),
        until: lot.until - YEAR_WEEKS,
        amount: lot.amount * (1.0 - weekly_loss).powi(kept),
        ..*lot
    }
}

/// Whether [`lot_of_year`] takes the part after the turn of the year.
pub fn next_year(lot: &Lot, later: bool) -> bool {
    lot.from >= YEAR_WEEKS || (later && crosses(lot))
}

/// The strips of every bed in rings, and the rings as groups. A bed's free strips are cut into as many
/// sections as there are years, and the first strips of all sections make a ring, the second ones another:
/// each year a section passes its plan on to the one before it. Strips left over make a shorter ring.
fn rings(
    scenario: &Scenario,
    season: &Season,
    years: usize,
) -> (Vec<StripGroup>, Vec<Vec<Vec<u32>>>) {
    let mut groups = Vec::new();
    let mut rings: Vec<Vec<Vec<u32>>> = Vec::new();
    let mut add = |bed: usize, standing: Option<StandingId>, of_group: Vec<Vec<u32>>| {
        let Some(length) = of_group.first().map(Vec::len).filter(|&n| n > 0) else {
            return;
        };
        groups.push(StripGroup {
            bed,
            strips: of_group.iter().map(|ring| ring[0]).collect(),
            standing,
            release: vec![0; season.family_names.len()],
            weeks: length * YEAR_WEEKS,
        });
        rings.push(of_group);
    };
    for (id, bed) in scenario.beds.iter().enumerate() {
        let mut free: Vec<u32> = (0..bed.strips).collect();
        for (s, standing) in scenario.standing.iter().enumerate() {
            if standing.bed == id {
                free.retain(|strip| !standing.strips.contains(strip));
                let each = standing.strips.iter().map(|&strip| vec![strip]);
                add(id, Some(s), each.collect());
            }
        }
        let whole = free.len() / years;
        let ring = |first: usize| -> Vec<u32> {
            (0..years).map(|year| free[year * whole + first]).collect()
        };
        add(id, None, (0..whole).map(ring).collect());
        add(id, None, vec![free[whole * years..].to_vec()]);
    }
    (groups, rings)
}
