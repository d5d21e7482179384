//! The best strip-year against every strip-year there is.
//!
//! Source of truth: complete enumeration of tiny random seasons, each year judged from the
//! definitions in docs/method/programme.md (windows counted week by week) and docs/method/bound.md
//! (moves of covers), not from the path's labels. All figures are random.

use super::{Arc, Moves, Path, PathFinder, Strip};
use crate::candidates::{FamilyUse, Rotation};
use rand::{Rng, SeedableRng};
use rand_chacha::ChaCha8Rng;

const FAMILIES: usize = 3;
const COVERS: usize = 2;
/// The finder takes values this close as equal, money; several may add up.
const SAME: f64 = 1e-7;

struct Case {
    weeks: usize,
    arcs: Vec<Arc>,
    standing: Option<Vec<Arc>>,
    uses: Vec<Vec<FamilyUse>>,
    place: Vec<f64>,
    remove: Vec<f64>,
    rules: Vec<Rotation>,
    release: Vec<usize>,
    state_before: u8,
}

impl Case {
    fn random(seed: u64) -> Case {
        let mut random = ChaCha8Rng::seed_from_u64(seed);
        let weeks = random.random_range(12..=16);
        let rules: Vec<Rotation> = (0..FAMILIES)
            .map(|_| {
                let weeks = random.random_range(1..=10);
                match random.random_range(0..5) {
                    0 => Rotation::Off,
                    1 | 2 => Rotation::Forbid { weeks },
                    _ => Rotation::Discourage {
                        weeks,
                        money_per_strip_week: random.random_range(0.05..0.8),
                    },
                }
            })
            .collect();
        let release = rules
            .iter()
            .map(|rule| match rule {
                Rotation::Off => 0,
                _ => random.random_range(0..12_usize).saturating_sub(4),
            })
            .collect();
        let mut case = Case {
            weeks,
            arcs: Vec::new(),
            standing: None,
            uses: Vec::new(),
            place: (0..COVERS).map(|_| random.random_range(0.0..1.5)).collect(),
            remove: (0..COVERS).map(|_| random.random_range(0.0..1.5)).collect(),
            rules,
            release,
            state_before: random.random_range(0..=COVERS) as u8,
        };
        for candidate in 0..random.random_range(4..=11) {
            let start = random.random_range(0..weeks - 1);
            let end = (start + random.random_range(1..=6)).min(weeks);
            let value = random.random_range(0.1..4.0);
            let arc = case.arc(&mut random, candidate, (start, end), value);
            case.arcs.push(arc);
        }
        case.arcs.sort_by_key(|arc| arc.start);
        if random.random_range(0..3) == 0 {
            // Cleared at once, or kept for some weeks; its worth may be a loss.
            let ends = [0, random.random_range(1..=4), random.random_range(5..=9)];
            let mut standing = Vec::new();
            for (number, end) in ends.into_iter().enumerate() {
                let value = random.random_range(-2.0..3.0);
                let mut arc = case.arc(&mut random, 100 + number, (0, end), value);
                if end == 0 {
                    (arc.first, arc.last) = (0, 0);
                }
                standing.push(arc);
            }
            case.standing = Some(standing);
        }
        case
    }

    /// An arc of one family over its weeks, or of two, the second for a part of them.
    fn arc(
        &mut self,
        random: &mut ChaCha8Rng,
        candidate: usize,
        (start, end): (usize, usize),
        value: f64,
    ) -> Arc {
        let family = random.random_range(0..FAMILIES);
        let mut uses = vec![FamilyUse {
            family,
            from: start,
            until: end,
        }];
        if random.random_range(0..4) == 0 && end > start + 1 {
            uses.push(FamilyUse {
                family: (family + 1) % FAMILIES,
                from: start + 1,
                until: random.random_range(start + 2..=end),
            });
        }
        self.uses.push(uses);
        Arc {
            candidate,
            start: start as u16,
            end: end as u16,
            first: random.random_range(0..=COVERS) as u8,
            last: random.random_range(0..=COVERS) as u8,
            uses: (self.uses.len() - 1) as u32,
            value,
        }
    }

    fn best(&self, exact: bool) -> Path {
        self.sought(|finder, strip| match exact {
            true => finder.best(strip),
            false => finder.good(strip),
        })
    }

    fn above(&self, known: f64) -> Option<Path> {
        self.sought(|finder, strip| finder.good_above(strip, known))
    }

    fn sought<T>(&self, seek: impl Fn(&mut PathFinder, &Strip) -> T) -> T {
        let moves = Moves::of(&self.place, &self.remove);
        let mut finder = PathFinder::new(self.weeks, COVERS + 1, &self.arcs, &self.uses, &moves);
        let strip = Strip {
            rules: &self.rules,
            release: &self.release,
            state_before: Some(self.state_before),
            weeks: self.weeks,
            standing: self.standing.as_deref(),
        };
        seek(&mut finder, &strip)
    }

