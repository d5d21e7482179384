//! Strips of ground and the covers that lie on it.

use super::model::{ColumnId, Rule, Sense, Terms};
use super::sets::{is_subset, maximal};
use super::sketch::{Form, Place, PlaceId, Sketch};
use crate::candidates::{BARE, CandidateId};
use crate::domain::{BedId, CoverId};
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

pub static TURN: Rule = Rule {
    id: "turn",
    sentence: "In a standing year strips that are planted over the turn of the year are at most those that are not the last of their ring.",
    unit: "strips",
};

/// Adds the columns of covers and all rows about ground and covers.
pub fn add(sketch: &mut Sketch) {
    for place in 0..sketch.layout.places.len() {
        // Groups of one bed have its covers together.
        let lies = sketch.layout.places[place].lies;
        let first = sketch.layout.first_under(place);
        if first {
            add_covers(sketch, place);
        }
        add_ground(sketch, place);
        add_turn(sketch, place);
        if first && sketch.form == Form::Bed {
            add_moves(sketch, lies);
        }
    }
    add_stock(sketch);
}

/// A column for each cover and week in which a candidate of the place asks for it.
fn add_covers(sketch: &mut Sketch, place: PlaceId) {
    let lies = sketch.layout.places[place].lies;
    let mut asked: BTreeSet<(CoverId, usize)> = BTreeSet::new();
    let places = (0..sketch.layout.places.len()).filter(|&p| sketch.layout.places[p].lies == lies);
    for (candidate, _) in places.flat_map(|p| sketch.strips_of(p)) {
        let c = &sketch.season.candidates[candidate];
        for (week, &state) in (c.start..).zip(&c.states) {
            if state != BARE {
                asked.insert((usize::from(state) - 1, week % sketch.season.weeks));
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
        let name = match sketch.form {
            Form::Bed => season.beds[lies].name.clone(),
            Form::Pooled => sketch.layout.places[place].name.clone(),
        };
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
        sketch.layout.covers.insert((lies, cover, week), column);
    }
}

fn add_ground(sketch: &mut Sketch, place: PlaceId) {
    let season = sketch.season;
    let strips = sketch.strips_of(place);
    let (name, all, per_cover, lies) = {
        let p = &sketch.layout.places[place];
        (p.name.clone(), f64::from(p.strips), p.cover_strips, p.lies)
    };
    // Candidate, column, how often it stands then.
    let in_state = |week: usize, state: u8| -> Vec<(CandidateId, ColumnId, u32)> {
        strips
            .iter()
            .map(|&(c, column)| (c, column, season.times(c, week, state)))
            .filter(|&(_, _, times)| times > 0)
            .collect()
    };
    let bare: Vec<Vec<(CandidateId, ColumnId, u32)>> =
        (0..season.weeks).map(|week| in_state(week, BARE)).collect();
    // A week without covers whose strips all stand in another week too says nothing new.
    let covered: Vec<bool> = (0..season.weeks)
        .map(|week| {
            (0..season.covers.len()).any(|k| sketch.layout.covers.contains_key(&(lies, k, week)))
        })
        .collect();
    let needed = maximal(season.weeks, |a, b| {
        !covered[a] && is_subset(&bare[a], &bare[b])
    });

    for week in 0..season.weeks {
        let week_name = sketch.week(week);
        let mut covers = Terms::new();
        for k in 0..season.covers.len() {
            let Some(&y) = sketch.layout.covers.get(&(lies, k, week)) else {
                continue;
            };
            covers.push((y, per_cover));
            let mut terms: Terms = in_state(week, k as u8 + 1)
                .into_iter()
                .map(|(_, x, times)| (x, f64::from(times)))
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
                .map(|&(_, x, times)| (x, f64::from(times)))
                .chain(covers)
                .collect();
            sketch.at_most(&GROUND, &[&name, &week_name, "bare"], terms, all);
        }
    }
}

/// In a standing year: no planting stands over the end of a ring's last year.
fn add_turn(sketch: &mut Sketch, place: PlaceId) {
    let season = sketch.season;
    if season.cycle.is_none() {
        return;
    }
    let groups = sketch.layout.places[place].groups.iter();
    let last: usize = groups.map(|&g| season.groups[g].strips.len()).sum();
    let over = |c: CandidateId| season.candidates[c].end.saturating_sub(1) / season.weeks;
    let strips = sketch.strips_of(place).into_iter();
    let terms = strips.map(|(c, column)| (column, over(c) as f64));
    let terms: Terms = terms.filter(|(_, times)| *times > 0.0).collect();
    let Place { name, strips, .. } = sketch.layout.places[place].clone();
    sketch.at_most(&TURN, &[&name], terms, f64::from(strips) - last as f64);
}

fn add_moves(sketch: &mut Sketch, id: BedId) {
    let season = sketch.season;
    let bed = &season.beds[id];
    for (k, cover) in season.covers.iter().enumerate() {
        if cover.place_minutes == 0.0 && cover.remove_minutes == 0.0 {
            continue;
        }
        for week in 0..season.weeks {
            let now = sketch.layout.covers.get(&(id, k, week)).copied();
            let (before, lay) = match week.checked_sub(1) {
                Some(last) => (sketch.layout.covers.get(&(id, k, last)).copied(), 0.0),
                None if season.cycle.is_some() => {
                    let last = (id, k, season.weeks - 1);
                    (sketch.layout.covers.get(&last).copied(), 0.0)
                }
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
                sketch.layout.on.insert((id, k, week), on);
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
                sketch.layout.off.insert((id, k, week), off);
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
            let mut terms = Terms::new();
            for (p, place) in sketch.layout.places.iter().enumerate() {
                let first = sketch.layout.first_under(p);
                let y = sketch.layout.covers.get(&(place.lies, k, week));
                terms.extend(y.filter(|_| first).map(|&y| (y, place.cover_share)));
            }
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
