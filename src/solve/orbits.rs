//! Beds that can change places: what holds for a column of one holds for that of another.
//!
//! Of like beds it does not matter which one has the tunnel. Where a column of one of them is branched on, the lower
//! side may take those of all beds that are alike at that node with it, for a plan that has more on any of them has a twin on the upper
//! side (Ostrowski, Linderoth, Rossi, Smriglio 2011, "Orbital branching").

use super::simplex::Simplex;
use crate::candidates::Season;
use crate::programme::{ColumnId, Layout, Programme, Sense};
use std::collections::BTreeSet;

/// What a column of a bed is: its kind, its place among those of the bed, and two numbers more.
type Key = (u8, usize, usize, usize);
/// A row as it can be compared: sense, right side, terms.
type Told = (u8, u64, Vec<(ColumnId, u64)>);

/// Which columns stand for each other.
#[derive(Clone, Debug, Default)]
pub(super) struct Orbits {
    /// Classes of beds that can change places, each bed with its columns, in one order for all of a class.
    classes: Vec<Vec<Vec<ColumnId>>>,
    /// For each column: class, bed in it, place in the order.
    place: Vec<Option<(usize, usize, usize)>>,
}

impl Orbits {
    /// Finds the beds of a programme that can change places: every row is again one of its rows then.
    pub fn of(season: &Season, layout: &Layout, programme: &Programme) -> Orbits {
        let rows: BTreeSet<Told> = programme
            .rows
            .iter()
            .map(|row| told(row.sense, row.rhs, &row.terms, &|c| c))
            .collect();
        let mut classes: Vec<(Vec<Key>, Vec<Vec<ColumnId>>)> = Vec::new();
        for bed in 0..season.beds.len() {
            let (keys, columns) = columns_of(layout, bed);
            let class = classes.iter_mut().find(|(other, beds)| {
                *other == keys && can_change(programme, &rows, &beds[0], &columns)
            });
            match class {
                Some((_, beds)) => beds.push(columns),
                None => classes.push((keys, vec![columns])),
            }
        }
        let classes: Vec<Vec<Vec<ColumnId>>> = (classes.into_iter())
            .map(|(_, beds)| beds)
            .filter(|beds| beds.len() > 1)
            .collect();
        let mut place = vec![None; programme.columns.len()];
        for (class, beds) in classes.iter().enumerate() {
            for (bed, columns) in beds.iter().enumerate() {
                for (at, &column) in columns.iter().enumerate() {
                    place[column] = Some((class, bed, at));
                }
            }
        }
        Orbits { classes, place }
    }

    /// Columns of one bed, and those that stand for them on every bed that can change places with it.
    pub fn copies(&self, columns: &[ColumnId]) -> Vec<Vec<ColumnId>> {
        let places: Option<Vec<_>> = columns.iter().map(|&c| self.place[c]).collect();
        let Some(places) = places else {
            return vec![columns.to_vec()];
        };
        let Some(&(class, _, _)) = places.first() else {
            return Vec::new();
        };
        let beds = self.classes[class].iter();
        beds.map(|bed| places.iter().map(|&(_, _, at)| bed[at]).collect())
            .collect()
    }

    /// A column, and those that stand for it on beds which are alike at the bounds that the simplex has.
    pub fn orbit(&self, simplex: &Simplex, column: ColumnId) -> Vec<ColumnId> {
        let Some((class, bed, at)) = self.place.get(column).copied().flatten() else {
            return vec![column];
        };
        let beds = &self.classes[class];
        let alike = |other: &&Vec<ColumnId>| {
            let mut pairs = other.iter().zip(&beds[bed]);
            pairs.all(|(&a, &b)| simplex.bounds(a) == simplex.bounds(b))
        };
        beds.iter().filter(alike).map(|other| other[at]).collect()
    }
}

/// Columns of a bed, ordered by what they are.
fn columns_of(layout: &Layout, bed: usize) -> (Vec<Key>, Vec<ColumnId>) {
    let places: Vec<usize> = (0..layout.places.len())
        .filter(|&p| layout.places[p].lies == bed)
        .collect();
    let nth = |place: usize| places.iter().position(|&p| p == place);
    let mut found: Vec<(Key, ColumnId)> = Vec::new();
    for (&(place, candidate), &column) in &layout.strips {
        if let Some(n) = nth(place) {
            found.push(((0, n, candidate, 0), column));
        }
    }
    for (kind, list) in [(1, &layout.covers), (2, &layout.on), (3, &layout.off)] {
        for (&(of, cover, week), &column) in list {
            if of == bed {
                found.push(((kind, 0, cover, week), column));
            }
        }
    }
    for (&(place, family, week), &column) in &layout.clash {
        if let Some(n) = nth(place) {
            found.push(((4, n, family, week), column));
        }
    }
    found.sort_unstable();
    found.into_iter().unzip()
}

