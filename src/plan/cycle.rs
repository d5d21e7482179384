//! A standing year as it is shown: the plantings of one year, each on the strips that it is on in that year,
//! and what is eaten of them, next year's weeks included.

use super::classes::ClassKey;
use super::layout;
use super::year::{Sections, StandingYear};
use crate::candidates::{CandidateId, Cycle, Season, lot_of_year, next_year};
use crate::solve::{Answer, Draw};
use std::collections::BTreeMap;

/// The season with the plantings of one year as its candidates, and the answer in terms of these.
pub fn shown(season: &Season, cycle: &Cycle, answer: &Answer) -> (Season, Answer) {
    let arranged = layout::arrange(season, &answer.strips);
    let mut strips: Vec<Vec<Vec<CandidateId>>> = (season.beds.iter())
        .map(|bed| vec![Vec::new(); bed.strips as usize])
        .collect();
    for (group, rings) in season.groups.iter().zip(&cycle.rings) {
        for ring in rings {
            for &candidate in &arranged[group.bed][ring[0] as usize] {
                let origin = cycle.origin[candidate];
                strips[group.bed][ring[origin.year] as usize].push(origin.plain);
            }
        }
    }
    let mut year = season.clone();
    year.candidates.clone_from(&cycle.plain);
    let shown = Answer {
        draws: draws(season, cycle, answer),
        covers: (answer.covers.iter())
            .map(|mask| mask[..season.weeks].to_vec())
            .collect(),
        strips,
        ..answer.clone()
    };
    (year, shown)
}

/// Draws from lots as they are: what is eaten of a lot of the year that is left when lots are cut at the turn of
/// the year, by all that have a part in it.
fn draws(season: &Season, cycle: &Cycle, answer: &Answer) -> Vec<Draw> {
    let mut parts: BTreeMap<ClassKey, Vec<(ClassKey, bool, f64)>> = BTreeMap::new();
    for &candidate in answer.strips.iter().flatten().flatten() {
        let origin = cycle.origin[candidate];
        for lot in &cycle.plain[origin.plain].lots {
            let loss = season.products[lot.product].weekly_loss;
            let cut = lot_of_year(lot, loss, origin.later);
            let next = next_year(lot, origin.later);
            let part = (ClassKey::of(lot), next, cut.amount);
            parts.entry(ClassKey::of(&cut)).or_default().push(part);
        }
    }
    let mut draws = Vec::new();
    for draw in &answer.draws {
        let key = ClassKey {
            product: draw.product,
            from: draw.from,
            fresh_until: draw.fresh_until,
            until: draw.until,
        };
        let parts = &parts[&key];
        let all: f64 = parts.iter().map(|(_, _, amount)| amount).sum();
        for (lot, next, amount) in parts.iter().filter(|_| all > 0.0) {
            draws.push(Draw {
                product: lot.product,
                from: lot.from,
                fresh_until: lot.fresh_until,
                until: lot.until,
                week: draw.week + if *next { season.weeks } else { 0 },
                units: draw.units * amount / all,
            });
        }
    }
    draws
}

/// How strips take turns.
pub fn sections(season: &Season, cycle: &Cycle) -> StandingYear {
    let of_rings = |rings: &Vec<Vec<u32>>| -> Vec<Vec<u32>> {
        (0..rings[0].len())
            .map(|year| rings.iter().map(|ring| ring[year] + 1).collect())
            .collect()
    };
    StandingYear {
        sections: (season.groups.iter().zip(&cycle.rings))
            .map(|(group, rings)| Sections {
                bed: season.beds[group.bed].name.clone(),
                sections: of_rings(rings),
            })
            .collect(),
    }
}

/// Strip-weeks by which a family's extended windows overlap in one year, over all strips of a group: as long as
/// its rings are, and round the turn of their last year. A perennial has no break to keep: it stands on its strip for
/// ever, beside nothing else.
pub fn clashes(
    season: &Season,
    group: usize,
    rings: &[Vec<u32>],
    strips: &[Vec<CandidateId>],
    family: usize,
    break_weeks: usize,
) -> usize {
    let round = season.groups[group].weeks;
    let mut clashes = 0;
    for ring in rings {
        let mut windows = vec![0_usize; round];
        for (year, &strip) in ring.iter().enumerate() {
            let plantings = (strips[strip as usize].iter()).map(|&id| &season.candidates[id]);
            let new = plantings.filter(|candidate| candidate.standing.is_none());
            for used in new.flat_map(|candidate| &candidate.families) {
                if used.family == family {
                    for week in used.from..used.until + break_weeks {
                        windows[(week + year * season.weeks) % round] += 1;
                    }
                }
            }
        }
        clashes += windows.iter().map(|n| n.saturating_sub(1)).sum::<usize>();
    }
    clashes
}