    /// Worth of a year by the definitions; `None` where it breaks a rule. The first arc is what
    /// stands, if anything does.
    fn worth(&self, year: &[&Arc]) -> Option<f64> {
        let mut worth = 0.0;
        let mut state = self.state_before;
        for arc in year {
            worth += arc.value;
            if arc.end > arc.start {
                if state != arc.first {
                    let of = |table: &[f64], s: u8| match s {
                        0 => 0.0,
                        s => table[usize::from(s) - 1],
                    };
                    worth -= of(&self.remove, state) + of(&self.place, arc.first);
                }
                state = arc.last;
            }
        }
        for (family, rule) in self.rules.iter().enumerate() {
            let windows: Vec<(usize, FamilyUse)> = year
                .iter()
                .enumerate()
                .flat_map(|(n, arc)| self.uses[arc.uses as usize].iter().map(move |u| (n, *u)))
                .filter(|(_, used)| used.family == family)
                .collect();
            let stands = |n: usize| n == 0 && self.standing.is_some();
            match *rule {
                Rotation::Off => {}
                Rotation::Forbid { weeks } => {
                    for (place, &(n, used)) in windows.iter().enumerate() {
                        let before = windows[..place].iter().map(|(_, b)| b.until + weeks);
                        let free = before.fold(self.release[family], usize::max);
                        if !stands(n) && used.from < free {
                            return None;
                        }
                    }
                }
                Rotation::Discourage {
                    weeks,
                    money_per_strip_week,
                } => {
                    // What stands asks no leave: its window and history's count as one.
                    let standing = windows
                        .iter()
                        .filter(|(n, _)| stands(*n))
                        .map(|(_, used)| used.until + weeks)
                        .fold(0, usize::max);
                    let history = self.release[family].max(standing);
                    for week in 0..self.weeks {
                        let over = windows.iter().filter(|(n, used)| {
                            !stands(*n) && (used.from..used.until + weeks).contains(&week)
                        });
                        let all = over.count() + usize::from(week < history);
                        worth -= money_per_strip_week * all.saturating_sub(1) as f64;
                    }
                }
            }
        }
        Some(worth)
    }

    /// The worth of the best of all years, and how many there are.
    fn enumerate(&self) -> (f64, usize) {
        let mut found = (f64::NEG_INFINITY, 0);
        match &self.standing {
            None => self.go_on(&mut Vec::new(), &mut found),
            Some(alternatives) => {
                for arc in alternatives {
                    self.go_on(&mut vec![arc], &mut found);
                }
            }
        }
        found
    }

    fn go_on<'c>(&'c self, year: &mut Vec<&'c Arc>, found: &mut (f64, usize)) {
        if let Some(worth) = self.worth(year) {
            found.0 = found.0.max(worth);
            found.1 += 1;
        }
        let free = year.last().map_or(0, |arc| arc.end);
        for arc in self.arcs.iter().filter(|arc| arc.start >= free) {
            year.push(arc);
            self.go_on(year, found);
            year.pop();
        }
    }

    /// The arcs of a path, in order.
    fn arcs_of(&self, path: &Path) -> Vec<&Arc> {
        let standing = self.standing.iter().flatten();
        let all: Vec<&Arc> = self.arcs.iter().chain(standing).collect();
        path.candidates
            .iter()
            .map(|c| *all.iter().find(|arc| arc.candidate == *c).unwrap())
            .collect()
    }
}

#[test]
fn the_best_year_is_the_best_of_all_years() {
    let (mut years, mut limited) = (0, 0);
    for seed in 0..3000 {
        let case = Case::random(seed);
        let (best, count) = case.enumerate();
        let path = case.best(true);
        assert!(
            (path.value - best).abs() < SAME,
            "seed {seed}: {} found, {best} there is",
            path.value
        );
        years += count;
        // How often the rules matter: without them more could be earned.
        let mut free = Case::random(seed);
        free.rules = vec![Rotation::Off; FAMILIES];
        limited += usize::from(free.enumerate().0 > best + 0.01);
    }
    assert!(years > 3000 * 8, "{years} years are too few to tell");
    assert!(limited > 500, "the rules mattered in {limited} cases only");
}

#[test]
fn a_path_is_worth_what_its_plantings_add_up_to() {
    for seed in 0..3000 {
        let case = Case::random(seed);
        for exact in [true, false] {
            let path = case.best(exact);
            let arcs = case.arcs_of(&path);
            let follow = arcs.windows(2).all(|pair| pair[0].end <= pair[1].start);
            assert!(follow, "seed {seed}: plantings overlap");
            let standing = arcs.first().is_some_and(|arc| arc.candidate >= 100);
            assert_eq!(standing, case.standing.is_some(), "seed {seed}");
            let worth = case.worth(&arcs).expect("the rules are kept");
            assert!((worth - path.value).abs() < SAME, "seed {seed}: {worth}");
        }
    }
}

#[test]
fn a_good_year_is_never_better_than_the_best() {
    for seed in 0..3000 {
        let case = Case::random(seed);
        let (good, best) = (case.best(false).value, case.best(true).value);
        assert!(good <= best + SAME, "seed {seed}: {good} {best}");
    }
}

#[test]
fn a_year_is_found_above_what_is_known_where_there_is_one() {
    let mut found = 0;
    for seed in 0..3000 {
        let case = Case::random(seed);
        let (good, best) = (case.best(false).value, case.best(true).value);
        assert_eq!(case.above(best), None, "seed {seed}");
        for less in [0.01, 1.0, 10.0] {
            let known = good - less;
            let path = case.above(known).expect("a good year is above it");
            assert!(
                path.value > known && path.value <= best + SAME,
                "seed {seed}: {}",
                path.value
            );
            let worth = case
                .worth(&case.arcs_of(&path))
                .expect("the rules are kept");
            assert!((worth - path.value).abs() < SAME, "seed {seed}: {worth}");
            found += usize::from(path.value > good - SAME);
        }
    }
    assert!(
        found > 8900,
        "{found} of 9000 are as good as the usual search"
    );
}
