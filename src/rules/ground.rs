//! Strips of ground and the covers that lie on it.

use super::model::{Rule, Sense, Terms};
use super::sets::{is_subset, maximal};
use super::sketch::{Form, PlaceId, Sketch};
use crate::candidates::{BARE, CandidateId};
use crate::domain::CoverId;
use std::collections::BTreeSet;

pub static GROUND: Rule = Rule {
    id: "ground",
    sentence: "Strips planted under a cover (or bare) are at most the strips that lie under it (or bare).",
    unit: "strips",
};
pub static ONE_COVER: Rule = Rule {
    id: "one_cover",
    sentence: "At most one cover lies on a bed.",
    unit: "covers",
};
pub static COVER_STOCK: Rule = Rule {
    id: "cover_stock",
    sentence: "Covers of a kind on all beds are at most those to hand.",
    unit: "covers",
};
pub static COVER_MOVES: Rule = Rule {
    id: "cover_moves",
    sentence: "A cover that lies on a bed and did not the week before has been placed; one that no longer lies there has been removed.",
    unit: "covers",
};

/// Adds the columns of covers and all rows about ground and covers.
pub fn add(sketch: &mut Sketch) {
    for place in 0..sketch.layout.places.len() {
        add_covers(sketch, place);
        add_ground(sketch, place);
        if sketch.form == Form::Bed {
            add_moves(sketch, place);
        }
    }
    add_stock(sketch);
}

/// A column for each cover and week in which a candidate of the place asks for it.
fn add_covers(sketch: &mut Sketch, place: PlaceId) {
    let mut asked: BTreeSet<(CoverId, usize)> = BTreeSet::new();
    for (candidate, _) in sketch.strips_of(place) {
        let c = &sketch.season.candidates[candidate];
        for (week, &state) in (c.start..).zip(&c.states) {
            if state != BARE {
                asked.insert((usize::from(state) - 1, week));
            }
        }
    }
    for (cover, week) in asked {
        let season = sketch.season;
        let beds = &sketch.layout.places[place].beds;
        let fits = beds
            .iter()
            .filter(|&&b| season.beds[b].covers.contains(&cover));
        let stock = season.covers[cover].count;
        let most = match sketch.form {
            Form::Bed => f64::from(stock.min(fits.count() as u32)),
            Form::Pooled => fits.map(|&b| f64::from(season.beds[b].strips)).sum(),
        };
        let name = sketch.layout.places[place].name.clone();
        let parts = [
            "cover",
            &season.covers[cover].name,
            &name,
            &sketch.week(week),
        ];
        let column = match sketch.form {
            Form::Bed => sketch.programme.integer(&parts, (0.0, most), 0.0),
            Form::Pooled => sketch.programme.column(&parts, (0.0, most), 0.0),
        };
        sketch.layout.covers.insert((place, cover, week), column);
    }
}