/// Whether two beds can change places.
fn can_change(
    programme: &Programme,
    rows: &BTreeSet<Told>,
    a: &[ColumnId],
    b: &[ColumnId],
) -> bool {
    let mut to: Vec<ColumnId> = (0..programme.columns.len()).collect();
    for (&x, &y) in a.iter().zip(b) {
        let (one, other) = (&programme.columns[x], &programme.columns[y]);
        let same = one.lower == other.lower
            && one.upper == other.upper
            && one.integer == other.integer
            && one.objective == other.objective;
        if !same {
            return false;
        }
        (to[x], to[y]) = (y, x);
    }
    let moved = |terms: &[(ColumnId, f64)]| terms.iter().any(|&(c, _)| to[c] != c);
    (programme.rows.iter())
        .filter(|row| moved(&row.terms))
        .all(|row| rows.contains(&told(row.sense, row.rhs, &row.terms, &|c| to[c])))
}

fn told(
    sense: Sense,
    right: f64,
    terms: &[(ColumnId, f64)],
    to: &dyn Fn(ColumnId) -> ColumnId,
) -> Told {
    let mut terms: Vec<(ColumnId, u64)> =
        terms.iter().map(|&(c, a)| (to(c), a.to_bits())).collect();
    terms.sort_unstable();
    (sense as u8, right.to_bits(), terms)
}

#[cfg(test)]
mod tests {
    //! Against microlp's optimum: beds that can change places do so and nothing else changes.

    use super::*;
    use crate::programme::{Form, check, lay_out};
    use crate::solve::linear::{Limits, solve};
    use bedweek::test_season::{SeasonOptions, random_season};

    /// Three beds of which nothing tells one from another.
    fn alike(seed: u64) -> Season {
        let options = SeasonOptions {
            bed_kinds: 1,
            ..SeasonOptions::small()
        };
        let mut season = random_season(seed, 3, 2, 6, 40, options);
        let first = season.beds[0].clone();
        for bed in &mut season.beds {
            let name = std::mem::take(&mut bed.name);
            *bed = first.clone();
            bed.name = name;
        }
        season.groups.retain(|group| group.bed == 0);
        let own = season.groups.clone();
        for bed in 1..3 {
            season.groups.extend(own.iter().cloned().map(|mut group| {
                group.bed = bed;
                group
            }));
        }
        for group in &mut season.groups {
            group.standing = None;
        }
        season.never.clear();
        season
    }

    #[test]
    fn beds_that_can_change_places_change_nothing_else() {
        let mut pairs = 0;
        for seed in 0..6 {
            let season = alike(seed);
            let (programme, layout) = lay_out(&season, Form::Bed, &|_| true);
            let orbits = Orbits::of(&season, &layout, &programme);
            let best = solve(&programme, Limits::default(), None).expect("idle ground is a plan");
            for class in &orbits.classes {
                for (one, other) in class.iter().zip(&class[1..]) {
                    let mut point = best.point.clone();
                    for (&x, &y) in one.iter().zip(other) {
                        point.swap(x, y);
                    }
                    let found = check(&programme, &point);
                    assert!(found.violation() < 1e-5, "seed {seed}: {found:?}");
                    assert!((found.objective - best.check.objective).abs() < 1e-6);
                    pairs += 1;
                }
            }
        }
        assert!(pairs > 3, "{pairs}");
    }

    #[test]
    fn a_bed_with_another_history_keeps_its_place() {
        for seed in 0..6 {
            let mut season = alike(seed);
            let rested = season.groups.iter_mut().filter(|group| group.bed == 1);
            for group in rested {
                group.release = group.release.iter().map(|week| week + 20).collect();
            }
            let (programme, layout) = lay_out(&season, Form::Bed, &|_| true);
            let orbits = Orbits::of(&season, &layout, &programme);
            let own = layout.strips.range((1, 0)..(2, 0));
            for (_, &column) in own {
                assert_eq!(orbits.place[column], None, "seed {seed}");
            }
        }
    }
}