fn add_ground(sketch: &mut Sketch, place: PlaceId) {
    let season = sketch.season;
    let strips = sketch.strips_of(place);
    let (name, all, per_cover) = {
        let p = &sketch.layout.places[place];
        (p.name.clone(), f64::from(p.strips), p.cover_strips)
    };
    let in_state = |week: usize, state: u8| -> Vec<(CandidateId, usize)> {
        strips
            .iter()
            .copied()
            .filter(|&(candidate, _)| {
                let c = &season.candidates[candidate];
                (c.start..c.end).contains(&week) && c.states[week - c.start] == state
            })
            .collect()
    };
    let bare: Vec<Vec<(CandidateId, usize)>> =
        (0..season.weeks).map(|week| in_state(week, BARE)).collect();
    // A week without covers whose strips all stand in another week too says nothing new.
    let covered: Vec<bool> = (0..season.weeks)
        .map(|week| {
            (0..season.covers.len()).any(|k| sketch.layout.covers.contains_key(&(place, k, week)))
        })
        .collect();
    let needed = maximal(season.weeks, |a, b| {
        !covered[a] && is_subset(&bare[a], &bare[b])
    });

    for week in 0..season.weeks {
        let week_name = sketch.week(week);
        let mut covers = Terms::new();
        for k in 0..season.covers.len() {
            let Some(&y) = sketch.layout.covers.get(&(place, k, week)) else {
                continue;
            };
            covers.push((y, per_cover));
            let mut terms: Terms = in_state(week, k as u8 + 1)
                .into_iter()
                .map(|(_, x)| (x, 1.0))
                .collect();
            terms.push((y, -per_cover));
            sketch.at_most(
                &GROUND,
                &[&name, &week_name, &season.covers[k].name],
                terms,
                0.0,
            );
        }
        if bare[week].is_empty() && covers.len() > 1 {
            let terms = covers.iter().map(|&(y, n)| (y, n / per_cover)).collect();
            let rhs = match sketch.form {
                Form::Bed => 1.0,
                Form::Pooled => all,
            };
            sketch.at_most(&ONE_COVER, &[&name, &week_name], terms, rhs);
        } else if needed[week] {
            let terms = bare[week]
                .iter()
                .map(|&(_, x)| (x, 1.0))
                .chain(covers)
                .collect();
            sketch.at_most(&GROUND, &[&name, &week_name, "bare"], terms, all);
        }
    }
}

fn add_moves(sketch: &mut Sketch, place: PlaceId) {
    let season = sketch.season;
    let bed = &season.beds[sketch.layout.places[place].beds[0]];
    for (k, cover) in season.covers.iter().enumerate() {
        if cover.place_minutes == 0.0 && cover.remove_minutes == 0.0 {
            continue;
        }
        for week in 0..season.weeks {
            let now = sketch.layout.covers.get(&(place, k, week)).copied();
            let (before, lay) = match week.checked_sub(1) {
                Some(last) => (sketch.layout.covers.get(&(place, k, last)).copied(), 0.0),
                None => (None, f64::from(usize::from(bed.state_before) == k + 1)),
            };
            if now.is_none() && before.is_none() && lay == 0.0 {
                continue;
            }
            let week_name = sketch.week(week);
            let parts = [&*cover.name, &*bed.name, &*week_name];
            let mut terms = Terms::new();
            if let Some(now) = now {
                terms.push((now, 1.0));
                let on =
                    sketch
                        .programme
                        .column(&["on", parts[0], parts[1], parts[2]], (0.0, 1.0), 0.0);
                sketch.add_work(week, on, cover.place_minutes);
                sketch.layout.on.insert((place, k, week), on);
                terms.push((on, -1.0));
            }
            if let Some(before) = before {
                terms.push((before, -1.0));
            }
            if before.is_some() || lay > 0.0 {
                let off = sketch.programme.column(
                    &["off", parts[0], parts[1], parts[2]],
                    (0.0, 1.0),
                    0.0,
                );
                sketch.add_work(week, off, cover.remove_minutes);
                sketch.layout.off.insert((place, k, week), off);
                terms.push((off, 1.0));
            }
            sketch
                .programme
                .row(Some(&COVER_MOVES), &parts, terms, Sense::Equal, lay);
        }
    }
}

fn add_stock(sketch: &mut Sketch) {
    for (k, cover) in sketch.season.covers.iter().enumerate() {
        for week in 0..sketch.season.weeks {
            let terms: Terms = sketch
                .layout
                .places
                .iter()
                .enumerate()
                .filter_map(|(p, place)| {
                    let y = sketch.layout.covers.get(&(p, k, week))?;
                    Some((*y, place.cover_share))
                })
                .collect();
            let week_name = sketch.week(week);
            sketch.at_most(
                &COVER_STOCK,
                &[&cover.name, &week_name],
                terms,
                f64::from(cover.count),
            );
        }
    }
}
